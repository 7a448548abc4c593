"""Large programs: columns stay columns, objects stay few, and times stay short."""

from time import perf_counter
from typing import Any

from coolcheck.nc.moves import Modal, Span
from coolcheck.process import build

LIMIT = 10.0  # s; some fifty times what it takes on a quiet machine: only a loop over moves comes near it


def test_a_long_mill_program_makes_no_object_a_move(bench: Any) -> None:
    lines = [f"X{i % 100}. Y{i % 37}. Z-{1 + i % 3}." for i in range(60_000)]
    text = "G21 G90 G94\nT5 M6\nS3000 M3\nG0 X0 Y0\nZ5.\nM8\nG1 Z-1. F2000\n" + "\n".join(lines) + "\nG0 Z5.\nM30\n"
    timeline = bench.timeline(text)
    started = perf_counter()
    again = build(timeline.execution, timeline.binding)

    assert perf_counter() - started < LIMIT
    assert len(again.operations) == 1
    assert len(again.edges[0].passages) == 1
    assert again.holes == ()


def test_many_holes_are_grouped_in_columns(bench: Any) -> None:
    rows = "\n".join(f"X{x}. Y{y}." for x in range(150) for y in range(150))
    text = "G21 G90 G94 G99\nT2 M6\nS3000 M3\nG0 X0 Y0\nZ5.\nG83 Z-20. R2. Q5. F200\n" + rows + "\nG80\nM30\n"
    timeline = bench.timeline(text)
    started = perf_counter()
    again = build(timeline.execution, timeline.binding)

    assert perf_counter() - started < LIMIT
    assert len(again.holes) == 150 * 150
    assert len(again.operations) == 1


def test_the_moves_of_an_execution_are_left_as_they_are(bench: Any) -> None:
    timeline = bench.timeline("G21 G90 G94\nT5 M6\nS3000 M3\nG0 X0 Y0\nZ5.\nG1 Z-1. F2000\nX5.\nM30\n")
    before = timeline.execution.moves.seconds.copy()
    build(timeline.execution, timeline.binding)

    assert ((timeline.execution.moves.seconds == before) | (before != before)).all()
    assert isinstance(timeline.execution.spans[0], Span) and isinstance(timeline.execution.spans[0].modal, Modal)
