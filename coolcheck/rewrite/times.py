"""Machine time of the converted holes, before and after, and how much of it another feed saves rather than the missing pecks."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coolcheck.nc.moves import Kind
from coolcheck.place import Place
from coolcheck.process.model import Timeline
from coolcheck.rewrite.differences import CODE, FEED, Differences, OnePass
from coolcheck.rewrite.expect import expected, rows_of_holes
from coolcheck.rewrite.plan import Run


@dataclass(frozen=True, slots=True)
class HoleTime:
    """Machine time of one converted hole [s], from the way to it to the way out of it; NaN where it is not known.

    hole : its number, as `coolcheck holes` numbers them; None where that does not know it
    place : its block
    by_feed : what of the saved time comes from another feed than the programmed one, negative where the new one is slower;
    the rest comes from drilling without pecks
    """

    tool: int | None
    hole: int | None
    place: Place
    before: float
    after: float
    by_feed: float


def hole_times(before: Run, after: Run, declared: Differences) -> Iterator[HoleTime]:
    """The times of the holes that are converted."""
    holes, rows = before.execution.cycle_holes, rows_of_holes(before.execution, declared, expected(before.execution, declared))
    chosen = np.array([one.hole for one in declared.holes], dtype=np.int64)
    if not len(chosen):
        return
    new = np.array([rows[hole] for hole in chosen.tolist()], dtype=np.int64)
    took = before.timeline.clock.columns(holes.first[chosen].astype(np.int64), holes.last[chosen].astype(np.int64))
    takes = after.timeline.clock.columns(new[:, 0], new[:, 1])
    numbers = _numbers(before.timeline)
    for one, seconds, fewer in zip(declared.holes, took.tolist(), takes.tolist(), strict=True):
        place = before.execution.place(int(holes.block[one.hole]))
        number = _number(numbers, int(holes.first[one.hole]))
        yield HoleTime(one.tool, number, place, seconds, fewer, _by_feed(before, one))


def _numbers(timeline: Timeline) -> list[tuple[int, int, int]]:
    """First and last row of every visit to a hole, and its number, in order."""
    return sorted((step.rows[0], step.rows[1], hole.number) for hole in timeline.holes for step in hole.steps)


def _number(numbers: list[tuple[int, int, int]], row: int) -> int | None:
    """The number of the hole that is visited with a move."""
    at = bisect_right(numbers, row, key=lambda visit: visit[0]) - 1
    return numbers[at][2] if at >= 0 and numbers[at][1] >= row else None


def _by_feed(before: Run, one: OnePass) -> float:
    """Seconds that the same strokes would take at the programmed feed, less what they take now."""
    execution = before.execution
    first, last = int(execution.cycle_holes.first[one.hole]), int(execution.cycle_holes.last[one.hole])
    stroke = first + int(np.argmax(execution.moves.kind[first : last + 1] == Kind.FEED))
    cycle = execution.cycles[int(execution.cycle_holes.cycle[one.hole])]
    programmed = float(execution.moves.feed[stroke])
    ways = [(step.act, step.to, step.feed) for step in one.steps if step.act != CODE]
    start = float(getattr(execution.moves, cycle.axis + "0")[stroke])
    saved = 0.0
    for (_, low, _), (act, to, feed) in pairwise([("", start, 0.0), *ways]):
        if act == FEED:
            saved += abs(to - low) * 60.0 * (1.0 / programmed - 1.0 / feed)
    return saved
