"""How deep a drill goes: advice in print as bands, pilots, pecks, flutes, tolerances."""

from math import inf, isnan, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.physics import OutOfRange
from coolcheck.physics.drill_lengths import (
    depth_within_flutes,
    flute_length_needed,
    hardmetal_flute_length,
    hole_grades,
    jobber_flute_length,
    pilot_limits,
    tolerance,
)
from coolcheck.physics.drilling_depth import (
    chip_bulk_ratio,
    decides,
    depth_reduction,
    diameter_speed_factor,
    drilling_pressure,
    feed_at_interruption,
    hss_drilling_speed,
    one_pass_depth,
    peck_by_chip_room,
    peck_depth,
    pilot,
)
from coolcheck.physics.tables import table

diameters = st.floats(0.0031, 0.016)


@given(diameters)
def test_fluid_through_the_tool_and_more_pressure_never_make_one_pass_shallower(DC: float) -> None:
    outside = one_pass_depth("drill", "hardmetal", "outside", DC)
    usual = one_pass_depth("drill", "hardmetal", "through_tool", DC, pressure=20e5)
    high = one_pass_depth("drill", "hardmetal", "through_tool", DC, pressure=70e5)

    assert outside.low < usual.low < high.low
    assert outside.high < usual.high <= high.high


@given(diameters)
def test_the_bounds_of_one_pass_grow_with_the_diameter(DC: float) -> None:
    small, large = (one_pass_depth("drill", "HSS", "outside", d) for d in (DC, 2 * DC))

    assert large.low == pytest.approx(2 * small.low)
    assert large.high == pytest.approx(2 * small.high)


def test_a_drill_with_fluid_holes_and_too_little_pressure_has_no_rule_in_print() -> None:
    with pytest.raises(OutOfRange, match="10 bar"):
        one_pass_depth("drill", "hardmetal", "through_tool", 0.0085, pressure=10e5)


def test_an_hss_drill_with_fluid_holes_has_no_upper_bound_in_print_and_so_no_beyond() -> None:
    advice = one_pass_depth("drill", "HSS", "through_tool", 0.010, pressure=30e5)

    assert advice.high == inf
    assert [decides(advice, depth) for depth in (0.040, 0.300)] == ["within", "between"]


def test_a_gun_drill_reaches_deeper_than_any_twist_drill() -> None:
    gun = one_pass_depth("gun_drill", "hardmetal", "through_tool", 0.006)

    assert gun.low == pytest.approx(0.600)
    assert gun.low > one_pass_depth("drill", "hardmetal", "through_tool", 0.006, pressure=80e5).high


def test_every_rule_says_its_source_and_whether_it_was_read() -> None:
    rules = [one_pass_depth("drill", "hardmetal", "through_tool", 0.006, p) for p in (30e5, 70e5)]

    assert [rule.is_from_memory for rule in rules] == [True, False]
    for name in ("one_pass_depth_rules", "pressure_rules", "peck_rules", "pilot_rules", "feed_at_interruptions"):
        assert all(len(row["source"]) > 20 for row in table(name))


@given(diameters)
def test_the_first_peck_may_be_deeper_than_those_that_follow(DC: float) -> None:
    first, following = (peck_depth(stroke, "HSS", "outside", DC) for stroke in ("first", "next"))

    assert following.high <= first.low
    assert following.low < following.high


@given(st.floats(0.001, 0.2), st.floats(2, 50))
def test_bulkier_chips_leave_room_for_a_shallower_peck(depth: float, ratio: float) -> None:
    assert peck_by_chip_room(depth, 2 * ratio) == pytest.approx(peck_by_chip_room(depth, ratio) / 2)


def test_curly_chips_are_bulkier_than_broken_ones() -> None:
    assert chip_bulk_ratio("steel", "light turnings")[0] > chip_bulk_ratio("steel", "broken")[1]


@given(st.floats(0, 6), st.floats(0, 6))
def test_a_deeper_hole_never_allows_more_speed_or_feed(a: float, b: float) -> None:
    shallow, deep = (depth_reduction(ratio * 0.010, 0.010) for ratio in sorted((a, b)))

    assert deep.speed <= shallow.speed and deep.feed <= shallow.feed


def test_beyond_six_diameters_the_reduction_is_not_in_print() -> None:
    assert depth_reduction(0.0306, 0.0051).speed == pytest.approx(0.6)  # six diameters, give or take the last bit
    with pytest.raises(OutOfRange):
        depth_reduction(0.0612, 0.010)


def test_a_pilot_is_needed_from_the_printed_depth_on() -> None:
    needs = [pilot("drill", "hardmetal", 0.010, depth).is_needed for depth in (0.159, 0.160, 0.300)]

    assert needs == [False, True, True]
    assert pilot("gun_drill", "hardmetal", 0.010, 0.020).is_needed
    assert isnan(pilot("gun_drill", "hardmetal", 0.010, 0.020).vf)


def test_print_says_nothing_about_pilots_of_hss_drills() -> None:
    with pytest.raises(OutOfRange):
        pilot("drill", "HSS", 0.010, 0.2)


@given(diameters)
def test_a_deeper_hole_wants_no_less_pressure(DC: float) -> None:
    pressures = [drilling_pressure("drill", "hardmetal", DC, ratio * DC).low for ratio in (3, 15, 20, 30)]

    assert pressures == sorted(pressures)


def test_a_smaller_gun_drill_wants_more_pressure() -> None:
    pressures = [drilling_pressure("gun_drill", "hardmetal", DC, 0.3).low for DC in (0.060, 0.010, 0.0015)]

    assert pressures == sorted(pressures)


@given(diameters, st.floats(0.001, 0.3), st.floats(1.0, 3.1))
def test_flute_length_and_depth_are_each_other_turned_round(DC: float, depth: float, SIG: float) -> None:
    assert depth_within_flutes(flute_length_needed(depth, DC, SIG), DC, SIG) == pytest.approx(depth)


def test_the_chip_room_of_a_record_takes_the_place_of_the_usual_one() -> None:
    usual, own = flute_length_needed(0.060, 0.010, radians(118)), flute_length_needed(0.060, 0.010, radians(118), chip_room=0.005)

    assert usual - own == pytest.approx(0.010)


def test_a_jobber_drill_reaches_ten_diameters_only_when_it_is_small() -> None:
    ratios = [jobber_flute_length(DC) / DC for DC in (0.001, 0.005, 0.010, 0.020)]

    assert ratios == sorted(ratios, reverse=True)
    assert ratios[0] >= 12 and ratios[-1] == pytest.approx(7)
    with pytest.raises(OutOfRange):
        jobber_flute_length(0.0085)


def test_a_long_hardmetal_drill_has_longer_flutes_than_a_short_one() -> None:
    assert hardmetal_flute_length(0.0085, "L") > hardmetal_flute_length(0.0085, "K")


@given(st.floats(0.001, 0.050), st.sampled_from(range(6, 13)))
def test_a_coarser_grade_is_wider(size: float, grade: int) -> None:
    assert tolerance(size, f"IT{grade}") < tolerance(size, f"IT{grade + 1}")


@given(st.floats(0.001, 0.050))
def test_a_pilot_is_wider_than_the_drill_that_follows(DC: float) -> None:
    limits = pilot_limits(DC)

    assert DC < limits.least < limits.most < DC + 0.0002


def test_a_reamed_hole_is_finer_than_a_drilled_one() -> None:
    assert hole_grades("reamed")[1] < hole_grades("twist drill")[0]


def test_a_harder_material_is_drilled_slower_and_a_larger_drill_faster() -> None:
    assert hss_drilling_speed("steel 50 to 55 HRC")[1] < hss_drilling_speed("mild steel")[0]
    assert diameter_speed_factor(0.020) > diameter_speed_factor(0.005)
    assert feed_at_interruption("cross hole") < 1


@pytest.mark.parametrize(
    "call",
    [
        lambda: one_pass_depth("drill", "ceramic", "outside", 0.01),
        lambda: peck_depth("first", "hardmetal", "through_tool", 0.01),
        lambda: peck_by_chip_room(0.1, 0.5),
        lambda: chip_bulk_ratio("steel", "ribbons"),
        lambda: drilling_pressure("drill", "HSS", 0.010, 0.300),
        lambda: hardmetal_flute_length(0.018, "L"),
        lambda: hardmetal_flute_length(0.010, "X"),
        lambda: tolerance(0.060, "IT7"),
        lambda: tolerance(0.010, "IT3"),
        lambda: hole_grades("punched"),
        lambda: diameter_speed_factor(0.060),
        lambda: feed_at_interruption("air"),
        lambda: decides(one_pass_depth("drill", "HSS", "outside", 0.01), float("nan")),
    ],
)
def test_what_print_does_not_say_is_not_made_up(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]
