"""Canned cycles: peck depths, and the strokes a cycle makes in one hole. Pure; heights along the tool axis in mm.

Steps after NISTIR 6556 section 3.5.16, and where a dialect record says so after later controls.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from coolcheck.nc.semantics import Semantics

CLOSE = 1e-9  # share of a peck that float arithmetic may be off: R2 Z-18 Q5 is four pecks, not four and nothing


class TooManyPecks(Exception):
    """The peck depth is so small that the hole would take more strokes than the bound."""


@dataclass(frozen=True, slots=True)
class Hole:
    """What a cycle does in a hole, worked out.

    top : R plane; bottom; clear : the level it leaves to; pecks : bottoms of the strokes, the last is `bottom`
    full_after : numbers of the pecks after which a chip-break cycle goes out to R
    dwell : [s]; shift : away from the wall, in the plane; back : height to which a back bore feeds up
    """

    code: int
    top: float
    bottom: float
    clear: float
    pecks: tuple[float, ...] = ()
    full_after: frozenset[int] = frozenset()
    dwell: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    back: float = math.nan


@dataclass(frozen=True, slots=True)
class Stroke:
    """One thing a cycle does: feed | rapid to the height `to`; dwell for `to` seconds; spindle to `word`; stop; shift by `by`."""

    act: str
    to: float = 0.0
    word: str = ""
    by: tuple[float, float] = (0.0, 0.0)


def pecks_of_one_depth(top: float, bottom: float, depth: float, most: int) -> tuple[float, ...]:
    """Bottoms of pecks of one depth; the last takes what is left. Raises TooManyPecks.

    >>> pecks_of_one_depth(2.0, -18.0, 5.0, 100)
    (-3.0, -8.0, -13.0, -18.0)
    """
    if not (math.isfinite(top) and math.isfinite(bottom) and depth > 0):
        return (bottom,)
    wanted = (top - bottom) / depth
    if wanted > most:
        raise TooManyPecks
    count = max(math.ceil(wanted - CLOSE), 1)
    return (*(top - depth * number for number in range(1, count)), bottom)


def shrinking_pecks(top: float, bottom: float, first: float, less: float, least: float, most: int) -> tuple[float, ...]:
    """Bottoms of pecks that begin with `first` and are `less` smaller each time, never below `least`. Raises TooManyPecks.

    >>> shrinking_pecks(2.0, -40.0, 12.0, 2.0, 4.0, 100)
    (-10.0, -20.0, -28.0, -34.0, -38.0, -40.0)
    """
    if not (math.isfinite(top) and math.isfinite(bottom) and first > 0 and math.isfinite(less) and math.isfinite(least)):
        return (bottom,)
    bottoms: list[float] = []
    depth, cut = 0.0, first
    while top - bottom - depth > cut * (1 + CLOSE):
        depth += cut
        bottoms.append(top - depth)
        cut = max(cut - less, least)
        if len(bottoms) >= most or cut <= 0:
            raise TooManyPecks
    return (*bottoms, bottom)


def full_retracts(pecks: tuple[float, ...], top: float, every: float) -> frozenset[int]:
    """Numbers of the pecks after which the depth since the last full retract has reached `every` (chip break with K)."""
    numbers, since = set(), top
    for number, bottom in enumerate(pecks):
        if since - bottom >= every * (1 - CLOSE):
            numbers.add(number)
            since = bottom
    return frozenset(numbers)


def strokes(hole: Hole, how: Semantics) -> tuple[Stroke, ...]:
    """What the cycle does from the R plane on, or from the starting level for a back bore that begins there."""
    return tuple(_CYCLES[hole.code](hole, how))


def starts_at_r(code: int, how: Semantics) -> bool:
    """Does the tool go to the R plane first? A back bore with shift begins at the initial level: its R lies below Z."""
    return not (code == 87 and how.back_bore == "shift")


def _dwell(hole: Hole) -> Iterator[Stroke]:
    if hole.dwell > 0.0 or math.isnan(hole.dwell):
        yield Stroke("dwell", hole.dwell)


def _plain(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    yield Stroke("feed", hole.bottom)
    yield from _dwell(hole)
    yield Stroke("rapid", hole.clear)


def _full_retract(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    level = hole.top if how.full_retract_to == "r" else hole.clear
    for number, bottom in enumerate(hole.pecks):
        if number:
            yield Stroke("rapid", level)
            yield Stroke("rapid", min(hole.pecks[number - 1] + how.peck_clearance, level))
        yield Stroke("feed", bottom)
    yield from _dwell(hole)
    yield Stroke("rapid", hole.clear)


def _chip_break(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    for number, bottom in enumerate(hole.pecks):
        if number:
            last = hole.pecks[number - 1]
            if number - 1 in hole.full_after:
                yield Stroke("rapid", hole.top)
            yield Stroke("rapid", min(last + how.chip_break, hole.top))
        yield Stroke("feed", bottom)
    yield from _dwell(hole)
    yield Stroke("rapid", hole.clear)


def _tap(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    out = hole.top if how.tap_out == "r" or len(hole.pecks) > 1 else hole.clear
    for number, bottom in enumerate(hole.pecks):
        yield Stroke("feed", bottom)
        yield from _dwell(hole)
        yield Stroke("spindle", word="reverse")
        yield Stroke("feed", hole.clear if how.tap_out == "clear" and number == len(hole.pecks) - 1 else out)
        if how.tap_out == "r":
            yield from _dwell(hole)
        yield Stroke("spindle", word="restart")
    yield Stroke("rapid", hole.clear)


def _feed_out(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    yield Stroke("feed", hole.bottom)
    yield from _dwell(hole)
    if how.bore_out == "r":
        yield Stroke("feed", hole.top)
        yield Stroke("rapid", hole.clear)
    else:
        yield Stroke("feed", hole.clear)


def _stop_out(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    yield Stroke("feed", hole.bottom)
    yield from _dwell(hole)
    yield Stroke("spindle", word="off")
    if hole.code == 88:
        yield Stroke("stop")  # the operator takes the tool out by hand
    yield Stroke("rapid", hole.clear)
    yield Stroke("spindle", word="restart")


def _fine(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    yield Stroke("feed", hole.bottom)
    yield from _dwell(hole)
    yield Stroke("spindle", word="off")
    yield Stroke("shift", by=hole.shift)
    yield Stroke("rapid", hole.clear)
    yield Stroke("shift", by=_minus(hole.shift))
    yield Stroke("spindle", word="restart")


def _back(hole: Hole, how: Semantics) -> Iterator[Stroke]:
    yield Stroke("shift", by=hole.shift)
    yield Stroke("spindle", word="off")
    yield Stroke("rapid", hole.bottom if how.back_bore == "centre" else hole.top)
    yield Stroke("shift", by=_minus(hole.shift))
    yield Stroke("spindle", word="restart")
    if how.back_bore == "centre":
        yield Stroke("feed", hole.back)
        yield Stroke("feed", hole.bottom)
    else:
        yield Stroke("feed", hole.bottom)
        yield from _dwell(hole)
    yield Stroke("spindle", word="off")
    yield Stroke("shift", by=hole.shift)
    yield Stroke("rapid", hole.clear)
    yield Stroke("shift", by=_minus(hole.shift))
    yield Stroke("spindle", word="restart")


def _minus(shift: tuple[float, float]) -> tuple[float, float]:
    return (-shift[0], -shift[1])


_CYCLES: Mapping[int, Callable[[Hole, Semantics], Iterator[Stroke]]] = MappingProxyType(
    {
        73: _chip_break, 74: _tap, 76: _fine, 81: _plain, 82: _plain, 83: _full_retract, 84: _tap, 85: _feed_out, 86: _stop_out,
        87: _back, 88: _stop_out, 89: _feed_out,
    }
)  # fmt: skip
PECKED = frozenset({73, 83})
MAY_PECK = frozenset({73, 74, 83, 84})
NEEDS_DWELL = frozenset({82, 86, 88, 89})
