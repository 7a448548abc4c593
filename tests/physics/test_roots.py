"""Our own root finder, against scipy's."""

from math import exp, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from coolcheck.physics.roots import rising_root


@given(root=st.floats(1e-9, 1e9), power=st.sampled_from([0.5, 1.0, 1.75, 2.0, 3.0]))
def test_a_power_is_solved_to_twelve_digits(root, power):
    assert isclose(rising_root(lambda x: x**power - root**power, 0.0, 4e9), root, rel_tol=1e-12)


@given(level=st.floats(-0.9, 1e6))
def test_it_agrees_with_scipy_on_a_curved_function(level):
    def f(x):
        return exp(x) - 1 + x - level

    assert isclose(rising_root(f, -1.0, 20.0), brentq(f, -1.0, 20.0, xtol=1e-15, rtol=1e-14), rel_tol=1e-9, abs_tol=1e-12)


def test_it_needs_few_looks_at_a_smooth_function():
    looks = []
    rising_root(lambda x: looks.append(x) or x * x - 2, 0.0, 10.0)

    assert len(looks) <= 12  # 13 and more when an unsafe step is tried or a safe one is not


def test_a_root_met_exactly_ends_the_search():
    looks = []

    assert rising_root(lambda x: looks.append(x) or x - 0.5, 0.0, 1.0) == 0.5
    assert looks == [0.0, 1.0, 0.5]


@pytest.mark.parametrize("end", [1.0, 1e20])
def test_a_jump_at_zero_between_equal_ends_is_found(end):
    assert abs(rising_root(lambda x: -1.0 if x < 0 else 1.0, -end, end)) < 1e-30 * end


def test_a_kink_and_a_jump_do_not_stop_it():
    assert isclose(rising_root(lambda x: x - 1 if x < 1 else 50 * (x - 1), 0.0, 3.0), 1.0)
    assert isclose(rising_root(lambda x: -1.0 if x < 0.3 else 1.0, 0.0, 1.0), 0.3, rel_tol=1e-12)


def test_a_root_at_an_end_is_found():
    assert rising_root(lambda x: x, 0.0, 1.0) == 0.0
    assert rising_root(lambda x: x - 1, 0.0, 1.0) == 1.0


def test_a_bracket_without_a_root_is_the_callers_mistake():
    with pytest.raises(ValueError, match="no zero between"):
        rising_root(lambda x: x + 1, 0.0, 1.0)


def test_a_function_that_is_no_number_does_not_run_for_ever():
    with pytest.raises(ValueError, match="no zero"):
        rising_root(lambda x: float("nan") if 0 < x < 1 else x - 0.5, 0.0, 1.0)
