"""What cutting materials bear: strength, stiffness, expansion and heat of the grades, and their resistance to thermal shock."""

from dataclasses import dataclass

from coolcheck.physics.conduction import diffusivity
from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, positive

SOURCE = "tables/cutting_materials.csv: Groover 2012 Table 22.1 and grade-typical values from memory"


@dataclass(frozen=True, slots=True)
class CuttingMaterial:
    """A grade of cutting material, as far as thermal stress needs it.

    sigma_f : transverse rupture strength [Pa]; E : Young's modulus [Pa]; nu : Poisson's ratio [-]
    alpha : thermal expansion [1/K]; k : thermal conductivity [W/(m·K)]
    rho_c : heat capacity by volume [J/(m³·K)], 0 where no value was at hand

    Valid: near the temperature of the room; typical of the grade, not of one maker.
    Source: tables/cutting_materials.csv.

    >>> [grade.grade for grade in cutting_materials("HSS")]
    ['high speed steel']
    """

    grade: str
    substrate: str
    is_typical: bool
    sigma_f: float
    E: float
    nu: float
    alpha: float
    k: float
    rho_c: float

    @property
    def diffusivity(self) -> float:
        """Thermal diffusivity [m²/s]; OutOfRange where the table has no density and heat capacity."""
        return diffusivity(self.k, positive(f"heat capacity by volume of {self.grade}", self.rho_c, SOURCE), 1.0)

    @property
    def R(self) -> float:
        """Resistance to a hard shock, `shock_resistance` [K]."""
        return shock_resistance(self.sigma_f, self.E, self.alpha, self.nu)


def cutting_materials(substrate: str) -> tuple[CuttingMaterial, ...]:
    """The grades of a cutting material, in the order of the table.

    substrate : hardmetal | cermet | ceramic | CBN | HSS [-]
    returns : one entry a grade [SI]

    Valid: PCD has no full set of values at hand: OutOfRange.
    Source: tables/cutting_materials.csv.

    >>> len(cutting_materials("ceramic"))
    5
    """
    rows = [row for row in table("cutting_materials") if row["substrate"] == substrate]
    if not rows:
        raise OutOfRange("cutting material", substrate, "hardmetal, cermet, ceramic, CBN, HSS", SOURCE)
    return tuple(_material(row) for row in rows)


def _material(row: dict[str, str]) -> CuttingMaterial:
    return CuttingMaterial(
        grade=row["grade"],
        substrate=row["substrate"],
        is_typical=row["typical"] == "yes",
        sigma_f=float(row["sigma_f"]) * 1e6,
        E=float(row["E"]) * 1e9,
        nu=float(row["nu"]),
        alpha=float(row["alpha"]) * 1e-6,
        k=float(row["k"]),
        rho_c=float(row["rho"]) * float(row["c"]) if row["rho"] else 0.0,
    )


def shock_resistance(sigma_f: float, E: float, alpha: float, nu: float) -> float:
    """Resistance to a hard thermal shock: the quench that an infinitely fast fluid may make.

    R = sigma_f · (1 - nu) / (E · alpha)

    sigma_f : strength [Pa]
    E : Young's modulus [Pa]
    alpha : thermal expansion [1/K]
    nu : Poisson's ratio [-]
    returns : R [K]

    Valid: Bi without limit. Measured limits lie about twice as high, since no quench is that fast.
    Source: W. D. Kingery, J. Am. Ceram. Soc. 38 (1955) 3; D. P. H. Hasselman 1969; from memory.

    >>> round(shock_resistance(sigma_f=400e6, E=345e9, alpha=9.0e-6, nu=0.22))
    100
    """
    return sigma_f * (1 - nu) / (E * alpha)


def mild_shock_resistance(R: float, k: float) -> float:
    """Resistance to a mild thermal shock.

    R' = k · R

    R : resistance to a hard shock [K]
    k : thermal conductivity [W/(m·K)]
    returns : R' [W/m]

    Valid: small Biot numbers.
    Source: W. D. Kingery, J. Am. Ceram. Soc. 38 (1955) 3; from memory.

    >>> round(mild_shock_resistance(R=339.0, k=90.0) / 1000, 1)
    30.5
    """
    return k * R
