"""Hypothesis strategies shared by the tests: bytes, numbers and blocks as programs have them."""

from hypothesis import strategies as st

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
