"""Fluid states over time: dialect, machine record, what the machine does by itself, and codes that nobody explains."""

from typing import Any

import pytest

from coolcheck.process.model import MODES

START = "G21 G90 G94\nT2 M6\nS3000 M3\nG0 X0 Y0\nZ5.\n"


def state(timeline: Any, mode: str, at: int = -1) -> Any:
    return timeline.fluids[at].fluid[mode]


def test_every_fluid_is_off_at_the_start(bench: Any) -> None:
    timeline = bench.timeline(START + "M30\n")

    assert all(timeline.fluids[0].fluid[mode].is_no for mode in MODES)


def test_the_machine_record_overrides_what_the_dialect_says(bench: Any) -> None:
    bench.records["machine"]["codes"][0] = {"code": "M8", "on": ["air"]}
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\n")

    assert state(timeline, "air").is_yes
    assert state(timeline, "flood").is_no


def test_the_dialect_speaks_where_no_record_does(bench: Any) -> None:
    timeline = bench.bare(START + "M8\nG1 Z-5. F100\n")

    assert state(timeline, "flood").is_yes


def test_a_word_beside_the_code_chooses_the_level(bench: Any) -> None:
    timeline = bench.timeline(START + "M57 P3\nG1 Z-5. F100\n")

    assert timeline.fluids[-1].fluid.level == "high"
    assert state(timeline, "through_tool").is_yes


def test_the_same_code_without_that_word_chooses_none(bench: Any) -> None:
    timeline = bench.timeline(START + "M57\nG1 Z-5. F100\n")

    assert timeline.fluids[-1].fluid.level == ""
    assert state(timeline, "through_tool").is_yes


def test_a_word_beside_the_code_that_is_not_known_chooses_nothing(bench: Any) -> None:
    timeline = bench.timeline(START + "M57 P#500\nG1 Z-5. F100\n")

    assert not state(timeline, "through_tool").is_known


def test_two_modes_may_be_on_together(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nM57\nG1 Z-5. F100\n")

    assert state(timeline, "flood").is_yes
    assert state(timeline, "through_tool").is_yes


def test_an_unexplained_code_makes_unknown_what_the_machine_could_have(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nM77\nG1 Z-5. F100\n")

    assert not state(timeline, "flood").is_known
    assert not state(timeline, "ring").is_known  # the record does not say that the machine has none
    assert state(timeline, "mist").is_no  # it says so of mist


def test_an_unexplained_code_asks_one_question(bench: Any) -> None:
    timeline = bench.timeline(START + "M77\nG1 Z-5. F100\n")

    assert {m.question for m in state(timeline, "flood").missing} == {"what does M77 do on this machine?"}


def test_a_later_known_code_makes_its_mode_known_again(bench: Any) -> None:
    timeline = bench.timeline(START + "M77\nM8\nG1 Z-5. F100\n")

    assert state(timeline, "flood").is_yes
    assert not state(timeline, "through_tool").is_known


def test_a_code_that_means_something_else_touches_no_fluid(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nM31\nG1 Z-5. F100\n")

    assert state(timeline, "flood").is_yes
    assert state(timeline, "through_tool").is_no


def test_without_a_record_all_off_leaves_open_what_a_builder_code_turned_on(bench: Any) -> None:
    timeline = bench.bare(START + "M8\nM57\nG1 Z-5. F100\nM9\nG1 Z-6.\n")

    assert state(timeline, "flood").is_no
    assert not state(timeline, "through_tool").is_known


def test_the_tool_change_ends_what_the_record_lists_and_no_more(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nM57\nG1 Z-5. F100\nG0 Z5.\nT1 M6\nG1 Z-5.\n")

    assert state(timeline, "flood").is_no
    assert state(timeline, "through_tool").is_yes


def test_a_silent_record_leaves_open_what_the_tool_change_ends(bench: Any) -> None:
    bench.drop("machine", "off at", "tool change")
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nG0 Z5.\nT1 M6\nG1 Z-5.\n")

    assert not state(timeline, "flood").is_known
    assert state(timeline, "flood").missing[0].field == "off at.tool change"


def test_nothing_is_asked_of_a_tool_change_when_all_is_off(bench: Any) -> None:
    bench.drop("machine", "off at", "tool change")
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nM9\nG0 Z5.\nT1 M6\nG1 Z-5.\n")

    assert all(state(timeline, mode).is_no for mode in MODES)


def test_an_optional_stop_ends_fluid_only_where_its_switch_is_on(bench: Any) -> None:
    bench.change("machine", **{"off at": {"program stop": ["flood"]}})
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nM1\nG1 Z-6.\n")

    assert not state(timeline, "flood").is_known
    assert [item.field for item in state(timeline, "flood").missing] == ["optional stop"]


@pytest.mark.parametrize("switch", ["yes", "no"])
def test_the_job_says_if_an_optional_stop_stops(bench: Any, switch: str) -> None:
    bench.change("machine", **{"off at": {"program stop": ["flood"]}})
    bench.change("job", **{"optional stop": switch})
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nM1\nG1 Z-6.\n")

    assert state(timeline, "flood").value is (switch == "no")


def test_a_program_stop_ends_what_the_record_lists(bench: Any) -> None:
    bench.change("machine", **{"off at": {"program stop": ["flood"]}})
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nM0\nG1 Z-6.\n")

    assert state(timeline, "flood").is_no


def test_a_code_that_cannot_be_read_may_concern_fluid(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nM..8\nG1 Z-6.\nG1 Z-7.\nM0\n")

    assert not state(timeline, "flood").is_known


def test_a_missing_subprogram_may_change_the_fluid(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nM98 P4711\nG1 Z-6.\n")

    assert not state(timeline, "flood").is_known


def test_fluid_goes_off_behind_the_move_where_the_dialect_says_so(bench: Any) -> None:
    timeline = bench.timeline(START + "M8\nG1 Z-5. F100\nG1 X20. M9\nG0 Z5.\n")

    assert timeline.fluids[-1].fluid["flood"].is_no
    assert timeline.execution.moves.x[timeline.fluids[-1].row - 1] == 20.0
