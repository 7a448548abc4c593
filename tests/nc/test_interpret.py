"""Running programs: macros, flow, what cannot be read, block skip, M codes, bounds."""

import math

import pytest

from coolcheck.nc.limits import Limits
from tests.nc.running import LEAST, NIST, OPEN, SAFE, WA, ends, events, note_ids, read, run

QUICK = Limits(max_blocks_executed=5000, max_seconds=10)


def xs(text: str, dialect: str = WA, **options: object) -> list[float | None]:
    return [x for _, x, _, _ in ends(run(SAFE + "G0\n" + text, dialect, **options))]


# ----------------------------------------------------------------- variables


def test_a_vacant_axis_word_is_as_if_not_written() -> None:
    assert ends(run(SAFE + "G0 X1. Y1. Z1.\nX#1 Y2."))[-1] == ("r", 1, 2, 1)
    assert ends(run(SAFE + "G0 X1. Y1. Z1.\nX#1 Y2.", NIST))[-1] == ("r", 0, 2, 1)


def test_a_vacant_variable_is_not_zero_in_a_comparison() -> None:
    assert xs("IF[#1 EQ #0]GOTO 10\nX1.\nN10 X2.\nM30") == [2]
    assert xs("IF[#1 EQ 0]GOTO 10\nX1.\nN10 X2.\nM30") == [1, 2]


def test_an_unknown_value_makes_only_its_axis_unknown() -> None:
    e = run(SAFE + "G0 X1. Y1. Z1.\n#1=#3011\nX#1 Y2.")

    assert ends(e)[-1] == ("r", None, 2, 1)
    assert "unknown-value" in note_ids(e)


def test_a_position_may_be_read_back() -> None:
    assert xs("X12.5\n#1=#5041\nX0\nX#1") == [12.5, 0, 12.5]


def test_the_modal_state_may_be_read_and_restored() -> None:
    assert xs("#1=#4003\nG91 X1.\nG#1 X5.\nM30") == [None, 5]


@pytest.mark.parametrize("expression", ["[1/0]", "SQRT[-1]", "ASIN[2]", "[2**10000]", "LN[0]"])
def test_a_fault_in_an_expression_is_noted_and_makes_the_word_unknown(expression: str) -> None:
    dialect = WA if "**" not in expression else OPEN
    e = run(SAFE + f"G0 X1.\nX{expression}\nX2.", dialect)

    assert [x for _, x, _, _ in ends(e)] == [1, None, 2]
    assert "macro-fault" in note_ids(e)


def test_named_variables_are_local_unless_they_begin_with_an_underscore() -> None:
    text = "#<a>=1\n#<_b>=2\no100 sub\n#<a>=7\nG0 X#<_b>\no100 endsub\no100 call\nX#<a>\nM2"

    assert xs(text, OPEN) == [2, 1]


# ---------------------------------------------------------------------- flow


def test_while_loops_nest() -> None:
    text = "#1=0\nWHILE[#1LT2]DO1\n#2=0\nWHILE[#2LT3]DO2\nX[#1*10+#2]\n#2=#2+1\nEND2\n#1=#1+1\nEND1\nM30"

    assert xs(text) == [0, 1, 2, 10, 11, 12]


def test_goto_looks_forward_first_then_from_the_start() -> None:
    assert xs("#1=0\nN10 X#1\n#1=#1+1\nIF[#1LT3]GOTO10\nGOTO20\nX99.\nN20 X50.\nM30") == [0, 1, 2, 50]


def test_if_then_does_one_statement() -> None:
    assert xs("#1=5\nIF[#1GT3]THEN #2=8\nX#2\nM30") == [8]


def test_a_jump_to_nowhere_stops_the_program() -> None:
    e = run(SAFE + "G0 X1.\nGOTO 77\nX2.\nM30")

    assert [x for _, x, _, _ in ends(e)] == [1]
    assert not e.ended
    assert "missing-target" in note_ids(e)


def test_a_number_that_stands_twice_is_told() -> None:
    assert "duplicate-sequence-number" in note_ids(run(SAFE + "GOTO 10\nN10 G0 X1.\nN10 X2.\nM30"))


@pytest.mark.parametrize(
    "text",
    [
        "N10 GOTO 10",
        "WHILE[1EQ1]DO1\nX1.\nEND1",
        "DO1\nX1.\nEND1",
        "#1=1\nN5 G91 X1.\nIF[#1EQ1]GOTO5",
        "o1 while [1]\nX1\no1 endwhile",
    ],
)
def test_an_endless_loop_is_found_at_once(text: str) -> None:
    e = run(SAFE + f"G0\n{text}\nM30", OPEN if text.startswith("o") else WA)

    assert "loop-bound" in note_ids(e)
    assert not e.ended
    assert len(e.moves) <= 2


def test_a_loop_that_counts_for_ever_meets_the_bound() -> None:
    e = run(SAFE + "G0\nN10 #1=#1+1\nX#1\nGOTO 10", limits=QUICK)

    assert [note.affects for note in e.notes if note.id == "loop-bound"] == [("position", "time", "fluid")]


def test_a_program_that_makes_too_many_moves_meets_the_bound() -> None:
    e = run(SAFE + "G91 G81 X1. Z-5. R-8. L999999 F100", limits=Limits(max_moves=1000), start=(0, 0, 10))

    assert "move-bound" in note_ids(e)
    assert len(e.moves) < 1010


def test_a_slow_program_meets_the_clock() -> None:
    e = run(SAFE + "G0\nN10 #1=#1+1\nX#1\nGOTO 10", limits=Limits(max_seconds=0.0))

    assert "time-bound" in note_ids(e)


def test_a_branch_on_something_unknown_is_told_and_not_taken() -> None:
    e = run(SAFE + "G0\nIF[#3011GT5]GOTO 10\nX1.\nN10 X2.\nM30")

    assert [x for _, x, _, _ in ends(e)] == [1, 2]
    assert "undecidable-branch" in note_ids(e)


def test_a_loop_on_something_unknown_is_followed_once() -> None:
    assert xs("WHILE[#3011GT5]DO1\nG91 X1.\nEND1\nG90 X2.\nM30", start=(0.0, 0.0, 0.0)) == [1, 2]


def test_a_loop_without_its_end_is_told() -> None:
    assert "flow-without-partner" in note_ids(run(SAFE + "WHILE[1EQ1]DO1\nG0 X1.\nM30"))
    assert "flow-without-partner" in note_ids(run(SAFE + "G0 X1.\nEND1\nM30"))


def test_an_alarm_of_the_program_stops_it() -> None:
    e = run(SAFE + "G0 X1.\n#3000=1(WRONG TOOL)\nX2.\nM30")

    assert [x for _, x, _, _ in ends(e)] == [1]
    assert [event.value for event in events(e, "stop")] == ["WRONG TOOL"]
    assert "program-alarm" in note_ids(e)


def test_a_stop_with_message_goes_on() -> None:
    e = run(SAFE + "G0 X1.\n#3006=1(TURN THE PART)\nX2.\nM30")

    assert [event.value for event in events(e, "stop")] == ["TURN THE PART"]
    assert e.ended


# -------------------------------------------------------------------- O-words


def test_o_word_branches_and_loops() -> None:
    text = """#1=0
o1 while [#1 lt 4]
o2 if [#1 eq 0]
X100
o2 elseif [#1 eq 1]
X101
o2 else
o3 if [#1 eq 3]
o1 break
o3 endif
X102
o2 endif
#1=[#1+1]
o1 endwhile
o4 repeat [2]
X200
o4 endrepeat
#2=0
o5 do
#2=[#2+1]
o6 if [#2 eq 2]
o5 continue
o6 endif
X[300+#2]
o5 while [#2 lt 3]
M2"""

    assert xs(text, OPEN) == [100, 101, 102, 200, 200, 301, 303]


def test_an_o_word_subprogram_takes_arguments_and_gives_a_value() -> None:
    text = "o<add> sub\nG0 X[#1+#2]\no<add> return [#1*#2]\no<add> endsub\n#1=5\no<add> call [3] [4]\nX#<_value>\nX#1\nM2"

    assert xs(text, OPEN) == [7, 12, 5]


# --------------------------------------------------------- what cannot be read


def test_the_axis_that_cannot_be_read_is_unknown_and_the_rest_is_run() -> None:
    e = run(SAFE + "G0 X1. Y1. Z1.\nG1 X12.5 Y-3..2 F600\nY5.\nM30")

    assert ends(e)[1:] == [("f", 12.5, None, 1), ("f", 12.5, 5, 1)]
    (note,) = e.notes
    assert (note.id, note.affects) == ("unreadable-block", ("y",))
    assert (note.place.line, note.place.column) == (3, 14)


def test_a_block_whose_meaning_is_in_doubt_makes_its_axes_unknown() -> None:
    e = run(SAFE + "G0 X1. Y1. Z1.\nG1 X5. $!? F100\nM8 $\nM30")

    assert ends(e)[1] == ("f", None, 1, 1)
    assert [event.code for event in events(e, "fluid")] == ["M8"]
    assert "unreadable-block" in note_ids(e)


def test_a_nested_comment_does_no_harm() -> None:
    e = run(SAFE + "G0 X1. Y1. Z1.\nG0 X5. (a (b) c)\n")

    assert "unreadable-block" in note_ids(e)


BARE = "T5 M6 (DRILL 8.5)\nG54 G0 X10 Y10 S3000 M3\nG43 H5 Z50.\nG98 G83 Z-40 R2. Q4 P300 F600\nX50\nG4 X2\nX0 Y0\nG80\nM30"


def test_whole_units_are_told_once_where_nobody_names_the_dialect() -> None:
    (note,) = [note for note in run(SAFE + BARE, dialect_is_assumed=True).notes if note.id == "assumed-whole-units"]

    assert note.place.line == 3
    assert note.says.startswith("4 lengths are written without a decimal point, here first, and read as whole millimetres")


@pytest.mark.parametrize(
    ("text", "dialect", "is_assumed"),
    [(BARE, WA, False), (BARE, LEAST, True), ("G0 X10. Y0 Z-.5\nG1 F600\nG4 P2\nM30", WA, True)],
)
def test_whole_units_are_no_assumption_elsewhere(text: str, dialect: str, is_assumed: bool) -> None:
    assert "assumed-whole-units" not in note_ids(run(SAFE + text, dialect, dialect_is_assumed=is_assumed))


def test_a_letter_o_for_a_zero_leaves_the_hole_at_a_place_that_nobody_knows() -> None:
    execution = run(SAFE + "T5 M6\nS3000 M3\nG0 X10. Y10.\nZ50.\nG98 G81 Z-40. R2. F600.\nX9O.\nX20.\nG80\nM30")

    assert [f"{x:g}" for x in execution.cycle_holes.x] == ["10", "nan", "20"]
    (note,) = [note for note in execution.notes if note.id == "letter-o-for-zero"]
    assert (note.place.line, note.affects, note.do) == (7, ("x",), "write the digit 0")
    assert "unreadable-block" not in note_ids(execution) and "address-without-number" not in note_ids(execution)


def test_letters_o_for_zeros_make_a_block_no_other_language() -> None:
    execution = run("G21 G9O G17 G94\nG54 GO X10. Y10. S3OOO M3\nM3O")

    assert note_ids(execution) >= {"letter-o-for-zero"}
    assert "unreadable-block" not in note_ids(execution)
    assert sum(note.count for note in execution.notes if note.id == "letter-o-for-zero") == 4


@pytest.mark.parametrize(
    ("text", "id"), [("G1 X", "address-without-number"), ("(open", "unclosed-comment"), ("X1. X2.", "repeated-address")]
)
def test_smaller_faults_are_told(text: str, id: str) -> None:
    assert id in note_ids(run(SAFE + f"G0 Y1.\n{text}\nM30"))


def test_a_note_is_told_once_though_its_block_runs_often() -> None:
    e = run(SAFE + "G0\n#1=0\nN10 #1=#1+1\nM97 P100\nIF[#1LT5]GOTO10\nM30\nN100 X$\nM99")

    assert [note.count for note in e.notes if note.id == "unreadable-block"] == [1]


# ------------------------------------------------------------------ block skip


def test_a_skipped_block_is_run_unless_its_switch_is_on() -> None:
    text = "/X1.\n/2 X2.\nX3.\nM30"

    assert xs(text) == [1, 2, 3]
    assert xs(text, block_skip=frozenset({1})) == [2, 3]
    assert xs(text, block_skip=frozenset({1, 2})) == [3]


def test_a_skip_within_a_block_covers_what_stands_behind_it() -> None:
    text = SAFE + "G0 X0 Y0\nG43 H6 Z.25 /M8\nM30"

    assert [(event.code, event.skipped_by) for event in events(run(text), "fluid")] == [("M8", 1)]
    skipped = run(text, block_skip=frozenset({1}))
    assert events(skipped, "fluid") == []
    assert ends(skipped)[-1] == ("r", 0, 0, 0.25)


# --------------------------------------------------------------------- M codes


def test_fluid_codes_stand_where_they_act() -> None:
    e = run(SAFE + "M8\nG0 X1.\nG1 X2. F100 M9\nM7\nX3.\nM30")

    assert [(event.code, event.row, event.fluid) for event in events(e, "fluid")] == [
        ("M8", 0, "flood on"),
        ("M9", 2, "all off"),
        ("M7", 2, ""),
    ]
    assert events(run("M7", NIST), "fluid")[0].fluid == "mist on"


def test_a_spindle_code_with_fluid_is_two_events() -> None:
    e = run(SAFE + "S1000 M13\nG0 X1.")

    assert [(event.kind, event.code) for event in e.events] == [("spindle", "M13"), ("fluid", "M13")]
    assert (e.modal(0).spindle, e.modal(0).rpm) == ("clockwise", 1000)


@pytest.mark.parametrize(
    ("block", "words"),
    [("M57 P3", {"P": 3.0}), ("M11 Q1", {"Q": 1.0}), ("M811 S100", {"S": 100.0}), ("G1 X5. F50 M57 P3", {"P": 3.0})],
)
def test_the_words_of_a_builder_code_stay_with_it(block: str, words: dict[str, float]) -> None:
    e = run(SAFE + f"S1000 M3\nG0 X0\n{block}\nG1 X9. F100\nM30")

    assert [event.words for event in events(e, "m_code")] == [words]
    assert e.modal(len(e.moves) - 1).rpm == 1000
    assert "builder-m-code" in note_ids(e)


def test_a_builder_code_that_a_machine_record_explains_needs_no_note() -> None:
    assert "builder-m-code" not in note_ids(run("M57", codes=frozenset({"M57"})))


def test_p_of_a_cycle_block_stays_with_the_cycle() -> None:
    e = run(SAFE + "S1000 M3\nG0 X0 Y0 Z5.\nG82 X1. Z-5. R2. P500 F100 M57")

    assert events(e, "m_code")[0].words == {}
    assert e.cycles[0].dwell == 0.5


def test_a_gear_or_override_code_is_known_as_no_matter_of_fluid() -> None:
    assert [event.fluid for event in events(run("M41 S500\nM48"), "m_code")] == ["none", "none"]
    assert events(run("M48", codes=frozenset({"M48"})), "m_code")[0].fluid == ""


@pytest.mark.parametrize(
    ("text", "tools"),
    [("T6 M6", [6]), ("M6 T6", [6]), ("T06\nG0 X1.\nM06", [6]), ("T1 M6\nT2\nM6", [1, 2]), ("M6", [None]), ("T0 M6", [0])],
)
def test_forms_of_a_tool_change(text: str, tools: list[int | None]) -> None:
    assert [event.value for event in events(run(SAFE + text), "tool_change")] == tools


def test_a_preselected_tool_is_not_yet_in_the_spindle() -> None:
    e = run(SAFE + "T1 M6\nT2\nS500 M3\nG0 X1.\nM6\nG0 X2.")

    assert [e.modal(row).tool for row in (0, 1)] == [1, 2]
    assert e.modal(1).spindle == "off"
    assert [event.value for event in events(e, "tool_select")] == [2]


def test_a_tool_called_by_name() -> None:
    e = run(SAFE + 'T="DRILL 8.5" M6\nG0 X1.')

    assert (e.modal(0).tool, e.modal(0).tool_name) == (None, "DRILL 8.5")


def test_turret_words_are_recognised() -> None:
    execution = run(SAFE + "T0101\nG0 X1.\nM30")
    (note,) = [note for note in execution.notes if note.id == "turret-tool-word"]

    assert note.do.startswith("turning is not simulated, and no dialect changes that: review it by hand")
    assert "turret-tool-word" not in note_ids(run(SAFE + "T101 M6\nG0 X1.\nM30"))


def test_program_end_and_stops() -> None:
    e = run("M0\nM1\nM30\nM8")

    assert [event.kind for event in e.events] == ["stop", "optional_stop", "end"]
    assert e.ended
    assert events(run("M8\nM30", NIST), "end")[0].fluid == "all off"


def test_a_message_is_an_event() -> None:
    assert [event.value for event in events(run("(MSG, check the clamp)"), "message")] == ["check the clamp"]


# ----------------------------------------------------------------- unreachable


def test_a_part_that_no_path_reaches_is_told() -> None:
    e = run(SAFE + "G0 X1.\nGOTO 20\nX2.\nX3.\nN20 X4.\nM30")

    note = next(note for note in e.notes if note.id == "unreachable-blocks")
    assert note.place.line == 4
    assert "2 blocks" in note.says


@pytest.mark.parametrize(
    "text",
    [
        "IF[#1EQ#0]GOTO 20\nX2.\nX3.\nN20 X4.\nM30",
        "#1=5\nIF[#1EQ5]GOTO20\nGOTO30\nN30 X1.\nM30\nN20 X4.\nM30",
        "/GOTO 20\nX2.\nN20 X4.\nM30",
        "#1=9\nWHILE[#1LT5]DO1\nX1.\nEND1\nM30",
        "X1.\nM30\n\n(text)\n",
        "M98 P2\nM30\nO2\nX1.\nM99",
    ],
)
def test_a_part_that_another_value_would_reach_is_not(text: str) -> None:
    assert "unreachable-blocks" not in note_ids(run(SAFE + "G0\n" + text))


# ------------------------------------------------------------------- two ways


def test_a_long_run_of_plain_motion_is_what_its_blocks_are() -> None:
    blocks = [f"X{n}. Y{n * 2}.5" if n % 7 else f"G{n % 2} Z-{n}. F{100 + n}" for n in range(300)]
    for units in ("G20", "G21"):
        for distance in ("G90", "G91"):
            for mode in ("G94", "S500 M3\nG95"):
                text = f"{units} {distance} G17 {mode}\nG1 X0 Y0 Z0 F50\n"
                long = run(text + "\n".join(blocks), start=(1, 2, 3))
                short = run(text + "(c)\n".join(blocks), start=(1, 2, 3))
                assert ends(long) == ends(short)
                assert long.moves.feed.tolist() == pytest.approx(short.moves.feed.tolist(), nan_ok=True)
                assert long.moves.seconds.tolist() == pytest.approx(short.moves.seconds.tolist(), nan_ok=True)


def test_time_is_length_over_feed() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG1 X30. Y40. F100")

    assert e.moves.seconds[1] == pytest.approx(30)
    assert math.isnan(e.moves.seconds[0])


def test_places_of_moves_are_lines_of_the_file() -> None:
    e = run(SAFE + "G0 X0\n\nX1.")

    assert [e.place(int(block)).line for block in e.moves.block] == [2, 4]


def test_interpreting_leaves_the_program_as_it_was() -> None:
    program = read(SAFE + "G0 X0\nM30")
    before = program.source.data

    from coolcheck.nc.interpret import interpret

    interpret(program)
    interpret(program)

    assert program.source.data == before


def test_a_common_variable_that_outlives_the_program_is_not_known_before_it_is_assigned() -> None:
    assert xs("X#500\n#500=5\nX#500\nX#100\nM30") == [None, 5]
    assert xs("X#500\nX#2000\nM2", NIST) == [0, 0]


@pytest.mark.parametrize(
    ("block", "is_told"), [("M3 M4", True), ("M7 M8", True), ("M0 M1", True), ("M3 M8", False), ("M57 M8", False)]
)
def test_two_m_codes_of_one_kind_in_a_block_are_told(block: str, is_told: bool) -> None:
    assert ("conflicting-codes" in note_ids(run(SAFE + f"S100 {block}"))) == is_told


def test_arithmetic_by_macro_code_is_not_taken_for_a_call() -> None:
    e = run(SAFE + "G0 X1.\nG65 H01 P#100 Q5\nX2.")

    assert "not-simulated" in note_ids(e)
    assert events(e, "call") == []


def test_behind_an_alarm_nothing_is_called_unreachable() -> None:
    assert "unreachable-blocks" not in note_ids(run(SAFE + "#3000=1(NO)\nG0 X1.\nM30"))


def test_a_jump_to_the_top_passes_the_program_number_again() -> None:
    assert xs("O1234\nN1 #1=#1+1\nX#1\nIF[#1LT3]GOTO5\nM30\nN5 GOTO 1") == [1, 2, 3]


@pytest.mark.parametrize("block", ["CYCL DEF 200", "TOOL CALL 5 Z S1000", "L CYCLE [NAME=A]", "FEED ON F200"])
def test_a_block_in_another_language_is_told_as_one_fault_and_makes_the_position_unknown(block: str) -> None:
    e = run(SAFE + f"S100 M3\nG0 X1. Y1. Z1.\nG1 Z0 F100\n{block}\nG1 X2.\nM30")

    assert ends(e)[-2:] == [("f", None, None, None), ("f", 2, None, None)]
    assert (e.moves.feed[-1], e.modal(3).rpm) == (100, 100)
    (note,) = e.notes
    assert (note.id, note.affects, note.count) == ("unreadable-block", ("position", "tool", "fluid"), 1)


# ------------------------------------------------------------------ the end


def test_a_tape_mark_alone_does_not_end_a_word_address_program() -> None:
    assert "no-program-end" in note_ids(run("%\nO1\n" + SAFE + "G0 X1.\n%\n"))
    assert "no-program-end" not in note_ids(run("%\nO1\n" + SAFE + "G0 X1.\nM30\n%\n"))


def test_a_tape_mark_ends_a_program_of_the_open_language() -> None:
    assert "no-program-end" not in note_ids(run("%\nG21 G0 X1.\n%\n", "rs274-ngc"))
    assert "no-program-end" in note_ids(run("G21 G0 X1.\n", "rs274-ngc"))


def test_code_behind_the_closing_tape_mark_is_told_once_where_it_begins() -> None:
    e = run("%\nO1\n" + SAFE + "G0 X1.\nM30\n%\n\nO2\nG0 X5.\nM30\n%\n")

    (note,) = [note for note in e.notes if note.id == "code-behind-the-end"]
    assert note.place.line == 8
    assert "unreachable-blocks" not in note_ids(e)


@pytest.mark.parametrize("tail", ["", "%\n", "%\n\n(TEXT)\n"])
def test_nothing_that_could_run_behind_the_end_is_no_second_program(tail: str) -> None:
    assert "code-behind-the-end" not in note_ids(run("%\nO1\n" + SAFE + "G0 X1.\nM30\n" + tail))


# ---------------------------------------------------------------- words left out


def test_a_peck_of_no_depth_is_told_and_drilled_in_one_stroke() -> None:
    e = run(SAFE + "G83 X1. Z-20. R2. Q0 F100\nG80\nM30")

    assert "peck-without-depth" in note_ids(e)
    assert e.cycles[0].pecks == (-20.0,)


def test_a_length_offset_without_its_number_is_told() -> None:
    assert "length-offset-without-number" in note_ids(run(SAFE + "T1 M6\nG43 Z5.\nM30"))
    assert "length-offset-without-number" not in note_ids(run(SAFE + "T1 M6\nG43 H1 Z5.\nM30"))
    assert "length-offset-without-number" not in note_ids(run("T1 M6\nG43 Z5.\nM2", "rs274-open"))
