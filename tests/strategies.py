"""Hypothesis strategies shared by the tests: bytes, numbers, blocks and whole programs; and how files get damaged."""

import random
from dataclasses import dataclass, replace

from hypothesis import strategies as st

from coolcheck.nc.library import Found

letters = st.sampled_from("ABCDEFGHIJKLMNPQRSTUVWXYZgxyz")
numbers = st.one_of(
    st.integers(-99999, 99999).map(str),
    st.decimals(-9999, 9999, places=3).map(str),
    st.sampled_from([".5", "-.5", "5.", "+3.25", "0", "-0.", "000.1250", "123456789.123456"]),
)
gaps = st.sampled_from(["", " ", "  ", "\t"])
words = st.builds(lambda letter, gap, number, after: f"{letter}{gap}{number}{after}", letters, gaps, numbers, gaps)
comments = st.text(st.characters(codec="utf-8", exclude_characters="()\r\n;"), max_size=12).map(lambda text: f"({text})")
plain_blocks = st.lists(words, min_size=0, max_size=6).map("".join)
variables = st.integers(1, 33).map(lambda n: f"#{n}")
operands = st.one_of(variables, st.sampled_from(["1", "2.5", ".1", "SIN[30]", "ATAN[1]/[2]", "[#1+2]", "-#3"]))
operators = st.sampled_from(["+", "-", "*", "/", " MOD ", "EQ", " GT "])
expressions = st.builds(
    lambda first, rest: first + "".join(o + p for o, p in rest), operands, st.lists(st.tuples(operators, operands), max_size=4)
)
macro_blocks = st.one_of(
    st.builds(lambda v, e: f"{v}={e}", variables, expressions),
    st.builds(lambda e, n: f"IF[{e}]GOTO{n}", expressions, st.integers(1, 99)),
    st.builds(lambda letter, e: f"{letter}[{e}]", letters, expressions),
    st.sampled_from(["WHILE[#1LT5]DO1", "END1", "GOTO 10", "M98P1000", "G65P1000A1.B2.", "M99", "#3000=1(STOP)", "O1234", "%"]),
)
odd_blocks = st.sampled_from(
    ["(open", "/2 X1", "G1 X", "X1..2", "X[1+", 'T="DRILL"', "R1=5", ",R3.", "X1 2.5", "G 1X2", "\x00\x11M8", ";c"]
)
blocks = st.one_of(plain_blocks, plain_blocks, macro_blocks, odd_blocks, comments)
line_ends = st.sampled_from([b"\n", b"\r\n", b"\r", b"\n\r"])


@st.composite
def programs(draw: st.DrawFn) -> bytes:
    """The bytes of a program: blocks of every form, with one kind of line end or several."""
    end = draw(line_ends)
    mixed = draw(st.booleans())
    parts = []
    for block in draw(st.lists(blocks, max_size=20)):
        parts.append(block.encode("utf-8"))
        parts.append(draw(line_ends) if mixed else end)
    return b"".join(parts)


# ------------------------------------------------------------------------------------------------ whole programs that run
# Valid programs of every form, put together from sections; then the same, damaged as files get damaged.

DIALECTS = ("word-address-mill", "word-address-mill-least-increment", "rs274-ngc", "rs274-open")
TOOLS = (1, 5, 6, 9, 10, 12)  # those of the sample job `manifold-drill-tap`


@dataclass(frozen=True)
class Case:
    """A program, its dialect, and the subprogram files that lie beside it, by the name they are called with."""

    main: bytes
    dialect: str
    beside: tuple[tuple[str, bytes], ...] = ()

    def find(self, name: str) -> Found | None:
        """The file of that name, as a `Library` would find it."""
        return next((Found(f"{key}.nc", data) for key, data in self.beside if key == name), None)


lengths = st.integers(-120_000, 120_000).map(lambda n: f"{n / 1000:g}" if n % 1000 else f"{n // 1000}.")
small = st.integers(1, 9_000).map(lambda n: f"{n / 1000:.3f}")
feeds_of_programs = st.sampled_from(["80.", "250.", "1200.5", ".15", "600"])
plain_comments = st.sampled_from(["(SPOT)", "(DRILL 8.5 D=8.5)", "(T5 D=6.8 CARBIDE DRILL)", "(M8X1.25 TAP)", "(MSG, LOOK)", ""])


def moves_line(draw: st.DrawFn) -> list[str]:
    """A contour of straight lines, absolute or incremental, with any feed mode."""
    mode = draw(st.sampled_from(["G94", "G95", "G93"]))
    points = draw(st.lists(st.tuples(lengths, lengths), min_size=1, max_size=5))
    rows = [f"G1 X{x} Y{y} F{draw(feeds_of_programs)}" if mode == "G93" else f"X{x} Y{y}" for x, y in points]
    return [f"{draw(st.sampled_from(['G90', 'G91']))} {mode} G1 Z-{draw(small)} F{draw(feeds_of_programs)}", *rows, "G90 G94"]


def arcs(draw: st.DrawFn) -> list[str]:
    """Arcs by centre or radius, whole circles and helices, in any plane."""
    plane, first, second, i, j, axis = draw(
        st.sampled_from([("G17", "X", "Y", "I", "J", "Z"), ("G18", "Z", "X", "K", "I", "Y"), ("G19", "Y", "Z", "J", "K", "X")])
    )
    r = draw(st.integers(1, 40))
    turn = draw(st.sampled_from(["G2", "G3"]))
    rows = [f"{plane} G0 {first}0 {second}0 {axis}0"]
    rows += draw(
        st.sampled_from(
            [
                [f"{turn} {first}{2 * r}. {second}0. {i}{r}. {j}0. F200."],
                [f"{turn} {first}{r}. {second}{r}. R{r}. F200."],
                [f"{turn} {i}{r}. F200."],
                [f"{turn} {first}0. {second}0. {axis}-3. {i}{r}. {j}0. F200."],
                [f"{turn} {first}{2 * r}. {second}0. R-{r}.5 F200."],
            ]
        )
    )
    return [*rows, "G17"]


def drilling(draw: st.DrawFn) -> list[str]:
    """A canned cycle with its series of holes: depth, pecks, return level, repeats, modal positions."""
    code = draw(st.sampled_from([73, 74, 76, 81, 82, 83, 83, 84, 85, 86, 87, 88, 89]))
    start = draw(st.sampled_from(["G98", "G99", "G91 G99", ""]))
    words = f"Z-{draw(small)} R{draw(st.sampled_from(['2.', '1', '.5', '5.']))} F{draw(feeds_of_programs)}"
    words += draw(st.sampled_from(["", " Q1.5", " Q.3", " Q2", " P500", " K3", " L3", " Q1.5 P100", " I2. J.5 K1."]))
    holes = [f"X{x} Y{y}" for x, y in draw(st.lists(st.tuples(lengths, lengths), max_size=4))]
    return [f"{start} G{code} X{draw(lengths)} Y{draw(lengths)} {words}".strip(), *holes, "G80 G90"]


def pecks_by_hand(draw: st.DrawFn) -> list[str]:
    """A hole drilled by plain moves."""
    step, count = draw(st.integers(1, 6)), draw(st.integers(1, 6))
    rows = [f"G0 X{draw(lengths)} Y{draw(lengths)} Z2."]
    for stroke in range(1, count + 1):
        rows += [f"G1 Z-{step * stroke}. F{draw(feeds_of_programs)}", "G0 Z2.", f"Z-{step * stroke - 0.5:g}"]
    return [*rows, "G0 Z2."]


def macro_loop(draw: st.DrawFn) -> list[str]:
    """A loop over variables, by WHILE or by GOTO."""
    n, expression = draw(st.integers(0, 6)), draw(expressions)
    body = [f"#2={expression}", "G1 X[#1*2.5] Y#1 F200."]
    if draw(st.booleans()):
        return ["#1=0", f"WHILE[#1LT{n}]DO1", *body, "#1=#1+1", "END1"]
    return ["#1=0", f"N77 IF[#1GE{n}]GOTO78", *body, "#1=#1+1", "GOTO77", "N78"]


def o_words(draw: st.DrawFn) -> list[str]:
    """O-word flow: repeat, while, if, and a named variable."""
    n = draw(st.integers(0, 4))
    forms = (
        [f"o10 repeat [{n}]", "G1 X1. F100.", "o10 endrepeat"],
        ["#<depth>=0", f"o20 while [#<depth> lt {n}]", "#<depth>=[#<depth>+1]", "G0 Z[#<depth>]", "o20 endwhile"],
        [f"o30 if [{n} gt 2]", "G0 X1.", "o30 elseif [1]", "G0 X2.", "o30 else", "G0 X3.", "o30 endif"],
        ["o40 sub", "G1 Y#1 F50.", "o40 endsub", f"o40 call [{n}]"],
    )
    return draw(st.sampled_from(forms))


def tool(draw: st.DrawFn) -> list[str]:
    """A tool change with fluid on and off, or forgotten."""
    on = draw(st.sampled_from(["M8", "M57", "M7", "M57 P1", ""]))
    off = draw(st.sampled_from([["M9"], ["M58"], ["M9", "G4 P1.5"], []]))
    number = draw(st.sampled_from(TOOLS))
    return [
        *off,
        draw(st.sampled_from(["G91 G28 Z0", "G0 Z50.", "G53 G0 Z0"])),
        f"G90 T{number} M6 {draw(plain_comments)}".strip(),
        f"G54 G0 X0 Y0 S{draw(st.integers(50, 15_000))} {draw(st.sampled_from(['M3', 'M4', 'M3']))}",
        f"G43 H{number} Z20. {on}".strip(),
    ]


def calls(draw: st.DrawFn) -> list[str]:
    """Calls of the subprograms in this file and beside it."""
    forms = ("M98 P100", "M98 P100 L2", "M98 P20100", "M98 P9100", "G65 P200 A1. B2. C-3.5", "G66 P200 A1.", "G67", "M97 P77")
    return [draw(st.sampled_from(forms)) for _ in range(draw(st.integers(1, 2)))]


def odds(draw: st.DrawFn) -> list[str]:
    """What else stands in programs: offsets, units, scaling, dwell, block skip, stops, comments."""
    forms = (
        "G4 P500", "G4 X1.5", "G54 G0 X0", "G52 X5. Y5.", "G92 X0", "G68 X0 Y0 R30.", "G69", "G51 X0 Y0 P2.", "G50", "G20",
        "G21", "/M1", "/2 G0 X5.", "M0", "M1", "M26", "M66", "M95", "M73", "G10 L2 P1 X0 Y0 Z0", "G41 D5", "G40", "G16", "G15",
        "M29 S500", "S800", "G97 S500", "G96 S120", "#100=#1+1", "G61", "G64", "%", "(PROBE)", "G31 Z-5. F100.", "M60", "M30",
        "T5", "G28 X0 Y0",
    )  # fmt: skip
    return [draw(st.sampled_from(forms))]


SECTIONS = (moves_line, arcs, drilling, drilling, pecks_by_hand, macro_loop, tool, tool, calls, odds)


@st.composite
def whole_programs(draw: st.DrawFn) -> Case:
    """A program that a control would run, with its subprograms: sections of every form in any order."""
    dialect = draw(st.sampled_from(DIALECTS))
    made = [*SECTIONS, o_words] if dialect == "rs274-open" else SECTIONS
    rows = [draw(st.sampled_from(["G21 G17 G40 G49 G80 G90 G94", "G20 G17 G90 G94", "G21", ""])), *tool(draw)]
    for section in draw(st.lists(st.sampled_from(made), min_size=1, max_size=6)):
        rows += section(draw)
    rows += [draw(st.sampled_from(["M30", "M2", "M99", ""]))]
    if dialect.startswith("word"):
        rows = [
            "%",
            "O1000 (PART)",
            *rows,
            "O100",
            *draw(st.sampled_from(SECTIONS))(draw),
            "M99",
            "O200",
            "G0 X#1 Y#2",
            "M99",
            "%",
        ]
    beside = tuple((name, joined(draw, draw(st.sampled_from(SECTIONS))(draw) + ["M99"])) for name in ("9100", "200", "100"))
    return Case(joined(draw, rows), dialect, beside)


def joined(draw: st.DrawFn, rows: list[str]) -> bytes:
    """The blocks as a file, with or without sequence numbers and blanks."""
    style = draw(st.integers(0, 3))
    if style == 1:
        rows = [f"N{10 * at} {row}" if row and row[0] in "GXYZMTS" else row for at, row in enumerate(rows, 1)]
    elif style == 2:
        rows = [row if "(" in row or row[:1] in ("o", "#") else row.replace(" ", "") for row in rows]
    end = draw(line_ends)
    return b"".join(row.encode() + end for row in rows)


HUGE = (b"9" * 30, b"1e308", b"-" * 12, b"[" * 70, b"0" * 300, b"#" * 64, b".", b"\x00" * 40, b"(" * 20, b"\xff\xfe", b"1/0")


def damaged(data: bytes, seed: int, other: bytes = b"") -> bytes:
    """`data` as a bad line, a bad disk or a bad editor leaves it: bytes flipped, lost, doubled, moved, files mixed up."""
    dice = random.Random(seed)
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        at, to = sorted((dice.randrange(len(data) + 1), dice.randrange(len(data) + 1)))
        to = min(to, at + dice.choice((1, 3, 20, 200)))
        match dice.randrange(9):
            case 0:
                data = data[:at] + bytes([dice.randrange(256)]) + data[at + 1 :]
            case 1:
                data = data[:at] + data[to:]
            case 2:
                data = data[:to] + data[at:]
            case 3:
                data = data[:at] + dice.choice(HUGE) + data[at:]
            case 4:
                data = data[:at] + other[dice.randrange(len(other) + 1) :][: dice.randrange(1, 80)] + data[at:]
            case 5:
                rows = data.split(b"\n")
                dice.shuffle(rows)
                data = b"\n".join(rows)
            case 6:
                data = (
                    data[:at]
                    + bytes(dice.choice(b"GMXYZRQPLFSTNOIJK#[]()%/.-0123456789\n \r") for _ in range(3))
                    + data[at + 3 :]
                )
            case 7:
                data = data.replace(bytes([dice.choice(b"0123456789GMXZ. \n")]), bytes([dice.choice(b"0123456789GMXZ. \n")]))
            case _:
                data = data[:at] + data[at:to][::-1] + data[to:]
    return data


@st.composite
def damaged_programs(draw: st.DrawFn) -> Case:
    """A whole program, damaged."""
    case = draw(whole_programs())
    other = case.beside[0][1] if case.beside else b""
    return replace(case, main=damaged(case.main, draw(st.integers(0, 2**32)), other))
