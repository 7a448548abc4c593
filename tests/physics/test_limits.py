"""Each formula believes its source up to the limit that the source sets, that limit included, and not beyond; the reason says so.

The limits themselves stand with their sources in the functions; here each is held from both sides.
"""

import re
from collections.abc import Callable
from math import inf, nan, nextafter, pi

import numpy as np
import pytest

from coolcheck.physics import (
    OutOfRange,
    conduction,
    convection,
    cutting,
    cutting_materials,
    edge_temperature,
    energy,
    forces,
    heat,
    need,
    orifices,
    orthogonal,
    peck_heat,
    pecking,
    tank,
    thermal_stress,
    threads,
    toollife,
)
from coolcheck.physics import channels as ch
from coolcheck.physics import drill_lengths as lengths
from coolcheck.physics import drilling as dr
from coolcheck.physics import drilling_depth as depth
from coolcheck.physics import fluid_properties as fluids
from coolcheck.physics import kinematics as kin
from coolcheck.physics.band import Band
from coolcheck.physics.hydraulics import Orifice, Passage
from coolcheck.physics.pump import Pump

Formula = Callable[[float], object]
CENTRIFUGAL = Pump.centrifugal(shut_off=25e5, flow=5e-4, pressure=15e5)
RATED = Pump.rated(flow=3e-4, pressure=20e5, open_flow=5e-4)
STROKES = [(0.0, 0.01, -0.002), (0.0095, 0.02, -0.002)]

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
    ("Reynolds number", 1e-300, 1e8, "Serghides", ch.friction_factor),
    ("relative roughness", 0.0, 0.05, "Serghides", lambda x: ch.friction_factor(1e5, x)),
    ("curvature ratio of the channel", 0.0, 0.1, "White, Ito", lambda x: ch.friction_factor(1e5, 0.0, x)),
    ("diameter of the passage [m]", 1e-5, 1.0, "channel flow", lambda x: Passage(x, 0.1, eps=0.0)),
    ("length of the passage [m]", 0.0, 1e6, "channel flow", lambda x: Passage(0.001, x)),
    ("number of passages", 1, 1e4, "channel flow", lambda x: Passage(0.001, 0.1, x)),  # type: ignore[arg-type]
    ("minor losses K", 0.0, 1e4, "channel flow", lambda x: Passage(0.001, 0.1, K=x)),
    ("relative roughness", 0.0, 0.05, "Serghides", lambda x: Passage(0.5, 0.1, eps=0.5 * x)),
    ("curvature ratio of the channel", 0.0, 0.1, "White, Ito", lambda x: Passage(0.001, 0.1, curvature=x)),
    ("area of the opening [m²]", 1e-12, 1.0, "orifice flow", Orifice),
    ("discharge coefficient", 0.3, 1.0, "orifice flow", lambda x: Orifice(1e-6, x)),
    ("number of openings", 1, 1e4, "orifice flow", lambda x: Orifice(1e-6, count=x)),  # type: ignore[arg-type]
    ("density of a liquid [kg/m³]", 500.0, 2000.0, "liquids of a machine shop", lambda x: fluids.Liquid(x, 1e-6, 4184.0)),
    ("kinematic viscosity of a liquid [m²/s]", 1e-7, 1e-2, "liquids of a machine shop", lambda x: fluids.Liquid(998.0, x, 4184.0)),
    ("heat capacity of a liquid [J/(kg·K)]", 1000.0, 5000.0, "liquids of a machine shop", lambda x: fluids.Liquid(998.0, 1e-6, x)),
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
    ("pressure drop [Pa]", 0.0, 1e9, "jets of liquid", lambda x: orifices.jet_speed(x, 998.0)),
    ("efficiency of the pump", 1e-6, 1.0, "definition", lambda x: orifices.shaft_power(1000.0, x)),
    ("speed ratio", 0.3, 1.5, "affinity laws", CENTRIFUGAL.at_speed),
    ("flow of the pump [m³/s]", 0.0, 5e-4, "pump curve", RATED.pressure),
    ("mc", 0, 0.999, "the Kienzle equation", lambda x: forces.specific_cutting_force(1.8e9, x, 2e-4)),
    ("chip thickness h [m]", 5e-5, 2.5e-3, "the range kc1.1 and mc were fitted to", lambda x: forces.specific_cutting_force(1.8e9, 0.25, x)),
    ("rake angle [rad]", -0.3491, 0.5236, forces._DT, forces.rake_factor),
    ("cutting speed vc [m/s]", 20 / 60, 600 / 60, forces._DT, forces.speed_factor),
    ("cutting edge angle KAPR [rad]", 0.05, pi - 0.05, "turning", lambda x: forces.turning_force(1.8e9, 0.25, 2e-3, 2e-3, x)),
    ("point angle SIG [rad]", 0.1, pi + 1e-9, "a two-lip drill", lambda x: forces.drill_chip_thickness(2e-4, x)),
    ("hole over DC", 0, 1, cutting._CUTTER, lambda x: cutting.removal_rate_drilling(0.5, 0.01, 0.5 * x)),
    ("cutting edge angle KAPR [rad]", 1e-6, pi / 2 + 1e-9, cutting._CUTTER, lambda x: cutting.mean_chip_thickness(2e-4, 0.05, 0.02, x)),
    ("share of heat", 0.0, 1.0, "by its meaning", lambda x: heat.shear_plane_rise(1e3, x, 7800.0, 500.0, 2.0, 2e-4, 2e-3)),
    ("share of heat into the fluid", 0.0, 1.0, "by its meaning", lambda x: heat.heat_into_fluid(1e3, x)),
    ("Poisson's ratio", 0.0, 0.49, "elastic solids", lambda x: thermal_stress.restrained_stress(6e11, 5e-6, x, 300.0)),
    ("pressure of the jet [Pa]", 0.0, convection.JETS_KNOWN_TO, "no heat transfer coefficient for stronger jets was found", lambda x: convection.heat_transfer_coefficient("through_tool", p=x)),
    ("efficiency", 0.5, 1.0, "drives of machine tools", lambda x: energy.motor_power(1e3, x)),
    ("feed f [m]", 0.02e-3, 1.5e-3, "Machinery's Handbook, 28th ed., Table 2", energy.fitted_feed_factor),
    ("share of heat into the wall", 0.0, 1.0, "by its meaning", lambda x: peck_heat.wall_flux(1e3, x, 0.01, 0.003)),
    ("heat of rubbing over heat of cutting", 0.0, 1.0, "screening model", lambda x: peck_heat.peck_heat_ratio(STROKES, 0.01, 0.5, x)),
    ("engagement of full depth", 0.4, 0.9, "trade use of tap drills", lambda x: threads.tap_drill(0.01, 0.0015, x)),
    ("feed exponent m", 0, 1, toollife._BOOK, lambda x: toollife.tool_life_with_feed(2.0, 2e-4, 0.25, x, 5.0)),
    ("Taylor's exponent n", 0.05, 0.95, toollife._BOOK, lambda x: toollife.speed_for_cut_as_long_as_life(500.0, x, 5.0)),
    ("Taylor's exponent n", 0.05, 0.999, toollife._BOOK, lambda x: toollife.fastest_production_speed(x, 5.0, 60.0)),
    ("Taylor's exponent n", 0.05, 0.999, toollife._BOOK, lambda x: toollife.cheapest_speed(x, 5.0, 60.0, 5.0, 0.01)),
    ("Taylor's exponent n", 0.05, 1.0, toollife._BOOK, lambda x: toollife.speed_for_life(900.0, x, 5.0)),
    ("shear plane angle [rad]", 1e-6, pi / 2 - 1e-6, orthogonal._BOOK, lambda x: orthogonal.shear_force(1e3, 5e2, x)),
    ("rake angle [rad]", -pi / 6, pi / 4, orthogonal._BOOK, lambda x: orthogonal.rake_face_friction(1e3, 5e2, x)),
    ("helix [rad]", 0, pi / 3, "a twist drill", lambda x: orthogonal.lip_rake(x, 2.0)),
    ("point angle SIG [rad]", 0.1, pi + 1e-9, "a twist drill", lambda x: orthogonal.lip_thrust(1e3, x)),
    ("point angle SIG [rad]", 0.1, pi + 1e-9, "a twist drill", lambda x: orthogonal.lip_rake(0.5, x)),
]  # fmt: skip


@pytest.mark.parametrize(("quantity", "low", "high", "source", "formula"), BETWEEN)
def test_a_limit_itself_is_inside_and_the_next_number_is_not(
    quantity: str, low: float, high: float, source: str, formula: Formula
) -> None:
    for inside in (low, high):
        formula(inside)
    for outside in (low - 1e-6 * max(abs(low), high), high * (1 + 1e-6), nextafter(high, inf), nan, -inf, inf):
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
    ("kc1.1 [Pa]", lambda x: forces.specific_cutting_force(x, 0.25, 2e-4)),
    ("smallest chip thickness [m]", lambda x: forces.clipped_chip_thickness(1e-4, x)),
    ("width of cut b [m]", lambda x: forces.cutting_force(1.8e9, 0.25, x, 2e-4)),
    ("depth of cut ap [m]", lambda x: forces.turning_force(1.8e9, 0.25, x, 2e-4, 1.5)),
    ("feed f [m]", lambda x: forces.turning_force(1.8e9, 0.25, 2e-3, x, 1.5)),
    ("factors", lambda x: forces.turning_force(1.8e9, 0.25, 2e-3, 2e-4, 1.5, x)),
    ("ap [m]", lambda x: forces.milling_power(1.8e9, 0.25, x, 0.02, 0.01, 2e-4, 0.05)),
    ("factors", lambda x: forces.milling_power(1.8e9, 0.25, 2e-3, 0.02, 0.01, 2e-4, 0.05, factors=x)),
    ("diameter DC [m]", lambda x: forces.drill_torque(1.8e9, 0.25, x, 2e-4, 2.4)),
    ("factors", lambda x: forces.drill_torque(1.8e9, 0.25, 0.01, 2e-4, 2.4, x)),
    ("feed f [m]", lambda x: forces.drill_chip_thickness(x, 2.4)),
    ("spindle speed n [1/s]", lambda x: forces.torque_of_power(1e3, x)),
    ("cutting speed vc [m/s]", lambda x: forces.force_of_power(1e3, x)),
    ("diameter DC [m]", lambda x: cutting.cutting_speed(20.0, x)),
    ("diameter DC [m]", lambda x: cutting.spindle_speed(2.0, x)),
    ("spindle speed n [1/s]", lambda x: cutting.feed_per_revolution(0.01, x)),
    ("teeth ZEFP", lambda x: cutting.feed_per_tooth(0.01, 20.0, x)),  # type: ignore[arg-type]
    ("diameter DC [m]", lambda x: cutting.removal_rate_drilling(x, 0.01)),
    ("pitch P [m]", lambda x: cutting.removal_rate_tapping(0.01, 0.0085, x, 5.0)),
    ("diameter DC [m]", lambda x: cutting.drill_point_length(x, 2.0)),
    ("point angle SIG [rad]", lambda x: cutting.drill_point_length(0.01, x)),
    ("diameter DC [m]", lambda x: cutting.approach_face(x, 0.02)),
    ("feed speed vf [m/s]", lambda x: cutting.machining_time(0.1, x)),
    ("diameter DC [m]", lambda x: cutting.contact_angle(x, 0.02)),
    ("width of cut ae [m]", lambda x: cutting.mean_chip_thickness(2e-4, 0.05, x)),
    ("spindle speed n [1/s]", lambda x: cutting.tooth_contact_time(0.05, 0.02, x)),
    ("heat capacity by volume [J/(m³·K)]", lambda x: heat.cook_rise(3e9, x, 2.0, 2e-4, 1e-5)),
    ("speed times thickness [m²/s]", lambda x: heat.loewen_shaw_chip_share(1e-5, 2.0, x, 1.0)),
    ("allowed rise [K]", lambda x: heat.flow_for_heat(1e3, x, 998.0, 4184.0)),
    ("flow [m³/s]", lambda x: heat.fluid_rise(1e3, x, 998.0, 4184.0)),
    ("heat transfer coefficient [W/(m²·K)]", lambda x: edge_temperature.steady_temperature(5.0, x, 1e-5, 300.0)),
    ("surface [m²]", lambda x: edge_temperature.steady_temperature(5.0, 1e4, x, 300.0)),
    ("heat transfer coefficient [W/(m²·K)]", lambda x: edge_temperature.edge_time_constant(0.1, x, 1e-5)),
    ("surface [m²]", lambda x: edge_temperature.edge_time_constant(0.1, 1e4, x)),
    ("thermal diffusivity [m²/s]", lambda x: conduction.diffusion_time(0.01, x)),
    ("angular frequency [rad/s]", lambda x: conduction.periodic_depth(1e-5, x)),
    ("thermal diffusivity [m²/s]", lambda x: conduction.semi_infinite_until(0.01, x)),
    ("time [s]", lambda x: conduction.convective_temperature(1e-3, x, 1e4, 45.0, 1e-5, 600.0, 300.0)),
    ("time [s]", lambda x: conduction.held_surface_temperature(1e-3, x, 1e-5, 600.0, 300.0)),
    ("time [s]", lambda x: conduction.pulse_rise(1e-3, x, 1e3, 7800.0, 500.0, 1e-5)),
    ("specific energy U [J/m3]", lambda x: energy.cutting_power(x, 1e-6)),
    ("width of cut b [m]", lambda x: energy.specific_energy_of_force(1e3, x, 2e-4)),
    ("chip thickness h [m]", lambda x: energy.specific_energy_of_force(1e3, 2e-3, x)),
    ("Kp [J/m3]", lambda x: energy.handbook_power(x, 1.0, 1e-6)),
    ("feed factor C", lambda x: energy.handbook_power(2e9, x, 1e-6)),
    ("wear factor W", lambda x: energy.handbook_power(2e9, 1.0, 1e-6, x)),
    ("chip thickness h [m]", lambda x: orthogonal.shear_plane_area(x, 2e-3, 0.5)),
    ("width of cut b [m]", lambda x: orthogonal.shear_plane_area(2e-4, x, 0.5)),
    ("shear strength [Pa]", lambda x: orthogonal.cutting_force_from_shear(2e-4, 2e-3, x, 0.5, 0.1, 0.5)),
    ("diameter DC [m]", lambda x: orthogonal.lip_torque(1e3, x)),
    ("cutting diameter [m]", lambda x: peck_heat.wall_flux(1e3, 0.1, x, 0.003)),
    ("height of the hot zone [m]", lambda x: peck_heat.wall_flux(1e3, 0.1, 0.01, x)),
    ("feed speed [m/s]", lambda x: peck_heat.rubbing_seconds(STROKES, x, 0.5)),
    ("rapid speed [m/s]", lambda x: peck_heat.rubbing_seconds(STROKES, 0.01, x)),
    ("feed speed [m/s]", lambda x: peck_heat.peck_heat_ratio(STROKES, x, 0.5, 0.5)),
    ("thermal conductivity [W/(m·K)]", lambda x: peck_heat.wall_rise([(0.0, 1.0, 1e6)], 1.0, x, 1e-5)),
    ("kc [Pa]", lambda x: threads.tapping_torque(x, 1.5, 0.01, 0.0085)),
    ("K", lambda x: threads.tapping_torque(2e9, x, 0.01, 0.0085)),
    ("kc [Pa]", lambda x: threads.short_tapping_torque(x, 0.01, 0.0015)),
    ("torque limit [N·m]", lambda x: threads.torque_use(10.0, x)),
    ("core diameter [m]", lambda x: threads.core_torque_limit(x, 8e8)),
    ("torsional strength [Pa]", lambda x: threads.core_torque_limit(0.006, x)),
    ("P [m]", lambda x: threads.hole_depth_for_thread(0.02, x, 4.0)),
    ("D [m]", lambda x: threads.hole_depth_by_diameter(0.02, x)),
    ("P [m]", lambda x: threads.tapping_feed_speed(5.0, x)),
    ("starts", lambda x: threads.tapping_feed_speed(5.0, 0.0015, x)),  # type: ignore[arg-type]
    ("n [1/s]", lambda x: threads.float_needed(0.0075, x, 0.0015, 0.02)),
    ("major diameter D [m]", lambda x: threads.thread(x, 0.0015)),
    ("pitch P [m]", lambda x: threads.thread(0.01, x)),
    ("C [m/s]", lambda x: toollife.tool_life(2.0, 0.25, x)),
    ("cutting speed v [m/s]", lambda x: toollife.tool_life(x, 0.25, 5.0)),
    ("K [m/s]", lambda x: toollife.tool_life_with_feed(2.0, 2e-4, 0.25, 0.5, x)),
    ("feed f [m]", lambda x: toollife.tool_life_with_feed(2.0, x, 0.25, 0.5, 5.0)),
    ("C [m/s]", lambda x: toollife.speed_for_life(900.0, 0.25, x)),
    ("tool life T [s]", lambda x: toollife.speed_for_life(x, 0.25, 5.0)),
    ("length of cut [m]", lambda x: toollife.speed_for_cut_as_long_as_life(x, 0.25, 5.0)),
    ("C [m/s]", lambda x: toollife.speed_for_cut_as_long_as_life(500.0, 0.25, x)),
    ("ratio of C", lambda x: toollife.life_ratio(x, 0.25)),
    ("change time [s]", lambda x: toollife.fastest_production_speed(0.25, 5.0, x)),
    ("cost rate", lambda x: toollife.cheapest_speed(0.25, 5.0, 60.0, 5.0, x)),
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
    ("chip thickness h [m]", lambda x: forces.clipped_chip_thickness(x)),
    ("vf [m/s]", lambda x: forces.milling_power(1.8e9, 0.25, 2e-3, 0.02, x, 2e-4, 0.05)),
    ("spindle speed n [1/s]", lambda x: forces.power_of_torque(10.0, x)),
    ("spindle speed n [1/s]", lambda x: cutting.cutting_speed(x, 0.01)),
    ("cutting speed vc [m/s]", lambda x: cutting.spindle_speed(x, 0.01)),
    ("spindle speed n [1/s]", lambda x: cutting.feed_speed(x, 2e-4)),
    ("feed f [m]", lambda x: cutting.feed_speed(20.0, x)),
    ("feed speed vf [m/s]", lambda x: cutting.feed_per_revolution(x, 20.0)),
    ("vc [m/s]", lambda x: cutting.removal_rate_turning(x, 2e-4, 2e-3)),
    ("f [m]", lambda x: cutting.removal_rate_turning(2.0, x, 2e-3)),
    ("ap [m]", lambda x: cutting.removal_rate_turning(2.0, 2e-4, x)),
    ("vf [m/s]", lambda x: cutting.removal_rate_drilling(0.01, x)),
    ("ap [m]", lambda x: cutting.removal_rate_milling(x, 0.02, 0.01)),
    ("ae [m]", lambda x: cutting.removal_rate_milling(2e-3, x, 0.01)),
    ("vf [m/s]", lambda x: cutting.removal_rate_milling(2e-3, 0.02, x)),
    ("n [1/s]", lambda x: cutting.removal_rate_tapping(0.01, 0.0085, 0.0015, x)),
    ("width [m]", lambda x: cutting.approach_face(0.05, x)),
    ("approach [m]", lambda x: cutting.machining_time(0.1, 0.01, x)),
    ("overtravel [m]", lambda x: cutting.machining_time(0.1, 0.01, 0.0, x)),
    ("length [m]", lambda x: cutting.machining_time(x, 0.01)),
    ("width of cut ae [m]", lambda x: cutting.contact_angle(0.05, x)),
    ("fz [m]", lambda x: cutting.mean_chip_thickness(x, 0.05, 0.02)),
    ("time [s]", lambda x: conduction.penetration_depth(1e-5, x)),
    ("time [s]", lambda x: conduction.lumped_temperature(x, 600.0, 300.0, 1.0)),
    ("argument of erfcx", conduction.erfcx),
    ("time [s]", lambda x: conduction.surface_excess(1e4, 45.0, 1e-5, x)),
    ("depth [m]", lambda x: conduction.convective_temperature(x, 1.0, 1e4, 45.0, 1e-5, 600.0, 300.0)),
    ("time [s]", lambda x: conduction.flux_rise(0.0, x, 1e6, 45.0, 1e-5)),
    ("removal rate Q [m3/s]", lambda x: energy.cutting_power(2e9, x)),
    ("cutting power Pc [W]", lambda x: energy.motor_power(x, 0.8)),
    ("Q [m3/s]", lambda x: energy.handbook_power(2e9, 1.0, x)),
    ("torque M [N·m]", lambda x: threads.torque_use(x, 20.0)),
    ("lead", lambda x: threads.hole_depth_for_thread(0.02, 0.0015, x)),
    ("centre [m]", lambda x: threads.hole_depth_for_thread(0.02, 0.0015, 4.0, x)),
    ("clearance", lambda x: threads.hole_depth_for_thread(0.02, 0.0015, 4.0, 0.0, x)),
    ("full thread [m]", lambda x: threads.hole_depth_for_thread(x, 0.0015, 4.0)),
    ("full thread [m]", lambda x: threads.hole_depth_by_diameter(x, 0.01)),
    ("hole depth [m]", lambda x: threads.full_thread_in_hole(x, 0.0015, 4.0)),
    ("n [1/s]", lambda x: threads.tapping_feed_speed(x, 0.0015)),
    ("vf [m/s]", lambda x: threads.float_needed(x, 5.0, 0.0015, 0.02)),
    ("depth [m]", lambda x: threads.float_needed(0.0075, 5.0, 0.0015, x)),
    ("edge cost", lambda x: toollife.cheapest_speed(0.25, 5.0, 60.0, x, 0.01)),
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
    ("kinematic viscosity of the oil [m²/s] = 9.8364 lies outside 2e-06 .. 1 (ASTM D341)", lambda: fluids.walther_viscosity(263.15, 273.15, 0.5, 373.15, 1e-5)),
    (f"point angle SIG [rad] = 3.2 lies outside 0 .. 3.14159 ({cutting._CUTTER})", lambda: cutting.drill_point_length(0.01, 3.2)),
    (f"chip ratio = 1.2 lies outside 0 .. 1 ({orthogonal._BOOK})", lambda: orthogonal.shear_angle(1.2, 0.1)),
    ("chip ratio = 0 lies outside values above zero (by its meaning)", lambda: orthogonal.shear_angle(0.0, 0.1)),
    ("speed change at a corner [m/s] = 0 lies outside values above zero (by its meaning)", lambda: kin.junction_speeds([[1.0, 0, 0]], [[1.0, 0, 0]], [0.1], 0.0)),
    ("depth of thread (D - hole)/2 [m] = -0.001 lies outside values above zero (by its meaning)", lambda: cutting.removal_rate_tapping(0.01, 0.011, 0.0015, 5.0)),
    ("hole [m] = 0 lies outside values above zero (by its meaning)", lambda: cutting.removal_rate_tapping(0.01, 0.0, 0.0015, 5.0)),
    ("hole [m] = 0 lies outside values above zero (by its meaning)", lambda: threads.tapping_torque(2e9, 1.5, 0.01, 0.0)),
    ("heat transfer coefficient [W/(m²·K)] = 0 lies outside values above zero (by its meaning)", lambda: conduction.lumped_time_constant(7800.0, 500.0, 1e-9, 6e-6, 0.0, 45.0)),
    ("feed [m/s] = 0 lies outside values above zero (by its meaning)", lambda: pecking.full_retract_time([0.01, 0.02], 0.001, 0.0, 0.5, 5.0)),
    ("change time [s] = -1 lies outside values of zero and more (by its meaning)", lambda: toollife.cheapest_speed(0.25, 5.0, -1.0, 5.0, 0.01)),
    ("v [m/s] = 0 lies outside values above zero (by its meaning)", lambda: toollife.taylor_constants_with_feed(((1.0, 2e-4, 600.0), (0.0, 2e-4, 300.0), (1.0, 3e-4, 500.0)))),
    ("f [m] = 0 lies outside values above zero (by its meaning)", lambda: toollife.taylor_constants_with_feed(((1.0, 2e-4, 600.0), (2.0, 0.0, 300.0), (1.0, 3e-4, 500.0)))),
    ("T [s] = 0 lies outside values above zero (by its meaning)", lambda: toollife.taylor_constants_with_feed(((1.0, 2e-4, 600.0), (2.0, 2e-4, 0.0), (1.0, 3e-4, 500.0)))),
    ("open flow [m³/s] = inf lies outside 0.0003 .. inf (pump curve)", lambda: Pump.rated(3e-4, 20e5, inf)),
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
    ("kind of cutting = drilling lies outside turning, milling (others: nothing in print) (heat partition)", lambda: heat.heat_share("chip", "drilling")),
    ("second cutting speed [m/s] = 2 lies outside speeds other than the first (Trigger's law)", lambda: heat.trigger_law(2.0, 500.0, 2.0, 600.0)),
    ("thermal number times tan(phi) = 0.546302 lies outside 10 .. 27.5 (Ghosh and Mallik Ex. 4.6)", lambda: heat.work_share_of_shear_heat(1.0, 0.5)),
    ("spans of an edge = a single number lies outside a list along the first axis (edge temperature)", lambda: edge_temperature.temperatures_over(300.0, np.array(1.0), np.array(1.0), np.array(1.0))),
    ("shortest span [s] = -1 lies outside values of zero and more (by its meaning)", lambda: edge_temperature.temperatures_over(300.0, np.array([-1.0]), np.array([1.0]), np.array([1.0]))),
    ("shortest time constant [s] = 0 lies outside values above zero (by its meaning)", lambda: edge_temperature.temperatures_over(300.0, np.array([1.0]), np.array([1.0]), np.array([0.0]))),
    ("temperature to reach [K] = 700 lies outside between 600 and 300 (exponential cooling)", lambda: conduction.lumped_time(700.0, 600.0, 300.0, 1.0)),
    ("Biot number = 3.7037 lies outside 0 .. 0.1 (lumped body)", lambda: conduction.lumped_time_constant(7800.0, 500.0, 1e-6, 6e-4, 1e5, 45.0)),
    ("stroke of a peck cycle [m] = (0.0095, 0.01) lies outside strokes that go on from 0.01 (peck cycle)", lambda: peck_heat.rubbing_seconds([STROKES[0], (0.0095, 0.01, 0.0)], 0.01, 0.5)),
    ("stroke of a peck cycle [m] = (0.011, 0.02) lies outside strokes that go on from 0.01 (peck cycle)", lambda: peck_heat.rubbing_seconds([STROKES[0], (0.011, 0.02, 0.0)], 0.01, 0.5)),
    ("number of strokes = 0 lies outside one or more (peck cycle)", lambda: peck_heat.peck_heat_ratio([], 0.01, 0.5, 0.5)),
    ("depth of the hole [m] = 0 lies outside values above zero (by its meaning)", lambda: peck_heat.peck_heat_ratio([(0.01, 0.01, 0.0)], 0.01, 0.5, 0.5)),
    ("length of a pulse [s] = -0.5 lies outside values of zero and more (by its meaning)", lambda: peck_heat.wall_rise([(1.0, 0.5, 1e6)], 1.0, 45.0, 1e-5)),
    ("thread = 9 x 1 mm lies outside M3 to M24 coarse (ISO 2306)", lambda: threads.standard_tap_drill(0.009, 0.001)),
    ("tap and work = chisel in steel, coarse lies outside the filled cells of the table (a tap maker's catalogues)", lambda: threads.tap_factor("chisel", "steel")),
    ("pitch over major diameter = 0.366667 lies outside 0 .. 0.333333 (ISO 68-1)", lambda: threads.thread(0.003, 0.0011)),
    ("tool lives [s] = 900 lies outside two different lives (Taylor's equation)", lambda: toollife.taylor_constants(2.0, 900.0, 3.0, 900.0)),
    ("v1 [m/s] = 0 lies outside values above zero (by its meaning)", lambda: toollife.taylor_constants(0.0, 900.0, 3.0, 600.0)),
    ("number of points = 1 lies outside three (Taylor's equation)", lambda: toollife.taylor_constants_with_feed(((1.0,2e-4,600.0),))),
    ("points = ((1.0, 0.0002, 600.0), (1.0, 0.0002, 600.0), (1.0, 0.0002, 600.0)) lies outside points that fix both exponents (Taylor's equation)", lambda: toollife.taylor_constants_with_feed(((1.0,2e-4,600.0),)*3)),
    ("cutting power [W] = -1 lies outside values of zero and more (by its meaning)", lambda: forces.force_of_power(-1.0, 2.0)),
    ("ae over DC = 1.2 lies outside 0 .. 1 (geometry of a cutter)", lambda: cutting.contact_angle(0.05, 0.06)),
    ("depth of thread D - hole [m] = -1e-07 lies outside values above zero (by its meaning)", lambda: threads.tapping_torque(2e9,1.5,0.01,0.0100001)),
    ("hole [m] = 0.0101 lies outside 0.00822621 .. 0.01 (a hole for a thread)", lambda: threads.engagement_of_basic_height(0.01, 0.0101, 0.0015)),
    ("Biot number = -1 lies outside values above zero (by its meaning)", lambda: thermal_stress.stress_factor(-1.0)),
    ("receiver of heat = air lies outside chip and fluid, work, tool (heat partition)", lambda: heat.heat_share("air")),
    ("fluid mode = steam lies outside dry, air, through_air, mist, minimum_quantity, flood, ring, nozzle, wash, through_tool (heat transfer table)", lambda: convection.heat_transfer_coefficient("steam")),
    ("medium = steam lies outside dry, air blast, flood water_mix, flood neat_oil, mist, boiling, grinding wet (heat transfer table)", lambda: convection.heat_transfer_envelope("steam")),
    (f"cutting material = cheese lies outside hardmetal, cermet, ceramic, CBN, HSS ({cutting_materials.SOURCE})", lambda: cutting_materials.cutting_materials("cheese")),
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
