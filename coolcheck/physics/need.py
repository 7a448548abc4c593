"""What an edge needs of its fluid, each answer with the guidance that gave it. The tool's own record always comes first."""

from dataclasses import dataclass
from itertools import pairwise
from math import exp, inf, log, pi

from coolcheck.physics.band import Band
from coolcheck.physics.fluid_properties import Liquid
from coolcheck.physics.heat import flow_for_heat
from coolcheck.physics.orifices import BAR, HORSEPOWER, LITRE_PER_MINUTE, US_GALLON_PER_MINUTE
from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

SCALE = {"pressure": BAR, "flow": LITRE_PER_MINUTE}
OUTSIDE_REACH = Band(2.0, 2.5, 3.0, "trade page on spindle-through supply: fluid from outside struggles beyond 2 to 3 x D")


@dataclass(frozen=True, slots=True)
class Guidance:
    """A need as one guidance states it: at least `low`, at most `high` where it says so.

    quantity : pressure [Pa] | flow [m³/s]
    low, high : limits, infinite where open [Pa or m³/s]
    says, source : in words, and who
    is_read : the page was read; else it is from memory, and only good for a plausibility check

    Valid: as said by its source.
    Source: its own.

    >>> guidance("twist drill")[0].says
    '300 to 600 psi suit most twist drills'
    """

    quantity: str
    low: float
    high: float
    says: str
    source: str
    is_read: bool


def guidance(subject: str) -> tuple[Guidance, ...]:
    """All published guidance on a tool or a mode of supply.

    subject : twist drill | gun drill | through_tool | flood | jet | mist | high pressure [-]
    returns : one entry for each statement [Pa or m³/s]

    Valid: for plausibility; no statement grades by diameter but the chart of gun drills (`gun_drill_chart`).
    Source: tables/fluid_guidance.csv, each row with its own.

    >>> [round(entry.low / 1e5) for entry in guidance("gun drill")]                  # bar
    [69]
    """
    rows = [row for row in table("fluid_guidance") if row["for"] == subject]
    if not rows:
        subjects = sorted({row["for"] for row in table("fluid_guidance")})
        raise OutOfRange("guidance wanted for", subject, ", ".join(subjects), "tables/fluid_guidance.csv")
    return tuple(_guidance(row) for row in rows)


def _guidance(row: dict[str, str]) -> Guidance:
    scale = SCALE[row["quantity"]]
    high = float(row["high"]) * scale if row["high"] else inf
    is_read = row["mark"] == "read"
    return Guidance(row["quantity"], float(row["low"]) * scale, high, row["says"], row["source"], is_read)


def gun_drill_chart(DC: float) -> tuple[Guidance, Guidance]:
    """Pressure and flow of a gun drill of a diameter, between the rows of a chart.

    Linear between the rows in the logarithms: the needed pressure falls, the needed flow rises with the diameter.

    DC : cutting diameter [m]
    returns : pressure [Pa] and flow [m³/s]

    Valid: 2 to 30 mm, oil; from memory, low confidence: plausibility only, never a threshold without a record.
    Source: order of magnitude of makers' charts, from memory (tables/gun_drill_chart.csv).

    >>> pressure, flow = gun_drill_chart(0.010)
    >>> round(pressure.low / 1e5), round(flow.high * 60000)                            # bar, l/min
    (40, 25)
    """
    within("diameter of the gun drill [m]", DC, 0.002, 0.030, "chart of gun drills, from memory")
    source = "makers' charts of gun drills, from memory, low confidence"
    return (
        Guidance("pressure", _chart(DC, "p_low") * BAR, _chart(DC, "p_high") * BAR, "gun drill chart", source, False),
        Guidance(
            "flow",
            _chart(DC, "Q_low") * LITRE_PER_MINUTE,
            _chart(DC, "Q_high") * LITRE_PER_MINUTE,
            "gun drill chart",
            source,
            False,
        ),
    )


def _chart(DC: float, column: str) -> float:
    points = [(log(float(row["DC"]) * 1e-3), log(float(row[column]))) for row in table("gun_drill_chart")]
    x = log(DC)
    # the first piece also serves the 2 to 2.5 mm that its row stands for
    (x1, y1), (x2, y2) = next(piece for piece in pairwise(points) if x <= piece[1][0])
    return exp(y1 + (y2 - y1) * (x - x1) / (x2 - x1))


def delivery_depth(DC: float, depth: float) -> tuple[str, str]:
    """From where a drill must be fed at a depth: "outside", "either" or "inside", and who says so.

    DC : cutting diameter [m]
    depth : depth of the hole [m]
    returns : the word, and its source [-]

    Valid: drills of 3 mm and less: up to 9 x D and from 12 to 16 x D (between and beyond, the source is silent).
        Larger drills: any depth; 2 to 3 x D is where opinions part, there "either".
    Source: A. Richter, Safety in small numbers, Cutting Tool Engineering, August 2023 (small drills);
        a trade page on spindle-through supply (larger ones).

    >>> delivery_depth(DC=0.0085, depth=0.040)[0], delivery_depth(DC=0.002, depth=0.012)[0]
    ('inside', 'either')
    """
    ratio = not_negative("depth of the hole [m]", depth) / positive("cutting diameter [m]", DC)
    if DC <= 0.003:
        source = "A. Richter, Cutting Tool Engineering, August 2023"
        if 9 < ratio < 12 or ratio > 16:
            raise OutOfRange("depth over diameter of a small drill", ratio, "0 .. 9 and 12 .. 16", source)
        return ("either" if ratio <= 9 else "inside"), source
    if ratio < OUTSIDE_REACH.low:
        return "outside", OUTSIDE_REACH.source
    return ("either" if ratio <= OUTSIDE_REACH.high else "inside"), OUTSIDE_REACH.source


def cooling_flow(P: float, liquid: Liquid, least_rise: float = 5.0, most_rise: float = 10.0) -> Guidance:
    """Flow that carries the whole cutting power at a modest rise of temperature: a physical floor, not a recommendation.

    P : cutting power; all of it is taken to reach the fluid, the safe bound [W]
    liquid : what flows [SI]
    least_rise : rise that asks for the greater flow [K]
    most_rise : rise that asks for the lesser flow [K]
    returns : least and greater flow [m³/s]

    Valid: heat balance; says nothing about reaching the edge or carrying chips.
    Source: heat balance; rises of 5 and 10 K are common practice, no source.

    >>> from coolcheck.physics.fluid_properties import water
    >>> need = cooling_flow(1000.0, water(293.15))
    >>> round(need.low * 60000, 2), round(need.high * 60000, 2)                        # l/min
    (1.44, 2.87)
    """
    low, high = (flow_for_heat(P, rise, liquid.rho, liquid.c) for rise in (most_rise, least_rise))
    says = f"heat balance: {P / 1000:.3g} kW at a rise of {least_rise:g} to {most_rise:g} K"
    return Guidance("flow", low, high, says, "heat balance; allowed rise is common practice, no source", True)


def flow_per_power(P: float) -> Guidance:
    """Flow by a rule of the trade for high-pressure drilling: half a US gallon a minute for each horsepower.

    P : cutting power [W]
    returns : flow [m³/s]

    Valid: plausibility only. It agrees with a heat balance at a rise of some 5.7 K.
    Source: trade rule, from memory, origin not traced.

    >>> round(flow_per_power(745.7).low * 60000, 2)                                    # l/min
    1.89
    """
    flow = 0.5 * US_GALLON_PER_MINUTE * P / HORSEPOWER
    return Guidance("flow", flow, inf, "half a US gallon a minute for each horsepower", "trade rule, from memory", False)


def chip_flow(DC: float, vf: float) -> float:
    """Solid volume of chips that a drill makes in a time.

    pi/4 · DC² · vf

    DC : cutting diameter [m]
    vf : feed speed [m/s]
    returns : volume flow of solid metal [m³/s]

    Valid: full hole.
    Source: geometry.

    >>> round(chip_flow(DC=0.0085, vf=0.6 / 60) * 60000, 3)                            # l/min
    0.034
    """
    return pi / 4 * DC * DC * vf


def loose_chip_flow(solid: float, form: str) -> Band:
    """Room that chips take once they are loose.

    solid : volume flow of solid metal [m³/s]
    form : short or tangled [-]
    returns : volume flow of loose chips, without an upper end for tangled ones [m³/s]

    Valid: short chips 3 to 10 times the solid volume, tangled ones 50 times and more. No published speed of fluid that is
        needed to carry chips was found, so no need is drawn from this.
    Source: from memory.

    >>> round(loose_chip_flow(0.034, "short").high, 2)
    0.34
    """
    bulk = {"short": (3.0, 6.0, 10.0), "tangled": (50.0, 50.0, inf)}
    if form not in bulk:
        raise OutOfRange("form of the chips", form, "short, tangled", "bulk of chips, from memory")
    low, likely, high = bulk[form]
    return Band(low, likely, high, "bulk of chips, from memory").scaled(positive("solid chip flow [m³/s]", solid))


def channel_diameter_estimate(DC: float) -> Band:
    """Diameter of the two helical fluid channels of a drill whose record is silent.

    0.10 to 0.15 · DC

    DC : cutting diameter [m]
    returns : diameter of one channel [m]

    Valid: two-hole hardmetal drills of 6 to 20 mm; with three holes less. Call it an estimate wherever it is used.
    Source: blanks of two-hole helical hardmetal rods, from memory, low confidence.

    >>> round(channel_diameter_estimate(0.0083).low * 1e3, 2)
    0.83
    """
    within("cutting diameter [m]", DC, 0.006, 0.0205, "two-hole rods, from memory")
    return Band(0.10, 0.125, 0.15, "two-hole helical hardmetal rods, from memory, low confidence").scaled(DC)
