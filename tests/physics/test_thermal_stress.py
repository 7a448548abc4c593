"""Quench stress and the temperature of an edge over its passages."""

from dataclasses import replace
from math import inf, isclose

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from coolcheck.physics.band import Band
from coolcheck.physics.cutting_materials import cutting_materials
from coolcheck.physics.edge_temperature import edge_time_constant, quenches, steady_temperature, temperatures_over
from coolcheck.physics.tables import table
from coolcheck.physics.thermal_stress import (
    critical_difference,
    quench_ratio,
    quench_stress,
    restrained_stress,
    stress_factor,
    surface_quench_stress,
)
from coolcheck.physics.valid import OutOfRange

SUBSTRATES = ["hardmetal", "cermet", "ceramic", "CBN", "HSS"]
FLOOD = Band(1e3, 2e3, 1e4, "test")
HALF = 2.38e-3


@given(Bi=st.floats(1e-6, 1e6))
def test_the_stress_factor_rises_from_nothing_to_one_with_the_biot_number(Bi):
    assert 0 < stress_factor(Bi) <= stress_factor(Bi * 1.1) <= 1
    assert stress_factor(0.0) == 0
    assert stress_factor(inf) == 1


@given(Bi=st.floats(1e-9, 1e-3))
def test_a_mild_quench_makes_a_stress_in_proportion_to_the_biot_number(Bi):
    assert isclose(stress_factor(Bi), Bi / 3.25, rel_tol=1e-3)


@pytest.mark.parametrize("substrate", SUBSTRATES)
def test_every_cutting_material_has_one_typical_grade(substrate):
    assert sum(grade.is_typical for grade in cutting_materials(substrate)) == 1


@pytest.mark.parametrize("substrate", SUBSTRATES)
def test_a_hotter_edge_or_a_stronger_fluid_means_a_higher_ratio(substrate):
    mild = quench_ratio(substrate, 400.0, FLOOD, HALF)
    hotter = quench_ratio(substrate, 800.0, FLOOD, HALF)
    wetter = quench_ratio(substrate, 400.0, FLOOD.scaled(2), HALF)

    assert isclose(hotter.likely, 2 * mild.likely, rel_tol=1e-9)
    assert wetter.low > mild.low
    assert wetter.likely > mild.likely
    assert wetter.high > mild.high
    assert mild.low < mild.likely < mild.high


def test_ceramic_stands_a_quench_worse_than_hardmetal_and_hardmetal_worse_than_high_speed_steel():
    ceramic, hardmetal, hss = (quench_ratio(s, 600.0, FLOOD, HALF).likely for s in ("ceramic", "hardmetal", "HSS"))

    assert ceramic > hardmetal > hss


@given(h=st.floats(100, 1e5), half=st.floats(1e-4, 0.01))
def test_the_critical_quench_is_where_stress_meets_strength(h, half):
    for grade in cutting_materials("hardmetal"):
        dTc = critical_difference(grade, h, half)
        assert isclose(quench_stress(grade, dTc, h, half), grade.sigma_f, rel_tol=1e-9)


@given(t=st.floats(1e-3, 1.0), h=st.floats(100, 1e5))
def test_the_stress_of_a_deep_edge_grows_with_time_and_never_passes_full_restraint(t, h):
    grade = cutting_materials("hardmetal")[2]
    now, later = (surface_quench_stress(grade, 760.0, h, seconds) for seconds in (t, 1.5 * t))

    assert 0 < now < later < restrained_stress(grade.E, grade.alpha, grade.nu, 760.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: quench_ratio("PCD", 400.0, FLOOD, HALF),
        lambda: quench_ratio("hardmetal", -1.0, FLOOD, HALF),
        lambda: surface_quench_stress(cutting_materials("cermet")[0], 400.0, 5e3, 0.1),
        lambda: critical_difference(cutting_materials("HSS")[0], 0.0, HALF),
        lambda: stress_factor(-1.0),
        lambda: replace(FLOOD, low=1e5),
        lambda: temperatures_over(300.0, np.array([-1.0]), np.array([400.0]), np.array([1.0])),
        lambda: temperatures_over(300.0, np.array([1.0]), np.array([400.0]), np.array([0.0])),
        lambda: temperatures_over(300.0, np.array(1.0), np.array(400.0), np.array(1.0)),
        lambda: steady_temperature(10.0, 0.0, 1e-4, 300.0),
    ],
)
def test_outside_the_range_there_is_no_number(call):
    with pytest.raises(OutOfRange):
        call()


# --- an edge over its passages --------------------------------------------------------------------------------------------------

spans = st.lists(st.tuples(st.floats(0, 5), st.floats(290, 1300), st.floats(0.05, 20)), min_size=1, max_size=8)


@given(spans=spans, T0=st.floats(290, 1200))
def test_the_temperature_of_an_edge_agrees_with_its_differential_equation(spans, T0):
    seconds, targets, taus = (np.array(column) for column in zip(*spans, strict=True))
    T = T0
    for second, target, tau in spans:
        T = solve_ivp(lambda _, T, a=target, b=tau: (a - T) / b, (0, max(second, 1e-12)), [T], rtol=1e-9, atol=1e-9).y[0, -1]

    assert isclose(temperatures_over(T0, seconds, targets, taus)[-1], T, rel_tol=1e-6)


@given(spans=spans, T0=st.floats(290, 1200), cut=st.floats(0, 1))
def test_a_span_cut_in_two_ends_at_the_same_temperature(spans, T0, cut):
    seconds, targets, taus = (np.array(column) for column in zip(*spans, strict=True))
    parts = np.append([seconds[0] * cut, seconds[0] * (1 - cut)], seconds[1:])
    halves = (parts, np.append(targets[0], targets), np.append(taus[0], taus))

    assert isclose(temperatures_over(T0, *halves)[-1], temperatures_over(T0, seconds, targets, taus)[-1], rel_tol=1e-9)


def test_many_edges_at_once_are_each_as_one_alone():
    seconds, taus = np.array([[1.0, 2.0], [3.0, 0.5]]), np.array([[1.0], [2.0]])
    targets = np.array([[900.0, 700.0], [300.0, 300.0]])
    both = temperatures_over(np.array([300.0, 310.0]), seconds, targets, taus)
    alone = temperatures_over(310.0, seconds[:, 1], targets[:, 1], taus[:, 0])

    assert both.shape == (3, 2)
    assert np.allclose(both[:, 1], alone)


@given(h=st.floats(10, 1e4), P=st.floats(0, 100))
def test_an_edge_under_power_tends_to_its_heat_balance(h, P):
    target, tau = steady_temperature(P, h, 1e-4, 300.0), edge_time_constant(2.4, h, 1e-4)

    assert isclose(h * 1e-4 * (target - 300.0), P, rel_tol=1e-6, abs_tol=1e-6)
    assert isclose(temperatures_over(300.0, np.array([60 * tau]), np.array([target]), np.array([tau]))[-1], target, rel_tol=1e-9)


def test_only_the_coming_of_fluid_onto_a_dry_edge_counts_as_a_quench():
    T = np.array([300.0, 900.0, 500.0, 800.0, 350.0, 850.0])
    wet = np.array([False, True, True, False, True])

    assert quenches(T, wet, 300.0).tolist() == [600.0, 50.0]
    assert quenches(T, np.array([True, True, False, False, False]), 290.0).tolist() == [10.0]


def test_an_edge_hardly_hotter_than_the_fluid_is_quenched_by_as_little_and_a_colder_one_not_at_all():
    temperatures, is_wet = [300.0, 300.25, 300.0, 299.0, 298.0], [0, 1, 0, 1]

    assert quenches(np.array(temperatures), np.array(is_wet, dtype=bool), 300.0).tolist() == [0.25, 0.0]
    assert quenches(temperatures, is_wet, 300.0).tolist() == [0.25, 0.0]  # lists serve as well


@pytest.mark.parametrize("row", table("cutting_materials"), ids=lambda row: row["grade"])
def test_a_cutting_material_has_the_values_of_the_table(row):
    (material,) = (one for one in cutting_materials(row["substrate"]) if one.grade == row["grade"])

    assert material.substrate == row["substrate"]
    assert (material.sigma_f, material.E) == pytest.approx((float(row["sigma_f"]) * 1e6, float(row["E"]) * 1e9), rel=1e-12)


def test_edges_that_start_at_their_own_temperatures_share_their_spans_and_no_span_changes_nothing():
    starts, spans = np.array([300.0, 900.0]), (np.array([1.0, 2.0]), np.array([500.0, 300.0]), np.array([1.0, 0.5]))
    both = temperatures_over(starts, *spans)
    none = temperatures_over(300.0, np.zeros(0), np.zeros(0), np.zeros(0))

    assert both.shape == (3, 2)
    for column, start in enumerate(starts):
        assert both[:, column] == pytest.approx(temperatures_over(float(start), *spans))
    assert none.tolist() == [300.0]
    assert temperatures_over(300.0, *(np.column_stack([span, span]) for span in spans)) == pytest.approx(
        np.column_stack([temperatures_over(300.0, *spans)] * 2)
    )
    assert temperatures_over(300, [1], [500], [1]).tolist() == pytest.approx([300.0, 500 - 200 * np.exp(-1)])
