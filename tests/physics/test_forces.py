"""Forces, powers, drilling torque and thrust: how they move with their inputs, and where they stop giving numbers."""

from math import acos, pi, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from coolcheck.physics import OutOfRange, energy, forces
from coolcheck.physics.drilling import (
    catalogue_drilling_force,
    catalogue_thrust,
    catalogue_torque,
    chisel_factors,
    drilling_constants,
    empirical_constant,
    empirical_power,
    empirical_thrust,
    empirical_torque,
    handbook_thrust,
    handbook_torque,
    shop_thrust,
)
from coolcheck.physics.orthogonal import shear_angle, shear_force, shear_strain, slip_line_shear_angle
from coolcheck.physics.tables import table

constants = st.floats(500e6, 4700e6)
exponents = st.floats(0.1, 0.35)
thickness = st.floats(6e-5, 1e-3)
feeds = st.floats(0.05e-3, 0.6e-3)
diameters = st.floats(0.002, 0.040)


@given(constants, exponents, thickness)
def test_a_thinner_chip_needs_more_force_for_its_area_and_less_in_all(kc: float, mc: float, h: float) -> None:
    assert forces.specific_cutting_force(kc, mc, h) < forces.specific_cutting_force(kc, mc, h / 1.2)
    assert forces.cutting_force(kc, mc, 0.001, h) > forces.cutting_force(kc, mc, 0.001, h / 1.2)


@given(constants, exponents, thickness, st.floats(1e-4, 0.05))
def test_force_is_in_proportion_to_the_width_of_cut(kc: float, mc: float, h: float, b: float) -> None:
    assert forces.cutting_force(kc, mc, 2 * b, h) == pytest.approx(2 * forces.cutting_force(kc, mc, b, h))


def test_a_chip_thinner_than_the_fit_has_no_number_until_it_is_clipped_by_name() -> None:
    with pytest.raises(OutOfRange, match="fitted to"):
        forces.specific_cutting_force(2000e6, 0.25, 1e-5)

    clipped = forces.specific_cutting_force(2000e6, 0.25, forces.clipped_chip_thickness(1e-5))

    assert clipped == forces.specific_cutting_force(2000e6, 0.25, 5e-5)


def test_the_range_of_a_material_record_comes_before_the_usual_one() -> None:
    assert forces.specific_cutting_force(2000e6, 0.25, 3e-5, h_least=2e-5) > 0


def test_every_printed_group_has_constants_and_those_without_mc_have_none() -> None:
    for row in table("vdi3323_kienzle"):
        group = int(row["group"])
        if row["mc"]:
            assert forces.kienzle_of_group(group).kc1_1 == float(row["kc1_1"]) * 1e6
        else:
            with pytest.raises(OutOfRange):
                forces.kienzle_of_group(group)


def test_the_two_editions_differ_only_where_they_print_two_pairs() -> None:
    differing = [g for g in (1, 14, 36, 37) if forces.kienzle_of_group(g) != forces.kienzle_of_group(g, later=True)]

    assert differing == [36, 37]


def test_the_rake_correction_is_one_at_the_rake_of_the_constants_and_changes_by_one_and_a_half_percent_a_degree() -> None:
    """Dietrich/Tschaetsch, Praxis der Zerspantechnik: 6 degrees for steel, 2 for cast iron (from memory)."""
    for cast_iron, usual in ((False, 6.0), (True, 2.0)):
        factors = [forces.rake_factor(radians(usual + more), cast_iron) for more in (-4.0, 0.0, 10.0)]
        assert factors == pytest.approx([1.06, 1.0, 0.85])


def test_the_speed_correction_follows_its_own_curve_on_each_side_of_100_m_min() -> None:
    for m_min in (30.0, 99.0, 100.5, 101.0, 250.0):
        usual = 2.023 / m_min**0.153 if m_min < 100 else 1.380 / m_min**0.07
        assert forces.speed_factor(m_min / 60) == pytest.approx(usual, rel=1e-9)


@pytest.mark.parametrize("form", ["SI", "inch"])
def test_wear_takes_torque_and_thrust_in_proportion(form: str) -> None:
    for formula, edge in ((handbook_torque, (1.1,)), (handbook_thrust, (1.3, 0.03))):
        sharp, worn = (formula(24000.0, 2e-4, 0.010, *edge, W, form) for W in (1.0, 1.3))  # type: ignore[arg-type]
        assert worn == pytest.approx(1.3 * sharp)


def test_the_inch_form_of_the_handbook_is_its_inch_equation() -> None:
    """M = Kd f^0.8 D^1.8 A W and T = 2 Kd f^0.8 D^0.8 B W + Kd D^2 J W, in inch and pounds: Machinery's Handbook, 31st ed., p. 1152."""
    torque = handbook_torque(24000.0, 0.0254 / 100, 0.0254 / 2, 1.1, form="inch")
    thrust = handbook_thrust(24000.0, 0.0254 / 100, 0.0254 / 2, 1.3, 0.03, form="inch")

    assert torque / (4.4482216152605 * 0.0254) == pytest.approx(24000 * 0.01**0.8 * 0.5**1.8 * 1.1)
    assert thrust / 4.4482216152605 == pytest.approx(2 * 24000 * 0.01**0.8 * 0.5**0.8 * 1.3 + 24000 * 0.25 * 0.03)


def test_corrections_are_factors_on_force_torque_and_power() -> None:
    for formula, cut in (
        (forces.turning_force, (1.8e9, 0.25, 2e-3, 2e-4, 1.5)),
        (forces.milling_power, (1.8e9, 0.25, 2e-3, 0.03, 0.02, 2e-4, 0.05)),
        (forces.drill_torque, (1.8e9, 0.25, 0.010, 2e-4, 2.4)),
    ):
        assert formula(*cut, factors=1.3) == pytest.approx(1.3 * formula(*cut))  # type: ignore[operator]


@pytest.mark.parametrize("row", table("groover_2012_chip_thickness"), ids=lambda row: row["h_mm"])
def test_the_factor_of_a_chip_thickness_is_the_printed_one(row: dict[str, str]) -> None:
    assert energy.chip_thickness_factor(float(row["h_mm"]) / 1000) == pytest.approx(float(row["factor"]), rel=1e-9)


def test_specific_energy_and_power_constant_are_the_printed_ones() -> None:
    """Groover, 5th ed., Table 20.2; Machinery's Handbook, 31st ed., Table 1b."""
    for row in table("groover_2012_specific_energy"):
        told = energy.specific_energy(row["material"], float(row["HB_to"]))
        assert told == pytest.approx(float(row["U"]) * 1e9, rel=1e-12)
    for row in table("machinerys_handbook_31_power_constants"):
        told = energy.power_constant(row["family"], float(row["HB_to"]))
        assert told == pytest.approx(float(row["Kp"]) * 1e9, rel=1e-12)


def test_no_power_needs_no_force() -> None:
    assert forces.force_of_power(0.0, 2.0) == 0.0
    assert forces.force_of_power(0.5, 2.0) == 0.25


def test_a_leaning_edge_mills_a_thinner_chip_at_more_specific_force() -> None:
    """The mean chip is thinner by the sine of KAPR, and kc rises by that to the power of mc."""
    straight, leaning = (
        forces.milling_power(1.8e9, 0.25, 2e-3, 0.03, 0.02, 2e-4, 0.05, KAPR=radians(angle)) for angle in (90, 45)
    )

    assert leaning / straight == pytest.approx(sin(radians(45)) ** -0.25)


def test_the_speed_correction_meets_itself_at_100_m_min() -> None:
    assert forces.speed_factor(99.999 / 60) == pytest.approx(forces.speed_factor(100.001 / 60), abs=1e-3)


@given(constants, exponents, st.floats(0.0005, 0.005), st.floats(0.0001, 0.0008), st.floats(0.8, 2.0))
def test_turning_force_grows_with_depth_and_less_than_in_proportion_with_feed(
    kc: float, mc: float, ap: float, f: float, kappa: float
) -> None:
    force = forces.turning_force(kc, mc, ap, f, kappa)

    assert forces.turning_force(kc, mc, 2 * ap, f, kappa) == pytest.approx(2 * force)
    assert force < forces.turning_force(kc, mc, ap, 2 * f, kappa) < 2 * force


def test_the_mean_chip_gives_the_milling_power_of_the_chip_integrated_over_the_contact_to_three_percent_above() -> None:
    """The mean-chip rule is on the safe side: the mean of a concave function lies below the function of the mean."""
    kc, mc, DC, ap, ae, fz, z, n = 2220e6, 0.14, 0.080, 0.060, 0.005, 0.00025, 5, 278.52 / 60
    phi = acos(1 - 2 * ae / DC)
    work, _ = quad(lambda p: kc * ap * 1e-3 * (fz * sin(p) / 1e-3) ** (1 - mc) * DC / 2, 0, phi)  # of one tooth in one turn

    assert work * z * n < forces.milling_power(kc, mc, ap, ae, fz * z * n, fz, DC) < 1.03 * work * z * n


@given(constants, exponents, diameters, st.floats(0.00015, 0.001))
def test_a_drill_of_twice_the_diameter_takes_four_times_the_torque(kc: float, mc: float, DC: float, f: float) -> None:
    torque = forces.drill_torque(kc, mc, DC, f, radians(140))

    assert forces.drill_torque(kc, mc, 2 * DC, f, radians(140)) == pytest.approx(4 * torque)


@given(st.floats(0.1, 100), st.floats(1, 400))
def test_torque_and_power_are_each_other_turned_round(M: float, n: float) -> None:
    assert forces.torque_of_power(forces.power_of_torque(M, n), n) == pytest.approx(M)


@given(diameters, feeds, st.floats(4000, 40000))
def test_handbook_torque_and_thrust_grow_with_diameter_feed_and_material(DC: float, f: float, Kd: float) -> None:
    A, B, J = chisel_factors()

    assert handbook_torque(Kd, f, 2 * DC, A) == pytest.approx(2**1.8 * handbook_torque(Kd, f, DC, A))
    assert handbook_torque(Kd, 2 * f, DC, A) == pytest.approx(2**0.8 * handbook_torque(Kd, f, DC, A))
    assert handbook_torque(2 * Kd, f, DC, A) == pytest.approx(2 * handbook_torque(Kd, f, DC, A))
    assert handbook_thrust(Kd, f, DC, B, J) < handbook_thrust(Kd, 2 * f, DC, B, J) < 2 * handbook_thrust(Kd, f, DC, B, J)


@given(diameters, feeds)
def test_the_inch_and_the_metric_print_of_the_handbook_stay_within_their_stated_difference(DC: float, f: float) -> None:
    A, B, J = chisel_factors()

    assert handbook_torque(24000, f, DC, A) == pytest.approx(handbook_torque(24000, f, DC, A, form="inch"), rel=0.006)
    assert handbook_thrust(24000, f, DC, B, J) == pytest.approx(handbook_thrust(24000, f, DC, B, J, form="inch"), rel=0.016)


@given(st.floats(0.03, 0.2))
def test_a_longer_chisel_edge_costs_torque_and_more_thrust(c: float) -> None:
    short, long = chisel_factors(c), chisel_factors(2 * c)

    assert short.A < long.A and short.B < long.B and short.J < long.J


@pytest.mark.parametrize("degrees", [59, 70, 80])
def test_a_pointed_drill_takes_the_sine_of_its_edge_angle_of_what_a_flat_one_takes(degrees: float) -> None:
    """M = f kc D^2 sin(kappa) / 8 and Ff = k D/2 f kc sin(kappa): a cutting tool maker's drilling catalogue, 2017, p. 601."""
    for formula in (catalogue_torque, catalogue_thrust):
        flat, pointed = (formula(2.2e9, 0.00015, 0.022, radians(angle)) for angle in (90, degrees))
        assert pointed == pytest.approx(flat * sin(radians(degrees)))


@given(st.floats(500e6, 4600e6), feeds, diameters)
def test_catalogue_torque_and_thrust_are_in_proportion_to_force_and_feed(kc: float, f: float, DC: float) -> None:
    assert catalogue_torque(kc, 2 * f, DC, 1.2) == pytest.approx(2 * catalogue_torque(kc, f, DC, 1.2))
    assert catalogue_torque(kc, f, 2 * DC, 1.2) == pytest.approx(4 * catalogue_torque(kc, f, DC, 1.2))
    assert catalogue_thrust(kc, f, 2 * DC, 1.2) == pytest.approx(2 * catalogue_thrust(kc, f, DC, 1.2))
    assert catalogue_thrust(kc, f, DC, 1.2, k=0.7) > catalogue_thrust(kc, f, DC, 1.2)


@given(feeds, diameters, st.floats(1, 200))
def test_the_empirical_power_is_its_torque_times_speed_within_three_percent(f: float, DC: float, n: float) -> None:
    power = forces.power_of_torque(empirical_torque(2.0, f, DC), n)

    assert empirical_power(2.0, f, DC, n) == pytest.approx(power, rel=0.03)


@given(st.floats(0.0002, 0.0005), diameters)
def test_a_harder_material_thrusts_harder(f: float, DC: float) -> None:
    hard, soft = empirical_constant("SNCM625 390 HB"), empirical_constant("aluminium")

    assert empirical_thrust(hard, f, DC) > empirical_thrust(soft, f, DC)
    assert drilling_constants("Rene 41").thrust > drilling_constants("steel 200 HB").thrust


@given(st.floats(0.0016, 0.0127))
def test_a_drill_shop_sees_more_thrust_on_a_larger_drill(DC: float) -> None:
    assert shop_thrust("cast iron", 2 * DC) > shop_thrust("cast iron", DC)


@given(st.floats(0.02e-3, 1.5e-3))
def test_the_fitted_feed_factor_stays_within_three_percent_between_the_entries(f: float) -> None:
    assert energy.fitted_feed_factor(f) == pytest.approx(energy.feed_factor(f), rel=0.03)


def test_the_fit_meets_every_printed_feed_factor_to_2_1_percent() -> None:
    for row in table("machinerys_handbook_28_feed_factors"):
        assert energy.fitted_feed_factor(float(row["f_mm"]) / 1000) == pytest.approx(float(row["C"]), rel=0.0215)


@given(st.floats(0.1e9, 5e9), st.floats(0, 1e-4), st.floats(0.5, 1.0))
def test_the_motor_gives_more_than_the_cut_takes(U: float, Q: float, E: float) -> None:
    Pc = energy.cutting_power(U, Q)

    assert energy.motor_power(Pc, E) >= Pc
    assert energy.cutting_power(2 * U, Q) == pytest.approx(2 * Pc)


def test_a_worn_tool_takes_more_power() -> None:
    assert energy.energy_wear_factor("sharp") < energy.energy_wear_factor("worn finishing tool")
    assert energy.handbook_wear_factor("sharp")[1] < energy.handbook_wear_factor("drilling")[0]
    assert forces.wear_factor("drilling") > 1 and forces.compression_factor("turning") == 1


def test_a_harder_steel_takes_more_energy() -> None:
    hard = [energy.specific_energy("alloy steel", HB) for HB in (225, 275, 325, 375)]

    assert hard == sorted(hard)
    assert energy.power_constant("plain carbon", 350) > energy.power_constant("plain carbon", 90)


@given(st.floats(0.2, 0.9), st.floats(-0.2, 0.5))
def test_a_thinner_chip_means_a_steeper_shear_plane_and_less_strain(r: float, rake: float) -> None:
    thick, thin = shear_angle(r, rake), shear_angle(min(1.0, r * 1.1), rake)

    assert thin > thick
    assert shear_force(1000, 0, thin) < shear_force(1000, 0, thick)
    if thin < pi / 4 + rake / 2:  # strain is least where the shear plane halves the angle
        assert shear_strain(thin, rake) < shear_strain(thick, rake)


@given(st.floats(0.0, 0.4), st.floats(0.1, 0.8))
def test_more_friction_flattens_the_shear_plane(rake: float, mu: float) -> None:
    assert slip_line_shear_angle(rake, mu) > slip_line_shear_angle(rake, mu + 0.1)


@pytest.mark.parametrize(
    "call",
    [
        lambda: forces.specific_cutting_force(-1.0, 0.2, 1e-4),
        lambda: forces.specific_cutting_force(2e9, 1.2, 1e-4),
        lambda: forces.kienzle_of_group(29),
        lambda: forces.kienzle_of_steel("unobtainium"),
        lambda: forces.speed_factor(5 / 60),
        lambda: forces.rake_factor(1.0),
        lambda: forces.wear_factor("sawing"),
        lambda: forces.torque_of_power(100.0, 0.0),
        lambda: forces.force_of_power(-1.0, 1.0),
        lambda: energy.specific_energy("carbon steel", 500),
        lambda: energy.specific_energy("stone", 200),
        lambda: energy.chip_thickness_factor(5e-5),
        lambda: energy.feed_factor(2e-3),
        lambda: energy.power_constant("4130", 170),
        lambda: energy.motor_power(100, 1.2),
        lambda: chisel_factors(0.5),
        lambda: handbook_torque(24000, 0.005, 0.010, 1.0),
        lambda: catalogue_drilling_force(30),
        lambda: empirical_constant("stone"),
        lambda: shop_thrust("aluminium", 0.030),
        lambda: shear_angle(1.2, 0.1),
    ],
)
def test_outside_its_range_a_formula_gives_no_number(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]


def test_a_handbook_torque_is_the_printed_product() -> None:
    """Machinery's Handbook, 31st ed., p. 1152: M = Kd Ff FM A W / 40,000 with Ff = f^0.8 and FM = D^1.8 in mm."""
    printed = 24000 * 0.2**0.8 * 10**1.8 * 1.1 * 1.3 / 40_000

    assert handbook_torque(24000, 0.2e-3, 0.010, 1.1, 1.3) == pytest.approx(printed, rel=1e-9)


@pytest.mark.parametrize(("speed", "factor"), [(99.99, 2.023 / 99.99**0.153), (100.01, 1.380 / 100.01**0.07)])
def test_the_speed_factor_changes_its_law_at_100_m_per_minute(speed: float, factor: float) -> None:
    assert forces.speed_factor(speed / 60) == pytest.approx(factor, rel=1e-9)
