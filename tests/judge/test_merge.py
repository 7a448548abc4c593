"""One cause gives one finding."""

from dataclasses import replace

import pytest

from coolcheck.folder.one import Settings, review_file
from coolcheck.judge.evaluate import judge
from coolcheck.judge.finding import Finding
from coolcheck.judge.merge import findings_of, question
from coolcheck.judge.rule import Rule
from coolcheck.judge.template import Template
from coolcheck.judge.verdict import HOLDS, UNDECIDED, Verdict, bare, fingerprint
from coolcheck.known import Evidence, Missing
from coolcheck.place import Place
from tests.judge.cases import TODAY, Case, rule_book, timeline_of


def rule(id_: str, level: str = "warning", together: str = "tool", mended_at: str = "program") -> Rule:
    return Rule(
        id_, "ours", "operation", level, "why", Template("do"), "basis", mended_at, Place("rules/ours.yaml"), together=together
    )


def held(of: Rule, line: int, tool: str = "T1", says: str = "") -> Verdict:
    return Verdict(
        of, HOLDS, Place("a.nc", line), says or f"{of.id} at {line}", "do", subject=(("tool", tool), ("operation", str(line)))
    )


def open_(of: Rule, line: int, *missing: Missing, tool: str = "T1") -> Verdict:
    return Verdict(of, UNDECIDED, Place("a.nc", line), f"{of.id}?", "do", missing=missing, subject=(("tool", tool),))


def sealed(tool: str) -> Missing:
    return Missing(f"holder of {tool}", "sealed", f"is the holder of {tool} sealed?", Place("holders/a.yaml"))


MACHINE = Missing("machine", "", "which machine runs this program?")
DRILL = rule("deep")


def test_forty_holes_of_one_tool_are_one_finding_with_forty_places():
    (finding,) = findings_of([held(DRILL, line) for line in range(1, 41)])

    assert finding.where.line == 1
    assert [place.line for place in finding.also] == list(range(2, 41))
    assert finding.subject == (("tool", "T1"),)


def test_of_those_that_wait_for_one_answer_the_one_stands_whose_pattern_the_program_shows():
    seen = replace(open_(rule("roughs-dry", "error"), 9, sealed("T4"), tool="T4"), is_met=True)
    others = [open_(rule(f"other-{at}", "error", mended_at="machine"), at, sealed("T4"), tool="T4") for at in range(3)]
    milder = replace(open_(rule("milder"), 1, sealed("T4"), tool="T4"), is_met=True)
    (finding,) = findings_of([*others, milder, seen])

    assert (finding.rule, finding.where.line, finding.level) == ("roughs-dry", 9, "error")
    assert set(finding.rules) == {"roughs-dry", "other-0", "other-1", "other-2", "milder"}


def test_a_question_that_no_record_answers_says_so():
    (finding,) = findings_of([open_(DRILL, 9, Missing("program", "", "does fluid from outside reach the edge of T1?"))])

    assert finding.do == "Look yourself, no record answers it; then mend the program, or waive this."


FACE = """%
O5001 (SHOULDER C45)
(T4 FACE MILL 63 INSERTS)
G21 G17 G40 G49 G80 G90 G94
T4 M6
G54 G0 X-45. Y25. S1000 M3
G43 H4 Z50.
(ROUGH DRY)
Z2.
G1 Z-2. F800
X150. F1000
G0 Z50.
(FINISH WET)
S1300 M8
X-45.
G1 Z-2.2 F800
X150. F600
G0 Z50.
M9
M30
"""


def test_a_dry_roughing_and_a_wet_finish_are_named_before_any_record_says_what_the_edge_is(tmp_path):
    program = tmp_path / "O5001.nc"
    program.write_text(FACE)
    findings = review_file(program, Settings(today=TODAY)).findings

    about_tool = next(finding for finding in findings if [item.record for item in finding.missing] == ["tool T4"])
    assert about_tool.says == "does T4 rough dry and then finish wet with the same edge?"
    assert not any("made for this depth" in finding.says or "gun drill" in finding.says for finding in findings)
    assert not {"deeper-than-the-drill-is-rated", "gun-drill-at-full-speed-unsupported"} & {
        name for finding in findings for name in finding.rules
    }


def test_two_tools_are_two_findings():
    assert len(findings_of([held(DRILL, 1, "T1"), held(DRILL, 2, "T2")])) == 2


def test_a_rule_may_tell_of_all_tools_at_once():
    dry = rule("union", together="program")
    (finding,) = findings_of([held(dry, 1, "T12", "{tools} run dry"), held(dry, 2, "T2", "{tools} run dry")])

    assert finding.says == "T2, T12 run dry"


def test_what_is_about_nothing_in_particular_is_one_finding_a_sentence():
    bare = [replace(held(DRILL, line), subject=(), says=says) for line, says in ((1, "one"), (2, "other"), (3, "one"))]
    many = [replace(held(DRILL, line), subject=(), says=says, count=2) for line, says in ((1, "one"), (5, "other"))]

    assert [(finding.says, len(finding.also)) for finding in findings_of(bare)] == [("one", 1), ("other", 0)]
    assert len(findings_of(many)) == 1  # of like objects, which only have no subject in common


def test_what_was_asked_once_is_not_asked_again_by_a_later_finding():
    fields = {name: Missing(f"{name} Y", "field", f"what is {name}?") for name in ("machine", "nozzle", "pump", "tank")}
    machine, nozzle, pump, tank = fields.values()
    verdicts = [open_(rule("a"), line, machine) for line in (1, 2)] + [open_(rule("a"), 3, machine, tank)]
    verdicts += [open_(rule("b"), line, nozzle) for line in (4, 5)] + [open_(rule("c"), 6, pump, tank)]

    assert [finding.missing for finding in findings_of(verdicts)] == [(machine, tank), (nozzle,), (pump,)]


def test_an_unknown_holder_of_forty_holes_is_one_question():
    (finding,) = findings_of([open_(DRILL, line, sealed("T1")) for line in range(1, 41)])

    assert finding.missing == (sealed("T1"),)
    assert len(finding.also) == 39


def test_one_field_that_many_rules_and_tools_wait_for_is_one_question():
    tap = rule("tap", "error")
    (finding,) = findings_of([open_(DRILL, 1, sealed("T1")), open_(tap, 5, sealed("T2"), tool="T2"), open_(tap, 6, sealed("T1"))])

    assert (finding.rule, finding.level, finding.rules) == ("tap", "error", ("tap", "deep"))
    assert set(finding.missing) == {sealed("T1"), sealed("T2")}
    assert finding.do == "Write `sealed` in holders/a.yaml; 1 more are asked below."


def test_every_missing_field_stands_in_some_finding():
    other = Missing("material X", "hardens", "does it harden?")
    found = findings_of([open_(DRILL, 1, MACHINE), open_(DRILL, 2, MACHINE, sealed("T1")), open_(rule("tap"), 3, MACHINE, other)])

    assert len(found) == 1
    assert found[0].missing == (MACHINE, sealed("T1"), other)


def test_every_undecided_rule_stands_in_some_finding():
    other = Missing("material X", "hardens", "does it harden?")
    found = findings_of([open_(DRILL, 1, MACHINE), open_(rule("tap"), 2, other), open_(rule("mill"), 3, MACHINE, other)])

    assert {name for finding in found for name in finding.rules} == {"deep", "tap", "mill"}


def test_a_record_that_is_not_there_is_asked_for_once_and_not_field_by_field():
    code = Missing("machine", "codes", "what does M57 do on this machine?")
    (finding,) = findings_of([open_(DRILL, 1, MACHINE), open_(rule("tap", "error"), 2, code)])

    assert (finding.missing, finding.rules) == ((MACHINE,), ("tap", "deep"))


def test_a_question_is_one_whichever_record_and_whichever_entry_of_it_is_asked():
    assert question(Missing("material 20 MnCr 5", "hardens", "")) == ("material", "hardens")
    assert question(Missing("machine", "supplies.2.filter", "")) == ("machine", "supplies.*.filter")
    assert question(Missing("job", "tools.12", "")) == ("job", "tools.*")
    assert question(Missing("tool T2", "step 2 of 3", "")) == ("tool", "step 2 of 3")


def test_a_question_is_told_with_all_that_the_most_harmful_rule_behind_it_says():
    evidence = (Evidence("LU of T1", 85.0, "mm", Place("tools/a.yaml", 3), "record"),)
    told = replace(
        open_(replace(DRILL, why="it is deep", mends="single_pass"), 4, sealed("T1")),
        says="may T1 drill it?",
        pattern="may {tools} drill it?",
        evidence=evidence,
        fingerprint="abc",
        subject=(("tool", "T1"), ("hole", "3")),
    )
    less = replace(open_(rule("note", "note"), 9, sealed("T1")), subject=(("tool", "T1"), ("hole", "4")))

    assert findings_of([less, told]) == (
        Finding(
            rule="deep", level="warning", verdict=UNDECIDED, where=Place("a.nc", 4), says="may T1 drill it?", why="it is deep",
            do="Write `sealed` in holders/a.yaml.", basis="basis", evidence=evidence, missing=(sealed("T1"),), also=(Place("a.nc", 9),),
            subject=(("tool", "T1"),), mends="single_pass", group="ours", fingerprint="abc", rules=("deep", "note"),
        ),
    )  # fmt: skip


def test_what_holds_is_told_with_all_that_its_rule_says():
    evidence = (Evidence("depth", 60.0, "mm", Place("a.nc", 4), "program"),)
    of = replace(DRILL, why="it is deep", mends="single_pass")
    first = replace(
        held(of, 4), pattern="{tools} drill deep", evidence=evidence, fingerprint="abc", subject=(("tool", "T1"), ("hole", "3"))
    )

    assert findings_of([first, held(of, 9)]) == (
        Finding(
            rule="deep", level="warning", verdict=HOLDS, where=Place("a.nc", 4), says="T1 drill deep", why="it is deep", do="Do.",
            basis="basis", evidence=evidence, also=(Place("a.nc", 9),), subject=(("tool", "T1"),), mends="single_pass", group="ours",
            fingerprint="abc",
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("missing", "do"),
    [
        ((sealed("T1"),), "Write `sealed` in holders/a.yaml."),
        ((sealed("T1"), sealed("T2")), "Write `sealed` in holders/a.yaml; 1 more are asked below."),
        ((MACHINE,), "Which machine runs this program? name the record in the job file."),
        ((Missing("tool T1", "LU", "how long may T1 drill?"),), "How long may T1 drill?"),
        ((Missing("tool T1", "LU", "how long?"), Missing("tool T2", "LU", "how long?")), "How long?; 1 more are asked below."),
        (
            (Missing("physics", "", "no formula reaches there"),),
            "Decide it by the tool maker's instructions: what is published does not reach this case.",
        ),
    ],
)
def test_a_question_says_where_its_answer_belongs(missing, do):
    (finding,) = findings_of([open_(DRILL, 1, *missing)])

    assert finding.do == do


def test_two_questions_about_the_program_stay_two():
    one, other = Missing("program", "", "how deep is this hole?"), Missing("program", "", "does the spindle turn?")
    found = findings_of([open_(DRILL, 1, one), open_(rule("tap"), 2, other)])

    assert {item for finding in found for item in finding.missing} == {one, other}


def test_what_no_formula_reaches_is_no_more_than_a_note():
    (finding,) = findings_of([open_(rule("torque", "error"), 1, Missing("physics", "", "no tapping force was found in print"))])

    assert finding.level == "note"
    assert "instructions" in finding.do


def test_the_most_harmful_stands_first():
    found = findings_of(
        [
            held(rule("a", "note"), 1),
            open_(rule("b", "error"), 2, MACHINE),
            held(rule("c", "error"), 9),
            held(rule("d", "error"), 3),
        ]
    )

    assert [finding.rule for finding in found] == ["d", "c", "b", "a"]


def test_a_fingerprint_knows_rule_tool_and_block_and_no_line_or_number():
    subject = (("tool", "T1"), ("operation", "3"), ("operation kind", "drill"))
    mark = fingerprint("deep", HOLDS, subject, "N10 G81 Z-20. (HOLE)")

    assert mark == fingerprint("deep", HOLDS, (("tool", "T1"), ("operation", "9"), ("operation kind", "drill")), "n99G81 Z-20.")
    assert mark != fingerprint("deep", HOLDS, subject, "N10 G81 Z-21.")
    assert mark != fingerprint("deep", UNDECIDED, subject, "N10 G81 Z-20.")
    assert mark != fingerprint("deep", HOLDS, (("tool", "T2"),), "N10 G81 Z-20.")


@pytest.mark.parametrize("word", ["tool", "operation kind"])
def test_a_fingerprint_tells_tools_and_kinds_of_operation_apart(word):
    subject = {"tool": "T1", "operation kind": "drill"}
    one, other, none = (
        fingerprint("deep", HOLDS, tuple(named.items()), "G1") for named in (subject, subject | {word: "X"}, subject | {word: ""})
    )

    assert len({one, other, none}) == 3
    assert none == fingerprint("deep", HOLDS, tuple(item for item in subject.items() if item[0] != word), "G1")
    assert {len(mark) for mark in (one, other, none)} == {16}


def test_a_bare_block_keeps_what_moves():
    assert bare("/N5 G1 X1. ; to here") == "/G1X1."


def test_a_verdict_alone_names_its_tool_and_a_finding_all_of_them(tmp_path):
    program = (
        "G21 G90\nT1 M6\nS900 M3\nG0 X0 Y0 Z5.\nG81 Z-9. R2. F90\nG80\nT2 M6\nS900 M3\nG0 X0 Z5.\nG81 Z-9. R2. F90\nG80\nM30\n"
    )
    timeline = timeline_of(Case("", 1, "", "", program, {}), tmp_path)
    judgement = judge(timeline, [rule_book()["fluid-state-not-stated"]], TODAY, notes=())

    assert [verdict.says.rpartition(" ")[2] for verdict in judgement.verdicts] == ["T1", "T2"]
    assert judgement.findings[0].says.endswith(" at T1, T2")
