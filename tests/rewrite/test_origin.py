"""Places are told in the original, whatever lines the stages before have put in or taken out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shop import rewritten

from coolcheck.known import Evidence
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.rewrite.edit import Edit, apply
from coolcheck.rewrite.origin import Origin
from coolcheck.rewrite.refusal import Refusal

TEXT = b"A1\nB2\nC3\nD4\n"
DIALECT = load_dialect()


def program(data: bytes) -> Program:
    return Program.read(data, "p.nc", DIALECT)


def edit(start: int, end: int, text: bytes) -> Edit:
    return Edit(start, end, text, "", "single_pass")


def behind(*stages: list[Edit]) -> Origin:
    """The origin of a text behind some stages."""
    data, origin = TEXT, Origin(program(TEXT))
    for edits in stages:
        data = apply(data, edits)
        origin = origin.advanced(edits, program(data))
    return origin


def lines(origin: Origin, count: int) -> list[int]:
    return [origin.place(Place("p.nc", line, 1)).line for line in range(1, count + 1)]


@pytest.mark.parametrize(
    ("edits", "wanted"),
    [
        ([], [1, 2, 3, 4]),
        ([edit(3, 3, b"X\nY\n")], [1, 2, 2, 2, 3, 4]),
        ([edit(3, 6, b"")], [1, 3, 4]),
        ([edit(12, 12, b"X\n")], [1, 2, 3, 4, 4]),
        ([edit(0, 0, b"X\n")], [1, 1, 2, 3, 4]),
        ([edit(4, 5, b"99"), edit(6, 6, b"X\n"), edit(9, 12, b"")], [1, 2, 3, 3]),
    ],
)
def test_each_line_knows_where_it_comes_from(edits: list[Edit], wanted: list[int]) -> None:
    assert lines(behind(edits), len(wanted)) == wanted


def test_stages_follow_each_other() -> None:
    origin = behind([edit(3, 3, b"X\n")], [edit(0, 3, b""), edit(8, 8, b"Y\n")])  # X B2 Y C3 D4

    assert lines(origin, 5) == [2, 2, 3, 3, 4]


def test_a_place_keeps_its_column_only_where_the_block_is_the_same() -> None:
    origin = behind([edit(0, 0, b"X\n"), edit(3, 4, b"BB")])

    assert origin.place(Place("p.nc", 4, 2, 4, 3)) == Place("p.nc", 3, 2, 3, 3)
    assert origin.place(Place("p.nc", 3, 3)) == Place("p.nc", 2, 1, 2, 3)
    assert origin.place(Place("p.nc", 4)) == Place("p.nc", 3)


def test_other_files_stay() -> None:
    place = Place("tools/T1.yaml", 4, 2)

    assert behind([edit(0, 0, b"X\n")]).place(place) == place


def test_sentences_name_the_lines_of_the_original() -> None:
    origin = behind([edit(0, 0, b"X\n")])
    evidence = (Evidence("speed", 300.0, "rpm", Place("p.nc", 3, 1)), Evidence("first", "original p.nc:4:1, rewritten p.nc:4:1"))
    told = origin.refusal(Refusal(Place("p.nc", 2, 1), "edge_regime", 3, "dry (line 3), then wet at p.nc:4:1", (), evidence))

    assert told.where == Place("p.nc", 1, 1) and told.says == "dry (line 2), then wet at p.nc:3:1"
    assert told.evidence[0].place == Place("p.nc", 2, 1)
    assert told.evidence[1].value == "original p.nc:3:1, rewritten p.nc:4:1"


@given(st.lists(st.integers(0, 3), max_size=4, unique=True))
def test_a_line_that_stays_is_found_again(after: list[int]) -> None:
    edits = [edit(3 * at, 3 * at, b"NEW\n" * (at + 1)) for at in sorted(after)]
    origin = behind(edits)
    new = apply(TEXT, edits).decode().splitlines()

    for number, text in enumerate(new, 1):
        if text != "NEW":
            assert TEXT.decode().splitlines()[origin.place(Place("p.nc", number, 1)).line - 1] == text


def test_what_is_left_points_into_the_original() -> None:
    program = (
        "G21 G17 G90 G94\nT1 M6\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25. M8\nG99 G83 Z-40. R2. Q5. F636.\nG80\nM9\nM5\n"
        "T4 M6\nG0 X50. Y0. S3180 M3\nG43 H4 Z25. M8\nG99 G83 X50. Z-30. R2. Q5. F636.\nG80\nM9\nM5\nM30\n"
    )
    done = rewritten(program.encode())
    (left,) = [refusal for refusal in done.refusals if refusal.mend == "single_pass"]

    assert b"G81 Z-40." in done.result  # lines have come in before
    assert program.splitlines()[left.where.line - 1].startswith("G99 G83 X50.")
