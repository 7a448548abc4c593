"""The second look on rows written by hand: what it takes for a hole, and every way in which two traces can differ."""

from math import inf
from typing import Any

import pytest

from coolcheck.rewrite.second_look import Found, Row, first_disagreement, holes, parts


def move(kind: str, start: dict[str, float], end: dict[str, float], **more: Any) -> Row:
    return {"n": 1, "line": more.pop("line", 7), "kind": kind, "from": start, "to": end, "tool": more.pop("tool", 4), **more}


def down(start: float, end: float, kind: str = "feed", **more: Any) -> Row:
    """A move along Z at X1 Y2."""
    return move(
        kind,
        {"x": 1.0, "y": 2.0, "z": start},
        {"x": 1.0, "y": 2.0, "z": end},
        **({"feed": 90.0} if kind == "feed" else {}),
        **more,
    )


def up(start: float, end: float, **more: Any) -> Row:
    return down(start, end, "rapid", **more)


ONE = [down(2.0, -9.0, line=3), up(-9.0, 2.0)]
PECKED = [down(2.0, -4.0, line=3), up(-4.0, 2.0), up(2.0, -3.5), down(-3.5, -9.0), up(-9.0, 2.0)]


def test_a_hole_is_found_with_all_that_tells_it() -> None:
    assert holes(PECKED) == [Found(4, "z", (1.0, 2.0), 2.0, -9.0, 2.0, 2, (-3.5,), 3)]
    assert list(parts(ONE)) == [Found(4, "z", (1.0, 2.0), 2.0, -9.0, 2.0, 1, (), 3)]


@pytest.mark.parametrize(("axis", "place"), [("x", (2.0, 3.0)), ("y", (1.0, 3.0)), ("z", (1.0, 2.0))])
def test_a_hole_may_lie_along_any_axis(axis: str, place: tuple[float, float]) -> None:
    at = {"x": 1.0, "y": 2.0, "z": 3.0}
    rows = [move("feed", {**at, axis: 5.0}, {**at, axis: -5.0}, feed=1.0), move("rapid", {**at, axis: -5.0}, {**at, axis: 6.0})]

    (hole,) = holes(rows)
    assert (hole.axis, hole.place, hole.top, hole.bottom, hole.out) == (axis, place, 5.0, -5.0, 6.0)


@pytest.mark.parametrize(("gone", "place"), [("x", (inf, 2.0)), ("y", (1.0, inf))])
def test_a_place_that_is_not_known_is_no_place(gone: str, place: tuple[float, float]) -> None:
    rows = [
        {
            **row,
            "from": {a: v for a, v in row["from"].items() if a != gone},
            "to": {a: v for a, v in row["to"].items() if a != gone},
        }
        for row in ONE
    ]

    assert holes(rows)[0].place == place
    assert first_disagreement(rows, rows) == ""
    assert "it lies at" in first_disagreement(ONE, rows)


def test_what_is_not_fed_down_and_left_at_rapid_is_no_hole() -> None:
    fed_out = [down(2.0, -9.0), down(-9.0, 2.0)]
    sideways = [down(2.0, -9.0), move("feed", {"x": 1.0, "y": 2.0, "z": -9.0}, {"x": 5.0, "y": 2.0, "z": -9.0}), up(-9.0, 2.0)]
    oblique = [move("feed", {"x": 1.0, "y": 2.0, "z": 2.0}, {"x": 1.5, "y": 2.0, "z": -9.0}), up(-9.0, 2.0)]
    only_down, only_up, nowhere = [down(2.0, -9.0)], [up(-9.0, 2.0)], [down(2.0, 2.0), up(2.0, 2.0)]
    arc = [{**down(2.0, -9.0), "kind": "arc_cw"}, up(-9.0, 2.0)]
    half_known = [move("feed", {"x": 1.0, "y": 2.0}, {"x": 1.0, "y": 2.0, "z": -9.0}), up(-9.0, 2.0)]
    half_lost = [move("feed", {"x": 1.0, "y": 2.0, "z": 2.0}, {"x": 1.0, "y": 2.0}), up(-9.0, 2.0)]
    dives = [down(2.0, -9.0, "rapid"), up(-9.0, 2.0)]

    for rows in (fed_out, sideways, oblique, only_down, only_up, nowhere, arc, half_known, half_lost, dives):
        assert holes(rows) == []
        assert len(list(parts(rows))) == len(rows)


def test_each_time_the_tool_comes_from_above_the_top_is_another_hole() -> None:
    rows = [*ONE, up(2.0, 25.0), up(25.0, 2.0), *ONE]
    at_the_top = [*ONE, down(2.0, -12.0), up(-12.0, 2.0)]
    hardly_above = [*ONE, up(2.0, 2.0 + 1e-6), down(2.0 + 1e-6, -12.0), up(-12.0, 2.0)]

    assert [isinstance(part, Found) for part in parts(rows)] == [True, False, True]
    assert [hole.out for hole in holes(rows)] == [25.0, 2.0]
    assert [(hole.strokes, hole.bottom) for hole in holes(at_the_top)] == [(2, -12.0)]
    assert [(hole.strokes, hole.bottom) for hole in holes(hardly_above)] == [(2, -12.0)]
    assert len(holes([*ONE, up(2.0, 2.1), down(2.1, -12.0), up(-12.0, 2.1)])) == 2
    assert len(holes([*ONE, up(2.0, 25.0), down(25.0, -12.0), up(-12.0, 25.0)])) == 2


def test_a_tool_that_stands_elsewhere_without_having_moved_begins_another_hole() -> None:
    """As where a work offset changes between two blocks: the next move starts at another height."""
    rows = [down(2.0, -9.0), down(25.0, -12.0), up(-12.0, 25.0)]

    assert [(hole.top, hole.bottom, hole.strokes) for hole in holes(rows)] == [(25.0, -12.0, 1)]
    assert [isinstance(part, Found) for part in parts(rows)] == [False, True]


def test_what_comes_before_and_behind_a_hole_stays_plain() -> None:
    before, behind = up(25.0, 2.0), down(2.0, 3.0)
    made = list(parts([before, *ONE, behind]))

    assert [isinstance(part, Found) for part in made] == [False, True, False]
    assert made[0] == ("rapid", 4, None, 1.0, 2.0, 25.0, 1.0, 2.0, 2.0, None, None, None)
    assert made[2] == ("feed", 4, 90.0, 1.0, 2.0, 2.0, 1.0, 2.0, 3.0, None, None, None)


def test_a_hole_ends_with_the_last_rapid_up() -> None:
    (hole, *rest) = parts([*PECKED, up(2.0, 20.0), down(20.0, 21.0), down(21.0, 22.0)])

    assert isinstance(hole, Found) and hole.out == 20.0
    assert [part[0] for part in rest] == ["feed", "feed"]


def test_a_feed_upwards_is_not_the_way_out() -> None:
    (hole, *rest) = parts([down(2.0, -9.0), up(-9.0, -1.0), down(-1.0, 2.0)])

    assert isinstance(hole, Found) and hole.out == -1.0
    assert len(rest) == 1


def test_another_axis_ends_a_visit() -> None:
    at = {"x": 1.0, "y": 2.0, "z": 2.0}
    rows = [*ONE, move("feed", at, {**at, "x": -5.0}, feed=1.0), move("rapid", {**at, "x": -5.0}, at), *ONE]

    assert [hole.axis for hole in holes(rows)] == ["z", "x", "z"]


def test_a_rapid_below_the_top_is_a_dive() -> None:
    for depth, dives in ((1.999, (1.999,)), (2.0 - 1e-6, ()), (2.0 - 3e-6, (2.0 - 3e-6,)), (-3.5, (-3.5,))):
        rows = [down(2.0, -4.0), up(-4.0, 2.0), up(2.0, depth), down(depth, -9.0), up(-9.0, 2.0)]
        (hole,) = holes(rows)
        assert hole.dives == dives
        assert hole.strokes == 2


@pytest.mark.parametrize("row", [{"line": 1, "kind": kind, "tool": 4, "code": "X"} for kind in ("tool_change", "stop", "end")])
def test_tool_changes_stops_and_ends_are_parts_and_end_a_visit(row: Row) -> None:
    made = list(parts([down(2.0, -9.0), row, up(-9.0, 2.0)]))

    assert len(made) == 3
    assert made[1] == (row["kind"], 4, "X")


@pytest.mark.parametrize("kind", ["dwell", "spindle", "fluid", "m_code"])
def test_what_else_happens_in_a_hole_is_left_to_the_first_proof(kind: str) -> None:
    assert list(parts([ONE[0], {"line": 1, "kind": kind, "code": "X"}, ONE[1]])) == list(parts(ONE))


# --------------------------------------------------------------------------------------------------------- disagreement

HERE = "hole at X1 Y2 (line 3 of the original, line 3 of the new program): "


def hole_rows(**changed: Any) -> list[Row]:
    return [{**ONE[0], **changed}, {**ONE[1], **{k: v for k, v in changed.items() if k == "tool"}}]


def moved(rows: list[Row], axis: str, by: float) -> list[Row]:
    return [
        {**row, "from": {**row["from"], axis: row["from"][axis] + by}, "to": {**row["to"], axis: row["to"][axis] + by}}
        for row in rows
    ]


@pytest.mark.parametrize(
    ("new", "says"),
    [
        (hole_rows(tool=5), "another tool or axis makes it"),
        (moved(ONE, "x", 0.5), "it lies at (1.5, 2.0) instead of (1.0, 2.0)"),
        (moved(ONE, "y", -0.5), "it lies at (1.0, 1.5) instead of (1.0, 2.0)"),
        ([down(2.5, -9.0, line=3), up(-9.0, 2.0)], "its top is 2.5 instead of 2"),
        ([down(2.0, -9.5, line=3), up(-9.5, 2.0)], "its bottom is -9.5 instead of -9"),
        ([down(2.0, -9.0, line=3), up(-9.0, 3.0)], "its return level is 3 instead of 2"),
        (PECKED, "it takes more strokes than before"),
    ],
)
def test_whatever_differs_in_a_hole_is_told(new: list[Row], says: str) -> None:
    assert first_disagreement(ONE, new) == HERE + says


def test_an_axis_that_differs_is_told() -> None:
    at = {"x": 1.0, "y": 2.0, "z": 3.0}
    along_x = [move("feed", {**at, "x": 5.0}, {**at, "x": -5.0}, feed=1.0), move("rapid", {**at, "x": -5.0}, {**at, "x": 5.0})]

    assert first_disagreement(ONE, along_x).endswith("another tool or axis makes it")
    assert first_disagreement(along_x, ONE).startswith("hole at Y2 Z3 (line 7 of the original, line 3 of the new program)")


def test_what_is_told_of_a_hole_may_lose_what_a_trace_rounds() -> None:
    for rows in (moved(ONE, "x", 1.5e-6), moved(ONE, "z", -1.5e-6), moved(ONE, "y", 1.5e-6)):
        assert first_disagreement(ONE, rows) == ""
        assert first_disagreement(rows, ONE) == ""
    for axis in "xyz":
        assert first_disagreement(ONE, moved(ONE, axis, 3e-6)) != ""
        assert first_disagreement(ONE, moved(ONE, axis, -3e-6)) != ""


def test_two_millionths_are_the_last_that_a_trace_may_lose() -> None:
    most = 2e-6
    above = [*ONE, up(2.0, 2.0 + most), down(2.0 + most, -12.0), up(-12.0, 2.0)]
    below = [down(2.0, -4.0), up(-4.0, 2.0), up(2.0, 2.0 - most), down(2.0 - most, -9.0), up(-9.0, 2.0)]
    from_nought = [down(0.0, -9.0), up(-9.0, 0.0)]
    from_there = [down(most, -9.0), up(-9.0, most)]
    here, there = ({**SIDE, "to": {"x": 0.0, "y": y, "z": 9.0}} for y in (0.0, most))

    assert [(hole.strokes, hole.bottom) for hole in holes(above)] == [(2, -12.0)]
    assert [hole.dives for hole in holes(below)] == [()]
    assert first_disagreement(from_nought, from_there) == first_disagreement([here], [there]) == ""


def test_fewer_strokes_are_the_same_hole_and_as_many_too() -> None:
    assert first_disagreement(PECKED, ONE) == ""
    assert first_disagreement(PECKED, PECKED) == ""


def test_rapids_into_a_hole_are_those_of_before_or_none() -> None:
    twice = [
        down(2.0, -3.0, line=3),
        up(-3.0, 2.0),
        up(2.0, -2.5),
        down(-2.5, -6.0),
        up(-6.0, 2.0),
        up(2.0, -5.5),
        down(-5.5, -9.0),
        up(-9.0, 2.0),
    ]
    deeper = [{**row} for row in PECKED]
    deeper[2], deeper[3] = up(2.0, -3.6), down(-3.6, -9.0)
    hardly = [{**row} for row in PECKED]
    hardly[2], hardly[3] = up(2.0, -3.5 - 1e-6), down(-3.5 - 1e-6, -9.0)
    says = HERE + "the tool goes into it at rapid where it did not before"

    assert first_disagreement(PECKED, hardly) == ""
    assert first_disagreement(PECKED, deeper) == says
    assert first_disagreement(twice, PECKED) == says
    assert first_disagreement(twice, twice) == ""


def pecked(*strokes: tuple[float, float]) -> list[Row]:
    """Strokes from a height, the first from the top, down to a depth; each back out at rapid, and in again at rapid."""
    rows = [down(2.0, strokes[0][1], line=3), up(strokes[0][1], 2.0)]
    for start, end in strokes[1:]:
        rows += [up(2.0, start), down(start, end), up(end, 2.0)]
    return rows


def test_a_rapid_below_what_was_drilled_stays_only_where_all_rapids_stay() -> None:
    blind = pecked((2.0, -4.0), (-6.0, -7.0), (-3.0, -9.0))  # as deep as -6 it goes into the unknown
    sighted = pecked((2.0, -4.0), (-3.0, -7.0), (-6.0, -9.0))  # the same depths, each drilled before
    says = HERE + "the tool goes into it at rapid where it did not before"

    assert first_disagreement(blind, blind) == first_disagreement(blind, sighted) == ""
    assert first_disagreement(sighted, blind) == says
    assert first_disagreement(blind, pecked((2.0, -4.0), (-6.0, -9.0))) == says


@pytest.mark.parametrize("start", [-4.0, -4.0 - 2e-6])
def test_a_rapid_to_where_was_drilled_is_not_blind(start: float) -> None:
    often, less = pecked((2.0, -4.0), (start, -9.0), (start, -12.0)), pecked((2.0, -4.0), (start, -12.0))

    assert [hole.blind for hole in holes(often)] == [()]
    assert first_disagreement(often, less) == ""


SIDE = move("feed", {"x": 0.0, "y": 0.0, "z": 2.0}, {"x": 5.0, "y": 1.0, "z": 2.0}, feed=100.0)


@pytest.mark.parametrize(
    ("new", "says"),
    [
        (
            {**SIDE, "kind": "rapid"},
            "feed to X5 Y1 Z2 at feed 100 in the original, rapid to X5 Y1 Z2 at feed 100 in the rewritten program",
        ),
        (
            {**SIDE, "tool": 5},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to X5 Y1 Z2 at feed 100 in the rewritten program",
        ),
        (
            {**SIDE, "feed": 101.0},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to X5 Y1 Z2 at feed 101 in the rewritten program",
        ),
        (
            {**SIDE, "to": {"x": 5.0, "y": 1.1, "z": 2.0}},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to X5 Y1.1 Z2 at feed 100 in the rewritten program",
        ),
        (
            {**SIDE, "from": {"x": 0.1, "y": 0.0, "z": 2.0}},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to X5 Y1 Z2 at feed 100 in the rewritten program",
        ),
        (
            {**SIDE, "center": {"x": 0.1, "y": 0.0}},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to X5 Y1 Z2 at feed 100 in the rewritten program",
        ),
        (
            {**SIDE, "to": {"y": 1.0}},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to Y1 at feed 100 in the rewritten program",
        ),
        (
            {**SIDE, "to": {}},
            "feed to X5 Y1 Z2 at feed 100 in the original, feed to an unknown place at feed 100 in the rewritten program",
        ),
    ],
)
def test_whatever_differs_in_a_plain_move_is_told(new: Row, says: str) -> None:
    assert first_disagreement([SIDE], [new]) == says


def test_a_move_without_a_feed_is_told_without_one() -> None:
    rapid = {key: value for key, value in SIDE.items() if key != "feed"} | {"kind": "rapid"}

    assert (
        first_disagreement([rapid], [SIDE])
        == "rapid to X5 Y1 Z2 in the original, feed to X5 Y1 Z2 at feed 100 in the rewritten program"
    )


def test_numbers_of_plain_moves_may_lose_what_a_trace_rounds() -> None:
    for change in (1.5e-6, -1.5e-6):
        assert first_disagreement([SIDE], [{**SIDE, "to": {"x": 5.0 + change, "y": 1.0, "z": 2.0}}]) == ""
    assert first_disagreement([{**SIDE, "feed": 20000.0}], [{**SIDE, "feed": 20000.01}]) == ""
    assert first_disagreement([{**SIDE, "feed": 20000.0}], [{**SIDE, "feed": 20000.03}]) != ""
    assert first_disagreement([{**SIDE, "feed": 20000.0}], [{**SIDE, "feed": -20000.0}]) != ""
    for change in (9e-6, -9e-6):
        assert first_disagreement([SIDE], [{**SIDE, "to": {"x": 5.0 + change, "y": 1.0, "z": 2.0}}]) != ""


def event(kind: str, **more: Any) -> Row:
    return {"line": 1, "kind": kind, **more}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            [event("tool_change", tool=4)],
            [event("tool_change", tool=5)],
            "tool change 4 in the original, tool change 5 in the rewritten program",
        ),
        ([event("stop", code="M0")], [event("stop", code="M1")], "stop M0 in the original, stop M1 in the rewritten program"),
        ([event("tool_change")], [event("end", code="M30")], "tool change in the original, end M30 in the rewritten program"),
        (ONE, [], "a hole at X1 Y2 in the original, nothing in the rewritten program"),
        ([], ONE, "nothing in the original, a hole at X1 Y2 in the rewritten program"),
        ([], [SIDE], "nothing in the original, feed to X5 Y1 Z2 at feed 100 in the rewritten program"),
        ([SIDE], [], "feed to X5 Y1 Z2 at feed 100 in the original, nothing in the rewritten program"),
        (ONE, [SIDE], "a hole at X1 Y2 in the original, feed to X5 Y1 Z2 at feed 100 in the rewritten program"),
        ([SIDE], ONE, "feed to X5 Y1 Z2 at feed 100 in the original, a hole at X1 Y2 in the rewritten program"),
        ([SIDE], [event("stop", code="M0")], "feed to X5 Y1 Z2 at feed 100 in the original, stop M0 in the rewritten program"),
    ],
)
def test_a_part_that_the_other_has_not_is_told(old: list[Row], new: list[Row], says: str) -> None:
    assert first_disagreement(old, new) == says


def test_nothing_disagrees_with_nothing() -> None:
    assert first_disagreement([], []) == ""
