"""Edges and their passages: wet or dry, and fluid that changes in the middle of a cut."""

from typing import Any

import pytest

HEAD = "G21 G90 G94 G99\n"


def tool(number: int, *lines: str) -> str:
    return f"T{number} M6\nS3000 M3\nG0 X0 Y0\nZ5.\n" + "\n".join(lines) + "\nG0 Z50.\n"


def passages(timeline: Any, edge: int = 0) -> Any:
    return timeline.edges[edge].passages


def test_runs_under_one_regime_are_one_passage(bench: Any) -> None:
    found = passages(bench.timeline(HEAD + tool(4, "M8", "G1 Z-1. F300", "X50.", "G0 Z5.", "X0", "G1 Z-2.", "X50.") + "M30\n"))

    assert len(found) == 1
    assert found[0].count == 2
    assert found[0].wet.is_yes


def test_another_regime_is_another_passage(bench: Any) -> None:
    lines = ["G1 Z-1. F300", "X50.", "G0 Z5.", "X0", "M8", "G1 Z-2.", "X50."]
    found = passages(bench.timeline(HEAD + tool(4, *lines) + "M30\n"))

    assert [passage.wet.value for passage in found] == [False, True]
    assert all(passage.changes == () for passage in found)


def test_repeating_a_code_parts_no_passage(bench: Any) -> None:
    lines = ["M8", "G1 Z-1. F300", "X50.", "G0 Z5.", "X0", "M8", "G1 Z-2.", "X50."]

    assert len(passages(bench.timeline(HEAD + tool(4, *lines) + "M30\n"))) == 1


def test_fluid_that_changes_in_the_cut_is_kept_with_its_passage(bench: Any) -> None:
    found = passages(bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X20.", "M8", "X50.", "G0 Z5.") + "M30\n"))

    assert len(found) == 1
    assert [event.code for event in found[0].changes] == ["M8"]
    assert found[0].wet.is_no  # not all along


def test_fluid_that_changes_above_the_work_changes_nothing_in_a_cut(bench: Any) -> None:
    found = passages(bench.timeline(HEAD + tool(4, "G1 Z2. F3000", "M8", "Z-1. F300", "X50.", "G0 Z5.") + "M30\n"))

    assert [passage.changes for passage in found] == [()]
    assert found[0].wet.is_yes


def test_a_long_drill_does_not_cut_inside_its_pilot(bench: Any) -> None:
    bench.records["T7"] = bench.records["T2"] | {"DC": "8 mm"}
    pilot = tool(2, "M57", "G81 Z-15. R2. F200", "G80", "M58")
    timeline = bench.timeline(HEAD + pilot + tool(7, "G1 Z-14. F500", "M57", "G4 P1000", "G1 Z-60. F300", "M58") + "M30\n")
    deep = passages(timeline, 1)

    assert [passage.changes for passage in deep] == [()]
    assert deep[0].wet.is_yes
    assert timeline.operations[1].delivered.is_yes


def test_a_drill_without_pilot_that_gets_fluid_at_depth_cuts_dry_first(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G1 Z-14. F500", "M57", "G1 Z-60. F300", "M58") + "M30\n")

    assert [event.code for event in passages(timeline)[0].changes] == ["M57"]
    assert timeline.operations[0].delivered.is_no


def test_wet_is_the_verdict_of_the_chain_and_not_only_the_command(bench: Any) -> None:
    bench.change("holder", **{"pull stud": "AF"})
    found = passages(bench.timeline(HEAD + tool(2, "M57", "G81 Z-20. R2. F200", "G80") + "M30\n"))

    assert found[0].commanded_wet.is_yes
    assert found[0].wet.is_no


def test_air_wets_no_edge(bench: Any) -> None:
    found = passages(bench.timeline(HEAD + tool(4, "M54", "G1 Z-1. F300", "X50.") + "M30\n"))

    assert found[0].wet.is_no


def test_an_edge_gathers_what_its_tool_does_all_over_the_program(bench: Any) -> None:
    cut = tool(4, "G1 Z-1. F300", "X50.")
    timeline = bench.timeline(HEAD + cut + tool(5, "G1 Z-1. F300", "X50.") + cut + "M30\n")

    assert [edge.name for edge in timeline.edges] == ["T4", "T5"]
    assert [passage.operation.number for passage in passages(timeline)] == [1, 3]


def test_two_t_numbers_of_one_edge_share_their_history(bench: Any) -> None:
    bench.records["T8"] = bench.records["T4"] | {"same edge as": "T4"}
    timeline = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X50.") + tool(8, "M8", "G1 Z-2. F300", "X50.") + "M30\n")

    assert [edge.name for edge in timeline.edges] == ["T4"]
    assert [passage.wet.value for passage in passages(timeline)] == [False, True]


def test_a_passage_knows_when_it_begins_and_how_long_it_cuts(bench: Any) -> None:
    lines = ["G4 P1000", "G1 Z-1. F300", "X50.", "G0 Z5.", "X0", "G1 Z-2.", "X50."]
    found = passages(bench.timeline(HEAD + tool(4, *lines) + "M30\n"))

    assert found[0].seconds.value == pytest.approx((6 + 50 + 7 + 50) / 300 * 60)
    assert found[0].start.value >= 5 + 1  # tool change and dwell


def test_probing_is_no_passage(bench: Any) -> None:
    bench.records["T9"] = {"kind": "probe", "DC": "6 mm"}

    assert bench.timeline(HEAD + tool(9, "G31 Z-10. F100") + "M30\n").edges == ()


def test_a_hundred_thousand_moves_make_few_passages(bench: Any) -> None:
    zigzag = "\n".join(f"X{50 * (i % 2)}. Y{i % 100}." for i in range(20_000))
    timeline = bench.timeline(HEAD + tool(5, "M8", "G1 Z-1. F3000", zigzag) + "M30\n")

    assert len(passages(timeline)) == 1
