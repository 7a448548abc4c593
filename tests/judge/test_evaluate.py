"""Rules asked of whole programs: like holes once, places right, notes of the reader taken over."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from coolcheck.judge.evaluate import judge, written
from coolcheck.judge.process_words import process_words
from coolcheck.judge.starting_line import starting_line
from coolcheck.judge.verdict import HOLDS, Blocks, fingerprint
from coolcheck.judge.vocabulary import Fact
from coolcheck.known import Evidence, known
from coolcheck.nc.moves import Note
from coolcheck.place import Place
from coolcheck.process.facts import FACTS
from coolcheck.records import schema
from tests.judge.cases import TODAY, Case, rule_book, timeline_of

WORDS = process_words(TODAY)
PLATE = """\
G21 G17 G90 G94 G98
T2 M6
S900 M3
G54 G0 X0 Y0
G43 H2 Z5. M8
G83 Z-30. R2. Q5. F120
X20.
X40.
X60. Z-25.
G80 M9
T3 M6
S200 M3
G0 X0 Y0
G43 H3 Z5. M8
G84 Z-15. R5. F300
X20.
X40.
X60.
G80 M9
M30
"""
HARDENS = {"material.hardens": "yes", "material.group": "M", "material.family": "stainless_austenitic"}


def judged(folder: Path, *rules: str, program: str = PLATE, **changes: object):
    timeline = timeline_of(Case("", 1, "", "", program, {**HARDENS, **changes}), folder)
    return judge(timeline, [rule_book()[name] for name in rules], TODAY, notes=())


def test_each_hole_of_a_plate_is_told_at_its_own_tap(tmp_path):
    (finding,) = judged(tmp_path, "tap-in-hole-pecked-with-flood").findings

    assert finding.where.line == 15
    assert [place.line for place in finding.also] == [16, 17, 18]
    assert finding.says == "T3 taps a hole that T2 pecked with flood, in a material that hardens"


def test_like_holes_are_asked_once(tmp_path):
    asked = []
    fact = WORDS.fact("step", "kind")
    counting = replace(fact, of=lambda item, timeline: asked.append(item) or fact.of(item, timeline))
    words = replace(WORDS, facts={**WORDS.facts, ("step", "kind"): counting})
    timeline = timeline_of(Case("", 1, "", "", PLATE, HARDENS), tmp_path)
    judge(timeline, [rule_book()["tap-without-a-hole"]], TODAY, notes=(), vocabulary=words)

    assert len(asked) == 4  # two depths of drilled holes, and a tap into each


def test_like_holes_share_a_verdict_that_knows_each_of_them(tmp_path):
    alike, other = judged(tmp_path, "tap-in-hole-pecked-with-flood").verdicts

    assert (alike.count, other.count) == (3, 1)
    assert [(one.where.line, one.about("hole")) for one in alike.each()] == [(15, "X0 Y0"), (16, "X20 Y0"), (17, "X40 Y0")]
    assert [one.count for one in alike.each()] == [1, 1, 1]
    assert len({one.fingerprint for one in alike.each()}) == 3
    assert (alike.about("hole"), alike.where.line, len(alike.places)) == ("", 15, 3)


def test_a_waiver_of_one_hole_leaves_those_like_it(tmp_path):
    waiver = {"rule": "tap-in-hole-pecked-with-flood", "hole": "X20 Y0", "reason": "chips were seen to leave it"}
    judgement = judged(tmp_path, "tap-in-hole-pecked-with-flood", **{"job.waivers": [waiver]})

    assert [verdict.where.line for verdict in judgement.verdicts] == [15, 17, 18]
    assert [verdict.where.line for verdict, _ in judgement.waived] == [16]


def test_a_starting_line_knows_each_of_the_holes_alike(tmp_path):
    line = json.loads(starting_line([("plate.nc", judged(tmp_path, "tap-in-hole-pecked-with-flood"))]))

    assert [entry["count"] for entry in line["programs"]["plate.nc"]] == [1, 1, 1, 1]


def test_a_wash_between_two_holes_makes_them_unlike(tmp_path):
    washed = PLATE.replace("T3 M6", "M115\nG4 P2.\nM9\nT3 M6")

    assert judged(tmp_path, "chips-not-cleared-before-tap", program=washed).findings == ()
    assert len(judged(tmp_path, "chips-not-cleared-before-tap").findings) == 1


def test_an_undecided_rule_is_a_question(tmp_path):
    timeline = timeline_of(Case("", 1, "", "", PLATE, {}, ("material.hardens",)), tmp_path)
    (finding,) = judge(timeline, [rule_book()["tap-in-hole-pecked-with-flood"]], TODAY, notes=()).findings

    assert (finding.verdict, finding.missing[0].field) == ("undecided", "hardens")
    assert finding.says.endswith("?")


def test_a_rule_that_is_off_is_not_asked(tmp_path):
    timeline = timeline_of(Case("", 1, "", "", PLATE, HARDENS), tmp_path)
    off = replace(rule_book()["tap-in-hole-pecked-with-flood"], off="we know")

    assert judge(timeline, [off], TODAY, notes=()).findings == ()


def test_what_reading_notes_becomes_a_finding_with_the_level_of_its_rule(tmp_path):
    timeline = timeline_of(Case("", 1, "", "", PLATE, {}), tmp_path)
    note = Note("unreadable-block", Place("program.nc", 3, 5), "'..2' cannot be read", "mend it", count=3)
    (finding,) = judge(
        timeline, list(rule_book().values())[-1:] + [rule_book()["unreadable-block"]], TODAY, notes=[note]
    ).findings

    assert (finding.level, finding.says, finding.do) == ("error", "'..2' cannot be read (3 times)", "Mend it.")


def test_a_note_is_told_at_its_place_once_or_with_how_often_and_without_a_rule_under_its_own_name(tmp_path):
    timeline = timeline_of(Case("", 1, "", "", PLATE, {}), tmp_path)
    rule = rule_book()["unreadable-block"]
    place = Place("program.nc", 3, 5)
    notes = [
        Note(rule.id, place, "one", "", count=1),
        Note(rule.id, place, "two", "", count=2),
        Note("new-thing", place, "three", "do it"),
    ]
    first, second, other = judge(timeline, [rule], TODAY, notes=notes).verdicts

    assert [verdict.says for verdict in (first, second, other)] == ["one", "two (2 times)", "three"]
    assert (first.rule, first.where, first.do) == (rule, place, rule.do.text)
    assert first.fingerprint == fingerprint(rule.id, HOLDS, (), "S900 M3")
    assert (other.rule.id, other.rule.scope, other.do) == ("new-thing", "note", "do it")
    assert judge(timeline, [replace(rule, off="we know")], TODAY, notes=notes[:2]).verdicts == ()


# what a verdict is known by


def test_a_verdict_keeps_the_name_that_starting_lines_have_written():
    subject = (("tool", "T1"), ("operation kind", "drill"))

    assert fingerprint("deep", HOLDS, subject, "N10 G81 Z-20. (HOLE)") == "76d9e654e8942897"


def test_a_block_is_found_by_its_place_and_nothing_is_beyond_the_program(tmp_path):
    timeline = timeline_of(Case("", 1, "", "", PLATE, {}), tmp_path)
    blocks, name = Blocks(timeline), timeline.execution.program.source.name

    assert [blocks.text(Place(name, line)) for line in (1, 2, 20)] == ["G21 G17 G90 G94 G98", "T2 M6", "M30"]
    assert [blocks.text(Place(name, line)) for line in (-1, 0, 21)] == ["", "", ""]
    assert blocks.text(Place("other.nc", 1)) == ""


# where a finding points


def test_a_fact_points_at_the_first_block_of_the_program_it_rests_on():
    record, program = Evidence("DC", 8.5, "mm", Place("t1.yaml", 3)), Evidence("depth", 30.0, "mm", None, "program")
    fourth, ninth = (replace(program, place=Place("a.nc", line)) for line in (4, 9))

    assert written([record, program, fourth, ninth]) == Place("a.nc", 4)
    assert written([record, program]) is written([]) is None


def test_a_rule_that_points_at_a_fact_points_into_the_program_or_at_the_object(tmp_path):
    rule = rule_book()["tap-in-hole-pecked-with-flood"]
    timeline = timeline_of(Case("", 1, "", "", PLATE, HARDENS), tmp_path)
    seen = []

    def pointing(item, program):
        seen.append(program)
        block = Evidence("block", "", "", Place("program.nc", 100 + len(seen)), "program")
        return known(True, block) if len(seen) % 2 else known(True)

    fact = Fact("pointer", rule.scope, "truth", "points", pointing)
    words = replace(WORDS, facts={**WORDS.facts, (rule.scope, "pointer"): fact})
    judgement = judge(timeline, [replace(rule, at="pointer", _read={})], TODAY, notes=(), vocabulary=words)

    assert sorted(place.line for verdict in judgement.verdicts for place in verdict.places) == [7, 9, 101, 103]
    assert all(program is timeline for program in seen)


# the vocabulary


def test_every_named_fact_is_worked_out_by_process():
    declared = {key for key in WORDS.facts if key[1] not in ("days_since_review", "oldest_record")}

    assert declared <= set(FACTS)


def test_every_fact_that_process_works_out_has_its_name_declared():
    dates = {name for _, name in FACTS if name.endswith(".reviewed")}

    assert {key for key in FACTS if key[1] not in dates} <= set(WORDS.facts)


@pytest.mark.parametrize(
    "fact",
    [fact for fact in WORDS.facts.values() if fact.needs and "." not in fact.name],
    ids=lambda fact: f"{fact.scope}-{fact.name}",
)
def test_what_decides_a_fact_is_a_field_of_a_record(fact):
    for need in fact.needs:
        kind, _, name = need.partition(": ")
        if kind == "every record":
            continue
        fields = schema.fields(kind)
        head, _, rest = name.partition(".")
        assert name in fields or rest in fields[head].each


def test_every_fact_has_a_meaning_and_an_origin():
    assert all(fact.says and fact.origin in ("program", "record", "computed", "physics") for fact in WORDS.facts.values())
