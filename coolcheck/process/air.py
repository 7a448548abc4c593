"""Feed moves in the air before, between and behind canned cycles: a fed approach cuts nothing and is no operation of its own.

What is not known to be in the air stays among the cuts: where the face, a height or a shift is not known, after an arc, on a part
that is turned over, and where a comment names the passage as work of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Floats
from coolcheck.process.comments import Remark
from coolcheck.process.sections import Rows, title_blocks, tool_starts
from coolcheck.process.shifts import z_shift

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.records.record import Record

Flags = NDArray[np.bool_]
ABOVE = 1e-4  # mm; a feed move that stays at the face, to that accuracy, does not cut


def without_air(execution: "Execution", cutting: Rows, remarks: Sequence[Remark], job: "Record") -> Rows:
    """The cutting rows without the plain feed moves beside a cycle along Z that stay wholly above the raw face."""
    if not len(cutting) or not len(execution.cycles):
        return cutting
    plain = execution.moves.cycle[cutting] < 0
    if not plain.any():
        return cutting
    stay = np.searchsorted(np.array([row for row, _ in tool_starts(execution)], dtype=np.int64), cutting, side="right")
    fresh = np.concatenate([[True], (plain[1:] != plain[:-1]) | (stay[1:] != stay[:-1])])
    runs = _Runs(execution, cutting, plain, stay, np.flatnonzero(fresh))
    top = job.field("top")
    in_air = runs.above(top.value * 1e3 if top.is_known else None) & ~runs.named(title_blocks(remarks))
    kept: Rows = cutting[~in_air[np.cumsum(fresh) - 1]]
    return kept


@dataclass(frozen=True)
class _Runs:
    """Stretches of cutting rows of one tool, each of plain moves alone or of cycles alone; `first` are their positions."""

    execution: "Execution"
    cutting: Rows
    plain: Flags
    stay: Rows
    first: Rows

    def above(self, face: float | None) -> Flags:
        """Which of them are plain moves that stay above the raw face [mm]; Z0, and the R plane, where no record states it."""
        moves, rows = self.execution.moves, self.cutting
        height = np.minimum(moves.z[rows], moves.z0[rows])
        above = height + self._shift() >= (0.0 if face is None else face) - ABOVE
        for turned in (moves.a, moves.b, moves.c):
            if turned is not None:
                above &= ~(np.abs(turned[rows]) > 0)
        above &= self.plain & (moves.arc[rows] < 0)
        lowest = np.minimum.reduceat(height, self.first)
        whole: Flags = np.logical_and.reduceat(above, self.first)
        return whole & self._beside_a_cycle(lowest, face is None)

    def _shift(self) -> Floats:
        spans = self.execution.spans
        which = np.searchsorted(np.array([span.row for span in spans]), self.cutting, side="right") - 1
        return np.array([z_shift(span.modal.work_offset) for span in spans])[which]

    def _beside_a_cycle(self, lowest: Floats, is_assumed: bool) -> Flags:
        """Which have a cycle along Z of the same tool behind them, or else before them.

        Where the face is only assumed, that cycle must go below it, and the run must stay above its R plane.
        """
        cycles, hole = self.execution.cycles, self.execution.moves.cycle[self.cutting]
        index = self.execution.cycle_holes.cycle
        last = np.append(self.first[1:], len(self.cutting)) - 1
        found = np.zeros(len(self.first), np.bool_)
        for run in np.flatnonzero(self.plain[self.first]).tolist():
            beside = [at for at in (last[run] + 1, self.first[run] - 1) if 0 <= at < len(hole)]
            near = next((at for at in beside if self.stay[at] == self.stay[self.first[run]]), None)
            if near is not None:
                cycle = cycles[int(index[hole[near]])]
                below = cycle.bottom + z_shift(self.execution.modal(int(self.cutting[near])).work_offset) < 0
                found[run] = cycle.axis == "z" and (not is_assumed or (below and lowest[run] >= cycle.top - ABOVE))
        return found

    def named(self, titles: Rows) -> Flags:
        """Which of them a comment names, and names what follows otherwise: work of its own, though it is in the air."""
        title = np.searchsorted(titles, self.execution.moves.block[self.cutting], side="right")
        last = np.append(self.first[1:], len(self.cutting)) - 1
        before = np.concatenate([[0], title[last[:-1]]])
        behind = np.append(title[self.first[1:]], -1)
        named: Flags = (title[self.first] != before) & (title[self.first] != behind)
        return named
