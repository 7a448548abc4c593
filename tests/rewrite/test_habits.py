"""Inserted blocks look as the programmer would have written them."""

import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.program import Program
from coolcheck.rewrite.habits import Habits, Numbering, learn


def program(text: str, dialect: str = "word-address-mill") -> Program:
    return Program.read(text.encode(), "habits.nc", load_dialect(dialect))


@pytest.mark.parametrize(
    ("text", "z", "feed", "code", "block"),
    [
        ("N10 G1 Z-5. F600.\nN20 X.5\n", "Z-1.25", "F80.", "M8", "N15 G4 P500"),
        ("n10g1z-5f600\nn20x0.5\n", "z-1.25", "f80", "m8", "n15g4p500"),
        ("N0010 G01 Z-5.000 F600.000\nN0020 M08\nX0.500\n", "Z-1.250", "F80.000", "M08", "N0015 G04 P500"),
        ("G1 Z-5.0 F600.0\nX0.25 M8\n", "Z-1.25", "F80.0", "M8", "N15 G4 P500"),
    ],
)
def test_words_are_written_in_the_hand_of_the_program(text: str, z: str, feed: str, code: str, block: str) -> None:
    habits = learn(program(text))

    assert habits.word("Z", -1.25) == z
    assert habits.word("F", 80.0) == feed
    assert habits.word("M", 8) == code
    assert habits.block([habits.word("G", 4), habits.word("P", 500)], 15) == block


def test_a_leading_zero_is_written_where_the_program_writes_it() -> None:
    assert learn(program("X0.5 Y-0.25\n")).word("Z", -0.1) == "Z-0.1"
    assert learn(program("X.5 Y-.25\n")).word("Z", -0.1) == "Z-.1"


def test_least_increments_are_never_written_by_accident() -> None:
    habits = learn(program("G1 X10000 Z-5000 F60000\n", "word-address-mill-least-increment"))

    assert habits.word("Z", -42.0) == "Z-42."
    assert habits.word("F", 600.0) == "F600."


def test_a_program_without_habits_gets_plain_ones() -> None:
    assert learn(program("")) == Habits(must_point=frozenset())


@pytest.mark.parametrize(
    ("text", "low", "high", "count", "numbers"),
    [
        ("N10 X1\nN20 X2\n", 10, 20, 1, (15,)),
        ("N10 X1\nN20 X2\n", 10, 20, 3, (12, 15, 18)),
        ("N1 X1\nN2 X2\n", 1, 2, 1, (None,)),
        ("N1 X1\nN3 X2\n", 1, 3, 2, (None, None)),
        ("N10 X1\nN20 X2\nN15 X3\n", 10, 20, 1, (11,)),
        ("N10 X1\nN20 X2\nGOTO15\n", 10, 20, 1, (11,)),
        ("N10 X1\nN20 X2\nM97 P15\n", 10, 20, 1, (11,)),
        ("N10 X1\nN20 X2\nGOTO#1\n", 10, 20, 1, (None,)),
        ("N10 X1\nN20 X2\nM99 P#1\n", 10, 20, 1, (None,)),
        ("N20 X1\nN10 X2\n", 20, 10, 1, (None,)),
        ("X1\nN10 X2\n", None, 10, 1, (None,)),
    ],
)
def test_a_free_number_lies_between_its_neighbours_or_there_is_none(
    text: str, low: int | None, high: int | None, count: int, numbers: tuple[int | None, ...]
) -> None:
    assert Numbering.of(program(text)).between(low, high, count) == numbers
