"""The second look knows two traces and nothing else, and sees by itself what the first proof sees."""

from collections.abc import Iterator

import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.program import Program
from coolcheck.nc.trace import Row, trace
from coolcheck.rewrite.second_look import first_disagreement, holes

HEAD = "G21 G17 G90 G94\nT1 M6\nG0 X0. Y0. S3000 M3\nZ25.\n"
PECKS = "G99 G83 X5. Z-20. R2. Q5. F600.\nX15.\nG80\nG0 Z25.\nM30\n"
ONE = PECKS.replace("G83", "G81").replace(" Q5.", "")


def rows(text: str) -> Iterator[Row]:
    return trace(interpret(Program.read((HEAD + text).encode(), "a.nc", load_dialect())))


def test_fewer_strokes_in_the_same_holes_are_the_same_work() -> None:
    assert first_disagreement(rows(PECKS), rows(ONE)) == ""


def test_holes_are_found_with_their_strokes() -> None:
    first, second = holes(rows(PECKS))

    assert (first.place, first.top, first.bottom, first.out, first.strokes) == ((5.0, 0.0), 2.0, -20.0, 2.0, 5)
    assert first.dives and not holes(rows(ONE))[0].dives
    assert second.place == (15.0, 0.0)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (ONE.replace("Z-20.", "Z-21."), "its bottom is -21 instead of -20"),
        (ONE.replace("R2.", "R3."), "rapid to X5 Y0 Z3 in the rewritten program"),
        (ONE.replace("G99", "G98"), "its return level is 25 instead of 2"),
        (ONE.replace("X15.", "X15.1"), "rapid to X15.1 Y0 Z2 in the rewritten program"),
        (ONE.replace("X15.\n", "").replace("Z25.", "X0."), "rapid to X0 Y0 Z2 in the rewritten program"),
        (PECKS.replace("Q5.", "Q4."), "it takes more strokes than before"),
        (ONE.replace("G0 Z25.\n", "G0 Z25.\nX99.\n"), "end M30 in the original, rapid to X99"),
        (ONE.replace("M30", "M0\nM30"), "end M30 in the original, stop M0 in the rewritten program"),
        (ONE.replace("G99 G81 X5. Z-20. R2. F600.", "G0 X5.\nZ2.\nZ-10.\nG1 Z-20. F600.\nG0 Z2."), "rapid to X5 Y0 Z-10"),
    ],
)
def test_whatever_is_done_otherwise_is_seen(wrong: str, says: str) -> None:
    assert says in first_disagreement(rows(PECKS), rows(wrong))


def test_a_rapid_into_the_hole_is_seen() -> None:
    diving = "G0 X5.\nZ2.\nG1 Z-10. F600.\nG0 Z2.\nZ-9.\nG1 Z-20.\nG0 Z2.\nX15.\nG1 Z-20.\nG0 Z2.\nZ25.\nM30\n"

    assert "at rapid" in first_disagreement(rows(PECKS), rows(diving))


HIGH = PECKS.replace("G99", "G98")  # the other reading retracts to the initial level between the pecks


def high(text: str) -> Iterator[Row]:
    return trace(interpret(Program.read((HEAD + text).encode(), "a.nc", load_dialect("rs274-ngc"))))


def test_pecks_that_retract_above_the_r_plane_are_one_hole() -> None:
    first, second = holes(high(HIGH))

    assert (first.top, first.bottom, first.out, first.strokes) == (2.0, -20.0, 25.0, 5)
    assert first_disagreement(high(HIGH), high(ONE.replace("G99", "G98"))) == ""
    assert "its bottom is -21" in first_disagreement(high(HIGH), high(ONE.replace("G99", "G98").replace("Z-20.", "Z-21.")))


def test_a_rapid_deeper_than_what_was_drilled_before_it_is_seen() -> None:
    (_, deep, *_) = holes(high(HIGH))[0].dives
    one = f"G0 X5.\nZ2.\nG1 Z-1. F600.\nG0 Z25.\nZ{deep:.4f}\nG1 Z-20.\nG0 Z25.\nX15.\nZ2.\nG1 Z-20.\nG0 Z25.\nM30\n"

    assert "at rapid where it did not before" in first_disagreement(high(HIGH), high(one))


FED = "G0 X5.\nG1 Z8. F5000.\n"


def test_a_fed_approach_above_the_r_plane_is_no_stroke() -> None:
    first, second = holes(rows(FED + PECKS))

    assert (first.top, first.bottom, first.strokes, first.blind) == (2.0, -20.0, 5, ())
    assert second.place == (15.0, 0.0)
    assert first_disagreement(rows(FED + PECKS), rows(FED + ONE)) == ""


@pytest.mark.parametrize(
    ("approach", "says"),
    [
        (FED.replace("5000", "4000"), "feed to X5 Y0 Z8 at feed 5000 in the original, feed to X5 Y0 Z8 at feed 4000"),
        (FED.replace("Z8.", "Z7."), "feed to X5 Y0 Z8 at feed 5000 in the original, feed to X5 Y0 Z7"),
        (FED + "Z6.\n", "rapid to X5 Y0 Z2 in the original, feed to X5 Y0 Z6"),
        (FED.replace("G1", "G0"), "feed to X5 Y0 Z8 at feed 5000 in the original, rapid to X5 Y0 Z8"),
        (FED + "G0 Z-3.\n", "rapid to X5 Y0 Z2 in the original, rapid to X5 Y0 Z-3"),
        (FED + "Z-3.\nG0 Z-9.\n", "rapid to X5 Y0 Z2 in the original, feed to X5 Y0 Z-3"),
    ],
)
def test_a_fed_approach_stays_as_it_was(approach: str, says: str) -> None:
    assert says in first_disagreement(rows(FED + PECKS), rows(approach + ONE))
