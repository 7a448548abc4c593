"""Named facts: both sides agree on their names, and each says what it should."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from coolcheck import process, yamltext
from coolcheck.known import Known
from coolcheck.process import facts

NAMES = yamltext.read(Path(process.__file__).parent / "fact_names.yaml").data
HEAD = "G21 G90 G94 G99\n"
Ask = Callable[..., Any]


def tool(number: int, *lines: str) -> str:
    return f"T{number} M6\nS3000 M3\nG0 X0 Y0\nZ5.\n" + "\n".join(lines) + "\nG0 Z50.\n"


BUSY = (
    HEAD
    + tool(1, "M8", "G81 Z-2. R2. F200", "X10.", "G80", "M9")
    + tool(2, "M57", "G83 Z-20. R2. Q5. F200", "X10.", "G80", "M58")
    + tool(3, "M8", "G84 Z-15. R5. F4500", "X10.", "G80", "M9")
    + tool(4, "(ROUGH)", "G1 Z-1. F300", "X50.", "G0 Z5.", "(FINISH)", "M8", "G0 X0", "G1 Z-2.", "X50.", "M9", "M1")
    + tool(6, "G0 Z-10.", "G1 X1. F200", "G3 X1. Y0 Z-8.5 I-1. J0", "G1 X0")
    + "M30\n"
)


def test_every_listed_fact_is_worked_out_and_nothing_else() -> None:
    listed = {(scope, name) for scope, names in NAMES["facts"].items() for name in names}
    made = {key for key in facts.FACTS if "." not in key[1]}

    assert listed == made


def _check(timeline: Any) -> None:
    for (scope, name), entry in facts.FACTS.items():
        for item in facts.objects(scope, timeline):
            value = entry.of(item, timeline)
            assert isinstance(value, Known), (scope, name)
            assert value.is_known or value.missing, (scope, name)


def test_every_fact_of_every_object_is_known_or_says_what_is_missing(bench: Any) -> None:
    _check(bench.timeline(BUSY))


def test_so_it_is_without_any_record(bench: Any) -> None:
    _check(bench.bare(BUSY))


@pytest.mark.parametrize("text", ["", "M30\n", "T1 M6\nM30\n", "M8\nM57\nM77\n", "G81 Z-5.\n", "G1 X..3\nM..8\nG1 Z-5. F100\n"])
def test_so_it_is_in_odd_programs(bench: Any, text: str) -> None:
    _check(bench.timeline(text))
    _check(bench.bare(text))


def test_every_fact_has_the_kind_it_is_listed_with(bench: Any) -> None:
    kinds = {"number": (int, float), "truth": bool, "word": str, "words": tuple, "text": str}
    timeline = bench.timeline(BUSY)
    for scope, names in NAMES["facts"].items():
        for name, entry in names.items():
            for item in facts.objects(scope, timeline):
                value = facts.FACTS[scope, name].of(item, timeline)
                if value.is_known:
                    assert isinstance(value.value, kinds[entry["is"]]), (scope, name, value.value)
                    assert entry["is"] != "word" or value.value in entry["of"], (scope, name, value.value)


def test_every_relation_leads_to_objects_of_its_scope(bench: Any) -> None:
    timeline = bench.timeline(BUSY)
    for scope, words in NAMES["relations"].items():
        for word, entry in words.items():
            targets = {id(item) for item in facts.objects(entry["scope"], timeline)}
            for item in facts.objects(scope, timeline):
                found = list(facts.related(scope, word, item, timeline))
                assert entry["scope"] == "chain" or {id(one) for one in found} <= targets
                assert entry.get("one") != "yes" or len(found) <= 1


def test_every_object_has_a_place_in_the_program(bench: Any) -> None:
    timeline = bench.timeline(BUSY)
    for scope in NAMES["scopes"]:
        for item in facts.objects(scope, timeline):
            assert facts.place(scope, item, timeline).file == "program.nc"
            assert all(isinstance(part, str) for pair in facts.subject(scope, item, timeline) for part in pair)


def test_fields_of_records_are_facts_of_every_scope_that_has_the_record(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(BUSY)

    assert ask(timeline, "operation", "tool.DC", 1).value == pytest.approx(8e-3)
    assert ask(timeline, "edge", "holder.sealed").is_yes
    assert ask(timeline, "program", "machine.union.gas").is_no
    assert ("program", "tool.DC") not in facts.FACTS


# operations and holes


def test_a_step_knows_what_stood_in_its_hole_before(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(BUSY)  # hole 1: spot, drill, tap

    assert ask(timeline, "step", "depth_before", 0).value == 0.0
    assert ask(timeline, "step", "depth_before", 2).value == pytest.approx(20e-3)
    assert ask(timeline, "step", "drill_before", 2).value == pytest.approx(8e-3)


def test_a_pilot_is_an_earlier_drill_of_the_same_size(bench: Any, ask: Ask) -> None:
    bench.records["T7"] = bench.records["T2"] | {"DC": "7.9 mm"}
    bench.records["T8"] = bench.records["T2"] | {"DC": "6 mm"}
    pilot = tool(2, "G81 Z-15. R2. F200", "G80")

    assert ask(bench.timeline(HEAD + pilot + tool(7, "G81 Z-60. R2. F200")), "step", "pilot_depth", 1).value == pytest.approx(
        0.015
    )
    assert ask(bench.timeline(HEAD + pilot + tool(8, "G81 Z-60. R2. F200")), "step", "pilot_depth", 1).value == 0.0


def test_pecks_are_new_depth_from_the_top_of_the_hole(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G83 Z-21. R2. Q5. F200", "G80"))

    assert ask(timeline, "operation", "strokes").value == 5
    assert ask(timeline, "operation", "first_peck").value == pytest.approx(3e-3)
    assert ask(timeline, "operation", "later_peck").value == pytest.approx(5e-3)
    assert ask(timeline, "operation", "smallest_peck").value == pytest.approx(
        5e-3
    )  # the first begins in the air, the last is a rest


def test_the_pitch_error_compares_feed_and_pitch(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + tool(3, "G84 Z-15. R5. F4400", "G80"))

    assert ask(timeline, "operation", "pitch_error").value == pytest.approx(abs(4400 / 3000 - 1.5) / 1.5)


def test_the_pitch_comes_from_a_comment_where_no_record_has_it(bench: Any, ask: Ask) -> None:
    timeline = bench.bare(HEAD + "(T3 M10X1.5 TAP)\n" + tool(3, "G84 Z-15. R5. F4500", "G80"))

    assert ask(timeline, "operation", "pitch_error").value == pytest.approx(0.0)


def test_the_entry_speed_is_that_at_the_pilot(bench: Any, ask: Ask) -> None:
    lines = ["S300 M3", "G1 Z-10. F500", "S3000", "G1 Z-60. F300"]
    timeline = bench.timeline(HEAD + tool(2, *lines))

    assert ask(timeline, "operation", "entry_speed").value == pytest.approx(300 / 60)
    assert ask(timeline, "operation", "speed").value == pytest.approx(3000 / 60)


# fluid of an operation


def test_fluid_after_the_first_cut_comes_late(bench: Any, ask: Ask) -> None:
    late = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X20.", "M8", "X50."))
    early = bench.timeline(HEAD + tool(4, "M8", "G1 Z-1. F300", "X20.", "X50."))

    assert ask(late, "operation", "fluid_comes_late").is_yes
    assert ask(early, "operation", "fluid_comes_late").is_no


def test_fluid_off_in_the_cut_goes_early(bench: Any, ask: Ask) -> None:
    early = bench.timeline(HEAD + tool(4, "M8", "G1 Z-1. F300", "X20.", "M9", "G1 X50."))
    late = bench.timeline(HEAD + tool(4, "M8", "G1 Z-1. F300", "X20.", "X50.", "G0 Z5.", "M9"))

    assert ask(early, "operation", "fluid_goes_early").is_yes
    assert ask(late, "operation", "fluid_goes_early").is_no


def test_switches_and_interruptions_are_counted(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + tool(4, "M8", "G1 Z-1. F300", "X20.", "M9", "G1 X30.", "M8", "G1 X50."))

    assert ask(timeline, "operation", "fluid_switches").value == 2
    assert ask(timeline, "operation", "flood_interruptions").value == 1


def test_the_lead_of_pressure_counts_dwell_and_way(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + "T2 M6\nS3000 M3\nG0 X0 Y0\nZ55.\nM57\nG4 P2000\nG0 Z5.\nG1 Z-20. F200\n")

    # the way down to the work is feed from Z5 to Z-20, all of it one block: the cut begins with it
    assert ask(timeline, "operation", "pressure_lead").value == pytest.approx(2.0 + 0.05 / 0.5)


def test_a_fluid_code_between_tool_change_and_cut_states_the_fluid(bench: Any, ask: Ask) -> None:
    stated = bench.timeline(HEAD + tool(4, "M9", "G1 Z-1. F300", "X20."))
    silent = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X20."))

    assert ask(stated, "operation", "fluid_stated").is_yes
    assert ask(silent, "operation", "fluid_stated").is_no


def test_liquid_with_the_spindle_stopped_is_timed(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + "T4 M6\nM8\nG4 P30000\nS3000 M3\nG0 X0 Y0\nZ5.\nG1 Z-1. F300\nX20.\n")

    assert ask(timeline, "operation", "idle_fluid_time").value == pytest.approx(30.0)


# changes and stops


def test_what_the_program_left_on_at_a_tool_change(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + tool(4, "M8", "G1 Z-1. F300", "X20.") + tool(5, "G1 Z-1. F300", "X20."))

    assert ask(timeline, "change", "commanded_on", 1).is_yes
    assert ask(timeline, "change", "fluid_on", 1).is_no  # the machine turns flood off itself
    assert ask(timeline, "change", "modes_on", 1).value == "flood"
    assert ask(timeline, "change", "from_name", 1).value == "T4"
    assert ask(timeline, "change", "name", 1).value == "T5"


def test_draining_is_timed_from_the_off_code_to_the_change(bench: Any, ask: Ask) -> None:
    timeline = bench.timeline(HEAD + tool(2, "M57", "G1 Z-20. F200", "G0 Z5.", "M58", "G4 P3000") + tool(5, "G1 Z-1. F300"))

    assert ask(timeline, "change", "drain_time", 1).value == pytest.approx(3.0 + 0.045 / 0.5)


def test_the_first_tool_change_has_no_operation_before_it(bench: Any) -> None:
    timeline = bench.timeline(BUSY)
    first = next(iter(facts.objects("change", timeline)))

    assert first.before is None
    assert first.after is timeline.operations[0]


def test_a_spindle_that_nobody_stopped_is_commanded_at_the_change(bench: Any, ask: Ask) -> None:
    turning = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X20.") + tool(5, "G1 Z-1. F300"))
    stopped = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X20.", "M5") + tool(5, "G1 Z-1. F300"))

    assert ask(turning, "change", "spindle_commanded", 1).is_yes
    assert ask(stopped, "change", "spindle_commanded", 1).is_no


def test_a_code_that_opens_the_door_is_a_stop(bench: Any, ask: Ask) -> None:
    bench.records["machine"]["codes"].append({"code": "M60", "means": "pallet_change"})
    bench.records["machine"]["codes"].append({"code": "M78", "means": "door_open"})
    timeline = bench.timeline(HEAD + tool(4, "M57", "G1 Z-1. F300", "X20.", "G0 Z5.", "M78"))

    assert ask(timeline, "stop", "kind").value == "door_open"
    assert ask(timeline, "stop", "fluid_on").is_yes
    assert ask(timeline, "stop", "pressure_on").value == pytest.approx(70e5)


def test_chips_are_cleared_by_air_by_flushing_or_by_word_of_a_person(bench: Any, ask: Ask) -> None:
    drill, tap = tool(2, "M8", "G81 Z-20. R2. F200", "G80", "M9"), tool(3, "G84 Z-15. R5. F4500", "G80")
    blow = "G0 X0\nM54\nG4 P1000\nG0 X5.\nM9\n"
    flushed = tool(2, "M57", "G81 Z-20. R2. F200", "G80", "M58")

    assert ask(bench.timeline(HEAD + drill + tap), "step", "chips_cleared", 1).is_no
    assert ask(bench.timeline(HEAD + drill + blow + tap), "step", "chips_cleared", 1).is_yes
    assert ask(bench.timeline(HEAD + flushed + tap), "step", "chips_cleared", 1).is_yes
    bench.records["job"]["confirmed"] = [{"what": "chips_cleared", "T": 3, "by": "a qualified person"}]
    assert ask(bench.timeline(HEAD + drill + tap), "step", "chips_cleared", 1).is_yes


def test_forbidden_materials_are_found_by_group_or_family(bench: Any, ask: Ask) -> None:
    program = HEAD + tool(4, "M8", "G1 Z-1. F300", "X20.")
    bench.records["fluid"] |= {"allowed": ["N"], "forbidden": ["magnesium"]}
    bench.records["material"] |= {"group": "N", "family": "magnesium"}
    magnesium = bench.timeline(program)
    bench.records["material"]["family"] = "aluminium"
    aluminium = bench.timeline(program)

    assert ask(magnesium, "program", "material_forbidden").is_yes
    assert ask(magnesium, "program", "material_allowed").is_no  # magnesium must stand there by its own name
    assert ask(aluminium, "program", "material_forbidden").is_no
    assert ask(aluminium, "program", "material_allowed").is_yes
