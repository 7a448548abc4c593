"""How long moves take: one move from rest to rest, and a path whose blocks slow down at their corners.

All axes are taken to speed up and slow down at one constant rate along the path. A path is worked out in closed form over
columns, so that a million blocks take a fraction of a second: see `border_speeds`.
"""

from math import inf, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coolcheck.physics.valid import OutOfRange, not_negative, positive

Floats = NDArray[np.float64]
_SLACK = 1e-6  # how far speeds at both ends of a block may miss each other by rounding, relative to their squares


def move_time(length: float, rapid: float, acceleration: float) -> float:
    """Time of one move from rest to rest: speeding up, running, slowing down.

    t = L/V + V/a where L >= V^2/a, else 2 sqrt(L/a)

    length : length of the move [m]
    rapid : highest speed on the way [m/s]
    acceleration : speeding up and slowing down [m/s2]
    returns : time of the move [s]

    Valid: length 0 and more, rapid and acceleration above 0; no limit on jerk, no settling at the end.
    Source: derived from constant acceleration (symmetric trapezoid).

    >>> [round(move_time(length, rapid=0.5, acceleration=3.0), 5) for length in (0.0005, 0.010, 0.062, 0.150)]
    [0.02582, 0.11547, 0.28752, 0.46667]
    """
    not_negative("length of the move [m]", length)
    positive("rapid [m/s]", rapid)
    positive("acceleration [m/s2]", acceleration)
    if length >= rapid * rapid / acceleration:
        return length / rapid + rapid / acceleration
    return 2 * sqrt(length / acceleration)


def move_times(length: ArrayLike, rapid: ArrayLike, acceleration: ArrayLike) -> Floats:
    """Times of many moves, each from rest to rest.

    length : lengths of the moves, NaN where one is not known [m]
    rapid : highest speed of each, or of all [m/s]
    acceleration : speeding up and slowing down of each, or of all [m/s2]
    returns : time of each move, NaN where an input is NaN [s]

    Valid: as `move_time`, for every row that is known.
    Source: derived from constant acceleration (symmetric trapezoid).

    >>> [round(float(t), 5) for t in move_times([0.0005, 0.062, float("nan")], rapid=0.5, acceleration=3.0)]
    [0.02582, 0.28752, nan]
    """
    L, V, a = np.broadcast_arrays(_column(length), _column(rapid), _column(acceleration))
    _refuse("length of a move [m]", L < 0)
    _refuse("rapid [m/s]", V <= 0)
    _refuse("acceleration [m/s2]", a <= 0)
    times: Floats = np.where(V * V / a <= L, L / V + V / a, 2 * np.sqrt(L / a))
    return times


def along(direction: ArrayLike, axis_limits: ArrayLike) -> Floats:
    """Largest value along a direction, when each axis has its own limit: speed or acceleration of a straight move.

    direction : one row of axis components for each move; its length does not matter [m]
    axis_limits : one limit for each axis [m/s or m/s2]
    returns : largest value along each move; infinite where a row is all zeros [m/s or m/s2]

    Valid: limits above zero; a linear rapid, where the axes arrive together.
    Source: geometry; no axis may pass its own limit.

    >>> along([[0.3, 0.4, 0.0], [0.0, 0.0, -0.1]], [0.5, 0.5, 0.25]).tolist()
    [0.625, 0.25]
    """
    d, limits = np.abs(np.atleast_2d(_column(direction))), _column(axis_limits)
    _refuse("limit of an axis", limits <= 0)
    length = np.sqrt((d * d).sum(axis=1, keepdims=True))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        each = np.where(d == 0, inf, limits * length / d)
    least: Floats = each.min(axis=1)
    return least


def apart_rapid_times(travel: ArrayLike, rapids: ArrayLike, accelerations: ArrayLike) -> Floats:
    """Times of rapids in which every axis runs by itself and the last one to arrive ends the move.

    travel : one row of axis travels for each move [m]
    rapids : rapid rate of each axis [m/s]
    accelerations : acceleration of each axis [m/s2]
    returns : time of each move [s]

    Valid: as `move_time`; controls whose rapid is not linear.
    Source: derived from constant acceleration; the slowest axis counts.

    >>> [round(float(t), 4) for t in apart_rapid_times([[0.3, 0.1, 0.0], [0.0, 0.0, 0.1]], [0.5, 0.5, 0.25], [3, 3, 3])]
    [0.7667, 0.4833]
    """
    last: Floats = move_times(np.abs(np.atleast_2d(_column(travel))), rapids, accelerations).max(axis=1)
    return last


def arc_speed(radius: ArrayLike, acceleration: ArrayLike) -> Floats:
    """Highest speed on an arc when the acceleration toward its centre is limited.

    radius : radius of the arc [m]
    acceleration : most acceleration [m/s2]
    returns : highest path speed [m/s]

    Valid: radius and acceleration above 0.
    Source: uniform circular motion, v^2/r = a.

    >>> float(arc_speed(radius=0.002, acceleration=2.0).round(6))
    0.063246
    """
    r, a = _column(radius), _column(acceleration)
    _refuse("radius [m]", r <= 0)
    _refuse("acceleration [m/s2]", a <= 0)
    return np.sqrt(r * a)


def corner_speed(turn: float, most_change: float) -> float:
    """Speed at a corner such that the velocity jumps by no more than the control allows.

    v = change / (2 sin(turn/2))

    turn : angle between the directions before and behind the corner, 0 for straight on [rad]
    most_change : speed change that the control allows at once [m/s]
    returns : highest speed through the corner, infinite for straight on [m/s]

    Valid: 0 <= turn <= pi; controls that round the corner by a tolerance follow another law.
    Source: geometry of the velocity jump; that controls limit it so is common practice, no source.

    >>> round(corner_speed(turn=1.570796, most_change=0.01), 6)
    0.007071
    """
    not_negative("turn [rad]", turn)
    positive("speed change at a corner [m/s]", most_change)
    if turn > np.pi:
        raise OutOfRange("turn [rad]", turn, "0 .. pi", "geometry of a corner")
    return most_change / (2 * float(np.sin(turn / 2))) if turn else inf


def junction_speeds(
    end_direction: ArrayLike,
    start_direction: ArrayLike,
    speed: ArrayLike,
    most_change: float,
    stops: ArrayLike | None = None,
) -> Floats:
    """Highest speed at each border between the blocks of a path; the path starts and ends at rest.

    end_direction : unit direction at the end of each move, one row a move; all zeros for a move without length [-]
    start_direction : unit direction at its start; the same array for straight moves [-]
    speed : speed limit of each move, NaN where it is not known [m/s]
    most_change : speed change that the control allows at once [m/s]
    stops : true where the axes come to rest before the move (dwell, exact stop); none if left out [-]
    returns : n + 1 speeds, the first before the first move; 0 beside a move whose speed is not known [m/s]

    Valid: one path speed law for all corners, as `corner_speed`; what is not known is taken as a stop (an upper bound on time).
    Source: geometry of the velocity jump; that controls limit it so is common practice, no source.

    >>> east, north = [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]
    >>> path = [east, east, north]
    >>> junction_speeds(path, path, [0.1, 0.2, 0.2], most_change=0.01).round(6).tolist()
    [0.0, 0.1, 0.007071, 0.0]
    """
    positive("speed change at a corner [m/s]", most_change)
    end, start, v = np.atleast_2d(_column(end_direction)), np.atleast_2d(_column(start_direction)), _column(speed)
    n = len(v)
    moves = (end != 0).sum(axis=1) > 0
    last = np.maximum.accumulate(np.where(moves, np.arange(n), 0))  # a move without length keeps the way it came
    jump = np.sqrt(((start[1:] - end[last[:-1]]) ** 2).sum(axis=1))
    jump[~moves[1:]] = 0.0
    limit = np.where(moves, v, inf)
    with np.errstate(divide="ignore"):
        inner = np.minimum(np.minimum(limit[:-1], limit[1:]), most_change / jump)
    border = np.concatenate([[0.0], inner, [0.0]])
    if stops is not None:
        border[:-1][np.asarray(stops, dtype=bool)] = 0.0
    border[np.isnan(border)] = 0.0
    return border


def border_speeds(length: ArrayLike, acceleration: ArrayLike, junction: ArrayLike) -> Floats:
    """Speeds really reached at the borders of the blocks: none asks a block for more speed change than it has room for.

    With w = v^2 and S the sum of 2 a L up to a border: w_i = min over k of (W_k + |S_k - S_i|), W the squares of the limits.
    That minimum is the running minimum of W - S from the left and of W + S from the right: look-ahead over the whole path,
    exact, in two sweeps over columns.

    length : length of each move; one that is not known (NaN) parts the path, which rests on both sides of it [m]
    acceleration : speeding up and slowing down along each move, or of all [m/s2]
    junction : n + 1 speed limits at the borders [m/s]
    returns : n + 1 speeds [m/s]

    Valid: constant acceleration in every block; controls that look ahead over fewer blocks are slower.
    Source: derived from v^2 = v0^2 + 2 a L; the form is ours.

    >>> border_speeds([0.001, 0.0005, 0.1], 2.0, [0.0, 0.2, 0.2, 0.0]).round(4).tolist()
    [0.0, 0.0632, 0.0775, 0.0]
    """
    L, a = np.broadcast_arrays(_column(length), _finite(acceleration, length))
    _refuse("length of a move [m]", L < 0)
    _refuse("acceleration [m/s2]", a <= 0)
    gap = np.isnan(L) | np.isnan(a)
    W = _column(junction) ** 2
    W[:-1][gap] = 0.0
    W[1:][gap] = 0.0
    S = np.concatenate([[0.0], np.cumsum(np.where(gap, 0.0, 2 * a * L))])
    left = np.minimum.accumulate(W - S) + S
    right = np.minimum.accumulate((W + S)[::-1])[::-1] - S
    reached: Floats = np.sqrt(np.maximum(np.minimum(np.minimum(left, right), W), 0.0))
    return reached


def block_times(length: ArrayLike, speed: ArrayLike, acceleration: ArrayLike, enter: ArrayLike, leave: ArrayLike) -> Floats:
    """Times of blocks that start and end at given speeds: speeding up to their limit where there is room, then slowing down.

    length : length of each block [m]
    speed : speed limit of each block [m/s]
    acceleration : speeding up and slowing down [m/s2]
    enter : speed at the start of each block [m/s]
    leave : speed at its end [m/s]
    returns : time of each block, NaN where an input is NaN [s]

    Valid: enter and leave at most the limit, and within reach of each other: |leave^2 - enter^2| <= 2 a L.
    Source: derived from constant acceleration (trapezoid with unequal ends).

    >>> block_times([0.1, 0.1], 0.1, 2.0, [0.0, 0.1], [0.0, 0.1]).round(4).tolist()
    [1.05, 1.0]
    """
    columns = (length, speed, _finite(acceleration, length), enter, leave)
    L, V, a, v0, v1 = np.broadcast_arrays(*(_column(values) for values in columns))
    _refuse("length of a block [m]", L < 0)
    _refuse("speed of a block [m/s]", V <= 0)
    _refuse("acceleration [m/s2]", a <= 0)
    top = np.maximum(v0, v1)
    _refuse("speed at the border of a block [m/s]", (top > V * (1 + _SLACK)) & (L > 0))
    # the rounding of a border speed grows with the whole path behind it, not with this block: hence (1e-5 m/s)^2 of room
    room = 2 * a * L * (1 + _SLACK) + _SLACK * V * V + 1e-10
    _refuse("speed change in a block [m/s]", np.abs(v1 * v1 - v0 * v0) > room)
    peak = np.maximum(np.minimum(V, np.sqrt(a * L + (v0 * v0 + v1 * v1) / 2)), top)
    ramps = (2 * peak - v0 - v1) / a
    ramp_length = (2 * peak * peak - v0 * v0 - v1 * v1) / (2 * a)
    with np.errstate(invalid="ignore"):
        run = np.where(L > 0, np.maximum(L - ramp_length, 0.0) / np.where(peak > 0, peak, 1.0), 0.0)
    return np.where(L > 0, ramps + run, np.where(np.isnan(L), np.nan, 0.0))


def path_times(length: ArrayLike, speed: ArrayLike, acceleration: ArrayLike, junction: ArrayLike) -> Floats:
    """Times of the blocks of a path, slowing down at corners and looking ahead over the whole path.

    length : length of each block, NaN where it is not known [m]
    speed : speed limit of each block, NaN where it is not known [m/s]
    acceleration : speeding up and slowing down along each block, or of all [m/s2]
    junction : n + 1 speed limits at the borders, as `junction_speeds` gives them [m/s]
    returns : time of each block; NaN only for those not known themselves, beside them the path rests [s]

    Valid: as `border_speeds`; a lower bound for controls that look ahead less, an upper bound beside unknown blocks.
    Source: derived from constant acceleration.

    >>> path_times([0.05, 0.05], 0.1, 2.0, [0.0, 0.1, 0.0]).round(4).tolist()    # straight on: one ramp up, one down
    [0.525, 0.525]
    >>> path_times([0.05, 0.05], 0.1, 2.0, [0.0, 0.0, 0.0]).round(4).tolist()    # an exact stop between them
    [0.55, 0.55]
    """
    L, V, a = np.broadcast_arrays(_column(length), _column(speed), _column(acceleration))
    limit = np.where(np.isnan(V) | (L == 0), inf, V)
    both = np.minimum(np.concatenate([[inf], limit]), np.concatenate([limit, [inf]]))
    border = border_speeds(np.where(np.isnan(V), np.nan, L), a, np.minimum(_column(junction), both))
    return block_times(L, V, a, border[:-1], border[1:])


def _column(values: ArrayLike) -> Floats:
    return np.array(values, dtype=np.float64)


def _finite(acceleration: ArrayLike, length: ArrayLike) -> Floats:
    """Accelerations without the infinite ones that `along` gives for moves without length; inf times 0 would be no number."""
    a, L = (np.array(column) for column in np.broadcast_arrays(_column(acceleration), _column(length)))
    _refuse("acceleration [m/s2]", np.isinf(a) & (L > 0))
    a[np.isinf(a)] = 1.0
    return a


def _refuse(quantity: str, wrong: NDArray[np.bool_]) -> None:
    if wrong.any():
        row = int(np.argmax(wrong.ravel()))
        raise OutOfRange(quantity, f"row {row}", "what a move can be", "constant acceleration")
