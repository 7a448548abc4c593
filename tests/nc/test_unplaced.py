"""G91 of a reference return that is still on, and cuts from where nobody knows."""

import pytest

from coolcheck.nc.moves import Note
from tests.nc.running import SAFE, run

HEAD = SAFE + "T5 M6\nG0 G54 X15. Y15. S3000 M3\nG43 H5 Z30.\nG99 G81 Z-35. R2. F600.\nG80\n"
TAIL = "G91 G28 Z0. M5\nG90\nM30\n"


def told(text: str, name: str) -> list[Note]:
    return [note for note in run(text).notes if note.id == name]


@pytest.mark.parametrize(
    "between",
    [
        "T6 M6\nG0 X55. Y15. S3700 M3\n",
        "T6 M6\nM1\nG0 G54 X55. S3700 M3\n",
        "G28 X0. Y0.\nT6 M6\nG43 H6 Z30.\n",
        "T6 M6\nG0 A90.\nX55. Y15.\n",
    ],
)
def test_the_first_positioning_under_the_g91_of_a_reference_return_is_told(between: str) -> None:
    text = HEAD + "G91 G28 Z0.\n" + between + TAIL
    (note,) = told(text, "incremental-left-on")

    assert note.place.line == 7 + between.count("\n")
    assert "in line 7 is still on" in note.says


@pytest.mark.parametrize(
    "between",
    [
        "G90\nT6 M6\nG0 X55. Y15. S3700 M3\n",
        "T6 M6\nG90 G0 X55. Y15. S3700 M3\n",
        "G28 X0. Y0.\n",
        "G0 G53 X0. Y0.\nG90\n",
        "T6 M6\nG91 G0 X5.\nG90\n",
        "T6 M6\nG0 A90.\nG90\nX55.\n",
    ],
)
def test_a_g91_that_is_taken_back_or_meant_is_not_told(between: str) -> None:
    assert not told(HEAD + "G91 G28 Z0.\n" + between + TAIL, "incremental-left-on")


def test_a_cycle_from_an_unknown_height_is_told_once_with_the_g91_that_is_on() -> None:
    cycle = "T6 M6\nG0 X55. Y15.\nG43 H6 Z30.\nG99 G81 Z-30. R2. F629.\nX20.\nX20.\nG80\n"
    (note,) = told(HEAD + "G91 G28 Z0.\n" + cycle + TAIL, "position-unknown")

    assert note.place.line == 11 and "G81 cuts at a height that the program does not tell: G91 of line 7" in note.says
    assert [seen.tool for seen in note.by_tool] == [6]


def test_a_cycle_without_a_move_is_told_with_the_g91_that_was_on_then() -> None:
    cycle = "T6 M6\nG0 X55.\nG43 H6 Z30.\nG99 G81 Z-30. R2. F629.\nG80\n"
    (note,) = told(HEAD + "G91 G28 Z0.\n" + cycle + TAIL, "position-unknown")

    assert note.place.line == 11 and "G91 of line 7" in note.says


@pytest.mark.parametrize(
    ("cut", "axes"), [("G43 H6 Z30.\nG1 Z-5. F300.\n", "height"), ("G90 Z5.\nG28 X0.\nG91\nG1 X5. F300.\n", "place")]
)
def test_a_feed_from_where_nobody_knows_is_told(cut: str, axes: str) -> None:
    (note,) = told(HEAD + "G91 G28 Z0.\nT6 M6\n" + cut + TAIL, "position-unknown")

    assert f"a feed move runs at a {axes}" in note.says and note.place.line == 8 + cut.count("\n")


@pytest.mark.parametrize(
    "text",
    [
        HEAD + TAIL,
        HEAD + "G91 G28 Z0.\nG90\nG1 X40. F5000.\n" + TAIL,  # at the reference height, in G90
        HEAD + "Z5.\nG91\nG1 X5. F300.\nG90\n" + TAIL,
        HEAD + "G91\nG81 X10. Z-37. R0. F600. K3\nG80\nG90\n" + TAIL,
    ],
)
def test_incremental_cuts_from_a_known_place_are_not_told(text: str) -> None:
    assert not told(text, "position-unknown")


def test_a_subprogram_has_its_place_from_its_caller() -> None:
    assert not told("O10\nG91\nG1 Z-5. F300.\nG90\nM99\n", "position-unknown")
