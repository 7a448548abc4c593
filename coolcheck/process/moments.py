"""The things rules speak of besides operations and holes: tool changes, stops, tools, chains; and how they are found.

Each is a small frozen object that knows its event or its operations; facts of it are worked out when a rule asks.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from coolcheck.nc.moves import Kind
from coolcheck.process.fluids import CodeBook, FluidTable, fluid_table, is_builder_code
from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import Chain, Operation, Passage, Timeline

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event
    from coolcheck.records.record import Record

T = TypeVar("T")
STOPS = ("stop", "optional_stop", "end")
STOPPING_CODES = {"pallet_change": "pallet_change", "door_open": "door_open"}  # what a record says a code means: kind of stop


@dataclass(frozen=True, slots=True)
class Change:
    """A tool change: its event, and the operations before and behind it, None where there is none."""

    number: int
    index: int
    event: "Event"
    before: Operation | None
    after: Operation | None


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop at which somebody, or a pallet, may come near.

    kind : stop | optional_stop | end | pallet_change | door_open; "" for a code that nobody explained, which may be one of them
    """

    kind: str
    index: int
    event: "Event"


@dataclass(frozen=True, slots=True)
class ToolUse:
    """One T number of the program, with its record and what it does."""

    tool: int
    record: "Record"
    holder: "Record"
    operations: tuple[Operation, ...]


@dataclass(frozen=True, slots=True)
class ChainOf:
    """A delivery chain of an operation."""

    operation: Operation
    chain: Chain


def remembered(timeline: Timeline, key: object, make: Callable[[], T]) -> T:
    """What `make` gives, worked out once for a timeline."""
    if key not in timeline.memory:
        timeline.memory[key] = make()
    found: T = timeline.memory[key]
    return found


def table(timeline: Timeline) -> FluidTable:
    """The fluid states by row."""

    def made() -> FluidTable:
        return FluidTable(timeline.fluids, np.array([span.row for span in timeline.fluids], dtype=np.int64))

    return remembered(timeline, "fluids", made)


def commands(timeline: Timeline) -> FluidTable:
    """At each pause: what the program has turned on since the machine last ended it by itself, and not off again."""
    binding = timeline.binding
    return remembered(
        timeline, "commands", lambda: fluid_table(timeline.execution, binding.machine, binding.job, until_pause=True)
    )


def code_book(timeline: Timeline) -> CodeBook:
    """What the machine record says of codes."""
    return remembered(timeline, "codes", lambda: CodeBook(timeline.binding.machine))


def event_rows(timeline: Timeline) -> list[int]:
    """The rows of all events, in their order."""
    return remembered(timeline, "event rows", lambda: [event.row for event in timeline.execution.events])


def changes(timeline: Timeline) -> tuple[Change, ...]:
    """Every tool change, in order."""
    return remembered(timeline, "changes", lambda: _changes(timeline))


def _changes(timeline: Timeline) -> tuple[Change, ...]:
    found: list[Change] = []
    operations = timeline.operations
    firsts = [operation.rows[0] for operation in operations]
    for index, event in enumerate(timeline.execution.events):
        if event.kind != "tool_change":
            continue
        at = bisect_left(firsts, event.row)
        if at == 1 and not found and not cuts_before(operations[0], timeline, event.row):
            at = 0  # the moves before the first tool change belong to the operation behind it
        found.append(Change(len(found) + 1, index, event, operations[at - 1] if at else None, next(iter(operations[at:]), None)))
    return tuple(found)


def cuts_before(operation: Operation, timeline: Timeline, row: int) -> bool:
    """Does the operation cut before that row."""
    first = first_cut(operation, timeline)
    return first is not None and first < row


def stops(timeline: Timeline) -> tuple[Stop, ...]:
    """Every stop, in order: by the dialect, and by codes that the machine record says open the door or change the pallet."""
    return remembered(timeline, "stops", lambda: _stops(timeline))


def _stops(timeline: Timeline) -> tuple[Stop, ...]:
    book = code_book(timeline)
    found = []
    for index, event in enumerate(timeline.execution.events):
        if event.kind in STOPS:
            found.append(Stop(event.kind, index, event))
        elif event.kind == "m_code":
            means = book.means(event)
            if not means.is_known:
                found.append(Stop("", index, event))
            elif means.value in STOPPING_CODES:
                found.append(Stop(STOPPING_CODES[means.value], index, event))
    return tuple(found)


def tools(timeline: Timeline) -> tuple[ToolUse, ...]:
    """Every T number that does something, in order of first use."""
    return remembered(timeline, "tools", lambda: _tools(timeline))


def _tools(timeline: Timeline) -> tuple[ToolUse, ...]:
    uses: dict[int, list[Operation]] = {}
    for operation in timeline.operations:
        if operation.tool is not None:
            uses.setdefault(operation.tool, []).append(operation)
    return tuple(ToolUse(tool, found[0].tool_record, found[0].holder_record, tuple(found)) for tool, found in uses.items())


def chains_of(operation: Operation) -> tuple[ChainOf, ...]:
    """The chains of an operation with where they belong."""
    return tuple(ChainOf(operation, chain) for chain in operation.chains)


def passages_of(operation: Operation, timeline: Timeline) -> tuple[Passage, ...]:
    """The passages of an operation, in order."""

    def by_operation() -> dict[int, list[Passage]]:
        found: dict[int, list[Passage]] = {}
        for edge in timeline.edges:
            for passage in edge.passages:
                found.setdefault(passage.operation.number, []).append(passage)
        return found

    return tuple(remembered(timeline, "passages", by_operation).get(operation.number, ()))


def first_cut(operation: Operation, timeline: Timeline) -> int | None:
    """Row of its first feed move in material, None when it has none."""
    at, until = _engaged(operation, timeline)
    return int(timeline.engaged[at]) if until > at else None


def last_cut(operation: Operation, timeline: Timeline) -> int | None:
    """Row of its last feed move in material, None when it has none."""
    at, until = _engaged(operation, timeline)
    return int(timeline.engaged[until - 1]) if until > at else None


def _engaged(operation: Operation, timeline: Timeline) -> tuple[int, int]:
    at, until = np.searchsorted(timeline.engaged, (operation.rows[0], operation.rows[1] + 1))
    return int(at), int(until)


def first_feed(operation: Operation, timeline: Timeline) -> int | None:
    """Row of its first feed or probing move, in material or above it, None when it has none."""
    return remembered(timeline, ("first feed", operation.number), lambda: _feed(operation, timeline))


def _feed(operation: Operation, timeline: Timeline) -> int | None:
    first, last = operation.rows
    feeds = timeline.execution.moves.kind[first : last + 1] != Kind.RAPID
    at = int(np.argmax(feeds)) if len(feeds) else 0
    return first + at if len(feeds) and feeds[at] else None


def opening(operation: Operation, timeline: Timeline) -> int:
    """Index of the tool change that brought its tool into the spindle, -1 when it was there from the start."""
    row = first_cut(operation, timeline)
    behind = bisect_right(event_rows(timeline), operation.rows[0] if row is None else row)
    events = timeline.execution.events
    return next((index for index in range(behind - 1, -1, -1) if events[index].kind == "tool_change"), -1)


def start_event(operation: Operation, timeline: Timeline) -> int:
    """Index behind the last event before its first cut (or feed move), or before the end of its moves when it has none."""
    row = first_cut(operation, timeline)
    row = first_feed(operation, timeline) if row is None else row
    return bisect_right(event_rows(timeline), operation.rows[1] if row is None else row)


def previous_cut(row: int, timeline: Timeline) -> int:
    """Row of the last feed move in material before `row`, -1 when there is none. Probing counts as none."""
    at = int(np.searchsorted(timeline.engaged, row))
    starts = [operation.rows[0] for operation in timeline.operations]
    while at > 0:
        found = int(timeline.engaged[at - 1])
        operation = timeline.operations[bisect_right(starts, found) - 1]
        if operation.kind not in WITHOUT_CUT:
            return found
        at = int(np.searchsorted(timeline.engaged, operation.rows[0]))
    return -1


def unlisted(timeline: Timeline, first: int, behind: int) -> "tuple[Event, ...]":
    """Builder-assigned codes among the events first … behind - 1 that the machine record does not list."""
    book, events = code_book(timeline), timeline.execution.events
    found = (index for index, event in enumerate(events) if is_builder_code(event) and not book.is_listed(event))
    dark = remembered(timeline, "unlisted codes", lambda: list(found))
    return tuple(events[index] for index in dark[bisect_left(dark, first) : bisect_left(dark, behind)])


def tool_name(tool: int | None) -> str:
    """As messages write it: "T12"."""
    return "the tool" if tool is None else f"T{tool}"


def name_of(item: Any) -> str:
    """The T number of whatever has a tool."""
    return tool_name(item.tool)
