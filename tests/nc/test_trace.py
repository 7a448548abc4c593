"""The trace: one plain row a move or event."""

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coolcheck.nc.dialect import dialect_names, load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.limits import Limits
from coolcheck.nc.program import Program
from coolcheck.nc.trace import trace
from tests.nc.running import SAFE, run
from tests.strategies import programs


def rows(text: str, **options: object) -> list[dict[str, object]]:
    return list(trace(run(text), **options))  # type: ignore[arg-type]


def test_a_short_program() -> None:
    text = SAFE + "T1 M6\nS1000 M3\nG0 X0 Y0 Z5. M8\nG1 Z-5. F100\nG2 X10. I5. J0\nG4 P500\nM57 P3\nM9\nM1\nM30"

    assert rows(text) == [
        {"n": 1, "line": 2, "kind": "tool_change", "tool": 1},
        {"n": 2, "line": 3, "kind": "spindle", "code": "M3", "spindle": "clockwise", "rpm": 1000},
        {"n": 3, "line": 4, "kind": "fluid", "code": "M8", "fluid": "flood on"},
        {"n": 4, "line": 4, "kind": "rapid", "from": {}, "to": {"x": 0, "y": 0, "z": 5}, "rpm": 1000, "tool": 1},
        {
            "n": 5,
            "line": 5,
            "kind": "feed",
            "from": {"x": 0, "y": 0, "z": 5},
            "to": {"x": 0, "y": 0, "z": -5},
            "feed": 100,
            "rpm": 1000,
            "tool": 1,
            "seconds": 6,
        },
        {
            "n": 6,
            "line": 6,
            "kind": "arc_cw",
            "from": {"x": 0, "y": 0, "z": -5},
            "to": {"x": 10, "y": 0, "z": -5},
            "center": {"x": 5, "y": 0},
            "feed": 100,
            "rpm": 1000,
            "tool": 1,
            "seconds": round(5 * math.pi / 100 * 60, 6),
        },
        {"n": 7, "line": 7, "kind": "dwell", "seconds": 0.5},
        {"n": 8, "line": 8, "kind": "m_code", "code": "M57", "words": {"P": 3.0}},
        {"n": 9, "line": 9, "kind": "fluid", "code": "M9", "fluid": "all off"},
        {"n": 10, "line": 10, "kind": "stop", "code": "M1", "optional": True},
        {"n": 11, "line": 11, "kind": "end", "code": "M30"},
    ]


def test_in_inch() -> None:
    last = rows("G20 G17 G90 G94\nG0 X0 Y0 Z0\nG1 X1. F10.", units="inch")[-1]

    assert (last["to"], last["feed"], last["seconds"]) == ({"x": 1, "y": 0, "z": 0}, 10, 6)


def test_rapids_have_a_time_only_where_the_caller_knows_their_rate() -> None:
    text = SAFE + "G0 X0 Y0 Z0\nG0 X10."

    assert all("seconds" not in row for row in rows(text))
    assert [row.get("seconds") for row in rows(text, rates=[0.5, 0.25])] == [
        None,
        0.25,
    ]  # the first comes from nobody knows where
    assert [row.get("seconds") for row in rows(text, rates=lambda row: row + 1)] == [None, 2]


def test_a_speed_is_told_only_while_the_spindle_turns() -> None:
    told = rows(SAFE + "G0 X0 Y0 Z0\nS500 M3\nX1.\nM5\nX2.")

    assert [row.get("rpm") for row in told if row["kind"] == "rapid"] == [None, 500, None]


def test_there_is_no_minus_zero() -> None:
    assert "-0.0" not in json.dumps(rows(SAFE + "G0 X-0. Y-0.0000001 Z0\nG1 X1. F10"))


def test_what_a_tap_does_to_the_spindle_is_written() -> None:
    found = rows(SAFE + "S500 M3\nG0 X0 Y0 Z5.\nG84 X1. Z-5. R2. F500")

    assert [row["spindle"] for row in found if row["kind"] == "spindle"] == ["clockwise", "counterclockwise", "clockwise"]


def test_rows_of_a_subprogram_file_name_it(tmp_path) -> None:  # type: ignore[no-untyped-def]
    from coolcheck.nc.library import Library

    (tmp_path / "O2.nc").write_text("G0 X1.\nM99\n")
    found = list(trace(run(SAFE + "M98 P2\nM30", search=Library([tmp_path]))))

    assert [(row["line"], str(row.get("file", ""))[-5:]) for row in found] == [(1, "O2.nc"), (3, "")]


def test_a_word_of_a_builder_code_that_is_not_known_is_null() -> None:
    (row,) = rows(SAFE + "M57 P..")

    assert row["words"] == {"P": None}


KINDS = {"rapid", "feed", "arc_cw", "arc_ccw", "dwell", "tool_change", "spindle", "fluid", "m_code", "stop", "end"}


@settings(deadline=None)
@given(data=programs(), dialect=st.sampled_from(dialect_names()))
def test_any_program_can_be_run_and_traced(data: bytes, dialect: str) -> None:
    execution = interpret(
        Program.read(data, "p.nc", load_dialect(dialect)), limits=Limits(max_blocks_executed=2000, max_moves=5000, max_seconds=5)
    )
    found = list(trace(execution))

    assert [row["n"] for row in found] == list(range(1, len(found) + 1))
    assert {row["kind"] for row in found} <= KINDS
    assert all(row.get("seconds", 0) >= 0 for row in found)
    json.dumps(found, allow_nan=False)


COMMON = "X1. Y2. Z-3. X-1. Z5. R2. I1. J1. K2. Q1.5 P100 L2 K3 F100 S500 T1 M3 M6 M8 M9 M57 A90. G0 G1 G2 G3 G4 G15 G16 G17"
RARE = "G18 G19 G20 G21 G28 G43H1 G49 G50.1 G51.1 G52 G53 G54 G55 G68 G69 G73 G80 G81 G82 G83 G84 G85 G86 G87 G89 G90 G91 G92"
words = st.sampled_from([*COMMON.split(), *RARE.split(), "G93", "G94", "G95", "G98", "G99"])
lines = st.lists(words, min_size=1, max_size=5).map(" ".join)


@settings(deadline=None)
@given(blocks=st.lists(lines, min_size=1, max_size=15), dialect=st.sampled_from(dialect_names()), known=st.booleans())
def test_rows_holes_and_events_fit_together(blocks: list[str], dialect: str, known: bool) -> None:
    program = Program.read("\n".join(blocks).encode(), "p.nc", load_dialect(dialect))
    e = interpret(program, start=(0.0, 0.0, 10.0) if known else None, limits=Limits(max_moves=3000))
    count, holes = len(e.moves), e.cycle_holes

    rows = [event.row for event in e.events]
    assert rows == sorted(rows)
    assert all(0 <= row <= count for row in rows)
    assert e.spans[0].row == 0
    assert [span.row for span in e.spans] == sorted({span.row for span in e.spans})
    assert not (e.moves.seconds < 0).any()
    for number in range(len(holes)):
        first, last = int(holes.first[number]), int(holes.last[number])
        assert 0 <= first <= last + 1 <= count
        assert (e.moves.cycle[first : last + 1] == number).all()
        cycle = e.cycles[holes.cycle[number]]
        assert cycle.pecks[-1] == pytest.approx(cycle.bottom, nan_ok=True)
    assert set(e.moves.cycle.tolist()) <= set(range(-1, len(holes)))
    arcs = e.moves.arc[e.moves.kind >= 2]
    assert arcs.tolist() == list(range(len(e.moves.arcs.radius)))
