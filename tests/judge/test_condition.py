"""The condition language: what it says yes, no and unknown to, and what it refuses."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.errors import RuleError
from coolcheck.judge.condition import condition
from coolcheck.judge.dimensions import DIMENSIONS, PLAIN, shown
from coolcheck.judge.language import DEEPEST, LONGEST, Source
from coolcheck.judge.scene import Scene
from coolcheck.judge.terms import Limit
from coolcheck.judge.vocabulary import Relation
from coolcheck.known import Evidence, Missing, known


@pytest.mark.parametrize(
    ("text", "facts", "verdict"),
    [
        ("depth > 40 mm", {"depth": 0.041}, True),
        ("depth > 40 mm", {"depth": 0.04}, False),
        ("depth >= 40 mm", {"depth": 0.04}, True),
        ("depth > 1.5 in", {"depth": 0.0382}, True),
        ("pressure < 20 bar", {"pressure": 1.9e6}, True),
        ("pressure < 300 psi", {"pressure": 2.1e6}, False),
        ("depth > 3 * diameter", {"depth": 0.031, "diameter": 0.01}, True),
        ("depth / diameter > 3", {"depth": 0.031, "diameter": 0.01}, True),
        ("depth - 1 mm > diameter", {"depth": 0.0115, "diameter": 0.01}, True),
        ("-depth < 0 mm", {"depth": 0.0115}, True),
        ("ratio = 3", {"ratio": 3.0}, True),
        ("kind is drill", {"kind": "drill"}, True),
        ("kind is not drill", {"kind": "drill"}, False),
        ("kind is not drill", {"kind": "tap"}, True),
        ("kind is none of (tap, drill)", {"kind": "drill"}, False),
        ("kind is none of (tap, drill)", {"kind": "rough"}, True),
        ('kind is "drill"', {"kind": "drill"}, True),
        ('name is "OP 1"', {"name": "OP 1"}, True),
        ("kind is one of (drill, peck_drill)", {"kind": "peck_drill"}, True),
        ("kind is none of (drill, peck_drill)", {"kind": "peck_drill"}, False),
        ("allowed includes mist", {"allowed": ("mist",)}, True),
        ("allowed includes mist", {"allowed": ("flood",)}, False),
        ("hardens and not sealed", {"hardens": True, "sealed": False}, True),
        ("hardens or sealed", {"hardens": False, "sealed": False}, False),
        ("not hardens and sealed or hardens", {"hardens": True, "sealed": False}, True),
        ("tool.DC < 6 mm", {"tool.DC": 0.0059}, True),
    ],
)
def test_what_is_known_is_decided(ask, text, facts, verdict):
    truth = ask(text, **facts)

    assert truth.is_known
    assert truth.value is verdict


@pytest.mark.parametrize(
    ("text", "facts", "verdict"),
    [
        ("hardens and sealed", {"hardens": False}, False),
        ("sealed and hardens", {"hardens": False}, False),
        ("hardens or sealed", {"sealed": True}, True),
        ("hardens and sealed", {"hardens": True}, None),
        ("not sealed", {}, None),
        ("depth > 40 mm", {}, None),
        ("kind is drill", {}, None),
        ("depth > 40 mm and kind is tap", {"kind": "drill"}, False),
    ],
)
def test_an_unknown_counts_only_where_it_could_decide(ask, text, facts, verdict):
    truth = ask(text, **facts)

    assert (truth.value if truth.is_known else None) is verdict
    assert truth.is_known or truth.missing


def test_an_unknown_verdict_names_everything_that_would_decide_it(ask):
    truth = ask("sealed and depth > 40 mm and hardens", hardens=True)

    assert [missing.field for missing in truth.missing] == ["sealed", "depth"]


def test_a_verdict_carries_the_values_it_rests_on_in_their_own_units(ask):
    truth = ask("depth > deep * diameter", {"deep": Limit("deep", 5, PLAIN, "5")}, depth=0.06, diameter=0.01)

    shown = {(item.name, item.value, item.unit) for item in truth.evidence}
    assert shown == {("depth", 60.0, "mm"), ("deep", "5", ""), ("diameter", 10.0, "mm")}


def test_equal_lengths_are_equal_whatever_way_they_were_worked_out(ask):
    assert ask("depth > 3 * diameter", depth=0.3, diameter=0.1).is_no
    assert ask("depth >= 3 * diameter", depth=0.3, diameter=0.1).is_yes


def test_a_division_by_zero_is_unknown_and_says_so(ask):
    truth = ask("depth / diameter > 3", depth=0.03, diameter=0.0)
    question = "a number that another is divided by is zero; which of the values shown is wrong?"

    assert not truth.is_known
    assert truth.missing == (Missing("program", "", question),)
    assert [evidence.name for evidence in truth.evidence] == ["depth", "diameter"]


def test_a_number_that_is_none_is_unknown(ask):
    assert not ask("depth > 3 mm", depth=float("nan")).is_known


# lists

WET, DRY, UNSURE = {"wet": True}, {"wet": False}, {}


@pytest.mark.parametrize(
    ("text", "passages", "verdict"),
    [
        ("some passage (wet)", [DRY, WET], True),
        ("some passage (wet)", [DRY, DRY], False),
        ("some passage (wet)", [], False),
        ("some passage (wet)", [DRY, UNSURE], None),
        ("some passage (wet)", [UNSURE, WET], True),
        ("every passage (wet)", [WET, WET], True),
        ("every passage (wet)", [], True),
        ("every passage (wet)", [UNSURE, DRY], False),
        ("no passage (wet)", [DRY, DRY], True),
        ("no passage (wet)", [UNSURE], None),
        ("some passage (not wet) followed by a passage (wet)", [DRY, DRY, WET], True),
        ("some passage (not wet) followed by a passage (wet)", [WET, DRY], False),
        ("some passage (not wet) followed by a passage (wet)", [WET], False),
        ("some passage (not wet) followed by a passage (wet)", [UNSURE, WET], None),
        ("some passage (not wet) followed by a passage (wet)", [UNSURE, DRY], False),
        ("some passage (not wet) followed by a passage (wet)", [DRY, UNSURE, WET], True),
        ("some passage (wet) followed at once by a passage (not wet) followed at once by a passage (wet)", [WET, DRY, WET], True),
        (
            "some passage (wet) followed at once by a passage (not wet) followed at once by a passage (wet)",
            [WET, DRY, DRY, WET],
            False,
        ),
        ("some passage (wet) followed by a passage (not wet) followed by a passage (wet)", [WET, DRY, DRY, WET], True),
        ("no passage (not wet) followed by a passage (wet)", [DRY, WET], False),
    ],
)
def test_lists_are_asked_by_kleene_logic_too(ask, text, passages, verdict):
    truth = ask(text, passages=passages)

    assert (truth.value if truth.is_known else None) is verdict


@pytest.mark.parametrize(
    ("kinds", "at_once_first", "at_once_last"),
    [
        (("rough", "finish", "drill", "tap"), True, False),
        (("rough", "drill", "finish", "tap"), False, True),
        (("rough", "finish", "tap"), True, True),
        (("rough", "drill", "finish", "drill", "tap"), False, False),
    ],
)
def test_each_link_of_a_sequence_is_at_once_or_not_by_itself(ask, kinds, at_once_first, at_once_last):
    passages = [{"kind": kind} for kind in kinds]
    rough, finish, tap = (f"passage (kind is {kind})" for kind in ("rough", "finish", "tap"))

    assert ask(f"some {rough} followed at once by a {finish} followed by a {tap}", passages=passages).is_yes is at_once_first
    assert ask(f"some {rough} followed by a {finish} followed at once by a {tap}", passages=passages).is_yes is at_once_last


@pytest.mark.parametrize(
    ("passages", "at"),
    [
        ([{"at": 1}, {"wet": True, "at": 2}], 2),
        ([{"wet": False, "at": 1}, {"at": 2}, {"at": 3}], 2),
        ([{"wet": True, "at": 1}, {"wet": True, "at": 2}], 1),
        ([{"at": 1}, {"wet": False, "at": 2}], 1),
    ],
)
def test_the_object_that_decides_stands_for_a_name_else_the_first_that_could(read, passages, at):
    scene = Scene("operation", {"passages": passages}, None, {})
    read("some passage called flooded (wet)").holds(scene)

    assert scene.met["flooded"] == ("passage", next(passage for passage in passages if passage["at"] == at))


def test_what_has_no_name_is_not_met(read):
    scene = Scene("operation", {"passages": [WET, DRY]}, None, {})

    assert read("some passage (wet) followed by a passage (not wet)").holds(scene).is_yes
    assert scene.met == {}


def test_one_name_is_not_for_two_kinds_of_thing(read, words):
    twice = "some passage called it (wet) followed by a passage called it (not wet)"
    more = replace(words, relations={**words.relations, ("operation", "twin"): Relation("operation", False, lambda *_: ())})

    assert read(twice).names == {"it": "passage"}
    with pytest.raises(RuleError) as wrong:
        condition(Source("some passage called it (wet) and some twin called it (hardens)"), "operation", more, {})
    (problem,) = wrong.value.problems
    assert problem.says.split("\n")[0] == "`it` is used for two kinds of thing"
    assert problem.place.column == 51


def test_of_what_is_one_there_is_no_list(words):
    with pytest.raises(RuleError) as wrong:
        condition(Source("some operation (hardens)"), "passage", words, {})

    (problem,) = wrong.value.problems
    assert problem.says.split("\n")[0].endswith("no list called `operation`")
    assert problem.do == "A condition here has no `some` or `every`."


def test_lists_and_their_facts_are_asked_of_the_whole_program(words):
    """What a relation leads to, and what a fact tells, may be worked out from the program around the object."""
    wet = words.fact("passage", "wet")
    whole = replace(
        words,
        relations={**words.relations, ("operation", "passage"): Relation("passage", False, lambda item, timeline: timeline)},
        facts={**words.facts, ("passage", "wet"): replace(wet, of=lambda item, timeline: known(item is timeline[1]))},
    )
    asked = condition(Source("some passage called it (wet)"), "operation", whole, {})
    scene = Scene("operation", {}, [{"at": 1}, {"at": 2}], {})

    assert asked.holds(scene).is_yes
    assert scene.met["it"] == ("passage", {"at": 2})


def test_named_members_are_met_where_the_sequence_was_found(read):
    asked = read("some passage called dry (not wet) followed by a passage called flooded (wet)")
    passages = [{"wet": True, "at": 1}, {"wet": False, "at": 2}, {"wet": True, "at": 3}]
    scene = Scene("operation", {"passages": passages}, None, {})

    assert asked.holds(scene).is_yes
    assert scene.met["dry"][1]["at"] == 2
    assert scene.met["flooded"][1]["at"] == 3


def test_a_name_inside_a_list_is_looked_for_there_and_then_around_it(ask):
    truth = ask("some passage (depth > 1 mm and diameter > 5 mm)", depth=0.0, diameter=0.006, passages=[{"depth": 0.002}])

    assert truth.is_yes


def test_the_one_object_behind_a_dot_can_be_asked(words):
    asked = condition(Source("operation.depth > 10 mm"), "passage", words, {})

    assert asked.holds(Scene("passage", {"operation": {"depth": 0.02}}, None, {})).is_yes


def test_a_fact_behind_a_dot_is_that_fact_under_a_longer_name(words):
    here, there = words.fact("passage", "operation.depth"), words.fact("operation", "depth")

    assert (here.name, here.scope) == ("operation.depth", "passage")
    assert replace(here, name="depth", scope="operation", of=there.of) == there


def test_behind_the_first_dot_a_name_may_have_further_ones_and_must_be_a_fact(words):
    drill = words.fact("passage", "operation.tool.DC")

    assert drill is not None
    assert drill.of({"operation": {"tool.DC": 0.0085}}, None).value == 0.0085
    assert words.fact("passage", "operation.zzz") is words.fact("passage", "zzz.depth") is None


def test_the_names_of_a_scope_are_its_own_and_those_of_its_one_object(words):
    own = [name for scope, name in words.facts if scope == "operation"]

    assert words.names("operation") == own
    assert words.names("passage") == ["wet", "kind", "depth", "line", *(f"operation.{name}" for name in own)]


def test_where_there_is_no_object_behind_a_dot_nothing_is_known_of_it(words):
    alone = replace(words, relations={**words.relations, ("passage", "operation"): Relation("operation", True, lambda *_: ())})
    truth = condition(Source("operation.depth > 10 mm"), "passage", alone, {}).holds(Scene("passage", {}, None, {}))

    assert truth.missing == (Missing("program", "", "there is nothing operation this passage"),)


# what is refused


@pytest.mark.parametrize(
    ("text", "column", "says", "do"),
    [
        ("dept > 40 mm", 1, "`dept` is no fact", "`depth`"),
        ("depth > 40 bar", 9, "a length cannot be compared with a pressure", "unit"),
        ("depth > 40", 9, "a length cannot be compared with a plain number", "unit"),
        ("depth + pressure > 1 mm", 9, "a length cannot be compared with a pressure", "unit"),
        ("depth > 40 milimetre", 12, "no unit", "millimetre"),
        ("kind is dril", 9, "`kind` is never `dril`", "`drill`"),
        ("kind", 1, "must be true or false", ""),
        ("depth is drill", 1, "only a word", "Compare it"),
        ("hardens is yes", 1, "only a word", "not hardens"),
        ("kind > 3", 1, "here a number is needed", "is"),
        ("depth and hardens", 1, "something true or false", ""),
        ("hardens is known", 1, "only a word", "not hardens"),
        ("depth is unknown", 1, "only a word", "Compare it"),
        ("some pasage (wet)", 6, "no list called `pasage`", "`passage`"),
        ("some hole (wet)", 6, "no list called `hole`", "It has passage."),
        ("some operation (hardens)", 6, "no list called `operation`", "It has passage."),
        ("hardens and depth", 13, "something true or false is needed; this is a length", ""),
        ("hardens and depth is drill", 13, "only a word can be asked", "Compare it"),
        ("hardens and kind > 3", 13, "here a number is needed", "is"),
        ("hardens and kind includes drill", 13, "only a list of words", "Write `kind is"),
        ("hardens and every passage (wet) followed by a passage (wet)", 13, "`every` cannot be followed", ""),
        ("kind is zzz", 9, "`kind` is never `zzz`", "It can be drill, peck_drill, tap, rough, finish."),
        ("every passage (wet) followed by a passage (wet)", 1, "`every` cannot be followed", ""),
        ("some passage (wet) followed by a step (wet)", 34, "a sequence stays in one list", ""),
        ("hardens and", 12, "the condition ends here", ""),
        ("(hardens", 9, "the condition ends here", ""),
        ("hardens sealed", 9, "`sealed` cannot stand here", ""),
        ("hardens & sealed", 9, "`&` cannot stand here", ""),
        ("", 1, "the condition ends here", ""),
    ],
)
def test_a_mistake_is_refused_where_it_stands(read, text, column, says, do):
    with pytest.raises(RuleError) as wrong:
        read(text)

    (problem,) = wrong.value.problems
    assert problem.place.column == column
    assert says in problem.says
    assert do in problem.do
    assert problem.says.split("\n")[-1] == "    " + " " * (column - 1) + "^"


@pytest.mark.parametrize(
    "text", ["(" * (DEEPEST + 1) + "hardens" + ")" * (DEEPEST + 1), "not " * 500 + "hardens", "-" * 900 + "depth > 0 mm"]
)
def test_what_is_nested_too_deep_is_refused(read, text):
    with pytest.raises(RuleError, match="inside each other"):
        read(text)


@pytest.mark.parametrize(
    "text",
    [
        "(" * DEEPEST + "hardens" + ")" * DEEPEST,
        "not " * DEEPEST + "hardens",
        "(hardens) and " * (DEEPEST + 1) + "hardens",
        "hardens" + " " * (LONGEST - 7),
    ],
)
def test_the_deepest_and_the_longest_condition_is_still_read(read, text):
    assert read(text).text == text


@pytest.mark.parametrize(
    ("text", "column", "says"),
    [
        ("hardens and " * 400 + "hardens", LONGEST + 1, f"the condition is longer than {LONGEST} characters"),
        ("(" * 50 + "hardens" + ")" * 50, DEEPEST + 1, f"more than {DEEPEST} brackets inside each other"),
        ("not " * (DEEPEST + 1) + "hardens", 4 * (DEEPEST + 1) + 1, f"more than {DEEPEST} levels inside each other"),
    ],
)
def test_what_is_too_long_or_too_deep_is_refused_where_it_begins_to_be(read, text, column, says):
    with pytest.raises(RuleError) as wrong:
        read(text)

    (problem,) = wrong.value.problems
    assert (problem.place.column, problem.says.split("\n")[0], problem.do) == (column, says, "Make two rules of it.")


def test_a_unit_like_none_is_answered_with_examples(read):
    with pytest.raises(RuleError) as wrong:
        read("depth > 40 zzzzz")

    assert wrong.value.problems[0].do == "Write one such as mm, bar, L/min, s, rpm, m/min or percent."


def test_an_object_behind_a_dot_is_looked_for_in_the_program(words):
    there = Relation("operation", True, lambda item, timeline: [timeline[item["of"]]])
    scoped = replace(words, relations={**words.relations, ("passage", "operation"): there})
    asked = condition(Source("operation.depth > 10 mm"), "passage", scoped, {})

    assert asked.holds(Scene("passage", {"of": "first"}, {"first": {"depth": 0.02}}, {})).is_yes


def test_a_limit_that_cannot_stand_there_is_called_by_its_name(read):
    with pytest.raises(RuleError) as wrong:
        read("deep is drill", {"deep": Limit("deep", 5.0, PLAIN, "5")})

    assert wrong.value.problems[0].do == "Compare it: `deep > 1`."


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(words, text):
    try:
        condition(Source(text), "operation", words, {})
    except RuleError as wrong:
        assert wrong.problems


TERMS = st.sampled_from(
    [
        "hardens",
        "sealed",
        "depth > 40 mm",
        "kind is drill",
        "some passage (wet)",
        "some passage (wet) followed by a passage (not wet)",
    ]
)
CONDITIONS = st.recursive(
    TERMS,
    lambda inner: st.one_of(
        inner.map(lambda text: f"not ({text})"),
        st.tuples(inner, st.sampled_from(["and", "or"]), inner).map(lambda parts: f"({parts[0]}) {parts[1]} ({parts[2]})"),
    ),
    max_leaves=8,
)
TRUTHS = st.booleans()
FACTS = st.fixed_dictionaries(
    {"hardens": TRUTHS, "sealed": TRUTHS, "depth": st.floats(0, 0.1), "kind": st.sampled_from(["drill", "tap"])}
)


@given(CONDITIONS, FACTS, st.lists(TRUTHS, max_size=4), st.data())
def test_filling_in_an_unknown_never_changes_a_decided_verdict(words, text, facts, wetness, data):
    asked = condition(Source(text), "operation", words, {})
    hidden = data.draw(st.sets(st.sampled_from(sorted(facts))))
    veiled = data.draw(st.lists(TRUTHS, min_size=len(wetness), max_size=len(wetness)))
    some = {name: value for name, value in facts.items() if name not in hidden}
    partly = asked.holds(
        Scene(
            "operation",
            {**some, "passages": [{} if veil else {"wet": wet} for wet, veil in zip(wetness, veiled, strict=True)]},
            None,
            {},
        )
    )
    fully = asked.holds(Scene("operation", {**facts, "passages": [{"wet": wet} for wet in wetness]}, None, {}))

    assert fully.is_known
    assert not partly.is_known or partly.value == fully.value
    assert partly.is_known or partly.missing


@pytest.mark.parametrize(
    ("dimension", "called"),
    [
        (PLAIN, "a plain number"),
        (DIMENSIONS["length"], "a length"),
        (DIMENSIONS["area"], "an area"),
        (DIMENSIONS["specific_heat"], "a specific heat"),
        ((1, 2, -3, 4), "a quantity in m·kg^2·s^-3·K^4"),
        ((0, 0, 2, 0), "a quantity in s^2"),
    ],
)
def test_a_dimension_is_called_what_people_call_it(dimension, called):
    assert shown(dimension) == called


@pytest.mark.parametrize(
    ("text", "says", "do"),
    [
        ("hardens is yes", "only a word can be asked with `is`; this is true or false", "Write `hardens` or `not hardens`."),
        ("allowed is drill", "only a word can be asked with `is`; this is a list of words", "Write `allowed includes …`."),
        ("depth is drill", "only a word can be asked with `is`; this is a length", "Compare it: `depth > 1`."),
        ("kind includes drill", "only a list of words can include one; this is a word", "Write `kind is …`."),
        ("name includes drill", "only a list of words can include one; this is a text", "Write `name is …`."),
        ("name > 1", "here a number is needed; this is a text", "Write `name is …`."),
        ("-depth is drill", "only a word can be asked with `is`; this is a length", "Compare it: `it > 1`."),
        ("kind", "a condition must be true or false; this is a word", ""),
        ("kind and hardens", "here something true or false is needed; this is a word", ""),
    ],
)
def test_a_term_that_cannot_stand_there_is_called_what_it_is_and_how_it_is_asked(read, text, says, do):
    with pytest.raises(RuleError) as wrong:
        read(text)

    (problem,) = wrong.value.problems
    assert (problem.place.column, problem.says.split("\n")[0], problem.do) == (1, says, do)


def test_the_ratio_of_two_quantities_has_the_ratio_of_their_dimensions(ask, read):
    assert ask("depth / diameter > 3", depth=0.031, diameter=0.01).is_yes
    with pytest.raises(RuleError, match=r"a quantity in m\^2·kg\^-1·s\^2 cannot be compared with a length"):
        read("depth / pressure > 1 mm")


def test_every_dimension_that_records_know_has_its_exponents():
    from coolcheck.records import units

    assert set(units.dimensions()) <= set(DIMENSIONS)


@pytest.mark.parametrize("number", ["9" * 400, "9" * 400 + " mm", "5" * 55 + " d"])
def test_a_number_out_of_any_range_is_told_where_it_stands(read, number):
    with pytest.raises(RuleError, match="out of any range") as told:
        read(f"depth > {number}")

    (problem,) = told.value.problems
    assert (problem.place.column, problem.do) == (9, "Write a number that the trade uses.")


def test_only_the_quotes_around_a_text_are_left_out(ask):
    assert ask('name is "XY 1X"', name="XY 1X").is_yes
    assert ask('name is "XY 1X"', name="Y 1").is_no


def test_a_limit_is_evidence_of_the_rule_with_what_it_means(ask):
    truth = ask(
        "depth > deepest_ever", {"deepest_ever": Limit("deepest_ever", 0.04, (1, 0, 0, 0), "40 mm", "too deep")}, depth=0.06
    )

    assert truth.evidence[1] == Evidence("deepest ever", "40 mm", "", None, "rule", "too deep")
