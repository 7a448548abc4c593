"""What physics says of an operation: pressure and flow at its tool, torque, power, heat, depth in one pass, quench."""

from collections.abc import Callable
from typing import Any

import pytest

from coolcheck.physics import cutting, drilling_depth, forces, threads

HEAD = "G21 G90 G94 G99\n"
Ask = Callable[..., Any]


def tool(number: int, *lines: str) -> str:
    return f"T{number} M6\nS3000 M3\nG0 X0 Y0\nZ5.\n" + "\n".join(lines) + "\nG0 Z50.\n"


def drilled(bench: Any, depth: float = 20.0, mode: str = "M57 P3") -> Any:
    return bench.timeline(HEAD + tool(2, mode, f"G81 Z-{depth} R2. F600", "G80", "M9") + "M30\n")


def value(ask: Ask, timeline: Any, name: str, index: int = 0) -> float:
    found = ask(timeline, "operation", name, index)
    assert found.is_known, found.missing
    return float(found.value)


# pressure and flow


def test_pressure_at_the_tool_lies_below_that_of_the_pump(bench: Any, ask: Ask) -> None:
    timeline = drilled(bench)

    assert 0 < value(ask, timeline, "tip_pressure") < value(ask, timeline, "pump_pressure") <= 70e5


def test_wider_exits_let_more_through_and_hold_less(bench: Any, ask: Ask) -> None:
    narrow = drilled(bench)
    bench.records["T2"]["fluid"] |= {"exit diameter": "2.5 mm", "passage diameter": "2.5 mm"}
    wide = drilled(bench)

    assert value(ask, wide, "tip_flow") > value(ask, narrow, "tip_flow")
    assert value(ask, wide, "tip_pressure") < value(ask, narrow, "tip_pressure")


def test_an_exit_narrower_than_its_passage_holds_flow_back(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["fluid"]["passage diameter"] = "1.5 mm"
    open_end = bench.records["T2"]["fluid"] | {"exit diameter": "1.5 mm"}
    throttled = value(ask, drilled(bench), "tip_flow")
    bench.records["T2"]["fluid"] = open_end

    assert throttled < value(ask, drilled(bench), "tip_flow")


def test_a_leaking_collet_takes_its_share(bench: Any, ask: Ask) -> None:
    sealed = drilled(bench)
    bench.change("holder", sealed="no", **{"leak area": "6 mm**2"})
    leaking = drilled(bench)

    assert value(ask, sealed, "leak_share") == 0.0
    assert 0.3 < value(ask, leaking, "leak_share") < 1.0
    assert value(ask, leaking, "tip_pressure") < value(ask, sealed, "tip_pressure")


def test_a_leak_of_unknown_size_is_asked_for(bench: Any, ask: Ask) -> None:
    found = ask(drilled(bench.change("holder", sealed="no")), "operation", "tip_pressure")

    assert not found.is_known
    assert {missing.field for missing in found.missing} == {"leak area"}


def test_where_no_code_chooses_one_of_several_levels_the_pressure_is_asked_for(bench: Any, ask: Ask) -> None:
    pressure = ask(drilled(bench, mode="M57"), "operation", "supply_pressure")

    assert not pressure.is_known
    assert "which pressure level" in pressure.missing[0].question


def test_the_level_that_a_code_chooses_counts(bench: Any, ask: Ask) -> None:
    bench.records["machine"]["codes"].append({"code": "M87", "on": ["through_tool"], "level": "low"})
    low = drilled(bench, mode="M87")

    assert value(ask, low, "supply_pressure") == pytest.approx(30e5)
    assert value(ask, low, "tip_pressure") < 30e5


@pytest.mark.parametrize(
    ("record", "path"),
    [
        ("T2", ("fluid", "exits")),
        ("T2", ("fluid", "passage length")),
        ("holder", ("bore",)),
        ("fluid", ("viscosity",)),
    ],
)
def test_a_field_that_is_left_out_is_asked_for(bench: Any, ask: Ask, record: str, path: tuple[str, ...]) -> None:
    if record == "fluid":
        bench.drop("fluid", "temperature")
    found = ask(drilled(bench.drop(record, *path)), "operation", "tip_pressure")

    assert not found.is_known
    assert ".".join(path) in {missing.field for missing in found.missing} or record == "fluid"


def test_a_silent_fluid_record_is_mixed_from_water_and_concentrate(bench: Any, ask: Ask) -> None:
    exact = value(ask, drilled(bench), "tip_flow")
    bench.records["fluid"] = {"fluid": "emulsion", "base": "water_mix", "temperature": "22 degC", "concentration": "8 %"}

    assert value(ask, drilled(bench), "tip_flow") == pytest.approx(exact, rel=0.03)


def test_no_pressure_is_stated_where_nothing_arrives(bench: Any, ask: Ask) -> None:
    found = ask(drilled(bench.change("holder", **{"pull stud": "AF"})), "operation", "tip_pressure")

    assert not found.is_known
    assert "closed" in found.missing[0].question


# torque and power


def test_drilling_torque_is_the_formula_with_its_factors(bench: Any, ask: Ask) -> None:
    from math import radians

    factors = forces.compression_factor("drilling") * forces.wear_factor("drilling")
    by_hand = forces.drill_torque(1700e6, 0.25, 0.008, 0.0002, radians(140), factors)

    assert value(ask, drilled(bench), "torque_needed") == pytest.approx(by_hand)
    assert value(ask, drilled(bench), "power_needed") == pytest.approx(forces.power_of_torque(by_hand, 50.0))


def test_a_material_without_constants_takes_those_of_its_group(bench: Any, ask: Ask) -> None:
    bench.drop("material", "kc1.1").records["material"]["subgroup"] = "2"
    group = forces.kienzle_of_group(2)
    known_group = drilled(bench)
    bench.records["material"] |= {"kc1.1": f"{group.kc1_1 * 1e-6} MPa", "mc": str(group.mc)}

    assert value(ask, known_group, "torque_needed") == pytest.approx(value(ask, drilled(bench), "torque_needed"))


def test_tapping_torque_knows_the_hole_that_was_drilled(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["DC"] = "8.5 mm"
    timeline = bench.timeline(HEAD + tool(2, "G81 Z-20. R2. F600", "G80") + tool(3, "G84 Z-15. R5. F4500", "G80") + "M30\n")
    kc, factor = threads.tapping_force("42CrMo4 30 HRC"), threads.tap_factor("spiral flute", "steel")

    assert value(ask, timeline, "tap_torque", 1) == pytest.approx(threads.tapping_torque(kc, factor, 0.010, 0.0085))


def test_a_smaller_hole_means_more_tapping_torque(bench: Any, ask: Ask) -> None:
    torques = []
    for hole in ("8.7 mm", "8.5 mm", "8.3 mm"):
        bench.records["T2"]["DC"] = hole
        program = HEAD + tool(2, "G81 Z-20. R2. F600", "G80") + tool(3, "G84 Z-15. R5. F4500", "G80") + "M30\n"
        torques.append(value(ask, bench.timeline(program), "tap_torque", 1))

    assert torques == sorted(torques)


def test_milling_of_unknown_width_is_bounded_where_the_spindle_has_plenty(bench: Any, ask: Ask) -> None:
    bench.records["T5"]["ZEFP"] = "4"
    program = HEAD + tool(5, "G1 Z-1. F600", "X50.") + "M30\n"
    most = ask(bench.timeline(program), "operation", "power_needed")

    assert most.is_known
    assert any("upper bound" in e.note for e in most.evidence)


def test_milling_that_might_be_too_much_is_asked_about(bench: Any, ask: Ask) -> None:
    bench.records["T5"]["ZEFP"] = "4"
    bench.change("machine", spindle={"power": "0.05 kW"})
    found = ask(bench.timeline(HEAD + tool(5, "G1 Z-1. F600", "X50.") + "M30\n"), "operation", "power_needed")

    assert not found.is_known
    assert "how wide" in found.missing[0].question


def test_the_rise_of_the_fluid_is_a_heat_balance(bench: Any, ask: Ask) -> None:
    timeline = drilled(bench)
    power, flow = value(ask, timeline, "power_needed"), value(ask, timeline, "tip_flow")

    assert value(ask, timeline, "fluid_rise") == pytest.approx(power / (flow * 995 * 4000))


# needs


def test_what_the_tool_maker_asks_for_comes_first(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["fluid"] |= {"least pressure": "25 bar", "least flow": "4 L/min"}
    timeline = drilled(bench)

    assert value(ask, timeline, "needed_pressure") == pytest.approx(25e5)
    assert value(ask, timeline, "needed_flow") == pytest.approx(4 / 60000)


def test_published_guidance_stands_in_for_a_silent_record(bench: Any, ask: Ask) -> None:
    found = ask(drilled(bench), "operation", "needed_pressure")

    assert found.value == pytest.approx(drilling_depth.drilling_pressure("drill", "hardmetal", 0.008, 0.020).low)
    assert any("guidance" in e.note for e in found.evidence)


def test_one_pass_of_the_record_depends_on_where_the_fluid_comes_from(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["drilling"] = {"one pass": "40 mm", "one pass outside": "16 mm"}

    assert value(ask, drilled(bench), "one_pass_depth") == pytest.approx(0.040)
    assert value(ask, drilled(bench, mode="M8"), "one_pass_depth") == pytest.approx(0.016)


def test_one_pass_by_guidance_grows_with_the_pressure(bench: Any, ask: Ask) -> None:
    high = value(ask, drilled(bench), "one_pass_depth")
    bench.records["machine"]["codes"].append({"code": "M87", "on": ["through_tool"], "level": "low"})

    assert value(ask, drilled(bench, mode="M87"), "one_pass_depth") < high


def test_a_record_is_lowered_for_depth_only_for_hss(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["cutting"] = [{"material": "P", "vc": "60 m/min"}]
    hardmetal = drilled(bench, 40)
    bench.records["T2"]["substrate"] = "HSS"

    assert value(ask, hardmetal, "advised_speed") == pytest.approx(1.0)
    assert value(ask, drilled(bench, 40), "advised_speed") == pytest.approx(drilling_depth.depth_reduction(0.040, 0.008).speed)


def test_more_pecks_leave_more_heat(bench: Any, ask: Ask) -> None:
    heats = [
        value(ask, bench.timeline(HEAD + tool(2, f"G83 Z-40. R2. Q{q}. F600", "G80") + "M30\n"), "peck_heat")
        for q in (42, 10, 5, 2)
    ]

    assert heats[0] == 1.0
    assert heats == sorted(heats)
    assert heats[-1] > 1.0


def test_out_of_a_formula_s_range_is_unknown_with_the_reason(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["substrate"] = "HSS"
    bench.records["T2"]["cutting"] = [{"material": "P", "vc": "25 m/min"}]
    found = ask(drilled(bench, 80), "operation", "advised_speed")  # 10 D; the guide ends at 6 D

    assert not found.is_known
    assert "6" in found.missing[0].question


# threads


def test_a_tap_needs_room_below_its_thread(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["DC"] = "8.5 mm"
    timeline = bench.timeline(HEAD + tool(2, "G81 Z-30. R2. F600", "G80") + tool(3, "G84 Z-24.5 R5. F4500", "G80") + "M30\n")
    from math import radians

    full = 0.0245 - 3 * 0.0015  # lead form C: up to three threads
    by_hand = threads.hole_depth_for_thread(full, 0.0015, 3) + cutting.drill_point_length(0.0085, radians(140))

    assert ask(timeline, "step", "needed_hole_depth", 1).value == pytest.approx(by_hand)


def test_engagement_is_the_share_of_the_full_thread(bench: Any, ask: Ask) -> None:
    bench.records["T2"]["DC"] = "8.5 mm"
    timeline = bench.timeline(HEAD + tool(2, "G81 Z-30. R2. F600", "G80") + tool(3, "G84 Z-24.5 R5. F4500", "G80") + "M30\n")

    assert ask(timeline, "step", "thread_engagement", 1).value == pytest.approx(0.7697, abs=1e-3)  # M10, hole 8.5: 77 % in print


# quench


def rough_and_finish(finish: str, pause: str = "") -> str:
    lines = ["G1 Z-2. F800", "X100.", "G0 Z5.", "X0", pause, finish, "G1 Z-2.3 F600", "X100."]
    return HEAD + tool(4, *filter(None, lines)) + "M30\n"


def test_an_edge_of_one_regime_is_not_quenched(bench: Any, ask: Ask) -> None:
    assert ask(bench.timeline(rough_and_finish("M54")), "edge", "quench_ratio").value == 0.0


def test_fluid_on_a_hot_edge_is_a_quench(bench: Any, ask: Ask) -> None:
    found = ask(bench.timeline(rough_and_finish("M8")), "edge", "quench_ratio")

    assert found.value > 0
    assert any(e.name == "stress over strength" for e in found.evidence)


def test_a_pause_lets_the_edge_cool_before_the_quench(bench: Any, ask: Ask) -> None:
    soon = ask(bench.timeline(rough_and_finish("M8")), "edge", "quench_ratio").value
    late = ask(bench.timeline(rough_and_finish("M8", "G4 P30000")), "edge", "quench_ratio").value

    assert late < soon


def test_fluid_in_the_middle_of_a_cut_quenches_hardest(bench: Any, ask: Ask) -> None:
    middle = HEAD + tool(4, "G1 Z-2. F800", "X50.", "M8", "X100.") + "M30\n"
    in_cut = ask(bench.timeline(middle), "edge", "quench_ratio").value

    assert in_cut > ask(bench.timeline(rough_and_finish("M8", "G4 P5000")), "edge", "quench_ratio").value


def test_ceramic_bears_less_than_hardmetal(bench: Any, ask: Ask) -> None:
    hardmetal = ask(bench.timeline(rough_and_finish("M8")), "edge", "quench_ratio").value
    bench.records["T4"]["substrate"] = "ceramic"

    assert ask(bench.timeline(rough_and_finish("M8")), "edge", "quench_ratio").value > hardmetal
