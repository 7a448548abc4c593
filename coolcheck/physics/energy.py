"""Cutting power from what a volume of work takes to remove: specific energy, and the handbook power constant.

Both are for checks against each other and for materials whose Kienzle constants are not known.
"""

from coolcheck.physics.tables import between, number, of_range
from coolcheck.physics.valid import not_negative, positive, within


def specific_energy(material: str, HB: float) -> float:
    """Energy to remove a volume of work with a sharp tool, at a chip thickness of 0.25 mm.

    material : carbon steel, alloy steel, stainless steel, aluminium ... as the table names them [word]
    HB : Brinell hardness [HB]
    returns : specific energy U [J/m3]

    Valid: the materials and hardness bands of the table; other chip thickness: `chip_thickness_factor`.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, Table 20.2 (tables/groover_2012_specific_energy.csv).

    >>> round(specific_energy("stainless steel", 200) / 1e9, 3)    # J/mm3
    2.8
    """
    return of_range("groover_2012_specific_energy", "HB_from", "HB_to", HB, "U", material=material) * 1e9


def chip_thickness_factor(h: float) -> float:
    """Correction of the specific energy for a chip thinner or thicker than 0.25 mm.

    h : uncut chip thickness [m]
    returns : factor on the specific energy [-]

    Valid: 0.125 to 1.25 mm.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, Fig. 20.14, read off the curve to 0.03.

    >>> [round(chip_thickness_factor(h), 2) for h in (0.000125, 0.00025, 0.001)]
    [1.3, 1.0, 0.7]
    """
    return between("groover_2012_chip_thickness", "h_mm", h * 1000, "factor")


def energy_wear_factor(state: str) -> float:
    """Correction of the specific energy for wear.

    state : sharp, worn finishing tool or worn roughing tool [word]
    returns : factor on the specific energy [-]

    Valid: tools nearly worn out, or sharp.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 20.4.

    >>> energy_wear_factor("worn roughing tool")
    1.25
    """
    return number("groover_2012_wear", "state", state, "factor")


def cutting_power(U: float, Q: float) -> float:
    """Power at the edge to remove a volume in a second.

    Pc = U Q

    U : specific energy of the work, corrected for chip thickness and wear [J/m3]
    Q : removal rate [m3/s]
    returns : cutting power Pc [W]

    Valid: U above 0, Q 0 and more.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 20.4.

    >>> round(cutting_power(U=0.7e9, Q=2800e-9))
    1960
    """
    return positive("specific energy U [J/m3]", U) * not_negative("removal rate Q [m3/s]", Q)


def motor_power(Pc: float, efficiency: float) -> float:
    """Power the motor must give for a power at the edge.

    Pm = Pc / E

    Pc : cutting power [W]
    efficiency : of the drive, E [-]
    returns : motor power Pm [W]

    Valid: 0.5 <= E <= 1. About 0.90 (Groover); direct belt 0.90, geared head 0.70 to 0.80 (handbook, from memory).
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 20.4.

    >>> round(motor_power(Pc=1960, efficiency=0.85), 1)
    2305.9
    """
    return not_negative("cutting power Pc [W]", Pc) / within("efficiency", efficiency, 0.5, 1.0, "drives of machine tools")


def specific_energy_of_force(Fc: float, b: float, h: float) -> float:
    """Specific energy that a measured cutting force amounts to.

    U = Fc / (b h); the same number is the specific cutting force kc in Pa

    Fc : cutting force [N]
    b : width of cut [m]
    h : uncut chip thickness [m]
    returns : specific energy U [J/m3]

    Valid: b and h above 0.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, Ex. 20.4.

    >>> round(specific_energy_of_force(Fc=1557, b=0.003, h=0.0005) / 1e9, 3)    # J/mm3
    1.038
    """
    return Fc / (positive("width of cut b [m]", b) * positive("chip thickness h [m]", h))


def power_constant(family: str, HB: float) -> float:
    """Power constant of the handbook power method, sharp tool.

    family : plain carbon, 4140 (with 4340, 8640 ...), 4130 (with 8620 ...) or 1330 (with 52100) [word]
    HB : Brinell hardness [HB]
    returns : Kp, the power per removal rate [J/m3]

    Valid: the bands of the table; where two meet, the softer one counts.
    Source: Machinery's Handbook, 31st ed., 2020, Table 1b (tables/machinerys_handbook_31_power_constants.csv).

    >>> round(power_constant("4140", 210) / 1e9, 2)    # kW/(cm3/s)
    1.97
    """
    return of_range("machinerys_handbook_31_power_constants", "HB_from", "HB_to", HB, "Kp", family=family) * 1e9


def feed_factor(f: float) -> float:
    """Feed factor of the handbook power method.

    f : feed per revolution, or per tooth for milling [m]
    returns : C, 1 at 0.30 mm [-]

    Valid: 0.02 to 1.5 mm.
    Source: Machinery's Handbook, 28th ed., Estimating machining power, Table 2, second-hand; straight lines between its entries.

    >>> round(feed_factor(0.0002), 2)
    1.08
    """
    return between("machinerys_handbook_28_feed_factors", "f_mm", f * 1000, "C")


def fitted_feed_factor(f: float) -> float:
    """Feed factor of the handbook power method as a power law.

    C = 0.785 f^-0.1974, f in mm

    f : feed per revolution, or per tooth for milling [m]
    returns : C, within 2.1 % of the table [-]

    Valid: 0.02 to 1.5 mm.
    Source: fitted here to Machinery's Handbook, 28th ed., Table 2.

    >>> round(fitted_feed_factor(0.0002), 3)
    1.079
    """
    mm = within("feed f [m]", f, 0.02e-3, 1.5e-3, "Machinery's Handbook, 28th ed., Table 2") * 1000
    return float(0.785 * mm**-0.1974)


def handbook_wear_factor(work: str) -> tuple[float, float]:
    """Wear factor W of the handbook power method, least and most.

    work : sharp, finish turning, drilling, end milling ... as the table names them [word]
    returns : least and most W [-]

    Valid: the kinds of work of the table.
    Source: Machinery's Handbook, from memory (tables/machinerys_handbook_wear_factors.csv).

    >>> handbook_wear_factor("heavy face milling")
    (1.3, 1.6)
    """
    table = "machinerys_handbook_wear_factors"
    return number(table, "work", work, "least"), number(table, "work", work, "most")


def handbook_power(Kp: float, C: float, Q: float, W: float = 1.0) -> float:
    """Power at the edge by the handbook power method.

    Pc = Kp C Q W

    Kp : power constant of the work [J/m3]
    C : feed factor [-]
    Q : removal rate [m3/s]
    W : wear factor [-]
    returns : cutting power Pc [W]

    Valid: factors above 0, Q 0 and more.
    Source: Machinery's Handbook, 31st ed., 2020, p. 1147.

    >>> round(handbook_power(Kp=1.97e9, C=1.08, Q=1e-6, W=1.3))
    2766
    """
    return positive("Kp [J/m3]", Kp) * positive("feed factor C", C) * not_negative("Q [m3/s]", Q) * positive("wear factor W", W)
