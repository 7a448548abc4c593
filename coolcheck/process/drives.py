"""What the drives of the machine make of moves: rapids by rate and acceleration, feed moves that slow down at their corners."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coolcheck.known import Evidence, Known, Missing
from coolcheck.nc.moves import Floats, Kind
from coolcheck.physics.kinematics import along, apart_rapid_times, arc_speed, junction_speeds, move_times, path_times

if TYPE_CHECKING:
    from coolcheck.nc.moves import Moves
    from coolcheck.records.record import Record

AXES = ("x", "y", "z")
PLANES = {17: (0, 1), 18: (2, 0), 19: (1, 2)}  # the axes of each plane, in the order in which a positive turn goes
PART = 100_000  # feed moves whose times are worked out at once
UNLIMITED = 1e9  # an acceleration that no rapid feels [m/s2]
NO_CORNERS = "without slowing at corners: acceleration or corner speed is not in the machine record (a lower bound)"


class Drives:
    """Rates and accelerations of the machine's axes, and the times they give. Collects what it used and what it lacked."""

    def __init__(self, machine: "Record") -> None:
        self.machine = machine
        self.missing: list[Missing] = []
        self.evidence: list[Evidence] = []  # of the rapids
        self.feed_evidence: list[Evidence] = []
        self.accelerations = [machine.field(f"motion.acceleration {axis}") for axis in AXES]

    def rapid_seconds(self, moves: "Moves", rows: NDArray[np.int64]) -> Floats:
        """Time of the rapids in `rows`, NaN where the rate of an axis that moves is not known.

        A way whose start or end the program does not tell (from home, from the tool changer) takes no time here, and says so:
        without that nearly no program would have a cycle time.
        """
        travel = np.stack([np.abs(getattr(moves, a)[rows] - getattr(moves, a + "0")[rows]) for a in AXES], axis=1) * 1e-3
        hidden = np.isnan(travel).any(axis=1)
        if hidden.any():
            note = (
                f"{int(hidden.sum())} rapids start or end where the program does not tell; that way is left out (a lower bound)"
            )
            self.evidence.append(Evidence("rapids from unknown positions", int(hidden.sum()), source="assumed", note=note))
            travel = np.nan_to_num(travel)
        rates = [self.machine.field(f"motion.rapid {axis}") for axis in AXES]
        dark = np.zeros(len(rows), np.bool_)
        limits, ramps = np.ones(3), np.ones(3)
        for index, (rate, acceleration) in enumerate(zip(rates, self.accelerations, strict=True)):
            moving = travel[:, index] != 0
            if not moving.any():
                continue
            if not rate.is_known:
                self.missing += rate.missing
                dark |= moving
                continue
            self.evidence += rate.evidence
            limits[index] = rate.value
            ramps[index] = self._acceleration(acceleration, AXES[index])
        seconds = self._rapid(travel, limits, ramps)
        settle = self.machine.field("motion.settle time")
        if settle.is_known:
            seconds[seconds > 0] += settle.value
            self.evidence += settle.evidence
        seconds[dark] = np.nan
        return seconds

    def _acceleration(self, acceleration: Known[float], axis: str) -> float:
        if acceleration.is_known:
            self.evidence += acceleration.evidence
            return acceleration.value
        note = (
            f"the machine record is silent on acceleration {axis}; rapids are taken to reach their rate at once (a lower bound)"
        )
        self.evidence.append(Evidence(f"acceleration {axis}", "unlimited", source="assumed", note=note))
        return UNLIMITED

    def _rapid(self, travel: Floats, limits: Floats, ramps: Floats) -> Floats:
        linear = self.machine.field("motion.rapid is linear")
        if not len(travel) or not linear.is_yes:
            return apart_rapid_times(travel, limits, ramps) if len(travel) else np.zeros(0)
        self.evidence += linear.evidence
        lengths = np.sqrt((travel**2).sum(axis=1))
        speed, ramp = along(travel, limits), along(travel, ramps)
        still = lengths == 0
        speed[still], ramp[still] = 1.0, 1.0
        return move_times(lengths, speed, ramp)

    def slow_feed_moves(self, moves: "Moves", rows: NDArray[np.int64], halts: tuple[int, ...], seconds: Floats) -> None:
        """Replaces the programmed times of feed moves by those with acceleration and corners, where the record knows them."""
        corner = self.machine.field("motion.corner speed")
        known_ramps = [a.value for a in self.accelerations if a.is_known]
        if not corner.is_known or len(known_ramps) < len(AXES) or not len(rows):
            if len(rows):
                self.feed_evidence.append(Evidence("feed moves", "at programmed feed", source="assumed", note=NO_CORNERS))
            return
        ramp = min(known_ramps)  # the weakest axis, for every direction: an upper bound on time
        stops = np.empty(len(rows), np.bool_)
        stops[:1] = True
        stops[1:] = rows[1:] != rows[:-1] + 1  # a rapid lies between
        stops[np.searchsorted(rows, [row for row in halts if row <= rows[-1]])] = True
        for part in _parts(np.flatnonzero(stops), len(rows)):
            seconds[rows[part]] = _slowed(moves, rows[part], seconds[rows[part]], stops[part], ramp, corner.value)
        self.feed_evidence += corner.evidence


def _parts(stops: NDArray[np.int64], count: int) -> Iterator[slice]:
    """Stretches of about PART rows that begin where the path rests: the same times as at once, with less memory."""
    first = 0
    while first < count:
        at = int(np.searchsorted(stops, first + PART))
        behind = int(stops[at]) if at < len(stops) else count
        yield slice(first, behind)
        first = behind


def _slowed(
    moves: "Moves", rows: NDArray[np.int64], seconds: Floats, stops: NDArray[np.bool_], ramp: float, corner: float
) -> Floats:
    """Times of feed moves that slow down at their corners and where they rest."""
    length = moves.length[rows] * 1e-3
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = np.where(length > 0, length / seconds, np.inf)
    arcs = moves.arc[rows]
    on_arc = arcs >= 0
    if on_arc.any():
        radius = np.maximum(moves.arcs.radius[arcs[on_arc]] * 1e-3, 1e-9)
        speed[on_arc] = np.minimum(speed[on_arc], arc_speed(radius, ramp))
    start, end = _directions(moves, rows)
    limited = np.where(np.isfinite(speed) | (length == 0), speed, np.nan)
    return path_times(length, limited, ramp, junction_speeds(end, start, limited, corner, stops))


def _directions(moves: "Moves", rows: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Unit directions at the start and at the end of each move; zeros for a move without length."""
    way = np.stack([getattr(moves, a)[rows] - getattr(moves, a + "0")[rows] for a in AXES], axis=1)
    start, end = way, way
    arcs = moves.arc[rows]
    turning = np.flatnonzero(arcs >= 0)
    if len(turning):
        start, end = way.copy(), way.copy()
        for plane, (first, second) in PLANES.items():
            these = turning[moves.arcs.plane[arcs[turning]] == plane]
            _tangents(moves, rows[these], arcs[these], first, second, start, end, these)
    return _unit(start), _unit(end)


def _tangents(
    moves: "Moves",
    rows: NDArray[np.int64],
    arcs: NDArray[np.int32],
    first: int,
    second: int,
    start: Floats,
    end: Floats,
    at: NDArray[np.int64],
) -> None:
    """Writes the directions of arcs in one plane: square to the radius, turning with or against the clock."""
    turn = np.where(moves.kind[rows] == Kind.ARC_CCW, 1.0, -1.0)
    centre = [getattr(moves.arcs, AXES[first])[arcs], getattr(moves.arcs, AXES[second])[arcs]]
    rise = start[at, 3 - first - second] / np.maximum(moves.arcs.length[arcs], 1e-12)
    for column, suffix in ((start, "0"), (end, "")):
        u: Floats = getattr(moves, AXES[first] + suffix)[rows] - centre[0]
        w = getattr(moves, AXES[second] + suffix)[rows] - centre[1]
        radius = np.maximum(np.hypot(u, w), 1e-12)
        flat = np.sqrt(np.maximum(0.0, 1.0 - rise**2))
        column[at, first], column[at, second] = -turn * w / radius * flat, turn * u / radius * flat
        column[at, 3 - first - second] = rise


def _unit(way: Floats) -> Floats:
    length = np.sqrt((way**2).sum(axis=1, keepdims=True))
    unit: Floats = np.divide(way, length, out=np.zeros_like(way), where=length > 0)
    return unit
