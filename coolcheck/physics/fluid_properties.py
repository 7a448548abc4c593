"""What the fluid of a shop is like: water, water-mix emulsion, neat oil, over temperature. A data sheet beats all of it."""

from dataclasses import dataclass
from itertools import pairwise
from math import log10

from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, within

CONCENTRATE_DENSITY = 930.0  # kg/m³, typical of water-mix concentrates; from memory
CONCENTRATE_HEAT_CAPACITY = 1950.0  # J/(kg·K), mineral oil with emulsifiers; from memory
NEAT_OIL_HEAT_CAPACITY = 1950.0  # J/(kg·K), middle of 1.9 to 2.0 for mineral oils; from memory
ZERO_CELSIUS = 273.15  # K


@dataclass(frozen=True, slots=True)
class Liquid:
    """What hydraulics and heat need to know of a fluid.

    rho : density [kg/m³]
    nu : kinematic viscosity [m²/s]
    c : heat capacity [J/(kg·K)]

    Valid: at the temperature it was asked for; pressure changes none of it worth counting below 200 bar.
    Source: the fluid record, or the functions of this module.

    >>> round(water(293.15).mu * 1e3, 3)
    1.002
    """

    rho: float
    nu: float
    c: float

    def __post_init__(self) -> None:
        within("density of a liquid [kg/m³]", self.rho, 500.0, 2000.0, "liquids of a machine shop")
        within("kinematic viscosity of a liquid [m²/s]", self.nu, 1e-7, 1e-2, "liquids of a machine shop")
        within("heat capacity of a liquid [J/(kg·K)]", self.c, 1000.0, 5000.0, "liquids of a machine shop")

    @property
    def mu(self) -> float:
        """Dynamic viscosity [Pa·s]."""
        return self.nu * self.rho


def water_density(T: float) -> float:
    """Density of liquid water at the pressure of the room.

    T : temperature [K]
    returns : density [kg/m³]

    Valid: 273.15 to 373.15 K, 0.101325 MPa; at 140 bar it is 0.6 % more.
    Source: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, eq. 16; coefficients from memory, compared with IAPWS-IF97 within 0.01 %.

    >>> round(water_density(293.15), 2)
    998.2
    """
    t = within("temperature of water [K]", T, 273.15, 373.15, "Kell 1975") - ZERO_CELSIUS
    top = 999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))
    return top / (1 + 16.879850e-3 * t)


def water_viscosity(T: float) -> float:
    """Dynamic viscosity of liquid water at the pressure of the room.

    mu = 1e-6 · Σ a_i · (T/300)^b_i

    T : temperature [K]
    returns : dynamic viscosity [Pa·s]

    Valid: 273.15 to 383.15 K, 0.1 MPa.
    Source: IAPWS SR6-08 (2011), liquid water at 0.1 MPa, eq. 7; coefficients from memory, compared with `iapws`.

    >>> round(water_viscosity(293.15) * 1e3, 4)
    1.0016
    """
    x = within("temperature of water [K]", T, 273.15, 383.15, "IAPWS SR6-08") / 300
    terms = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
    return 1e-6 * float(sum(a * x**b for a, b in terms))


def water_heat_capacity(T: float) -> float:
    """Heat capacity of liquid water at constant pressure, between the rows of a table.

    T : temperature [K]
    returns : heat capacity [J/(kg·K)]

    Valid: 278.15 to 333.15 K, 0.101325 MPa.
    Source: IAPWS-95 by the iapws library 1.5.5, nine rows (tables/iapws_water.csv), linear between them.

    >>> round(water_heat_capacity(293.15), 1)
    4184.1
    """
    t = within("temperature of water [K]", T, 278.15, 333.15, "table of water") - ZERO_CELSIUS
    rows = [(float(row["T"]), float(row["cp"])) for row in table("iapws_water")]
    (t1, c1), (t2, c2) = next(piece for piece in pairwise(rows) if t <= piece[1][0])
    return 1e3 * (c1 + (c2 - c1) * (t - t1) / (t2 - t1))


def water(T: float) -> Liquid:
    """Water at a temperature.

    T : temperature [K]
    returns : density, viscosity, heat capacity [SI]

    Valid: 278.15 to 333.15 K.
    Source: `water_density`, `water_viscosity`, `water_heat_capacity`.

    >>> round(water(313.15).nu * 1e6, 3)
    0.658
    """
    rho = water_density(T)
    return Liquid(rho, water_viscosity(T) / rho, water_heat_capacity(T))


def emulsion_viscosity_ratio(concentration: float) -> float:
    """How much more viscous a thin emulsion is than its water, at most.

    mu / mu_water = 1 + 2.5 phi, phi taken as the share of concentrate: an upper bound, since only its oil forms drops

    concentration : share of concentrate by volume [-]
    returns : ratio of the dynamic viscosities [-]

    Valid: 0 <= concentration <= 0.15.
    Source: A. Einstein, Annalen der Physik 324 (1906) 289; formula from memory.

    >>> round(emulsion_viscosity_ratio(0.10), 3)
    1.25
    """
    return 1 + 2.5 * within("concentration", concentration, 0.0, 0.15, "Einstein 1906, thin emulsions")


def emulsion(
    T: float,
    concentration: float,
    concentrate_rho: float = CONCENTRATE_DENSITY,
    concentrate_c: float = CONCENTRATE_HEAT_CAPACITY,
) -> Liquid:
    """A water-mix emulsion at a temperature and concentration.

    Density mixes by volume, heat capacity by mass, viscosity by `emulsion_viscosity_ratio`.

    T : temperature [K]
    concentration : share of concentrate by volume [-]
    concentrate_rho : density of the concentrate [kg/m³]
    concentrate_c : heat capacity of the concentrate [J/(kg·K)]
    returns : density, viscosity (upper bound), heat capacity [SI]

    Valid: 278.15 to 333.15 K, 0 <= concentration <= 0.15.
    Source: ideal mixing; Einstein 1906. The concentrate's own values are typical ones, from memory.

    >>> mix = emulsion(293.15, 0.05)
    >>> round(mix.rho), round(mix.nu * 1e6, 2), round(mix.c, -1)
    (995, 1.13, 4080.0)
    """
    ratio = emulsion_viscosity_ratio(concentration)
    pure = water(T)
    rho = (1 - concentration) * pure.rho + concentration * concentrate_rho
    mass_share = concentration * concentrate_rho / rho
    return Liquid(rho, pure.mu * ratio / rho, (1 - mass_share) * pure.c + mass_share * concentrate_c)


def walther_viscosity(T: float, T1: float, nu1: float, T2: float, nu2: float) -> float:
    """Kinematic viscosity of an oil at a temperature, from two points of its data sheet.

    log10(log10(nu + 0.7)) = A - B · log10(T), nu in mm²/s and T in K

    T : temperature [K]
    T1 : temperature of the first point [K]
    nu1 : kinematic viscosity there [m²/s]
    T2 : temperature of the second point, another than T1 [K]
    nu2 : kinematic viscosity there [m²/s]
    returns : kinematic viscosity [m²/s]

    Valid: mineral oils above 2 mm²/s, 263 to 423 K.
    Source: Walther equation, ASTM D341; from memory.

    >>> round(walther_viscosity(323.15, 293.15, 21e-6, 313.15, 10e-6) * 1e6, 2)
    7.41
    """
    within("temperature of the oil [K]", T, 263.15, 423.15, "ASTM D341")
    if T1 == T2:
        raise OutOfRange("second temperature of the oil [K]", T2, "temperatures other than the first", "ASTM D341")
    w1, w2 = _walther(nu1), _walther(nu2)
    B = (w1 - w2) / (log10(T2) - log10(T1))
    return _from_walther(w1 - B * (log10(T) - log10(T1)))


def _walther(nu: float) -> float:
    return log10(log10(within("kinematic viscosity of the oil [m²/s]", nu, 2e-6, 1.0, "ASTM D341") * 1e6 + 0.7))


def _from_walther(w: float) -> float:
    nu = (float(10 ** (10**w)) - 0.7) * 1e-6
    return within("kinematic viscosity of the oil [m²/s]", nu, 2e-6, 1.0, "ASTM D341")


def neat_oil_viscosity(VG: float, T: float) -> float:
    """Typical kinematic viscosity of a neat cutting oil of an ISO 3448 grade.

    The Walther line through the grade's midpoint at 40 °C, with the slope of typical mineral oils: that of grade 10 or 22,
    and between them linear in the logarithm of the grade (our reading).

    VG : ISO 3448 viscosity grade, its midpoint at 40 °C in mm²/s [-]
    T : temperature [K]
    returns : kinematic viscosity [m²/s]

    Valid: 10 <= VG <= 22, 283.15 to 333.15 K. An oil of the grade may lie 10 % to either side at 40 °C, more when cold.
    Source: ISO 3448 and typical values at 20 °C, both from memory (tables/iso3448_neat_oils.csv).

    >>> round(neat_oil_viscosity(10, 313.15) * 1e6, 2), round(neat_oil_viscosity(22, 293.15) * 1e6, 1)
    (10.0, 52.5)
    """
    within("viscosity grade", VG, 10.0, 22.0, "typical neat oils")
    within("temperature of the oil [K]", T, 283.15, 333.15, "typical neat oils")
    slopes = {grade: _walther_slope(grade) for grade in ("10", "22")}
    share = log10(VG / 10) / log10(2.2)
    slope = slopes["10"] + share * (slopes["22"] - slopes["10"])
    return _from_walther(_walther(VG * 1e-6) - slope * (log10(T) - log10(313.15)))


def _walther_slope(grade: str) -> float:
    row = next(row for row in table("iso3448_neat_oils") if row["grade"] == grade)
    cold = (float(row["nu20_low"]) + float(row["nu20_high"])) / 2 * 1e-6
    return (_walther(cold) - _walther(float(row["nu40"]) * 1e-6)) / (log10(313.15) - log10(293.15))


def neat_oil(VG: float, T: float) -> Liquid:
    """A typical neat cutting oil of an ISO 3448 grade.

    VG : ISO 3448 viscosity grade 10, 15 or 22 [-]
    T : temperature [K]
    returns : density (typical, its change with temperature neglected), viscosity, heat capacity [SI]

    Valid: grades 10, 15 and 22, 283.15 to 333.15 K.
    Source: typical mineral oils, from memory (tables/iso3448_neat_oils.csv).

    >>> neat_oil(10, 313.15).rho
    850.0
    """
    row = next((row for row in table("iso3448_neat_oils") if float(row["grade"]) == VG), None)
    if row is None:
        raise OutOfRange("viscosity grade", VG, "the grades 10, 15, 22", "typical neat oils")
    return Liquid(float(row["rho"]), neat_oil_viscosity(VG, T), NEAT_OIL_HEAT_CAPACITY)
