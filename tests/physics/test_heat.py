"""Heat of cutting and of pecking: it moves with its inputs as physics says."""

from math import atan, cos, isclose, sin, sqrt, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.physics.convection import heat_transfer_coefficient, heat_transfer_envelope
from coolcheck.physics.heat import (
    boothroyd_rise,
    cook_rise,
    flow_for_heat,
    fluid_rise,
    friction_rise,
    heat_into_fluid,
    heat_share,
    loewen_shaw_chip_share,
    shear_plane_rise,
    trigger_law,
    work_share_of_shear_heat,
)
from coolcheck.physics.orthogonal import slip_line_shear_angle
from coolcheck.physics.peck_heat import peck_heat_ratio, rubbing_seconds, wall_flux, wall_rise
from coolcheck.physics.valid import OutOfRange

CUT = {"U": 2.2e9, "rho_c": 3.62e6, "v": 3.0, "to": 0.25e-3, "K": 12.7e-6}
MODES = ["dry", "air", "through_air", "mist", "minimum_quantity", "flood", "ring", "nozzle", "wash", "through_tool"]


@pytest.mark.parametrize(("name", "power"), [("U", 1.0), ("v", 0.333), ("to", 0.333), ("K", -0.333), ("rho_c", -1.0)])
def test_the_rise_goes_with_each_input_to_the_power_of_cook(name, power):
    doubled = cook_rise(**(CUT | {name: 2 * CUT[name]}))

    assert isclose(doubled / cook_rise(**CUT), 2**power, rel_tol=1e-9)


@given(v=st.floats(1.5, 2.8))
def test_a_faster_cut_is_hotter_by_the_second_model_too(v):
    cut = {"tau": 400e6, "rake": 0.0, "mu": 0.5, "rho": 7200.0, "c": 502.0, "k": 43.6, "t1": 0.25e-3, "w": 2e-3}

    assert boothroyd_rise(v=v * 1.05, **cut) > boothroyd_rise(v=v, **cut)


def test_the_rises_of_shear_plane_and_friction_are_independent_of_the_width_of_cut():
    cut = {"tau": 400e6, "rake": 0.0, "mu": 0.5, "rho": 7200.0, "c": 502.0, "k": 43.6, "v": 2.0, "t1": 0.25e-3}

    assert isclose(boothroyd_rise(w=2e-3, **cut), boothroyd_rise(w=4e-3, **cut), rel_tol=1e-9)


def test_half_of_the_shear_heat_in_the_work_halves_the_rise_of_the_shear_plane():
    cut = {"Wp": 1000.0, "rho": 7200.0, "c": 502.0, "v": 2.0, "t1": 0.25e-3, "w": 2e-3}

    assert isclose(shear_plane_rise(nu=0.5, **cut), shear_plane_rise(nu=0.0, **cut) / 2)


@pytest.mark.parametrize("rake", [-0.05, 0.0, 0.1, 0.2])
def test_the_second_model_shares_the_power_as_the_circle_of_forces_does(rake):
    """Merchant's circle: shear force along the shear plane at the shear speed, friction along the rake face at the chip speed."""
    tau, mu, v, t1, w = 400e6, 0.5, 2.0, 0.25e-3, 2e-3
    steel = {"rho": 7200.0, "c": 502.0}
    phi, beta = slip_line_shear_angle(rake, mu), atan(mu)
    shear = tau * t1 * w / sin(phi)
    friction = shear / cos(phi + beta - rake) * sin(beta)
    Ws = shear * v * cos(rake) / cos(phi - rake)
    Wf = friction * v * sin(phi) / cos(phi - rake)
    nu = work_share_of_shear_heat(steel["rho"] * steel["c"] * v * t1 / 43.6, phi)
    expected = shear_plane_rise(Ws, nu, v=v, t1=t1, w=w, **steel) + friction_rise(
        Wf, k=43.6, v=v, t1=t1, w=w, phi=phi, rake=rake, **steel
    )

    assert isclose(boothroyd_rise(tau, rake, mu, k=43.6, v=v, t1=t1, w=w, **steel), expected, rel_tol=1e-9)


def test_the_rise_along_the_rake_face_falls_with_the_root_of_the_contact_length():
    """The chip touches the rake face over t1 (1 + tan(phi - rake)): Ghosh and Mallik, Ex. 4.6."""
    steep, flat = (friction_rise(266.7, 7200.0, 502.0, 43.6, 2.0, 0.25e-3, 2e-3, 0.5, rake) for rake in (0.2, -0.2))

    assert isclose(steep / flat, sqrt((1 + tan(0.7)) / (1 + tan(0.3))), rel_tol=1e-9)


def test_heat_shares_are_told_of_turning_and_milling_with_their_source():
    for cutting in ("turning", "milling"):
        share = heat_share("tool", cutting)
        assert 0 < share.low <= share.likely <= share.high < 1 and share.source


def test_a_hole_that_begins_below_the_face_is_only_as_deep_as_it_is_cut():
    from_below = [(0.005, 0.01, -0.002), (0.0095, 0.02, -0.002)]
    rubbing = rubbing_seconds(from_below, vf=0.01, rapid=0.5)

    assert isclose(peck_heat_ratio(from_below, 0.01, 0.5, 0.5), 1 + 0.5 * rubbing / (0.015 / 0.01))


@pytest.mark.parametrize("second", [(0.0095, 0.01, 0.0), (0.0095, 0.0099, 0.0), (0.011, 0.02, 0.0)])
def test_a_stroke_that_does_not_go_on_from_the_last_floor_is_refused(second):
    with pytest.raises(OutOfRange, match="go on from 0.01"):
        rubbing_seconds([(0.0, 0.01, -0.002), second], 0.01, 0.5)


def test_a_stroke_may_begin_right_at_the_last_floor():
    assert isclose(rubbing_seconds([(0.0, 0.01, 0.0), (0.01, 0.02, 0.0)], 0.01, 0.5), 2 * 0.01 / 0.5)


def test_twice_the_friction_power_is_twice_the_rise_along_the_rake_face():
    one, two = (friction_rise(Wf, 7200, 502, 43.6, 2.0, 0.25e-3, 2e-3, 0.32, 0) for Wf in (100, 200))

    assert isclose(two, 2 * one)


@given(v=st.floats(0.1, 10), t=st.floats(1e-5, 1e-3))
def test_more_of_the_heat_goes_with_the_chip_as_the_cut_gets_faster(v, t):
    assert 0 < loewen_shaw_chip_share(12.7e-6, 2.5, v, t) < loewen_shaw_chip_share(12.7e-6, 2.5, v * 1.1, t) < 1


@given(v1=st.floats(0.5, 2), ratio=st.floats(1.1, 3), K=st.floats(50, 500), m=st.floats(0.1, 0.6))
def test_two_readings_give_back_the_law_they_were_taken_from(v1, ratio, K, m):
    found = trigger_law(v1, K * v1**m, v1 * ratio, K * (v1 * ratio) ** m)

    assert isclose(found[0], K, rel_tol=1e-9)
    assert isclose(found[1], m, rel_tol=1e-9)


@given(P=st.floats(1, 1e5), rise=st.floats(0.1, 30))
def test_flow_and_rise_are_the_reverse_of_each_other(P, rise):
    assert isclose(fluid_rise(P, flow_for_heat(P, rise, 995.0, 4080.0), 995.0, 4080.0), rise, rel_tol=1e-9)
    assert isclose(flow_for_heat(2 * P, rise, 995.0, 4080.0), 2 * flow_for_heat(P, rise, 995.0, 4080.0), rel_tol=1e-9)


@pytest.mark.parametrize("mode", MODES)
def test_every_fluid_mode_has_a_band_with_a_source(mode):
    band = heat_transfer_coefficient(mode)

    assert 0 < band.low <= band.likely <= band.high
    assert band.source


def test_fluids_cool_in_the_order_that_a_shop_knows():
    order = (("dry", ""), ("flood", "neat_oil"), ("mist", ""), ("flood", "water_mix"))
    likely = [heat_transfer_coefficient(mode, base).likely for mode, base in order]

    assert likely == sorted(likely)
    assert heat_transfer_envelope("boiling").high < heat_transfer_envelope("grinding wet").low


PECKS = [(0.0, 0.010, -0.002), (0.0095, 0.020, -0.002), (0.0195, 0.030, -0.002)]


def test_rubbing_time_is_that_of_the_way_back_and_the_clearance():
    # Out and in through 10 and 20 mm, less the 0.5 mm that is fed instead, at 0.5 m/s; twice 0.5 mm at 10 mm/s.
    rapid_way = 0.010 + 0.0095 + 0.020 + 0.0195

    assert isclose(rubbing_seconds(PECKS, vf=0.010, rapid=0.5), rapid_way / 0.5 + 2 * 0.0005 / 0.010, rel_tol=1e-9)


def test_a_chip_break_peck_rubs_only_its_own_short_way():
    short = [(0.0, 0.010, 0.009), (0.0099, 0.020, 0.019)]

    assert isclose(rubbing_seconds(short, vf=0.01, rapid=0.5), 0.001 / 0.5 + 0.0009 / 0.5 + 0.0001 / 0.01, rel_tol=1e-9)


def pecks(count, depth=0.03, clearance=0.0005):
    step = depth / count
    return [(max(i * step - clearance, 0.0), (i + 1) * step, -0.002) for i in range(count)]


@given(count=st.integers(1, 20), rub=st.floats(0.05, 1))
def test_more_pecks_leave_more_heat_in_the_wall(count, rub):
    few, many = (peck_heat_ratio(pecks(n), vf=0.01, rapid=0.5, rub=rub) for n in (count, count + 1))

    assert many > few >= 1
    assert (count == 1) == (few == 1)


def test_pecking_without_friction_leaves_no_more_than_one_pass():
    assert peck_heat_ratio(PECKS, vf=0.01, rapid=0.5, rub=0.0) == 1.0


@given(visits=st.integers(1, 10), pause=st.floats(0.05, 5))
def test_a_wall_visited_once_more_is_hotter_and_a_longer_pause_lets_it_cool(visits, pause):
    def rise(count, gap):
        pulses = [(i * (0.2 + gap), i * (0.2 + gap) + 0.2, 1e6) for i in range(count)]
        return wall_rise(pulses, pulses[-1][1], 45.0, 1.2e-5)

    assert rise(visits + 1, pause) > rise(visits, pause)
    assert rise(visits + 1, pause) > rise(visits + 1, 2 * pause)


@pytest.mark.parametrize(
    "call",
    [
        lambda: heat_transfer_coefficient("through_tool", p=70e5),
        lambda: heat_transfer_coefficient("flood", base="liquid nitrogen"),
        lambda: heat_transfer_coefficient("fan"),
        lambda: heat_share("tool", cutting="drilling"),
        lambda: heat_share("operator"),
        lambda: heat_into_fluid(1000.0, 1.2),
        lambda: work_share_of_shear_heat(20.0, 0.32),
        lambda: work_share_of_shear_heat(200.0, 0.32),
        lambda: cook_rise(1e9, 0.0, 1.0, 1e-4, 1e-5),
        lambda: trigger_law(1.0, 500.0, 1.0, 600.0),
        lambda: flow_for_heat(1000.0, 0.0, 1000.0, 4184.0),
        lambda: wall_flux(1000.0, 1.5, 0.01, 0.003),
        lambda: peck_heat_ratio([], 0.01, 0.5, 0.5),
        lambda: peck_heat_ratio(list(reversed(PECKS)), 0.01, 0.5, 0.5),
        lambda: peck_heat_ratio(PECKS, 0.01, 0.5, 2.0),
        lambda: rubbing_seconds(PECKS, 0.0, 0.5),
    ],
)
def test_outside_the_range_there_is_no_number(call):
    with pytest.raises(OutOfRange):
        call()
