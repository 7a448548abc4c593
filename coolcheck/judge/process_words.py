"""The vocabulary of real reviews: the facts that `process` answers, the fields of records, and what depends on today's date."""

from bisect import bisect_right
from collections.abc import Hashable, Iterable, Mapping
from datetime import date
from functools import cache, partial
from pathlib import Path
from typing import Any

from coolcheck import yamltext
from coolcheck.judge import units
from coolcheck.judge.dimensions import PLAIN
from coolcheck.judge.vocabulary import Fact, Relation, Vocabulary
from coolcheck.known import Evidence, Known, Missing, known, unknown
from coolcheck.process import facts
from coolcheck.process.moments import remembered
from coolcheck.records import schema

_NAMES = Path(facts.__file__).parent / "fact_names.yaml"
_EVERYWHERE = ("machine", "material", "fluid", "job")
_OF_A_TOOL = ("tool", "holder")
TOOL_SCOPES = ("operation", "step", "passage", "edge", "tool")
_KIND_OF_FIELD = {"quantity": "number", "count": "number", "number": "number", "texts": "words"}


@cache
def process_words(today: date) -> Vocabulary:
    """Everything a rule may say, on that day."""
    declared = yamltext.read(_NAMES).data
    known_by_name = {(fact.scope, fact.name): fact for fact in _declared(declared["facts"])}
    for scope in declared["scopes"]:
        known_by_name |= {(fact.scope, fact.name): fact for fact in _record_facts(scope)}
    known_by_name |= {(fact.scope, fact.name): fact for fact in _dated_facts(today)}
    relations = _relations(declared["relations"])
    return Vocabulary(known_by_name, relations, declared["scopes"], facts.objects, facts.place, facts.subject, _alike)


def _declared(scopes: Mapping[str, Mapping[str, Mapping[str, Any]]]) -> Iterable[Fact]:
    for scope, names in scopes.items():
        for name, entry in names.items():
            words, needs = tuple(entry.get("of", ())), tuple(entry.get("needs", ()))
            yield _fact(scope, name, entry["is"], entry["says"], entry.get("unit", ""), words, entry["from"], needs)


def _record_facts(scope: str) -> Iterable[Fact]:
    records = (*_EVERYWHERE, *_OF_A_TOOL) if scope in TOOL_SCOPES else _EVERYWHERE
    for record in records:
        for field in schema.fields(record).values():
            if field.kind in ("list", "date"):
                continue
            name = record + "." + field.name.replace(" ", "_").replace("-", "_")
            kind = _KIND_OF_FIELD.get(field.kind, field.kind)
            yield _fact(scope, name, kind, field.says, field.unit, field.words, "record", (f"{record}: {field.name}",))


def _fact(
    scope: str, name: str, kind: str, says: str, unit: str, words: tuple[str, ...], origin: str, needs: tuple[str, ...]
) -> Fact:
    factor, offset, dimension = units.scale(unit) if kind == "number" else (1.0, 0.0, PLAIN)
    return Fact(name, scope, kind, says, facts.FACTS[scope, name].of, unit, dimension, factor, offset, words, origin, needs)


def _relations(declared: Mapping[str, Mapping[str, Mapping[str, str]]]) -> dict[tuple[str, str], Relation]:
    return {
        (scope, word): Relation(entry["scope"], entry.get("one") == "yes", partial(facts.related, scope, word))
        for scope, words in declared.items()
        for word, entry in words.items()
    }


# what is alike


def _alike(scope: str, item: Any, timeline: Any) -> Hashable | None:
    """The same for holes, or steps, that differ in nothing but their place: a plate of a thousand holes is asked about once.

    Every fact of a step rests on the steps of its hole up to it, on their operations, and on the codes between them.
    """
    if scope not in ("step", "hole"):
        return None
    steps = item.steps if scope == "hole" else timeline.holes[item.hole - 1].steps[: item.order + 1]
    rows = remembered(
        timeline, "rows of M codes", lambda: [event.row for event in timeline.execution.events if event.code[:1] == "M"]
    )
    keys = remembered(timeline, "keys of steps", dict[int, Hashable])
    for step in steps:
        if id(step) not in keys:
            keys[id(step)] = _step_key(step, rows)
    return tuple([keys[id(step)] for step in steps])


def _step_key(step: Any, rows: list[int]) -> Hashable:
    events = (bisect_right(rows, step.rows[0]), bisect_right(rows, step.rows[1]))
    depth, diameter = step.depth.or_else(step.depth.missing), step.diameter.or_else(step.diameter.missing)
    strokes: Hashable = step.cycle  # with the depth, a canned cycle tells its strokes
    if step.cycle < 0:
        strokes = tuple((stroke.start, stroke.end, stroke.retract_to) for stroke in step.strokes)
    return (step.operation.number, strokes, depth, diameter, step.retract, step.dwell, events)


# what depends on today


def _dated_facts(today: date) -> Iterable[Fact]:
    def days(item: Any, timeline: Any) -> Known[float]:
        return _oldest(timeline, today).map(lambda found: float(found[0]))

    def name(item: Any, timeline: Any) -> Known[str]:
        return _oldest(timeline, today).map(lambda found: found[1])

    needs = ("every record: reviewed",)
    says = "the record that was reviewed longest ago"
    yield Fact("days_since_review", "program", "number", f"days since the review of {says}", days, origin="record", needs=needs)
    yield Fact("oldest_record", "program", "text", says, name, origin="record", needs=needs)


def _oldest(timeline: Any, today: date) -> Known[tuple[int, str]]:
    """Days since, and name of, the record reviewed longest ago; unknown when a record does not say."""
    missing: list[Missing] = []
    evidence: list[Evidence] = []
    oldest = (-1, "")
    for record in timeline.binding.all_records():
        reviewed = record.field("reviewed")
        missing += reviewed.missing
        if reviewed.is_known and (today - reviewed.value).days > oldest[0]:
            oldest = ((today - reviewed.value).days, f"{record.kind} {record.name}")
            evidence = list(reviewed.evidence)
    if missing or oldest[0] < 0:
        job = Missing("job", "", "which job does this program belong to?")
        return unknown(*(missing or [job]), evidence=tuple(evidence))
    return known(oldest, *evidence)
