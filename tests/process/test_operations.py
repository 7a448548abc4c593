"""Operations: where one ends and the next begins, what kind of work it is, and its times."""

from typing import Any

import pytest

HEAD = "G21 G90 G94 G99\n"


def kinds(timeline: Any) -> list[str]:
    return [operation.kind for operation in timeline.operations]


def tool(number: int, *lines: str) -> str:
    return f"T{number} M6\nS3000 M3\nG0 X0 Y0\nZ5.\n" + "\n".join(lines) + "\nG0 Z50.\n"


def test_each_tool_is_an_operation(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(1, "G81 Z-2. R2. F200", "G80") + tool(2, "G81 Z-20. R2. F200", "G80") + "M30\n")

    assert kinds(timeline) == ["spot", "drill"]
    assert [operation.tool for operation in timeline.operations] == [1, 2]


def test_moves_before_the_first_tool_change_belong_to_the_first_operation(bench: Any) -> None:
    timeline = bench.timeline(HEAD + "G28 G91 Z0\nG90\nG0 X50.\n" + tool(1, "G81 Z-2. R2. F200", "G80") + "M30\n")

    assert len(timeline.operations) == 1
    assert timeline.operations[0].rows[0] == 0


def test_two_kinds_of_cycle_of_one_tool_are_two_operations(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G81 Z-5. R2. F200", "G83 X20. Z-40. R2. Q10. F200", "G80") + "M30\n")

    assert kinds(timeline) == ["drill", "peck_drill"]
    first, second = timeline.operations
    assert first.rows[1] + 1 == second.rows[0]


def test_positioning_between_two_cycles_belongs_to_the_second(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G81 Z-5. R2. F200", "G83 X20. Z-40. R2. Q10. F200", "G80") + "M30\n")
    second = timeline.operations[1]

    assert timeline.execution.moves.x[second.rows[0]] == 20.0


def test_the_same_cycle_at_many_places_stays_one_operation(bench: Any) -> None:
    timeline = bench.timeline(
        HEAD + tool(2, "G81 Z-5. R2. F200", "X10.", "G80", "G0 Z50.", "G81 X30. Z-6. R2. F200", "G80") + "M30\n"
    )

    assert kinds(timeline) == ["drill"]
    assert len(timeline.operations[0].holes) == 3


def test_a_program_stop_parts_what_one_tool_does(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X50.", "G0 Z5.", "M0", "G0 X0", "G1 Z-2.", "X50.") + "M30\n")

    assert len(timeline.operations) == 2


def test_titles_in_comments_part_roughing_from_finishing(bench: Any) -> None:
    program = (
        HEAD + tool(4, "(ROUGH FACE)", "G1 Z-1. F300", "X50.", "G0 Z5.", "(FINISH FACE)", "G0 X0", "G1 Z-2.", "X50.") + "M30\n"
    )
    timeline = bench.timeline(program)

    assert kinds(timeline) == ["rough", "finish"]
    assert [operation.title for operation in timeline.operations] == ["ROUGH FACE", "FINISH FACE"]


def test_a_comment_that_names_no_work_parts_nothing(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(4, "G1 Z-1. F300", "X50.", "(MIND THE CLAMP)", "Y20.", "X0") + "M30\n")

    assert len(timeline.operations) == 1


def test_begin_of_an_operation_names_it(bench: Any) -> None:
    timeline = bench.timeline(HEAD + "(begin operation: Drilling006)\n" + tool(2, "G81 Z-20. R2. F200", "G80") + "M30\n")

    assert timeline.operations[0].title == "Drilling006"


def test_a_subprogram_is_part_of_the_operation_that_calls_it(bench: Any) -> None:
    program = HEAD + tool(4, "M98 P100") + tool(5, "M98 P100") + "M30\nO100\nG1 Z-1. F300\nX50.\nG0 Z5.\nM99\n"
    timeline = bench.timeline(program)

    assert [operation.tool for operation in timeline.operations] == [4, 5]


@pytest.mark.parametrize(
    ("number", "lines", "kind"),
    [
        (1, ["G81 Z-2. R2. F200"], "spot"),
        (2, ["G81 Z-20. R2. F200"], "drill"),
        (2, ["G82 Z-20. R2. P500 F200"], "drill"),
        (2, ["G83 Z-20. R2. Q5. F200"], "peck_drill"),
        (2, ["G83 Z-20. R2. Q50. F200"], "drill"),
        (2, ["G73 Z-20. R2. Q5. F200"], "chip_break_drill"),
        (3, ["G84 Z-20. R2. F4500"], "tap"),
        (5, ["G85 Z-20. R2. F200"], "bore"),
        (4, ["G1 Z-1. F300", "X50."], "face"),
        (5, ["G1 Z-1. F300", "X50."], "mill"),
        (2, ["G1 Z-20. F200"], "drill"),
        (2, ["G1 Z-10. F200", "G0 Z2.", "Z-9.", "G1 Z-20."], "peck_drill"),
        (2, ["G1 Z-10. F200", "G0 Z-9.5", "G1 Z-20."], "chip_break_drill"),
        (2, [], "idle"),
    ],
)
def test_the_kind_of_work(bench: Any, number: int, lines: list[str], kind: str) -> None:
    timeline = bench.timeline(HEAD + tool(number, *lines, "G80") + "M30\n")

    assert kinds(timeline) == [kind]
    assert timeline.operations[0].kind_known.evidence


def test_without_records_the_cycle_says_drill(bench: Any) -> None:
    timeline = bench.bare(HEAD + tool(7, "G81 Z-20. R2. F200", "G80") + "M30\n")

    assert kinds(timeline) == ["drill"]
    assert timeline.operations[0].kind_known.evidence[0].name == "cycle"


def test_without_records_a_comment_says_what_a_drilling_cycle_does(bench: Any) -> None:
    timeline = bench.bare(HEAD + "(T7 8.0 REAMER)\n" + tool(7, "G81 Z-20. R2. F200", "G80") + "M30\n")

    assert kinds(timeline) == ["ream"]
    assert timeline.operations[0].kind_known.evidence[0].source == "comment"


def test_without_records_sideways_feed_says_mill(bench: Any) -> None:
    assert kinds(bench.bare(HEAD + tool(7, "G1 Z-1. F300", "X50.") + "M30\n")) == ["mill"]


def test_an_unknown_tool_that_only_plunges_is_of_unknown_kind(bench: Any) -> None:
    operation = bench.bare(HEAD + tool(7, "G1 Z-20. F300") + "M30\n").operations[0]

    assert operation.kind == "unknown"
    assert not operation.kind_known.is_known
    assert operation.kind_known.missing


def test_a_probing_move_is_probing(bench: Any) -> None:
    bench.records["T9"] = {"kind": "probe", "DC": "6 mm"}

    assert kinds(bench.timeline(HEAD + tool(9, "G31 Z-10. F100") + "M30\n")) == ["probe"]


# times


def test_feed_time_is_path_over_feed(bench: Any) -> None:
    operation = bench.timeline(HEAD + tool(5, "G1 Z-1. F300", "X50.") + "M30\n").operations[0]

    assert operation.feed_seconds.value == pytest.approx((6 + 50) / 300 * 60)


def test_feed_time_is_known_without_a_machine_and_rapid_time_is_not(bench: Any) -> None:
    timeline = bench.bare(HEAD + tool(5, "G1 Z-1. F300", "X50.") + "M30\n")

    assert timeline.operations[0].feed_seconds.value == pytest.approx(11.2)
    assert not timeline.operations[0].rapid_seconds.is_known
    assert not timeline.seconds.is_known
    assert timeline.cutting_seconds.is_known


def test_rapids_take_the_slowest_axis(bench: Any) -> None:
    program = HEAD + "T5 M6\nS3000 M3\nG0 X0 Y0 Z50.\nX100. Y50.\nG1 Z-1. F1000\nM30\n"
    operation = bench.timeline(program).operations[0]

    assert operation.rapid_seconds.value == pytest.approx(0.100 / 0.5)


def test_acceleration_makes_rapids_longer(bench: Any) -> None:
    bench.change("machine", motion={f"acceleration {axis}": "2 m/s**2" for axis in "xyz"})
    program = HEAD + "T5 M6\nS3000 M3\nG0 X0 Y0 Z50.\nX200. Y50.\nG1 Z-1. F1000\nM30\n"
    operation = bench.timeline(program).operations[0]

    assert operation.rapid_seconds.value == pytest.approx(0.2 / 0.5 + 0.5 / 2)


def test_a_linear_rapid_takes_no_less_than_its_axes_apart(bench: Any) -> None:
    bench.change("machine", motion={f"acceleration {axis}": "2 m/s**2" for axis in "xyz"})
    program = HEAD + "T5 M6\nS3000 M3\nG0 X0 Y0 Z50.\nX200. Y150.\nG1 Z-1. F1000\nM30\n"
    apart = bench.timeline(program).operations[0].rapid_seconds.value
    bench.change("machine", motion={"rapid is linear": "yes"})

    assert bench.timeline(program).operations[0].rapid_seconds.value >= apart - 1e-9


def test_corners_make_feed_moves_longer(bench: Any) -> None:
    square = "\n".join(["G1 Z-1. F3000", *["X20.", "Y20.", "X0", "Y0"] * 5])
    program = HEAD + tool(5, square) + "M30\n"
    plain = bench.timeline(program).operations[0].feed_seconds.value
    bench.change("machine", motion={"corner speed": "0.1 m/min"} | {f"acceleration {axis}": "1 m/s**2" for axis in "xyz"})

    assert bench.timeline(program).operations[0].feed_seconds.value > plain


def test_corners_that_nobody_knows_are_said_to_be_left_out(bench: Any) -> None:
    operation = bench.timeline(HEAD + tool(5, "G1 Z-1. F300", "X50.") + "M30\n").operations[0]

    assert any(e.source == "assumed" and "corners" in e.note for e in operation.feed_seconds.evidence)


def test_the_tool_change_and_dwells_count(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(5, "G4 P2000", "G1 Z-1. F300", "X50.") + "M30\n")
    operation = timeline.operations[0]

    assert operation.change_seconds.value == 5.0
    assert operation.dwell_seconds == 2.0
    parts = operation.rapid_seconds.value + operation.feed_seconds.value + 5.0 + 2.0
    assert timeline.seconds.value == pytest.approx(parts)


def test_time_adds_up_over_operations(bench: Any) -> None:
    timeline = bench.timeline(
        HEAD + tool(1, "G82 Z-2. R2. P500 F200", "G80") + tool(2, "G83 Z-20. R2. Q5. F200", "G80") + "M30\n"
    )
    sums = [o.rapid_seconds.value + o.feed_seconds.value + o.dwell_seconds + o.change_seconds.value for o in timeline.operations]

    assert timeline.seconds.value == pytest.approx(sum(sums))
    assert timeline.operations[1].start_seconds.value == pytest.approx(sums[0])


def test_a_rapid_from_an_unknown_place_says_that_its_way_is_left_out(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(5, "G1 Z-1. F300") + "M30\n")

    assert timeline.seconds.is_known
    assert any(e.name == "rapids from unknown positions" for e in timeline.seconds.evidence)


def test_an_unknown_feed_leaves_the_cutting_time_open(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(5, "G1 Z-1.", "X50.") + "M30\n")

    assert not timeline.cutting_seconds.is_known


# what it says of the cut


def test_the_feed_is_the_one_that_takes_most_of_the_time(bench: Any) -> None:
    operation = bench.timeline(HEAD + tool(5, "G1 Z-1. F100", "X50. F600", "Y50.", "X0") + "M30\n").operations[0]

    assert operation.feed.value == pytest.approx(0.6 / 60)


def test_the_speed_is_the_one_that_takes_most_of_the_time(bench: Any) -> None:
    operation = bench.timeline(HEAD + tool(5, "S500", "G1 Z-1. F3000", "S4000", "X50. F100", "Y50.") + "M30\n").operations[0]

    assert operation.n.value == pytest.approx(4000 / 60)


def test_rigid_tapping_turns_the_spindle_itself(bench: Any) -> None:
    program = HEAD + "T3 M6\nG0 X0 Y0\nZ5.\nM29 S300\nG84 Z-20. R5. F450\nG80\nM30\n"

    assert bench.timeline(program).operations[0].n.value == pytest.approx(5.0)


def test_a_stopped_spindle_is_a_speed_of_zero(bench: Any) -> None:
    program = HEAD + "T2 M6\nG0 X0 Y0\nZ5.\nG81 Z-20. R5. F450\nG80\nM30\n"

    assert bench.timeline(program).operations[0].n.value == 0.0


def test_the_depth_counts_from_the_top_of_the_job(bench: Any) -> None:
    bench.change("job", top="3 mm")
    operation = bench.timeline(HEAD + tool(5, "G1 Z-1. F300", "X50.") + "M30\n").operations[0]

    assert operation.depth.value == pytest.approx(4e-3)


def test_without_a_top_z0_is_assumed_and_said_to_be(bench: Any) -> None:
    bench.drop("job", "top")
    operation = bench.timeline(HEAD + tool(5, "G1 Z-1. F300", "X50.") + "M30\n").operations[0]

    assert operation.depth.value == pytest.approx(1e-3)
    assert any(e.source == "assumed" and e.value == "Z0" for e in operation.depth.evidence)


def test_a_cut_above_z0_without_a_top_has_no_known_depth(bench: Any) -> None:
    bench.drop("job", "top")
    operation = bench.timeline(HEAD + tool(5, "G1 Z1. F300", "X50.") + "M30\n").operations[0]

    assert not operation.depth.is_known
    assert operation.depth.missing[0].field == "top"


def test_the_diameter_comes_from_a_comment_where_no_record_has_it(bench: Any) -> None:
    operation = bench.bare("G21 G90 G94 G99\n(T7 D=6.5 CR=0. - DRILL)\n" + tool(7, "G81 Z-20. R2. F200", "G80")).operations[0]

    assert operation.diameter.value == pytest.approx(6.5e-3)
    assert operation.diameter.evidence[0].source == "comment"


def test_the_states_of_fluid_are_those_while_it_cuts(bench: Any) -> None:
    operation = bench.timeline(
        HEAD + tool(5, "M54", "G0 X1.", "M9", "M8", "G1 Z-1. F300", "X50.", "G0 Z5.", "M9") + "M30\n"
    ).operations[0]

    assert len(operation.fluid) == 1
    assert operation.fluid[0]["flood"].is_yes
    assert operation.fluid[0]["air"].is_no


def test_a_program_without_moves_has_no_operations(bench: Any) -> None:
    timeline = bench.timeline("(NOTHING)\nM30\n")

    assert timeline.operations == ()
    assert timeline.seconds.value == 0.0


def test_a_spindle_that_a_tool_change_stopped_says_so_as_an_assumption(bench: Any, ask: Any) -> None:
    timeline = bench.timeline("G21 G17 G90 G94 G99\nS3000 M3\nT2 M6\nG54 G0 X0 Y0\nZ5.\nM8\nG81 Z-20. R2. F300\nG80\nM30\n")
    turns = ask(timeline, "operation", "spindle_turns")

    assert turns.is_no
    assert [(e.source, e.place.line) for e in turns.evidence] == [("assumed", 3)]
