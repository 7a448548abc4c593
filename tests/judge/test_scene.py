"""What is told of an object: once, with evidence of its own, and no number that is none."""

from dataclasses import replace
from math import nan

import pytest

from coolcheck.judge.scene import Scene
from coolcheck.judge.vocabulary import Fact
from coolcheck.known import Evidence, Known, Missing, known, unknown
from coolcheck.place import Place

FEED = Evidence("feed", 300.0, "mm/min", Place("a.nc", 4), "program")


def told(value: Known[object], **changed: object) -> Known[object]:
    """What a scene tells of a fact that is `value`."""
    fact = Fact("feed_stroke", "operation", "number", "how deep it is fed", lambda item, timeline: value, "mm", factor=1e-3)
    return Scene("operation", {}, None, {}).tell(replace(fact, **changed))


@pytest.mark.parametrize(("origin", "source"), [("physics", "computed"), ("record", "record"), ("program", "program")])
def test_a_value_brings_its_name_and_what_people_are_shown_before_what_it_rests_on(origin, source):
    value = told(known(0.03, FEED), origin=origin)

    assert value.value == 0.03
    assert value.evidence == (Evidence("feed stroke", pytest.approx(30.0), "mm", source=source), FEED)


def test_what_is_missing_elsewhere_stays_with_a_value_that_is_known_without_it():
    asked = Missing("tool T1", "DC", "what is DC?")

    assert told(Known(0.03, True, (), (asked,))).missing == (asked,)


def test_a_value_that_names_itself_or_lies_behind_a_dot_is_told_as_it_is():
    own = known(0.03, FEED, Evidence("feed stroke", 30.0, "mm"))

    assert told(own) is own
    assert told(known(0.01, FEED), name="tool.DC").evidence == (FEED,)


def test_what_is_unknown_stays_as_it_is():
    missing = unknown(Missing("tool T1", "DC", "what is DC?"))

    assert told(missing) is missing


def test_a_number_that_is_none_is_unknown_and_asked_for_with_what_it_rests_on():
    value = told(known(nan, FEED))
    question = "what is the feed stroke here (how deep it is fed)? the program does not tell it"

    assert not value.is_known
    assert value.missing == (Missing("program", "", question),)
    assert value.evidence == (FEED,)


def test_a_fact_is_worked_out_once_for_each_object_and_scope():
    asked = []
    depth = Fact(
        "depth", "operation", "number", "how deep", lambda item, timeline: asked.append(timeline) or known(item["depth"])
    )
    remembered: dict[tuple[str, str, int], tuple[object, Known[object]]] = {}
    items = ({"depth": 1.0}, {"depth": 2.0})
    first, other = (Scene("operation", item, "the program", remembered) for item in items)
    elsewhere = Scene("step", items[0], "the program", remembered)

    assert [scene.tell(depth).value for scene in (first, other, first, other)] == [1.0, 2.0, 1.0, 2.0]
    assert asked == ["the program"] * 2
    assert first.tell(replace(depth, name="height", of=lambda item, timeline: known(9.0))).value == 9.0
    assert elsewhere.tell(replace(depth, of=lambda item, timeline: known(5.0))).value == 5.0


@pytest.mark.parametrize(
    ("kind", "value", "shown"),
    [
        ("number", 293.15, 20.0),
        ("truth", True, "yes"),
        ("truth", False, "no"),
        ("words", ("through_tool", "flood"), "through tool, flood"),
        ("word", "peck_drill", "peck drill"),
        ("text", "OP_1", "OP_1"),
    ],
)
def test_a_value_is_shown_as_people_write_it(kind, value, shown):
    fact = Fact("it", "operation", kind, "", lambda item, timeline: known(value), "degC", factor=1.0, offset=273.15)

    assert fact.shown(value) == shown
    assert replace(fact, kind="number", factor=1e-3, offset=0.0).shown(0.03) == pytest.approx(30.0)
