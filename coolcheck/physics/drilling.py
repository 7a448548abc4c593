"""Torque, thrust and power of drilling by handbook, catalogue and shop methods, to set beside each other.

The handbook's printed tables are closed forms; both are here, the tables to check the forms. For the Kienzle torque see
`forces.drill_torque`. The methods spread by about -30 to +10 % around the handbook: see `torque_band`.
"""

from math import sin
from typing import Literal, NamedTuple

from coolcheck.physics.tables import between, number
from coolcheck.physics.valid import not_negative, positive, within

_HANDBOOK = "Machinery's Handbook, 31st ed., p. 1152"
_MM = 1000.0
_INCH = 0.0254
_LBF = 4.4482216152605  # N, exact by definition of the pound and of standard gravity
_STANDARD_CHISEL = 0.18
Form = Literal["SI", "inch"]


class ChiselFactors(NamedTuple):
    """What the chisel edge does to torque (A) and thrust (B on the lips, J its own) [-]."""

    A: float
    B: float
    J: float


class DrillingConstants(NamedTuple):
    """Work material constant Kd for torque and for thrust [-]."""

    torque: float
    thrust: float


def chisel_factors(chisel: float = _STANDARD_CHISEL) -> ChiselFactors:
    """Chisel-edge factors of drilling torque and thrust, from the closed forms behind the handbook's table.

    A = (1 - c^2)/(1 + c)^0.2 + 3.2 c^1.8; B = (1 - c)/(1 + c)^0.2 + 2.2 c^0.8; J = c^2

    chisel : length of the chisel edge over the diameter, c: 0.18 for a standard drill, 0.03 for a split point [-]
    returns : A, B and J [-]

    Valid: 0.03 to 0.40.
    Source: M. C. Shaw and C. J. Oxford, 1957, in Fundamentals of Tool Design, 6th ed., SME, p. 83; agrees with Machinery's
        Handbook, 31st ed., Table 7, to 0.9 % but for A at c 0.15; J is printed there coarsely (0.030 for 0.0324).

    >>> chisel = chisel_factors(0.18)
    >>> round(chisel.A, 3), round(chisel.B, 3), round(chisel.J, 4)
    (1.082, 1.351, 0.0324)
    """
    c = within("chisel edge over diameter", chisel, 0.03, 0.40, _HANDBOOK)
    A = (1 - c * c) / (1 + c) ** 0.2 + 3.2 * c**1.8
    B = (1 - c) / (1 + c) ** 0.2 + 2.2 * c**0.8
    return ChiselFactors(A, B, c * c)


def printed_chisel_factors(chisel: float = _STANDARD_CHISEL) -> ChiselFactors:
    """Chisel-edge factors of drilling torque and thrust, from the handbook's table.

    chisel : length of the chisel edge over the diameter, c [-]
    returns : A, B and J as printed, straight lines between the entries [-]

    Valid: 0.03 to 0.40.
    Source: Machinery's Handbook, 31st ed., 2020, p. 1152-1153, Table 7.

    >>> printed_chisel_factors(0.18)
    ChiselFactors(A=1.085, B=1.355, J=0.03)
    """
    table = "machinerys_handbook_31_chisel_factors"
    return ChiselFactors(*(between(table, "c_d", chisel, factor) for factor in ("A", "B", "J")))


def drilling_constants(material: str) -> DrillingConstants:
    """Work material constants of the handbook method.

    material : as the table names it, such as "steel 200 HB" [word]
    returns : Kd for torque and for thrust [-]

    Valid: the materials of the table.
    Source: Machinery's Handbook, Table 6 of the chapter, from memory; a few also seen second-hand.

    >>> drilling_constants("austenitic stainless 316")
    DrillingConstants(torque=24000.0, thrust=35000.0)
    """
    table = "machinerys_handbook_drilling_constants"
    return DrillingConstants(number(table, "material", material, "torque"), number(table, "material", material, "thrust"))


def handbook_torque(Kd: float, f: float, DC: float, A: float, W: float = 1.0, form: Form = "SI") -> float:
    """Drilling torque by the handbook method.

    M = Kd f^0.8 D^1.8 A W / 40000 (f, D in mm), or without the divisor in inch and inch-pounds

    Kd : work material constant for torque [-]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    A : chisel-edge factor [-]
    W : wear factor, 1.3 for normal drilling [-]
    form : which of the two printed equations; they differ by up to 0.6 % [word]
    returns : torque M [N·m]

    Valid: f 0.02 to 1.5 mm, DC 1 to 100 mm; two-lip twist drills in the solid.
    Source: Machinery's Handbook, 31st ed., 2020, p. 1152; Ff = f^0.8 and FM = D^1.8 are the closed forms of its tables.

    >>> round(handbook_torque(Kd=24000, f=0.0002, DC=0.010, A=printed_chisel_factors(0.18).A), 2)
    11.33
    """
    feed, diameter = _drill(f, DC)
    constant = positive("Kd", Kd) * positive("A", A) * positive("W", W)
    if form == "inch":
        return constant * float((feed / 25.4) ** 0.8 * (diameter / 25.4) ** 1.8) * _LBF * _INCH
    return constant * float(feed**0.8 * diameter**1.8) / 40_000


def handbook_thrust(Kd: float, f: float, DC: float, B: float, J: float, W: float = 1.0, form: Form = "SI") -> float:
    """Drilling thrust by the handbook method: the lips and the chisel edge.

    T = 0.05 Kd f^0.8 D^0.8 B W + 0.007 Kd D^2 J W (f, D in mm); in inch and pounds with 2 and 1 in place of 0.05 and 0.007

    Kd : work material constant for thrust [-]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    B : chisel-edge factor of the lips [-]
    J : chisel-edge factor of the chisel itself [-]
    W : wear factor, 1.3 for normal drilling [-]
    form : which of the two printed equations; they differ by up to 1.5 % [word]
    returns : thrust T [N]

    Valid: f 0.02 to 1.5 mm, DC 1 to 100 mm; two-lip twist drills in the solid.
    Source: Machinery's Handbook, 31st ed., 2020, p. 1152; Ff = f^0.8 and FT = D^0.8 are the closed forms of its tables.

    >>> _, B, J = printed_chisel_factors(0.18)
    >>> round(handbook_thrust(Kd=24000, f=0.0002, DC=0.010, B=B, J=J))
    3335
    """
    feed, diameter = _drill(f, DC)
    for name, factor in (("Kd", Kd), ("B", B), ("W", W)):
        positive(name, factor)
    not_negative("J", J)
    if form == "inch":
        feed, diameter = feed / 25.4, diameter / 25.4
        return (2 * float((feed * diameter) ** 0.8) * B + diameter**2 * J) * Kd * W * _LBF
    return (0.05 * float((feed * diameter) ** 0.8) * B + 0.007 * diameter**2 * J) * Kd * W


def torque_band(M: float) -> tuple[float, float]:
    """How far other methods stray from a handbook torque: the error band to show beside it.

    M : torque by `handbook_torque` [N·m]
    returns : least and most torque, -30 % and +10 % [N·m]

    Valid: plain and medium-carbon steel, drill 10 mm, feed 0.2 to 0.3 mm, where they were compared; a rough guide elsewhere.
    Source: comparison of five methods made here.

    >>> [round(m, 2) for m in torque_band(11.33)]
    [7.93, 12.46]
    """
    positive("torque M [N·m]", M)
    return 0.7 * M, 1.1 * M


def catalogue_drilling_force(group: int) -> float:
    """Specific cutting force for the catalogue drilling formulas.

    group : VDI 3323 group, 1 to 41 [-]
    returns : kc for drilling [Pa]

    Valid: the groups of the table.
    Source: a cutting tool maker's drilling catalogue, 2017, p. 601 (tables/drilling_catalogue_2017_kc.csv).

    >>> catalogue_drilling_force(4) / 1e6
    2200.0
    """
    return number("drilling_catalogue_2017_kc", "group", str(group), "kc") * 1e6


def catalogue_torque(kc: float, f: float, DC: float, KAPR: float) -> float:
    """Torque of a drill with two cutting edges, by a catalogue.

    M = f kc D^2 sin(kappa) / 8

    kc : specific cutting force for drilling [Pa]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    KAPR : cutting edge angle, half the point angle [rad]
    returns : torque M [N·m]

    Valid: two cutting edges in the solid.
    Source: a cutting tool maker's drilling catalogue, 2017, p. 601.

    >>> from math import radians
    >>> round(catalogue_torque(kc=2200e6, f=0.00015, DC=0.022, KAPR=radians(90)), 1)
    20.0
    """
    leaning = sin(within("KAPR [rad]", KAPR, 0.05, 1.5708, "a drill"))
    return positive("kc [Pa]", kc) * positive("feed f [m]", f) * positive("diameter DC [m]", DC) ** 2 * leaning / 8


def catalogue_thrust(kc: float, f: float, DC: float, KAPR: float, k: float = 0.63) -> float:
    """Thrust of a drill with two cutting edges, by a catalogue.

    Ff = k D/2 f kc sin(kappa)

    kc : specific cutting force for drilling [Pa]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    KAPR : cutting edge angle, half the point angle [rad]
    k : 0.63 in one catalogue, 0.7 in another; times 0.85 for a thinned hardmetal point [-]
    returns : thrust Ff [N]

    Valid: two cutting edges in the solid.
    Source: a cutting tool maker's drilling catalogue, 2017, p. 601; 0.7 second-hand from another maker.

    >>> from math import radians
    >>> round(catalogue_thrust(kc=2200e6, f=0.00015, DC=0.022, KAPR=radians(90)), 1)
    2286.9
    """
    leaning = sin(within("KAPR [rad]", KAPR, 0.05, 1.5708, "a drill"))
    return positive("k", k) * positive("diameter DC [m]", DC) / 2 * positive("feed f [m]", f) * positive("kc [Pa]", kc) * leaning


def empirical_constant(material: str) -> float:
    """Material constant K of the empirical drilling formulas.

    material : as the table names it [word]
    returns : K, 1 for cast iron of 177 HB [-]

    Valid: the materials of the table.
    Source: a cutting tool maker's catalogue, 2020-21, p. 1656 (tables/drilling_catalogue_2020_materials.csv).

    >>> empirical_constant("SCM440 269 HB")
    2.41
    """
    return number("drilling_catalogue_2020_materials", "material", material, "K")


def empirical_torque(K: float, f: float, DC: float) -> float:
    """Torque of an HSS twist drill, by an empirical formula.

    M = K D^2 (0.630 + 16.84 f) / 100, D and f in mm

    K : material constant [-]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    returns : torque M [N·m]

    Valid: f 0.02 to 1.5 mm, DC 1 to 100 mm; HSS twist drills.
    Source: a cutting tool maker's catalogue, 2020-21, p. 1656.

    >>> round(empirical_torque(K=2.22, f=0.0002, DC=0.010), 3)
    8.876
    """
    feed, diameter = _drill(f, DC)
    return positive("K", K) * diameter**2 * (0.630 + 16.84 * feed) / 100


def empirical_thrust(K: float, f: float, DC: float) -> float:
    """Thrust of an HSS twist drill, by an empirical formula.

    T = 570 K D f^0.85, D and f in mm

    K : material constant [-]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    returns : thrust T [N]

    Valid: f 0.02 to 1.5 mm, DC 1 to 100 mm; HSS twist drills.
    Source: a cutting tool maker's catalogue, 2020-21, p. 1656.

    >>> round(empirical_thrust(K=2.22, f=0.0002, DC=0.010))
    3222
    """
    feed, diameter = _drill(f, DC)
    return 570 * positive("K", K) * diameter * float(feed**0.85)


def empirical_power(K: float, f: float, DC: float, n: float) -> float:
    """Cutting power of an HSS twist drill, by an empirical formula.

    Pc = K D^2 n (0.647 + 17.29 f) 1e-6 kW, D and f in mm, n in 1/min

    K : material constant [-]
    f : feed per revolution [m]
    DC : cutting diameter [m]
    n : spindle speed [1/s]
    returns : cutting power Pc; 2 % below the power of `empirical_torque` [W]

    Valid: f 0.02 to 1.5 mm, DC 1 to 100 mm; HSS twist drills.
    Source: a cutting tool maker's catalogue, 2020-21, p. 1656.

    >>> round(empirical_power(K=2.22, f=0.0002, DC=0.010, n=800/60))
    729
    """
    feed, diameter = _drill(f, DC)
    return positive("K", K) * diameter**2 * 60 * not_negative("n [1/s]", n) * (0.647 + 17.29 * feed) * 1e-3


def shop_thrust(material: str, DC: float) -> float:
    """Thrust of an HSS drill at the feeds of a handbook, by a drill shop's table.

    material : low-carbon steel, stainless steel, aluminium or cast iron [word]
    DC : cutting diameter [m]
    returns : thrust, straight lines between the entries [N]

    Valid: DC 1/16 to 1 inch.
    Source: a drill-shop table quoted in a public repository, second-hand (tables/drill_shop_thrust.csv).

    >>> round(shop_thrust("low-carbon steel", 0.0127))
    3114
    """
    return between("drill_shop_thrust", "DC_in", DC / _INCH, material) * _LBF


def _drill(f: float, DC: float) -> tuple[float, float]:
    feed = within("feed f [m]", f, 0.02e-3, 1.5e-3, "drilling formulas") * _MM
    return feed, within("diameter DC [m]", DC, 0.999e-3, 0.1, "drilling formulas") * _MM
