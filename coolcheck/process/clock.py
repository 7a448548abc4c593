"""Machine time: how long each move takes, and when anything happens. Columns again, so that a million moves cost little."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coolcheck.known import Evidence, Known, Missing, known, merged, unknown
from coolcheck.nc.moves import Floats, Kind
from coolcheck.process.drives import Drives

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.records.record import Record

FEED_GAP = Missing("program", "", "how fast, and from where, is this fed? A feed or a position before it is not known")
POSITION_GAP = Missing("program", "", "from where does this rapid start? A position before it is not known")


@dataclass(frozen=True)
class Clock:
    """When things happen, from the first move on.

    seconds : time of each move [s], NaN where it is not known; is_rapid : which of them are rapids
    halt_rows, halt_events, halt_seconds : dwells, tool changes and spindle starts in program order; NaN where not known
    rapid_missing, halt_missing : what would make the unknown ones known
    evidence, feed_evidence : what all times, and what the times of feed moves alone, rest on
    """

    seconds: Floats
    is_rapid: NDArray[np.bool_]
    halt_rows: tuple[int, ...]
    halt_events: tuple[int, ...]
    halt_seconds: tuple[float, ...]
    rapid_missing: tuple[Missing, ...]
    halt_missing: tuple[Missing, ...]
    evidence: tuple[Evidence, ...]
    feed_evidence: tuple[Evidence, ...]

    @cached_property
    def sums(self) -> Floats:
        """Time of all moves before each row, unknown ones left out; one longer than the moves."""
        sums = np.zeros(len(self.seconds) + 1)
        np.cumsum(self.seconds, out=sums[1:]) if not self._has_gaps else np.nancumsum(self.seconds, out=sums[1:])
        return sums

    @cached_property
    def _has_gaps(self) -> bool:
        return bool(np.isnan(self.seconds).any())

    @cached_property
    def rapid_gaps(self) -> NDArray[np.int64]:
        """How many rapids before each row have no known time."""
        return _counts(np.isnan(self.seconds) & self.is_rapid) if self._has_gaps else np.zeros(1, np.int64)

    @cached_property
    def feed_gaps(self) -> NDArray[np.int64]:
        """How many feed moves before each row have no known time."""
        return _counts(np.isnan(self.seconds) & ~self.is_rapid) if self._has_gaps else np.zeros(1, np.int64)

    @cached_property
    def _halt_sums(self) -> tuple[list[float], list[int]]:
        times = np.array(self.halt_seconds, dtype=float)
        sums = np.concatenate([[0.0], np.nancumsum(times)]).tolist()
        return sums, np.concatenate([[0], np.cumsum(np.isnan(times))]).tolist()

    def _known(self, first: int, behind: int, halt: int, behind_halt: int) -> Known[float]:
        """Time of moves first … behind - 1 and of halts halt … behind_halt - 1."""
        missing: list[Missing] = []
        if self._has_gaps:
            if self.rapid_gaps[behind] > self.rapid_gaps[first]:
                missing += self.rapid_missing or (POSITION_GAP,)
            if self.feed_gaps[behind] > self.feed_gaps[first]:
                missing.append(FEED_GAP)
        sums, gaps = self._halt_sums
        if gaps[behind_halt] > gaps[halt]:
            missing += self.halt_missing
        if missing:
            return unknown(*missing, evidence=self.evidence)
        total = float(self.sums[behind] - self.sums[first]) + sums[behind_halt] - sums[halt]
        return known(max(0.0, total), *self.evidence)

    def columns(self, first: NDArray[np.int64], last: NDArray[np.int64]) -> Floats:
        """Time of the moves first … last of many stretches at once, with the halts between them; NaN where it is not known."""
        times: Floats = self.sums[last + 1] - self.sums[first]
        if self._has_gaps:
            gaps = self.rapid_gaps + self.feed_gaps
            times[gaps[last + 1] > gaps[first]] = np.nan
        if self.halt_rows:
            rows = np.array(self.halt_rows, dtype=np.int64)
            sums, gaps_list = self._halt_sums
            start, stop = np.searchsorted(rows, first, side="right"), np.searchsorted(rows, last, side="right")
            times += np.array(sums)[stop] - np.array(sums)[start]
            times[np.array(gaps_list)[stop] > np.array(gaps_list)[start]] = np.nan
        return times

    def before(self, row: int) -> Known[float]:
        """When everything before move `row` is done, its own halts still to come."""
        return self._known(0, row, 0, bisect_left(self.halt_rows, row))

    def total(self) -> Known[float]:
        """Time of the whole program, every halt counted."""
        return self._known(0, len(self.seconds), 0, len(self.halt_rows))

    def moving_start(self, row: int) -> Known[float]:
        """When move `row` sets off, the halts before it done."""
        return self._known(0, row, 0, bisect_right(self.halt_rows, row))

    def at_event(self, event: int, row: int) -> Known[float]:
        """When the event of that index, which stands before move `row`, happens."""
        return self._known(0, row, 0, bisect_left(self.halt_events, event))

    def from_event(self, event: int, row: int, to_row: int) -> Known[float]:
        """Time from an event to the moment move `to_row` sets off."""
        return self._known(row, to_row, bisect_left(self.halt_events, event), bisect_right(self.halt_rows, to_row))

    def between_events(self, event: int, row: int, later: int, later_row: int) -> Known[float]:
        """Time from one event to a later one."""
        return self._known(row, later_row, bisect_left(self.halt_events, event), bisect_left(self.halt_events, later))


def _counts(marks: NDArray[np.bool_]) -> NDArray[np.int64]:
    return np.concatenate([[0], np.cumsum(marks)])


def clock(execution: "Execution", machine: "Record") -> Clock:
    """The clock of a program on a machine: rapids by rates and acceleration, feed moves slowing at their corners where known."""
    moves = execution.moves
    is_rapid = moves.kind == Kind.RAPID
    drives = Drives(machine)
    seconds = moves.seconds.copy()
    rapids = np.flatnonzero(is_rapid)
    seconds[rapids] = drives.rapid_seconds(moves, rapids)
    rows, events, halts, missing = _halts(execution, machine)
    drives.slow_feed_moves(moves, np.flatnonzero(~is_rapid), rows, seconds)
    rapid_missing = merged(drives.missing)
    return Clock(
        seconds,
        is_rapid,
        rows,
        events,
        halts,
        rapid_missing,
        missing,
        merged(drives.evidence + drives.feed_evidence),
        merged(drives.feed_evidence),
    )


def _halts(
    execution: "Execution", machine: "Record"
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[float, ...], tuple[Missing, ...]]:
    """Everything that takes time between moves: dwells as programmed, tool changes as the machine record says."""
    rows, indices, seconds = [], [], []
    missing: list[Missing] = []
    change = machine.field("motion.tool change time")
    for index, event in enumerate(execution.events):
        if event.kind == "tool_change":
            took = change.or_else(np.nan)
            missing += change.missing
        elif event.seconds:
            took = event.seconds
            if np.isnan(took):
                missing.append(Missing("program", "", "how long is this dwell?", execution.place(event.block)))
        else:
            continue
        rows.append(event.row)
        indices.append(index)
        seconds.append(took)
    return tuple(rows), tuple(indices), tuple(seconds), merged(missing)
