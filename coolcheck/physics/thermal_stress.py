"""Stress in a hot edge when fluid comes onto it, against what the cutting material bears. Screening estimates, said so.

Cracks from one quench are rare in hardmetal; they grow over many cycles. So a ratio below 1 is no acquittal: count cycles too.
"""

from math import exp, isinf

from coolcheck.physics.band import Band
from coolcheck.physics.conduction import biot, surface_excess
from coolcheck.physics.cutting_materials import SOURCE, CuttingMaterial, cutting_materials
from coolcheck.physics.valid import not_negative, positive, within

MEASURED_OVER_MODEL = 2.0  # alumina breaks at about 210 K, R is 100 K: J. Mater. Sci. 29 (1994) 2115, abstract


def stress_factor(Bi: float) -> float:
    """Share of the full restrained stress that a plate really sees when it is quenched.

    psi = 1 / (1.5 + 3.25/Bi - 0.5 · exp(-16/Bi))

    Bi : Biot number with half the thickness of the plate [-]
    returns : stress factor psi [-]

    Valid: flat plate quenched from both sides, Bi >= 0; 1 as Bi grows without limit.
    Source: S. S. Manson, in W. D. Kingery, J. Am. Ceram. Soc. 38 (1955) 3; formula from memory.

    >>> round(stress_factor(1.0), 4), round(stress_factor(10.0), 4)
    (0.2105, 0.58)
    """
    if Bi == 0:
        return 0.0
    if isinf(Bi):
        return 1.0
    return 1 / (1.5 + 3.25 / positive("Biot number", Bi) - 0.5 * exp(-16 / Bi))


def restrained_stress(E: float, alpha: float, nu: float, dT: float) -> float:
    """Stress in a surface that is cooled at once while the body holds it.

    sigma = E · alpha · dT / (1 - nu)

    E : Young's modulus [Pa]
    alpha : thermal expansion [1/K]
    nu : Poisson's ratio [-]
    dT : how much colder the surface is than the body [K]
    returns : stress, tension above zero [Pa]

    Valid: elastic, held in two directions; an upper bound for a thin hot spot.
    Source: theory of elasticity, as in W. D. Kingery, J. Am. Ceram. Soc. 38 (1955) 3.

    >>> round(restrained_stress(E=620e9, alpha=5.2e-6, nu=0.22, dT=100.0) / 1e6)
    413
    """
    return E * alpha * dT / (1 - within("Poisson's ratio", nu, 0.0, 0.49, "elastic solids"))


def quench_stress(material: CuttingMaterial, dT: float, h: float, half_thickness: float) -> float:
    """Greatest stress in a plate of the material whose surfaces meet a fluid.

    sigma = psi(h · half thickness / k) · E · alpha · dT / (1 - nu)

    material : the grade [SI]
    dT : temperature of the edge above that of the fluid [K]
    h : heat transfer coefficient [W/(m²·K)]
    half_thickness : half the thickness of the insert or edge [m]
    returns : stress [Pa]

    Valid: a plate that was warm all through; a thin hot spot sees less. Screening estimate.
    Source: `stress_factor`, `restrained_stress`.

    >>> hardmetal = cutting_materials("hardmetal")[0]
    >>> round(quench_stress(hardmetal, dT=760.0, h=5000.0, half_thickness=2.38e-3) / 1e6)
    120
    """
    not_negative("quench [K]", dT)
    psi = stress_factor(biot(h, half_thickness, material.k))
    return psi * restrained_stress(material.E, material.alpha, material.nu, dT)


def surface_quench_stress(material: CuttingMaterial, dT: float, h: float, t: float) -> float:
    """Stress in the surface of a deep hot edge a time after the fluid came.

    sigma(t) = E · alpha · (Ti - Ts(t)) / (1 - nu), Ts of a semi-infinite solid

    material : the grade [SI]
    dT : temperature of the edge above that of the fluid [K]
    h : heat transfer coefficient [W/(m²·K)]
    t : time since the fluid came [s]
    returns : stress [Pa]

    Valid: while heat has not reached the back (`conduction.semi_infinite_until`); an upper bound. OutOfRange for grades
        whose density and heat capacity are not at hand.
    Source: `restrained_stress`, `conduction.surface_excess`.

    >>> hardmetal = cutting_materials("hardmetal")[2]
    >>> round(surface_quench_stress(hardmetal, dT=760.0, h=5000.0, t=0.1) / 1e6)
    495
    """
    lost = 1 - surface_excess(h, material.k, material.diffusivity, t)
    return restrained_stress(material.E, material.alpha, material.nu, dT * lost)


def critical_difference(material: CuttingMaterial, h: float, half_thickness: float) -> float:
    """Quench at which the stress of a plate reaches the strength of its material.

    dTc = R / psi(Bi)

    material : the grade [SI]
    h : heat transfer coefficient, above zero [W/(m²·K)]
    half_thickness : half the thickness [m]
    returns : critical temperature difference [K]

    Valid: as `quench_stress`; a figure above some 1000 K means that this criterion sees no crack.
    Source: `cutting_materials.shock_resistance`, `stress_factor`.

    >>> hardmetal = cutting_materials("hardmetal")[2]
    >>> round(critical_difference(hardmetal, h=10000.0, half_thickness=2.38e-3))
    2753
    """
    positive("heat transfer coefficient [W/(m²·K)]", h)
    return material.R / stress_factor(biot(h, half_thickness, material.k))


def quench_ratio(substrate: str, dT: float, h: Band, half_thickness: float) -> Band:
    """Stress of a quench over the strength of the cutting material, as a band.

    high: weakest grade and greatest h. likely: the typical grade and likely h. low: toughest grade, least h, and half of that,
    because measured limits lie about twice as high as the model's. A ratio above 1 says that one quench may crack the edge.

    substrate : hardmetal | cermet | ceramic | CBN | HSS [-]
    dT : temperature of the edge above that of the fluid [K]
    h : heat transfer coefficient, `convection.heat_transfer_coefficient` [W/(m²·K)]
    half_thickness : half the thickness of the insert or edge [m]
    returns : stress over strength [-]

    Valid: screening estimate; cycles count more than one quench, and no life is claimed.
    Source: `quench_stress`; strengths from tables/cutting_materials.csv; factor 2 from J. Mater. Sci. 29 (1994) 2115 against R.

    >>> ratio = quench_ratio("ceramic", 760.0, Band(1000.0, 5000.0, 10000.0, "assumed case"), 2.38e-3)
    >>> round(ratio.low, 2), round(ratio.likely, 2), round(ratio.high, 2)
    (0.02, 0.77, 1.51)
    """
    grades = cutting_materials(substrate)

    def ratios(coefficient: float) -> list[float]:
        return [quench_stress(grade, dT, coefficient, half_thickness) / grade.sigma_f for grade in grades]

    likely = next(ratio for ratio, grade in zip(ratios(h.likely), grades, strict=True) if grade.is_typical)
    return Band(min(ratios(h.low)) / MEASURED_OVER_MODEL, likely, max(ratios(h.high)), f"{SOURCE}; h: {h.source}")
