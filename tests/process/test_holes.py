"""Holes as histories: where tools meet in one place, how deep they go, in how many strokes, in what time."""

from typing import Any

import numpy as np
import pytest

HEAD = "G21 G90 G94 G99\n"


def tool(number: int, *lines: str) -> str:
    return f"T{number} M6\nS3000 M3\nG54 G0 X0 Y0\nZ5.\n" + "\n".join(lines) + "\nG0 Z50.\n"


def history(hole: Any) -> list[str]:
    return [step.operation.kind for step in hole.steps]


def test_spot_drill_and_tap_in_one_place_are_one_hole(bench: Any) -> None:
    program = HEAD + tool(1, "G81 X10. Z-2. R2. F200", "G80") + tool(2, "G81 X10. Z-20. R2. F200", "G80")
    timeline = bench.timeline(program + tool(3, "G84 X10. Z-15. R5. F4500", "G80") + "M30\n")

    assert len(timeline.holes) == 1
    assert history(timeline.holes[0]) == ["spot", "drill", "tap"]
    assert timeline.holes[0].name == "X10 Y0"


def test_places_a_rounding_apart_are_one_hole(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(1, "G81 X10.0049 Z-2. R2. F200", "G80") + tool(2, "G81 X10.0051 Z-9. R2. F200", "G80"))

    assert len(timeline.holes) == 1


def test_places_apart_are_holes_in_order_of_first_visit(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(1, "G81 X30. Z-2. R2. F200", "X10.", "X20. Y5.", "G80") + "M30\n")

    assert [hole.name for hole in timeline.holes] == ["X30 Y0", "X10 Y0", "X20 Y5"]
    assert [hole.number for hole in timeline.holes] == [1, 2, 3]
    assert timeline.operations[0].holes == (1, 2, 3)


def test_the_same_place_at_another_work_offset_is_another_hole(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(1, "G81 X10. Z-2. R2. F200", "G80", "G55", "G81 X10. Z-2. R2. F200", "G80") + "M30\n")

    assert [hole.work_offset for hole in timeline.holes] == ["G54", "G55"]


def test_a_place_that_is_not_known_joins_no_other(bench: Any) -> None:
    timeline = bench.timeline(HEAD + "T2 M6\nS1000 M3\nG0 Z5.\nG81 X10. Z-20. R2. F200\nX20.\nG80\nM30\n")

    assert len(timeline.holes) == 2
    assert timeline.holes[0].name == "X10 Y?"


def test_a_full_retract_peck_counts_one_stroke_per_q(bench: Any) -> None:
    step = bench.timeline(HEAD + tool(2, "G83 Z-20. R2. Q5. F200", "G80") + "M30\n").holes[0].steps[0]

    assert len(step.strokes) == 5
    assert step.retract == "full"
    assert [round(stroke.end * 1e3, 6) for stroke in step.strokes] == [3, 8, 13, 18, 20]
    assert all(stroke.retract_to <= 0 for stroke in step.strokes)


def test_a_chip_break_peck_stays_in_the_hole(bench: Any) -> None:
    step = bench.timeline(HEAD + tool(2, "G73 Z-20. R2. Q10. F200", "G80") + "M30\n").holes[0].steps[0]

    assert step.retract == "chip_break"
    assert all(stroke.retract_to > 0 for stroke in step.strokes[:-1])


def test_strokes_know_the_rows_that_make_them(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G83 Z-20. R2. Q5. F200", "G80") + "M30\n")

    for stroke in timeline.holes[0].steps[0].strokes:
        assert timeline.execution.moves.z[stroke.row] == pytest.approx(-stroke.end * 1e3)


def test_plain_feed_moves_of_a_drill_make_holes(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G1 Z-20. F200", "G0 Z5.", "X10.", "G1 Z-15.", "G0 Z5.") + "M30\n")

    assert [hole.name for hole in timeline.holes] == ["X0 Y0", "X10 Y0"]
    assert [round(hole.steps[0].depth.value * 1e3) for hole in timeline.holes] == [20, 15]


def test_a_change_of_feed_within_a_plunge_is_no_new_stroke(bench: Any) -> None:
    step = bench.timeline(HEAD + tool(2, "G1 Z-5. F100", "Z-20. F200", "G0 Z5.") + "M30\n").holes[0].steps[0]

    assert len(step.strokes) == 1
    assert step.retract == "none"


def test_plunges_of_an_end_mill_are_no_holes(bench: Any) -> None:
    assert bench.timeline(HEAD + tool(5, "G1 Z-5. F100", "X20.", "G0 Z5.", "G1 Z-5.", "X0") + "M30\n").holes == ()


def test_a_thread_mill_makes_a_hole_of_path_and_cutter(bench: Any) -> None:
    program = HEAD + tool(6, "G0 Z-10.", "G1 X1. F200", "G3 X1. Y0 Z-8.5 I-1. J0", "G1 X0", "G0 Z5.") + "M30\n"
    timeline = bench.timeline(program)

    assert history(timeline.holes[0]) == ["thread_mill"]
    assert timeline.holes[0].name == "X0 Y0"
    assert timeline.holes[0].steps[0].diameter.value == pytest.approx(10e-3)


def test_an_end_mill_that_circles_tighter_than_itself_and_rises_bores_a_hole(bench: Any) -> None:
    circles = ["G1 X2. F500", "Z0", "G3 X2. Y0 Z-3. I-2. J0", "G3 X2. Y0 Z-6. I-2. J0", "G3 X2. Y0 I-2. J0", "G1 X0", "G0 Z5."]
    timeline = bench.timeline(HEAD + tool(5, *circles) + "M30\n")

    assert len(timeline.holes) == 1
    assert timeline.holes[0].steps[0].diameter.value == pytest.approx(14e-3)
    assert timeline.holes[0].steps[0].depth.value == pytest.approx(6e-3)


def test_a_helix_into_a_pocket_is_no_hole(bench: Any) -> None:
    ramp = ["G1 X2. F500", "Z0", "G3 X2. Y0 Z-3. I-2. J0", "G3 X2. Y0 I-2. J0", "G1 X30.", "Y30.", "X0", "G0 Z5."]

    assert bench.timeline(HEAD + tool(5, *ramp) + "M30\n").holes == ()


def test_a_circle_wider_than_the_cutter_may_go_round_a_boss(bench: Any) -> None:
    ring = ["G1 X20. F500", "Z-3.", "G3 X20. Y0 I-20. J0", "G0 Z5."]

    assert bench.timeline(HEAD + tool(5, *ring) + "M30\n").holes == ()


# depth


def test_depth_counts_from_the_top_of_the_job(bench: Any) -> None:
    bench.change("job", top="2 mm")
    step = bench.timeline(HEAD + tool(2, "G81 Z-20. R5. F200", "G80") + "M30\n").holes[0].steps[0]

    assert step.depth.value == pytest.approx(22e-3)


def test_without_a_top_z0_is_assumed(bench: Any) -> None:
    bench.drop("job", "top")
    step = bench.timeline(HEAD + tool(2, "G81 Z-20. R2. F200", "G80") + "M30\n").holes[0].steps[0]

    assert step.depth.value == pytest.approx(20e-3)
    assert any(e.source == "assumed" for e in step.depth.evidence)


def test_without_a_top_a_hole_in_a_pocket_begins_at_its_r_plane_at_most(bench: Any) -> None:
    bench.drop("job", "top")
    step = bench.timeline(HEAD + tool(2, "G98 G81 Z-30. R-18. F200", "G80") + "M30\n").holes[0].steps[0]

    assert step.depth.value == pytest.approx(12e-3)


def test_without_a_top_a_long_drill_is_measured_as_its_pilot_was(bench: Any) -> None:
    bench.drop("job", "top")
    bench.records["T7"] = {"kind": "drill", "DC": "8 mm"}
    program = HEAD + tool(2, "G81 Z-15. R2. F200", "G80") + tool(7, "G98 G81 Z-80. R-14. F200", "G80") + "M30\n"

    assert bench.timeline(program).holes[0].steps[1].depth.value == pytest.approx(80e-3)


# time


def test_pecking_costs_the_time_between_first_entry_and_last_bottom(bench: Any) -> None:
    pecked = bench.timeline(HEAD + tool(2, "G83 Z-20. R2. Q5. F200", "G80") + "M30\n").holes[0].steps[0]
    single = bench.timeline(HEAD + tool(2, "G81 Z-20. R2. F200", "G80") + "M30\n").holes[0].steps[0]

    assert pecked.single_pass_seconds.value == pytest.approx(single.seconds.value)
    assert pecked.seconds.value > single.seconds.value


def test_the_program_sums_what_its_pecks_cost(bench: Any) -> None:
    timeline = bench.timeline(HEAD + tool(2, "G83 Z-20. R2. Q5. F200", "X10.", "X20.", "G80") + "M30\n")
    costs = [hole.steps[0].seconds.value - hole.steps[0].single_pass_seconds.value for hole in timeline.holes]

    assert timeline.pecking_seconds.value == pytest.approx(sum(costs))


def test_more_pecks_cost_more_time(bench: Any) -> None:
    costs = [
        bench.timeline(HEAD + tool(2, f"G83 Z-40. R2. Q{q}. F200", "G80") + "M30\n").pecking_seconds.value
        for q in (42, 20, 10, 5, 2)
    ]

    assert costs[0] == 0.0
    assert costs == sorted(costs)


def test_a_dwell_at_the_bottom_counts_to_the_hole(bench: Any) -> None:
    plain = bench.timeline(HEAD + tool(2, "G81 Z-20. R2. F200", "G80") + "M30\n").holes[0].steps[0]
    rests = bench.timeline(HEAD + tool(2, "G82 Z-20. R2. P1500 F200", "G80") + "M30\n").holes[0].steps[0]

    assert rests.dwell == pytest.approx(1.5)
    assert rests.seconds.value == pytest.approx(plain.seconds.value + 1.5)


def test_ten_thousand_holes_share_what_they_have_in_common(bench: Any) -> None:
    rows = "\n".join(f"X{x}. Y{y}." for x in range(0, 1000, 10) for y in range(0, 1000, 10))
    timeline = bench.timeline(HEAD + tool(2, "G81 X0 Y0 Z-20. R2. F200", rows, "G80") + "M30\n")

    assert len(timeline.holes) == 10_000
    assert len({id(hole.steps[0].depth) for hole in timeline.holes}) == 1
    assert np.isclose(timeline.holes[-1].x, 0.99)
