"""Thermal stress against formulas and data in print.

W. D. Kingery, J. Am. Ceram. Soc. 38 (1955) 3 and D. P. H. Hasselman 1969 (formulas from memory); strengths from M. P. Groover,
Fundamentals of Modern Manufacturing, 5th ed., 2012, Table 22.1. The tables of stresses were worked out elsewhere from the same
formulas (arithmetic); the critical quenches are measurements.
"""

from dataclasses import replace
from math import inf, isclose

import pytest

from coolcheck.physics.cutting_materials import cutting_materials, mild_shock_resistance
from coolcheck.physics.thermal_stress import (
    MEASURED_OVER_MODEL,
    critical_difference,
    quench_stress,
    restrained_stress,
    stress_factor,
    surface_quench_stress,
)

SUBSTRATES = ("hardmetal", "cermet", "ceramic", "CBN", "HSS")
GRADES = {grade.grade: grade for substrate in SUBSTRATES for grade in cutting_materials(substrate)}


@pytest.mark.parametrize(
    ("Bi", "psi"),
    [(0.05, 0.0150), (0.1, 0.0294), (0.2, 0.0563), (0.5, 0.1250), (1, 0.2105), (2, 0.3200), (5, 0.4696)]
    + [(10, 0.5800), (50, 0.8320), (inf, 1.0)],
)
def test_stress_factor(Bi, psi):
    assert isclose(stress_factor(Bi), psi, abs_tol=6e-5)


SHOCK = [  # grade, R in K, R' in kW/m, stress for 100 K in MPa
    ("hardmetal low cobalt", 339, 30.5, 413),
    ("hardmetal high cobalt", 576, 46.1, 416),
    ("hardmetal P", 438, 15.4, 433),
    ("cermet TiC TiN", 355, 5.3, 479),
    ("alumina", 100, 2.9, 398),
    ("alumina other data", 103, 2.6, 390),
    ("alumina TiC", 141, 2.8, 425),
    ("alumina SiC whisker", 192, 5.8, 338),
    ("silicon nitride", 608, 15.2, 132),
    ("PCBN", 186, 18.6, 376),
    ("high speed steel", 1203, 30.1, 341),  # another calculation had 30.2; 1203 K times 25 makes 30.1
]


@pytest.mark.parametrize(("name", "R", "R_mild", "stress"), SHOCK, ids=[row[0] for row in SHOCK])
def test_shock_resistance(name, R, R_mild, stress):
    grade = GRADES[name]

    assert isclose(grade.R, R, abs_tol=0.6)
    assert isclose(mild_shock_resistance(grade.R, grade.k) / 1e3, R_mild, abs_tol=0.06)
    assert isclose(restrained_stress(grade.E, grade.alpha, grade.nu, 100) / 1e6, stress, abs_tol=0.6)


@pytest.mark.parametrize(
    ("name", "MPa"),
    [("hardmetal low cobalt", 1400), ("hardmetal high cobalt", 2400), ("cermet TiC TiN", 1700), ("alumina", 400), ("PCBN", 700)]
    + [("high speed steel", 4100)],
)
def test_strengths_of_groover_table_22_1(name, MPa):
    assert GRADES[name].sigma_f == MPa * 1e6


# An edge of 800 °C, fluid of 40 °C. The source takes k 80 for the low-cobalt hardmetal and k 20 for alumina here, not the 90
# and 25 of its own property table; so do we, to compare the arithmetic.
LOW_COBALT = replace(GRADES["hardmetal low cobalt"], k=80.0)
ALUMINA = replace(GRADES["alumina other data"], k=20.0)

AFTER = [  # grade, stress in MPa after 10 ms, 100 ms, 1 s with h 1000, 5000, 10000, 50000
    (LOW_COBALT, ((22, 70, 212), (109, 325, 868), (212, 600, 1402), (868, 1798, 2605))),
    (GRADES["hardmetal P"], ((35, 110, 327), (171, 495, 1229), (327, 880, 1845), (1229, 2241, 2913))),
    (ALUMINA, ((40, 123, 364), (191, 544, 1285), (364, 943, 1845), (1285, 2176, 2689))),
    (GRADES["alumina SiC whisker"], ((30, 94, 281), (147, 422, 1026), (281, 742, 1510), (1026, 1810, 2298))),
    (GRADES["silicon nitride"], ((14, 44, 130), (68, 193, 450), (130, 332, 638), (450, 747, 912))),
]


@pytest.mark.parametrize(("grade", "rows"), AFTER, ids=[row[0].grade for row in AFTER])
def test_stress_in_the_surface_after_a_time(grade, rows):
    for h, row in zip((1e3, 5e3, 1e4, 5e4), rows, strict=True):
        for t, MPa in zip((0.01, 0.1, 1.0), row, strict=True):
            assert isclose(surface_quench_stress(grade, 760, h, t) / 1e6, MPa, abs_tol=0.7)


PLATES = [  # grade, h, psi, stress in MPa, critical quench in K; plate of 4.76 mm
    (LOW_COBALT, 5e3, 0.0428, 135, 7908),
    (GRADES["hardmetal P"], 1e4, 0.1593, 524, 2753),
    (GRADES["alumina other data"], 1e4, 0.2035, 603, 504),
    (GRADES["alumina other data"], 5e4, 0.4618, 1368, 222),
]


@pytest.mark.parametrize(("grade", "h", "psi", "MPa", "dTc"), PLATES, ids=[f"{row[0].grade} {row[1]:g}" for row in PLATES])
def test_stress_in_a_plate(grade, h, psi, MPa, dTc):
    assert isclose(stress_factor(h * 2.38e-3 / grade.k), psi, abs_tol=6e-5)
    assert isclose(quench_stress(grade, 760, h, 2.38e-3) / 1e6, MPa, abs_tol=0.6)
    assert isclose(critical_difference(grade, h, 2.38e-3), dTc, rel_tol=2e-3)


def test_alumina_breaks_at_twice_the_quench_that_strength_alone_would_say():
    # J. Mater. Sci. 29 (1994) 2115, abstract: about 210 K measured; R is 100 to 103 K.
    for name in ("alumina", "alumina other data"):
        assert isclose(210 / GRADES[name].R, MEASURED_OVER_MODEL, rel_tol=0.06)


def test_measured_critical_quench_of_alumina_lies_within_what_a_strong_quench_gives():
    # The same 210 K, between an ideal quench (R) and one with h 5e4 into a plate of 4.76 mm (222 K).
    grade = GRADES["alumina other data"]

    assert grade.R < 210 < critical_difference(grade, 5e4, 2.38e-3)


def test_whisker_reinforced_alumina_stands_a_quench_better_than_alumina_as_measured():
    # Tiegs and Becher 1987, from memory: no loss up to about 900 K with whiskers, alumina loses above 200 K. The model keeps the
    # order; it does not reach the measured gain (toughness is not in it).
    assert GRADES["alumina SiC whisker"].R > 1.5 * GRADES["alumina"].R
