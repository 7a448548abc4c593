"""Facts of how the tool is set up for its cut: which way the spindle turns, the length offset, the raw face below it."""

import math
from bisect import bisect_right

import numpy as np

from coolcheck.known import Evidence, Known, Missing, Truth, combined, every, merged, no, some, unknown, yes
from coolcheck.nc.moves import Kind
from coolcheck.process.delivery import same_size
from coolcheck.process.fact import computed, fact, meaningless, said
from coolcheck.process.fluids import is_builder_code
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import ToolUse, code_book, event_rows, first_cut, first_feed, last_cut, opening, tool_name
from coolcheck.process.shifts import z_shift

NO_OFFSET = ("", "H0")  # H0 holds no length on word-address controls: it cancels


@fact("operation")
def turns_counterclockwise(operation: Operation, timeline: Timeline) -> Truth:
    """The spindle turns counterclockwise in some cut of it."""
    first, last = first_cut(operation, timeline), last_cut(operation, timeline)
    if first is None or last is None:
        return said(False, "cuts", "it has none")
    execution, spans = timeline.execution, timeline.execution.spans
    starts = np.array([span.row for span in spans], dtype=np.int64)
    feeds = first + np.flatnonzero(execution.moves.kind[first : last + 1] != Kind.RAPID)
    used = (np.flatnonzero(np.bincount(np.searchsorted(starts, feeds, side="right"))) - 1).tolist()
    return some(_counterclockwise(timeline, operation, max(first, int(starts[at])), spans[at].modal.spindle) for at in used)


def _counterclockwise(timeline: Timeline, operation: Operation, row: int, spindle: str) -> Truth:
    """Which way it turns at a row, by the last code that says so: the dialect's own, or one that the machine record explains."""
    book = code_book(timeline)
    for event in reversed(timeline.execution.events[: bisect_right(event_rows(timeline), row)]):
        if event.kind == "tool_change":
            break
        if is_builder_code(event):
            entry = book.entry(event)
            does: Known[str] | None = entry.field("spindle") if entry is not None else None
            if does is not None and does.is_known:
                return does.map(lambda word: word == "counterclockwise")
        elif event.kind == "spindle" and event.code != "S":
            place = timeline.execution.place(event.block)
            if event.direction == "unknown":
                break
            evidence = Evidence(event.code, event.direction, place=place, source="program")
            return yes(evidence) if event.direction == "counterclockwise" else no(evidence)
    if spindle == "unknown":
        return unknown(Missing("program", "", f"which way does the spindle turn while {tool_name(operation.tool)} cuts?"))
    evidence = Evidence("spindle", spindle, source="program")
    return yes(evidence) if spindle == "counterclockwise" else no(evidence)


@fact("operation")
def spindle_hangs_on_block_skip(operation: Operation, timeline: Timeline) -> Truth:
    """The code that starts the spindle for its first cut stands in a block that an operator's switch would skip."""
    row = first_cut(operation, timeline)
    if row is None:
        return said(False, "cuts", "it has none")
    book = code_book(timeline)
    for event in reversed(timeline.execution.events[: bisect_right(event_rows(timeline), row)]):
        entry = book.entry(event) if is_builder_code(event) else None
        starts = event.kind == "spindle" and event.code != "S" and event.direction in ("clockwise", "counterclockwise")
        if starts or (entry is not None and entry.field("spindle").or_else("stop") != "stop"):
            place = timeline.execution.place(event.block)
            switch = f"skipped by switch {event.skipped_by}" if event.skipped_by else "in a block that always runs"
            evidence = Evidence(event.code, switch, place=place, source="program")
            return yes(evidence) if event.skipped_by else no(evidence)
        if event.kind == "tool_change":
            break
    return said(False, "spindle", "no code starts it")


# the shank


@fact("tool")
def holder_fits(use: ToolUse, timeline: Timeline) -> Truth:
    """Interface and size of the holder are those of the spindle."""
    machine, holder = timeline.binding.machine, use.holder
    interfaces = machine.field("spindle.interface"), holder.field("interface")
    sizes = machine.field("spindle.size"), holder.field("size")
    return every((combined(lambda a, b: a == b, *interfaces), combined(same_size, *sizes)))


# length


@fact("operation")
def length_offset_on(operation: Operation, timeline: Timeline) -> Truth:
    """A length offset that is not left over from the tool before is active at its first cut."""
    name = operation.modal.length_offset
    change = opening(operation, timeline)
    if change < 0:
        return said(True, "tool change", "none before it: the length of its tool may be set by hand")
    event = timeline.execution.events[change]
    place = timeline.execution.place(event.block)
    if name in NO_OFFSET:
        return no(Evidence("length offset", name or "none", place=place, source="program", note="since this tool change"))
    spans, row = timeline.execution.spans, first_cut(operation, timeline)
    before = timeline.execution.modal(event.row - 1).length_offset if event.row else ""
    until = operation.rows[0] if row is None else row
    stays = all(span.modal.length_offset == name for span in spans if event.row <= span.row <= until)
    if (
        before == name
        and stays
        and operation.tool is not None
        and name != f"H{operation.tool}"
        and not _told(timeline, name, operation)
    ):
        note = "still that of the tool before: none is stated since this tool change"
        return no(Evidence("length offset", name, place=place, source="program", note=note))
    return yes(Evidence("length offset", name, source="program"))


def _told(timeline: Timeline, name: str, operation: Operation) -> bool:
    """Has the reader noted that the program states this offset for this tool: then it is not left over."""
    start = f"T{operation.tool} is in the spindle and {name} "
    return any(note.id == "other-length-offset" and note.says.startswith(start) for note in timeline.execution.notes)


@fact("operation")
def usable_length_stated(operation: Operation, timeline: Timeline) -> Truth:
    """The tool record states its usable length: that of a tool which is no drill is not asked for."""
    stated: Known[float] = operation.tool_record.field("LU")
    if stated.is_known:
        return yes(*stated.evidence)
    return no(Evidence("LU", "not stated", source="record", note="the usable length of the tool record"))


# the raw face


def raw_face(operation: Operation, timeline: Timeline) -> Known[float]:
    """Height of the raw face in the coordinates in which the operation moves [mm]."""
    top: Known[float] = timeline.binding.job.field("top")
    shift = z_shift(operation.modal.work_offset)
    if math.isnan(shift):
        return unknown(shift_question(operation))
    return top.map(lambda height: height * 1e3 - shift)


def shift_question(operation: Operation) -> Missing:
    """What to ask about a shift of the work coordinates along Z that the program does not tell."""
    name = tool_name(operation.tool)
    return Missing("program", "", f"how far are the work coordinates shifted along Z where {name} works?", operation.place)


@fact("operation")
def bottom_below_face(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far its deepest point lies below the raw face."""
    if first_feed(operation, timeline) is None:
        return meaningless(f"{tool_name(operation.tool)} does not cut here: it has no deepest point")
    across = [timeline.holes[number - 1].axis for number in operation.holes]
    if across and "z" not in across:
        return operation.depth  # no record states the face that a hole along X or Y begins in
    moves = timeline.execution.moves
    rows = slice(operation.rows[0], operation.rows[1] + 1)
    lowest = float(moves.z[rows][moves.kind[rows] != Kind.RAPID].min())
    if math.isnan(lowest):
        return unknown(
            *merged(operation.depth.missing or (Missing("program", "", "how deep does it go? A height is not known"),))
        )
    below = raw_face(operation, timeline).map(lambda face: (face - lowest) * 1e-3)
    return below.because(computed("below the raw face", below.value * 1e3, "mm")) if below.is_known else below
