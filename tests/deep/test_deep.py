"""The deep run: hundreds of thousands of inputs, good and damaged, for the properties of tests/properties.py.

    python -m pytest --hypothesis-profile deep -m deep

One example of hypothesis stands for several inputs: a program that runs, and files made from it by damage that is cheap to do.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coolcheck.judge.process_words import process_words
from coolcheck.records import schema
from tests import properties
from tests.strategies import DIALECTS, Case, damaged, programs, whole_programs

pytestmark = pytest.mark.deep
seeds = st.integers(0, 2**32)
RECORDS = [path.read_bytes() for path in sorted(properties.SAMPLES.rglob("*.yaml"))]
PROGRAMS = {
    name: (properties.SAMPLES / f"programs/{name}.nc").read_bytes()
    for name in ("deep-hole-plate", "manifold-drill-tap", "nickel-ring", "bolt-circle-macro", "aluminium-pocket")
}


def variants(data: bytes, seed: int, count: int, other: bytes = b"") -> list[bytes]:
    return [damaged(data, seed + number, other) for number in range(count)]


@settings(max_examples=6_000)
@given(st.one_of(programs(), whole_programs().map(lambda case: case.main)), seeds, st.sampled_from(DIALECTS))
def test_reading(data: bytes, seed: int, dialect: str) -> None:
    for text in (data, *variants(data, seed, 9)):
        properties.is_read_without_loss(text, dialect)


@settings(max_examples=10_000)
@given(st.binary(max_size=600), st.sampled_from(DIALECTS))
def test_reading_bytes(data: bytes, dialect: str) -> None:
    properties.is_read_without_loss(data, dialect)


@settings(max_examples=8_000)
@given(whole_programs(), seeds)
def test_interpreting(case: Case, seed: int) -> None:
    for text in (case.main, *variants(case.main, seed, 5, case.beside[0][1])):
        properties.runs_within_bounds(Case(text, case.dialect, case.beside))


@settings(max_examples=2_000)
@given(whole_programs(), seeds)
def test_interpreting_with_damaged_subprograms(case: Case, seed: int) -> None:
    beside = tuple((name, damaged(data, seed + number, case.main)) for number, (name, data) in enumerate(case.beside))

    properties.runs_within_bounds(Case(case.main + b"\nM98 P9100\nG65 P200 A1.\n", case.dialect, beside))


@settings(max_examples=2_000)
@given(whole_programs(), seeds)
def test_whole_reviews(case: Case, seed: int) -> None:
    for text in (case.main, damaged(case.main, seed, case.beside[0][1])):
        properties.is_reviewed_whole(Case(text, case.dialect, case.beside))


@settings(max_examples=3_000)
@given(st.sampled_from(sorted(PROGRAMS)), seeds)
def test_whole_reviews_of_damaged_samples(name: str, seed: int) -> None:
    properties.is_reviewed_whole(Case(damaged(PROGRAMS[name], seed, PROGRAMS["bolt-circle-macro"]), "word-address-mill"))


# ------------------------------------------------------------------------------------------------------------- records

VALUES = st.sampled_from(
    [
        "yes", "no", "unknown", "true", "null", "~", "8.5 mm", "0.335 in", "300 psi", "1e308 mm", "-1 mm", "12", "1/0 in",
        "3/8 in", "[]", "{}", "[a, b]", "2026-01-31", "2026-99-99", "M20", "5% bar", ".inf", ".nan", "0x10", "!!python/object:os.system",
        "&a", "*a", "<<: *a", "'\"'", "'a'", "|x", ">x", "%YAML", "---", "...", "@", "`", "99999999999999999999 bar", "1" * 5000,
    ]
)  # fmt: skip


@st.composite
def records(draw: st.DrawFn) -> str:
    """The text of a record of any kind with fields it has and has not."""
    kind = draw(st.sampled_from(schema.KINDS))
    fields = st.sampled_from([*schema.fields(kind), "fluid", "colour", ""])
    rows = draw(st.lists(st.tuples(fields, VALUES, st.sampled_from(["", "  ", "- ", "    "])), max_size=8))
    return f"{kind}: {draw(VALUES)}\n" + "".join(f"{indent}{name}: {value}\n" for name, value, indent in rows)


@settings(max_examples=6_000)
@given(records(), seeds)
def test_records(text: str, seed: int) -> None:
    for data in (text.encode(), *variants(text.encode(), seed, 3, RECORDS[seed % len(RECORDS)])):
        properties.is_read_or_refused(data)


@settings(max_examples=4_000)
@given(st.sampled_from(RECORDS), seeds)
def test_damaged_sample_records(data: bytes, seed: int) -> None:
    for text in variants(data, seed, 3, RECORDS[seed % len(RECORDS)]):
        properties.is_read_or_refused(text)


@settings(max_examples=4_000)
@given(whole_programs(), seeds)
def test_starting_records(case: Case, seed: int) -> None:
    properties.starts_right_records(damaged(case.main, seed, b"(T5 8.5 DRILL D=8.5 #- {a: *b} %& ' \" \xe9)"), case.dialect)


# ---------------------------------------------------------------------------------------------------------- conditions

WORDS = process_words(properties.TODAY)
SCOPES = sorted(WORDS.scopes)
NUMBERS = st.sampled_from(
    ["0", "1", "40 mm", "1.5 in", "20 bar", "300 psi", "90 deg", "1e9", "99999999999999999999", "3 furlong", "5 %"]
)


@st.composite
def conditions(draw: st.DrawFn) -> tuple[str, str]:
    """A condition of some scope, mostly right, and the scope."""
    scope = draw(st.sampled_from(SCOPES))
    names = st.sampled_from([*WORDS.names(scope), "nonsense", "depth"])
    words = st.sampled_from(["drill", "tap", "yes", "flood", "through_tool", '"ISO 7388-1"', "no_supply"])
    inner = [word for of, word in WORDS.relations if of == scope] or ["step"]
    relations = st.sampled_from(["<", ">", ">=", "<=", "=", "/", "+", "-", "*"])

    def test(depth: int) -> str:
        match draw(st.integers(0, 7 if depth else 4)):
            case 0:
                return draw(names)
            case 1:
                return f"{draw(names)} {draw(relations)} {draw(st.one_of(NUMBERS, names))}"
            case 2:
                return f"{draw(names)} {draw(st.sampled_from(['is', 'is not', 'includes']))} {draw(words)}"
            case 3:
                return f"{draw(names)} is {draw(st.sampled_from(['one', 'none']))} of ({draw(words)}, {draw(words)})"
            case 4:
                return f"{draw(names)} / {draw(names)} > {draw(NUMBERS)}"
            case 5:
                return f"not ({test(depth - 1)})"
            case 6:
                return f"({test(depth - 1)}) {draw(st.sampled_from(['and', 'or']))} {test(depth - 1)}"
            case _:
                quantifier, member = draw(st.sampled_from(["some", "every", "no"])), draw(st.sampled_from(inner))
                return f"{quantifier} {member} ({test(depth - 1)})"

    return test(3), scope


@settings(max_examples=9_000)
@given(conditions(), seeds)
def test_conditions(asked: tuple[str, str], seed: int) -> None:
    text, scope = asked
    for data in (text.encode(), *variants(text.encode(), seed, 4, b"some every no and or not is of ((())) 40 mm")):
        properties.is_condition_or_refused(data.decode("utf-8", "replace"), scope)


# ----------------------------------------------------------------------------------------------------------- rewriting


@settings(max_examples=4_000)
@given(st.sampled_from(sorted(PROGRAMS)), seeds)
def test_rewriting_damaged_samples(name: str, seed: int) -> None:
    properties.is_refused_or_proved(damaged(PROGRAMS[name], seed, PROGRAMS["deep-hole-plate"]), name)


@settings(max_examples=2_000)
@given(whole_programs())
def test_rewriting_whole_programs(case: Case) -> None:
    properties.is_refused_or_proved(case.main, "manifold-drill-tap")
