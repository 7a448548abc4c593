"""Ready, not ready, cannot tell: and what would change it, hardest first."""

from dataclasses import replace

from coolcheck.judge.finding import Finding
from coolcheck.judge.readiness import ALONE, CANNOT_TELL, NOT_READY, READY, Change, Readiness, readiness
from coolcheck.judge.rule import MENDED_AT, Rule
from coolcheck.judge.template import Template
from coolcheck.known import Missing
from coolcheck.place import Place

RULES = [Rule(at, "ours", "operation", "error", "", Template(""), "", at, Place("rules/ours.yaml")) for at in MENDED_AT]
SEALED = Missing("holder of T1", "sealed", "is the holder of T1 sealed?")


def finding(rule: str, level: str = "error", verdict: str = "holds", do: str = "", line: int = 1) -> Finding:
    missing = () if verdict == "holds" else (SEALED,)
    return Finding(rule, level, verdict, Place("a.nc", line), "", "", do or f"mend {rule}", "", missing=missing)


def test_nothing_found_is_ready():
    assert readiness([], RULES).verdict == READY


def test_notes_keep_nothing_from_running():
    assert readiness([finding("program", "note")], RULES).verdict == READY


def test_no_cut_at_all_cannot_be_told():
    assert readiness([], RULES, has_cuts=False) == Readiness(CANNOT_TELL)


def test_a_subprogram_without_its_caller_cannot_be_told_and_the_list_says_what_to_do():
    alone = finding(ALONE, "note", do="review the program that calls it", line=2)
    found = readiness([finding("program", "note"), alone], RULES)

    assert found == Readiness(CANNOT_TELL, (Change("review the program that calls it", "program", Place("a.nc", 2), ALONE),))
    assert readiness([alone, finding("tool")], RULES).verdict == NOT_READY


def test_what_to_mend_carries_its_numbers_before_they_were_rounded():
    (change,) = readiness([replace(finding("tool"), measures=(("34.6 mm", 34.567),))], RULES).changes

    assert change.measures == (("34.6 mm", 34.567),)


def test_what_holds_makes_it_not_ready_and_the_hardest_stands_first():
    found = readiness([finding("program"), finding("machine", "warning"), finding("holder"), finding("tool")], RULES)

    assert found.verdict == NOT_READY
    assert [change.at for change in found.changes] == ["machine", "tool", "holder", "program"]


def test_one_remedy_for_two_findings_is_told_once():
    found = readiness([finding("program", do="mend it"), finding("program", do="mend it", line=9)], RULES)

    assert found.changes == (Change("mend it", "program", Place("a.nc", 1), "program", more=1),)


def test_two_remedies_of_one_kind_are_both_told_and_the_more_harmful_first():
    program = next(rule for rule in RULES if rule.id == "program")
    rules = [*RULES, replace(program, id="other")]
    found = readiness(
        [finding("program", "warning", do="mend one"), finding("other", do="mend other"), finding("program")], rules
    )
    unheard = readiness([finding("a rule of no file", line=3)], RULES)

    assert [change.says for change in found.changes] == ["mend other", "mend one", "mend program"]
    assert unheard.changes == (Change("mend a rule of no file", "program", Place("a.nc", 3), "a rule of no file"),)


def test_what_is_undecided_cannot_be_told_and_the_list_is_what_to_answer():
    found = readiness([finding("program", verdict="undecided")], RULES)

    assert found.verdict == CANNOT_TELL
    assert found.changes == (Change("is the holder of T1 sealed?", "record", Place("a.nc", 1), "program", (SEALED,)),)


def test_a_question_does_not_lengthen_the_list_of_a_program_that_is_not_ready():
    found = readiness([finding("program"), finding("tool", verdict="undecided")], RULES)

    assert [change.rule for change in found.changes] == ["program"]
