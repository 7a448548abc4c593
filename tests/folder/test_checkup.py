"""Records are checked together with the rules that their jobs name."""

from pathlib import Path

import pytest

from coolcheck.folder.checkup import checkup

RULE = """group: housekeeping
rules:
  our-own:
    scope: program
    level: note
    when: cuts
    says: "it cuts"
    asks: "does it cut?"
    why: It is ours.
    do: Look.
    mended at: program
    basis: common practice, no source
"""


def job(folder: Path, rule: str, more: str = "") -> Path:
    (folder / "a.job.yaml").write_text(f"job: a\n{more}waivers:\n  - {{rule: {rule}, reason: we know it}}\n")
    return folder


def shop_rules(folder: Path, text: str = RULE) -> Path:
    (folder / "ours").mkdir()
    (folder / "ours/rules.yaml").write_text(text)
    return folder / "ours"


def test_a_waiver_of_a_rule_that_is_not_there_is_a_mistake_with_its_place(tmp_path):
    problem = checkup(job(tmp_path, "no-such-rule")).problems[0]

    assert problem.says == "there is no rule `no-such-rule`"
    assert (problem.place.line, problem.place.column) == (3, 12)
    assert "`coolcheck explain --all` lists the rules" in problem.do


def test_a_slip_in_the_id_of_a_rule_is_told_the_nearest(tmp_path):
    assert "`dry-drilling`" in checkup(job(tmp_path, "dry-driling")).problems[0].do


@pytest.mark.parametrize("rule", ["dry-drilling", "fluid-state-not-stated"])
def test_a_waiver_of_a_shipped_rule_is_right(tmp_path, rule):
    assert checkup(job(tmp_path, rule)).problems == ()


def test_a_waiver_of_a_rule_of_the_shop_is_right_where_its_folder_is_named(tmp_path):
    ours = shop_rules(tmp_path)

    assert checkup(job(tmp_path, "our-own", "rules: [ours]\n")).problems == ()
    assert [problem.says for problem in checkup(job(tmp_path, "our-own")).problems] == ["there is no rule `our-own`"]
    assert checkup(job(tmp_path, "our-own"), [ours]).problems == ()


def test_a_mistake_in_the_rules_of_a_job_is_told(tmp_path):
    shop_rules(tmp_path, RULE.replace("    do: Look.\n", ""))

    assert [problem.says for problem in checkup(job(tmp_path, "our-own", "rules: [ours]\n")).problems] == [
        "the rule `our-own` lacks `do`"
    ]
