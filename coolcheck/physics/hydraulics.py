"""From the pump to the jet: the pressure and flow at which pump, line, holder, leak and tool agree.

    pump → supply (line, union, spindle bore, pull stud) → holder bore ─┬→ leak past the shank (slotted collet)
                                                                        └→ tool: one branch for each set of exits

Every resistance asks more pressure for more flow, and no pump gives more flow for more pressure: there is one operating point.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from coolcheck.physics.channels import channel_volume, friction_factor, reynolds, unchecked_friction_factor
from coolcheck.physics.fluid_properties import Liquid
from coolcheck.physics.orifices import hole_area, hydraulic_power, jet_pressure, jet_speed, orifice_drop, throttle_rise
from coolcheck.physics.pump import Pump
from coolcheck.physics.roots import rising_root
from coolcheck.physics.valid import OutOfRange, within

__all__ = [
    "Delivery",
    "Element",
    "Liquid",
    "OperatingPoint",
    "Orifice",
    "Passage",
    "Pump",
    "operating_point",
    "parallel_flow",
    "series_drop",
    "series_flow",
]

DRAWN_TUBE = 1.5e-6  # roughness of a smooth drawn or sintered channel [m]; value of drawn tubing, from memory (Moody)


@dataclass(frozen=True, slots=True)
class Passage:
    """Channels side by side with friction: a hose, a spindle bore, the passages of a drill.

    d : diameter of one [m]
    L : length of one, along its own centre line [m]
    count : how many alike in parallel [-]
    K : minor losses of each: sharp entry 0.5; and 1.0 for the jet's energy where it ends in the open [-]
    eps : wall roughness [m]
    curvature : d over the diameter of curvature of the centre line; 0 is straight (`channels.helical_curvature`) [-]

    Valid: as `channels.friction_factor`; eps/d <= 0.05.
    Source: Darcy-Weisbach; K 0.5 from four handbooks as listed in `fluids` 1.3.1.

    >>> from coolcheck.physics.fluid_properties import Liquid
    >>> hose = Passage(d=0.012, L=3.0, K=1.0)
    >>> round(hose.drop(20 / 60000, Liquid(rho=998.207, nu=1.0034e-6, c=4184.0)) / 1e5, 2)       # bar
    0.29
    """

    d: float
    L: float
    count: int = 1
    K: float = 1.5
    eps: float = DRAWN_TUBE
    curvature: float = 0.0

    def __post_init__(self) -> None:
        within("diameter of the passage [m]", self.d, 1e-5, 1.0, "channel flow")
        within("length of the passage [m]", self.L, 0.0, 1e6, "channel flow")
        within("number of passages", self.count, 1, 1e4, "channel flow")
        within("minor losses K", self.K, 0.0, 1e4, "channel flow")
        within("relative roughness", self.eps / self.d, 0.0, 0.05, "Serghides")
        within("curvature ratio of the channel", self.curvature, 0.0, 0.1, "White, Ito")
        if not self.L and not self.K:
            raise OutOfRange("resistance of the passage", 0.0, "more than nothing: a length or minor losses", "channel flow")

    @property
    def area(self) -> float:
        """Open area of all channels together [m²]."""
        return self.count * hole_area(self.d)

    @property
    def volume(self) -> float:
        """Fluid it holds [m³]."""
        return channel_volume(self.d, self.L, self.count)

    def drop(self, Q: float, liquid: Liquid) -> float:
        """Pressure lost at flow Q [m³/s] through all channels together [Pa]. Unchecked; `check` says whether to believe it."""
        if Q <= 0:
            return 0.0
        v = Q / self.area
        f = unchecked_friction_factor(reynolds(v, self.d, liquid.nu), self.eps / self.d, self.curvature)
        return (self.K + f * self.L / self.d) * liquid.rho * v * v / 2

    def check(self, Q: float, liquid: Liquid) -> None:
        """Raise OutOfRange when the friction law does not hold at this flow."""
        if Q > 0:
            friction_factor(reynolds(Q / self.area, self.d, liquid.nu), self.eps / self.d, self.curvature)

    def jet_speed(self, Q: float, liquid: Liquid) -> float:
        """Mean speed at its end [m/s]."""
        return Q / self.area


@dataclass(frozen=True, slots=True)
class Orifice:
    """Openings side by side without friction: a nozzle, a short drilled exit, the slots of a collet.

    A : area of one [m²]
    Cd : discharge coefficient: thin plate or slot about 0.61, short drilled hole about 0.80 [-]
    count : how many alike in parallel [-]

    Valid: liquids, turbulent; a hole that cavitates drops from 0.8 towards 0.61: solve with both.
    Source: Encyclopaedia Britannica 11th ed., vol. 14, Hydraulics, sec. 17 (0.62 thin plate; 0.82 short tube).

    >>> from coolcheck.physics.fluid_properties import Liquid
    >>> slots = Orifice(A=1.0e-6)
    >>> round(slots.drop(2.32 / 60000, Liquid(rho=998.207, nu=1.0034e-6, c=4184.0)) / 1e5, 1)
    20.1
    """

    A: float
    Cd: float = 0.61
    count: int = 1

    def __post_init__(self) -> None:
        within("area of the opening [m²]", self.A, 1e-12, 1.0, "orifice flow")
        within("discharge coefficient", self.Cd, 0.3, 1.0, "orifice flow")
        within("number of openings", self.count, 1, 1e4, "orifice flow")

    @classmethod
    def round(cls, d: float, count: int = 1, Cd: float = 0.61) -> "Orifice":
        """Round holes of one diameter.

        d : diameter of one [m]
        count : how many alike [-]
        Cd : discharge coefficient [-]
        returns : the openings

        Valid: as `Orifice`.
        Source: area of a circle.

        >>> Orifice.round(d=0.002, count=2).count
        2
        """
        return cls(hole_area(d), Cd, count)

    @property
    def volume(self) -> float:
        """Fluid it holds: none worth counting [m³]."""
        return 0.0

    def drop(self, Q: float, liquid: Liquid) -> float:
        """Pressure lost at flow Q [m³/s] through all openings together [Pa]."""
        return orifice_drop(Q, self.A * self.count, self.Cd, liquid.rho)

    def check(self, Q: float, liquid: Liquid) -> None:
        """Nothing to doubt at any flow."""

    def jet_speed(self, Q: float, liquid: Liquid) -> float:
        """Ideal speed of the jet, at the contracted section [m/s]."""
        return jet_speed(self.drop(Q, liquid), liquid.rho)


Element = Passage | Orifice


@dataclass(frozen=True, slots=True)
class Delivery:
    """A way of fluid from the pump to the exits.

    pump : what drives it
    liquid : what flows
    supply : in series from the pump to the holder: line, union, spindle bore, pull stud
    holder : in series from there to the shank of the tool
    leak : side by side at the shank, into the open: the slots of a collet
    tool : side by side from the shank into the open, each branch in series: passages, exits

    Without leak and tool nothing can leave: the chain is dead-headed.

    Valid: steady flow, liquids, all pressures above that of the room.
    Source: derived here from the elements.

    >>> water = Liquid(rho=998.207, nu=1.0034e-6, c=4184.0)
    >>> drill = (Passage(d=0.002, L=0.2, count=2),)
    >>> point = Delivery(Pump.displacement(flow=20 / 60000, relief=70e5), water, tool=(drill,)).operating_point()
    >>> round(point.p_tool / 1e5, 1), round(point.Q_tool * 60000, 2), point.limit       # bar, l/min
    (50.8, 20.0, 'flow')
    """

    pump: Pump
    liquid: Liquid
    supply: tuple[Element, ...] = ()
    holder: tuple[Element, ...] = ()
    leak: tuple[Orifice, ...] = ()
    tool: tuple[tuple[Element, ...], ...] = ()

    def operating_point(self) -> "OperatingPoint":
        """Where pump and chain agree; `operating_point(delivery)`."""
        return operating_point(self)


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """What a delivery settles at. Pressures are above that of the room [Pa], flows [m³/s].

    p_pump, p_holder, p_tool : at the pump, at the entry of the holder, at the entry of the tool. Tool makers state their least
        pressure at the tool's entry (our reading): compare that with p_tool
    p_tip : what is left to make the slowest of the jets; less than p_tool by the friction in the passages
    Q_pump : through the line; Q_tool : through the tool, Q_exits of each branch; Q_leak : past the shank
    Q_bypass : through the relief valve of a displacement pump
    jet_speeds : of each branch [m/s]
    power : hydraulic power of the pump [W]; all of it ends as heat in the fluid
    heating : rise of the temperature of what passes the pump, from its hydraulic power alone [K]
    fill_time : to fill the empty chain at Q_pump [s]; infinite when dead-headed
    limit : what holds the point: "pressure", "flow", "curve", or "dead-headed"
    """

    p_pump: float
    p_holder: float
    p_tool: float
    p_tip: float
    Q_pump: float
    Q_tool: float
    Q_exits: tuple[float, ...]
    Q_leak: float
    Q_bypass: float
    jet_speeds: tuple[float, ...]
    power: float
    heating: float
    fill_time: float
    limit: str


def series_drop(elements: Sequence[Element], Q: float, liquid: Liquid) -> float:
    """Pressure lost in elements one behind the other.

    elements : passages and orifices in series [-]
    Q : flow through all of them [m³/s]
    liquid : what flows [-]
    returns : pressure loss [Pa]

    Valid: as its elements.
    Source: pressures in series add.

    >>> water = Liquid(rho=1000.0, nu=1e-6, c=4184.0)
    >>> hole = Orifice.round(d=0.001)
    >>> series_drop([hole, hole], 1e-5, water) == 2 * series_drop([hole], 1e-5, water)
    True
    """
    return sum((element.drop(Q, liquid) for element in elements), 0.0)


def series_flow(elements: Sequence[Element], dp: float, liquid: Liquid) -> float:
    """Flow that a pressure drives through elements one behind the other; the reverse of `series_drop`.

    elements : passages and orifices in series, at least one [-]
    dp : pressure over all of them [Pa]
    liquid : what flows [-]
    returns : flow [m³/s]

    Valid: as its elements.
    Source: root of `series_drop`, which rises with the flow.

    >>> water = Liquid(rho=998.207, nu=1.0034e-6, c=4184.0)
    >>> round(series_flow([Passage(d=0.0012, L=0.12, count=2)], 20e5, water) * 60000, 2)        # l/min
    4.26
    """
    if dp <= 0:
        return 0.0
    high = 1e-6
    while series_drop(elements, high, liquid) < dp:
        high *= 4
    return rising_root(lambda Q: series_drop(elements, Q, liquid) - dp, 0.0, high)


def parallel_flow(branches: Sequence[Sequence[Element]], dp: float, liquid: Liquid) -> float:
    """Flow that a pressure drives through branches side by side.

    branches : each a series of elements [-]
    dp : pressure over each of them [Pa]
    liquid : what flows [-]
    returns : flow through all together [m³/s]

    Valid: as their elements.
    Source: flows in parallel add.

    >>> water = Liquid(rho=1000.0, nu=1e-6, c=4184.0)
    >>> hole = [Orifice.round(d=0.001)]
    >>> round(parallel_flow([hole, hole], 1e6, water) / series_flow(hole, 1e6, water), 9)
    2.0
    """
    return sum((series_flow(branch, dp, liquid) for branch in branches), 0.0)


def operating_point(delivery: Delivery) -> OperatingPoint:
    """Where the pump and all that hangs on it agree.

    One unknown, the pressure at the shank: it gives the flow through tool and leak, that flow the loss before them, and both
    a point that must lie on the pump curve (`Pump.excess`). Everything rises with the unknown, so a bracket finds it.

    delivery : pump, liquid and chain [-]
    returns : pressures, flows, jets, power, heating and fill time [-]

    Valid: as the elements; OutOfRange when the point lies outside the pump curve or a friction law.
    Source: derived here; compared in the tests with a separate solution of the whole network by scipy.

    >>> water = Liquid(rho=998.207, nu=1.0034e-6, c=4184.0)
    >>> blocked = operating_point(Delivery(Pump.displacement(flow=20 / 60000, relief=70e5), water))
    >>> blocked.limit, blocked.p_tool, round(blocked.Q_bypass * 60000, 6)
    ('dead-headed', 7000000.0, 20.0)
    """
    ways_out: list[Sequence[Element]] = [*((slot,) for slot in delivery.leak), *delivery.tool]
    if not ways_out:
        return _described(delivery, 0.0, delivery.pump.most_pressure)
    before = (*delivery.supply, *delivery.holder)

    def excess(p_tool: float) -> float:
        Q = parallel_flow(ways_out, p_tool, delivery.liquid)
        return delivery.pump.excess(Q, p_tool + series_drop(before, Q, delivery.liquid))

    p_tool = rising_root(excess, 0.0, 2 * delivery.pump.most_pressure)
    return _described(delivery, parallel_flow(ways_out, p_tool, delivery.liquid), p_tool)


def _described(delivery: Delivery, Q: float, p_tool: float) -> OperatingPoint:
    """The operating point in full, from the flow through the line and the pressure at the shank."""
    pump, liquid = delivery.pump, delivery.liquid
    p_holder = p_tool + series_drop(delivery.holder, Q, liquid)
    p_pump = p_holder + series_drop(delivery.supply, Q, liquid)
    if not pump.covers(Q, p_pump):
        quantity = "operating point (flow [m³/s], pressure [Pa])"
        raise OutOfRange(quantity, (Q, p_pump), "the points of the pump curve", "pump curve")
    exits = tuple(series_flow(branch, p_tool, liquid) for branch in delivery.tool)
    for flow, elements in ((Q, (*delivery.supply, *delivery.holder)), *zip(exits, delivery.tool, strict=True)):
        for element in elements:
            element.check(flow, liquid)
    jets = tuple(branch[-1].jet_speed(flow, liquid) for flow, branch in zip(exits, delivery.tool, strict=True))
    bypass = max(pump.most_flow - Q, 0.0) if pump.displaces else 0.0
    volume = sum(e.volume for part in (delivery.supply, delivery.holder, *delivery.tool) for e in part)
    return OperatingPoint(
        p_pump=p_pump,
        p_holder=p_holder,
        p_tool=p_tool,
        p_tip=jet_pressure(min(jets), liquid.rho) if jets else 0.0,
        Q_pump=Q,
        Q_tool=sum(exits, 0.0),
        Q_exits=exits,
        Q_leak=parallel_flow([(slot,) for slot in delivery.leak], p_tool, liquid),
        Q_bypass=bypass,
        jet_speeds=jets,
        power=hydraulic_power(p_pump, Q + bypass),
        heating=throttle_rise(p_pump, liquid.rho, liquid.c),
        fill_time=volume / Q if Q > 0 else inf,
        limit="dead-headed" if Q == 0 else pump.limit(Q, p_pump),
    )
