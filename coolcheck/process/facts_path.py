"""Facts of the path itself, where a lost decimal point shows: how far and how long it feeds down, how far it reaches.

Only what the program tells is looked at: a position that is not known is in no stroke and in no span.
"""

from dataclasses import dataclass

import numpy as np

from coolcheck.known import Evidence, Known, Truth, known, no, yes
from coolcheck.nc.moves import Cycle, Kind
from coolcheck.process.fact import fact
from coolcheck.process.facts_operation import steps_of
from coolcheck.process.facts_rapids import is_turned
from coolcheck.process.facts_setup import raw_face
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import remembered


@dataclass(frozen=True, slots=True)
class _Stroke:
    """A way down along Z at feed, the pecks of a hole taken together: from and to [mm], its time [s], its block; -1 for none."""

    top: float = 0.0
    bottom: float = 0.0
    seconds: float = 0.0
    block: int = -1


def _longest(operation: Operation, timeline: Timeline) -> _Stroke:
    """The longest way down of an operation."""

    def found() -> _Stroke:
        ways = (_plain_move(operation, timeline), *_of_cycles(operation, timeline))
        return max(ways, key=lambda way: (way.top - way.bottom, -way.block))

    return remembered(timeline, ("longest stroke", operation.number), found)


def _plain_move(operation: Operation, timeline: Timeline) -> _Stroke:
    moves, rows = timeline.execution.moves, slice(operation.rows[0], operation.rows[1] + 1)
    plain = (moves.kind[rows] != Kind.RAPID) & (moves.cycle[rows] < 0)
    down = np.nan_to_num(np.where(plain, moves.z0[rows] - moves.z[rows], 0.0), nan=0.0)
    if not len(down) or down.max() <= 0:
        return _Stroke()
    row = operation.rows[0] + int(down.argmax())
    seconds = float(np.nan_to_num(moves.seconds[row]))
    return _Stroke(float(moves.z0[row]), float(moves.z[row]), seconds, int(moves.block[row]))


def _of_cycles(operation: Operation, timeline: Timeline) -> list[_Stroke]:
    cycles = [cycle for cycle in _cycles(operation, timeline) if cycle.axis == "z" and cycle.top > cycle.bottom]
    return [
        _Stroke(cycle.top, cycle.bottom, 60.0 * (cycle.top - cycle.bottom) / cycle.feed if cycle.feed else 0.0, cycle.block)
        for cycle in cycles
    ]


def _cycles(operation: Operation, timeline: Timeline) -> list[Cycle]:
    """The sets of cycle parameters with which it makes its holes, in order."""
    used = sorted({step.cycle for step in steps_of(operation, timeline) if step.cycle >= 0})
    return [timeline.execution.cycles[at] for at in used]


def _said(name: str, value: float, unit: str, stroke: _Stroke, timeline: Timeline) -> Evidence:
    place = timeline.execution.place(stroke.block) if stroke.block >= 0 else None
    return Evidence(name, round(value, 4), unit, place, "program")


@fact("operation")
def feed_stroke(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far its longest way down at feed goes."""
    stroke = _longest(operation, timeline)
    deep = stroke.top - stroke.bottom
    return known(deep * 1e-3, _said("feed stroke", deep, "mm", stroke, timeline))


@fact("operation")
def feed_from(operation: Operation, timeline: Timeline) -> Known[float]:
    """The height at which that way begins."""
    stroke = _longest(operation, timeline)
    return known(stroke.top * 1e-3, _said("feed from", stroke.top, "mm", stroke, timeline))


@fact("operation")
def stroke_time(operation: Operation, timeline: Timeline) -> Known[float]:
    """How long that way takes."""
    stroke = _longest(operation, timeline)
    return known(stroke.seconds, _said("stroke time", stroke.seconds, "s", stroke, timeline))


@fact("operation")
def air_feed(operation: Operation, timeline: Timeline) -> Known[float]:
    """How much of that way lies above the raw face."""
    stroke = _longest(operation, timeline)
    if stroke.block < 0 or is_turned(operation, timeline):
        note = "it feeds nowhere down onto a face that a record states"
        return known(0.0, Evidence("air", "not looked at", source="program", note=note))
    return raw_face(operation, timeline).map(lambda face: max(0.0, stroke.top - max(stroke.bottom, face)) * 1e-3)


@fact("operation")
def rise_to_feed(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far a cycle of it lifts the tool to the R plane, above the level at which it came."""
    rises = [(cycle.top - cycle.initial, cycle.block) for cycle in _cycles(operation, timeline)]
    rise, block = max((found for found in rises if found[0] > 0), default=(0.0, -1))
    place = timeline.execution.place(block) if block >= 0 else None
    return known(rise * 1e-3, Evidence("rise to feed", round(rise, 4), "mm", place, "program"))


# how far the path reaches


def _span(axis: str, operation: Operation, timeline: Timeline) -> Known[float]:
    key = ("span", axis, operation.number)
    low, high, row = remembered(timeline, key, lambda: _widest(axis, operation, timeline))
    place = timeline.execution.place(int(timeline.execution.moves.block[row])) if row >= 0 else None
    evidence = Evidence(f"path along {axis.upper()}", f"{low:.10g} to {high:.10g}", "mm", place, "program")
    return known((high - low) * 1e-3, evidence)


def _widest(axis: str, operation: Operation, timeline: Timeline) -> tuple[float, float, int]:
    """Lowest and highest position of the widest stretch under one work offset [mm], and the row that reaches farthest."""
    moves, (first, last) = timeline.execution.moves, operation.rows
    ends, starts = getattr(moves, axis), getattr(moves, f"{axis}0")
    widest = (0.0, 0.0, -1)
    for begin, behind in _under_one_offset(first, last, timeline):
        reached = ends[begin:behind]
        low, high = (float(extreme.reduce(reached, initial=starts[begin])) for extreme in (np.fmin, np.fmax))  # NaN is passed by
        if high - low > widest[1] - widest[0]:
            farther = high if abs(high) >= abs(low) else low
            widest = (low, high, begin + int((reached == farther).argmax()))
    return widest


def _under_one_offset(first: int, last: int, timeline: Timeline) -> list[tuple[int, int]]:
    """Rows from and behind that move under one work offset and one length offset: only there heights can be compared."""
    execution, found = timeline.execution, list[tuple[int, int]]()
    begin, frame = first, None
    for span in execution.spans[execution.span_at(first) :]:
        if span.row > last:
            break
        here = (span.modal.work_offset, span.modal.length_offset)
        if frame is not None and here != frame and span.row > begin:
            found.append((begin, span.row))
            begin = span.row
        frame = here
    return [*found, (begin, last + 1)] if begin <= last else found


@fact("operation")
def span_x(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far its path reaches along X, from end to end."""
    return _span("x", operation, timeline)


@fact("operation")
def span_y(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far its path reaches along Y, from end to end."""
    return _span("y", operation, timeline)


@fact("operation")
def span_z(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far its path reaches along Z, from end to end."""
    return _span("z", operation, timeline)


def _stated(axis: str, timeline: Timeline) -> Truth:
    travel = timeline.binding.machine.field(f"motion.travel {axis}")
    note = f"the travel along {axis.upper()} of the machine record"
    if travel.is_known:
        return yes(*travel.evidence)
    return no(Evidence(f"travel {axis}", "not stated", source="record", note=note))


@fact("operation")
def travel_x_stated(operation: Operation, timeline: Timeline) -> Truth:
    """The machine record states the travel along X."""
    return _stated("x", timeline)


@fact("operation")
def travel_y_stated(operation: Operation, timeline: Timeline) -> Truth:
    """The machine record states the travel along Y."""
    return _stated("y", timeline)


@fact("operation")
def travel_z_stated(operation: Operation, timeline: Timeline) -> Truth:
    """The machine record states the travel along Z."""
    return _stated("z", timeline)
