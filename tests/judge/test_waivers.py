"""Waivers: in the job record, in comments; what they accept, when they end, when they accept nothing."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from coolcheck.judge.evaluate import Judgement, judge
from coolcheck.judge.verdict import HOLDS, Verdict, fingerprint
from coolcheck.judge.waivers import Waiver, waivers_of
from coolcheck.place import Place
from tests.judge.cases import TODAY, Case, rule_book, timeline_of

RULES = (
    "fluid-state-not-stated",
    "cut-without-spindle",
    "fluid-on-at-program-end",
    "expired-waiver",
    "unused-waiver",
    "unreadable-waiver",
    "waiver-of-unknown-rule",
)
PROGRAM = """\
G21 G17 G90 G94 G98
{before}
T1 M6
{inside}
S3000 M3
G54 G0 X0 Y0
G43 H1 Z5.
G81 Z-20. R2. F600
G80
T2 M6
S800 M3
G0 X20. Y0
G43 H2 Z5.
G81 Z-20. R2. F100
G80
M30
"""


def judged(folder: Path, before: str = "", inside: str = "", today: date = TODAY, **job: object) -> Judgement:
    changes = {f"job.{key}": value for key, value in job.items()}
    case = Case("", 1, "", "", PROGRAM.format(before=before, inside=inside), changes)
    timeline = timeline_of(case, folder)
    return judge(timeline, [rule_book()[name] for name in RULES], today, notes=())


def said(judgement: Judgement) -> list[tuple[str, int]]:
    return [(verdict.rule.id, verdict.where.line) for verdict in judgement.verdicts]


def test_without_a_waiver_both_tools_are_told_of(tmp_path):
    assert said(judged(tmp_path)) == [("fluid-state-not-stated", 8), ("fluid-state-not-stated", 14)]


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("before", "(ALLOW FLUID-STATE-NOT-STATED BECAUSE THE OPERATOR SETS IT)"),
        ("inside", "(Allow fluid-state-not-stated: the operator sets it)"),
        ("inside", "(ALLOW FLUID-STATE-NOT-STATED - THE OPERATOR SETS IT - UNTIL 2030-12-31)"),
        ("inside", "(ALLOW FLUID-STATE-NOT-STATED FOR T1 - THE OPERATOR SETS IT)"),
        ("inside", "(ALLOW FLUID-STATE-NOT-STATED FOR T1 BECAUSE THE OPERATOR SETS IT UNTIL 2030-12-31)"),
    ],
)
def test_a_comment_accepts_what_it_stands_at(tmp_path, place, text):
    judgement = judged(tmp_path, **{place: text})

    assert said(judgement) == [("fluid-state-not-stated", 14)]
    ((_, waiver),) = judgement.waived
    assert waiver.reason.upper() == "THE OPERATOR SETS IT"


TWICE = """\
G21 G17 G90 G94 G98
{before}
T1 M6
{head}
S3000 M3
G54 G0 X0 Y0
G43 H1 Z5.
G81 Z-20. R2. F600
{inside}
X10. Y0
G80
{between}
G0 X30. Y0
G83 Z-30. Q5. R2. F500
G80
T2 M6
S800 M3
G0 X20. Y0
G43 H2 Z5.
G81 Z-20. R2. F100
G80
M30
"""


@pytest.mark.parametrize(
    ("at", "left"),
    [("before", [20]), ("head", [20]), ("inside", [14, 20]), ("between", [8, 20])],
)
def test_at_the_head_of_a_tool_a_comment_speaks_of_all_that_the_tool_does(tmp_path, at, left):
    texts = dict.fromkeys(("before", "head", "inside", "between"), "") | {at: "(ALLOW FLUID-STATE-NOT-STATED - SET BY HAND)"}
    timeline = timeline_of(Case("", 1, "", "", TWICE.format(**texts), {}), tmp_path)
    judgement = judge(timeline, [rule_book()[name] for name in RULES], TODAY, notes=())

    assert [line for rule, line in said(judgement) if rule == "fluid-state-not-stated"] == left


ALLOWED = "(ALLOW FLUID-STATE-NOT-STATED - SET BY HAND)"
LAST = 22  # the last line of TWICE


def lines_of(program: str, folder: Path) -> tuple[int, int] | None:
    timeline = timeline_of(Case("", 1, "", "", program, {}), folder)
    ((waiver,), unread) = waivers_of(timeline, ())
    assert unread == []
    return waiver.lines


@pytest.mark.parametrize(("at", "lines"), [("before", (2, 15)), ("head", (3, 15)), ("inside", (8, 13)), ("between", (12, 14))])
def test_a_comment_speaks_of_these_lines(tmp_path, at, lines):
    """All that T1 does (from its change to before the next), or one operation: from its first cut, or the comment before it, to the last block of it."""
    texts = dict.fromkeys(("before", "head", "inside", "between"), "") | {at: ALLOWED}

    assert lines_of(TWICE.format(**texts), tmp_path) == lines


@pytest.mark.parametrize(
    ("behind", "lines"), [("T2 M6\n", (16, LAST + 1)), ("G43 H2 Z5.\n", (16, LAST + 1)), ("F100\nG80\n", (LAST, LAST + 1))]
)
def test_a_comment_at_the_last_tool_speaks_to_the_end_and_one_behind_all_cuts_of_what_follows(tmp_path, behind, lines):
    texts = dict.fromkeys(("before", "head", "inside", "between"), "")

    assert lines_of(TWICE.format(**texts).replace(behind, behind + ALLOWED + "\n"), tmp_path) == lines


def test_without_a_tool_change_a_comment_at_the_head_speaks_of_the_whole_program(tmp_path):
    program = f"G21 G90 G94\n{ALLOWED}\nS900 M3\nG0 X0 Y0 Z5.\nG81 Z-9. R2. F90\nG80\nM30\n"

    assert lines_of(program, tmp_path) == (1, 7)


def test_a_comment_behind_a_tool_change_in_the_second_block_speaks_of_all_that_the_tool_does(tmp_path):
    program = f"G21 G90 G94\nT1 M6\n{ALLOWED}\nS900 M3\nG0 X0 Y0 Z5.\nG81 Z-9. R2. F90\nG80\nG83 Z-20. Q5. R2. F90\nG80\nM30\n"

    assert lines_of(program, tmp_path) == (2, 10)


def test_a_tool_that_only_moves_rapidly_has_a_head_as_well(tmp_path):
    program = f"G21 G90 G94\nT1 M6\n{ALLOWED}\nG0 X0 Y0\nG0 Z5.\nT2 M6\nS900 M3\nG0 X9.\nG81 Z-9. R2. F90\nG80\nM30\n"

    assert lines_of(program, tmp_path) == (2, 5)


def test_a_comment_between_two_operations_without_a_rapid_between_them_speaks_of_the_second(tmp_path):
    program = f"G21 G90 G94\nT1 M6\nS900 M3\nG0 X0 Y0 Z5.\nG83 Z-20. Q5. R2. F90\nG80\n{ALLOWED}\nG1 Z-1. F100\nX9.\nM30\n"

    assert lines_of(program, tmp_path) == (7, 9)


def test_what_is_said_of_a_waiver_is_a_verdict_of_its_own_rule(tmp_path):
    text = "(ALLOW FLUID-STATE-NOT-STATED FOR T1 BECAUSE IT IS BEING MENDED UNTIL 2026-01-31)"
    judgement = judged(tmp_path, text)
    (over,) = (verdict for verdict in judgement.verdicts if verdict.rule.id == "expired-waiver")
    says = "the waiver of fluid-state-not-stated ended on 2026-01-31 (IT IS BEING MENDED)"
    rule = rule_book()["expired-waiver"]

    assert over == Verdict(
        rule, HOLDS, over.where, says, rule.do.text, fingerprint=fingerprint("expired-waiver", HOLDS, (), says)
    )
    assert over.where.line == 2


def test_a_rule_about_waivers_that_is_off_says_nothing(tmp_path):
    program = PROGRAM.format(before="(ALLOW CUT-WITHOUT-SPINDLE)", inside="")
    timeline = timeline_of(Case("", 1, "", "", program, {}), tmp_path)
    rules = [replace(rule_book()[name], off="we know" if name == "unreadable-waiver" else "") for name in RULES]

    assert "unreadable-waiver" not in [rule for rule, _ in said(judge(timeline, rules, TODAY, notes=()))]


def test_a_comment_names_its_tool_in_its_waiver(tmp_path):
    program = PROGRAM.format(before="(ALLOW FLUID-STATE-NOT-STATED FOR T1 BECAUSE X UNTIL 2030-12-31)", inside="")
    timeline = timeline_of(Case("", 1, "", "", program, {}), tmp_path)
    ((waiver,), _) = waivers_of(timeline, ())

    assert waiver == Waiver("fluid-state-not-stated", "X", waiver.place, date(2030, 12, 31), "T1")


@pytest.mark.parametrize(
    ("cut", "left"), [("G81 Z-20. R2. F600", [20]), ("X10. Y0", [14, 20]), ("G83 Z-30. Q5. R2. F500", [8, 20])]
)
def test_a_comment_in_the_block_of_a_cut_belongs_to_that_cut(tmp_path, cut, left):
    texts = dict.fromkeys(("before", "head", "inside", "between"), "")
    program = TWICE.format(**texts).replace(cut, cut + " (ALLOW FLUID-STATE-NOT-STATED - SET BY HAND)", 1)
    timeline = timeline_of(Case("", 1, "", "", program, {}), tmp_path)
    judgement = judge(timeline, [rule_book()[name] for name in RULES], TODAY, notes=())

    assert [line for rule, line in said(judgement) if rule == "fluid-state-not-stated"] == left


def test_a_reason_may_speak_of_until(tmp_path):
    judgement = judged(tmp_path, inside="(ALLOW FLUID-STATE-NOT-STATED BECAUSE SET BY HAND UNTIL THE VALVE IS MENDED)")

    ((_, waiver),) = judgement.waived
    assert (waiver.reason, waiver.until) == ("SET BY HAND UNTIL THE VALVE IS MENDED", None)


def test_a_comment_may_speak_of_the_whole_program(tmp_path):
    assert said(judged(tmp_path, "(ALLOW FLUID-STATE-NOT-STATED IN PROGRAM BECAUSE THE OPERATOR SETS IT)")) == []


def test_a_waiver_ends(tmp_path):
    text = "(ALLOW FLUID-STATE-NOT-STATED FOR T1 BECAUSE IT IS BEING MENDED UNTIL 2026-01-31)"

    assert said(judged(tmp_path, text, today=date(2026, 1, 31))) == [("fluid-state-not-stated", 14)]
    over = said(judged(tmp_path, text, today=date(2026, 2, 1)))
    assert over == [("fluid-state-not-stated", 8), ("fluid-state-not-stated", 14), ("expired-waiver", 2)]


@pytest.mark.parametrize(
    ("text", "rule", "says"),
    [
        ("(ALLOW CUT-WITHOUT-SPINDLE BECAUSE IT IS A TEST)", "unused-waiver", "accepts nothing here"),
        ("(ALLOW CUT-WITHOUT-SPINDEL BECAUSE IT IS A TEST)", "waiver-of-unknown-rule", "cut-without-spindle"),
        ("(ALLOW CUT-WITHOUT-SPINDLE)", "unreadable-waiver", "gives no reason"),
        ("(ALLOW CUT-WITHOUT-SPINDLE - - UNTIL 2030-12-31)", "unreadable-waiver", "gives no reason"),
        ("(ALLOW CUT-WITHOUT-SPINDLE FOR TOOL 3 BECAUSE X)", "unreadable-waiver", "`FOR TOOL 3 BECAUSE X` of the waiver of"),
        ("(ALLOW CUT-WITHOUT-SPINDLE BECAUSE X UNTIL 31.12.2030)", "unreadable-waiver", "`UNTIL 31.12.2030`, which is no date"),
        ("(ALLOW CUT-WITHOUT-SPINDLE BECAUSE X UNTIL 5)", "unreadable-waiver", "`UNTIL 5`, which is no date"),
        ("(ALLOW CUT-WITHOUT-SPINDLE - X - UNTIL)", "unreadable-waiver", "which is no date"),
        ("(ALLOW DRY BECAUSE X)", "unreadable-waiver", "no rule id stands behind ALLOW"),
        ("(ALLOW CUT-WITHOUT-SPINDLE BECAUSE)", "unreadable-waiver", "gives no reason"),
        ("(ALLOW CUT-WITHOUT-SPINDLE BECAUSE - ...)", "unreadable-waiver", "gives no reason"),
        ("(ALLOW CUT-WITHOUT-SPINDLE BECAUSE X UNTIL 2026-02-31)", "unreadable-waiver", "which is no day"),
    ],
)
def test_a_waiver_that_accepts_nothing_is_told(tmp_path, text, rule, says):
    (found,) = (verdict for verdict in judged(tmp_path, text).verdicts if verdict.where.line == 2)

    assert found.rule.id == rule
    assert says in found.says


def test_a_comment_that_only_begins_alike_is_no_waiver(tmp_path):
    assert said(judged(tmp_path, "(ALLOW FOR 0.2 STOCK)")) == said(judged(tmp_path))


@pytest.mark.parametrize(
    ("waiver", "left"),
    [
        ({"rule": "fluid-state-not-stated", "reason": "x"}, []),
        ({"rule": "fluid-state-not-stated", "tool": "T1", "reason": "x"}, [14]),
        ({"rule": "fluid-state-not-stated", "tool": "T02", "reason": "x"}, [8]),
        ({"rule": "fluid-state-not-stated", "operation": "drill", "tool": "T2", "reason": "x"}, [8]),
        ({"rule": "fluid-state-not-stated", "operation": "1", "reason": "x"}, [14]),
        ({"rule": "fluid-state-not-stated", "program": "program*.nc", "reason": "x"}, []),
        ({"rule": "fluid-state-not-stated", "program": "other.nc", "reason": "x"}, [8, 14]),
        ({"rule": "fluid-state-not-stated", "reason": "x", "until": "2030-01-01"}, []),
    ],
)
def test_a_job_record_accepts_by_rule_and_place(tmp_path, waiver, left):
    judgement = judged(tmp_path, waivers=[waiver])

    assert [line for rule, line in said(judgement) if rule == "fluid-state-not-stated"] == left
    assert [rule for rule, _ in said(judgement) if rule == "unused-waiver"] == []


@pytest.mark.parametrize(
    ("word", "wanted", "found", "is_same"),
    [
        ("tool", "T12", "T12", True),
        ("tool", "T012", "T12", True),
        ("tool", "t 12", "T12", True),
        ("tool", "12", "T12", True),
        ("tool", "T0", "T0", True),
        ("tool", "T1", "T12", False),
        ("tool", "T120", "T12", False),
        ("hole", "x10. y20", "X10 Y20", True),
        ("hole", "X10.0 Y20.00", "X10 Y20", True),
        ("hole", "X10Y20", "X10 Y20", True),
        ("hole", "X10.05 Y20", "X10.5 Y20", False),
        ("hole", "X10.5 Y20", "X10 Y20", False),
        ("hole", "X010 Y20", "X10 Y20", False),
        ("operation kind", "peck_drill", "peck drill", True),
        ("operation kind", "Peck Drill", "peck drill", True),
        ("operation kind", "drill", "peck drill", False),
        ("operation", "3", "3", True),
        ("operation", "03", "3", True),
        ("operation", "3", "13", False),
        ("operation", "03 holes", "3 holes", False),
    ],
)
def test_a_waiver_names_things_as_people_write_them(word, wanted, found, is_same):
    rule = rule_book()["dry-drilling"]
    verdict = Verdict(rule, HOLDS, Place("a.nc", 5), "", "", subject=((word, found),))
    waiver = Waiver("dry-drilling", "x", Place("b.yaml", 1), **{word.split()[0]: wanted})

    assert waiver.accepts(verdict) is is_same
    assert not replace(waiver, rule="cut-without-spindle").accepts(verdict)


@pytest.mark.parametrize(
    ("lines", "is_spoken_of"), [(None, True), ((5, 5), True), ((1, 4), False), ((6, 9), False), ((4, 6), True)]
)
def test_a_waiver_of_a_comment_speaks_of_its_lines(lines, is_spoken_of):
    verdict = Verdict(rule_book()["dry-drilling"], HOLDS, Place("a.nc", 5), "", "")

    assert Waiver("dry-drilling", "x", Place("a.nc", 1), lines=lines).accepts(verdict) is is_spoken_of


def test_a_waiver_of_a_job_keeps_all_that_is_written_of_it(tmp_path):
    written = {
        "rule": "fluid-state-not-stated", "reason": "the pump is away", "until": "2030-01-01", "tool": "T1", "operation": "drill",
        "hole": "X0 Y0", "by": "planning", "program": "program*.nc",
    }  # fmt: skip
    timeline = timeline_of(Case("", 1, "", "", PROGRAM.format(before="", inside=""), {"job.waivers": [written]}), tmp_path)
    ((waiver,), unread) = waivers_of(timeline, ())

    assert unread == []
    assert waiver == Waiver(
        "fluid-state-not-stated",
        "the pump is away",
        waiver.place,
        date(2030, 1, 1),
        "T1",
        "drill",
        "X0 Y0",
        "planning",
        None,
        True,
    )


@pytest.mark.parametrize(("pattern", "told"), [("program*.nc", ["unused-waiver"]), ("other.nc", []), ("", [])])
def test_in_a_job_of_many_programs_only_a_waiver_of_this_one_must_accept_something_here(tmp_path, pattern, told):
    waiver = {"rule": "cut-without-spindle", "reason": "x"} | ({"program": pattern} if pattern else {})
    judgement = judged(tmp_path, waivers=[waiver], programs=["program.nc", "other.nc", "third.nc"])

    assert [rule for rule, _ in said(judgement) if rule == "unused-waiver"] == told


@pytest.mark.parametrize(
    ("end", "told"), [("M30", ["unused-waiver", "waiver-of-unknown-rule"]), ("M99", ["waiver-of-unknown-rule"])]
)
def test_of_a_subprogram_by_itself_no_waiver_is_called_unused(tmp_path, end, told):
    waivers = "(ALLOW FLUID-ON-AT-PROGRAM-END BECAUSE X)\n(ALLOW CUT-WITHOUT-SPINDEL BECAUSE X)"
    program = f"O1234\n{waivers}\nG91 G1 Z-1. F100\nG90\n{end}\n"
    timeline = timeline_of(Case("", 1, "", "", program, {}), tmp_path)
    judgement = judge(timeline, [rule_book()[name] for name in RULES], TODAY, notes=())

    assert timeline.execution.is_subprogram is (end == "M99")
    assert sorted(rule for rule, _ in said(judgement) if "waiver" in rule) == told


def test_an_unused_waiver_of_a_job_is_told_at_its_line(tmp_path):
    judgement = judged(tmp_path, waivers=[{"rule": "cut-without-spindle", "reason": "x"}])

    (unused,) = (verdict for verdict in judgement.verdicts if verdict.rule.id == "unused-waiver")
    assert unused.where.file.endswith("case.job.yaml")
    assert unused.where.line > 1


NOTED = """\
G21 G17 G90 G94 G98
{waiver}
T1 M6
S3000 M3
G54 G0 X0 Y0
G43 H1 Z5.
G83 Z-20. R2. Q5. F600
G80
T2 M6
S800 M3
G0 X20. Y0
G43 H7 Z5.
G83 Z-20. R2. Q5. F100
X40.
G83 X60. Z-25. R2. Q5. F100
G80
M30
"""


def noted(folder: Path, rule: str, waiver: str = "", **job: object) -> Judgement:
    changes = {f"job.{key}": value for key, value in job.items()}
    timeline = timeline_of(Case("", 1, "", "", NOTED.format(waiver=waiver), changes), folder)
    notes = [note for note in timeline.execution.notes if note.id == rule]
    return judge(timeline, [rule_book()[name] for name in (rule, "unused-waiver")], TODAY, notes=notes)


@pytest.mark.parametrize("wanted", ["T2", "T02", "2"])
def test_what_the_reader_notes_is_waived_by_the_tool_in_the_spindle(tmp_path, wanted):
    judgement = noted(tmp_path, "other-length-offset", waivers=[{"rule": "other-length-offset", "tool": wanted, "reason": "x"}])

    assert judgement.verdicts == ()
    assert [verdict.about("tool") for verdict, _ in judgement.waived] == ["T2"]


def test_a_comment_waives_what_the_reader_notes_by_tool(tmp_path):
    assert noted(tmp_path, "other-length-offset", "(ALLOW OTHER-LENGTH-OFFSET FOR T2 BECAUSE SHARED)").verdicts == ()


def test_the_waiver_of_another_tool_accepts_nothing_of_it(tmp_path):
    judgement = noted(tmp_path, "other-length-offset", "(ALLOW OTHER-LENGTH-OFFSET FOR T1 BECAUSE SHARED)")

    assert said(judgement) == [("other-length-offset", 12), ("unused-waiver", 2)]


def test_a_note_of_two_tools_is_one_finding_and_waived_for_each_by_itself(tmp_path):
    (both,) = noted(tmp_path, "assumed-clearance").findings
    (left,) = noted(tmp_path, "assumed-clearance", "(ALLOW ASSUMED-CLEARANCE FOR T1 BECAUSE KNOWN)").findings

    assert (both.where.line, [place.line for place in both.also], both.subject) == (7, [13], ())
    assert both.says.endswith("(3 times)")
    assert (left.where.line, left.subject) == (13, (("tool", "T2"),))
    assert left.says.endswith("(2 times)")
