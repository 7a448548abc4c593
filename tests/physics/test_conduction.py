"""Heat in a solid, against scipy: special functions, and the heat equation solved on a grid."""

from math import inf, isclose

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special
from scipy.integrate import quad, solve_ivp

from coolcheck.physics.conduction import (
    convective_temperature,
    diffusion_time,
    erfcx,
    flux_rise,
    held_surface_temperature,
    lumped_temperature,
    lumped_time,
    lumped_time_constant,
    penetration_depth,
    pulse_rise,
    semi_infinite_until,
    surface_excess,
)
from coolcheck.physics.peck_heat import wall_rise
from coolcheck.physics.valid import OutOfRange

K, ALPHA = 45.0, 1.2e-5


@given(x=st.floats(0, 1e6))
def test_the_scaled_error_function_agrees_with_scipy(x):
    assert isclose(erfcx(x), special.erfcx(x), rel_tol=1e-12)


@pytest.mark.parametrize("x", [24.99, 25.0, 26.0, 30.0, 50.0, 1e3])
def test_its_series_agrees_with_scipy_to_the_last_digits(x):
    assert isclose(erfcx(x), special.erfcx(x), rel_tol=1e-12)


def test_a_flux_that_has_not_begun_has_warmed_nothing():
    assert flux_rise(0.0, 0.0, 1e6, 45.0, 1e-5) == 0.0


@given(h=st.floats(10, 1e5), t=st.floats(1e-4, 100))
def test_the_surface_under_a_fluid_agrees_with_scipy(h, t):
    s = h * np.sqrt(ALPHA * t) / K

    assert isclose(surface_excess(h, K, ALPHA, t), special.erfcx(s), rel_tol=1e-9)
    assert isclose(convective_temperature(0, t, h, K, ALPHA, 1000.0, 300.0), 300 + 700 * special.erfcx(s), rel_tol=1e-9)


def on_a_grid(surface, depth, t, start):
    """Temperatures of a deep body on a grid, by scipy's own integrator; `surface(T0)` is the flux into it [W/m²]."""
    dx = depth / 400
    rho_c = K / ALPHA

    def rate(_, T):
        flux = np.empty(len(T) + 1)
        flux[0], flux[-1] = surface(T[0] + (T[0] - T[1]) / 2), 0.0
        flux[1:-1] = K * (T[:-1] - T[1:]) / dx
        return (flux[:-1] - flux[1:]) / dx / rho_c

    found = solve_ivp(rate, (0, t), np.full(400, start), method="LSODA", rtol=1e-7, atol=1e-7, lband=1, uband=1)
    return (np.arange(400) + 0.5) * dx, found.y[:, -1]


def test_a_quenched_body_agrees_with_the_heat_equation_on_a_grid():
    x, T = on_a_grid(lambda Ts: 5000 * (300 - Ts), depth=0.03, t=2.0, start=1000.0)
    ours = [convective_temperature(depth, 2.0, 5000.0, K, ALPHA, 1000.0, 300.0) for depth in x]

    assert np.allclose(T, ours, atol=0.5)


def test_a_heated_body_agrees_with_the_heat_equation_on_a_grid():
    x, T = on_a_grid(lambda Ts: 2e6, depth=0.03, t=2.0, start=0.0)

    assert np.allclose(T, [flux_rise(depth, 2.0, 2e6, K, ALPHA) for depth in x], atol=0.5)


@given(x=st.floats(1e-5, 0.01), t=st.floats(0.01, 10))
def test_a_steady_flux_is_the_sum_of_its_pulses(x, t):
    def pulse(s):
        return pulse_rise(x, s, 1e6, K / ALPHA, 1.0, ALPHA)

    summed, _ = quad(pulse, 0, t, epsabs=1e-9, epsrel=1e-9, points=[t / 100, t / 10])

    assert isclose(flux_rise(x, t, 1e6, K, ALPHA), summed, rel_tol=1e-6, abs_tol=1e-6)


@given(starts=st.lists(st.floats(0, 5), min_size=1, max_size=5), t=st.floats(0.01, 12))
def test_a_wall_under_pulses_agrees_with_the_integral_over_them(starts, t):
    pulses = [(start, start + 0.3, 1e6) for start in starts]
    heat = K / ALPHA

    def one(on, off):  # with u = sqrt(t - s) the integrand is constant: an independent way to the same sum
        u1, u2 = np.sqrt(max(t - on, 0)), np.sqrt(max(t - off, 0))
        return quad(lambda u: 2e6 / (heat * np.sqrt(np.pi * ALPHA)), u2, u1)[0]

    assert isclose(wall_rise(pulses, t, K, ALPHA), sum(one(on, off) for on, off, _ in pulses), rel_tol=1e-9, abs_tol=1e-9)


@given(x=st.floats(0, 0.01), t=st.floats(0.001, 10))
def test_a_very_strong_fluid_is_a_held_surface(x, t):
    strong = convective_temperature(x, t, 1e12, K, ALPHA, 1000.0, 300.0)

    assert isclose(strong, held_surface_temperature(x, t, ALPHA, 1000.0, 300.0), rel_tol=1e-4)


@given(t=st.floats(0.01, 10), tau=st.floats(0.05, 10))
def test_a_lumped_body_agrees_with_its_differential_equation(t, tau):
    found = solve_ivp(lambda _, T: (300 - T) / tau, (0, t), [900.0], rtol=1e-9, atol=1e-9)

    assert isclose(lumped_temperature(t, 900.0, 300.0, tau), found.y[0, -1], rel_tol=1e-6)


@given(t=st.floats(0, 5), tau=st.floats(0.5, 10))
def test_time_and_temperature_of_a_lumped_body_are_the_reverse_of_each_other(t, tau):
    assert isclose(lumped_time(lumped_temperature(t, 900.0, 300.0, tau), 900.0, 300.0, tau), t, rel_tol=1e-9, abs_tol=1e-9)


@pytest.mark.parametrize(
    ("T", "Ti"), [(300.0, 600.0), (299.0, 600.0), (601.0, 600.0), (900.0, 600.0), (300.0, 300.0), (400.0, 300.0)]
)
def test_a_lumped_body_never_comes_to_what_does_not_lie_on_its_way(T, Ti):
    with pytest.raises(OutOfRange):
        lumped_time(T, Ti, 300.0, 1.0)
    assert lumped_time(600.0, 600.0, 300.0, 1.0) == 0.0


def test_twice_the_length_takes_four_times_as_long():
    assert isclose(diffusion_time(0.002, ALPHA), 4 * diffusion_time(0.001, ALPHA))
    assert isclose(semi_infinite_until(0.002, ALPHA), 4 * semi_infinite_until(0.001, ALPHA))
    assert isclose(penetration_depth(ALPHA, 4.0), 2 * penetration_depth(ALPHA, 1.0))


@pytest.mark.parametrize(
    "call",
    [
        lambda: lumped_time_constant(14900, 210, 767.7e-9, 403.1e-6, 5000.0, 80.0),  # Bi 0.119
        lambda: lumped_time(200.0, 900.0, 300.0, 1.0),
        lambda: lumped_time(300.0, 900.0, 300.0, 1.0),
        lambda: lumped_temperature(-1.0, 900.0, 300.0, 1.0),
        lambda: erfcx(-0.1),
        lambda: erfcx(inf),
        lambda: convective_temperature(0.0, 0.0, 100.0, K, ALPHA, 1.0, 0.0),
        lambda: diffusion_time(0.001, 0.0),
    ],
)
def test_outside_the_range_there_is_no_number(call):
    with pytest.raises(OutOfRange):
        call()
