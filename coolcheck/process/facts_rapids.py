"""Where a drill, tap or reamer rapids below the raw face: only what earlier cuts of the program have opened is free there.

A milling cut counts as having opened all of the rectangle around its path, so what is told here is what no cut can have opened.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coolcheck.known import Evidence, Known, Missing, known, unknown
from coolcheck.nc.moves import Kind
from coolcheck.process.fact import fact
from coolcheck.process.facts_hole import OPENING
from coolcheck.process.facts_operation import steps_of
from coolcheck.process.facts_setup import raw_face
from coolcheck.process.kinds import PLUNGING
from coolcheck.process.model import HoleStep, Operation, Timeline
from coolcheck.process.moments import remembered

STILL = 1e-6  # mm


@dataclass(frozen=True, slots=True)
class _Cleared:
    """The rectangle that a milling operation may have cleared, and its lowest point [mm]; infinite where it is not known."""

    work_offset: str
    behind: int
    box: tuple[float, float, float, float]
    lowest: float

    def allows(self, operation: Operation, x: float, y: float, z: float) -> bool:
        """Can it have opened the point before the operation came."""
        inside = self.box[0] <= x <= self.box[1] and self.box[2] <= y <= self.box[3]
        known_place = not (math.isnan(x) or math.isnan(y))
        same = self.work_offset == operation.modal.work_offset
        return self.behind <= operation.rows[0] and (not same or (z >= self.lowest - STILL and (inside or not known_place)))


@fact("operation")
def rapid_into_material(operation: Operation, timeline: Timeline) -> Known[float]:
    """How far a rapid goes below the raw face, and below what earlier cuts have opened there."""
    none = Evidence("rapids below the raw face", "none", source="program")
    if operation.holes and not operation.kind_known.is_known:
        return unknown(*operation.kind_known.missing)
    if operation.kind not in (*PLUNGING, "peck_drill", "chip_break_drill") or not operation.holes:
        return known(0.0, none)
    if any(timeline.holes[number - 1].axis != "z" for number in operation.holes) or is_turned(operation, timeline):
        return known(0.0, Evidence("rapids below the raw face", "not looked at", source="program", note="no hole along Z"))
    face = raw_face(operation, timeline)
    if not face.is_known:
        return unknown(*face.missing, evidence=face.evidence)
    found = list(_entries(operation, timeline, face.value))
    found += _sideways(operation, timeline, face.value)
    if not found:
        return known(0.0, none, *face.evidence)
    deep, block, _ = max(found, key=lambda entry: entry[0])
    if any(doubts for _, _, doubts in found):
        return unknown(*(missing for _, _, doubts in found for missing in doubts))
    place = timeline.execution.place(block)
    return known(deep * 1e-3, Evidence("rapid below the raw face", round(deep, 4), "mm", place, "program"), *face.evidence)


_Entry = tuple[float, int, tuple[Missing, ...]]


def is_turned(operation: Operation, timeline: Timeline) -> bool:
    """Does a rotary axis stand elsewhere than at zero: no record states the face of a part that is turned over."""
    moves, rows = timeline.execution.moves, slice(operation.rows[0], operation.rows[1] + 1)
    return any(
        axis is not None and bool((np.abs(np.nan_to_num(axis[rows])) > 1e-9).any()) for axis in (moves.a, moves.b, moves.c)
    )


def _entries(operation: Operation, timeline: Timeline, face: float) -> Iterator[_Entry]:
    """Where a rapid ends below the face over a place: the R plane of a cycle, or the height from which a plain move feeds."""
    cycles, moves = timeline.execution.cycles, timeline.execution.moves
    for step in steps_of(operation, timeline):
        height = cycles[step.cycle].top if step.cycle >= 0 else _rapid_end(step, timeline)
        if not height < face - STILL:
            continue
        row = step.rows[1]
        if any(area.allows(operation, float(moves.x[row]), float(moves.y[row]), height) for area in _cleared(timeline)):
            continue
        opened, doubts = _opened(step, timeline)
        if doubts or face - height > opened:
            yield face - height, step.block, doubts


def _rapid_end(step: HoleStep, timeline: Timeline) -> float:
    """Height at which a rapid hands over to the first feed of the step; NaN where a feed led there."""
    moves = timeline.execution.moves
    rows = np.arange(step.rows[0], step.rows[1] + 1)
    feeds = rows[moves.kind[rows] != Kind.RAPID]
    first = int(feeds[0]) if len(feeds) else -1
    return float(moves.z0[first]) if first > 0 and moves.kind[first - 1] == Kind.RAPID else math.nan


def _opened(step: HoleStep, timeline: Timeline) -> tuple[float, tuple[Missing, ...]]:
    """How deep earlier steps have opened the place [mm], and what must be known to say so."""
    deepest, doubts = 0.0, list[Missing]()
    for other in timeline.holes[step.hole - 1].steps[: step.order]:
        if not other.operation.kind_known.is_known:
            doubts += other.operation.kind_known.missing
        elif other.operation.kind in OPENING and other.depth.is_known:
            deepest = max(deepest, other.depth.value * 1e3)
        elif other.operation.kind in OPENING:
            doubts += other.depth.missing
    return deepest, tuple(doubts)


def _sideways(operation: Operation, timeline: Timeline, face: float) -> list[_Entry]:
    """Rapids that leave their place below the face."""
    moves = timeline.execution.moves
    rows = np.arange(operation.rows[0], operation.rows[1] + 1)
    rows = rows[moves.kind[rows] == Kind.RAPID]
    aside = (np.abs(moves.x[rows] - moves.x0[rows]) > STILL) | (np.abs(moves.y[rows] - moves.y0[rows]) > STILL)
    heights = np.minimum(moves.z[rows], moves.z0[rows])
    found: list[_Entry] = []
    for row in rows[aside & (heights < face - STILL)].tolist():
        height = float(min(moves.z[row], moves.z0[row]))
        ends = ((float(moves.x0[row]), float(moves.y0[row])), (float(moves.x[row]), float(moves.y[row])))
        if not any(all(area.allows(operation, x, y, height) for x, y in ends) for area in _cleared(timeline)):
            found.append((face - height, int(moves.block[row]), ()))
    return found


def _cleared(timeline: Timeline) -> tuple[_Cleared, ...]:
    return remembered(timeline, "cleared areas", lambda: tuple(_areas(timeline)))


def _areas(timeline: Timeline) -> Iterator[_Cleared]:
    """What each operation that cuts sideways may have cleared."""
    moves = timeline.execution.moves
    for operation in timeline.operations:
        if operation.kind in (*PLUNGING, "peck_drill", "chip_break_drill", "probe", "wash", "idle"):
            continue
        rows = np.arange(operation.rows[0], operation.rows[1] + 1)
        rows = rows[moves.kind[rows] != Kind.RAPID]
        if not len(rows):
            continue
        reach = operation.diameter.value * 500.0 if operation.diameter.is_known else math.inf
        arcs = moves.arc[rows] >= 0
        if arcs.any():  # an arc bulges over its ends by its radius at most
            reach += float(moves.arcs.radius[moves.arc[rows][arcs]].max())
        x, y = np.concatenate([moves.x[rows], moves.x0[rows]]), np.concatenate([moves.y[rows], moves.y0[rows]])
        box = (float(x.min()) - reach, float(x.max()) + reach, float(y.min()) - reach, float(y.max()) + reach)
        lowest = float(moves.z[rows].min())
        everywhere = any(math.isnan(value) for value in box)
        yield _Cleared(
            operation.modal.work_offset,
            operation.rows[1],
            (-math.inf, math.inf, -math.inf, math.inf) if everywhere else box,
            -math.inf if math.isnan(lowest) else lowest,
        )
