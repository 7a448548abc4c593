"""Cutting edges over the program's time: every passage through material, wet or dry, and fluid changes in the middle of one.

Passages are found over columns: a run of feed moves between two rapids in material is one engagement. Runs that
follow each other under one regime are one passage object, so a million moves make few of them.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.known import Known, known, unknown
from coolcheck.place import Place
from coolcheck.process.clock import FEED_GAP, Clock
from coolcheck.process.delivery import wet
from coolcheck.process.fluids import FluidTable, commanded
from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import STREAMS, Edge, Fluid, Operation, Passage, Timeline
from coolcheck.process.sections import Rows

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event, Execution
    from coolcheck.records.binding import Binding

_T_NUMBER = re.compile(r"^\s*T?\s*0*(\d+)\s*$", re.I)


@dataclass(frozen=True)
class Runs:
    """Runs of feed moves in material without anything between them: first and last row of each."""

    first: Rows
    last: Rows

    def within(self, first: int, last: int) -> range:
        """The indices of the runs that touch rows first … last."""
        return range(int(np.searchsorted(self.last, first)), int(np.searchsorted(self.first, last, side="right")))


def runs(engaged: Rows, operations: Sequence[Operation]) -> Runs:
    """All runs of feed moves in material; where an operation begins, so does a run."""
    if not len(engaged):
        return Runs(engaged, engaged)
    fresh = np.concatenate([[True], np.diff(engaged) != 1])
    at = np.searchsorted(engaged, np.array([operation.rows[0] for operation in operations], dtype=np.int64))
    fresh[at[at < len(engaged)]] = True
    begins = np.flatnonzero(fresh)
    return Runs(engaged[begins], engaged[np.append(begins[1:], len(engaged)) - 1])


def edges(
    execution: "Execution", binding: "Binding", operations: Sequence[Operation], engaged: Rows, clock: Clock, fluids: FluidTable
) -> tuple[Edge, ...]:
    """One edge for each tool, or for each group of T numbers whose records say they share one, in order of first use."""
    finder = _Passages(execution, operations, runs(engaged, operations), clock, fluids)
    by_edge: dict[int, list[Passage]] = {}
    for operation in operations:
        if operation.tool is None or operation.kind in WITHOUT_CUT:
            continue
        by_edge.setdefault(edge_of(binding, operation.tool), []).extend(finder.of(operation))
    return tuple(Edge(tool, f"T{tool}", binding.tool(tool), tuple(passages)) for tool, passages in by_edge.items() if passages)


def edge_of(binding: "Binding", tool: int) -> int:
    """The T number that stands for the physical edge: the last of the chain of `same edge as`."""
    seen = [tool]
    while True:
        same = binding.tool(seen[-1]).field("same edge as")
        match = _T_NUMBER.match(str(same.value)) if same.is_known else None
        if match is None:
            return seen[-1]
        following = int(match.group(1))
        if following in seen:
            return min(seen)
        seen.append(following)


class _Passages:
    def __init__(
        self, execution: "Execution", operations: Sequence[Operation], all_runs: Runs, clock: Clock, fluids: FluidTable
    ) -> None:
        self.execution, self.runs, self.clock, self.fluids = execution, all_runs, clock, fluids

    def of(self, operation: Operation) -> Iterator[Passage]:
        """The passages of one operation, in order."""
        first, last = operation.rows
        inside = np.array(self.runs.within(first, last), dtype=np.int64)
        changes = self._changes(first, last)
        mixed = self._mixed(inside, changes)
        start = 0
        for at in sorted(mixed):
            yield from self._steady(operation, inside[start:at])
            yield self._one(operation, inside[at : at + 1], tuple(changes[index] for index in mixed[at]))
            start = at + 1
        yield from self._steady(operation, inside[start:])

    def _changes(self, first: int, last: int) -> dict[int, "Event"]:
        """The fluid spans that begin within the operation and change something: index of the span, its event."""
        found = {}
        for index in self.fluids.within(first, last):
            span = self.fluids.spans[index]
            if span.event >= 0 and first < span.row <= last and differs(self.fluids.spans[index - 1].fluid, span.fluid):
                found[index] = self.execution.events[span.event]
        return found

    def _mixed(self, inside: Rows, changes: dict[int, "Event"]) -> dict[int, list[int]]:
        """Positions of the runs in the middle of which the fluid changes, with the spans that do it."""
        mixed: dict[int, list[int]] = {}
        for index in changes:
            row = self.fluids.spans[index].row
            at = int(np.searchsorted(self.runs.last[inside], row))
            if at < len(inside) and self.runs.first[inside[at]] < row:
                mixed.setdefault(at, []).append(index)
        return mixed

    def _steady(self, operation: Operation, inside: Rows) -> Iterator[Passage]:
        """Passages of runs in which nothing changes, grouped by regime."""
        if not len(inside):
            return
        span = np.searchsorted(self.fluids.rows, self.runs.first[inside], side="right") - 1
        borders = [0, *(np.flatnonzero(np.diff(span)) + 1).tolist()]
        group: list[int] = []
        for border in borders:
            if group and differs(self._fluid(inside[group[-1]]), self._fluid(inside[border])):
                yield self._one(operation, inside[group[0] : border], ())
                group = []
            group.append(border)
        yield self._one(operation, inside[group[0] :], ())

    def _fluid(self, run: int) -> Fluid:
        return self.fluids.at(int(self.runs.first[run]))

    def _one(self, operation: Operation, inside: Rows, changes: tuple["Event", ...]) -> Passage:
        first, last = int(self.runs.first[inside[0]]), int(self.runs.last[inside[-1]])
        states = [self.fluids.at(first)]
        if changes:
            states += [
                self.fluids.spans[i].fluid for i in self.fluids.within(first, last) if first < self.fluids.spans[i].row <= last
            ]
        commands = [commanded(state, STREAMS) for state in states]
        return Passage(
            operation=operation,
            rows=(first, last),
            start=self.clock.moving_start(first),
            seconds=self._seconds(inside),
            wet=wet(states, operation.chains, STREAMS),
            commanded_wet=commands[0] if len(commands) == 1 else wet_all(states),
            changes=changes,
            count=len(inside),
        )

    def _seconds(self, inside: Rows) -> Known[float]:
        """Time in the cut: that of its runs."""
        sums = self.clock.columns(self.runs.first[inside], self.runs.last[inside])
        total = float(sums.sum())
        return unknown(FEED_GAP) if np.isnan(total) else known(total, *self.clock.feed_evidence)


def wet_all(states: Sequence[Fluid]) -> Known[bool]:
    """Is a liquid commanded in every one of the states."""
    from_all = [commanded(state, STREAMS) for state in states]
    return next((truth for truth in from_all if not truth.is_yes), from_all[0])


def differs(one: Fluid, other: Fluid) -> bool:
    """Do two states command different things. Evidence and places aside."""
    return one.level != other.level or any(
        (a.is_known, a.is_yes) != (b.is_known, b.is_yes) for (_, a), (_, b) in zip(one.modes, other.modes, strict=True)
    )


def first_place(timeline: Timeline, passage: Passage) -> Place:
    """The block in which a passage begins."""
    return timeline.execution.place(int(timeline.execution.moves.block[passage.rows[0]]))
