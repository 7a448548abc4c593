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
    Advice,
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


def limits(row: dict[str, str], low: str, high: str) -> list[float]:
    """The bounds of a row that its source does set."""
    return [float(row[name]) for name in (low, high) if row[name]]


@pytest.mark.parametrize("row", table("one_pass_depth_rules"), ids=lambda row: row["rule"])
def test_a_rule_of_one_pass_holds_from_its_least_to_its_most_diameter_and_from_its_least_pressure_on(row: dict[str, str]) -> None:
    pressure = float(row["least_bar"] or 0) * 1e5
    for DC in limits(row, "least_DC_mm", "most_DC_mm") or [8.0]:
        advice = one_pass_depth(row["tool"], row["substrate"] or "HSS", row["fluid"], DC / 1000, pressure)
        assert advice.low >= float(row["sure_D"]) * DC / 1000 - 1e-12


@pytest.mark.parametrize("row", table("one_pass_depth_rules"), ids=lambda row: row["rule"])
def test_a_rule_of_one_pass_does_not_hold_beyond_its_diameters_or_below_its_pressure(row: dict[str, str]) -> None:
    def rule(DC: float, bar: float) -> str:
        try:
            return one_pass_depth(row["tool"], row["substrate"] or "HSS", row["fluid"], DC / 1000, bar * 1e5).rule
        except OutOfRange:
            return "none"

    bar = float(row["least_bar"] or 0)
    least, most = float(row["least_DC_mm"] or 0), float(row["most_DC_mm"] or inf)
    if least:
        assert rule(least - 1e-6, bar) != row["rule"]
    if most < inf:
        assert rule(most + 1e-6, bar) != row["rule"]
    if bar:
        assert rule(min(max(least + 0.5, 8.0), most), bar - 1e-6) != row["rule"]


def test_of_several_rules_the_deepest_counts_and_says_its_source() -> None:
    row = next(row for row in table("one_pass_depth_rules") if row["rule"] == "hardmetal drill with fluid holes")
    advice = one_pass_depth("drill", "hardmetal", "through_tool", 0.0031, pressure=69e5)

    assert (advice.rule, advice.source) == (row["rule"], row["source"])
    assert (advice.low, advice.high) == pytest.approx((14 * 0.0031, 15 * 0.0031))


@pytest.mark.parametrize("row", table("pressure_rules"), ids=lambda row: row["rule"])
def test_a_rule_of_pressure_holds_from_its_least_depth_and_diameter_up_to_but_without_its_most(row: dict[str, str]) -> None:
    def rule(DC: float, ratio: float) -> str:
        try:
            return drilling_pressure(row["tool"], row["substrate"] or "HSS", DC / 1000, ratio * DC / 1000).rule
        except OutOfRange:
            return "none"

    DC = float(row["least_DC_mm"] or 0) or 1.0
    ratio = float(row["least_depth_D"] or 0)
    advice = drilling_pressure(row["tool"], row["substrate"] or "HSS", DC / 1000, ratio * DC / 1000)

    assert (advice.rule, advice.source) == (row["rule"], row["source"])
    assert advice.low == pytest.approx(float(row["least_bar"]) * 1e5)
    assert advice.high == (pytest.approx(float(row["most_bar"]) * 1e5) if row["most_bar"] else inf)
    if ratio:
        assert rule(DC, ratio - 1e-6) != row["rule"]
    if row["least_DC_mm"]:
        assert rule(DC - 1e-6, ratio) != row["rule"]
    if row["most_depth_D"]:
        assert rule(DC, float(row["most_depth_D"])) != row["rule"]
    if row["most_DC_mm"]:
        assert rule(float(row["most_DC_mm"]), ratio) != row["rule"]


@pytest.mark.parametrize("row", table("pilot_rules"), ids=lambda row: row["tool"])
def test_a_rule_of_pilots_gives_depth_entry_and_tolerance_as_it_is_printed(row: dict[str, str]) -> None:
    DC, first = 0.008, float(row["from_depth_D"])
    found = pilot(row["tool"], row["substrate"] or "hardmetal", DC, first * DC)

    assert found.is_needed and found.source == row["source"] and found.tolerance == row["tolerance"]
    assert found[1:4] == pytest.approx([float(row[name]) * DC for name in ("from_depth_D", "least_pilot_D", "most_pilot_D")])
    assert found.n * 60 == pytest.approx(float(row["entry_rpm"] or "nan"), nan_ok=True, rel=1e-9)
    assert found.vf * 60_000 == pytest.approx(float(row["entry_mm_min"] or "nan"), nan_ok=True, rel=1e-9)
    if first:
        assert not pilot(row["tool"], row["substrate"] or "hardmetal", DC, first * DC - 1e-6).is_needed


@pytest.mark.parametrize("row", table("peck_rules"), ids=lambda row: f"{row['stroke']} {row['substrate']}")
def test_a_rule_of_pecks_gives_its_depths_and_says_whose_it_is(row: dict[str, str]) -> None:
    advice = peck_depth(row["stroke"], row["substrate"], row["fluid"], 0.010)

    assert (advice.low, advice.high) == pytest.approx((float(row["least_D"]) / 100, float(row["most_D"]) / 100))
    assert advice.rule == f"{row['stroke']} peck of a {row['substrate']} {row['tool']}"
    assert advice.source == row["source"]


def test_a_bound_itself_is_within_give_or_take_the_last_digits() -> None:
    advice = Advice(1.0, 2.0, "a rule", "a page")
    last = 1 + 1e-9

    assert [decides(advice, value) for value in (1.0, last, 1.0 + 1e-8, 2.0, 2 * last, 2.0 + 1e-8)] == [
        "within", "within", "between", "between", "between", "beyond",
    ]  # fmt: skip


@pytest.mark.parametrize("row", table("drill_shop_depth_reduction"), ids=lambda row: row["depth_D"])
def test_speed_and_feed_are_reduced_as_printed_and_not_at_all_in_shallow_holes(row: dict[str, str]) -> None:
    reduction = depth_reduction(float(row["depth_D"]) * 0.010, 0.010)

    assert reduction == pytest.approx((float(row["speed"]), float(row["feed"])))
    assert depth_reduction(0.010, 0.010) == (1.0, 1.0)
    assert depth_reduction(0.025, 0.010) == pytest.approx((0.95, 0.95))  # half way between 2 and 3 D


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


def test_the_chip_room_of_a_record_counts_in_the_depth_too() -> None:
    for room in (0.0, 0.005, 0.030):
        needed = flute_length_needed(0.060, 0.010, radians(118), chip_room=room)
        assert depth_within_flutes(needed, 0.010, radians(118), chip_room=room) == pytest.approx(0.060)


@pytest.mark.parametrize("row", table("din6537_lengths"), ids=lambda row: row["to_mm"])
def test_a_hardmetal_drill_of_the_last_diameter_of_a_row_has_the_flutes_of_that_row(row: dict[str, str]) -> None:
    for series in "KL":
        assert hardmetal_flute_length(float(row["to_mm"]) / 1000, series) == float(row[f"{series}_flute"]) / 1000


@pytest.mark.parametrize("row", table("iso286_tolerances"), ids=lambda row: row["to"])
def test_tolerances_are_those_of_the_print(row: dict[str, str]) -> None:
    size = float(row["to"]) / 1000

    for grade in (f"IT{number}" for number in range(6, 14)):
        assert tolerance(size, grade) * 1e6 == pytest.approx(float(row[grade]), rel=1e-9)
    assert (pilot_limits(size).least - size) * 1e6 == pytest.approx(float(row["F"]), abs=1e-6)
    assert (pilot_limits(size, "IT10").most - size) * 1e6 == pytest.approx(float(row["F"]) + float(row["IT10"]), abs=1e-6)


@pytest.mark.parametrize("row", table("drill_shop_hss_speeds"), ids=lambda row: row["material"])
def test_speeds_of_hss_drills_are_those_of_the_print(row: dict[str, str]) -> None:
    assert [vc * 60 for vc in hss_drilling_speed(row["material"])] == pytest.approx([float(row["least"]), float(row["most"])])


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
