"""Operations over machine time: when each is, and how deep it goes, drawn with few points."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Floats
from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import Operation, Timeline

MOST_POINTS = 2000  # of all strips of a program together
FEWEST_POINTS = 60  # of one strip, however many there are
MOST_STRIPS = 400


@dataclass(frozen=True, slots=True)
class Strip:
    """One operation over machine time. `points` are "hundredths of a second,hundredths of a millimetre" from its start and from
    the top, "" where depths are not known; `start_s` counts known times only, see `Drawn.is_clocked`.
    """

    operation: int
    start_s: float
    seconds: float
    points: str


class Axis:
    """Machine time as the pictures have it: unknown times count nothing, so that there is an axis at all."""

    def __init__(self, timeline: Timeline) -> None:
        self._sums = timeline.clock.sums
        self._halts = np.concatenate([[0.0], np.nancumsum(np.array(timeline.clock.halt_seconds, dtype=float))])
        self._rows = np.array(timeline.clock.halt_rows, dtype=np.int64)
        self.total = float(self._sums[-1] + self._halts[-1])

    def before(self, row: int) -> float:
        """When all before a move is done, its own halts still to come."""
        return float(self._sums[row] + self._halts[np.searchsorted(self._rows, row, side="left")])

    def begin(self, row: int) -> float:
        """When a move sets off."""
        return float(self._sums[row] + self._halts[np.searchsorted(self._rows, row, side="right")])

    def end(self, row: int) -> float:
        """When a move has ended."""
        return float(self.ends(np.array([row]))[0])

    def ends(self, rows: NDArray[np.int64]) -> Floats:
        """When each of these moves has ended."""
        ended: Floats = self._sums[rows + 1] + self._halts[np.searchsorted(self._rows, rows, side="right")]
        return ended


def strips(timeline: Timeline, axis: Axis) -> Iterator[Strip]:
    """A strip for each operation, as finely drawn as their number allows."""
    operations = timeline.operations[:MOST_STRIPS]
    most = max(FEWEST_POINTS, MOST_POINTS // max(1, len(operations)))
    for operation in operations:
        first, last = operation.rows
        inside = np.arange(first, last + 1)
        begin, ends = axis.before(first), axis.ends(inside)
        seconds = max(0.0, float(ends[-1]) - begin) if len(ends) else 0.0
        curve = depth_curve(timeline, operation, inside, ends - begin, most)
        yield Strip(operation.number, round(begin, 3), round(seconds, 3), curve)


def depth_curve(timeline: Timeline, operation: Operation, rows: NDArray[np.int64], times: Floats, most: int) -> str:
    """The depth at the end of each move, what is above the part drawn at its top; "" where the top is not known."""
    top = operation.contours.get("top", float("nan"))
    if not np.isfinite(top) or operation.modal.plane != 17 or operation.kind in WITHOUT_CUT:
        return ""
    depths = np.maximum(0.0, top - timeline.execution.moves.z[rows])
    is_known = np.isfinite(depths)
    kept = extremes(times[is_known], depths[is_known], most)
    pairs = np.rint(np.stack([times[is_known][kept], depths[is_known][kept]], axis=1) * 100).astype(np.int64)
    return " ".join(f"{time},{depth}" for time, depth in pairs.tolist())


def extremes(times: Floats, values: Floats, most: int) -> NDArray[np.int64]:
    """Which of many points to draw: in each of equal stretches of time the lowest and the highest, and both ends.

    >>> extremes(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 5.0, 1.0, 2.0]), most=10).tolist()
    [0, 1, 2, 3]
    """
    count = len(times)
    if count <= most:
        return np.arange(count)
    span = max(float(times[-1] - times[0]), 1e-9)
    stretch = np.minimum(((times - times[0]) / span * (most // 2)).astype(np.int64), most // 2 - 1)
    order = np.lexsort((values, stretch))
    borders = np.flatnonzero(np.diff(stretch[order])) + 1
    lowest = order[np.concatenate([[0], borders])]
    highest = order[np.concatenate([borders, [count]]) - 1]
    return np.unique(np.concatenate([[0], lowest, highest, [count - 1]]))
