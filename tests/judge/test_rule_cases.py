"""Every rule against its cases: it holds, it does not hold, it cannot be decided."""

from pathlib import Path

import pytest

from tests.judge.cases import Case, asked, case_files, rule_book, timeline_of, truths

CASES = [case for file in case_files() for case in file.cases]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case, tmp_path: Path):
    found = truths(rule_book()[case.rule], timeline_of(case, tmp_path))

    holds = sorted({line for truth, line in found if truth.is_yes})
    missing = sorted({asked(item) for truth, _ in found if not truth.is_known for item in truth.missing})
    assert found, "the program has no object of the rule's scope"
    if case.verdict == "holds":
        assert (holds, missing) == (case.expected, [])
    elif case.verdict == "does not hold":
        assert (holds, missing) == ([], [])
    else:
        assert (holds, missing) == ([], case.expected)
        assert missing


def test_every_rule_with_a_condition_has_cases_of_all_three_verdicts():
    files = {file.rule: file for file in case_files()}
    rules = {rule.id for rule in rule_book().values() if rule.when}

    assert set(files) == rules
    for file in files.values():
        verdicts = {case.verdict for case in file.cases}
        assert {"holds", "does not hold"} <= verdicts, file.rule
        assert ("cannot be decided" in verdicts) != bool(file.never_undecided), file.rule
        assert not file.never_undecided or len(file.never_undecided) > 20, f"{file.rule}: say why it is never undecided"
