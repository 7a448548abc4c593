"""Speeds, feeds, removal rates, approach and chip thickness: geometry checked by other geometry."""

from math import cos, pi, radians, sin, sqrt, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from coolcheck.physics import OutOfRange
from coolcheck.physics.cutting import (
    approach_face,
    approach_peripheral,
    contact_angle,
    cutting_speed,
    drill_point_length,
    feed_per_revolution,
    feed_per_tooth,
    feed_speed,
    machining_time,
    mean_chip_thickness,
    removal_rate_drilling,
    removal_rate_milling,
    removal_rate_tapping,
    removal_rate_turning,
    spindle_speed,
    tooth_contact_time,
    turning_time,
)

diameters = st.floats(0.0005, 0.2)
speeds = st.floats(0.01, 20.0)
parts = st.floats(0.01, 1.0)


@given(speeds, diameters)
def test_spindle_speed_and_cutting_speed_are_each_other_turned_round(vc: float, DC: float) -> None:
    assert cutting_speed(spindle_speed(vc, DC), DC) == pytest.approx(vc)


@given(speeds, diameters)
def test_half_the_diameter_turns_twice_as_fast(vc: float, DC: float) -> None:
    assert spindle_speed(vc, DC / 2) == pytest.approx(2 * spindle_speed(vc, DC))


@given(st.floats(1, 500), st.floats(1e-5, 1e-3), st.integers(1, 12))
def test_feed_per_revolution_is_the_feed_of_all_teeth(n: float, f: float, z: int) -> None:
    vf = feed_speed(n, f)

    assert feed_per_revolution(vf, n) == pytest.approx(f)
    assert z * feed_per_tooth(vf, n, z) == pytest.approx(f)


@given(diameters, parts, st.floats(0.0001, 0.05))
def test_opening_a_hole_removes_the_solid_less_the_hole(DC: float, part: float, vf: float) -> None:
    hole = DC * part
    solid, core = removal_rate_drilling(DC, vf), removal_rate_drilling(hole, vf)

    assert removal_rate_drilling(DC, vf, hole) == pytest.approx(solid - core, abs=1e-12)


def test_the_volume_turned_off_is_the_ring_when_the_mean_diameter_is_taken() -> None:
    D, ap, f, L, n = 0.0125, 0.00025, 0.0005, 0.15, 400 / 60
    ring = pi / 4 * (D**2 - (D - 2 * ap) ** 2) * L

    volume = removal_rate_turning(cutting_speed(n, D - ap), f, ap) * machining_time(L, feed_speed(n, f))

    assert volume == pytest.approx(ring)


def test_the_volume_tapped_is_the_groove_integrated_over_the_radius() -> None:
    D, hole, P, n = 0.010, 0.0085, 0.0015, 5.0

    def width(r: float) -> float:
        return P / 8 + 2 * (D / 2 - r) / sqrt(3)

    groove, _ = quad(width, hole / 2, D / 2)
    mean, _ = quad(lambda r: 2 * pi * r * width(r), hole / 2, D / 2)

    assert removal_rate_tapping(D, hole, P, n) == pytest.approx(groove * 2 * pi * (hole + D) / 4 * n)
    assert removal_rate_tapping(D, hole, P, n) == pytest.approx(mean * n, rel=0.02)  # the centroid lies a little lower


@given(diameters)
def test_a_flat_drill_has_no_point_and_a_sharper_one_a_longer(DC: float) -> None:
    assert drill_point_length(DC, pi) == pytest.approx(0, abs=1e-12)
    assert drill_point_length(DC, radians(90)) == pytest.approx(DC / 2)
    assert drill_point_length(DC, radians(118)) > drill_point_length(DC, radians(140))


@given(diameters, parts)
def test_a_cutter_is_in_up_to_the_point_its_circle_says(DC: float, part: float) -> None:
    ae = part * DC
    approach = approach_peripheral(DC, ae)

    assert approach**2 + (DC / 2 - ae) ** 2 == pytest.approx((DC / 2) ** 2)


@given(diameters, parts)
def test_a_face_mill_needs_less_approach_for_narrow_work_and_never_more_than_its_radius(DC: float, part: float) -> None:
    assert approach_face(DC, part * DC / 2) <= approach_face(DC, part * DC) <= DC / 2
    assert approach_face(DC, 2 * DC) == DC / 2


@given(st.floats(1e-5, 5e-4), diameters, st.floats(0.01, 0.99), st.floats(0.3, pi / 2))
def test_the_mean_chip_is_the_chip_integrated_over_the_contact(fz: float, DC: float, part: float, KAPR: float) -> None:
    phi = contact_angle(DC, part * DC)
    mean = fz * sin(KAPR) * (1 - cos(phi)) / phi

    assert mean_chip_thickness(fz, DC, part * DC, KAPR) == pytest.approx(mean)


def test_a_slot_has_a_tooth_in_the_work_for_half_a_turn() -> None:
    assert contact_angle(0.01, 0.01) == pytest.approx(pi)
    assert tooth_contact_time(0.01, 0.01, 50) == pytest.approx(0.01)


@given(st.floats(0.01, 2), st.floats(0.001, 0.1), st.floats(0, 0.1), st.floats(0, 0.1))
def test_twice_the_feed_halves_the_time(L: float, vf: float, A: float, over: float) -> None:
    assert machining_time(L, 2 * vf, A, over) == pytest.approx(machining_time(L, vf, A, over) / 2)


@given(st.floats(0.01, 1), diameters, st.floats(1e-5, 1e-3), speeds)
def test_turning_twice_as_long_takes_twice_as_long(L: float, D: float, f: float, vc: float) -> None:
    assert turning_time(2 * L, D, f, vc) == pytest.approx(2 * turning_time(L, D, f, vc))


@given(st.floats(1e-5, 0.02), st.floats(1e-5, 0.02), st.floats(1e-5, 0.1))
def test_the_milled_volume_grows_with_each_of_its_factors(ap: float, ae: float, vf: float) -> None:
    assert removal_rate_milling(2 * ap, ae, vf) == removal_rate_milling(ap, 2 * ae, vf) == 2 * removal_rate_milling(ap, ae, vf)


@pytest.mark.parametrize(
    "call",
    [
        lambda: spindle_speed(1.0, 0.0),
        lambda: spindle_speed(-1.0, 0.01),
        lambda: feed_per_tooth(0.01, 10.0, 0),
        lambda: removal_rate_drilling(0.01, 0.001, hole=0.02),
        lambda: removal_rate_tapping(0.01, 0.011, 0.0015, 5),
        lambda: drill_point_length(0.01, 0.0),
        lambda: drill_point_length(0.01, 4.0),
        lambda: contact_angle(0.01, 0.02),
        lambda: mean_chip_thickness(1e-4, 0.01, 0.0),
        lambda: machining_time(0.1, 0.0),
        lambda: turning_time(0.1, 0.01, 0.0, 1.0),
        lambda: spindle_speed(float("nan"), 0.01),
    ],
)
def test_what_no_cutter_can_do_has_no_number(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]


def test_a_very_sharp_point_is_as_long_as_its_angle_says() -> None:
    assert drill_point_length(0.01, 0.5) == pytest.approx(0.005 / tan(0.25))


def test_rounding_makes_no_cut_wider_than_the_cutter() -> None:
    wide = 0.05 * (1 + 5e-10)

    assert contact_angle(0.05, wide) == pytest.approx(pi)
    assert approach_peripheral(0.05, wide) == 0.0
    assert mean_chip_thickness(1e-4, 0.05, wide) == pytest.approx(mean_chip_thickness(1e-4, 0.05, 0.05))
    with pytest.raises(OutOfRange, match="ae over DC"):
        contact_angle(0.05, 0.05 * (1 + 5e-9))
