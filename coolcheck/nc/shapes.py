"""Block shapes: CAM output repeats a few dozen of them, so each is parsed once by the grammar.

The shape of a block is its text with every number replaced by one mark, but for the numbers of G and M words: those say what
the block does and stay. Blocks with a comment, a variable, a bracket or another rare character have no shape; they are parsed
one by one, equal texts once.
"""

import os
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.numbers import decode

MARK = 0x01  # stands for a number in a shape; the byte itself is rare, a block that holds it gets no shape
LONGEST_SHAPED = 160  # longer blocks are parsed one by one
NO_SHAPE = -1

_IS_NUMBER = np.zeros(256, dtype=bool)
_IS_NUMBER[list(b"0123456789.+-")] = True
_IS_RARE = np.ones(256, dtype=bool)
_IS_RARE[list(b"0123456789.+-ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz \t\r\n")] = False
_KEEPS_NUMBER = np.zeros(256, dtype=bool)
_KEEPS_NUMBER[list(b"GMgm")] = True


@dataclass(frozen=True)
class Shaped:
    """What `find_shapes` gives. `texts` are the shapes; per block: `shape` (NO_SHAPE for none), `first` index of its numbers."""

    texts: list[bytes]
    shape: NDArray[np.int32]
    first: NDArray[np.int32]
    values: NDArray[np.float64]
    has_point: NDArray[np.bool_]


def find_shapes(data: NDArray[np.uint8], starts: NDArray[np.int64], ends: NDArray[np.int64], chunk_blocks: int = 65536) -> Shaped:
    """The shape of every block and the numbers in them, in order. Works in chunks that fit the processor's cache."""
    known: dict[bytes, int] = {}
    shape = np.full(len(starts), NO_SHAPE, dtype=np.int32)
    counts = np.zeros(len(starts) + 1, dtype=np.int32)
    values, points = [], []
    weights = np.frombuffer(os.urandom(8 * (LONGEST_SHAPED + 1)), dtype=np.uint64) | np.uint64(1)
    for low in range(0, len(starts), chunk_blocks):
        high = min(low + chunk_blocks, len(starts))
        part = _Chunk(data, starts[low:high], ends[low:high], weights)
        shape[low:high] = part.shapes(known)
        counts[low + 1 : high + 1] = part.counts
        values.append(part.values)
        points.append(part.has_point)
    empty = np.zeros(0)
    first = np.cumsum(counts, dtype=np.int32)[:-1]
    return Shaped(list(known), shape, first, np.concatenate([empty, *values]), np.concatenate([empty.astype(bool), *points]))


class _Chunk:
    """Some tens of thousands of blocks, worked on together."""

    def __init__(
        self, data: NDArray[np.uint8], starts: NDArray[np.int64], ends: NDArray[np.int64], weights: NDArray[np.uint64]
    ) -> None:
        origin = int(starts[0])
        self._starts, self._ends = starts - origin, ends - origin
        self._data = data[origin : int(ends[-1])]
        self._weights = weights
        self._shaped = (self._ends - self._starts <= LONGEST_SHAPED) & (self._ends > self._starts)
        self._decode_numbers()
        self._drop_numbers()

    def _decode_numbers(self) -> None:
        data = self._data
        number = _IS_NUMBER[data]
        edges = np.diff(number.view(np.int8), prepend=np.int8(0), append=np.int8(0))
        run_starts, run_ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
        before = data[np.maximum(run_starts - 1, 0)]
        kept = _KEEPS_NUMBER[before] & (run_starts > 0)
        self._dropped_starts, self._dropped_ends = run_starts[~kept], run_ends[~kept]
        values, has_point, plain = decode(data, self._dropped_starts, self._dropped_ends)
        block = np.searchsorted(self._starts, self._dropped_starts, side="right") - 1
        odd = np.concatenate((block[~plain], self._blocks_with_rare_bytes()))
        self._shaped[odd] = False
        belongs = self._shaped[block]
        self.values, self.has_point = values[belongs], has_point[belongs]
        self.counts = np.bincount(block[belongs], minlength=len(self._starts)).astype(np.int32)

    def _blocks_with_rare_bytes(self) -> NDArray[np.int64]:
        rare = np.flatnonzero(_IS_RARE[self._data])
        return np.searchsorted(self._starts, rare, side="right") - 1

    def _drop_numbers(self) -> None:
        """The text with each dropped number shrunk to one mark, and where each block stands in it."""
        data = self._data
        step = np.zeros(len(data) + 1, dtype=np.int8)
        step[self._dropped_starts + 1] += 1  # the first character of a number stays, as the mark
        step[self._dropped_ends] -= 1
        stays = np.cumsum(step[:-1], dtype=np.int8) == 0
        marked = data.copy()
        marked[self._dropped_starts] = MARK
        self._text = marked[stays]
        position = np.concatenate(([0], np.cumsum(stays, dtype=np.int64)))
        self._low, self._high = position[self._starts], position[self._ends]

    def shapes(self, known: dict[bytes, int]) -> NDArray[np.int32]:
        """The number of each block's shape; new shapes are added to `known`."""
        result = np.full(len(self._starts), NO_SHAPE, dtype=np.int32)
        at = np.flatnonzero(self._shaped)
        if len(at) == 0:
            return result
        low, length = self._low[at], (self._high - self._low)[at]
        _, where, which = np.unique(self._hashes(low, length), return_index=True, return_inverse=True)
        order = np.argsort(which, kind="stable")
        bounds = np.searchsorted(which[order], np.arange(len(where) + 1))
        for group, representative in enumerate(where):
            members = order[bounds[group] : bounds[group + 1]]
            text = self._text[low[representative] : low[representative] + length[representative]]
            same = self._equal(members, low, length, text)
            result[at[members[same]]] = known.setdefault(text.tobytes(), len(known))
            for member in members[~same]:  # two texts with one hash: told apart by the text itself
                own = self._text[low[member] : low[member] + length[member]].tobytes()
                result[at[member]] = known.setdefault(own, len(known))
        return result

    def _hashes(self, low: NDArray[np.int64], length: NDArray[np.int64]) -> NDArray[np.uint64]:
        """One number a block: its characters, each times a weight of its place. Equal texts have equal hashes."""
        text = self._text
        spans = np.diff(self._low, append=len(text))
        place = np.minimum(np.arange(len(text)) - np.repeat(self._low, spans), LONGEST_SHAPED)
        total = np.zeros(len(text) + 1, dtype=np.uint64)
        np.cumsum(text.astype(np.uint64) * self._weights[place], out=total[1:])
        hashes: NDArray[np.uint64] = total[low + length] - total[low]
        return hashes

    def _equal(
        self, members: NDArray[np.int64], low: NDArray[np.int64], length: NDArray[np.int64], text: NDArray[np.uint8]
    ) -> NDArray[np.bool_]:
        same: NDArray[np.bool_] = length[members] == len(text)
        fitting = members[same]
        spread = self._text[low[fitting][:, None] + np.arange(len(text))]
        same[same] = (spread == text).all(axis=1)
        return same
