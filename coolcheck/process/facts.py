"""Every fact that rules may ask for, and how the objects of each scope are found, placed and named.

The facts are worked out in the modules `facts_*`; what each means stands in `fact_names.yaml`. Every field of a record is a
fact too, made here from the declared fields: `tool.DC`, `machine.union.most_pressure`.
"""

from collections.abc import Iterable
from functools import partial
from typing import Any

from coolcheck.known import Known
from coolcheck.place import Place
from coolcheck.process import (  # noqa: F401 - importing them registers their facts
    cutting_load,
    delivery_flow,
    facts_agree,
    facts_change,
    facts_edge,
    facts_fluid,
    facts_hole,
    facts_leaving,
    facts_operation,
    facts_path,
    facts_program,
    facts_rapids,
    facts_setup,
    facts_tap,
    quench,
)
from coolcheck.process.edges import first_place
from coolcheck.process.fact import FACTS, Fact
from coolcheck.process.facts_operation import of_operation, steps_of
from coolcheck.process.fluids import commanded
from coolcheck.process.model import LIQUID, Edge, Hole, HoleStep, Operation, Passage, Timeline
from coolcheck.process.moments import (
    ChainOf,
    Change,
    Stop,
    ToolUse,
    chains_of,
    changes,
    passages_of,
    stops,
    table,
    tool_name,
    tools,
)
from coolcheck.records import schema
from coolcheck.records.record import Record

__all__ = ["FACTS", "Fact", "objects", "place", "related", "subject"]

SCOPES = ("program", "operation", "step", "hole", "edge", "passage", "tool", "change", "stop", "chain")
EVERYWHERE = ("machine", "material", "fluid", "job")
OF_A_TOOL = ("tool", "holder")
TOOL_SCOPES = ("operation", "step", "passage", "edge", "tool")


def objects(scope: str, timeline: Timeline) -> Iterable[Any]:
    """Every object of a scope, in program order."""
    found: dict[str, Iterable[Any]] = {
        "program": (timeline,),
        "operation": timeline.operations,
        "hole": timeline.holes,
        "edge": timeline.edges,
        "tool": tools(timeline),
        "change": changes(timeline),
        "stop": stops(timeline),
    }
    if scope in found:
        return found[scope]
    if scope == "step":
        return tuple(step for hole in timeline.holes for step in hole.steps)
    if scope == "passage":
        return tuple(passage for edge in timeline.edges for passage in edge.passages)
    if scope == "chain":
        return tuple(chain for operation in timeline.operations for chain in chains_of(operation))
    raise LookupError(f"there is no scope {scope!r}")


def related(scope: str, word: str, item: Any, timeline: Timeline) -> Iterable[Any]:
    """The objects that a relation leads to, in order."""
    if scope == "program":
        return objects(word, timeline)
    if isinstance(item, Operation):
        return {"step": steps_of, "passage": passages_of}[word](item, timeline) if word != "chain" else chains_of(item)
    if isinstance(item, Change):
        side = item.before if word == "before" else item.after
        return (side,) if side is not None else ()
    if isinstance(item, HoleStep | Passage) and word == "operation":
        return (item.operation,)
    lists = {"hole": "steps", "edge": "passages", "tool": "operations"}
    if scope in lists:
        return tuple(getattr(item, lists[scope]))
    raise LookupError(f"{scope} has no relation {word!r}")


def place(scope: str, item: Any, timeline: Timeline) -> Place:
    """Where a finding about it points to."""
    if isinstance(item, Timeline):
        return Place(timeline.execution.program.source.name)
    if isinstance(item, Change | Stop):
        return timeline.execution.place(item.event.block)
    if isinstance(item, ToolUse):
        return item.operations[0].place
    if isinstance(item, ChainOf):
        return item.operation.place
    if isinstance(item, Hole):
        return item.steps[0].place
    if isinstance(item, Edge):
        return first_place(timeline, item.passages[0])
    if isinstance(item, Passage):
        return _dry_place(timeline, item) or first_place(timeline, item)
    found: Place = item.place
    return found


def _dry_place(timeline: Timeline, passage: Passage) -> Place | None:
    """Where liquid is turned off in the middle of a passage; None where it is not."""
    for event in passage.changes:
        index = next(at for at, other in enumerate(timeline.execution.events) if other is event)
        before, after = table(timeline).before_event(index), table(timeline).after_event(index)
        if commanded(before, LIQUID).is_yes and commanded(after, LIQUID).is_no:
            return timeline.execution.place(event.block)
    return None


def subject(scope: str, item: Any, timeline: Timeline) -> tuple[tuple[str, str], ...]:
    """What it is about, in words that a waiver can name."""
    if isinstance(item, Hole):
        return (("hole", item.name),)
    if isinstance(item, Edge | ToolUse):
        return (("tool", tool_name(item.tool)),)
    if isinstance(item, Change):
        return (("tool", facts_change.next_tool(item, timeline).value),)
    operation = item.operation if isinstance(item, ChainOf) else item
    if not isinstance(operation, Operation | HoleStep | Passage):
        return ()
    whole = of_operation(operation)
    words = [("tool", tool_name(whole.tool)), ("operation", str(whole.number)), ("operation kind", whole.kind)]
    if isinstance(operation, HoleStep):
        words.append(("hole", timeline.holes[operation.hole - 1].name))
    return tuple(words)


def _record_of(kind: str, item: Any, timeline: Timeline) -> Record:
    if kind in EVERYWHERE:
        record: Record = getattr(timeline.binding, kind)
        return record
    if isinstance(item, Edge):
        return item.record if kind == "tool" else timeline.binding.holder(item.tool)
    if isinstance(item, ToolUse):
        return item.record if kind == "tool" else item.holder
    operation = of_operation(item)
    return operation.tool_record if kind == "tool" else operation.holder_record


def _field(kind: str, name: str, item: Any, timeline: Timeline) -> Known[Any]:
    return _record_of(kind, item, timeline).field(name)


def _register_fields() -> None:
    """The fields of records as facts; lists of sections are none."""
    for scope in SCOPES:
        for kind in (*EVERYWHERE, *OF_A_TOOL) if scope in TOOL_SCOPES else EVERYWHERE:
            for field in schema.fields(kind).values():
                if field.kind != "list":
                    name = kind + "." + field.name.replace(" ", "_").replace("-", "_")
                    FACTS[scope, name] = Fact(scope, name, partial(_field, kind, field.name))


_register_fields()
