"""Cuts at a height or place that the program does not tell, and the G91 of a reference return that was never taken back.

Looked for when the program has run, over its moves and holes in columns: a million moves cost no more than a look at each.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import isnan

import numpy as np

from coolcheck.nc.blocks import Block
from coolcheck.nc.moves import Cycle, CycleHoles, Event, Kind, Moves

INCREMENTAL = 91
LOOKED_AT = 200  # moves behind a reference return in which the next positioning is looked for
ELSEWHERE = frozenset({28.0, 30.0, 53.0})  # what moves to places of the machine, whichever of G90 and G91 is on


@dataclass(frozen=True, slots=True)
class Distance:
    """From move `row` and cycle hole `hole` on `value`, 90 or 91, is on: stated in `block`.

    A G91 that is stated again stands here again. A hole at an unknown height may have no move: its number tells what came first.
    """

    row: int
    hole: int
    block: int
    value: int


@dataclass(frozen=True, slots=True)
class Found:
    """A note to make: its id, the row and the block it is about, and what it says."""

    name: str
    row: int
    block: int
    says: str
    do: str
    affects: str


@dataclass(frozen=True)
class Ran:
    """What a run has left: its moves, cycles and holes, and events; where G90 and G91 were stated; blocks and lines."""

    moves: Moves
    cycles: Sequence[Cycle]
    holes: CycleHoles
    events: Sequence[Event]
    distances: Sequence[Distance]
    block: Callable[[int], Block]
    line: Callable[[int], int]

    def found(self) -> Iterator[Found]:
        """Everything of that kind, each cause once."""
        yield from self._left_on()
        yield from self._cuts()

    # ------------------------------------------------------------------ G91 left on

    def _left_on(self) -> Iterator[Found]:
        """The first positioning under each G91 of a reference return."""
        returns = {event.block for event in self.events if event.kind == "reference"}
        for index, stated in enumerate(self.distances):
            if stated.value != INCREMENTAL or stated.block not in returns:
                continue
            after = self.distances[index + 1] if index + 1 < len(self.distances) else None
            moved = sorted((*self._moves(stated, after), *self._made(stated, after)))
            at = next((found for found in moved if self._positions(found[1])), None)
            if at is not None:
                line = self.line(stated.block)
                says = f"G91 of the reference return in line {line} is still on: X, Y and Z are steps here, no places"
                yield Found("incremental-left-on", *at, says, "write G90 behind the reference return", "position")

    def _moves(self, stated: Distance, after: Distance | None) -> Iterator[tuple[int, int]]:
        """Rows and blocks of the first moves under it, each block once."""
        rows = np.arange(stated.row, min(stated.row + LOOKED_AT, after.row if after else len(self.moves), len(self.moves)))
        blocks, first = np.unique(self.moves.block[rows], return_index=True)
        yield from zip(rows[first].tolist(), blocks.tolist(), strict=True)

    def _made(self, stated: Distance, after: Distance | None) -> Iterator[tuple[int, int]]:
        """Rows and blocks of the first holes under it: those at an unknown height may have no move."""
        for hole in range(stated.hole, min(stated.hole + LOOKED_AT, after.hole if after else len(self.holes))):
            yield int(self.holes.first[hole]), int(self.holes.block[hole])

    def _positions(self, block: int) -> bool:
        """Does that block go somewhere along X, Y or Z in work coordinates."""
        text = self.block(block)
        is_elsewhere = any(word.letter == "G" and word.value in ELSEWHERE for word in text.words)
        return not is_elsewhere and any(text.word(letter) is not None for letter in "XYZ")

    # ------------------------------------------------------------------ cuts

    def _cuts(self) -> Iterator[Found]:
        """Holes and feed moves whose height or place is not known, once for each G91 and cycle."""
        told: set[tuple[int, str]] = set()
        for at, row, block, what, axes in (*self._holes(), *self._feeds()):
            cause = self.distances[at] if at >= 0 else None
            if cause is None or cause.value != INCREMENTAL or (cause.block, what) in told:
                continue
            told.add((cause.block, what))
            on = f"G91 of line {self.line(cause.block)} is on, and counts from a point that is not known"
            says = f"{what} at a {axes} that the program does not tell: {on}"
            yield Found("position-unknown", row, block, says, "write G90, or state the position before it in G90", "position")

    def _holes(self) -> Iterator[tuple[int, int, int, str, str]]:
        """Holes at an unknown height or place: the index of their G90 or G91, row, block, and what is unknown."""
        top = np.array([cycle.top for cycle in self.cycles] or [0.0])
        bottom = np.array([cycle.bottom for cycle in self.cycles] or [0.0])
        cycle = self.holes.cycle.astype(np.int64)
        blind = np.isnan(top[cycle]) | np.isnan(bottom[cycle])
        astray = np.isnan(self.holes.x) | np.isnan(self.holes.y) | np.isnan(self.holes.z)
        for hole in np.flatnonzero(blind | astray).tolist():
            at = bisect_right(self.distances, hole, key=lambda stated: stated.hole) - 1
            code, axes = self.cycles[int(cycle[hole])].code, "height" if blind[hole] else "place"
            yield at, int(self.holes.first[hole]), int(self.holes.block[hole]), f"G{code} cuts", axes

    def _feeds(self) -> Iterator[tuple[int, int, int, str, str]]:
        """The same of plain feed moves."""
        moves = self.moves
        plain = (moves.kind != Kind.RAPID) & (moves.cycle < 0)
        lost = plain & (np.isnan(moves.x) | np.isnan(moves.y) | np.isnan(moves.z))
        for row in np.flatnonzero(lost).tolist():
            at = bisect_right(self.distances, row, key=lambda stated: stated.row) - 1
            axes = "height" if isnan(moves.z[row]) else "place"
            yield at, row, int(moves.block[row]), "a feed move runs", axes
