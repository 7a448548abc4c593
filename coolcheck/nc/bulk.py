"""Long runs of plain motion blocks, interpreted in columns: what the block-by-block interpreter gives, many blocks at a time.

A block is plain motion when it holds nothing but N, one of G0 to G3, X Y Z, I J K and F. In such a run nothing changes but
position, motion code and feed, so each is a column filled forward.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Floats, Ints, Kind
from coolcheck.nc.program import Program
from coolcheck.nc.shapes import NO_SHAPE

LETTERS = "XYZFIJK"
_OFFSET_OF = {"X": "I", "Y": "J", "Z": "K"}
_PLANES = {17: ("X", "Y", "Z"), 18: ("Z", "X", "Y"), 19: ("Y", "Z", "X")}  # first, second in-plane axis, normal
SHORTEST_RUN = 24  # blocks; below this the columns cost more than they save


@dataclass(frozen=True)
class Setting:
    """The modal state that stays the same over a run.

    position : start [mm], NaN where not known; motion : 0 to 3, or -1 when none is active; feed : [mm/min], NaN when none
    scale : mm of one unit of the axis words; increment : mm of a number written without a point, `scale` where that makes
    no difference; feed_scale : mm/min of one unit of the F word; incremental : G91; plane : 17, 18, 19
    arc_tolerance : how far the two radii of an arc may differ [mm]
    """

    position: tuple[float, float, float]
    motion: int
    feed: float
    scale: float
    increment: float
    feed_scale: float
    incremental: bool
    plane: int
    arc_tolerance: float


@dataclass(frozen=True)
class Run:
    """What a run gives: moves in columns as in `Moves`, the block behind the last one used, and the state there."""

    high: int
    kind: NDArray[np.uint8]
    x: Floats
    y: Floats
    z: Floats
    x0: Floats
    y0: Floats
    z0: Floats
    feed: Floats
    block: Ints
    arc_rows: Ints  # which of the rows are arcs
    arc_centre: tuple[Floats, Floats, Floats]
    arc_radius: Floats
    arc_sweep: Floats
    arc_length: Floats
    motion: int
    feed_after: float
    position: tuple[float, float, float]


class PlainMotion:
    """The plain motion blocks of one program."""

    def __init__(self, program: Program) -> None:
        self._program = program
        count = len(program.shapes) + 1  # the last row serves the blocks without a shape
        self._is_plain = np.zeros(count, dtype=bool)
        self._motion = np.full(count, -1, dtype=np.int8)
        self._slots = {letter: np.full(count, -1, dtype=np.int32) for letter in LETTERS}
        for number, shape in enumerate(program.shapes):
            codes = [value for letter, value in zip(shape.letters, shape.fixed, strict=True) if letter == "G"]
            others = [letter for letter in shape.letters if letter not in "GN"]
            dynamic_code = any(slot >= 0 for letter, slot in zip(shape.letters, shape.slots, strict=True) if letter == "G")
            fixed_value = any(slot < 0 for letter, slot in zip(shape.letters, shape.slots, strict=True) if letter in LETTERS)
            if not shape.is_plain or dynamic_code or fixed_value or len(codes) > 1 or len(set(others)) < len(others):
                continue
            if not set(others) <= set(LETTERS) or any(code not in (0, 1, 2, 3) for code in codes):
                continue
            self._is_plain[number] = True
            self._motion[number] = int(codes[0]) if codes else -1
            for letter, slot in zip(shape.letters, shape.slots, strict=True):
                if letter in LETTERS:
                    self._slots[letter][number] = slot

    @cached_property
    def _breaks(self) -> NDArray[np.int64]:
        """The blocks that are no plain motion, ascending, and one behind the last block."""
        plain = self._is_plain[self._program.shape_of]  # NO_SHAPE is -1: the last row
        return np.append(np.flatnonzero(~plain), len(plain))

    def run_end(self, low: int) -> int:
        """The block behind the run of plain motion that begins at `low`; `low` itself when that block is none."""
        return int(self._breaks[np.searchsorted(self._breaks, low)])

    def run(self, low: int, high: int, setting: Setting) -> Run:
        """The blocks from `low` to before `high`, or up to the first arc that needs a closer look."""
        assert NO_SHAPE == -1
        shape = self._program.shape_of[low:high]
        motion = _filled(self._motion[shape].astype(np.float64), self._motion[shape] >= 0, setting.motion)
        axes: dict[str, Floats] = {}
        ends, begins = {}, {}
        stated = np.zeros(high - low, dtype=bool)
        for axis, start in zip("XYZ", setting.position, strict=True):
            values, present = self._column(axis, low, high, shape, setting.scale, setting.increment)
            stated |= present
            ends[axis] = _walked(values, present, start) if setting.incremental else _filled(values, present, start)
            begins[axis] = np.concatenate(([start], ends[axis][:-1]))
            axes[axis] = values
        feeds, has_feed = self._column("F", low, high, shape, setting.feed_scale, setting.feed_scale)
        feed = _filled(feeds, has_feed, setting.feed)
        is_arc = (motion >= 2) & stated
        arcs = self._arcs(low, high, shape, setting, is_arc, motion, begins, ends)
        stop = self._first_doubt(low, high, shape, stated, motion, is_arc, arcs)
        return self._cut(low, stop, stated, motion, begins, ends, feed, is_arc, arcs)

    def _column(
        self, letter: str, low: int, high: int, shape: Ints, scale: float, increment: float
    ) -> tuple[Floats, NDArray[np.bool_]]:
        """The values of one address over the run and where it is written; 0 where it is not."""
        slot = self._slots[letter][shape]
        present = slot >= 0
        values = np.zeros(high - low)
        at = self._program.first_number[low:high][present] + slot[present]
        found = self._program.numbers[at]
        if increment != scale:
            values[present] = found * np.where(self._program.has_point[at], scale, increment)
        elif scale != 1.0:
            values[present] = found * scale
        else:
            values[present] = found
        return values, present

    def _arcs(
        self,
        low: int,
        high: int,
        shape: Ints,
        setting: Setting,
        is_arc: NDArray[np.bool_],
        motion: Floats,
        begins: dict[str, Floats],
        ends: dict[str, Floats],
    ) -> "_Arcs":
        rows = np.flatnonzero(is_arc)
        first, second, normal = _PLANES[setting.plane]
        offset = {}
        good = np.ones(len(rows), dtype=bool)
        written = np.zeros(len(rows), dtype=bool)
        for axis in (first, second, normal):
            values, present = self._column(_OFFSET_OF[axis], low, high, shape, setting.scale, setting.increment)
            offset[axis] = values[rows]
            if axis == normal:
                good &= ~present[rows]
            else:
                written |= present[rows]
        a0, b0, a1, b1 = begins[first][rows], begins[second][rows], ends[first][rows], ends[second][rows]
        ca, cb = a0 + offset[first], b0 + offset[second]
        radius = np.hypot(offset[first], offset[second])
        good &= written & (np.abs(np.hypot(a1 - ca, b1 - cb) - radius) <= setting.arc_tolerance) & (radius > 0)
        clockwise = motion[rows] == 2
        turned = np.arctan2(b1 - cb, a1 - ca) - np.arctan2(b0 - cb, a0 - ca)
        sweep = np.where(clockwise, -turned, turned) % (2 * np.pi)
        same = (np.abs(a1 - a0) < 1e-9) & (np.abs(b1 - b0) < 1e-9)
        sweep = np.where(same, 2 * np.pi, sweep)
        climb = ends[normal][rows] - begins[normal][rows]
        length = np.hypot(radius * sweep, climb)
        nothing = np.full(len(rows), np.nan)
        centre = {first: ca, second: cb, normal: nothing}
        return _Arcs(rows, good, (centre["X"], centre["Y"], centre["Z"]), radius, sweep, length)

    def _first_doubt(
        self,
        low: int,
        high: int,
        shape: Ints,
        stated: NDArray[np.bool_],
        motion: Floats,
        is_arc: NDArray[np.bool_],
        arcs: "_Arcs",
    ) -> int:
        """The first block, from `low`, that the block-by-block interpreter has to look at; the length of the run if none."""
        offsets = np.zeros(high - low, dtype=bool)
        for letter in "IJK":
            offsets |= self._slots[letter][shape] >= 0
        doubtful = (stated & (motion < 0)) | (offsets & ~is_arc)
        doubtful[arcs.rows[~arcs.good]] = True
        return int(np.argmax(doubtful)) if doubtful.any() else high - low

    def _cut(
        self,
        low: int,
        stop: int,
        stated: NDArray[np.bool_],
        motion: Floats,
        begins: dict[str, Floats],
        ends: dict[str, Floats],
        feed: Floats,
        is_arc: NDArray[np.bool_],
        arcs: "_Arcs",
    ) -> Run:
        rows = np.flatnonzero(stated[:stop])
        kept = arcs.rows < stop
        row_of = np.cumsum(stated[:stop]) - 1
        kind = motion[rows].astype(np.uint8)
        columns = {axis: (begins[axis][rows], ends[axis][rows]) for axis in "XYZ"}
        last = stop - 1
        return Run(
            high=low + stop,
            kind=kind,
            x=columns["X"][1],
            y=columns["Y"][1],
            z=columns["Z"][1],
            x0=columns["X"][0],
            y0=columns["Y"][0],
            z0=columns["Z"][0],
            feed=np.where(kind == Kind.RAPID, np.nan, feed[rows]),
            block=(rows + low).astype(np.int32),
            arc_rows=row_of[arcs.rows[kept]].astype(np.int32),
            arc_centre=(arcs.centre[0][kept], arcs.centre[1][kept], arcs.centre[2][kept]),
            arc_radius=arcs.radius[kept],
            arc_sweep=arcs.sweep[kept],
            arc_length=arcs.length[kept],
            motion=int(motion[last]) if stop else -1,
            feed_after=float(feed[last]) if stop else np.nan,
            position=tuple(float(ends[axis][last]) for axis in "XYZ") if stop else (np.nan,) * 3,  # type: ignore[arg-type]
        )


@dataclass(frozen=True)
class _Arcs:
    rows: NDArray[np.int64]
    good: NDArray[np.bool_]
    centre: tuple[Floats, Floats, Floats]
    radius: Floats
    sweep: Floats
    length: Floats


def _filled(values: Floats, present: NDArray[np.bool_], before: float) -> Floats:
    """`values` where they are present, else the last one present, else `before`."""
    if present.all():
        return values
    at = np.where(present, np.arange(1, len(values) + 1), 0)
    np.maximum.accumulate(at, out=at)
    filled: Floats = np.concatenate(([before], values))[at]
    return filled


def _walked(values: Floats, present: NDArray[np.bool_], before: float) -> Floats:
    """The positions that increments lead to from `before`."""
    walked: Floats = np.concatenate(([before], values)).cumsum()[1:]
    return np.where(present.cumsum() > 0, walked, before)
