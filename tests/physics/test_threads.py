"""Threads: both percentages, torque of tapping and depth of the hole, and how they move."""

from math import tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from coolcheck.physics import OutOfRange
from coolcheck.physics.tables import table
from coolcheck.physics.threads import (
    core_torque_limit,
    engagement_of_basic_height,
    engagement_of_full_depth,
    float_needed,
    forming_tap_hole,
    full_thread_in_hole,
    hole_depth_by_diameter,
    hole_depth_for_thread,
    relative_torque,
    short_tapping_force,
    short_tapping_torque,
    standard_tap_drill,
    tap_drill,
    tap_factor,
    tap_lead,
    tapping_feed_speed,
    tapping_force,
    tapping_torque,
    thread,
    torque_use,
)

sizes = st.sampled_from([(float(row["D_mm"]) / 1000, float(row["P_mm"]) / 1000) for row in table("iso2306_tap_drills")])


@given(sizes, st.floats(0.5, 0.85))
def test_the_two_percentages_of_thread_lie_a_factor_of_1_2_apart(size: tuple[float, float], part: float) -> None:
    D, P = size
    hole = tap_drill(D, P, part)

    assert engagement_of_full_depth(D, hole, P) == pytest.approx(part)
    assert engagement_of_basic_height(D, hole, P) == pytest.approx(1.2 * part, rel=1e-4)


@given(sizes, st.floats(0.5, 0.75))
def test_a_smaller_hole_leaves_more_thread_and_takes_more_torque(size: tuple[float, float], part: float) -> None:
    D, P = size
    wide, narrow = tap_drill(D, P, part), tap_drill(D, P, part + 0.1)

    assert engagement_of_full_depth(D, narrow, P) > engagement_of_full_depth(D, wide, P)
    assert tapping_torque(4e9, 1.15, D, narrow) > tapping_torque(4e9, 1.15, D, wide)


@given(sizes)
def test_the_tapping_torque_is_the_force_on_the_triangle_integrated_over_the_radius(size: tuple[float, float]) -> None:
    D, P = size
    hole = standard_tap_drill(D, P)

    def force(r: float) -> float:
        return 4e9 * 2 * (D / 2 - r) * tan(0.5235987755982988)

    torque, _ = quad(lambda r: force(r) * r, hole / 2, D / 2)

    assert tapping_torque(4e9, 1.0, D, hole) == pytest.approx(torque, rel=1e-6)


@given(sizes)
def test_the_standard_drill_leaves_between_70_and_80_percent_of_the_full_depth(size: tuple[float, float]) -> None:
    D, P = size

    assert 0.70 < engagement_of_full_depth(D, standard_tap_drill(D, P), P) < 0.80


@given(sizes)
def test_a_forming_tap_wants_a_larger_hole_than_a_cutting_tap(size: tuple[float, float]) -> None:
    least, most = forming_tap_hole(*size)

    assert standard_tap_drill(*size) < least < most < size[0]


@given(sizes)
def test_a_thread_gets_smaller_from_the_crest_to_the_root_of_the_bolt(size: tuple[float, float]) -> None:
    diameters = thread(*size)

    assert list(diameters) == sorted(diameters, reverse=True)


@given(sizes, st.floats(0.002, 0.05), st.sampled_from("ABCDEF"))
def test_hole_depth_and_full_thread_are_each_other_turned_round(size: tuple[float, float], full: float, form: str) -> None:
    _, P = size
    lead = tap_lead(form).most
    depth = hole_depth_for_thread(full, P, lead)

    assert full_thread_in_hole(depth, P, lead) == pytest.approx(full)
    assert hole_depth_for_thread(full, P, lead + 1) > depth


def test_a_hole_shallower_than_the_chamfer_holds_no_full_thread() -> None:
    assert full_thread_in_hole(0.004, 0.0015, lead=3) == 0


@given(st.floats(0.002, 0.05))
def test_a_larger_thread_needs_less_extra_depth_by_the_british_rule(full: float) -> None:
    extra = [hole_depth_by_diameter(full, D) for D in (0.005, 0.006, 0.012, 0.016)]

    assert extra == sorted(extra, reverse=True)


@given(st.floats(1, 60), sizes, st.floats(0.005, 0.05))
def test_the_right_feed_needs_no_float_and_twice_the_error_twice_as_much(
    n: float, size: tuple[float, float], depth: float
) -> None:
    right = tapping_feed_speed(n, size[1])

    assert float_needed(right, n, size[1], depth) == pytest.approx(0, abs=1e-12)
    assert float_needed(1.02 * right, n, size[1], depth) == pytest.approx(2 * float_needed(1.01 * right, n, size[1], depth))


@given(st.floats(0.1, 20), st.floats(1, 50))
def test_twice_the_limit_halves_its_use(M: float, limit: float) -> None:
    assert torque_use(M, 2 * limit) == pytest.approx(torque_use(M, limit) / 2)


def test_a_core_twice_as_thick_bears_eight_times_the_torque() -> None:
    assert core_torque_limit(0.008, 8e8) == pytest.approx(8 * core_torque_limit(0.004, 8e8))


def test_a_forming_tap_takes_twice_the_torque_of_any_cutting_tap() -> None:
    cutting = [relative_torque(tap) for tap in ("spiral point", "spiral flute", "hand tap")]

    assert [most for _, most in cutting] == sorted(most for _, most in cutting)
    assert relative_torque("forming tap")[0] == 2 * cutting[-1][1]


def test_both_torque_formulas_agree_within_their_worth() -> None:
    for D, P in ((0.006, 0.001), (0.010, 0.0015), (0.012, 0.00175)):
        long = tapping_torque(tapping_force("Ck45"), tap_factor("spiral flute", "steel"), D, standard_tap_drill(D, P))
        short = short_tapping_torque(short_tapping_force("structural steel 500 to 950 MPa"), D, P)

        assert long == pytest.approx(short, rel=0.15)


@pytest.mark.parametrize(
    "call",
    [
        lambda: thread(0.010, 0.005),
        lambda: engagement_of_full_depth(0.010, 0.0105, 0.0015),
        lambda: engagement_of_full_depth(0.010, 0.0070, 0.0015),
        lambda: tap_drill(0.010, 0.0015, 1.1),
        lambda: standard_tap_drill(0.010, 0.00125),
        lambda: tapping_torque(4e9, 1.0, 0.010, 0.011),
        lambda: tap_factor("spiral flute", "brass", fine=True),
        lambda: tapping_force("stone"),
        lambda: torque_use(5.0, 0.0),
        lambda: tap_lead("G"),
        lambda: float_needed(0.01, 0.0, 0.0015, 0.02),
    ],
)
def test_threads_that_cannot_be_have_no_number(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]


def test_a_thread_that_lost_its_last_digits_on_the_way_through_units_is_found_in_the_table() -> None:
    """ISO 2306: M10 x 1.5 is drilled 8.5 mm."""
    for lost in (1 + 5e-7, 1 - 5e-7):
        assert standard_tap_drill(0.010 * lost, 0.0015) == standard_tap_drill(0.010, 0.0015 * lost) == pytest.approx(0.0085)
    with pytest.raises(OutOfRange):
        standard_tap_drill(0.01001, 0.0015)


@pytest.mark.parametrize(
    ("D", "factor"), [(0.003, 1.25), (0.00599, 1.25), (0.006, 1.20), (0.012, 1.20), (0.01201, 1.15), (0.024, 1.15)]
)
def test_the_hole_of_a_thread_is_deeper_by_a_quarter_a_fifth_or_fifteen_percent(D: float, factor: float) -> None:
    """BS 1936 (undercuts and runouts for screw threads), as printed on an engineering reference page."""
    assert hole_depth_by_diameter(0.020, D) == pytest.approx(0.020 * factor)


def test_what_lies_below_the_full_thread_is_lead_clearance_and_centre() -> None:
    plain = hole_depth_for_thread(0.020, 0.0015, 4.0)

    assert plain == pytest.approx(0.020 + (4.0 + 1.0) * 0.0015)
    assert hole_depth_for_thread(0.020, 0.0015, 4.0, centre=0.002) - plain == pytest.approx(0.002)
    for centre, clearance in ((0.0, 1.0), (0.002, 0.0), (0.001, 3.0)):
        deep = hole_depth_for_thread(0.020, 0.0015, 4.0, centre, clearance)
        assert full_thread_in_hole(deep, 0.0015, 4.0, centre, clearance) == pytest.approx(0.020)


def test_a_thread_of_two_starts_is_fed_twice_its_pitch_a_turn() -> None:
    assert tapping_feed_speed(5.0, 0.0015, starts=2) == pytest.approx(2 * tapping_feed_speed(5.0, 0.0015)) == pytest.approx(0.015)
