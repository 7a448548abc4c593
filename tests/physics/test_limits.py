"""Each formula believes its source up to the limit that the source sets, that limit included, and not beyond; the reason says so.

The limits themselves stand with their sources in the functions; here each is held from both sides.
"""

import re
from collections.abc import Callable
from math import inf, nan, nextafter

import pytest

from coolcheck.physics import OutOfRange, need, orifices, pecking, tank
from coolcheck.physics import channels as ch
from coolcheck.physics import drill_lengths as lengths
from coolcheck.physics import drilling as dr
from coolcheck.physics import drilling_depth as depth
from coolcheck.physics import fluid_properties as fluids
from coolcheck.physics import kinematics as kin
from coolcheck.physics.band import Band
from coolcheck.physics.pump import Pump

Formula = Callable[[float], object]
CENTRIFUGAL = Pump.centrifugal(shut_off=25e5, flow=5e-4, pressure=15e5)
RATED = Pump.rated(flow=3e-4, pressure=20e5, open_flow=5e-4)

BETWEEN: list[tuple[str, float, float, str, Formula]] = [
    ("length over diameter of the channel", 0.0, 1000.0, "Darcy-Weisbach", lambda x: ch.channel_discharge_coefficient(0.02, x * 0.5, 0.5)),
    ("pitch circle [m]", 1e-6, 10.0, "geometry of a helix", lambda x: ch.helical_curvature(0.001, 0.5, x)),
    ("helix angle of the passage [rad]", 0.0, 1.3963, "geometry of a helix", lambda x: ch.helical_curvature(0.001, x, 0.004)),
    ("helix angle of the passage [rad]", 0.0, 1.3963, "geometry of a helix", lambda x: ch.helical_length(0.1, x)),
    ("flute helix angle [rad]", 0.0, 1.3963, "geometry of a helix", lambda x: ch.helix_at_pitch_circle(0.01, x, 0.004)),
    ("pitch circle over DC", 0.0, 1.0, "geometry of a helix", lambda x: ch.helix_at_pitch_circle(0.5, 0.5, 0.5 * x)),
    ("Reynolds number of laminar flow", 1e-300, 2040.0, "limit of laminar pipe flow", ch.laminar_friction_factor),
    ("Reynolds number of turbulent flow", 4000.0, 1e8, "Serghides", lambda x: ch.turbulent_friction_factor(x, 0.001)),
    ("relative roughness", 0.0, 0.05, "Serghides", lambda x: ch.turbulent_friction_factor(1e5, x)),
    ("feed f [m]", 0.02e-3, 1.5e-3, "drilling formulas", lambda x: dr.empirical_torque(1.0, x, 0.01)),
    ("diameter DC [m]", 0.999e-3, 0.1, "drilling formulas", lambda x: dr.empirical_torque(1.0, 0.0002, x)),
    ("KAPR [rad]", 0.05, 1.5708, "a drill", lambda x: dr.catalogue_torque(2e9, 0.0002, 0.01, x)),
    ("KAPR [rad]", 0.05, 1.5708, "a drill", lambda x: dr.catalogue_thrust(2e9, 0.0002, 0.01, x)),
    ("chisel edge over diameter", 0.03, 0.40, "Machinery's Handbook, 31st ed., p. 1152", dr.chisel_factors),
    ("flute share", 0.1, 0.8, "a twist drill", lambda x: depth.peck_by_chip_room(0.05, 7.0, x)),
    ("bulk ratio", 1.0, 100.0, "loose chips", lambda x: depth.peck_by_chip_room(0.05, x)),
    ("concentration", 0.0, 0.15, "Einstein 1906, thin emulsions", fluids.emulsion_viscosity_ratio),
    ("temperature of the oil [K]", 283.15, 333.15, "typical neat oils", lambda x: fluids.neat_oil_viscosity(15.0, x)),
    ("viscosity grade", 10.0, 22.0, "typical neat oils", lambda x: fluids.neat_oil_viscosity(x, 300.0)),
    ("temperature of the oil [K]", 263.15, 423.15, "ASTM D341", lambda x: fluids.walther_viscosity(x, 313.15, 32e-6, 373.15, 5.4e-6)),
    ("kinematic viscosity of the oil [m²/s]", 2e-6, 1.0, "ASTM D341", lambda x: fluids.walther_viscosity(330.0, 313.15, x, 373.15, 5e-6)),
    ("temperature of water [K]", 273.15, 373.15, "Kell 1975", fluids.water_density),
    ("temperature of water [K]", 278.15, 333.15, "table of water", fluids.water_heat_capacity),
    ("temperature of water [K]", 273.15, 383.15, "IAPWS SR6-08", fluids.water_viscosity),
    ("cutting diameter [m]", 0.006, 0.0205, "two-hole rods, from memory", need.channel_diameter_estimate),
    ("diameter of the gun drill [m]", 0.002, 0.030, "chart of gun drills, from memory", need.gun_drill_chart),
    ("length over diameter of the hole", 2.0, 10.0, "Lichtarowicz and others 1965", lambda x: orifices.drilled_hole_coefficient(x * 0.5, 0.5)),
    ("opening over pipe, beta", 0.0, 0.9, "orifice in a pipe", lambda x: orifices.orifice_flow(1e5, 1e-6, 0.6, 998.0, x)),
    ("opening over pipe, beta", 0.0, 0.9, "orifice in a pipe", lambda x: orifices.orifice_permanent_loss(1e5, 0.6, x)),
    ("efficiency of the pump", 1e-6, 1.0, "definition", lambda x: orifices.shaft_power(1000.0, x)),
    ("speed ratio", 0.3, 1.5, "affinity laws", CENTRIFUGAL.at_speed),
    ("flow of the pump [m³/s]", 0.0, 5e-4, "pump curve", RATED.pressure),
]  # fmt: skip


@pytest.mark.parametrize(("quantity", "low", "high", "source", "formula"), BETWEEN)
def test_a_limit_itself_is_inside_and_the_next_number_is_not(
    quantity: str, low: float, high: float, source: str, formula: Formula
) -> None:
    for inside in (low, high):
        formula(inside)
    for outside in (low - 1e-6 * max(abs(low), high), high * (1 + 1e-6), nan, -inf, inf):
        with pytest.raises(OutOfRange) as reason:
            formula(outside)
        assert str(reason.value) == f"{quantity} = {outside:.6g} lies outside {low:g} .. {high:g} ({source})"


ABOVE_ZERO: list[tuple[str, Formula]] = [
    ("diameter DC [m]", lambda x: lengths.flute_length_needed(0.05, x, 2.0)),
    ("diameter DC [m]", lambda x: lengths.hardmetal_flute_length(x, "L")),
    ("diameter DC [m]", lengths.jobber_flute_length),
    ("diameter DC [m]", lengths.pilot_limits),
    ("size [m]", lambda x: lengths.tolerance(x, "IT9")),
    ("k", lambda x: dr.catalogue_thrust(2e9, 0.0002, 0.01, 1.2, x)),
    ("diameter DC [m]", lambda x: dr.catalogue_thrust(2e9, 0.0002, x, 1.2)),
    ("feed f [m]", lambda x: dr.catalogue_thrust(2e9, x, 0.01, 1.2)),
    ("kc [Pa]", lambda x: dr.catalogue_thrust(x, 0.0002, 0.01, 1.2)),
    ("diameter DC [m]", lambda x: dr.catalogue_torque(2e9, 0.0002, x, 1.2)),
    ("feed f [m]", lambda x: dr.catalogue_torque(2e9, x, 0.01, 1.2)),
    ("kc [Pa]", lambda x: dr.catalogue_torque(x, 0.0002, 0.01, 1.2)),
    ("K", lambda x: dr.empirical_power(x, 0.0002, 0.01, 20.0)),
    ("K", lambda x: dr.empirical_thrust(x, 0.0002, 0.01)),
    ("K", lambda x: dr.empirical_torque(x, 0.0002, 0.01)),
    ("Kd", lambda x: dr.handbook_thrust(x, 0.0002, 0.01, 1.3, 0.03)),
    ("B", lambda x: dr.handbook_thrust(20.0, 0.0002, 0.01, x, 0.03)),
    ("W", lambda x: dr.handbook_thrust(20.0, 0.0002, 0.01, 1.3, 0.03, x)),
    ("Kd", lambda x: dr.handbook_torque(x, 0.0002, 0.01, 1.1)),
    ("A", lambda x: dr.handbook_torque(20.0, 0.0002, 0.01, x)),
    ("W", lambda x: dr.handbook_torque(20.0, 0.0002, 0.01, 1.1, x)),
    ("torque M [N·m]", dr.torque_band),
    ("diameter DC [m]", lambda x: depth.depth_reduction(0.05, x)),
    ("diameter DC [m]", depth.diameter_speed_factor),
    ("diameter DC [m]", lambda x: depth.drilling_pressure("drill", "hardmetal", x, 0.05)),
    ("diameter DC [m]", lambda x: depth.one_pass_depth("drill", "HSS", "outside", x)),
    ("diameter DC [m]", lambda x: depth.peck_depth("first", "HSS", "outside", x)),
    ("diameter DC [m]", lambda x: depth.pilot("drill", "hardmetal", x, 0.05)),
    ("speed change at a corner [m/s]", lambda x: kin.corner_speed(1.0, x)),
    ("acceleration [m/s2]", lambda x: kin.move_time(0.1, 0.5, x)),
    ("rapid [m/s]", lambda x: kin.move_time(0.1, x, 5.0)),
    ("cutting diameter [m]", lambda x: need.delivery_depth(x, 0.05)),
    ("solid chip flow [m³/s]", lambda x: need.loose_chip_flow(x, "short")),
    ("feed [m/s]", lambda x: pecking.extra_time([0.01, 0.02], 0.001, x, 0.5, 5.0)),
    ("acceleration [m/s2]", lambda x: pecking.extra_time_at_full_rapid(0.02, 0.01, 0.001, 0.01, 0.5, x)),
    ("feed [m/s]", lambda x: pecking.extra_time_without_acceleration(0.02, 0.01, 0.001, x, 0.5)),
    ("rapid [m/s]", lambda x: pecking.extra_time_without_acceleration(0.02, 0.01, 0.001, 0.01, x)),
    ("depth [m]", lambda x: pecking.peck_bottoms(x, 0.01)),
    ("peck [m]", lambda x: pecking.peck_bottoms(0.02, x)),
    ("depth [m]", lambda x: pecking.single_pass_time(x, 0.01, 0.5, 5.0)),
    ("feed [m/s]", lambda x: pecking.single_pass_time(0.02, x, 0.5, 5.0)),
    ("diameter of the passage [m]", tank.coarsest_filter),
    ("filter fineness [m]", lambda x: tank.filter_load(x, 0.001)),
    ("flow [m³/s]", lambda x: tank.line_fill_time(0.012, 3.0, x)),
    ("volume of the tank [m³]", lambda x: tank.tank_warming(1000.0, x, 998.0, 4184.0)),
    ("volume of the tank [m³]", lambda x: tank.turnover_time(x, 5e-4)),
    ("flow [m³/s]", lambda x: tank.turnover_time(0.4, x)),
    ("highest pressure of the union [Pa]", lambda x: tank.union_load(35e5, x, 100.0, 400.0)),
    ("top speed of the union [1/s]", lambda x: tank.union_load(35e5, 70e5, 100.0, x)),
]  # fmt: skip


@pytest.mark.parametrize(("quantity", "formula"), ABOVE_ZERO)
def test_what_must_be_above_zero_is_refused_at_zero_below_and_when_it_is_no_number(quantity: str, formula: Formula) -> None:
    for outside in (0.0, -1.0, nan, inf):
        with pytest.raises(OutOfRange) as reason:
            formula(outside)
        assert str(reason.value) == f"{quantity} = {outside:.6g} lies outside values above zero (by its meaning)"


NOT_BELOW_ZERO: list[tuple[str, Formula]] = [
    ("flute length LCF [m]", lambda x: lengths.depth_within_flutes(x, 0.01, 2.0)),
    ("depth [m]", lambda x: lengths.flute_length_needed(x, 0.01, 2.0)),
    ("chip room [m]", lambda x: lengths.flute_length_needed(0.05, 0.01, 2.0, x)),
    ("n [1/s]", lambda x: dr.empirical_power(1.0, 0.0002, 0.01, x)),
    ("J", lambda x: dr.handbook_thrust(20.0, 0.0002, 0.01, 1.3, x)),
    ("depth [m]", lambda x: depth.depth_reduction(x, 0.01)),
    ("depth [m]", lambda x: depth.drilling_pressure("drill", "hardmetal", 0.01, x)),
    ("pressure [Pa]", lambda x: depth.one_pass_depth("drill", "HSS", "outside", 0.01, x)),
    ("depth [m]", lambda x: depth.peck_by_chip_room(x, 7.0)),
    ("depth [m]", lambda x: depth.pilot("drill", "hardmetal", 0.01, x)),
    ("turn [rad]", lambda x: kin.corner_speed(x, 0.01)),
    ("length of the move [m]", lambda x: kin.move_time(x, 0.5, 5.0)),
    ("depth of the hole [m]", lambda x: need.delivery_depth(0.01, x)),
    ("dwell [s]", lambda x: pecking.single_pass_time(0.02, 0.01, 0.5, 5.0, dwell=x)),
    ("settle time [s]", lambda x: pecking.single_pass_time(0.02, 0.01, 0.5, 5.0, settle=x)),
    ("dwell [s]", lambda x: pecking.full_retract_time([0.01, 0.02], 0.001, 0.01, 0.5, 5.0, dwell=x)),
    ("peck dwell [s]", lambda x: pecking.full_retract_time([0.01, 0.02], 0.001, 0.01, 0.5, 5.0, peck_dwell=x)),
    ("settle time [s]", lambda x: pecking.chip_break_time([0.01, 0.02], 0.001, 0.01, 0.5, 5.0, settle=x)),
    ("pressure [Pa]", lambda x: tank.union_load(x, 70e5, 100.0, 400.0)),
    ("speed [1/s]", lambda x: tank.union_load(35e5, 70e5, x, 400.0)),
]  # fmt: skip


@pytest.mark.parametrize(("quantity", "formula"), NOT_BELOW_ZERO)
def test_what_may_be_zero_is_refused_below_and_when_it_is_no_number(quantity: str, formula: Formula) -> None:
    formula(0.0)
    for outside in (-nextafter(0.0, 1.0), -1.0, nan, inf):
        with pytest.raises(OutOfRange) as reason:
            formula(outside)
        assert str(reason.value) == f"{quantity} = {outside:.6g} lies outside values of zero and more (by its meaning)"


UNHEARD_OF: list[tuple[str, Callable[[], object]]] = [
    ("band = (2.0, 1.0, 3.0) lies outside low <= likely <= high (a page)", lambda: Band(2.0, 1.0, 3.0, "a page")),
    ("hardmetal drill = 10 mm, series X lies outside up to 16 mm, series K and L (DIN 6537, from memory)", lambda: lengths.hardmetal_flute_length(0.01, "X")),
    ("hardmetal drill = 16.1 mm, series L lies outside up to 16 mm, series K and L (DIN 6537, from memory)", lambda: lengths.hardmetal_flute_length(0.0161, "L")),
    ("tolerance grade = IT5 lies outside IT6 .. IT13 (ISO 286)", lambda: lengths.tolerance(0.01, "IT5")),
    ("tolerance grade = IT14 lies outside IT6 .. IT13 (ISO 286)", lambda: lengths.tolerance(0.01, "IT14")),
    ("chips = ribbons of steel lies outside the pairs of the table (tables/chip_bulk_ratios.csv)", lambda: depth.chip_bulk_ratio("steel", "ribbons")),
    ("value = nan lies outside finite numbers (a page)", lambda: depth.decides(depth.Advice(1.0, 2.0, "a rule", "a page"), nan)),
    ("drilling pressure = HSS drill of 10 mm, 30 D deep lies outside the rules in print (tables/pressure_rules.csv)", lambda: depth.drilling_pressure("drill", "HSS", 0.01, 0.3)),
    ("one-pass depth = ceramic drill of 10 mm, fluid outside at 3 bar lies outside the rules in print (tables/one_pass_depth_rules.csv)", lambda: depth.one_pass_depth("drill", "ceramic", "outside", 0.01, 3e5)),
    ("peck depth = first peck, hardmetal, fluid through_tool lies outside the rules in print (tables/peck_rules.csv)", lambda: depth.peck_depth("first", "hardmetal", "through_tool", 0.01)),
    ("pilot = HSS drill lies outside the rules in print (tables/pilot_rules.csv)", lambda: depth.pilot("drill", "HSS", 0.01, 0.2)),
    ("viscosity grade = 12 lies outside the grades 10, 15, 22 (typical neat oils)", lambda: fluids.neat_oil(12.0, 300.0)),
    ("second temperature of the oil [K] = 313.15 lies outside temperatures other than the first (ASTM D341)", lambda: fluids.walther_viscosity(300.0, 313.15, 32e-6, 313.15, 5e-6)),
    ("form of the chips = dust lies outside short, tangled (bulk of chips, from memory)", lambda: need.loose_chip_flow(1e-6, "dust")),
    ("depth over diameter of a small drill = 10 lies outside 0 .. 9 and 12 .. 16 (A. Richter, Cutting Tool Engineering, August 2023)", lambda: need.delivery_depth(0.002, 0.020)),
    ("depth over diameter of a small drill = 16.5 lies outside 0 .. 9 and 12 .. 16 (A. Richter, Cutting Tool Engineering, August 2023)", lambda: need.delivery_depth(0.002, 0.033)),
    ("turn [rad] = 3.2 lies outside 0 .. pi (geometry of a corner)", lambda: kin.corner_speed(3.2, 0.01)),
    ("bottoms of the strokes [m] = [0.02, 0.01] lies outside depths above 0, each below the last (a peck cycle)", lambda: pecking.full_retract_lengths([0.02, 0.01], 0.001)),
    ("clearance [m] = 0.011 lies outside 0 .. 0.01, the first stroke (a peck cycle)", lambda: pecking.full_retract_lengths([0.01, 0.02], 0.011)),
    ("clearance [m] = 0.011 lies outside 0 .. 0.01, the first stroke (a peck cycle)", lambda: pecking.extra_time([0.01, 0.02], 0.011, 0.01, 0.5, 5.0)),
    ("clearance [m] = 0.011 lies outside 0 .. 0.01, the first stroke (a peck cycle)", lambda: pecking.extra_time_without_acceleration(0.02, 0.01, 0.011, 0.01, 0.5)),
    ("retract [m] = 0.011 lies outside 0 .. 0.01, the first stroke (a peck cycle)", lambda: pecking.chip_break_lengths([0.01, 0.02], 0.011)),
    ("rated pressure over shut-off pressure = 1 lies outside 0 .. 1 (pump curve)", lambda: Pump.centrifugal(25e5, 5e-4, 25e5)),
    ("open flow [m³/s] = 0.0002 lies outside 0.0003 .. inf (pump curve)", lambda: Pump.rated(3e-4, 20e5, 2e-4)),
]  # fmt: skip


@pytest.mark.parametrize(("reason", "call"), UNHEARD_OF)
def test_what_a_source_does_not_tell_is_refused_with_what_it_does_tell(reason: str, call: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match=f"^{re.escape(reason)}$"):
        call()


@pytest.mark.parametrize(
    ("call", "wanted", "asked", "source"),
    [
        (lambda: tank.filter_for("coffee"), "use of the filter", "coffee", "tables/filter_guidance.csv"),
        (lambda: need.guidance("saw"), "guidance wanted for", "saw", "tables/fluid_guidance.csv"),
        (lambda: orifices.discharge_coefficient("square"), "kind of opening", "square", "Encyclopaedia Britannica 1911"),
    ],
)
def test_a_word_that_a_table_has_not_is_answered_with_those_it_has(
    call: Callable[[], object], wanted: str, asked: str, source: str
) -> None:
    with pytest.raises(OutOfRange, match=rf"^{wanted} = {asked} lies outside (?!None)\S.*, \S.* \({re.escape(source)}\)$"):
        call()
