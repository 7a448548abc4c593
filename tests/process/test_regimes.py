"""Holes of one cycle under another fluid, speed or feed are operations of their own; at an unknown height nothing is a no."""

from pathlib import Path

import pytest

from coolcheck.process.facts import FACTS
from coolcheck.process.model import Timeline
from tests.judge.cases import Case, timeline_of

HEAD = "G21 G17 G90 G94 G98\nT1 M6\nS3000 M3\nG54 G0 X0 Y0\nG43 H1 Z5.\nM57\nG4 P2.\n"
TAIL = "G80\nM58\nG0 Z50.\nM30\n"
CYCLE = "G99 G81 Z-20. R2. F600\n"
PLAIN = "G0 Z2.\nG1 Z-20. F600\nG0 Z5.\n"


def made(folder: Path, body: str, head: str = HEAD) -> Timeline:
    return timeline_of(Case("", 1, "", "", head + body + TAIL, {}), folder)


@pytest.mark.parametrize(
    ("body", "holes"),
    [
        (CYCLE + "X20.\nX40.\n", [3]),
        (CYCLE + "X20.\nM58\nX40.\nX60.\n", [2, 2]),
        (CYCLE + "X20. M58\nX40.\nM57\nX60.\n", [1, 3]),  # it comes late in the second, which is told of it as one
        (CYCLE + "M8\nX20.\n", [1, 1]),
        (CYCLE + "X20. F700\nX40.\nX60. F600\n", [1, 2, 1]),
        (CYCLE + "S2000\nX20.\nX40.\n", [1, 2]),
        (CYCLE + "S3000\nX20. F600\nG4 P1.\nX40.\n", [3]),
        (PLAIN + "X20.\n" + PLAIN, [2]),
        (PLAIN + "M58\nX20.\n" + PLAIN, [1, 1]),
        (PLAIN + "X20.\n" + PLAIN.replace("600", "900"), [1, 1]),
        ("G0 Z2.\nG1 Z-5. F100\nZ-20. F600\nG0 Z5.\nX20.\nG0 Z2.\nG1 Z-5. F100\nZ-20. F600\nG0 Z5.\n", [2]),
    ],
)
def test_an_operation_ends_where_the_next_hole_is_made_otherwise(tmp_path: Path, body: str, holes: list[int]) -> None:
    timeline = made(tmp_path, body)

    assert [len(operation.holes) for operation in timeline.operations] == holes
    assert [number for operation in timeline.operations for number in operation.holes] == list(range(1, sum(holes) + 1))
    for before, operation in zip(timeline.operations, timeline.operations[1:], strict=False):
        assert before.rows[1] + 1 == operation.rows[0] and operation.place.line > before.place.line


def test_each_part_has_its_own_fluid_speed_and_feed(tmp_path: Path) -> None:
    first, second = made(tmp_path, CYCLE + "M58\nX20. S1200 F240\n").operations

    assert first.delivered.is_yes and second.delivered.is_no
    assert (first.n.value, second.n.value) == (50.0, 20.0)
    assert (round(first.feed.value * 60e3), round(second.feed.value * 60e3)) == (600, 240)


def test_milling_is_not_parted_by_its_feeds(tmp_path: Path) -> None:
    path = "G0 Z2.\nG1 Z-2. F200\nX50. F800\nM8\nY5. F600\nX0.\n"

    assert len(made(tmp_path, path).operations) == 1


def test_of_a_cycle_at_an_unknown_height_nothing_is_told(tmp_path: Path) -> None:
    timeline = made(tmp_path, CYCLE, "G21 G17 G90 G94 G98\nG91 G28 Z0\nT1 M6\nS3000 M3\nG54 G0 X0 Y0\nM57\n")
    (blind,) = timeline.operations

    assert not blind.kind_known.is_known and not blind.delivered.is_known
    for name in ("cuts", "drills", "dry", "liquid_commanded", "through_tool_commanded", "depth", "feed_per_turn"):
        assert not FACTS["operation", name].of(blind, timeline).is_known, name
