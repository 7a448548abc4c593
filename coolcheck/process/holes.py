"""Holes as histories over all tools of a program: visits clustered by place, each with depth, strokes, fluid and time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, overload

import numpy as np
from numpy.typing import NDArray

from coolcheck.known import Evidence, Known, Missing, known, merged, unknown
from coolcheck.nc.moves import Floats, Kind, Moves
from coolcheck.process.clock import Clock
from coolcheck.process.fluids import FluidTable
from coolcheck.process.model import Hole, HoleStep, Operation, Stroke
from coolcheck.process.sections import Rows
from coolcheck.process.shifts import z_shifts
from coolcheck.process.visits import AXES, RETRACTS, STILL, Visits

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.records.record import Record

SAME_PLACE = 0.02  # mm; visits nearer than that along both axes are one hole
TOP_NOTE = "no record states the raw face: taken at Z0, or at the height the tool feeds from where that is lower"
R_PLANE_NOTE = "no record states the raw face and the bottom is not below Z0: taken at the height the tool feeds from"


@dataclass(frozen=True)
class Grouped:
    """The visits with their holes: `hole` is the number of each visit's hole, from 0 by first visit; `top` its height [mm].

    top_evidence : what the top rests on, by the index in `top_source` (0 job record, 1 assumed Z0, 2 assumed feed height)
    """

    visits: Visits
    hole: Rows
    count: int
    top: Floats
    top_source: Rows
    top_evidence: tuple[tuple[Evidence, ...], ...]
    offsets: tuple[str, ...]
    offset: Rows

    def of_section(self, section: int) -> NDArray[np.int64]:
        """The visits of one section."""
        return np.flatnonzero(self.visits.section == section)


def grouped(execution: "Execution", visits: Visits, job: "Record") -> Grouped:
    """The visits clustered into holes: same axis, work offset, rotary position and place."""
    names, offset = _offsets(execution, visits)
    keys = [visits.axis, offset, _clusters(visits.u), _clusters(visits.v)]
    for rotary in (execution.moves.a, execution.moves.b, execution.moves.c):
        if rotary is not None:
            keys.append(_clusters(rotary[visits.first_cut]))
    hole, count = _numbered(keys)
    top, source, evidence = _tops(visits, hole, count, job, z_shifts(names, offset))
    return Grouped(visits, hole, count, top, source, evidence, names, offset)


def _offsets(execution: "Execution", visits: Visits) -> tuple[tuple[str, ...], Rows]:
    rows = np.array([span.row for span in execution.spans], dtype=np.int64)
    names = tuple(dict.fromkeys(span.modal.work_offset for span in execution.spans)) or ("",)
    of_span = np.array([names.index(span.modal.work_offset) for span in execution.spans] or [0], dtype=np.int64)
    at = np.maximum(np.searchsorted(rows, visits.first_cut, side="right") - 1, 0)
    return names, of_span[at]


def _clusters(values: Floats) -> Rows:
    """A number for each value, the same for values that lie within SAME_PLACE of each other; values not known stay apart."""
    numbers = np.zeros(len(values), np.int64)
    if not len(values):
        return numbers
    order = np.argsort(values, kind="stable")  # NaN last
    with np.errstate(invalid="ignore"):
        apart = ~(np.diff(values[order]) <= SAME_PLACE)
    numbers[order] = np.concatenate([[0], np.cumsum(apart)])
    return numbers


def _numbered(keys: Sequence[Rows]) -> tuple[Rows, int]:
    """The group of each row that shares all keys, numbered by first appearance."""
    code = np.zeros(len(keys[0]), np.int64)
    for key in keys:
        _, code = np.unique(code * (int(key.max(initial=0)) + 1) + key, return_inverse=True)
    unique, first, inverse = np.unique(code, return_index=True, return_inverse=True)
    rank = np.empty(len(unique), np.int64)
    rank[np.argsort(first, kind="stable")] = np.arange(len(unique))
    return rank[inverse], len(unique)


def _tops(
    visits: Visits, hole: Rows, count: int, job: "Record", shift: Floats
) -> tuple[Floats, Rows, tuple[tuple[Evidence, ...], ...]]:
    """Height of the top of each hole: where nothing states it, the highest of what the visits suggest.

    Heights count from where the program has shifted the work coordinates to: a face that a record states lies `shift` lower
    there, and at no known height where the shift is not known.
    """
    stated = job.field("top")
    assumed = (
        stated.evidence,
        (Evidence("top of the hole", "Z0", source="assumed", note=TOP_NOTE),),
        (Evidence("top of the hole", "where it feeds from", source="assumed", note=R_PLANE_NOTE),),
    )
    along = np.where(visits.axis == 2, shift, 0.0)
    below = visits.bottom + along < 0
    guess = np.where(below, np.minimum(visits.upper + along, 0.0), visits.upper)
    top = np.full(count, -np.inf)
    np.maximum.at(top, hole, guess)
    source = np.full(count, 2)
    source[hole[below]] = 1
    if stated.is_known:
        along_z = np.zeros(count, np.bool_)
        along_z[hole[visits.axis == 2]] = True
        top[along_z], source[along_z] = stated.value * 1e3, 0
    moved = np.zeros(count)
    moved[hole[visits.axis == 2]] = shift[visits.axis == 2]
    top[source != 2] -= moved[source != 2]
    return np.where(np.isnan(moved), np.nan, top), source, assumed


class Strokes(Sequence[Stroke]):
    """The feed strokes of one visit, read from the moves when somebody looks."""

    __slots__ = ("_moves", "_first", "_last", "_axis", "_top", "_count")

    def __init__(self, moves: Moves, first: int, last: int, axis: int, top: float, count: int) -> None:
        self._moves = moves
        self._first = first
        self._last = last
        self._axis = axis
        self._top = top
        self._count = count

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, index: int) -> Stroke: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Stroke]: ...
    def __getitem__(self, index: int | slice) -> Stroke | Sequence[Stroke]:
        return tuple(self)[index]

    def __iter__(self) -> Iterator[Stroke]:
        rows = slice(self._first, self._last + 1)
        name = AXES[self._axis]
        end, start = getattr(self._moves, name)[rows], getattr(self._moves, name + "0")[rows]
        feeds = self._moves.kind[rows] != Kind.RAPID
        down = np.flatnonzero(feeds & (end < start - STILL))
        if not len(down) or self._count == 1:
            lowest = float(end[feeds].min()) if feeds.any() else float(end.min())
            yield Stroke(self._depth(float(start[0])), self._depth(lowest), self._depth(float(end[-1])), self._first)
            return
        begins = down[np.concatenate([[True], np.diff(down) != 1])]
        ends = down[np.concatenate([np.diff(down) != 1, [True]])]
        for number, (begin, stop) in enumerate(zip(begins.tolist(), ends.tolist(), strict=True)):
            until = int(begins[number + 1]) if number + 1 < len(begins) else len(end)
            back = float(end[stop:until].max())
            yield Stroke(self._depth(float(start[begin])), self._depth(float(end[stop])), self._depth(back), self._first + begin)

    def _depth(self, height: float) -> float:
        return (self._top - height) * 1e-3


def holes(
    execution: "Execution",
    group: Grouped,
    operations: Sequence[Operation],
    of_section: dict[int, int],
    clock: Clock,
    fluids: FluidTable,
) -> tuple[Hole, ...]:
    """The hole objects. `of_section` gives the index of the operation of each section."""
    maker = _Maker(execution, group, operations, of_section, clock, fluids)
    return maker.holes()


class _Maker:
    def __init__(
        self,
        execution: "Execution",
        group: Grouped,
        operations: Sequence[Operation],
        of_section: dict[int, int],
        clock: Clock,
        fluids: FluidTable,
    ) -> None:
        self.execution, self.group, self.clock, self.fluids = execution, group, clock, fluids
        self.operations = [operations[of_section[s]] if s in of_section else None for s in range(_most(group.visits.section) + 1)]
        self.depths: dict[tuple[float, float, int], Known[float]] = {}
        self.diameters: dict[float, Known[float]] = {}

    def holes(self) -> tuple[Hole, ...]:
        visits, group = self.group.visits, self.group
        order = np.argsort(group.hole, kind="stable")
        bounds = np.searchsorted(group.hole[order], np.arange(group.count + 1)).tolist()
        steps = self._steps(order)
        found = []
        for number in range(group.count):
            own = tuple(steps[bounds[number] : bounds[number + 1]])
            visit = int(order[bounds[number]])
            axis = int(visits.axis[visit])
            place = [0.0, 0.0, 0.0]
            place[(axis + 1) % 3], place[(axis + 2) % 3] = float(visits.u[visit]) * 1e-3, float(visits.v[visit]) * 1e-3
            place[axis] = float(group.top[number]) * 1e-3
            offset = group.offsets[int(group.offset[visit])]
            found.append(Hole(number + 1, place[0], place[1], place[2], AXES[axis], offset, own))
        return tuple(found)

    def _steps(self, order: NDArray[np.int64]) -> list[HoleStep]:
        """A step for each visit, in the given order."""
        group, execution = self.group, self.execution
        visits = group.visits.taken(order)
        hole, top = group.hole[order], group.top[group.hole[order]]
        within = np.arange(len(order)) - np.searchsorted(hole, hole)
        seconds, single = self._times(visits)
        fluid = np.searchsorted(self.fluids.rows, visits.first_cut, side="right") - 1
        dwells = [cycle.dwell for cycle in execution.cycles] + [0.0]
        spans, moves = self.fluids.spans, execution.moves
        columns = zip(
            *(c.tolist() for c in (
                visits.section, visits.block, hole, within, visits.bottom, visits.diameter, visits.first, visits.last,
                visits.first_cut, visits.axis, visits.strokes, visits.retract, visits.cycle, fluid, top,
                group.top_source[hole],
            )),  # fmt: skip
            seconds, single, strict=True,
        )  # fmt: skip
        return [
            HoleStep(
                operation=self._operation(section),
                execution=execution,
                block=block,
                hole=number + 1,
                order=place,
                depth=self._depth(height, bottom, source),
                diameter=self._diameter(section, diameter),
                strokes=Strokes(moves, first_cut, last, axis, height, strokes),
                retract=RETRACTS[retract],
                dwell=dwells[cycle],
                rows=(first, last),
                seconds=took,
                single_pass_seconds=alone,
                fluid=spans[state].fluid,
                cycle=cycle,
            )
            for (section, block, number, place, bottom, diameter, first, last, first_cut, axis, strokes, retract, cycle,
                 state, height, source, took, alone) in columns
        ]  # fmt: skip

    def _operation(self, section: int) -> Operation:
        operation = self.operations[section]
        assert operation is not None, "a visit always has an operation"
        return operation

    def _depth(self, top: float, bottom: float, source: int) -> Known[float]:
        key = (top, bottom, source)
        if key not in self.depths:
            self.depths[key] = depth_between(top, bottom, self.group.top_evidence[source])
        return self.depths[key]

    def _diameter(self, section: int, path: float) -> Known[float]:
        operation = self._operation(section)
        if np.isnan(path):
            return operation.diameter
        if path not in self.diameters:
            note = "path diameter and cutting diameter"
            self.diameters[path] = known(
                path * 1e-3, Evidence("hole diameter", round(path, 4), "mm", source="computed", note=note)
            )
        return self.diameters[path]

    def _times(self, visits: Visits) -> tuple[list[Known[float]], list[Known[float]]]:
        """Machine time of each visit, and of the same visit in one stroke."""
        whole, alone = visit_seconds(self.clock, visits)
        missing = merged((*self.clock.rapid_missing, *self.clock.halt_missing))
        lacking: Known[float] = unknown(*(missing or (NO_TIME,)), evidence=self.clock.evidence)
        evidence = self.clock.evidence

        @cache  # holes of one row, and the times of those in one stroke, are often equal
        def told(value: float) -> Known[float]:
            return Known(value, True, evidence) if value == value else lacking  # noqa: PLR0124 - NaN is not itself

        return list(map(told, whole.tolist())), list(map(told, alone.tolist()))


NO_TIME = Missing("program", "", "how fast is this hole fed? A feed or a position before it is not known")


def visit_seconds(clock: Clock, visits: Visits) -> tuple[Floats, Floats]:
    """Time of each visit and of the same visit in one stroke [s], NaN where it is not known."""
    whole = clock.columns(visits.first, visits.last)
    cut = clock.columns(visits.first_cut, visits.last_cut)
    with np.errstate(invalid="ignore", divide="ignore"):
        stroke = (visits.upper - visits.bottom) / (visits.stroke_feed / 60.0)
        alone = np.where(visits.strokes > 1, whole - cut + stroke, whole)
    return whole, alone


def depth_between(top: float, bottom: float, evidence: tuple[Evidence, ...]) -> Known[float]:
    """The depth from a top to a bottom, both heights in mm [m]."""
    if np.isnan(top) or np.isnan(bottom):
        return unknown(Missing("program", "", "how deep is this hole? A height before it is not known"))
    depth = max(0.0, top - bottom)
    note = f"from {top:g} mm down to {bottom:g} mm"
    return known(depth * 1e-3, Evidence("depth", round(depth, 4), "mm", source="computed", note=note), *evidence)


def _most(values: Rows) -> int:
    return int(values.max(initial=-1))
