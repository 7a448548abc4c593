"""Friction in channels, against the `fluids` library."""

from math import cos, isclose, log10, pi, radians, sqrt, tan

import fluids
import pytest
from fluids.friction import Colebrook, helical_laminar_fd_White, helical_turbulent_fd_Schmidt
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.physics.channels import (
    channel_discharge_coefficient,
    channel_drop,
    curved_laminar_ratio,
    curved_turbulent_ratio,
    friction_factor,
    helical_curvature,
    helical_length,
    helix_at_pitch_circle,
    laminar_friction_factor,
    reynolds,
    turbulent_friction_factor,
    unchecked_friction_factor,
)
from coolcheck.physics.valid import OutOfRange


@given(Re=st.floats(4000, 1e8), e=st.floats(0, 0.05))
def test_turbulent_friction_agrees_with_colebrook(Re, e):
    assert isclose(turbulent_friction_factor(Re, e), Colebrook(Re, e), rel_tol=1e-4)


@given(Re=st.floats(1, 2000))
def test_laminar_friction_agrees_with_the_library(Re):
    assert isclose(friction_factor(Re), fluids.friction.friction_laminar(Re), rel_tol=1e-12)
    assert friction_factor(Re) == laminar_friction_factor(Re)


@given(Re=st.floats(1, 1e6), e=st.floats(0, 0.05), curvature=st.floats(0, 0.1))
def test_pressure_never_falls_as_the_flow_rises_not_even_in_the_transition(Re, e, curvature):
    less, more = (friction_factor(r, e, curvature) * r * r for r in (Re, Re * 1.001))

    assert more > less


@pytest.mark.parametrize("limit", [2000.0, 4000.0])
@pytest.mark.parametrize("curvature", [0.0, 0.01, 0.1])
def test_friction_has_no_jump_at_the_ends_of_the_transition(limit, curvature):
    below, above = (friction_factor(limit * share, 0.001, curvature) for share in (1 - 1e-9, 1 + 1e-9))

    assert isclose(below, above, rel_tol=1e-6)


@given(Re=st.floats(50, 2000), curvature=st.floats(4e-4, 0.066))
def test_a_curved_laminar_channel_agrees_with_the_library(Re, curvature):
    expected = helical_laminar_fd_White(Re, curvature, 1.0)

    assert isclose(curved_laminar_ratio(Re, curvature) * 64 / Re, expected, rel_tol=1e-9)


def test_a_channel_begins_to_rub_more_as_soon_as_its_bend_is_felt():
    assert curved_laminar_ratio(Re=125.0, curvature=0.01) * 64 / 125 == pytest.approx(
        helical_laminar_fd_White(125.0, 0.01, 1.0), rel=1e-9
    )
    assert curved_laminar_ratio(Re=115.0, curvature=0.01) == 1.0 < curved_laminar_ratio(Re=125.0, curvature=0.01)


@given(Re=st.floats(2.3e4, 1e5), curvature=st.floats(0.015, 0.06))
def test_a_curved_turbulent_channel_lies_near_another_published_formula(Re, curvature):
    other = helical_turbulent_fd_Schmidt(Re, curvature, 1.0) / fluids.friction_factor(Re=Re, eD=0.0)

    assert isclose(curved_turbulent_ratio(Re, curvature), other, rel_tol=0.08)


@given(v=st.floats(0.1, 60), d=st.floats(0.0005, 0.05), L=st.floats(0.01, 20), K=st.floats(0, 10))
def test_the_drop_of_a_channel_agrees_with_the_library(v, d, L, K):
    rho, nu, eps = 998.2, 1e-6, 1.5e-6
    Re = reynolds(v, d, nu)
    fd = fluids.friction_factor(Re=Re, eD=eps / d) if Re > 4000 else friction_factor(Re, eps / d)
    expected = fluids.dP_from_K(K + fluids.K_from_f(fd=fd, L=L, D=d), rho=rho, V=v)

    assert isclose(channel_drop(v, d, L, rho, nu, eps, K), expected, rel_tol=2e-4)


def test_nothing_is_lost_where_nothing_flows():
    still, slow = (channel_drop(v=v, d=0.01, L=1.0, rho=998.0, nu=1e-6, eps=1e-5, K=1.0) for v in (0.0, 1.0))

    assert still == 0.0 < slow


@given(d=st.floats(0.0004, 0.003), L=st.floats(0.01, 0.3), f=st.floats(0.01, 0.06))
def test_the_discharge_coefficient_of_a_channel_gives_the_speed_of_darcy(d, L, f):
    v = 20.0
    dp = (1.5 + f * L / d) * 1000 * v * v / 2

    assert isclose(channel_discharge_coefficient(f, L, d) * sqrt(2 * dp / 1000), v, rel_tol=1e-9)


def test_a_helix_is_longer_than_its_axis_and_bends_as_geometry_says():
    helix = helix_at_pitch_circle(DC=0.0083, FHA=radians(30), pitch_circle=0.0083)
    lead = pi * 0.0083 / tan(radians(30))
    r, b = 0.0083 / 2, lead / (2 * pi)

    assert isclose(helix, radians(30), rel_tol=1e-12)
    assert isclose(helical_length(0.1, helix), 0.1 / cos(radians(30)), rel_tol=1e-12)
    assert isclose(helical_curvature(0.001, helix, 0.0083), 0.001 / (2 * (r * r + b * b) / r), rel_tol=1e-9)


@pytest.mark.parametrize(("Re", "e", "curvature"), [(0, 0, 0), (2e8, 0, 0), (1e5, 0.06, 0), (1e5, 0, 0.2), (float("nan"), 0, 0)])
def test_friction_outside_its_range_is_no_number(Re, e, curvature):
    with pytest.raises(OutOfRange):
        friction_factor(Re, e, curvature)


@pytest.mark.parametrize("e", [0.05, 1e-3])
def test_a_trial_flow_beyond_all_measure_rubs_as_a_fully_rough_wall(e):
    """Colebrook without its Reynolds term; in the explicit form nothing is left to extrapolate."""
    assert unchecked_friction_factor(1e30, e, 0.0) == pytest.approx(1 / (2 * log10(3.7 / e)) ** 2, rel=1e-12)


def test_laminar_and_turbulent_formulas_refuse_each_others_flow():
    with pytest.raises(OutOfRange):
        laminar_friction_factor(2041.0)
    with pytest.raises(OutOfRange):
        turbulent_friction_factor(3999.0, 0.0)
