"""What an edge needs, and the small checks around the pump."""

from math import inf, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.physics.band import Band
from coolcheck.physics.fluid_properties import emulsion, neat_oil, water
from coolcheck.physics.need import (
    channel_diameter_estimate,
    chip_flow,
    cooling_flow,
    delivery_depth,
    flow_per_power,
    guidance,
    gun_drill_chart,
    loose_chip_flow,
)
from coolcheck.physics.tables import table
from coolcheck.physics.tank import (
    coarsest_filter,
    filter_for,
    filter_load,
    line_fill_time,
    tank_warming,
    turnover_time,
    union_load,
)
from coolcheck.physics.valid import OutOfRange

LPM = 1e-3 / 60


@pytest.mark.parametrize("subject", sorted({row["for"] for row in table("fluid_guidance")}))
def test_every_guidance_says_what_who_and_whether_it_was_read(subject):
    for entry in guidance(subject):
        assert entry.says
        assert entry.source
        assert 0 < entry.low < entry.high
        assert entry.quantity in ("pressure", "flow")


def test_what_was_only_remembered_is_marked_so():
    remembered = (*gun_drill_chart(0.010), flow_per_power(1000.0))

    assert all(entry.is_read is False and "from memory" in entry.source for entry in remembered)
    assert all(entry.says and not entry.says.isupper() for entry in remembered)
    assert all(entry.is_read for entry in guidance("twist drill"))


@given(DC=st.floats(0.002, 0.029))
def test_a_smaller_gun_drill_needs_more_pressure_and_less_flow(DC):
    (small_p, small_Q), (large_p, large_Q) = gun_drill_chart(DC), gun_drill_chart(DC * 1.03)

    assert small_p.low > large_p.low
    assert small_p.high > large_p.high
    assert small_Q.low < large_Q.low
    assert small_Q.high < large_Q.high


def test_the_chart_keeps_its_own_rows():
    for row in table("gun_drill_chart"):
        pressure, flow = gun_drill_chart(float(row["DC"]) * 1e-3)
        for entry, letter, unit in ((pressure, "p", 1e5), (flow, "Q", LPM)):
            assert isclose(entry.low, float(row[f"{letter}_low"]) * unit, rel_tol=1e-9)
            assert isclose(entry.high, float(row[f"{letter}_high"]) * unit, rel_tol=1e-9)
        assert (pressure.quantity, flow.quantity) == ("pressure", "flow")


@pytest.mark.parametrize(
    ("DC", "ratio", "where"),
    [
        (0.002, 9, "either"),
        (0.002, 12, "inside"),
        (0.002, 16, "inside"),
        (0.003, 9, "either"),
        (0.00301, 9, "inside"),
        (0.01, 1.9, "outside"),
        (0.01, 2.0, "either"),
        (0.01, 2.5, "either"),
        (0.01, 3.0, "either"),
        (0.01, 3.1, "inside"),
    ],
)
def test_a_drill_is_fed_from_where_its_depth_asks(DC, ratio, where):
    assert delivery_depth(DC, ratio * DC)[0] == where


@given(P=st.floats(10, 1e5))
def test_twice_the_power_needs_twice_the_flow(P):
    one, two = (cooling_flow(power, water(300.0)) for power in (P, 2 * P))

    assert isclose(two.low, 2 * one.low, rel_tol=1e-9)
    assert isclose(flow_per_power(2 * P).low, 2 * flow_per_power(P).low, rel_tol=1e-9)


def test_oil_needs_more_flow_than_emulsion_for_the_same_heat():
    assert cooling_flow(1000.0, neat_oil(10, 313.15)).low > 2 * cooling_flow(1000.0, emulsion(293.15, 0.08)).low


def test_a_floor_of_flow_says_what_it_was_worked_out_from_and_has_no_upper_end_where_a_rule_gives_none():
    floor = cooling_flow(2500.0, water(300.0), least_rise=4.0, most_rise=8.0)

    assert floor.says == "heat balance: 2.5 kW at a rise of 4 to 8 K"
    assert (floor.source, floor.is_read) == ("heat balance; allowed rise is common practice, no source", True)
    assert flow_per_power(1000.0).high == inf


@pytest.mark.parametrize(("form", "times"), [("short", (3.0, 6.0, 10.0)), ("tangled", (50.0, 50.0, inf))])
def test_loose_chips_take_so_many_times_their_solid_volume(form, times):
    """From memory, as the function says."""
    room = loose_chip_flow(2e-6, form)

    assert (room.low, room.likely, room.high) == pytest.approx([2e-6 * bulk for bulk in times])
    assert room.source == "bulk of chips, from memory"


def test_the_channel_of_a_silent_record_is_a_tenth_to_three_twentieths_of_the_drill():
    """From memory, low confidence, as the function says."""
    band = channel_diameter_estimate(0.010)

    assert (band.low, band.likely, band.high) == pytest.approx((0.001, 0.00125, 0.0015))


def test_a_band_may_be_likely_at_either_end_and_no_further():
    assert Band(1.0, 1.0, 2.0, "us").scaled(2.0) == Band(2.0, 2.0, 4.0, "us")
    assert Band(1.0, 2.0, 2.0, "us").likely == 2.0
    for values in ((1.0, 0.9, 2.0), (1.0, 2.1, 2.0)):
        with pytest.raises(OutOfRange, match="low <= likely <= high"):
            Band(*values, "us")


def test_a_band_keeps_its_source_when_it_is_scaled():
    assert channel_diameter_estimate(0.010).source == "two-hole helical hardmetal rods, from memory, low confidence"
    for row in table("filter_guidance"):
        assert filter_for(row["use"]).source == row["source"]
        assert filter_for(row["use"]).high == pytest.approx(float(row["coarsest"]) * 1e-6)


def test_twice_the_diameter_makes_four_times_the_chips_and_tangled_chips_have_no_upper_end():
    assert isclose(chip_flow(0.02, 0.01), 4 * chip_flow(0.01, 0.01))
    assert loose_chip_flow(1e-6, "tangled").high == inf
    assert loose_chip_flow(1e-6, "short").high < loose_chip_flow(1e-6, "tangled").low


def test_a_filter_finer_than_a_tenth_of_the_passage_is_fine_enough():
    assert filter_load(40e-6, 0.0005) < 1 < filter_load(60e-6, 0.0005)
    assert isclose(coarsest_filter(0.001), 100e-6)


def test_a_union_is_as_loaded_as_the_nearer_of_its_limits():
    assert union_load(35e5, 70e5, 100.0, 400.0) == 0.5
    assert union_load(35e5, 70e5, 400.0, 400.0) == 1.0


@given(V=st.floats(0.05, 2), Q=st.floats(1e-5, 5e-3))
def test_a_larger_tank_turns_over_and_warms_more_slowly(V, Q):
    assert turnover_time(2 * V, Q) > turnover_time(V, Q)
    assert tank_warming(1000.0, 2 * V, 998.0, 4184.0) < tank_warming(1000.0, V, 998.0, 4184.0)
    assert line_fill_time(0.012, 3.0, Q) > line_fill_time(0.006, 3.0, Q)


@pytest.mark.parametrize(
    "call",
    [
        lambda: guidance("saw"),
        lambda: gun_drill_chart(0.001),
        lambda: gun_drill_chart(0.05),
        lambda: delivery_depth(0.002, 0.020),
        lambda: delivery_depth(0.002, 0.040),
        lambda: delivery_depth(0.0, 0.040),
        lambda: loose_chip_flow(1e-6, "dust"),
        lambda: channel_diameter_estimate(0.003),
        lambda: filter_for("coffee"),
        lambda: coarsest_filter(0.0),
        lambda: turnover_time(0.4, 0.0),
        lambda: union_load(35e5, 0.0, 100.0, 400.0),
        lambda: cooling_flow(1000.0, water(300.0), least_rise=0.0),
    ],
)
def test_outside_the_range_there_is_no_number(call):
    with pytest.raises(OutOfRange):
        call()
