"""Rule pages and lists come from the rule files and leave nothing out."""

from datetime import date

import pytest

from coolcheck.judge.explain import deciding_fields, fact_list, rule_list, rule_named, rule_page
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import MENDS
from coolcheck.judge.rules import load_rules
from coolcheck.rewrite import edit as rewrites

RULES = load_rules()
WORDS = process_words(date(2026, 1, 1))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_page_says_all_there_is_to_say(rule):
    page = rule_page(rule, WORDS)
    flat = " ".join(page.split())

    assert page.startswith(f"# {rule.id}\n")
    assert all(" ".join(text.split()) in flat for text in (rule.why, rule.do.page(), rule.basis))
    assert rule.when is None or " ".join(rule.when.text.split()) in flat
    assert all(limit.says in flat for limit in rule.limits.values())
    assert "{" not in page.partition("## How to change it")[0] and "None" not in page
    prose = (line for line in page.split("\n") if not line.startswith("    (ALLOW "))  # a comment of a program is one line
    assert all(len(line) <= 80 or " " not in line.strip() for line in prose)


def test_a_page_names_the_record_fields_that_decide_it():
    rule = rule_named("closed-pull-stud", RULES)

    assert "holder: pull stud" in deciding_fields(rule, WORDS)


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule.when], ids=lambda rule: rule.id)
def test_a_page_tells_every_fact_of_its_condition(rule):
    page = rule_page(rule, WORDS)

    assert all(f"- {name}" in page for _, name in rule.condition(WORDS).facts)


def test_a_page_ends_with_how_to_change_and_how_to_waive_it():
    page = rule_page(rule_named("deep-hole-with-flood-alone", RULES), WORDS)

    assert "    change:\n      deep-hole-with-flood-alone: {level: note}\n" in page
    assert "`limits: {deep: " in page
    assert "    (ALLOW DEEP-HOLE-WITH-FLOOD-ALONE FOR T12 BECAUSE … UNTIL 2030-12-31)\n" in page


def test_the_list_has_every_rule_under_its_group():
    text = rule_list(RULES)

    assert all(f"  {rule.id}" in text for rule in RULES)
    assert "DRILLING" in text


def test_the_facts_are_listed_with_unit_meaning_and_origin():
    text = " ".join(fact_list(WORDS, "operation").split())

    assert "depth_over_diameter (number): depth over diameter; worked out from program and records" in text
    assert "some / every / no: step, chain, passage" in text


def test_the_whole_list_of_facts_has_every_fact():
    text = fact_list(WORDS)

    assert all(f"  {name} (" in text for _, name in WORDS.facts)


def test_every_rewrite_that_a_rule_names_is_explained():
    assert {rule.mends for rule in RULES if rule.mends} <= set(MENDS)
    assert set(MENDS) == set(rewrites.MENDS)


def test_an_unknown_rule_is_answered_with_the_nearest():
    assert "`closed-pull-stud`" in str(rule_named("closed-pul-stud", RULES))
