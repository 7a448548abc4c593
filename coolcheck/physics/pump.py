"""What a pump can give: pressure against flow, as a chain of points that falls from shut-off to open flow."""

from dataclasses import dataclass
from itertools import pairwise
from math import inf, sqrt

from coolcheck.physics.valid import OutOfRange, within

_EDGE = 1e-9  # how far past the last point of a curve a computed point may lie and still stand on it


@dataclass(frozen=True, slots=True)
class Pump:
    """A pump curve. Between two points p is linear in Q², the law of a centrifugal pump (p = p0 - k·Q²).

    Level pieces (a relief valve, a pressure control) and upright pieces (a displacement pump) are points as well.

    points : (flow [m³/s], pressure [Pa]), flow rising, pressure falling
    displaces : the pump moves its full flow at any pressure; a relief valve lets the surplus back to the tank

    Valid: within its points; an operating point before the first or past the last one is OutOfRange.
    Source: pump laws as in any text on fluid machinery; the points come from the machine record.

    >>> Pump.displacement(flow=20 / 60000, relief=70e5).pressure(10 / 60000)
    7000000.0
    """

    points: tuple[tuple[float, float], ...]
    displaces: bool = False

    def __post_init__(self) -> None:
        if len(self.points) < 2 or self.most_pressure <= 0 or self.most_flow <= 0:
            raise OutOfRange("points of the pump curve", self.points, "two points or more that give something", "pump curve")
        for (Q1, p1), (Q2, p2) in pairwise(self.points):
            if Q1 < 0 or p2 < 0 or Q2 < Q1 or p2 > p1 or (Q1, p1) == (Q2, p2):
                raise OutOfRange("points of the pump curve", self.points, "rising flows and falling pressures", "pump curve")

    @classmethod
    def displacement(cls, flow: float, relief: float) -> "Pump":
        """A displacement pump: always the same flow, until a relief valve opens.

        flow : what the pump moves [m³/s]
        relief : pressure at which the valve opens [Pa]
        returns : the pump

        Valid: leak in the pump neglected.
        Source: common practice; ideal displacement pump and ideal valve.

        >>> Pump.displacement(flow=3e-4, relief=70e5).most_pressure
        7000000.0
        """
        return cls(((0.0, relief), (flow, relief), (flow, 0.0)), displaces=True)

    @classmethod
    def regulated(cls, most_flow: float, pressure: float) -> "Pump":
        """A pump whose drive holds a set pressure as long as its flow suffices.

        most_flow : what it gives at full speed [m³/s]
        pressure : what the control holds [Pa]
        returns : the pump

        Valid: leak in the pump neglected; least speed of the drive neglected.
        Source: common practice; ideal pressure control.

        >>> Pump.regulated(most_flow=3e-4, pressure=70e5).displaces
        False
        """
        return cls(((0.0, pressure), (most_flow, pressure), (most_flow, 0.0)))

    @classmethod
    def rated(cls, flow: float, pressure: float, open_flow: float) -> "Pump":
        """A pump known by its rated point, with a relief valve set to that pressure, and its flow against no pressure.

        flow : at the rated pressure [m³/s]
        pressure : at the rated point; the relief valve holds it at less flow [Pa]
        open_flow : against no pressure, at least `flow` [m³/s]
        returns : the pump

        Valid: p falls with Q² between the rated point and the open flow (our reading).
        Source: common practice.

        >>> Pump.rated(flow=3e-4, pressure=20e5, open_flow=5e-4).pressure(5e-4)
        0.0
        """
        within("open flow [m³/s]", open_flow, flow, inf, "pump curve")
        return cls(((0.0, pressure), (flow, pressure), (open_flow, 0.0)))

    @classmethod
    def centrifugal(cls, shut_off: float, flow: float, pressure: float) -> "Pump":
        """A centrifugal pump by its shut-off pressure and one rated point: p = p0 - k·Q².

        shut_off : pressure without flow [Pa]
        flow : at the rated point [m³/s]
        pressure : at the rated point, less than shut-off [Pa]
        returns : the pump

        Valid: 0 < pressure < shut_off.
        Source: textbook form of the characteristic of a centrifugal pump.

        >>> round(Pump.centrifugal(shut_off=25e5, flow=30 / 60000, pressure=15e5).pressure(15 / 60000) / 1e5, 2)
        22.5
        """
        within("rated pressure over shut-off pressure", pressure / shut_off, 0.0, 1 - 1e-9, "pump curve")
        return cls(((0.0, shut_off), (flow * sqrt(shut_off / (shut_off - pressure)), 0.0)))

    def limited(self, relief: float) -> "Pump":
        """The same pump behind a relief valve, or at a lower pressure level that the control chose.

        relief : pressure of the valve or level [Pa]
        returns : the pump so limited

        Valid: relief above the lowest pressure of the curve.
        Source: ideal relief valve.

        >>> Pump.centrifugal(shut_off=25e5, flow=5e-4, pressure=15e5).limited(20e5).pressure(1e-4)
        2000000.0
        """
        if relief >= self.most_pressure:
            return self
        within("relief pressure [Pa]", relief, self.points[-1][1], self.most_pressure, "pump curve")
        below = tuple(point for point in self.points if point[1] < relief)
        return Pump(_unique(((0.0, relief), (self._flow_at(relief), relief), *below)), self.displaces)

    def at_speed(self, ratio: float) -> "Pump":
        """The same centrifugal pump at another speed: flow goes with it, pressure with its square, power with its cube.

        ratio : new speed over the old one [-]
        returns : the pump at that speed

        Valid: centrifugal pumps, 0.3 <= ratio <= 1.5 (from memory; efficiency changes further away).
        Source: affinity laws.

        >>> Pump.centrifugal(shut_off=4e5, flow=1e-3, pressure=3e5).at_speed(0.5).most_pressure
        100000.0
        """
        within("speed ratio", ratio, 0.3, 1.5, "affinity laws")
        return Pump(tuple((Q * ratio, p * ratio**2) for Q, p in self.points), self.displaces)

    @property
    def most_pressure(self) -> float:
        """Pressure of the first point: what the pump gives when nothing flows [Pa]."""
        return self.points[0][1]

    @property
    def most_flow(self) -> float:
        """Flow of the last point [m³/s]."""
        return self.points[-1][0]

    def pressure(self, Q: float) -> float:
        """Pressure at a flow; on an upright piece the highest.

        Q : flow [m³/s]
        returns : pressure [Pa]

        Valid: within the points; else OutOfRange.
        Source: interpolation, linear in Q².

        >>> Pump.regulated(most_flow=3e-4, pressure=70e5).pressure(2e-4)
        7000000.0
        """
        within("flow of the pump [m³/s]", Q, self.points[0][0], self.most_flow, "pump curve")
        (Q1, p1), (Q2, p2) = next(piece for piece in pairwise(self.points) if piece[1][0] >= Q)
        return p1 if Q1 == Q2 else p1 + (p2 - p1) * (Q * Q - Q1 * Q1) / (Q2 * Q2 - Q1 * Q1)

    def _flow_at(self, p: float) -> float:
        """The flow at a pressure between that of the last point and, without it, that of the first [m³/s]."""
        (Q1, p1), (Q2, p2) = next(piece for piece in pairwise(self.points) if piece[1][1] <= p)
        return sqrt(Q1 * Q1 + (Q2 * Q2 - Q1 * Q1) * (p1 - p) / (p1 - p2))

    def excess(self, Q: float, p: float) -> float:
        """How far a point lies beyond the curve: negative while the pump could give more, zero on the curve.

        The falling curve, level and upright pieces alike, is a function once it is turned by 45 degrees: with x = Q²/Qmax²
        and y = p/pmax, y + x over y - x has one value everywhere and a slope within ±1. So this excess rises steadily
        along any demand that asks more pressure for more flow, and a root finder needs no cases.

        Q : flow [m³/s]
        p : pressure [Pa]
        returns : y + x of the point less y + x of the curve [-]

        Valid: Q >= 0, p >= 0; the curve is continued level to the left and upright below its ends.
        Source: derived here.

        >>> pump = Pump.displacement(flow=3e-4, relief=70e5)
        >>> pump.excess(1e-4, 70e5), pump.excess(3e-4, 10e5), pump.excess(1e-4, 35e5) < 0
        (0.0, 0.0, True)
        """
        turned = [(y - x, y + x) for x, y in map(self._scaled, self.points)]
        x, y = self._scaled((Q, p))
        v, u = y - x, y + x
        if v >= turned[0][0]:  # level to the left of the first point: y stays
            return u - (2 * self._scaled(self.points[0])[1] - v)
        for (v1, u1), (v2, u2) in pairwise(turned):
            if v >= v2:
                return u - (u1 + (u2 - u1) * (v1 - v) / (v1 - v2))
        return u - (2 * self._scaled(self.points[-1])[0] + v)  # upright below the last point: x stays

    def covers(self, Q: float, p: float) -> bool:
        """Whether a point found on the curve lies between its ends, not on the continuation beyond them."""
        (Q_first, _), (_, p_last) = self.points[0], self.points[-1]
        return Q - Q_first >= -_EDGE * self.most_flow and p - p_last >= -_EDGE * self.most_pressure

    def limit(self, Q: float, p: float) -> str:
        """What holds the operating point: "pressure" on a level piece, "flow" on an upright one, else "curve"."""
        dQ, dp = _EDGE * self.most_flow, _EDGE * self.most_pressure
        for (Q1, p1), (Q2, p2) in pairwise(self.points):
            if Q1 - dQ <= Q <= Q2 + dQ and p2 - dp <= p <= p1 + dp:
                return "pressure" if p1 == p2 else "flow" if Q1 == Q2 else "curve"
        return "curve"

    def _scaled(self, point: tuple[float, float]) -> tuple[float, float]:
        return (point[0] / self.most_flow) ** 2, point[1] / self.most_pressure


def _unique(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    return tuple(dict.fromkeys(points))
