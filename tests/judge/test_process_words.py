"""What rules may say of records: every field under its name, and how long ago the oldest record was reviewed."""

from datetime import date
from types import SimpleNamespace

import pytest

from coolcheck.judge import units
from coolcheck.judge.dimensions import PLAIN
from coolcheck.judge.process_words import TOOL_SCOPES, process_words
from coolcheck.known import Evidence, Known, Missing, known, unknown
from coolcheck.place import Place
from coolcheck.records import schema

TODAY = date(2026, 2, 1)
WORDS = process_words(TODAY)


def record(kind: str, name: str, reviewed: str) -> SimpleNamespace:
    """A record that knows when it was reviewed, or asks."""
    there = Evidence("reviewed", reviewed, "", Place(f"{name}.yaml", 2), "record")
    asked = Missing(f"{kind} {name}", "reviewed", f"when was {name} reviewed?")
    value: Known[date] = known(date.fromisoformat(reviewed), there) if reviewed else unknown(asked)
    return SimpleNamespace(kind=kind, name=name, field=lambda field: {"reviewed": value}[field])


def told(name: str, *records: SimpleNamespace) -> Known[object]:
    fact = WORDS.fact("program", name)
    assert fact is not None
    return fact.of(None, SimpleNamespace(binding=SimpleNamespace(all_records=lambda: records)))


def test_the_record_that_was_reviewed_longest_ago_is_told_with_its_days():
    records = [
        record("tool", "drill", "2026-01-30"),
        record("machine", "mill", "2025-02-01"),
        record("holder", "chuck", "2026-02-01"),
    ]
    days, name = told("days_since_review", *records), told("oldest_record", *records)

    assert (days.value, name.value) == (365.0, "machine mill")
    assert [(item.name, item.place.file) for item in days.evidence] == [("reviewed", "mill.yaml")]


@pytest.mark.parametrize(("reviewed", "days"), [("2026-02-01", 0.0), ("2026-01-31", 1.0)])
def test_a_record_reviewed_today_is_no_day_old(reviewed, days):
    assert told("days_since_review", record("tool", "drill", reviewed)).value == days


def test_as_long_as_one_record_does_not_say_nobody_knows():
    first, other = record("tool", "drill", ""), record("holder", "chuck", "")
    age = told("days_since_review", first, record("machine", "mill", "2025-02-01"), other)

    assert not age.is_known
    assert [missing.record for missing in age.missing] == ["tool drill", "holder chuck"]
    assert [item.place.file for item in age.evidence] == ["mill.yaml"]


def test_without_any_record_the_job_is_asked_for():
    for name in ("days_since_review", "oldest_record"):
        assert told(name).missing == (Missing("job", "", "which job does this program belong to?"),)


FIELDS = [
    (kind, field) for kind in ("machine", "material", "fluid", "job", "tool", "holder") for field in schema.fields(kind).values()
]


@pytest.mark.parametrize(("kind", "field"), FIELDS, ids=lambda part: part if isinstance(part, str) else part.name)
def test_every_field_of_a_record_is_a_fact_with_its_unit_words_and_meaning(kind, field):
    name = f"{kind}.{field.name.replace(' ', '_').replace('-', '_')}"
    own = kind in ("tool", "holder")
    for scope in WORDS.scopes:
        fact = WORDS.facts.get((scope, name))
        if field.kind in ("list", "date") or (own and scope not in TOOL_SCOPES):
            assert fact is None
            continue
        assert fact is not None
        assert (fact.says, fact.unit, fact.words, fact.origin) == (field.says, field.unit, field.words, "record")
        assert fact.needs == (f"{kind}: {field.name}",)
        assert fact.kind == {"quantity": "number", "count": "number", "texts": "words"}.get(field.kind, field.kind)
        if fact.kind == "number":
            assert (fact.factor, fact.offset, fact.dimension) == units.scale(field.unit)


def test_every_other_fact_says_what_it_is_where_it_comes_from_and_in_which_unit():
    for (scope, name), fact in WORDS.facts.items():
        assert (fact.scope, fact.name) == (scope, name)
        assert fact.kind in ("number", "truth", "word", "words", "text") and fact.says
        assert fact.origin in ("program", "record", "computed", "physics")
        assert isinstance(fact.unit, str) and isinstance(fact.words, tuple) and isinstance(fact.needs, tuple)
        assert all(": " in need for need in fact.needs)
    supply = WORDS.fact("program", "through_tool_supply")
    assert supply is not None and supply.needs == ("machine: supplies.fitted",)
    depth, kind = WORDS.fact("operation", "depth"), WORDS.fact("operation", "kind")
    assert depth is not None and (depth.unit, depth.factor) == ("mm", 0.001)
    assert kind is not None and "drill" in kind.words
    assert all(
        (fact.factor, fact.offset, fact.dimension) == (1.0, 0.0, PLAIN) for fact in WORDS.facts.values() if fact.kind != "number"
    )


def test_the_age_of_records_is_told_of_a_program_and_needs_every_record():
    says = "the record that was reviewed longest ago"
    age, name = (WORDS.facts["program", word] for word in ("days_since_review", "oldest_record"))

    assert (age.kind, age.says, age.origin, age.needs) == (
        "number", f"days since the review of {says}", "record", ("every record: reviewed",),
    )  # fmt: skip
    assert (name.kind, name.says, name.origin, name.needs) == ("text", says, "record", ("every record: reviewed",))


def step(**changed: object) -> SimpleNamespace:
    """A step of a hole by a canned cycle, with what tells it from others."""
    told = {"operation": SimpleNamespace(number=1), "cycle": 1, "depth": known(0.02), "diameter": known(0.01)}
    return SimpleNamespace(**{**told, "retract": 0.005, "dwell": 0.0, "rows": (10, 20), "strokes": (), **changed})


def alike(one: SimpleNamespace, other: SimpleNamespace) -> bool:
    """Whether two holes of one step each are asked about once."""
    events = [SimpleNamespace(row=row, code=code) for row, code in ((5, "M8"), (15, "M9"), (25, "G4"))]
    timeline = SimpleNamespace(execution=SimpleNamespace(events=events), memory={})
    first, second = (WORDS.alike("hole", SimpleNamespace(steps=(item,)), timeline) for item in (one, other))
    assert first is not None and second is not None
    return first == second


@pytest.mark.parametrize(
    ("changed", "same"),
    [
        ({}, True),
        ({"rows": (11, 19)}, True),
        ({"rows": (10, 28)}, True),
        ({"rows": (16, 20)}, False),
        ({"rows": (10, 12)}, False),
        ({"operation": SimpleNamespace(number=2)}, False),
        ({"cycle": 2}, False),
        ({"depth": known(0.03)}, False),
        ({"depth": unknown(Missing("program", "", "how deep?"))}, False),
        ({"diameter": known(0.02)}, False),
        ({"retract": 0.01}, False),
        ({"dwell": 1.0}, False),
    ],
)
def test_steps_are_alike_that_differ_in_nothing_a_rule_can_ask(changed, same):
    assert alike(step(), step(**changed)) is same


@pytest.mark.parametrize("what", ["depth", "diameter"])
def test_steps_that_wait_for_different_answers_are_not_alike(what):
    one, other = (unknown(Missing("tool T1", field, f"what is {field}?")) for field in ("DC", "SIG"))

    assert alike(step(**{what: one}), step(**{what: one}))
    assert not alike(step(**{what: one}), step(**{what: other}))


def test_without_a_cycle_the_strokes_tell_steps_apart():
    stroke = SimpleNamespace(start=0.0, end=-0.02, retract_to=0.005)
    first = step(cycle=-1, strokes=(stroke,))

    assert alike(first, step(cycle=-1, strokes=(SimpleNamespace(**vars(stroke)),)))
    for changed in ({"start": 1.0}, {"end": -0.03}, {"retract_to": 0.0}):
        assert not alike(first, step(cycle=-1, strokes=(SimpleNamespace(**{**vars(stroke), **changed}),)))
    assert alike(step(cycle=0, strokes=(stroke,)), step(cycle=0))


def test_a_step_is_told_from_others_by_what_came_before_it_in_its_hole_and_an_operation_never():
    first, second, other = step(hole=1, order=0), step(cycle=2, hole=1, order=1), step(cycle=3, hole=2, order=0)
    holes = [SimpleNamespace(steps=(first, second)), SimpleNamespace(steps=(other,))]
    timeline = SimpleNamespace(execution=SimpleNamespace(events=[]), memory={}, holes=holes)
    keys = [WORDS.alike("step", item, timeline) for item in (first, second, other)]

    assert keys[1] == (*keys[0], *WORDS.alike("hole", SimpleNamespace(steps=(second,)), timeline))
    assert [len(key) for key in keys] == [1, 2, 1] and keys[2] != keys[0]
    assert WORDS.alike("operation", first, timeline) is None


MANY = {
    "program": ("operation", "hole", "edge", "change", "stop", "tool"),
    "operation": ("step", "chain", "passage"),
    "hole": ("step",),
    "edge": ("passage",),
    "tool": ("operation",),
}
ONE = {
    ("step", "operation"): "operation",
    ("passage", "operation"): "operation",
    ("change", "before"): "operation",
    ("change", "after"): "operation",
}
RELATIONS = {(scope, word): (word, False) for scope, words in MANY.items() for word in words} | {
    key: (scope, True) for key, scope in ONE.items()
}


def test_relations_lead_from_scope_to_scope_to_one_object_or_to_many():
    assert all(scope in WORDS.scopes and relation.scope in WORDS.scopes for (scope, _), relation in WORDS.relations.items())
    assert {(scope, word): (relation.scope, relation.one) for (scope, word), relation in WORDS.relations.items()} == RELATIONS
    assert WORDS.many("operation", "step") is WORDS.relations["operation", "step"]
    assert WORDS.many("step", "operation") is None
