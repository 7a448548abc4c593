"""How a tool leaves its work: does the spindle stop while it is in its hole, and by way of which height does it go home."""

import math
from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

from coolcheck.known import Evidence, Known, Truth, known, unknown
from coolcheck.process.fact import fact, meaningless, said
from coolcheck.process.facts_operation import steps_of
from coolcheck.process.facts_rapids import is_turned
from coolcheck.process.facts_setup import raw_face
from coolcheck.process.fluids import is_builder_code
from coolcheck.process.model import HoleStep, Operation, Timeline
from coolcheck.process.moments import code_book, event_rows, remembered, tool_name

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event

STILL = 1e-6  # mm


@fact("operation")
def spindle_stops_in_hole(operation: Operation, timeline: Timeline) -> Truth:
    """A code stops the spindle while the tool is in its hole; what a canned cycle does by itself is none."""
    fed = [step for step in steps_of(operation, timeline) if step.cycle < 0]
    doubt: Truth | None = None
    for event in _stops_in(operation, timeline) if fed else ():
        inside = _inside(event, fed, timeline)
        if inside is None or (operation.kind == "tap" and _turns_on(event, timeline)):
            continue
        if inside.is_yes:
            return inside
        doubt = doubt or inside
    return said(False, "spindle", "no code stops it in a hole") if doubt is None else doubt


def _stops_in(operation: Operation, timeline: Timeline) -> "list[Event]":
    """The codes that stop the spindle behind a move of the operation."""
    rows, book = event_rows(timeline), code_book(timeline)
    found = []
    for event in timeline.execution.events[bisect_right(rows, operation.rows[0]) : bisect_right(rows, operation.rows[1] + 1)]:
        if is_builder_code(event):
            entry = book.entry(event)
            if entry is not None and entry.field("spindle").or_else("") == "stop":
                found.append(event)
        elif event.kind == "spindle" and event.direction == "off" and event.code.startswith("M"):
            found.append(event)
    return found


def _inside(event: "Event", steps: list[HoleStep], timeline: Timeline) -> Truth | None:
    """Is the tool below the top of a hole when the code comes; None when it is at no hole then."""
    row, moves = event.row - 1, timeline.execution.moves
    step = next((step for step in steps if step.rows[0] <= row <= step.rows[1]), None)
    if step is None:
        return None
    hole = timeline.holes[step.hole - 1]
    if not step.depth.is_known:
        return unknown(*step.depth.missing)
    here = float({"x": moves.x, "y": moves.y, "z": moves.z}[hole.axis][row])
    top = {"x": hole.x, "y": hole.y, "z": hole.z}[hole.axis] * 1e3
    if not here < top - STILL:
        return None
    place, note = timeline.execution.place(event.block), f"{round(top - here, 4):g} mm below the top of its hole"
    return known(True, Evidence(event.code, "stops the spindle", place=place, source="program", note=note))


def _turns_on(event: "Event", timeline: Timeline) -> bool:
    """Does the spindle turn again when the next move runs: a tap is stopped to be reversed."""
    execution = timeline.execution
    return event.row >= len(execution.moves) or execution.modal(event.row).spindle != "off"


# the way home


def _low_return(operation: Operation, timeline: Timeline) -> tuple[float, "Event"] | None:
    """The lowest height [mm] that a reference return of the operation comes down to on its way, and its event."""

    def found() -> tuple[float, "Event"] | None:
        rows, moves = event_rows(timeline), timeline.execution.moves
        first, behind = bisect_left(rows, operation.rows[0]), bisect_right(rows, operation.rows[1])
        low: tuple[float, Event] | None = None
        for event in timeline.execution.events[first:behind]:
            if event.kind != "reference" or moves.block[event.row] != event.block:
                continue
            start, height = float(moves.z0[event.row]), float(moves.z[event.row])
            down = not math.isnan(height) and not height >= start - STILL  # from a height that nobody knows too
            if down and (low is None or height < low[0]):
                low = height, event
        return low

    return remembered(timeline, ("low return", operation.number), found)


@fact("operation")
def return_comes_down(operation: Operation, timeline: Timeline) -> Truth:
    """A reference return goes down first, to the point that stands in its block."""
    low = _low_return(operation, timeline)
    if low is None or is_turned(operation, timeline):
        return said(False, "reference return", "none goes down on its way")
    height, event = low
    place = timeline.execution.place(event.block)
    return known(True, Evidence(event.code, f"by way of Z{height:g}", place=place, source="program"))


@fact("operation")
def return_height(operation: Operation, timeline: Timeline) -> Known[float]:
    """Height of that point above the raw face."""
    low = _low_return(operation, timeline)
    if low is None:
        return meaningless(f"no reference return of {tool_name(operation.tool)} goes down on its way")
    height, event = low
    place = timeline.execution.place(event.block)
    above: Known[float] = raw_face(operation, timeline).map(lambda face: (height - face) * 1e-3)
    return above.because(Evidence(event.code, f"Z{height:g}", place=place, source="program")) if above.is_known else above
