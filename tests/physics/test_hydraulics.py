"""The operating point of a whole delivery: against a separate solution by scipy, and as a shop knows it must behave."""

import itertools
import re
from dataclasses import replace
from math import exp, inf, isclose, log, pi

import pytest
from fluids.friction import Serghides_1
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, root

from coolcheck.physics.fluid_properties import Liquid, neat_oil, water
from coolcheck.physics.hydraulics import Delivery, Orifice, Passage, Pump, parallel_flow, series_drop, series_flow
from coolcheck.physics.valid import OutOfRange

LPM = 1e-3 / 60
WATER = water(293.15)
DRILL = (Passage(d=0.0014, L=0.14, count=2),)


# --- a second solution, written separately: every element an equation, solved at once by scipy ---------------------------------


def separate_friction(Re: float, e: float) -> float:
    """Friction as documented: laminar to 2000, Serghides (of the `fluids` library) from 4000, linear in Re between."""
    if Re < 2000:
        return 64 / Re
    if Re > 4000:
        return Serghides_1(min(Re, 1e8), e)
    return 64 / 2000 * (4000 - Re) / 2000 + Serghides_1(4000, e) * (Re - 2000) / 2000


def separate_drop(element: Passage | Orifice, Q: float, liquid: Liquid) -> float:
    if isinstance(element, Orifice):
        return (Q / element.count / element.Cd / element.A) ** 2 * liquid.rho / 2
    v = Q / element.count / (pi * element.d**2 / 4)
    f = separate_friction(v * element.d / liquid.nu, element.eps / element.d)
    return (element.K + f * element.L / element.d) * liquid.rho * v**2 / 2


def separate_solution(net: Delivery, p0: float, Q_end: float, kind: str) -> tuple[float, list[float]]:
    """Pressure at the shank and the flow of each way out, from all equations of the network at once.

    kind: "centrifugal" (p0 at no flow, p falls with Q² to nothing at Q_end), "level" (p0 up to Q_end), "upright" (Q_end).
    """
    ways = [*([slot] for slot in net.leak), *net.tool]

    def mismatch(unknown: list[float]) -> list[float]:
        p_t, *flows = (exp(min(max(u, -40.0), 20.0)) for u in unknown)  # scipy's trial steps may be absurd
        Q = sum(flows)
        p_pump = p_t + sum(separate_drop(e, Q, net.liquid) for e in (*net.supply, *net.holder))
        pump = {
            "centrifugal": p_pump / p0 + (Q / Q_end) ** 2 - 1,
            "level": p_pump / p0 - 1,
            "upright": Q / Q_end - 1,
        }[kind]
        ways_out = [log(sum(separate_drop(e, q, net.liquid) for e in way) / p_t) for way, q in zip(ways, flows, strict=True)]
        return [pump, *ways_out]

    guesses = itertools.product((0.5, 0.9, 0.1, 0.01, 0.001), (0.3, 0.05, 1.0))
    for share, flow in guesses:
        start = [log(share * p0), *(log(flow * Q_end / len(ways)) for _ in ways)]
        found = root(mismatch, start, method="hybr", tol=1e-13)
        if max(abs(m) for m in mismatch(list(found.x))) < 1e-9:
            p_t, *flows = (exp(u) for u in found.x)
            return p_t, flows
    raise AssertionError("scipy did not solve this network")


passages = st.builds(
    Passage,
    d=st.floats(0.0005, 0.003),
    L=st.floats(0.01, 0.3),
    count=st.integers(1, 4),
    K=st.floats(0.5, 3.0),
)
lines = st.builds(Passage, d=st.floats(0.004, 0.02), L=st.floats(0.1, 10.0), K=st.floats(0.0, 10.0))
holes = st.builds(Orifice, A=st.floats(1e-7, 5e-6), Cd=st.floats(0.5, 0.95), count=st.integers(1, 6))
liquids = st.builds(Liquid, rho=st.floats(800, 1000), nu=st.floats(0.6e-6, 50e-6), c=st.just(4000.0))
networks = st.fixed_dictionaries(
    {
        "liquid": liquids,
        "supply": st.lists(lines, max_size=2).map(tuple),
        "holder": st.lists(lines, max_size=1).map(tuple),
        "leak": st.lists(holes, max_size=1).map(tuple),
        "tool": st.lists(
            st.one_of(st.tuples(passages), st.tuples(passages, holes), st.tuples(holes)), min_size=1, max_size=3
        ).map(tuple),
    }
)


@settings(max_examples=150, deadline=None)
@given(net=networks, p0=st.floats(3e5, 140e5), Q_end=st.floats(2 * LPM, 100 * LPM))
def test_a_centrifugal_pump_on_a_random_network_agrees_with_scipy(net, p0, Q_end):
    delivery = Delivery(pump=Pump(((0.0, p0), (Q_end, 0.0))), **net)

    point = delivery.operating_point()
    p_tool, flows = separate_solution(delivery, p0, Q_end, "centrifugal")

    assert isclose(point.p_tool, p_tool, rel_tol=1e-6)
    assert isclose(point.Q_pump, sum(flows), rel_tol=1e-6)
    assert all(isclose(a, b, rel_tol=1e-6) for a, b in zip(point.Q_exits, flows[len(net["leak"]) :], strict=True))
    assert isclose(point.Q_leak, sum(flows[: len(net["leak"])]), rel_tol=1e-6)


@settings(max_examples=150, deadline=None)
@given(net=networks, p0=st.floats(3e5, 140e5), Q_end=st.floats(2 * LPM, 100 * LPM))
def test_a_displacement_pump_on_a_random_network_agrees_with_scipy(net, p0, Q_end):
    delivery = Delivery(pump=Pump.displacement(flow=Q_end, relief=p0), **net)

    point = delivery.operating_point()
    p_tool, flows = separate_solution(delivery, p0, Q_end, "level")
    if sum(flows) > Q_end:
        p_tool, flows = separate_solution(delivery, p0, Q_end, "upright")

    assert isclose(point.p_tool, p_tool, rel_tol=1e-6)
    assert isclose(point.Q_pump, sum(flows), rel_tol=1e-6)
    assert isclose(point.Q_pump + point.Q_bypass, Q_end, rel_tol=1e-9)


@given(element=st.one_of(passages, lines), liquid=liquids, dp=st.floats(1e3, 100e5))
def test_the_flow_through_one_channel_agrees_with_scipy(element, liquid, dp):
    expected = brentq(lambda Q: separate_drop(element, Q, liquid) - dp, 1e-12, 1.0, xtol=1e-18, rtol=1e-13)

    assert isclose(series_flow([element], dp, liquid), expected, rel_tol=1e-9)


@given(way=st.lists(st.one_of(passages, holes), min_size=1, max_size=3), liquid=liquids, dp=st.floats(1e3, 100e5))
def test_flow_and_drop_are_the_reverse_of_each_other(way, liquid, dp):
    assert isclose(series_drop(way, series_flow(way, dp, liquid), liquid), dp, rel_tol=1e-9)


# --- what must be so in any delivery --------------------------------------------------------------------------------------------


@given(net=networks, p0=st.floats(3e5, 140e5), Q_end=st.floats(2 * LPM, 100 * LPM))
def test_what_the_pump_gives_leaves_through_tool_and_leak_and_pressure_only_falls(net, p0, Q_end):
    point = Delivery(pump=Pump.displacement(flow=Q_end, relief=p0), **net).operating_point()

    assert isclose(point.Q_pump, point.Q_tool + point.Q_leak, rel_tol=1e-9)
    assert point.p_pump >= point.p_holder >= point.p_tool >= point.p_tip * (1 - 1e-9) > 0
    assert point.p_pump <= p0 * (1 + 1e-9)
    assert isclose(point.power, point.p_pump * Q_end, rel_tol=1e-9)  # a displacement pump turns all its flow


def solved(**changes):
    pump = Pump.centrifugal(shut_off=40e5, flow=20 * LPM, pressure=25e5)
    line = Passage(d=0.008, L=3.0, K=1.0)
    return replace(Delivery(pump, WATER, supply=(line,), tool=(DRILL,)), **changes).operating_point()


@given(exits=st.integers(1, 8))
def test_more_exits_mean_less_pressure_and_more_flow(exits):
    few, more = (solved(tool=((Passage(d=0.001, L=0.1, count=n),),)) for n in (exits, exits + 1))

    assert more.p_tool < few.p_tool
    assert more.Q_tool > few.Q_tool


@given(area=st.floats(1e-8, 1e-5), growth=st.floats(1.05, 3.0))
def test_a_bigger_leak_means_less_pressure_and_less_flow_at_the_tip(area, growth):
    tight, loose = (solved(leak=(Orifice(A=A),)) for A in (area, area * growth))

    assert loose.p_tip < tight.p_tip
    assert loose.Q_tool < tight.Q_tool
    assert loose.Q_leak > tight.Q_leak


@pytest.mark.parametrize(("nu", "regime"), [(0.6e-6, "turbulent"), (60e-6, "laminar")])
def test_a_more_viscous_fluid_flows_less(nu, regime):
    # Not between Re 2000 and 4000: there a thicker fluid may turn laminar, and rub less.
    thin, thick = (solved(liquid=Liquid(rho=900.0, nu=viscosity, c=2000.0)) for viscosity in (nu, nu * 1.2))

    assert thick.Q_tool < thin.Q_tool


@given(length=st.floats(0.5, 20.0), growth=st.floats(1.05, 3.0))
def test_a_longer_line_leaves_less_for_the_tool(length, growth):
    short, long = (solved(supply=(Passage(d=0.008, L=L, K=1.0),)) for L in (length, length * growth))

    assert long.p_tool < short.p_tool
    assert long.fill_time > short.fill_time


@given(bore=st.floats(0.003, 0.012), growth=st.floats(1.05, 2.0))
def test_a_wider_pull_stud_leaves_more_for_the_tool(bore, growth):
    narrow, wide = (solved(holder=(Passage(d=d, L=0.03),)) for d in (bore, bore * growth))

    assert wide.p_tool > narrow.p_tool
    assert wide.p_holder < narrow.p_holder  # more flow loses more in the line before it


@given(pressure=st.floats(5e5, 70e5))
def test_twice_the_pressure_on_an_orifice_makes_its_flow_the_root_of_two_larger(pressure):
    hole = [Orifice.round(d=0.001)]

    assert isclose(series_flow(hole, 2 * pressure, WATER) / series_flow(hole, pressure, WATER), 2**0.5, rel_tol=1e-9)


@given(pressure=st.floats(1e5, 5e5))
def test_twice_the_pressure_on_a_laminar_line_makes_twice_the_flow(pressure):
    line = [Passage(d=0.002, L=3.0, K=0.0)]
    thick = Liquid(rho=870.0, nu=53e-6, c=1950.0)

    assert isclose(series_flow(line, 2 * pressure, thick) / series_flow(line, pressure, thick), 2.0, rel_tol=1e-9)


def test_channels_side_by_side_carry_as_many_times_the_flow():
    one, three = (series_flow([Passage(d=0.001, L=0.1, count=n)], 20e5, WATER) for n in (1, 3))

    assert isclose(three, 3 * one, rel_tol=1e-9)
    assert isclose(parallel_flow([[Passage(d=0.001, L=0.1)]] * 3, 20e5, WATER), three, rel_tol=1e-9)


def test_a_helical_passage_passes_less_than_a_straight_one():
    shapes = (Passage(d=0.001, L=0.1), Passage(d=0.001, L=0.1036, curvature=0.0176))
    straight, helical = (series_flow([shape], 40e5, WATER) for shape in shapes)

    assert 0.9 < helical / straight < 0.98


def test_cold_neat_oil_flows_less_than_emulsion_through_small_channels():
    small = [Passage(d=0.0004, L=0.06, count=2)]

    assert series_flow(small, 20e5, neat_oil(22, 293.15)) < 0.5 * series_flow(small, 20e5, WATER)


# --- the corners ----------------------------------------------------------------------------------------------------------------


def test_a_dead_headed_displacement_pump_stands_on_its_valve_and_heats_the_fluid():
    point = Delivery(Pump.displacement(flow=20 * LPM, relief=70e5), WATER, supply=(Passage(0.008, 3.0),)).operating_point()

    assert (point.limit, point.p_pump, point.p_tool, point.Q_pump, point.p_tip) == ("dead-headed", 70e5, 70e5, 0.0, 0.0)
    assert isclose(point.Q_bypass, 20 * LPM)
    assert isclose(point.power, 70e5 * 20 * LPM)
    assert point.fill_time == inf


def test_a_dead_headed_centrifugal_pump_gives_its_shut_off_pressure_and_no_power():
    point = Delivery(Pump.centrifugal(shut_off=8e5, flow=40 * LPM, pressure=5e5), WATER).operating_point()

    assert (point.limit, point.p_tool, point.power) == ("dead-headed", 8e5, 0.0)


def test_a_slotted_collet_on_a_tool_without_passages_only_sprays():
    point = solved(tool=(), leak=(Orifice(A=2e-6),))

    assert point.Q_leak == point.Q_pump > 0
    assert (point.Q_tool, point.p_tip, point.jet_speeds) == (0.0, 0.0, ())


def test_the_limit_says_what_holds_the_point():
    pump = Pump.displacement(flow=20 * LPM, relief=70e5)
    drills = (Passage(0.0012, 0.12, 2), Passage(0.002, 0.2, 2))
    small, large = (Delivery(pump, WATER, tool=((drill,),)).operating_point() for drill in drills)

    assert (small.limit, large.limit) == ("pressure", "flow")
    assert solved().limit == "curve"


def test_a_point_past_the_end_of_the_pump_curve_is_no_number():
    pump = Pump(((0.0, 20e5), (5 * LPM, 15e5)))

    with pytest.raises(OutOfRange, match="pump curve"):
        Delivery(pump, WATER, tool=((Passage(0.003, 0.1, 2),),)).operating_point()


def test_a_point_before_the_start_of_the_pump_curve_is_no_number():
    pump = Pump(((10 * LPM, 20e5), (30 * LPM, 5e5)))

    with pytest.raises(OutOfRange, match="pump curve"):
        Delivery(pump, WATER, tool=((Passage(0.0005, 0.1, 2),),)).operating_point()


GIVES_NOTHING = "two points or more that give something"
DOES_NOT_FALL = "rising flows and falling pressures"


@pytest.mark.parametrize(
    ("points", "wanted"),
    [
        ((), GIVES_NOTHING),
        (((0.0, 1e5),), GIVES_NOTHING),
        (((0.0, 0.0), (1e-4, 0.0)), GIVES_NOTHING),
        (((0.0, 2e5), (0.0, 1e5)), GIVES_NOTHING),
        (((0.0, 1e5), (1e-4, 2e5)), DOES_NOT_FALL),
        (((1e-4, 2e5), (5e-5, 1e5)), DOES_NOT_FALL),
        (((0.0, 1e5), (0.0, 1e5), (1e-4, 0.0)), DOES_NOT_FALL),
        (((-1e-4, 2e5), (1e-4, 1e5)), DOES_NOT_FALL),
        (((0.0, 2e5), (1e-4, -1e5)), DOES_NOT_FALL),
    ],
)
def test_a_pump_curve_that_cannot_be_is_refused(points, wanted):
    reason = re.escape(f"points of the pump curve = {points} lies outside {wanted} (pump curve)")

    with pytest.raises(OutOfRange, match=f"^{reason}$"):
        Pump(points)


def test_the_weakest_pump_is_a_pump():
    assert Pump(((0.0, 1.0), (1e-4, 0.0))).most_pressure == 1.0


def test_beyond_its_ends_a_pump_curve_goes_on_level_and_upright():
    pump = Pump(((1e-4, 20e5), (2e-4, 15e5), (3e-4, 5e5)))
    between = (((1e-8 + 4e-8) / 2) ** 0.5, 17.5e5), (((4e-8 + 9e-8) / 2) ** 0.5, 10e5)

    for Q, p in (*pump.points, *between, (0.0, 20e5), (5e-5, 20e5), (3e-4, 2e5), (3e-4, 0.0)):
        assert pump.excess(Q, p) == pytest.approx(0.0, abs=1e-12)
    assert pump.excess(0.0, 22e5) == pytest.approx(0.2)  # a tenth too high, and as much too far along the turned curve
    assert pump.excess(3e-4, 2e5) - pump.excess(2e-4, 2e5) > 0.5


def test_only_rounding_may_carry_a_point_past_the_ends_of_a_pump_curve():
    pump = Pump(((1e-4, 20e5), (3e-4, 5e5)))

    assert pump.covers(1e-4, 20e5) and pump.covers(1e-4 - 1e-14, 20e5)
    assert pump.covers(3e-4, 5e5) and pump.covers(3e-4, 5e5 - 1e-4)
    assert not pump.covers(1e-4 - 1e-8, 20e5)
    assert not pump.covers(3e-4, 5e5 - 0.01)


def test_the_limit_of_a_point_beside_the_curve_is_the_curve():
    pump = Pump.displacement(flow=3e-4, relief=70e5)

    assert [pump.limit(1e-4, p) for p in (70e5, 70e5 + 1e-3, 69e5)] == ["pressure", "pressure", "curve"]
    assert [pump.limit(Q, 50e5) for Q in (3e-4, 3e-4 + 1e-14, 3e-4 - 1e-8)] == ["flow", "flow", "curve"]


def test_a_passage_without_length_and_losses_is_none():
    reason = "resistance of the passage = 0 lies outside more than nothing: a length or minor losses (channel flow)"

    with pytest.raises(OutOfRange, match=f"^{re.escape(reason)}$"):
        Passage(d=0.001, L=0.0, K=0.0)


def test_friction_is_believed_up_to_the_highest_reynolds_number_of_its_law():
    passage = Passage(d=0.001, L=0.1, curvature=0.1)  # more curved than a wall may be rough
    fastest = 1e8 * WATER.nu * passage.area / passage.d

    passage.check(0.0, WATER)
    passage.check(fastest * (1 - 1e-9), WATER)
    with pytest.raises(OutOfRange, match=r"^Reynolds number = 1e\+08 lies outside 1e-300 .. 1e\+08 \(Serghides\)$"):
        passage.check(fastest * (1 + 1e-9), WATER)


def test_what_a_delivery_settles_at_is_told_in_full():
    line, stud, drill = Passage(0.008, 3.0, K=1.0), Passage(0.005, 0.05), Passage(d=0.0014, L=0.14, count=2)
    point = solved(supply=(line,), holder=(stud,), tool=((drill,), (Orifice(A=1e-7),)), leak=(Orifice(A=2e-7),))

    assert point.jet_speeds[0] == pytest.approx(point.Q_exits[0] / drill.area)
    assert point.jet_speeds[1] == pytest.approx((2 * point.p_tool / WATER.rho) ** 0.5)
    assert point.p_tip == pytest.approx(WATER.rho * min(point.jet_speeds) ** 2 / 2)
    assert point.heating == pytest.approx(point.p_pump / (WATER.rho * WATER.c))
    assert point.fill_time * point.Q_pump == pytest.approx(line.volume + stud.volume + drill.volume)


def test_a_point_off_the_pump_curve_is_told_with_its_flow_and_pressure():
    reason = r"operating point \(flow \[m³/s\], pressure \[Pa\]\) = \([-.e\d]+, [-.e\d]+\) lies outside "

    with pytest.raises(OutOfRange, match=rf"^{reason}the points of the pump curve \(pump curve\)$"):
        Delivery(Pump(((0.0, 20e5), (5 * LPM, 15e5))), WATER, tool=((Passage(0.003, 0.1, 2),),)).operating_point()


def test_openings_far_too_wide_and_pressures_far_too_low_are_solved_as_well():
    wide, room = Orifice(A=1.0), Orifice(A=0.01)
    point = Delivery(Pump.displacement(flow=1 * LPM, relief=70e5), WATER, tool=((room,),)).operating_point()

    assert series_flow([wide], 1e5, WATER) == pytest.approx(0.61 * (2e5 / WATER.rho) ** 0.5)
    assert series_drop([room], series_flow([room], 0.5, WATER), WATER) == pytest.approx(0.5)
    assert point.p_tool == pytest.approx(WATER.rho / 2 * (1 * LPM / (0.61 * 0.01)) ** 2)


@pytest.mark.parametrize(
    "wrong",
    [
        {"d": 0.0},
        {"d": float("nan")},
        {"L": -1.0},
        {"count": 0},
        {"K": -0.1},
        {"eps": 0.001},
        {"curvature": 0.5},
        {"L": 0.0, "K": 0.0},
    ],
)
def test_a_passage_that_cannot_be_is_refused(wrong):
    with pytest.raises(OutOfRange):
        Passage(**({"d": 0.001, "L": 0.1} | wrong))


def test_a_relief_valve_cuts_the_top_of_a_curve_and_nothing_else():
    whole = Pump.centrifugal(shut_off=25e5, flow=30 * LPM, pressure=15e5)
    cut = whole.limited(20e5)

    assert cut.most_pressure == 20e5
    assert isclose(cut.pressure(30 * LPM), 15e5, rel_tol=1e-9)
    assert whole.limited(30e5) is whole


def test_a_relief_valve_opens_where_the_curve_reaches_its_pressure():
    """p falls with Q² between the points, so that the flow at a pressure between two of them is known in closed form."""
    curve = Pump(((0.0, 25e5), (3e-4, 20e5), (5e-4, 5e5)))
    opens = (9e-8 + (25e-8 - 9e-8) * (20 - 10) / (20 - 5)) ** 0.5

    assert curve.limited(10e5).points == ((0.0, 10e5), (pytest.approx(opens), 10e5), (5e-4, 5e5))
    assert curve.limited(20e5).points == ((0.0, 20e5), (pytest.approx(3e-4), 20e5), (5e-4, 5e5))
    assert curve.limited(25e5) is curve and curve.limited(30e5) is curve
    assert curve.limited(5e5).points[-1] == (5e-4, 5e5)
    with pytest.raises(OutOfRange, match=r"^relief pressure \[Pa\] = 400000 lies outside 500000 .. 2.5e\+06 \(pump curve\)$"):
        curve.limited(4e5)


def test_on_an_upright_piece_the_highest_pressure_counts():
    assert Pump(((3e-4, 70e5), (3e-4, 0.0))).pressure(3e-4) == 70e5
    assert Pump(((0.0, 25e5), (0.0, 20e5), (5e-4, 0.0))).pressure(0.0) == 25e5
    assert Pump.displacement(flow=3e-4, relief=70e5).pressure(3e-4) == 70e5
    for pump in (Pump.displacement(flow=3e-4, relief=70e5), Pump.regulated(most_flow=3e-4, pressure=70e5)):
        assert pump.points == ((0.0, 70e5), (3e-4, 70e5), (3e-4, 0.0))


def test_a_pump_keeps_at_another_speed_and_behind_a_valve_what_it_does_with_its_surplus():
    pump = Pump.displacement(flow=3e-4, relief=70e5)

    assert pump.at_speed(0.5).displaces is pump.limited(50e5).displaces is True
    assert Pump.centrifugal(25e5, 5e-4, 15e5).at_speed(0.5).displaces is False


def test_a_lower_pressure_level_gives_less_pressure_at_the_tool():
    pump = Pump.displacement(flow=20 * LPM, relief=70e5)
    high, low = (Delivery(p, WATER, tool=(DRILL,)).operating_point() for p in (pump, pump.limited(20e5)))

    assert (high.p_tool, low.p_tool) == (pytest.approx(70e5), pytest.approx(20e5))
    assert low.Q_bypass > high.Q_bypass


def test_half_the_speed_of_a_centrifugal_pump_is_half_the_flow_and_a_quarter_of_the_pressure():
    pump = Pump.centrifugal(shut_off=8e5, flow=40 * LPM, pressure=5e5)

    assert isclose(pump.at_speed(0.5).pressure(20 * LPM), 1.25e5, rel_tol=1e-9)
