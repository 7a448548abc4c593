"""How long it takes to peck a hole, stroke by stroke, and what the same hole takes in one pass.

Depths are counted from the plane in which a cycle starts and to which it retracts, positive into the work. Feed strokes run at
the feed all the way: their ramps last thousandths of a second and are in the single pass too.
"""

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coolcheck.physics.kinematics import move_time, move_times
from coolcheck.physics.valid import OutOfRange, not_negative, positive

Floats = NDArray[np.float64]
_ROUNDING = 1e-9  # 10 mm in pecks of 2.5 mm are 4 strokes, whatever binary fractions say


@dataclass(frozen=True, slots=True)
class StrokeLengths:
    """Lengths of the motions of each stroke, in columns: rapid down to re-enter, feed, rapid up [m]."""

    down: Floats
    feed: Floats
    up: Floats


def peck_bottoms(depth: float, peck: float) -> Floats:
    """Bottoms of the strokes when every stroke adds one peck and the last is shortened.

    N = ceil(H/Q); s_i = min(i Q, H)

    depth : depth of the hole below the plane the cycle starts from, H [m]
    peck : depth of one peck, Q [m]
    returns : bottom of each stroke below that plane, s [m]

    Valid: depth and peck above 0; controls that share the depth out evenly, or count from the surface, need their own bottoms.
    Source: derived from the motions of the cycle (RS-274).

    >>> peck_bottoms(depth=0.012, peck=0.005).tolist()
    [0.005, 0.01, 0.012]
    """
    positive("depth [m]", depth)
    positive("peck [m]", peck)
    strokes = max(1, ceil(depth / peck - _ROUNDING))
    bottoms: Floats = np.minimum(np.arange(1, strokes + 1) * peck, depth)
    return bottoms


def full_retract_lengths(bottoms: ArrayLike, clearance: float) -> StrokeLengths:
    """Motions of a peck cycle that leaves the hole after every stroke.

    Stroke i: down s(i-1) - d, feed d + s(i) - s(i-1), up s(i); the first feeds s(1) from the start.

    bottoms : bottoms of the strokes below the start plane, rising [m]
    clearance : height above the last bottom at which feeding starts again, d [m]
    returns : lengths of the motions of each stroke [m]

    Valid: 0 <= clearance <= first bottom.
    Source: derived from the motions of the cycle (RS-274).

    >>> full_retract_lengths([0.005, 0.010, 0.012], clearance=0.0005).down.round(6).tolist()
    [0.0, 0.0045, 0.0095]
    """
    s = _rising(bottoms)
    _clear("clearance", clearance, s)
    down = np.concatenate([[0.0], s[:-1] - clearance])
    return StrokeLengths(down=down, feed=s - down, up=s)


def chip_break_lengths(bottoms: ArrayLike, retract: float) -> StrokeLengths:
    """Motions of a peck cycle that only backs off to break the chip, and leaves the hole at the end.

    bottoms : bottoms of the strokes below the start plane, rising [m]
    retract : distance it backs off after each stroke but the last, d [m]
    returns : lengths of the motions of each stroke; the way back is fed again [m]

    Valid: 0 <= retract <= first bottom.
    Source: derived from the motions of the cycle (RS-274).

    >>> chip_break_lengths([0.005, 0.010, 0.012], retract=0.0005).up.tolist()
    [0.0005, 0.0005, 0.012]
    """
    s = _rising(bottoms)
    _clear("retract", retract, s)
    feed = np.diff(s, prepend=0.0)
    feed[1:] += retract
    up = np.full(len(s), retract)
    up[-1] = s[-1]
    return StrokeLengths(down=np.zeros(len(s)), feed=feed, up=up)


def stroke_times(
    strokes: StrokeLengths,
    feed: float,
    rapid: float,
    acceleration: float,
    dwell: float = 0.0,
    peck_dwell: float = 0.0,
    settle: float = 0.0,
) -> Floats:
    """Time of each stroke: rapid down, feed, dwell, rapid up.

    strokes : lengths of the motions [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    acceleration : speeding up and slowing down of the axis, a [m/s2]
    dwell : at the bottom of the hole [s]
    peck_dwell : at the bottom of every stroke but the last [s]
    settle : in-position time after each rapid move [s]
    returns : time of each stroke [s]

    Valid: as `move_time`; feed above 0; no block time of the control.
    Source: derived from the motions of the cycle and constant acceleration.

    >>> strokes = full_retract_lengths(peck_bottoms(0.062, 0.005), clearance=0.0005)
    >>> stroke_times(strokes, feed=0.0084867, rapid=0.5, acceleration=3.0)[:2].round(4).tolist()
    [0.6708, 0.841]
    """
    positive("feed [m/s]", feed)
    for name, wait in (("dwell [s]", dwell), ("peck dwell [s]", peck_dwell), ("settle time [s]", settle)):
        not_negative(name, wait)
    rapids = move_times(strokes.down, rapid, acceleration) + move_times(strokes.up, rapid, acceleration)
    waits = np.full(len(strokes.feed), peck_dwell)
    waits[-1] = dwell
    rests = (strokes.down > 0).astype(np.float64) + (strokes.up > 0)
    times: Floats = rapids + strokes.feed / feed + waits + settle * rests
    return times


def full_retract_time(
    bottoms: ArrayLike,
    clearance: float,
    feed: float,
    rapid: float,
    acceleration: float,
    dwell: float = 0.0,
    peck_dwell: float = 0.0,
    settle: float = 0.0,
) -> float:
    """Time of one hole by a peck cycle that leaves the hole after every stroke, from the start plane back to it.

    bottoms : bottoms of the strokes below the start plane, rising [m]
    clearance : height above the last bottom at which feeding starts again, d [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    acceleration : speeding up and slowing down of the axis, a [m/s2]
    dwell : at the bottom of the hole [s]
    peck_dwell : at the bottom of every stroke but the last [s]
    settle : in-position time after each rapid move [s]
    returns : time of the cycle [s]

    Valid: as `stroke_times`.
    Source: derived from the motions of the cycle and constant acceleration.

    >>> round(full_retract_time(peck_bottoms(0.062, 0.005), 0.0005, feed=0.0084867, rapid=0.5, acceleration=3.0), 3)
    13.053
    """
    strokes = full_retract_lengths(bottoms, clearance)
    return float(stroke_times(strokes, feed, rapid, acceleration, dwell, peck_dwell, settle).sum())


def chip_break_time(
    bottoms: ArrayLike,
    retract: float,
    feed: float,
    rapid: float,
    acceleration: float,
    dwell: float = 0.0,
    peck_dwell: float = 0.0,
    settle: float = 0.0,
) -> float:
    """Time of one hole by a cycle that backs off a little after each stroke, from the start plane back to it.

    bottoms : bottoms of the strokes below the start plane, rising [m]
    retract : distance it backs off after each stroke but the last, d [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    acceleration : speeding up and slowing down of the axis, a [m/s2]
    dwell : at the bottom of the hole [s]
    peck_dwell : at the bottom of every stroke but the last [s]
    settle : in-position time after each rapid move [s]
    returns : time of the cycle [s]

    Valid: as `stroke_times`.
    Source: derived from the motions of the cycle and constant acceleration.

    >>> round(chip_break_time(peck_bottoms(0.062, 0.005), 0.0005, feed=0.0084867, rapid=0.5, acceleration=3.0), 3)
    8.61
    """
    strokes = chip_break_lengths(bottoms, retract)
    return float(stroke_times(strokes, feed, rapid, acceleration, dwell, peck_dwell, settle).sum())


def single_pass_time(
    depth: float, feed: float, rapid: float, acceleration: float, dwell: float = 0.0, settle: float = 0.0
) -> float:
    """Time of one hole in one stroke, from the start plane back to it.

    t = H/vf + dwell + tr(H)

    depth : depth of the hole below the start plane, H [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    acceleration : speeding up and slowing down of the axis, a [m/s2]
    dwell : at the bottom of the hole [s]
    settle : in-position time after the retract [s]
    returns : time of the hole [s]

    Valid: as `move_time`; feed above 0.
    Source: derived from constant acceleration.

    >>> round(single_pass_time(0.062, feed=0.0084867, rapid=0.5, acceleration=3.0), 4)
    7.5931
    """
    positive("depth [m]", depth)
    positive("feed [m/s]", feed)
    waits = not_negative("dwell [s]", dwell) + not_negative("settle time [s]", settle)
    return depth / feed + move_time(depth, rapid, acceleration) + waits


def extra_time(
    bottoms: ArrayLike,
    clearance: float,
    feed: float,
    rapid: float,
    acceleration: float,
    peck_dwell: float = 0.0,
    settle: float = 0.0,
) -> float:
    """Time a full-retract peck cycle takes more than the same hole in one pass.

    (N - 1) d/vf + sum over i < N of tr(s_i) + tr(s_i - d), and the dwells and settling of the extra strokes

    bottoms : bottoms of the strokes below the start plane, rising [m]
    clearance : height above the last bottom at which feeding starts again, d [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    acceleration : speeding up and slowing down of the axis, a [m/s2]
    peck_dwell : at the bottom of every stroke but the last [s]
    settle : in-position time after each rapid move [s]
    returns : extra time, 0 for one stroke [s]

    Valid: as `stroke_times`.
    Source: derived from the motions of the cycle and constant acceleration; the closed form of `full_retract_time`.

    >>> round(extra_time(peck_bottoms(0.062, 0.005), 0.0005, feed=0.0084867, rapid=0.5, acceleration=3.0), 3)
    5.46
    """
    positive("feed [m/s]", feed)
    s = _rising(bottoms)
    _clear("clearance", clearance, s)
    out = move_times(s[:-1], rapid, acceleration)
    back = move_times(s[:-1] - clearance, rapid, acceleration)
    rests = 1 + (s[:-1] - clearance > 0)
    return float((out + back + clearance / feed + peck_dwell + settle * rests).sum())


def extra_time_without_acceleration(depth: float, peck: float, clearance: float, feed: float, rapid: float) -> float:
    """The extra time of pecking as a sum of lengths over rates would have it: a lower bound, low by half for short pecks.

    (N - 1) d/vf + [Q N (N - 1) - (N - 1) d]/V

    depth : depth of the hole below the start plane, H [m]
    peck : depth of one peck, Q [m]
    clearance : height above the last bottom at which feeding starts again, d [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    returns : lower bound of the extra time [s]

    Valid: clearance at most one peck.
    Source: derived: the limit of `extra_time` for unlimited acceleration.

    >>> round(extra_time_without_acceleration(0.062, 0.005, 0.0005, feed=0.0084867, rapid=0.5), 3)
    2.255
    """
    positive("feed [m/s]", feed)
    positive("rapid [m/s]", rapid)
    s = peck_bottoms(depth, peck)
    _clear("clearance", clearance, s)
    again = (len(s) - 1) * clearance
    return again / feed + (peck * len(s) * (len(s) - 1) - again) / rapid


def extra_time_at_full_rapid(
    depth: float, peck: float, clearance: float, feed: float, rapid: float, acceleration: float
) -> float:
    """The extra time of pecking as if every rapid move reached its full rate: an upper bound.

    `extra_time_without_acceleration` + 2 (N - 1) V/a

    depth : depth of the hole below the start plane, H [m]
    peck : depth of one peck, Q [m]
    clearance : height above the last bottom at which feeding starts again, d [m]
    feed : feed speed vf [m/s]
    rapid : rapid rate V [m/s]
    acceleration : speeding up and slowing down of the axis, a [m/s2]
    returns : upper bound of the extra time; exact where Q - d >= V^2/a [s]

    Valid: clearance at most one peck.
    Source: derived: the limit of `extra_time` for long moves.

    >>> round(extra_time_at_full_rapid(0.062, 0.005, 0.0005, feed=0.0084867, rapid=0.5, acceleration=3.0), 3)
    6.255
    """
    positive("acceleration [m/s2]", acceleration)
    ramps = 2 * (len(peck_bottoms(depth, peck)) - 1) * rapid / acceleration
    return extra_time_without_acceleration(depth, peck, clearance, feed, rapid) + ramps


def _rising(bottoms: ArrayLike) -> Floats:
    s = np.atleast_1d(np.array(bottoms, dtype=np.float64))
    if not len(s) or not s[0] > 0 or not (np.diff(s) > 0).all():
        raise OutOfRange("bottoms of the strokes [m]", s.tolist(), "depths above 0, each below the last", "a peck cycle")
    return s


def _clear(name: str, height: float, bottoms: Floats) -> None:
    if not 0 <= height <= bottoms[0]:
        raise OutOfRange(f"{name} [m]", height, f"0 .. {bottoms[0]:g}, the first stroke", "a peck cycle")
