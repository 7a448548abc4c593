"""Settings that stand elsewhere in the program and explain a number: the feed mode of a feed, the work offset of a hole."""

from collections.abc import Callable
from typing import Any

Ask = Callable[..., Any]
HEAD = "G21 G17 G90 G94 G99\n"


def named(evidence: Any, name: str) -> list[tuple[Any, int | None]]:
    return [(item.value, item.place.line if item.place else None) for item in evidence if item.name == name]


def drilled(tool: int, offset: str, depth: float, head: str = "") -> str:
    return f"T{tool} M6\nS3000 M3\n{head}G0 {offset} X10. Y0\nG43 H{tool} Z5.\nG81 Z-{depth} R2. F200.\nG80\nG0 Z50.\n"


def test_feed_per_turn_is_told_with_the_block_that_set_it(bench: Any) -> None:
    first, second = bench.timeline(HEAD + "G54\nG95\n" + drilled(1, "", 2) + drilled(2, "", 20) + "M30\n").operations

    assert named(first.feed.evidence, "feed mode") == [("G95, per turn", 3)]
    assert named(second.feed.evidence, "feed mode") == [("G95, per turn", 3)]


def test_feed_per_minute_is_what_all_expect(bench: Any) -> None:
    first, second = bench.timeline(HEAD + drilled(1, "G54", 2, "G95\n") + drilled(2, "G54", 20, "G94\n") + "M30\n").operations

    assert named(first.feed.evidence, "feed mode") == [("G95, per turn", 4)]
    assert named(second.feed.evidence, "feed mode") == []


def test_inverse_time_is_named_too(bench: Any) -> None:
    (operation,) = bench.timeline(HEAD + "T5 M6\nS3000 M3\nG0 G54 X0 Y0\nZ-1.\nG93\nG1 X50. F2.\nM30\n").operations

    assert named(operation.feed.evidence, "feed mode") == [("G93, inverse time", 6)]


def test_a_drill_under_another_work_offset_is_told_where_its_hole_is_missed(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + drilled(1, "G54", 2) + drilled(2, "G55", 20) + drilled(3, "G54", 15) + "M30\n")
    before = next(
        ask(timeline, "step", "depth_before", index) for index in range(3) if ask(timeline, "step", "name", index).value == "T3"
    )

    assert round(before.value * 1e3, 4) == 2
    assert named(before.evidence, "work offset of T2") == [("G55", 11)]
    assert named(before.evidence, "work offset") == [("G54", 18)]


def test_the_same_holes_under_two_work_offsets_are_no_slip(bench: Any, ask: Ask) -> None:
    both = [drilled(tool, offset, depth) for tool, depth in ((2, 20), (3, 15)) for offset in ("G54", "G55")]
    timeline = bench.timeline(HEAD + "".join(both) + "M30\n")
    told = [item.name for index in range(4) for item in ask(timeline, "step", "depth_before", index).evidence]

    assert "depth" in told
    assert not [name for name in told if name.startswith("work offset")]
