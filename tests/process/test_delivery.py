"""The delivery chain: the table of what happens from pump to edge, row by row, and what unknown does to it."""

from typing import Any

import pytest

THROUGH = "G21 G90 G94 G99\nT2 M6\nS3000 M3\nG0 X0 Y0\nZ5.\nM57\nG81 Z-20. R2. F300\nG80\nM58\nM30\n"
FLOOD = THROUGH.replace("M57", "M8").replace("M58", "M9")


def chain(timeline: Any, mode: str) -> Any:
    return next(chain for chain in timeline.operations[0].chains if chain.mode == mode)


def test_every_link_yes_is_delivered(bench: Any) -> None:
    through = chain(bench.timeline(THROUGH), "through_tool")

    assert through.result == "delivered"
    assert through.delivers.is_yes
    assert through.weakest is None
    assert [link.name for link in through.links] == [
        "commanded", "machine", "spindle", "pull_stud", "holder", "clamping", "tool", "reach",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("record", "fields", "result", "weakest", "wets"),
    [
        ("holder", {"pull stud": "AF"}, "closed_pull_stud", "pull_stud", False),
        ("holder", {"form": "AF"}, "wrong_form", "spindle", False),
        ("holder", {"form": "A"}, "wrong_form", "spindle", False),
        ("holder", {"interface": "ISO 12164-1", "form": "A", "fluid tube": "no"}, "wrong_form", "spindle", False),
        ("holder", {"passage": "no"}, "blocked_in_holder", "holder", False),
        ("holder", {"sealed": "no"}, "partial_leak", "clamping", True),
        ("holder", {"jets": "yes"}, "holder_jets", "clamping", True),
        ("T2", {"fluid": {"through": "no"}}, "blocked_at_tool", "tool", False),
    ],
)
def test_each_row_of_the_table_has_its_outcome(
    bench: Any, record: str, fields: dict[str, Any], result: str, weakest: str, wets: bool
) -> None:
    through = chain(bench.change(record, **fields).timeline(THROUGH), "through_tool")

    assert through.result == result
    assert through.weakest.name == weakest
    assert through.delivers.is_no
    assert through.wets.is_known and through.wets.value is wets


def test_a_hollow_taper_without_its_tube_is_shut(bench: Any) -> None:
    bench.change("machine", spindle={"interface": "ISO 12164-1"})
    bench.change("holder", interface="ISO 12164-1", form="A", **{"fluid tube": "no"})

    assert chain(bench.timeline(THROUGH), "through_tool").result == "closed_pull_stud"


def test_a_flange_machine_wants_a_flange_form_and_a_closed_stud(bench: Any) -> None:
    bench.change("machine", spindle={"fluid port": "flange"})
    bench.change("holder", form="AF", **{"pull stud": "AF"})

    assert chain(bench.timeline(THROUGH), "through_tool").result == "delivered"


def test_a_convertible_shank_passes_both_ways(bench: Any) -> None:
    assert chain(bench.change("holder", form="AD/B").timeline(THROUGH), "through_tool").result == "delivered"


def test_a_slotted_collet_around_a_plain_tool_sprays_along_the_shank(bench: Any) -> None:
    bench.change("holder", sealed="no").change("T2", fluid={"through": "no"})
    through = chain(bench.timeline(THROUGH), "through_tool")

    assert through.result == "shank_spray"
    assert through.delivers.is_no
    assert through.wets.is_yes  # 2.5 diameters deep: as far as a flood reaches


def test_a_spray_along_the_shank_does_not_reach_a_deep_tip(bench: Any) -> None:
    bench.change("holder", sealed="no").change("T2", fluid={"through": "no"})
    through = chain(bench.timeline(THROUGH.replace("Z-20.", "Z-40.")), "through_tool")

    assert through.result == "shank_spray"
    assert through.wets.is_no


@pytest.mark.parametrize(("fitted", "result"), [("no", "no_supply"), ("prepared", "prepared_only")])
def test_a_machine_without_pump_supplies_nothing(bench: Any, fitted: str, result: str) -> None:
    through = chain(bench.supply("through_tool", fitted=fitted).timeline(THROUGH), "through_tool")

    assert through.result == result
    assert through.wets.is_no


@pytest.mark.parametrize("field", ["form", "pull stud", "passage", "sealed"])
def test_one_unknown_field_of_the_holder_leaves_the_chain_open_and_asks_for_it(bench: Any, field: str) -> None:
    bench.drop("holder", field)
    through = chain(bench.timeline(THROUGH), "through_tool")

    assert through.result == "unknown"
    assert not through.delivers.is_known
    assert {missing.field for missing in through.delivers.missing} == {field}


def test_sealed_or_leaking_fluid_comes_out_of_a_tool_with_passages(bench: Any) -> None:
    through = chain(bench.drop("holder", "sealed").timeline(THROUGH), "through_tool")

    assert not through.delivers.is_known
    assert through.wets.is_yes


def test_a_closed_stud_is_a_no_even_where_the_rest_is_unknown(bench: Any) -> None:
    bench.change("holder", **{"pull stud": "AF"}).drop("holder", "sealed")

    assert chain(bench.timeline(THROUGH), "through_tool").delivers.is_no


def test_an_unknown_first_link_is_what_is_asked_about(bench: Any) -> None:
    del bench.records["machine"]["supplies"][1]["fitted"]
    through = chain(bench.timeline(THROUGH), "through_tool")

    assert through.result == "unknown"
    assert through.weakest.name == "machine"


def test_the_coolant_entry_code_stands_in_for_a_silent_record(bench: Any) -> None:
    bench.records["T2"]["fluid"] = {}
    bench.records["T2"]["CNSC"] = "0"
    del bench.records["T2"]["fluid"]

    assert chain(bench.timeline(THROUGH), "through_tool").result == "blocked_at_tool"


def test_flood_reaches_three_diameters(bench: Any) -> None:
    assert chain(bench.timeline(FLOOD.replace("Z-20.", "Z-24.")), "flood").result == "delivered"
    assert chain(bench.timeline(FLOOD.replace("Z-20.", "Z-24.5")), "flood").result == "starved_by_depth"


def test_flood_at_an_unknown_diameter_is_undecided(bench: Any) -> None:
    flood = chain(bench.drop("T2", "DC").timeline(FLOOD), "flood")

    assert flood.result == "unknown"
    assert "DC" in {missing.field for missing in flood.delivers.missing}


def test_walls_may_shut_flood_out_of_a_deep_pocket(bench: Any) -> None:
    program = "G21 G90 G94\nT5 M6\nS3000 M3\nG0 X0 Y0\nZ5.\nM8\nG1 Z-35. F300\nX50.\nG0 Z5.\nM9\nM30\n"

    assert chain(bench.timeline(program), "flood").result == "unknown"


def test_air_through_the_spindle_needs_a_union_for_gas(bench: Any) -> None:
    bench.records["machine"]["codes"].append({"code": "M55", "on": ["through_air"]})
    through = chain(bench.timeline(THROUGH.replace("M57", "M55")), "through_air")

    assert through.weakest.name == "spindle"
    assert through.delivers.is_no


def test_a_union_that_may_carry_gas_passes_air(bench: Any) -> None:
    bench.records["machine"]["codes"].append({"code": "M55", "on": ["through_air"]})
    bench.change("machine", union={"gas": "yes"})

    assert chain(bench.timeline(THROUGH.replace("M57", "M55")), "through_air").result == "delivered"


def test_minimum_quantity_from_outside_asks_nothing_of_the_spindle(bench: Any) -> None:
    bench.records["machine"]["codes"].append({"code": "M55", "on": ["minimum_quantity"]})
    bench.records["machine"]["supplies"].append({"mode": "minimum_quantity", "fitted": "yes"})
    quantity = chain(bench.timeline(THROUGH.replace("M57", "M55")), "minimum_quantity")

    assert [link.name for link in quantity.links] == ["commanded", "machine", "reach"]


def test_minimum_quantity_inside_runs_through_union_and_tool(bench: Any) -> None:
    bench.records["machine"]["codes"].append({"code": "M55", "on": ["minimum_quantity"]})
    bench.records["machine"]["supplies"].append({"mode": "minimum_quantity", "fitted": "yes"})
    bench.change("machine", union={"gas": "yes"})

    assert chain(bench.timeline(THROUGH.replace("M57", "M55")), "minimum_quantity").link("tool").passes.is_yes


def test_without_any_record_nothing_is_claimed(bench: Any) -> None:
    operation = bench.bare(FLOOD).operations[0]

    assert not operation.delivered.is_known
    assert operation.chains[0].result == "unknown"


def test_nothing_commanded_makes_no_chain_and_delivers_nothing(bench: Any) -> None:
    operation = bench.timeline(FLOOD.replace("M8\n", "")).operations[0]

    assert operation.chains == ()
    assert operation.delivered.is_no


def test_filling_in_an_unknown_never_changes_a_decided_link(bench: Any, tmp_path: Any) -> None:
    known_fields = {"passage": "yes", "sealed": "yes", "jets": "no", "pull stud": "AD", "form": "AD"}
    full = chain(bench.timeline(THROUGH), "through_tool")
    for field in known_fields:
        kept = bench.records["holder"].pop(field)
        partial = chain(bench.timeline(THROUGH), "through_tool")
        bench.records["holder"][field] = kept
        for link in partial.links:
            if link.passes.is_known:
                assert full.link(link.name).passes.value == link.passes.value
