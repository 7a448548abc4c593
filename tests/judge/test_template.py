"""Sentences of rules: what may stand in their braces, and what they tell of a scene."""

from dataclasses import replace
from typing import Any

import pytest

from coolcheck.errors import RuleError
from coolcheck.judge.condition import condition
from coolcheck.judge.language import Source
from coolcheck.judge.rulefile import RuleFile
from coolcheck.judge.scene import Scene
from coolcheck.judge.template import Template, digits, with_tools
from coolcheck.judge.terms import Limit
from coolcheck.judge.vocabulary import Fact
from coolcheck.known import known
from coolcheck.place import Place
from tests.judge.conftest import small_words
from tests.judge.test_rulefile import RULE

WORDS = small_words()
DEEP = {"deep": Limit("deep", 5.0, (0, 0, 0, 0), "5", "depth over diameter")}
SEQUENCE = condition(
    Source("some passage called dry (not wet) followed by a passage called flooded (wet)"), "operation", WORDS, DEEP
)
FACTS: dict[str, Any] = {
    "name": "OP 1", "kind": "peck_drill", "depth": 0.0345, "pressure": 3.2e6, "hardens": True, "sealed": False, "at": 3,
    "allowed": ("flood", "mist"), "ratio": 3.14159,
    "passages": [{"wet": False, "depth": 0.002, "at": 7}, {"wet": True, "at": 9}],
}  # fmt: skip


def met(**facts: Any) -> Scene:
    """A scene in which the sequence was looked for."""
    scene = Scene("operation", {**FACTS, **facts}, None, {})
    SEQUENCE.holds(scene)
    return scene


def told(text: str, **facts: Any) -> str:
    return Template(text).told(met(**facts), DEEP, WORDS)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{name} at {line}", "OP 1 at 3"),
        ("a {kind} of {depth}, {pressure}", "a peck drill of 34.5 mm, 32 bar"),
        ("{ratio} and more than {deep}", "3.14 and more than 5"),
        ("{hardens}, {sealed}, {allowed}", "yes, no, flood, mist"),
        ("{tools} at {dry.line} and {flooded.line}", "{tools} at 7 and 9"),
        ("{dry.depth} deep, then {flooded.depth}", "2 mm deep, then an unknown depth"),
        ("{diameter} wide", "an unknown diameter wide"),
        ("nothing in braces", "nothing in braces"),
    ],
)
def test_a_sentence_tells_facts_limits_lines_and_members(text, says):
    assert told(text) == says


def test_a_member_that_was_not_met_is_told_by_its_name():
    assert told("{flooded.depth} at {flooded.line}", passages=[]) == "the depth at the line"


def test_a_sentence_carries_the_evidence_and_the_unrounded_numbers_of_what_it_tells():
    template = Template("{depth} of {name}, {diameter}, {dry.depth}, {kind}, {deep}, {dry.line}")
    scene = met(depth=0.034567)

    assert [(item.name, item.value) for item in template.evidence(scene, WORDS)] == [
        ("depth", pytest.approx(34.567)), ("depth", pytest.approx(2.0)), ("kind", "peck drill"),
    ]  # fmt: skip
    assert template.measures(scene, WORDS) == (("34.6 mm", pytest.approx(34.567)), ("2 mm", pytest.approx(2.0)))


def test_a_fact_behind_a_dot_of_a_member_is_told_with_its_evidence_and_number():
    clock = Fact("clock", "operation", "number", "when", lambda item, timeline: known(timeline["now"]), "s")
    facts = {**WORDS.facts, ("operation", "clock"): clock}
    words = replace(WORDS, facts=facts, place=lambda scope, item, timeline: Place(scope, timeline["lines"][scope]))
    template = Template("{dry.operation.depth} at {dry.operation.clock}, {dry.line}, {line}")
    dry = {"wet": False, "operation": {"depth": 0.002}}
    scenes = [
        Scene("operation", {"passages": [dry, {"wet": True}]}, {"now": 7.0, "lines": {"operation": 3, "passage": 8}}, {})
        for _ in range(2)
    ]
    for scene in scenes:
        SEQUENCE.holds(scene)

    assert template.problems(SEQUENCE, DEEP, words) == []
    assert template.told(scenes[0], DEEP, words) == "2 mm at 7 s, 8, 3"
    assert template.measures(scenes[1], words) == (("2 mm", 2.0), ("7 s", 7.0))


def test_a_page_shows_what_will_be_told_in_angle_brackets():
    assert Template("{tool.DC} of {wet_cut}").page() == "‹tool.DC› of ‹wet cut›"


@pytest.mark.parametrize("name", ["name", "line", "tools", "deep", "dry.line", "dry.depth", "flooded.wet", "tool.DC"])
def test_what_can_be_told_may_stand_in_braces(name):
    assert Template(f"a {{{name}}}").problems(SEQUENCE, DEEP, WORDS) == []


@pytest.mark.parametrize(
    ("name", "do"),
    [
        ("dept", "Did you mean `depth` or `deep`?"),
        ("dry", ""),
        ("dry.dept", ""),
        ("wet.line", ""),
        ("dry.depth.line", ""),
        ("zzzzzz", "`coolcheck explain --facts` lists the facts of scope operation."),
    ],
)
def test_what_cannot_be_told_may_not(name, do):
    (problem,) = Template(f"{{name}} {{{name}}}", Place("ours.yaml", 4, 2)).problems(SEQUENCE, DEEP, WORDS)

    assert (problem.place, problem.says) == (
        Place("ours.yaml", 4, 2), f"`{{{name}}}` is no fact of scope operation and no limit of this rule",
    )  # fmt: skip
    assert do in problem.do and problem.do


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (0.0, "0"),
        (3.14159, "3.14"),
        (99.94, "99.9"),
        (99.96, "100"),
        (100.0, "100"),
        (100.4, "100"),
        (1234.5, "1234"),
        (-150.7, "-151"),
    ],
)
def test_a_number_is_told_with_three_digits_or_its_whole_part(number, says):
    assert digits(number) == says


def test_tools_are_named_in_the_order_of_their_numbers():
    assert with_tools("{tools}", ["T12", "T3", "T2"]) == "T2, T3, T12"
    assert with_tools("to {tools}, {tools}", []) == "to a tool, a tool"


# the whole rule


def rule(**changed: Any):
    (read,) = RuleFile("ours.yaml", RULE.encode(), ships=False).rules()
    return replace(read, _read={}, **changed)


def test_a_rule_of_a_scope_that_there_is_not_is_refused_with_those_there_are():
    with pytest.raises(RuleError) as wrong:
        rule(scope="operatoin").condition(WORDS)

    (problem,) = wrong.value.problems
    assert (problem.place.line, problem.says) == (2, "the rule very-deep has the unknown scope `operatoin`")
    assert problem.do == "The scopes are operation, passage, note."


def test_a_condition_is_checked_once_for_each_vocabulary():
    read, other = rule(), small_words()

    assert read.condition(WORDS) is read.condition(WORDS)
    assert read.condition(other) is read.condition(other) is not read.condition(WORDS)


def test_the_place_of_a_rule_is_a_member_or_a_fact_of_its_scope():
    with pytest.raises(RuleError) as wrong:
        rule(at="there").condition(WORDS)

    (problem,) = wrong.value.problems
    assert (problem.place.line, problem.says) == (2, "`at: there` names nothing in the condition of very-deep")
    assert problem.do == "Name a member there: `some passage called … (…)`, or a fact of its scope."
    assert rule(at="depth").condition(WORDS).facts == (("operation", "depth"),)
    sequence = Source("some passage called there (wet)")
    assert rule(at="there", when=sequence).condition(WORDS).names == {"there": "passage"}
