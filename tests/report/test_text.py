import io
from dataclasses import replace

import pytest
from made_reviews import BROKEN, CLEAN, DEEP_PECK, LEFT_ON, ONE_PASS, OPEN, OPTIONS, PROGRAM, REVIEW

from coolcheck.errors import Problem
from coolcheck.judge.readiness import READY, Readiness
from coolcheck.known import Evidence, Missing
from coolcheck.place import Place
from coolcheck.report import summary, text
from coolcheck.report.cells import width
from coolcheck.report.review import exit_code


def rendered(*reviews, **changes):
    out = io.StringIO()
    text.render(reviews, out, replace(OPTIONS, **changes))
    return out.getvalue()


def summarised(*reviews):
    out = io.StringIO()
    summary.render(reviews, out, OPTIONS)
    return out.getvalue()


def test_the_first_line_of_a_finding_makes_sense_alone():
    line = rendered(REVIEW).splitlines()[0]

    assert line == f"{PROGRAM}:214:1: error: T12 pecks 14 times where its record allows one pass [deep-peck-with-capable-drill]"


def test_evidence_names_value_unit_and_origin():
    lines = rendered(REVIEW)

    assert "    because  G83 Z-80. Q6. (line 214); LU of T12 85 mm (tools/T12.yaml:3);\n" in lines
    assert "pressure at the tip 32.04 bar (computed)" in " ".join(lines.split())


def test_full_evidence_shows_inputs_formula_reason_and_basis():
    short, full = rendered(REVIEW), rendered(REVIEW, evidence="full")

    assert "p = p0 - losses" not in short
    assert "pressure at the tip = 32.04 bar, computed" in full
    assert "p = p0 - losses; invented for this test" in full
    assert "    why      Every retract lets chips fall back" in full
    assert "    basis    common practice" in full


def test_short_evidence_shows_the_first_few_and_says_how_many_more_there_are():
    many = replace(DEEP_PECK, evidence=tuple(Evidence(f"n{i}", float(i), "mm") for i in range(9)))

    shown = " ".join(rendered(replace(REVIEW, findings=(many,))).split())

    assert "n3 3 mm (record); 5 more with --evidence full" in shown
    assert "n4" not in shown


def test_numbers_and_what_can_be_looked_up_are_shown_before_a_worked_out_yes():
    pieces = [Evidence("cuts", True, source="computed"), Evidence("kind of tap M8", "tap", place=Place("t.yaml", 3))]
    pieces += [Evidence("THCHT", "C", place=Place("t.yaml", 4))]
    pieces += [Evidence("depth", 3.0, "mm"), Evidence("drills", True, source="computed")]
    pieces += [Evidence("strokes", 4), Evidence("n", 1.0)]

    shown = " ".join(rendered(replace(REVIEW, findings=(replace(DEEP_PECK, evidence=tuple(pieces)),))).split())

    assert "because THCHT C (t.yaml:4); depth 3 mm (record); strokes 4 (record); n 1 (record); 3 more" in shown


def test_a_setting_that_stands_elsewhere_is_among_the_few_pieces():
    pieces = tuple(Evidence(f"n{at}", float(at)) for at in range(8))
    pieces += (Evidence("feed mode", "G95, per turn", place=Place(PROGRAM, 18), source="program"),)

    shown = " ".join(rendered(replace(REVIEW, findings=(replace(DEEP_PECK, evidence=pieces),))).split())

    assert "n2 2 (record); feed mode G95, per turn (line 18); 5 more" in shown


def test_an_undecided_finding_asks_its_question_and_says_where_to_write_the_answer():
    lines = rendered(REVIEW).splitlines()
    at = lines.index(f"{PROGRAM}:230:1: undecided: may T14 drill 60 mm in one pass? [one-pass-not-proved]")

    assert lines[at + 1] == "    missing  is the collet sealed around the shank? (`sealed` in"
    assert lines[at + 2] == "             holders/collet-a.yaml)"
    assert lines[at + 3] == "    level    error, if it holds"


def test_what_nobody_can_answer_says_that_it_counts_as_a_note_and_what_it_would_be():
    noted = replace(ONE_PASS, level="note")
    shown = rendered(replace(REVIEW, findings=(noted,), readiness=Readiness(READY)))

    assert "    level    counts as a note; error, if it holds" in shown.splitlines()
    assert "ready to run unattended, for what this review can see; what is undecided counts as notes" in " ".join(shown.split())


def test_what_is_ready_and_has_no_question_speaks_of_none():
    assert "undecided" not in rendered(CLEAN)


def test_a_place_inside_a_block_is_shown_with_marks_under_it():
    lines = rendered(REVIEW).splitlines()
    at = lines.index("    N39 M8 T5 M6")

    assert lines[at + 1] == "    " + " " * 4 + "^^^"


@pytest.mark.parametrize("columns", [50, 80, 120])
def test_on_a_terminal_no_line_is_wider_than_it(columns):
    says = "T5 (深穴加工用ドリル) 工具交換のときクーラントが出ている " * 3
    wide = replace(REVIEW, findings=(replace(LEFT_ON, says=says), DEEP_PECK))

    shown = rendered(wide, BROKEN, CLEAN, width=columns, wraps_heads=True)

    assert max(map(width, shown.splitlines())) <= columns


def test_in_a_pipe_only_heads_may_be_wider_than_80_columns():
    for line in rendered(REVIEW, evidence="full").splitlines():
        assert width(line) <= 80 or line.startswith(PROGRAM)


def test_a_hostile_comment_cannot_reach_the_terminal():
    evidence = (Evidence("(\x1b[2J", "\x9b31m", source="comment"),)
    hostile = replace(LEFT_ON, says="(\x1b]0;owned\x07\u202e) is on", evidence=evidence)

    shown = rendered(replace(REVIEW, findings=(hostile,), quotes={(PROGRAM, 88): "M8 (\x1b[31m"}))

    assert "\x1b" not in shown
    assert "\x9b" not in shown
    assert "\\x1b]0;owned\\x07\\u202e" in shown


def test_colour_adds_nothing_but_colour():
    import re

    coloured, plain = rendered(REVIEW, is_coloured=True), rendered(REVIEW)

    assert coloured != plain
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == plain


def test_the_summary_counts_and_says_what_is_not_known():
    shown = rendered(REVIEW)

    assert f"{PROGRAM}: 1 error, 1 note, 1 undecided (1 could be an error)" in shown
    assert "    time     14 min 32 s in all, 9 min 10 s cutting; 2 min 41 s lost to pecking" in shown
    assert "    with     job plate; machine mill-2; no record of the material and fluid" in shown


def test_undecided_findings_that_do_not_count_are_still_shown_and_said_not_to_count():
    shown = rendered(replace(REVIEW, findings=(ONE_PASS,)), counts_undecided=False)

    assert "1 undecided (1 could be an error), not counted" in shown


def test_a_program_that_could_not_be_reviewed_says_why_and_never_looks_clean():
    shown = rendered(BROKEN)

    assert shown.startswith("programs/gone.nc: error: there is no such file\n    do       Check the name.\n")
    assert "programs/gone.nc: error: this program was not reviewed" in shown
    assert "nothing found" not in shown


def test_a_problem_with_an_excerpt_keeps_its_lines():
    problem = Problem(Place("rules/ours.yaml", 3, 9), "no such fact\n    depht > 4\n    ^", "say depth")

    shown = rendered(replace(BROKEN, problems=(problem,)))

    assert shown.startswith("rules/ours.yaml:3:9: error: no such fact\n    depht > 4\n    ^\n    do       Say depth.\n")


def test_a_question_about_a_whole_record_needs_no_place_for_the_answer():
    asked = replace(ONE_PASS, missing=(Missing("machine", "", "which machine runs this program?"),))

    shown = rendered(replace(REVIEW, findings=(asked,)))

    assert "    missing  which machine runs this program?\n" in shown


def test_many_programs_end_in_one_line_together():
    last = rendered(REVIEW, BROKEN, CLEAN, width=100).splitlines()[-1]

    assert last == "3 programs, 1 with findings that count, 1 not reviewed, 1 cannot tell, 1 not ready, 1 ready"


def test_places_in_other_files_keep_their_file():
    sub = replace(DEEP_PECK, also=(Place("programs/O9001.nc", 4, 1), Place(PROGRAM, 300, 1)))

    assert "    also     line 300 and programs/O9001.nc:4" in rendered(replace(REVIEW, findings=(sub,)))


def test_what_a_waiver_accepts_is_counted():
    assert "1 undecided (1 could be an error), 1 waived" in rendered(REVIEW)


def test_the_end_says_what_keeps_it_from_running_alone():
    shown = rendered(REVIEW)

    assert "    unattended  not ready to run unattended; first mend:\n             1. T12 pecks 14 times where" in shown
    assert "allows one pass (and 2 more like it). Drill in one stroke (line 214," in " ".join(shown.split())
    assert "    unattended  cannot tell if it may run unattended; what would tell:\n             1. is the collet" in rendered(
        OPEN
    )
    assert "    unattended  ready to run unattended, for what this review can see" in rendered(CLEAN)


def test_what_a_waiver_accepts_stands_with_its_reason():
    shown = rendered(REVIEW)

    assert "programs/O1203.nc:12:1: waived: T3 runs fast [speed-too-high]\n" in shown
    assert "    because  tried and proved here (the shop), until 2030-12-31\n" in shown


def test_what_a_starting_line_takes_as_known_stands_against_running_unattended():
    known = replace(OPEN, findings=(), known=(DEEP_PECK, ONE_PASS, LEFT_ON), accepted=7, readiness=REVIEW.readiness)
    shown = rendered(known)

    assert "programs/O1203.nc:214:1: accepted error: T12 pecks 14 times" in shown
    assert "programs/O1203.nc:230:1: accepted undecided: may T14" in shown
    assert "    unattended  not ready to run unattended (2 accepted); first mend:\n" in shown
    assert exit_code([known], OPTIONS) == 0


def test_a_summary_has_a_column_of_what_is_accepted_where_something_is():
    known = replace(OPEN, findings=(), known=(DEEP_PECK,), accepted=7, readiness=REVIEW.readiness)

    row = next(line for line in summarised(known, CLEAN).splitlines() if "O1203" in line)
    assert row.split() == ["O1203.nc", "not", "ready", "0", "0", "0", "0", "7", "14.5"]
    assert "accepted" not in summarised(OPEN, CLEAN)


def test_words_of_records_are_told_with_a_space_and_what_is_to_be_typed_is_not():
    kind = Evidence("kind of the mill in through_tool", "end_mill", source="record")
    finding = replace(DEEP_PECK, says="T12 is an end_mill", do="write `kind: end_mill`", evidence=(kind,))
    shown = rendered(replace(REVIEW, findings=(finding,)))

    assert "T12 is an end mill [" in shown
    assert "kind of the mill in through tool end mill (record)" in shown
    assert "write `kind: end_mill`" in shown
