from dataclasses import replace
from xml.etree import ElementTree

import pytest
from made_reviews import CHAIN, HOLES, OPERATION, STEP

from coolcheck.report.drawn import Bottoms, Cut, Drawn, EdgeRow
from coolcheck.report.pictures import bars, icons
from coolcheck.report.pictures.heat import heats
from coolcheck.report.pictures.plan import MOST_HOLES, histories_of, plans, without_place
from coolcheck.report.pictures.section import section
from coolcheck.report.pictures.states import STATES, fluid_words, state_name, textures
from coolcheck.report.pictures.svg import element
from coolcheck.report.pictures.time_picture import time_picture
from coolcheck.report.rows import ChainRow, LinkRow, OperationRow
from coolcheck.report.strips import Strip

WET = ChainRow("flood", "yes", "delivered", "", (LinkRow("commanded", "yes", "on"), LinkRow("reach", "yes", "shallow")))
LEAKS = ChainRow(
    "through_tool", "no", "partial_leak", "clamping", (LinkRow("commanded", "yes", ""), LinkRow("clamping", "no", ""))
)
DROWNED = replace(WET, delivers="no", result="starved_by_depth", weakest="reach")
OFF = ChainRow("ring", "no", "not_commanded", "commanded", (LinkRow("commanded", "no", "off"),))
AIR = replace(WET, mode="air")
STRIP = Strip(3, 10.0, 20.0, "0,0 500,1000 1000,0 1500,2000 2000,0")


def drawing(svg: str) -> ElementTree.Element:
    """The picture as XML; one that is no well-formed XML fails here."""
    return ElementTree.fromstring(svg)


def operation(**changed: object) -> OperationRow:
    return replace(OPERATION, **changed)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("row", "name"),
    [
        (operation(fluid=("flood",), delivered="yes", chains=(WET,)), "wet"),
        (operation(fluid=("flood",), delivered="no", chains=(DROWNED,)), "shut"),
        (operation(fluid=("flood",), delivered="no", chains=(WET,)), "partly"),
        (operation(fluid=("through_tool",), delivered="yes", chains=(LEAKS,)), "partly"),
        (operation(fluid=("air",), delivered="yes", chains=(AIR,)), "mist"),
        (operation(fluid=("through_tool",), delivered="unknown", chains=(CHAIN,)), "unknown"),
        (operation(fluid=("flood?",), delivered="unknown", chains=()), "unknown"),
        (operation(fluid=(), delivered="no", chains=()), "dry"),
        (operation(kind="probe", fluid=(), delivered="no", chains=()), "idle"),
    ],
)
def test_the_state_of_an_edge_is_never_better_than_what_is_known(row: OperationRow, name: str) -> None:
    assert state_name(row) == name


def test_no_two_states_share_a_word_or_a_texture() -> None:
    patterns = list(drawing(textures())[0])
    drawn = {ElementTree.tostring(pattern).split(b">", 1)[1] for pattern in patterns}

    assert len({state.word for state in STATES.values()}) == len(STATES)
    assert {pattern.get("id") for pattern in patterns} == {f"texture-{name}" for name in STATES}
    assert len(drawn) == len(STATES)


def test_fluids_that_are_known_to_be_off_are_not_told() -> None:
    assert fluid_words(operation(chains=(OFF, DROWNED))) == "flood ✕ reach"
    assert fluid_words(operation(chains=(), fluid=())) == "dry"


def test_text_and_attributes_are_escaped() -> None:
    assert element("text", "<b>&", title='"quoted"') == '<text title="&#34;quoted&#34;">&lt;b&gt;&amp;</text>'


def test_strokes_are_in_the_trace_as_deep_as_they_go() -> None:
    picture = time_picture([OPERATION], Drawn(strips=(STRIP,)), "")
    assert picture is not None
    trace = next(e for e in drawing(picture.svg).iter("polyline"))

    assert trace.get("points") == "0,0 0,0 500,1000 1000,0 1500,2000 2000,0 2000,0"
    assert picture.has_depths


def test_a_strip_stands_where_its_time_is() -> None:
    picture = time_picture([OPERATION], Drawn(strips=(STRIP,)), "p1-")
    assert picture is not None
    root = drawing(picture.svg)
    frame = next(e for e in root.iter("rect") if e.get("class") == "frame")

    assert (frame.get("x"), frame.get("width")) == ("33.333%", "66.667%")
    assert next(root.iter("a")).get("href") == "#p1-operation-3"
    assert any("fill-unknown" in (e.get("class") or "") for e in root.iter("rect"))


def test_an_operation_that_takes_no_time_has_its_place_beside_one_that_does() -> None:
    instant = Strip(3, 0.0, 0.0, "0,0 0,1000 0,0")
    picture = time_picture([OPERATION, replace(OPERATION, number=4)], Drawn(strips=(instant, replace(STRIP, operation=4))), "")
    assert picture is not None

    assert len(list(drawing(picture.svg).iter("polyline"))) == 2


def test_without_any_time_there_is_no_picture() -> None:
    assert time_picture([OPERATION], Drawn(), "") is None
    assert time_picture([OPERATION], Drawn(strips=(Strip(3, 0.0, 0.0, ""),)), "") is None


def test_labels_that_would_cover_each_other_wait_for_a_stretch() -> None:
    rows = [replace(OPERATION, number=number) for number in range(1, 30)]
    strips = tuple(Strip(row.number, float(row.number), 1.0, "") for row in rows)
    picture = time_picture(rows, Drawn(strips=strips), "")
    assert picture is not None
    labels = [e.get("class") for e in drawing(picture.svg).iter("text") if "label" in (e.get("class") or "")]

    assert "label" in labels
    assert labels.count("label crowded") > 10


def test_holes_lie_in_the_plan_as_in_the_part() -> None:
    (plan,) = plans(histories_of(HOLES), [OPERATION])
    circles = [e for e in drawing(plan.svg).iter("circle") if "hole" in (e.get("class") or "")]

    assert len(circles) == 2
    assert float(circles[0].get("cx", "")) < float(circles[1].get("cx", ""))
    assert circles[0].get("cy") == circles[1].get("cy")
    assert plan.left_out == 0


def test_holes_whose_place_is_not_known_are_counted_not_drawn() -> None:
    histories = histories_of((*HOLES, replace(HOLES[0], number=3, y_mm=None)))

    assert without_place(histories) == 1
    assert "plan of 2 holes" in plans(histories, [OPERATION])[0].svg


def test_a_plan_of_very_many_holes_is_thinned_out_and_says_so() -> None:
    many = tuple(replace(HOLES[0], number=at, x_mm=at % 100 * 2.0, y_mm=at // 100 * 2.0) for at in range(10_000))
    (plan,) = plans(histories_of(many), [OPERATION])
    marks = plan.svg.count("<circle")

    assert 100 < marks <= MOST_HOLES
    assert plan.left_out == 10_000 - marks


def test_other_work_offsets_have_plans_of_their_own() -> None:
    histories = histories_of((HOLES[0], replace(HOLES[1], work_offset="G55")))

    assert [plan.title for plan in plans(histories, [OPERATION])] == ["G54, seen along Z", "G55, seen along Z"]


def test_a_section_shows_every_depth_and_every_stroke() -> None:
    tap = replace(STEP, operation=4, tool=9, kind="tap", depth_mm=20.0, diameter_mm=10.0, strokes=1, retract="none")
    (history,) = histories_of((replace(HOLES[0], steps=(STEP, tap)),))
    picture = section(history, (Bottoms(1, 0, "-50 2000 4000 6000 8000"), Bottoms(1, 1, "2000")), {3: STATES["shut"]})
    assert picture is not None
    root = drawing(picture)
    said = [e.text for e in root.iter("text")]

    assert "80 mm · 9.4×D" in said
    assert "20 mm · 2.0×D" in said
    assert sum(e.get("class") == "stroke" for e in root.iter("line")) == 4
    assert any(e.get("class") == "bore fill-shut" for e in root.iter("polygon"))


def test_a_hole_of_unknown_depth_has_no_section() -> None:
    (history,) = histories_of((replace(HOLES[0], steps=(replace(STEP, depth_mm=None),)),))

    assert section(history, (), {}) is None


def test_the_slenderest_history_comes_first() -> None:
    short = replace(HOLES[1], steps=(replace(STEP, depth_mm=5.0),))

    assert [history.deepest.depth_mm for history in histories_of((short, HOLES[0]))] == [80.0, 5.0]


def cut(**changed: object) -> Cut:
    told = Cut(3, 0.0, 10.0, "no", "0,800 1000,800 1500,400", False, None, None, None, ())
    return replace(told, **changed)  # type: ignore[arg-type]


def test_a_quench_is_marked_where_fluid_meets_the_hot_edge() -> None:
    wet = cut(start_s=15.0, end_s=30.0, wet="yes", heat="", is_quenched=True, came_s=15.0, quench_k=400.0, stress=0.31)
    told = heats(Drawn(edges=(EdgeRow("T4", (cut(), wet), 0),)), [OPERATION])
    (picture,) = told.pictures
    root = drawing(picture.svg)

    assert picture.quenches == ("fluid comes at 15 s onto an edge 400 K above room: thermal stress 0.31 of its strength",)
    assert next(e for e in root.iter("line") if e.get("class") == "quench").get("x1") == "50%"
    assert "800 K" in [e.text for e in root.iter("text")]


def test_an_edge_that_stays_wet_needs_no_picture_and_one_that_is_not_known_has_a_gap() -> None:
    wet, dark = EdgeRow("T1", (cut(wet="yes", heat=""),), 0), EdgeRow("T2", (cut(wet="unknown", heat=""),), 0)
    told = heats(Drawn(edges=(wet, dark)), [OPERATION])

    assert told.wet == ("T1",)
    assert [picture.name for picture in told.pictures] == ["T2"]
    assert 'class="gap"' in told.pictures[0].svg
    assert 'class="warm"' not in told.pictures[0].svg


def test_too_little_and_unknown_are_never_drawn_as_enough() -> None:
    assert "fill-wet" in bars.bar("pressure", "bar", 20.0, 32.0)
    assert "fill-shut" in bars.bar("pressure", "bar", 20.0, 12.0)
    assert "not known what is there" in bars.bar("pressure", "bar", 20.0, None)
    assert "possible" in bars.bar("pressure", "bar", 20.0, 32.0, is_commanded=False)


def test_every_link_and_verdict_has_a_drawing() -> None:
    links = ("commanded", "machine", "spindle", "pull_stud", "holder", "clamping", "tool", "reach")

    assert len({icons.link(name) for name in links}) == len(links)
    assert len({icons.verdict(name) for name in ("ready", "not ready", "cannot tell", "not read")}) == 4
