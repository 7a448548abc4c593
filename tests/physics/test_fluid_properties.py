"""Water against the `iapws` library; emulsions and neat oils by their rules."""

from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95, IAPWS97

from coolcheck.physics.fluid_properties import (
    Liquid,
    emulsion,
    neat_oil,
    neat_oil_viscosity,
    walther_viscosity,
    water,
    water_density,
    water_heat_capacity,
    water_viscosity,
)
from coolcheck.physics.valid import OutOfRange

ROOM = 0.101325  # MPa


@pytest.mark.parametrize("t", range(1, 100, 3))
def test_density_of_water_agrees_with_iapws(t):
    assert isclose(water_density(t + 273.15), IAPWS97(T=t + 273.15, P=ROOM).rho, rel_tol=1e-4)


@pytest.mark.parametrize("t", range(1, 100, 3))
def test_viscosity_of_water_agrees_with_iapws(t):
    assert isclose(water_viscosity(t + 273.15), IAPWS97(T=t + 273.15, P=ROOM).mu, rel_tol=2e-3)


@pytest.mark.parametrize("t", range(5, 61, 5))
def test_heat_capacity_of_water_agrees_with_iapws(t):
    assert isclose(water_heat_capacity(t + 273.15), IAPWS95(T=t + 273.15, P=ROOM).cp * 1000, rel_tol=2e-4)


def test_pressure_changes_density_by_less_than_one_percent_up_to_140_bar():
    assert isclose(IAPWS97(T=293.15, P=14.1).rho, water_density(293.15), rel_tol=0.01)


@given(T=st.floats(279, 333), less=st.floats(0, 0.13))
def test_more_concentrate_makes_an_emulsion_thicker_lighter_and_less_of_a_heat_store(T, less):
    thin, thick = emulsion(T, less), emulsion(T, less + 0.01)

    assert thick.nu > thin.nu
    assert thick.rho < thin.rho
    assert thick.c < thin.c


def test_an_emulsion_of_nothing_is_water():
    assert emulsion(300.0, 0.0) == water(300.0)


@given(VG=st.floats(10, 22), T=st.floats(284, 330))
def test_neat_oil_is_thinner_when_warm_and_thicker_in_a_higher_grade(VG, T):
    assert neat_oil_viscosity(VG, T + 2) < neat_oil_viscosity(VG, T)
    assert neat_oil_viscosity(VG, T) >= neat_oil_viscosity(10, T) * (1 - 1e-12)


@given(T=st.floats(284, 333), other=st.floats(300, 330))
def test_the_walther_line_goes_through_any_two_of_its_points(T, other):
    T1, T2 = 283.15, 353.15
    line = (T1, 30e-6, T2, 4e-6)
    middle = walther_viscosity(other, *line)

    assert isclose(walther_viscosity(T1, *line), 30e-6, rel_tol=1e-9)
    assert isclose(walther_viscosity(T, T1, 30e-6, other, middle), walther_viscosity(T, *line), rel_tol=1e-7)


@pytest.mark.parametrize(
    "call",
    [
        lambda: water(400.0),
        lambda: water_density(20.0),  # degrees Celsius by mistake
        lambda: emulsion(293.15, 5.0),  # percent by mistake
        lambda: neat_oil(46, 313.15),
        lambda: neat_oil_viscosity(10, 400.0),
        lambda: walther_viscosity(300.0, 313.15, 10e-6, 313.15, 10e-6),
        lambda: walther_viscosity(300.0, 313.15, 10.0, 293.15, 20.0),  # mm²/s by mistake
        lambda: Liquid(rho=1.0, nu=1e-6, c=4000.0),
    ],
)
def test_outside_the_range_there_is_no_number(call):
    with pytest.raises(OutOfRange):
        call()
