"""Peck cycles become one pass, in every form in which programs write them; else the reason is said."""

from dataclasses import replace

import pytest
from small_shop import LONG, binding, changed_lines, rewritten, shop

from coolcheck.errors import RewriteRefused
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.plan import Run, demands_of
from coolcheck.rewrite.prove import first_fault

HEAD = "G21 G17 G90 G94 G40 G49 G80\nT1 M6\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25. M8\n"
TAIL = "G80\nM9\nG91 G28 Z0. M5\nG90\nM30\n"
ON, OFF = ["M57", "G4 P1500"], ["M58", "G4 P1200"]


def test_a_series_of_full_retract_pecks_becomes_one_pass_with_fluid_around_it() -> None:
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX10.\nX20. Z-30.\n" + TAIL).encode(), only=("single_pass",))

    assert changed_lines(done) == (["G99 G83 Z-40. R2. Q5. F636."], [*ON, "G99 G81 Z-40. R2. F636.", *OFF])
    assert not done.refusals and done.stages[0].proofs[0].converted == 3


@pytest.mark.parametrize(
    ("words", "after"),
    [
        ("G99 G73 Z-40. R2. Q5. F636.", "G99 G81 Z-40. R2. F636."),
        ("G98 G83 Z-40. R2. Q5. F636.", "G98 G81 Z-40. R2. F636."),
        ("G99 G83 Z-40. R2. I12. J2. K4. F636.", "G99 G81 Z-40. R2. F636."),
        ("G99 G83 Z-40. R2. Q5. P300 F636.", "G99 G82 Z-40. R2. P300 F636."),
        ("G99 G83 Z-40. R2. Q5. P0 F636.", "G99 G81 Z-40. R2. F636."),
        ("G99G83Z-40.R2.Q5.F636.", "G99G81Z-40.R2.F636."),
        ("G99 G83 Q5. Z-40. R2. F636. (DEEP)", "G99 G81 Z-40. R2. F636. (DEEP)"),
        ("G91 G99 G83 Z-42. R-23. Q5. F636.\nG90", "G91 G99 G81 Z-42. R-23. F636."),
        ("G95 G99 G83 Z-40. R2. Q5. F.2\nG94 F100.", "G95 G99 G81 Z-40. R2. F.2"),
    ],
)
def test_each_form_of_a_peck_cycle(words: str, after: str) -> None:
    gone, come = changed_lines(rewritten((HEAD + words + "\n" + TAIL).encode(), only=("single_pass",)))

    assert gone == [words.split("\n")[0]]
    assert after in come


def test_feed_and_speed_of_the_record_come_in_and_go_again() -> None:
    program = HEAD.replace("S3180", "S1000") + "G99 G83 Z-40. R2. Q5. F100.\nX10.\n" + TAIL
    gone, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert "G0 G54 X0. Y0. S3183 M3" in come and "G99 G81 Z-40. R2. F636." in come


def test_another_cut_of_the_same_tool_keeps_its_speed_and_feed() -> None:
    program = HEAD.replace("S3180", "S1000") + "G99 G83 Z-40. R2. Q5. F100.\nG80\nG0 Z5.\nG1 Z1. \nX30.\nG0 Z25.\n" + TAIL
    gone, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert come.count("S3183") == 1 and come.count("S1000") == 1 and come.count("F100.") == 1
    assert not any("M3" in line for line in come)


def test_an_inherited_feed_is_written_into_the_cycle_block() -> None:
    program = HEAD + "F100.\nG99 G83 Z-40. R2. Q5.\n" + TAIL
    _, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert "G99 G81 Z-40. R2. F636." in come


def test_inch_programs_are_rewritten_in_inch() -> None:
    head = HEAD.replace("G21", "G20").replace("Z25.", "Z1.").replace("S3180", "S1000")
    program = head + "G99 G83 Z-1.5 R.1 Q.2 F4.\nX.5\n" + TAIL
    _, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert "G99 G81 Z-1.5 R.1 F25." in come  # 3183 1/min times 0.2 mm, rounded down


def test_a_subprogram_called_several_times_is_edited_once() -> None:
    sub = "O100\nG99 G83 Z-40. R2. Q5. F636.\nX10.\nG80\nM99\n"
    program = "O1\n" + HEAD + "M98 P100\nG0 X50. Y0.\nM98 P100\n" + TAIL + sub
    done = rewritten(program.encode(), only=("single_pass",))
    gone, come = changed_lines(done)

    assert gone == ["G99 G83 Z-40. R2. Q5. F636."] and come.count("M57") == 1 and come.count("M58") == 1
    assert done.stages[0].proofs[0].converted == 4


def test_positions_in_a_subprogram_under_a_modal_cycle() -> None:
    sub = "O100\nX10.\nX20.\nM99\n"
    program = "O1\n" + HEAD + "G99 G83 Z-40. R2. Q5. F636.\nM98 P100\n" + TAIL + sub
    done = rewritten(program.encode(), only=("single_pass",))

    assert done.stages[0].proofs[0].converted == 3
    assert changed_lines(done)[0] == ["G99 G83 Z-40. R2. Q5. F636."]


@pytest.mark.parametrize(
    "loop",
    [
        "#1=0\nWHILE[#1LT4]DO1\nG99 G83 X[#1*10.] Z-40. R2. Q5. F636.\n#1=#1+1\nEND1\n",
        "#1=0\nG99 G83 X0. Z-40. R2. Q5. F636.\nWHILE[#1LT3]DO1\n#1=#1+1\nX[#1*10.]\nEND1\n",
        "#1=0\nN10 G99 G83 X[#1*10.] Z-40. R2. Q5. F636.\n#1=#1+1\nIF[#1LT4]GOTO10\n",
        "G91 G99 G83 X10. Z-42. R-23. Q5. F636. K4\nG90\n",
    ],
)
def test_a_cycle_in_a_loop_is_edited_when_it_holds_for_every_pass(loop: str) -> None:
    done = rewritten((HEAD + loop + TAIL).encode(), only=("single_pass",))

    assert not done.refusals and done.stages[0].proofs[0].converted == 4
    assert b"G83" not in done.result and done.result.count(b"M57") == 1


def test_a_macro_with_its_peck_in_a_variable() -> None:
    sub = "O9110\nG99 G83 X#24 Z#26 R2. Q#17 F#9\nG80\nM99\n"
    program = "O1\n" + HEAD + "G65 P9110 X5. Z-40. Q5. F636.\nG65 P9110 X15. Z-30. Q5. F636.\n" + TAIL + sub
    gone, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert "G99 G81 X#24 Z#26 R2. F#9" in come and len(gone) == 1


def test_a_subprogram_that_also_serves_another_tool_is_left_alone() -> None:
    sub = "O100\nG99 G83 Z-40. R2. Q5. F636.\nG80\nM99\n"
    program = "O1\n" + HEAD + "M98 P100\n" + TAIL.replace("M30\n", "") + HEAD.replace("T1", "T3").split("\n", 1)[1]
    done = rewritten((program + "M98 P100\n" + TAIL + sub).encode(), only=("single_pass",))

    assert not done.is_changed and any("also drills holes" in refusal.says for refusal in done.refusals)


def test_a_cycle_in_a_file_of_its_own_is_left_alone() -> None:
    folder = shop(more="note: with a subprogram\n")
    (folder / "O200.nc").write_bytes(b"O200\nG99 G83 Z-40. R2. Q5. F636.\nG80\nM99\n")
    done = rewritten(("O1\n" + HEAD + "M98 P200\n" + TAIL).encode(), folder, only=("single_pass",))

    assert not done.is_changed and "file of its own" in done.refusals[0].says


def test_jump_targets_and_numbers_stay() -> None:
    program = "O1\n" + HEAD + "IF[1EQ1]GOTO30\nN20 G0 Z99.\nN30 G99 G83 Z-40. R2. Q5. F636.\nN40 G80\n" + TAIL
    done = rewritten(program.encode(), only=("single_pass",))
    lines = done.result.decode().splitlines()

    assert "N30 G99 G81 Z-40. R2. F636." in lines and "IF[1EQ1]GOTO30" in lines
    assert lines.index("M57") < lines.index("IF[1EQ1]GOTO30")  # before the jump: behind it nothing would run it


def test_line_ends_and_numbers_of_the_program_are_kept() -> None:
    program = (HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL).splitlines()
    numbered = "".join(f"N{10 * (at + 1)} {line}\r\n" for at, line in enumerate(program))
    done = rewritten(numbered.encode(), only=("single_pass",))

    assert b"\r\nN43 M57\r\nN47 G4 P1500\r\nN50 G99 G81 Z-40. R2. F636.\r\n" in done.result
    assert done.result.count(b"\n") == done.result.count(b"\r\n")


def test_fluid_that_already_runs_is_only_given_its_time() -> None:
    program = HEAD.replace("M8", "M57") + "G99 G83 Z-40. R2. Q5. F636.\nG80\nM58\n" + TAIL
    _, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert come == ["G4 P1500", "G99 G81 Z-40. R2. F636.", "G4 P1200"]


def test_a_dwell_is_written_as_the_program_writes_it() -> None:
    program = HEAD + "G4 X.5\nG99 G83 Z-40. R2. Q5. F636.\n" + TAIL
    _, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert "G4 X1.5" in come and "G4 X1.2" in come


def test_the_other_reading_of_dwells_and_cycles() -> None:
    program = HEAD.replace("M8", "").replace("H1 ", "H1 ") + "G99 G83 Z-40. R2. Q5. F636.\nX10.\nG80\n" + TAIL
    done = rewritten(program.encode(), shop("rs274-ngc"), only=("single_pass",))
    _, come = changed_lines(done)

    assert "G4 P1.5" in come and "G99 G81 Z-40. R2. F636." in come


@pytest.mark.parametrize(
    ("folder", "says", "question"),
    [
        (shop(fitted="prepared"), "only prepared", ""),
        (shop(fitted="no"), "has no through tool", ""),
        (shop(sealed="no"), "leaks along the shank", ""),
        (shop(fitted="unknown"), "until more is known", "pump"),
        (shop(sealed="unknown"), "until more is known", "sealed"),
        (shop(confirmed=False), "until more is known", "cross the holes"),
    ],
)
def test_without_the_whole_chain_nothing_is_rewritten(folder, says: str, question: str) -> None:  # type: ignore[no-untyped-def]
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL).encode(), folder, only=("single_pass",))
    (refusal,) = done.refusals

    assert not done.is_changed and says in refusal.says
    assert any(question in missing.question for missing in refusal.missing) or not question


def test_a_hole_deeper_than_rated_keeps_its_pecks() -> None:
    done = rewritten((HEAD + "G99 G83 Z-65. R2. Q5. F636.\n" + TAIL).encode(), only=("single_pass",))

    assert not done.is_changed and "depth rated for one pass: 60 mm, less than the 65 mm needed" in done.refusals[0].says


def test_a_program_that_cannot_be_read_is_left_alone() -> None:
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX1..2\n" + TAIL).encode())

    assert not done.is_changed and "unreadable-block" in done.refusals[0].says


def test_a_skipped_position_does_not_change_the_edits() -> None:
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F636.\n/X10.\n/2X20.\n" + TAIL).encode(), only=("single_pass",))

    assert [proof.converted for proof in done.stages[0].proofs] == [3, 2, 2, 1]


def test_a_skipped_fluid_code_that_would_ask_for_other_edits_is_refused() -> None:
    program = HEAD.replace(" M8", "\n/M57") + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL
    done = rewritten(program.encode(), only=("single_pass",))
    (refusal,) = done.refusals

    assert not done.is_changed and refusal.do.startswith("take the `/` off")
    assert refusal.says == "T1 keeps its pecks: with block-skip switch 1 on, the same change would not do"


def test_a_move_through_the_air_between_two_cycles_parts_no_fluid() -> None:
    body = "G99 G83 Z-40. R2. Q5. F636.\nG80\nG1 X10. Z5. F2000.\nG99 G83 X20. Z-30. R2. Q5. F636.\nG80\nG0 Z25. M58\n"
    done = rewritten((HEAD.replace("M8", "M57\nG4 P2000") + body + TAIL).encode(), only=("single_pass",))
    gone, come = changed_lines(done)

    assert not done.refusals and gone == ["G99 G83 Z-40. R2. Q5. F636.", "G99 G83 X20. Z-30. R2. Q5. F636."]
    assert come == ["G99 G81 Z-40. R2. F636.", "G99 G81 X20. Z-30. R2. F636.", "G4 P1200"]


def test_a_through_tool_code_in_the_cycle_block_comes_before_it() -> None:
    done = rewritten((HEAD + "M57 G99 G83 Z-40. R2. Q5. F636.\nX10.\n" + TAIL).encode(), only=("single_pass",))
    gone, come = changed_lines(done)

    assert not done.refusals and gone == ["M57 G99 G83 Z-40. R2. Q5. F636."]
    assert come == ["M57", "G4 P1500", "G99 G81 Z-40. R2. F636.", *OFF]


def test_a_block_of_the_cycle_that_makes_no_hole_is_not_touched() -> None:
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F636.\nQ4.\nX10.\n" + TAIL).encode(), only=("single_pass",))

    assert not done.is_changed and "makes no hole" in done.refusals[0].says


def test_a_subprogram_that_another_program_of_the_file_calls_is_left_alone() -> None:
    sub = "O100\nG99 G83 Z-40. R2. Q5. F636.\nG80\nM99\n"
    other = "O2\nT9 M6\nM98 P100\nM30\n"
    done = rewritten(("O1\n" + HEAD + "M98 P100\n" + TAIL + other + sub).encode(), only=("single_pass",))

    assert not done.is_changed and "leads to the same subprogram" in done.refusals[0].says


def test_another_operation_of_the_tool_that_must_peck_keeps_pecking() -> None:
    second = HEAD.split("\n", 1)[1] + "G99 G83 X50. Z-65. R2. Q5. F636.\n"
    program = HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL.replace("M30\n", "T3 M6\nG0 X0. S900 M3\n") + second + TAIL
    done = rewritten(program.encode(), only=("single_pass",))

    assert b"G81 Z-40." in done.result and b"G83 X50. Z-65. R2. Q5." in done.result


def test_a_program_in_two_byte_characters_is_refused() -> None:
    with pytest.raises(RewriteRefused, match="UTF-16"):
        rewritten(b"\xff\xfe" + (HEAD + TAIL).encode("utf-16-le"))


def test_a_program_that_starts_again_from_the_top_is_left_alone() -> None:
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL.replace("M30", "M99")).encode())

    assert not done.is_changed and "main-repeats" in done.refusals[0].says


@pytest.mark.parametrize(("starts", "dwell"), [("1.4 s", "G4 P1500"), ("1.5 s", "G4 P1500"), ("2.3 s", "G4 P2300")])
def test_a_long_drill_waits_in_its_pilot_for_pressure_and_for_the_spindle(starts: str, dwell: str) -> None:
    done = rewritten(LONG.encode(), shop(starts=f"start time: {starts}, "), only=("single_pass",))
    _, come = changed_lines(done)

    entry = come.index("M57")
    assert come[entry - 1 : entry + 4] == ["G1 Z-12. F400.", "M57", "S3183", dwell, "G1 Z-100. F636."]


@pytest.mark.parametrize(("starts", "dwell"), [("1.4 s", "G4 P1400"), ("2.3 s", "G4 P2300")])
def test_a_long_drill_comes_back_into_its_pilot_and_is_slow_before_it_leaves(starts: str, dwell: str) -> None:
    done = rewritten(LONG.encode(), shop(starts=f"start time: {starts}, "), only=("single_pass",))
    _, come = changed_lines(done)

    bottom = come.index("G1 Z-100. F636.")
    assert come[bottom + 1 : bottom + 6] == ["G0 Z-12.", "S300", dwell, "G0 Z2.", "M58"]


def test_a_dwell_at_the_bottom_of_a_long_hole_stays_there() -> None:
    program = LONG.replace("Q5. F636.", "Q5. P300 F636.")
    done = rewritten(program.encode(), only=("single_pass",))
    _, come = changed_lines(done)

    bottom = come.index("G1 Z-100. F636.")
    assert not done.refusals and come[bottom + 1 : bottom + 5] == ["G4 P300", "G0 Z-12.", "S300", "G4 P1400"]


@pytest.mark.parametrize("record", ["vc: 80 m/min", "n: 300 rpm"])
def test_a_long_drill_that_drills_at_its_entry_speed_neither_speeds_up_nor_slows_down(record: str) -> None:
    folder = shop(more=f"note: long drill {len(record)}\n")
    tool = folder / "tools" / "long.yaml"
    tool.write_text(tool.read_text(encoding="utf-8").replace("vc: 80 m/min", record), encoding="utf-8")
    _, come = changed_lines(rewritten(LONG.encode(), folder, only=("single_pass",)))

    slow = record.startswith("n")
    assert ("G0 Z-12." in come) is not slow and come.count("S300") == (0 if slow else 1)


def test_a_long_drill_keeps_its_pecks_where_nobody_says_how_long_the_spindle_speeds_up() -> None:
    (refusal,) = rewritten(LONG.encode(), shop(starts=""), only=("single_pass",)).refusals

    assert any("from stand-still" in missing.question for missing in refusal.missing)


def test_the_proof_asks_for_the_time_the_spindle_takes() -> None:
    done = rewritten(LONG.encode(), only=("single_pass",))
    bench = Bench.of(binding(shop()))
    before = Run.of(bench.timeline(bench.run(bench.program(done.original, "p.nc"))))
    after = bench.run(bench.program(done.result, "p.nc"))
    demands = demands_of(before)
    recipes = {hole: replace(one, entry=replace(one.entry, run_up=1.6)) for hole, one in demands.recipes.items() if one.entry}

    (stage,) = done.stages
    declared = stage.differences[0][1]
    assert recipes and first_fault(before.execution, after, declared, demands) == ""
    slower = first_fault(before.execution, after, declared, replace(demands, recipes=recipes))
    assert "the spindle takes to slow down" in slower


@pytest.mark.parametrize("level", [98, 99])
def test_pecks_of_the_other_reading_are_converted_at_either_return_level(level: int) -> None:
    program = HEAD + f"G{level} G83 Z-40. R2. Q5. F636.\nX10.\n" + TAIL
    done = rewritten(program.encode(), shop("rs274-ngc"), only=("single_pass",))

    assert f"G{level} G81 Z-40. R2. F636." in changed_lines(done)[1] and not done.refusals


def test_nothing_is_put_into_a_cycle_that_is_still_active() -> None:
    program = HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX10.\nG80 M9\nG91 G28 Z0. M5\nG90\nM30\n"
    done = rewritten(program.encode(), only=("single_pass",))
    lines = done.result.decode().splitlines()

    assert lines[lines.index("G80 M9") :][:3] == ["G80 M9", *OFF] and not done.refusals


def test_a_block_that_ends_the_cycle_and_is_jumped_over_takes_nothing_behind_it() -> None:
    program = HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX10.\nG80 M9\nN50 G91 G28 Z0. M5\nIF[1EQ2]GOTO50\nG90\nM30\n"
    lines = rewritten(program.encode(), only=("single_pass",)).result.decode().splitlines()

    assert lines[lines.index("M58") + 2] == "G80 M9"


def test_the_old_feed_does_not_come_back_before_a_cycle_with_a_feed_of_its_own() -> None:
    program = HEAD + "G99 G83 Z-40. R2. Q5. F500.\nG80\nG99 G83 X20. Z-30. R2. Q5.\nG80\nG0 Z5.\nG1 Z4.\n" + TAIL
    gone, come = changed_lines(rewritten(program.encode(), only=("single_pass",)))

    assert come[2:4] == ["G99 G81 Z-40. R2. F636.", "G99 G81 X20. Z-30. R2. F636."]
    assert come.count("F500.") == 1


def test_a_speed_stated_between_two_cycles_becomes_the_records_too() -> None:
    second = "G80\nS1590\nG99 G83 X20. Z-30. R2. Q5.\n"
    done = rewritten((HEAD + "G99 G83 Z-40. R2. Q5. F318.\n" + second + TAIL).encode(), only=("single_pass",))

    assert not done.refusals and done.stages[0].proofs[0].converted == 2


def test_positions_in_another_file_are_told_as_positions() -> None:
    folder = shop(more="note: positions in another file\n")
    (folder / "O300.nc").write_bytes(b"O300\nX10.\nX20.\nM99\n")
    program = "O1\n" + HEAD + "G99 G83 Z-40. R2. Q5. F636.\nM98 P300\n" + TAIL
    (refusal,) = rewritten(program.encode(), folder, only=("single_pass",)).refusals

    assert refusal.says.startswith("T1 keeps its pecks: the positions of these holes stand in a file of its own")
    assert refusal.where.file.endswith("O300.nc") and refusal.where.line == 2 and refusal.do


def test_a_work_offset_that_changes_in_a_cycle_is_told_with_what_to_do() -> None:
    program = HEAD + "G99 G83 X0. Y0. Z-40. R2. Q5. F636.\nG55 X20.\n" + TAIL
    (refusal,) = rewritten(program.encode(), only=("single_pass",)).refusals

    assert refusal.says == "T1 keeps its pecks: where a hole lies, or the tool comes from, is not known" and refusal.tool == 1
    assert refusal.do == "end the cycle with G80 before G55, and start it again behind it with X, Y and Z stated in full"


@pytest.mark.parametrize("depth", ["", " Q0"])
def test_a_peck_cycle_without_a_depth_is_told_to_have_no_pecks(depth: str) -> None:
    done = rewritten((HEAD + f"G99 G83 Z-40. R2.{depth} F636.\n" + TAIL).encode(), only=("single_pass",))
    (refusal,) = done.refusals

    assert not done.is_changed and (refusal.tool, refusal.where.line) == (1, 5)
    assert "G83 without a peck depth" in refusal.says and "no pecks to take out" in refusal.says and refusal.do
    assert not rewritten(done.original, only=("T1", "build_up_dwell")).refusals


@pytest.mark.parametrize(
    "between", ["G80\nG1 X15. F2000.\nG0 Z5.\n", "G80\nG2 X15. Y0. R20. F500.\nG0 Z5.\n", "G81 X15. Z-5. R2. F300.\n"]
)
def test_what_is_cut_between_the_holes_without_fluid_stays_without(between: str) -> None:
    program = HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + between + "G83 X30. Z-30. R2. Q5. F636.\n" + TAIL
    done = rewritten(program.encode(), only=("single_pass",))
    _, come = changed_lines(done)

    assert not done.refusals and come.count("M57") == come.count("M58") == 2


@pytest.mark.parametrize("place", ["X20. M58\nX30.\n", "X20.\nX30. M58\n"])
def test_fluid_that_goes_off_in_the_block_of_a_hole_is_told(place: str) -> None:
    program = HEAD + "M57\nG4 P2000\nG99 G83 Z-40. R2. Q5. F636.\n" + place + TAIL
    (refusal,) = rewritten(program.encode(), only=("single_pass",)).refusals

    assert refusal.says == "T1 keeps its pecks: M58 in the block of a hole turns the fluid off before it is drilled"
    assert "M58" in program.splitlines()[refusal.where.line - 1] and "block of its own" in refusal.do


@pytest.mark.parametrize("level", [98, 99])
@pytest.mark.parametrize("approach", ["G1 Z5. F5000.\n", "G1 Z10. F5000.\nZ5.\n", "G1 Z2. F5000.\n"])
def test_holes_behind_a_fed_approach_are_converted(approach: str, level: int) -> None:
    program = HEAD.replace("M8", "M57\nG4 P2000") + approach + f"G{level} G83 Z-40. R2. Q5. F636.\nX10.\nG80\nM58\n" + TAIL
    done = rewritten(program.encode(), only=("single_pass",))
    gone, come = changed_lines(done)

    assert not done.refusals and gone == [f"G{level} G83 Z-40. R2. Q5. F636."]
    assert come == [f"G{level} G81 Z-40. R2. F636.", "G4 P1200"]


@pytest.mark.parametrize("dialect", ["word-address-mill", "rs274-ngc"])
def test_a_long_drill_with_a_fed_approach_is_converted(dialect: str) -> None:
    program = LONG.replace("G43 H2 Z25. M8\n", "G43 H2 Z25. M8\nG1 Z5. F5000.\n")
    done = rewritten(program.encode(), shop(dialect), only=("single_pass",))

    assert not done.refusals and b"G83" not in done.result and b"G1 Z5. F5000." in done.result


@pytest.mark.parametrize(("starts", "is_fine"), [("60 s", True), ("61 s", False)])
def test_a_wait_that_no_program_should_make_is_told(starts: str, is_fine: bool) -> None:
    done = rewritten(LONG.encode(), shop(starts=f"start time: {starts}, "), only=("single_pass",))
    says = "T2 keeps its pecks: it would have to wait 61 s, and a rewrite puts in no more than 60 s"

    assert done.is_changed is is_fine
    assert is_fine or [(refusal.says, "start time" in refusal.do) for refusal in done.refusals] == [(says, True)]
