"""Hypothesis strategies: drilling programs of every form in which peck cycles are written."""

from dataclasses import dataclass

from hypothesis import strategies as st


@dataclass(frozen=True)
class Form:
    """How a program is made. `structure`: where its holes stand."""

    inch: bool
    incremental: bool
    return_level: int
    per_turn: bool
    code: int
    pecks: str
    dwell: bool
    structure: str
    speed: int
    near_feed: bool
    feed_in_cycle: bool
    fluid: str
    other_cuts: bool
    gap: str
    lower: bool
    numbered: bool
    line_end: bytes
    holes: tuple[tuple[float, float, float | None], ...]
    long: bool


SIMPLE = ("series", "series", "sub_once", "sub_many", "positions_in_sub", "while_loop", "repeat")
steps = st.sampled_from([0.0, 4.0, 12.5, -7.25])
depths = st.sampled_from([None, None, -30.0, -22.5])


@st.composite
def forms(draw: st.DrawFn, long: bool = False) -> Form:
    """Any form; `long` for a drill that needs a pilot."""
    structure = draw(st.sampled_from(SIMPLE if not long else ("series", "sub_once", "sub_many", "while_loop")))
    return Form(
        inch=draw(st.booleans()),
        incremental=draw(st.booleans()) and structure not in ("while_loop",) or structure == "repeat",
        return_level=draw(st.sampled_from([98, 99])),
        per_turn=draw(st.booleans()),
        code=draw(st.sampled_from([73, 83])),
        pecks=draw(st.sampled_from(["q", "ijk"])),
        dwell=draw(st.booleans()),
        structure=structure,
        speed=draw(st.sampled_from([3183, 3170, 1500])),
        near_feed=draw(st.booleans()),
        feed_in_cycle=draw(st.booleans()),
        fluid=draw(st.sampled_from(["none", "flood", "through", "through_in_time"])),
        other_cuts=draw(st.booleans()),
        gap=draw(st.sampled_from([" ", ""])),
        lower=draw(st.booleans()),
        numbered=draw(st.booleans()),
        line_end=draw(st.sampled_from([b"\n", b"\r\n"])),
        holes=tuple(draw(st.lists(st.tuples(steps, steps, depths), min_size=1, max_size=4))),
        long=long,
    )


def written(form: Form) -> bytes:
    """The program of a form."""
    writer = _Writer(form)
    lines = [line for line in writer.program() if line]
    if form.gap == "":
        lines = [line if line.startswith(("O", "#", "WHILE", "END", "(")) else line.replace(" ", "") for line in lines]
    if form.lower:
        lines = [line.lower() for line in lines]
    if form.numbered:
        mark = "n" if form.lower else "N"
        plain = ("O", "o", "#", "WHILE", "while", "END", "end", "(")
        lines = [line if line.startswith(plain) else f"{mark}{10 * (at + 1)}{form.gap}{line}" for at, line in enumerate(lines)]
    return form.line_end.join(line.encode() for line in lines) + form.line_end


class _Writer:
    def __init__(self, form: Form) -> None:
        self.form = form
        self.scale = 25.4 if form.inch else 1.0
        self.tool = 2 if form.long else 1

    def number(self, value: float) -> str:
        """A length, with a point."""
        text = f"{value / self.scale:.4f}".rstrip("0")
        return text if not text.startswith("-0.") else "-" + text[2:]

    def program(self) -> list[str]:
        form = self.form
        body, subs = self.body()
        cuts = ["G94", "F500.", f"Z{self.number(-1)}", "G1 X" + self.number(3), "G0 Z" + self.number(25)]
        rest = cuts if form.other_cuts else []
        head = ["O1", "G20 G17 G90 G94" if form.inch else "G21 G17 G90 G94", *self.pilots()]
        approach = [f"T{self.tool} M6", f"G0 G54 X0. Y0. S{form.speed} M3", f"G43 H1 Z{self.number(25)}"]
        return [*head, *approach, *self.fluid(), *body, "G80", "G90", *rest, *self.fluid_off(), "M5", "G28 Z0.", "M30", *subs]

    def fluid(self) -> list[str]:
        return {"none": [], "flood": ["M8"], "through": ["M57"], "through_in_time": ["M57", "G4 P2000"]}[self.form.fluid]

    def fluid_off(self) -> list[str]:
        return {"none": [], "flood": ["M9"], "through": ["M58"], "through_in_time": ["M58", "G4 P2000"]}[self.form.fluid]

    def pilots(self) -> list[str]:
        """Pilot holes, for a drill that needs them: at every place."""
        if not self.form.long:
            return []
        first, *others = self.places()
        start = f"G0 G54 X{self.number(first[0])} Y{self.number(first[1])} S3000 M3"
        lines = ["T4 M6", start, f"G43 H4 Z{self.number(25)}", "M57", "G4 P2000"]
        feed = f"{600 / self.scale:.1f}"
        lines.append(f"G99 G81 Z{self.number(-16)} R{self.number(2)} F{feed}")
        lines += [f"X{self.number(x)} Y{self.number(y)}" for x, y in others]
        return [*lines, "G80", "M58", "G4 P1200", "M5"]

    def places(self) -> list[tuple[float, float]]:
        """Where the holes lie [mm]."""
        form = self.form
        if form.structure == "while_loop":
            return [(10.0 * n, 0.0) for n in range(3)]
        places = []
        x = y = 0.0
        for dx, dy, _ in form.holes:
            if form.incremental:
                x, y = x + dx, y + dy
            else:
                x, y = dx, dy
            places.append((x, y))
        if form.structure == "sub_many":
            places += [(px + 100.0, py) for px, py in places] if form.incremental else places
        return places

    def cycle(self, words: str, depth: float) -> str:
        form = self.form
        top, deep = (-23.0, depth - 2.0) if form.incremental else (2.0, depth)
        pecks = f"Q{self.number(4)}" if form.pecks == "q" else f"I{self.number(9)} J{self.number(2)} K{self.number(3)}"
        dwell = " P200" if form.dwell else ""
        feed = f" {self.feed()}" if form.feed_in_cycle else ""
        distance = "G91 " if form.incremental else ""
        repeat = " L3" if form.structure == "repeat" else ""
        heights = f"Z{self.number(deep)} R{self.number(top)}"
        return f"{distance}G{form.return_level} G{form.code} {words} {heights} {pecks}{dwell}{feed}{repeat}"

    def feed(self) -> str:
        form = self.form
        per_turn = 0.2 if form.near_feed else 0.11
        value = per_turn if form.per_turn else per_turn * form.speed
        return f"F{value / self.scale:.4f}"

    def before_cycle(self) -> list[str]:
        return [*(["G95"] if self.form.per_turn else []), *([] if self.form.feed_in_cycle else [self.feed()])]

    def body(self) -> tuple[list[str], list[str]]:
        """Blocks of the main program, and subprograms behind it."""
        form = self.form
        before = self.before_cycle()
        (x, y, _), *others = form.holes
        start = self.cycle(f"X{self.number(x)} Y{self.number(y)}", -40.0)
        rest = [self.position(*hole) for hole in others]
        if form.structure == "series":
            return [*before, start, *rest], []
        if form.structure == "repeat":
            return [*before, start], []
        if form.structure == "sub_once":
            return [*before, "M98 P100"], ["O100", start, *rest, "G80", "G90", "M99"]
        if form.structure == "sub_many":
            back = f"G0 X{self.number(100)} Y0. Z{self.number(25)}" if form.incremental else f"G0 Z{self.number(25)}"
            return [*before, "M98 P100", back, "M98 P100"], ["O100", start, *rest, "G80", "G90", "M99"]
        if form.structure == "positions_in_sub":
            return [*before, start, "M98 P100"], ["O100", *(rest or ["X5."]), "M99"]
        step = self.number(10)
        cycle = self.cycle(f"X[#1*{step}] Y0.", -40.0)
        return [*before, "#1=0", "WHILE[#1LT3]DO1", cycle, "#1=#1+1", "END1"], []

    def position(self, x: float, y: float, depth: float | None) -> str:
        """A further hole of the series, some with another depth."""
        words = f"X{self.number(x)} Y{self.number(y)}"
        if depth is not None:
            words += f" Z{self.number(depth - 2.0 if self.form.incremental else depth)}"
        return words
