"""Cutting force, torque and power by the Kienzle equation, with its corrections, for turning, milling and drilling.

The constants kc1.1 and mc come from a material record or from one of two tables that must not be mixed.
"""

from math import pi, sin
from typing import NamedTuple

from coolcheck.physics.cutting import mean_chip_thickness
from coolcheck.physics.tables import number
from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

_UNIT = 0.001  # h1: the chip thickness at which kc is kc1.1 [m]
_DT = "Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory"


class Kienzle(NamedTuple):
    """Constants of the Kienzle equation: kc1.1 [Pa] and mc [-]."""

    kc1_1: float
    mc: float


def specific_cutting_force(kc1_1: float, mc: float, h: float, h_least: float = 5e-5, h_most: float = 2.5e-3) -> float:
    """Specific cutting force of a chip thickness, by the Kienzle equation.

    kc = kc1.1 (h / h1)^-mc, with h1 = 1 mm

    kc1_1 : specific cutting force at b = h = 1 mm [Pa]
    mc : how fast the specific force rises as the chip thins [-]
    h : undeformed chip thickness [m]
    h_least : smallest chip thickness of the fit [m]
    h_most : largest chip thickness of the fit [m]
    returns : specific cutting force kc [Pa]

    Valid: h_least <= h <= h_most, the range the constants were fitted to (0.05 to 2.5 mm from memory, unless the material
        record says better); 0 <= mc < 1. A thinner chip: see `clipped_chip_thickness`.
    Source: O. Kienzle's equation, after Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> round(specific_cutting_force(kc1_1=2220e6, mc=0.14, h=0.0001) / 1e6, 1)    # N/mm2
    3064.5
    """
    positive("kc1.1 [Pa]", kc1_1)
    within("mc", mc, 0, 0.999, "the Kienzle equation")
    within("chip thickness h [m]", h, h_least, h_most, "the range kc1.1 and mc were fitted to")
    return float(kc1_1 * (h / _UNIT) ** -mc)


def clipped_chip_thickness(h: float, h_least: float = 5e-5) -> float:
    """Chip thickness to put into the Kienzle equation: thin chips are taken as thick as the thinnest chip of the fit.

    Below it the edge rubs rather than cuts and the power law climbs without end; so kc stays at its highest known value.

    h : undeformed chip thickness [m]
    h_least : smallest chip thickness of the fit [m]
    returns : the larger of both [m]

    Valid: h 0 and more; 0.02 to 0.05 mm are in use for h_least.
    Source: common practice, from memory.

    >>> clipped_chip_thickness(0.00001)
    5e-05
    """
    return max(not_negative("chip thickness h [m]", h), positive("smallest chip thickness [m]", h_least))


def cutting_force(kc1_1: float, mc: float, b: float, h: float) -> float:
    """Main cutting force of one edge, by the Kienzle equation.

    Fc = kc1.1 b h1 (h / h1)^(1 - mc), with h1 = 1 mm

    kc1_1 : specific cutting force at b = h = 1 mm [Pa]
    mc : how fast the specific force rises as the chip thins [-]
    b : width of cut [m]
    h : undeformed chip thickness [m]
    returns : main cutting force Fc [N]

    Valid: as `specific_cutting_force`, b above 0.
    Source: O. Kienzle's equation, after Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> round(cutting_force(kc1_1=2.0e9, mc=0.3, b=0.001, h=0.001), 6)    # the definition of kc1.1
    2000.0
    """
    return specific_cutting_force(kc1_1, mc, h) * positive("width of cut b [m]", b) * h


def kienzle_of_group(group: int, later: bool = False) -> Kienzle:
    """Kienzle constants of a material group.

    group : VDI 3323 group, 1 to 41 [-]
    later : the 2022 edition where it differs (groups 36, 37) instead of that of 2017 [truth]
    returns : kc1.1 [Pa] and mc [-]

    Valid: groups 1 to 28 and 31 to 37; for 38 to 41 no mc is printed.
    Source: a cutting tool maker's turning catalogue, 2017, p. 558, and boring catalogue, 2022, p. 111.

    >>> kienzle_of_group(14)
    Kienzle(kc1_1=2150000000.0, mc=0.2)
    >>> kienzle_of_group(37, later=True)
    Kienzle(kc1_1=1245000000.0, mc=0.24)
    """
    suffix = "_later" if later and group in (36, 37) else ""
    table = "vdi3323_kienzle"
    mc = number(table, "group", str(group), "mc" + suffix)
    return Kienzle(number(table, "group", str(group), "kc1_1" + suffix) * 1e6, mc)


def kienzle_of_steel(material: str) -> Kienzle:
    """Kienzle constants of a named steel.

    material : name as in EN 10027 (C45E, 42CrMo4) [word]
    returns : kc1.1 [Pa] and mc [-]

    Valid: the steels of the table; not to be mixed with the constants of the material groups.
    Source: Kienzle and Victor in Dietrich/Tschaetsch, Praxis der Zerspantechnik, Table 2.1; all but C45E from memory.

    >>> kienzle_of_steel("C45E")
    Kienzle(kc1_1=2220000000.0, mc=0.14)
    """
    table = "kienzle_victor_steels"
    return Kienzle(number(table, "material", material, "kc1_1") * 1e6, number(table, "material", material, "mc"))


def rake_factor(rake: float, cast_iron: bool = False) -> float:
    """Correction of the Kienzle force for the rake angle.

    K = 1 - 0.015 (gamma - gamma0), angles in degrees, gamma0 = 6 for steel and 2 for cast iron

    rake : rake angle gamma [rad]
    cast_iron : the work is cast iron [truth]
    returns : factor on the force [-]

    Valid: rake -20 to 30 degrees.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> from math import radians
    >>> round(rake_factor(radians(16)), 3)
    0.85
    """
    degrees = within("rake angle [rad]", rake, -0.3491, 0.5236, _DT) * 180 / pi
    return 1 - 0.015 * (degrees - (2.0 if cast_iron else 6.0))


def speed_factor(vc: float) -> float:
    """Correction of the Kienzle force for the cutting speed.

    K = 2.023 / vc^0.153 below 100 m/min, 1.380 / vc^0.07 above, vc in m/min

    vc : cutting speed [m/s]
    returns : factor on the force, 1 at 100 m/min [-]

    Valid: 20 to 600 m/min.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> [round(speed_factor(vc / 60), 3) for vc in (20, 30, 50, 100, 200)]
    [1.279, 1.202, 1.112, 1.0, 0.952]
    """
    m_min = 60 * within("cutting speed vc [m/s]", vc, 20 / 60, 600 / 60, _DT)
    return float(2.023 / m_min**0.153 if m_min < 100 else 1.380 / m_min**0.07)


def wear_factor(process: str) -> float:
    """Correction of the Kienzle force for a worn edge.

    process : turning, boring, milling, drilling or parting [word]
    returns : factor on the force of a sharp edge [-]

    Valid: edges near the end of their usual life; a blunt turning tool reaches 1.5.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory (tables/tschaetsch_corrections.csv).

    >>> wear_factor("drilling")
    1.3
    """
    return number("tschaetsch_corrections", "process", process, "wear")


def compression_factor(process: str) -> float:
    """Correction of the Kienzle force for how the process squeezes the chip, against turning the outside.

    process : turning, boring, milling, drilling or parting [word]
    returns : factor on the force [-]

    Valid: the five processes.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory (tables/tschaetsch_corrections.csv).

    >>> compression_factor("drilling")
    1.2
    """
    return number("tschaetsch_corrections", "process", process, "compression")


def turning_force(kc1_1: float, mc: float, ap: float, f: float, KAPR: float, factors: float = 1.0) -> float:
    """Main cutting force of turning.

    h = f sin(kappa), b = ap / sin(kappa), Fc = kc b h K

    kc1_1 : specific cutting force at b = h = 1 mm [Pa]
    mc : how fast the specific force rises as the chip thins [-]
    ap : depth of cut [m]
    f : feed per revolution [m]
    KAPR : cutting edge angle [rad]
    factors : product of the corrections that apply [-]
    returns : main cutting force Fc [N]

    Valid: as `specific_cutting_force`; ap well above the corner radius.
    Source: O. Kienzle's equation, after Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> from math import radians
    >>> round(turning_force(2220e6, 0.14, ap=0.003, f=0.0003, KAPR=radians(95)), 1)
    2366.1
    """
    leaning = sin(within("cutting edge angle KAPR [rad]", KAPR, 0.05, pi - 0.05, "turning"))
    b = positive("depth of cut ap [m]", ap) / leaning
    return cutting_force(kc1_1, mc, b, positive("feed f [m]", f) * leaning) * positive("factors", factors)


def milling_power(
    kc1_1: float, mc: float, ap: float, ae: float, vf: float, fz: float, DC: float, KAPR: float = pi / 2, factors: float = 1.0
) -> float:
    """Cutting power of milling with a known engagement.

    Pc = kc(hm) ap ae vf K, with the mean chip thickness hm of the contact angle

    kc1_1 : specific cutting force at b = h = 1 mm [Pa]
    mc : how fast the specific force rises as the chip thins [-]
    ap : depth of cut along the axis [m]
    ae : width of cut across the feed [m]
    vf : feed speed [m/s]
    fz : feed per tooth [m]
    DC : cutting diameter [m]
    KAPR : cutting edge angle, 90 deg for straight flanks [rad]
    factors : product of the corrections that apply [-]
    returns : mean cutting power Pc at the edge [W]

    Valid: as `specific_cutting_force` for hm; 0 < ae <= DC, engaged from the side.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> round(milling_power(2220e6, 0.14, ap=0.060, ae=0.005, vf=0.34815/60, fz=0.00025, DC=0.080))
    5706
    """
    kc = specific_cutting_force(kc1_1, mc, mean_chip_thickness(fz, DC, ae, KAPR))
    return kc * positive("ap [m]", ap) * ae * not_negative("vf [m/s]", vf) * positive("factors", factors)


def drill_torque(kc1_1: float, mc: float, DC: float, f: float, SIG: float, factors: float = 1.0) -> float:
    """Torque of a two-lip drill in the solid, by the Kienzle equation.

    M = f kc D^2 / 8, kc at the chip thickness h = (f/2) sin(SIG/2)

    kc1_1 : specific cutting force at b = h = 1 mm [Pa]
    mc : how fast the specific force rises as the chip thins [-]
    DC : cutting diameter [m]
    f : feed per revolution [m]
    SIG : point angle [rad]
    factors : product of the corrections that apply; drilling usually takes compression and wear [-]
    returns : torque M [N·m]

    Valid: as `specific_cutting_force` for h; two lips, no chisel edge, no rubbing margins: sharp drills, low by design.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> from math import radians
    >>> round(drill_torque(2220e6, 0.14, DC=0.010, f=0.0002, SIG=radians(118)), 3)
    7.828
    """
    kc = specific_cutting_force(kc1_1, mc, drill_chip_thickness(f, SIG))
    return f * kc * positive("diameter DC [m]", DC) ** 2 / 8 * positive("factors", factors)


def drill_chip_thickness(f: float, SIG: float) -> float:
    """Chip thickness at each lip of a two-lip drill: half the feed, and thinner for a sharper point.

    h = (f/2) sin(SIG/2)

    f : feed per revolution [m]
    SIG : point angle [rad]
    returns : chip thickness h [m]

    Valid: two lips, 0 < SIG <= pi.
    Source: geometry; Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> from math import radians
    >>> round(drill_chip_thickness(f=0.0002, SIG=radians(118)) * 1000, 5)    # mm
    0.08572
    """
    within("point angle SIG [rad]", SIG, 0.1, pi + 1e-9, "a two-lip drill")
    return positive("feed f [m]", f) / 2 * sin(SIG / 2)


def power_of_torque(M: float, n: float) -> float:
    """Power of a torque at a spindle speed.

    P = 2 pi n M

    M : torque [N·m]
    n : spindle speed [1/s]
    returns : power P [W]

    Valid: always.
    Source: mechanics; in hp, in.lbf and rpm it is the familiar M N / 63,025.

    >>> round(power_of_torque(M=7.828, n=800/60))
    656
    """
    return 2 * pi * not_negative("spindle speed n [1/s]", n) * M


def torque_of_power(P: float, n: float) -> float:
    """Torque of a power at a spindle speed.

    M = P / (2 pi n)

    P : power [W]
    n : spindle speed [1/s]
    returns : torque M [N·m]

    Valid: n above 0.
    Source: mechanics.

    >>> round(torque_of_power(P=104.72, n=800/60), 3)
    1.25
    """
    return P / (2 * pi * positive("spindle speed n [1/s]", n))


def force_of_power(P: float, vc: float) -> float:
    """Cutting force of a cutting power.

    Fc = P / vc

    P : cutting power [W]
    vc : cutting speed [m/s]
    returns : main cutting force Fc [N]

    Valid: vc above 0.
    Source: mechanics.

    >>> round(force_of_power(P=2595, vc=100/60))
    1557
    """
    if P < 0:
        raise OutOfRange("cutting power [W]", P, "values of zero and more", "by its meaning")
    return P / positive("cutting speed vc [m/s]", vc)
