"""Rule pages and lists come from the rule files and leave nothing out."""

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest

from coolcheck.judge.explain import deciding_fields, fact_list, rule_list, rule_named, rule_page
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import MENDS
from coolcheck.judge.rulefile import RuleFile
from coolcheck.judge.rules import load_rules
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.notes import NOTES, OF_THE_PROGRAM
from coolcheck.nc.program import Program
from coolcheck.rewrite import edit as rewrites
from tests.judge.conftest import small_words

RULES = load_rules()
WORDS = process_words(date(2026, 1, 1))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_page_says_what_the_rule_finds(rule):
    what = rule_page(rule, WORDS).partition("## What it finds\n\n")[2].partition("\n\n##")[0]

    assert len(what) > 15 and what.endswith(".")


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


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_page_breaks_lines_between_words_and_hangs_what_goes_on_in_a_list(rule):
    decides = rule_page(rule, WORDS).partition("## What decides it\n\n")[2].partition("\n\n")[0]
    when = rule_page(rule, WORDS).partition("## When it holds\n\n")[2].partition("\n\n")[0]

    assert all(line.startswith(("- ", "  ")) for line in decides.splitlines())
    assert all(line.startswith("    ") for line in when.splitlines())
    assert not re.search(r"\w-$", decides + "\n" + when, re.MULTILINE)
    for before, after in pairwise(decides.splitlines()):
        assert after.startswith("- ") or len(before) + 1 + len(after.split()[0]) > 80
    for before, after in pairwise(when.splitlines()):
        assert len(before) + 1 + len(after.split()[0]) > 80


def test_a_fact_goes_on_further_in_than_it_begins():
    lines = [line for line in fact_list(WORDS).splitlines() if line.startswith("  ")]

    assert all(re.match(r"  \S.*[(:]|      \S", line) for line in lines)
    assert not any(re.search(r"\w-$", line) for line in lines)


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


BOOK = """\
group: drilling
rules:
  too-deep:
    scope: operation
    level: warning
    when: depth > deep * diameter and not sealed and depth > far
    says: "{name} goes {depth} deep, and its holder is not sealed against the fluid that comes through"
    asks: "is the holder of {name} sealed?"
    why: A deep hole needs fluid at its tip, and a holder that leaks along the shank leaves too little of it there.
    do: Seal the holder, or drill {name} with pecks.
    basis: common practice, no source
    mended at: holder
    mends: single_pass
    limits: {deep: {value: 5, says: depth over diameter from which fluid from outside does not reach the tip of the drill}, far: {value: 40 mm, says: a depth}}
  also-deep:
    scope: operation
    level: note
    when: hardens
    says: it hardens
    asks: does it harden?
    why: Because.
    do: Look.
    basis: none
    mended at: program
"""
PAGE = """\
# too-deep

drilling, warning

## What it finds

‹name› goes ‹depth› deep, and its holder is not sealed against the fluid that
comes through.

## Why it matters

A deep hole needs fluid at its tip, and a holder that leaks along the shank
leaves too little of it there.

## What to do

Seal the holder, or drill ‹name› with pecks.

`coolcheck rewrite` turns the pecks into one stroke, where that can be proved.

## When it holds

    for each operation: depth > deep * diameter and not sealed and depth > far

- deep = 5: depth over diameter from which fluid from outside does not reach the
tip of the drill
- far = 40 mm: a depth

## What decides it

- depth [mm]: the depth (from a record)
- diameter [mm]: the diameter (from a record)
- sealed: the sealed (from a record)
- record fields: record: depth; record: diameter; record: sealed

When one of these is unknown and the others do not settle it, the review asks:

Is the holder of ‹name› sealed?

As long as it is undecided it counts as a warning and stands against running
unattended. Where no field of a record is missing, and a formula, a table or the
cutting data of the tool does not reach this case, it counts as a note, which
does not.

## Basis

common practice, no source

## How to change it

In a YAML file of a folder of your own, named by `rules:` in the job or by
`--rules`:

    change:
      too-deep: {level: note}

It may also say `limits: {deep: 5, far: 40 mm}`, with your own values, and `off:
yes` with a `reason:`.

## How to accept one finding

In a comment of the program, or under `waivers:` of the job:

    (ALLOW TOO-DEEP FOR T12 BECAUSE … UNTIL 2030-12-31)
    (ALLOW TOO-DEEP - … - UNTIL 2030-12-31)

With FOR it speaks of that tool, with IN PROGRAM of the whole program. With
neither it speaks, before the first cut of a tool, of all that the tool does
until the next tool change; between two cuts of one tool, or inside an
operation, of that one operation. UNTIL may be left out, the reason may not. A
waived finding is listed, counts for nothing, and does not stand against running
unattended.
"""
FACTS = """\
OPERATION: what one tool does in one go
  name (text): the name; from a record
  kind (one of drill, peck_drill, tap, rough, finish): the kind; from a record
  depth (mm): the depth; from a record
  diameter (mm): the diameter; from a record
  ratio (number): the ratio; from a record
  pressure (bar): the pressure; from a record
  hardens (yes or no): the hardens; from a record
  sealed (yes or no): the sealed; from a record
  allowed (some of flood, mist): the allowed; from a record
  some / every / no: passage

PASSAGE: one engagement
  wet (yes or no): the wet; from a record
  kind (one of drill, peck_drill, tap, rough, finish): the kind; from a record
  depth (mm): the depth; from a record
  line (number): the line; from a record

FIELDS OF RECORDS, in every scope that has the record
  tool.DC (mm): the tool.DC; from a record
"""


def our_rules():
    return list(RuleFile("ours.yaml", BOOK.encode(), ships=True).rules())


def test_a_page_is_laid_out_for_reading():
    deep, plain = our_rules()

    assert rule_page(deep, small_words()) == PAGE
    start, end = (PAGE.index(part) for part in ("## How to accept", "With FOR"))
    assert rule_page(plain, small_words()).endswith(PAGE[start:].replace("TOO-DEEP", "ALSO-DEEP"))
    assert start < end


def test_a_page_of_a_rule_without_limits_offers_none():
    _, plain = our_rules()
    page = rule_page(plain, small_words())

    assert page.startswith("# also-deep\n\ndrilling, note\n\n## What it finds\n\nIt hardens.\n\n## Why it matters\n\nBecause.\n")
    assert "    change:\n      also-deep: {level: warning}\n\nIt may also say `off: yes` with a `reason:`.\n" in page
    assert "rewrite" not in page and "- hardens: the hardens (from a record)\n- record fields: record: hardens\n" in page


def test_a_rule_that_is_off_says_so_on_its_page_and_in_the_list():
    deep, plain = our_rules()
    off = replace(plain, off="we know")

    assert rule_page(off, small_words()).startswith("# also-deep\n\ndrilling, note (switched off: we know)\n")
    assert rule_list([off, deep, replace(deep, id="other", group="ours")]) == (
        "DRILLING\n  too-deep   warning\n  also-deep  note  off: we know\n\nOURS\n  other      warning\n"
    )


def test_facts_are_laid_out_by_scope_and_fields_of_records_stand_once():
    assert fact_list(small_words()) == FACTS
    assert fact_list(small_words(), "passage") == FACTS[FACTS.index("PASSAGE") : FACTS.index("FIELDS")].rstrip("\n") + "\n"


def test_a_fact_tells_where_it_comes_from():
    told = {
        origin: fact_list(
            replace(small_words(), facts={("passage", "wet"): replace(small_words().fact("passage", "wet"), origin=origin)}),
            "passage",
        )
        for origin in ("program", "record", "computed", "physics")
    }

    assert {origin: text.split("; ")[-1].strip() for origin, text in told.items()} == {
        "program": "from the program",
        "record": "from a record",
        "computed": "worked out from program and records",
        "physics": "computed by a published formula",
    }


def test_a_rule_is_found_by_its_id_however_it_is_written_else_the_way_to_find_it_is_told():
    rules = our_rules()

    assert rule_named(" TOO-DEEP ", rules) is rules[0]
    assert rule_named("too-dep", rules) == "there is no rule `too-dep`; did you mean `too-deep` or `also-deep`?"
    assert rule_named("zz", rules) == "there is no rule `zz`; `coolcheck explain --all` lists them"


def test_what_an_undecided_note_counts_as_is_said_too():
    deep, _ = our_rules()

    assert "it counts as a note, and does not stand" in " ".join(rule_page(replace(deep, level="note"), small_words()).split())


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule.when or rule.id in NOTES], ids=lambda rule: rule.id)
def test_a_waiver_by_tool_is_offered_where_a_tool_is_in_what_is_found(rule):
    page = rule_page(rule, WORDS)
    has_tool = rule.id not in OF_THE_PROGRAM if rule.scope == "note" else rule.scope not in ("program", "hole", "stop")

    assert (f"(ALLOW {rule.id.upper()} FOR T12 BECAUSE" in page) == has_tool
    assert (f"(ALLOW {rule.id.upper()} IN PROGRAM BECAUSE" in page) != has_tool


@pytest.mark.parametrize("tail", ["M30\n%\nG1 X5.\n", "T0101\nM30\n", "M30\nG1 X5.\nM30\n"])
def test_what_only_the_whole_run_tells_is_noted_of_no_tool(tail):
    program = Program.read(f"%\nG21 G17 G90 G94 G98\nG0 X1.\n{tail}".encode(), "p.nc", load_dialect("word-address-mill"))
    told = [note for note in interpret(program).notes if note.id in OF_THE_PROGRAM]

    assert told
    assert all(note.by_tool == () for note in told)
