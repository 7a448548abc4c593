"""Single openings, against the `fluids` library; jets, power and heat by their balances."""

from math import isclose, pi

import pytest
from fluids.flow_meter import dP_orifice, flow_meter_discharge
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.physics.orifices import (
    discharge_coefficient,
    drilled_hole_coefficient,
    hole_area,
    hydraulic_power,
    jet_force,
    jet_pressure,
    jet_speed,
    orifice_drop,
    orifice_flow,
    orifice_permanent_loss,
    shaft_power,
    throttle_rise,
)
from coolcheck.physics.valid import OutOfRange

PRESSURES = st.floats(1e3, 200e5)


@given(dp=PRESSURES, d=st.floats(0.0003, 0.05), beta=st.floats(0.05, 0.8), Cd=st.floats(0.5, 1.0))
def test_a_single_orifice_agrees_with_the_library(dp, d, beta, Cd):
    mass = flow_meter_discharge(D=d / beta, Do=d, P1=dp + 1e5, P2=1e5, rho=998.2, C=Cd, expansibility=1.0)

    assert isclose(orifice_flow(dp, hole_area(d), Cd, 998.2, beta), mass / 998.2, rel_tol=1e-9)


@given(dp=PRESSURES, d=st.floats(0.001, 0.05), beta=st.floats(0.05, 0.8), Cd=st.floats(0.5, 0.99))
def test_the_permanent_loss_agrees_with_the_library(dp, d, beta, Cd):
    expected = dP_orifice(D=d / beta, Do=d, P1=dp + 1e5, P2=1e5, C=Cd)

    assert isclose(orifice_permanent_loss(dp, Cd, beta), expected, rel_tol=1e-9, abs_tol=1e-6)


@given(dp=PRESSURES, A=st.floats(1e-8, 1e-4), Cd=st.floats(0.5, 1.0), beta=st.floats(0, 0.9))
def test_drop_and_flow_of_an_orifice_are_the_reverse_of_each_other(dp, A, Cd, beta):
    assert isclose(orifice_drop(orifice_flow(dp, A, Cd, 900.0, beta), A, Cd, 900.0, beta), dp, rel_tol=1e-9)
    assert isclose(jet_pressure(jet_speed(dp, 900.0), 900.0), dp, rel_tol=1e-9)


@given(dp=PRESSURES, A=st.floats(1e-8, 1e-4))
def test_the_power_of_a_jet_is_what_the_pump_put_in(dp, A):
    v = jet_speed(dp, 1000.0)

    assert isclose(hydraulic_power(dp, A * v), 0.5 * 1000.0 * A * v * v**2, rel_tol=1e-9)
    assert isclose(jet_force(dp, A, 1.0), 1000.0 * A * v * v, rel_tol=1e-9)


@given(dp=PRESSURES)
def test_throttling_keeps_the_energy(dp):
    assert isclose(throttle_rise(dp, 998.2, 4184.0) * 998.2 * 4184.0, dp, rel_tol=1e-9)


def test_twice_the_diameter_is_four_times_the_area():
    assert isclose(hole_area(0.002), 4 * hole_area(0.001))
    assert isclose(hole_area(1.0), pi / 4)


def test_a_longer_drilled_hole_has_a_smaller_coefficient():
    assert drilled_hole_coefficient(0.008, 0.001) < drilled_hole_coefficient(0.003, 0.001)


@pytest.mark.parametrize(
    "call",
    [
        lambda: jet_speed(-1.0, 1000.0),
        lambda: drilled_hole_coefficient(0.001, 0.001),
        lambda: drilled_hole_coefficient(0.02, 0.001),
        lambda: orifice_flow(1e5, 1e-6, 0.6, 1000.0, beta=0.95),
        lambda: shaft_power(1000.0, 0.0),
        lambda: shaft_power(1000.0, 1.1),
        lambda: discharge_coefficient("keyhole"),
    ],
)
def test_outside_the_range_there_is_no_number(call):
    with pytest.raises(OutOfRange):
        call()
