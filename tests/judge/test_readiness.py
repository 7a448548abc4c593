"""Ready, not ready, cannot tell: and what would change it, hardest first."""

from coolcheck.judge.finding import Finding
from coolcheck.judge.readiness import CANNOT_TELL, NOT_READY, READY, readiness
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
    assert readiness([], RULES, has_cuts=False).verdict == CANNOT_TELL


def test_what_holds_makes_it_not_ready_and_the_hardest_stands_first():
    found = readiness([finding("program"), finding("machine", "warning"), finding("holder"), finding("tool")], RULES)

    assert found.verdict == NOT_READY
    assert [change.at for change in found.changes] == ["machine", "tool", "holder", "program"]


def test_one_remedy_for_two_findings_is_told_once():
    found = readiness([finding("program", do="mend it"), finding("program", do="mend it", line=9)], RULES)

    assert [change.says for change in found.changes] == ["mend it"]


def test_what_is_undecided_cannot_be_told_and_the_list_is_what_to_answer():
    found = readiness([finding("program", verdict="undecided")], RULES)

    assert found.verdict == CANNOT_TELL
    assert [change.says for change in found.changes] == ["is the holder of T1 sealed?"]


def test_a_question_does_not_lengthen_the_list_of_a_program_that_is_not_ready():
    found = readiness([finding("program"), finding("tool", verdict="undecided")], RULES)

    assert [change.rule for change in found.changes] == ["program"]
