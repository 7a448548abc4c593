"""Arcs: centre, radius and angle from what a G2 or G3 block says. Pure geometry in the plane; lengths in mm, angles in rad."""

import math
from dataclasses import dataclass

SAME_POINT = 1e-6  # mm; ends nearer than this are one point, so the arc is a full circle
_FULL = 2 * math.pi


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc. (u, v) : centre in the plane; sweep : angle turned, positive; miss : how far the two radii differ;
    far : the larger of them.

    An arc that cannot be made has NaN throughout.
    """

    u: float
    v: float
    radius: float
    sweep: float
    miss: float = 0.0
    far: float = 0.0


NO_ARC = Arc(math.nan, math.nan, math.nan, math.nan, math.nan)


def around_centre(
    start: tuple[float, float], end: tuple[float, float], centre: tuple[float, float], clockwise: bool, turns: int = 1
) -> Arc:
    """The arc from `start` to `end` around `centre`; `turns` counts started turns, 1 for a plain arc.

    Radius and length follow the start point: the end is where the program puts it, `miss` says how far off the circle.

    >>> round(math.degrees(around_centre((0, 0), (1, 1), (1, 0), clockwise=True).sweep), 9)
    90.0
    """
    u, v = centre
    first = math.hypot(start[0] - u, start[1] - v)
    last = math.hypot(end[0] - u, end[1] - v)
    if not (math.isfinite(first) and math.isfinite(last)) or first == 0.0:
        return NO_ARC
    if abs(end[0] - start[0]) <= SAME_POINT and abs(end[1] - start[1]) <= SAME_POINT:
        sweep = _FULL
    else:
        turned = math.atan2(end[1] - v, end[0] - u) - math.atan2(start[1] - v, start[0] - u)
        sweep = (-turned if clockwise else turned) % _FULL
    return Arc(u, v, first, sweep + _FULL * (turns - 1), abs(last - first), max(first, last))


def by_radius(
    start: tuple[float, float], end: tuple[float, float], radius: float, clockwise: bool, turns: int = 1, tolerance: float = 0.0
) -> Arc:
    """The arc of that radius: up to half a turn, or more than half when `radius` is negative (NISTIR 6556, 3.5.3.1).

    `miss` is how far half the chord exceeds the radius; within `tolerance` the arc is a half circle on the chord.

    >>> arc = by_radius((0, 0), (10, 0), 5, clockwise=True)
    >>> (round(arc.u, 9), round(arc.v, 9), round(math.degrees(arc.sweep), 9))
    (5.0, 0.0, 180.0)
    """
    du, dv = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(du, dv)
    r = abs(radius)
    if not (math.isfinite(chord) and math.isfinite(r)) or r == 0.0 or chord <= SAME_POINT:
        return NO_ARC
    miss = chord / 2 - r
    if miss > max(tolerance, 1e-12 * r):
        return Arc(math.nan, math.nan, math.nan, math.nan, miss, r)
    height = math.sqrt(max(r * r - chord * chord / 4, 0.0))
    # the centre of a counterclockwise arc of less than half a turn lies to the left of the chord
    side = 1.0 if (radius < 0) == clockwise else -1.0
    u = (start[0] + end[0]) / 2 - side * height * dv / chord
    v = (start[1] + end[1]) / 2 + side * height * du / chord
    half = math.asin(min(chord / (2 * r), 1.0))
    sweep = 2 * half if radius > 0 else _FULL - 2 * half
    return Arc(u, v, max(r, chord / 2), sweep + _FULL * (turns - 1), max(miss, 0.0), r)
