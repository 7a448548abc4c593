"""A starting line: what is known today stays quiet, what is new does not."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from coolcheck.errors import InputError
from coolcheck.judge import starting_line as lines
from coolcheck.judge.evaluate import Judgement, judge
from coolcheck.judge.readiness import NOT_READY, readiness
from coolcheck.judge.starting_line import StartingLine, read_starting_line, starting_line
from tests.judge.cases import TODAY, Case, rule_book, timeline_of

PROGRAM = """\
N10 G21 G17 G90 G94 G98
N20 T1 M6
N30 S3000 M3
N40 G54 G0 X0 Y0
N50 G43 H1 Z5.
N60 G81 Z-20. R2. F600
N70 G80
N80 M30
"""
DRY = ("dry-drilling", "fluid-state-not-stated")


def judged(folder: Path, program: str, **changes: str) -> Judgement:
    timeline = timeline_of(Case("", 1, "", "", program, changes), folder)
    return judge(timeline, [rule_book()[name] for name in DRY], TODAY, notes=())


def line_of(folder: Path, judgement: Judgement) -> StartingLine:
    path = folder / "starting.json"
    path.write_bytes(starting_line([("program.nc", judgement)]))
    return read_starting_line(path)


def test_what_is_known_is_taken_out_and_counted(tmp_path):
    judgement = judged(tmp_path, PROGRAM)
    beyond = line_of(tmp_path, judgement).beyond("program.nc", judgement)

    assert [finding.rule for finding in judgement.findings] == ["dry-drilling", "fluid-state-not-stated"]
    assert (beyond.findings, beyond.accepted) == ((), 2)
    assert beyond.known_findings == judgement.findings


def test_what_is_known_keeps_a_program_from_being_ready(tmp_path):
    judgement = judged(tmp_path, PROGRAM)
    beyond = line_of(tmp_path, judgement).beyond("program.nc", judgement)

    assert readiness((*beyond.findings, *beyond.known_findings), list(rule_book().values())).verdict == NOT_READY


@pytest.mark.parametrize(
    "changed",
    [
        PROGRAM.replace("N20", "(A NEW LINE)\n\nN15 G40\nN20"),
        PROGRAM.replace("N", "N1"),
        PROGRAM.replace("N60 G81 Z-20. R2. F600", "G81  Z-20.  R2. F600 (AS BEFORE)"),
    ],
)
def test_it_survives_shifted_and_renumbered_lines(tmp_path, changed):
    line = line_of(tmp_path, judged(tmp_path, PROGRAM))

    assert line.beyond("program.nc", judged(tmp_path, changed)).findings == ()


def test_another_cut_of_the_same_words_is_new(tmp_path):
    line = line_of(tmp_path, judged(tmp_path, PROGRAM))
    twice = PROGRAM.replace("N80", "N71 T1 M6\nN72 S3000 M3\nN73 G0 X50.\nN74 G43 H1 Z5.\nN75 G81 Z-20. R2. F600\nN76 G80\nN80")

    beyond = line.beyond("program.nc", judged(tmp_path, twice))
    assert {finding.rule for finding in beyond.findings} == set(DRY)
    assert {finding.where.line for finding in beyond.findings} == {12}


def test_a_deeper_hole_is_new(tmp_path):
    line = line_of(tmp_path, judged(tmp_path, PROGRAM))

    assert len(line.beyond("program.nc", judged(tmp_path, PROGRAM.replace("Z-20.", "Z-30."))).findings) == 2


def test_what_is_found_once_more_than_known_is_new(tmp_path):
    (verdict, _) = judged(tmp_path, PROGRAM).verdicts
    thrice = Judgement((verdict, verdict, verdict))
    beyond = StartingLine({"a.nc": {verdict.fingerprint: 2}}).beyond("a.nc", thrice)

    assert (beyond.known, beyond.verdicts) == ((verdict, verdict), (verdict,))


def test_a_starting_line_that_is_too_long_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(lines, "MOST_BYTES", 1_000_000)
    path = tmp_path / "starting.json"
    whole = FORM + "{}}"
    path.write_text(whole + " " * (1_000_000 - len(whole)))
    assert read_starting_line(path).programs == {}

    path.write_text(whole + " " * (1_000_001 - len(whole)))
    with pytest.raises(InputError) as wrong:
        read_starting_line(path)
    (problem,) = wrong.value.problems
    assert (problem.place.file, problem.says, problem.do) == (
        str(path), "the starting line is larger than 1 MB", "Make one a folder.",
    )  # fmt: skip


def test_another_program_is_new(tmp_path):
    judgement = judged(tmp_path, PROGRAM)

    assert len(line_of(tmp_path, judgement).beyond("other.nc", judgement).findings) == 2


def test_the_file_is_the_same_for_the_same_findings(tmp_path):
    judgement = judged(tmp_path, PROGRAM)
    written = starting_line([("b.nc", judgement), ("a.nc", judgement)])

    assert written == starting_line([("a.nc", judgement), ("b.nc", judgement)])
    assert list(json.loads(written)["programs"]) == ["a.nc", "b.nc"]


FORM = '{"form": "coolcheck starting line 1", "programs": '


@pytest.mark.parametrize("text", ["", "{", "[]", "{}", FORM + "[]}", FORM + '{"a": [{"count": 1}]}}', "[" * 100000])
def test_a_faulty_file_is_refused(tmp_path, text):
    path = tmp_path / "starting.json"
    path.write_text(text)

    with pytest.raises(InputError):
        read_starting_line(path)


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("{", (1, 2), "this is no starting line: Expecting property name enclosed in double quotes"),
        ("[" * 100000, (0, 0), "this is no starting line: not JSON"),
        ("{}", (0, 0), "this is no starting line of this version (`form` must be `coolcheck starting line 1`)"),
        (FORM + '{"a": 4}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [4]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [{"count": 1}]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [{"fingerprint": "x"}]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [{"fingerprint": "x", "count": 0}]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [{"fingerprint": "x", "count": true}]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [{"fingerprint": "x", "count": 1.5}]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
        (FORM + '{"a": [{"fingerprint": 7, "count": 1}]}}', (0, 0), "an entry of `a` has no fingerprint or no count"),
    ],
)
def test_what_is_wrong_with_a_file_is_told_with_its_place(tmp_path, text, place, says):
    path = tmp_path / "starting.json"
    path.write_text(text)

    with pytest.raises(InputError) as wrong:
        read_starting_line(path)
    (problem,) = wrong.value.problems
    assert (problem.place.file, (problem.place.line, problem.place.column)) == (str(path), place)
    assert (problem.says, problem.do) == (says, "Make it anew from the folder.")


def test_entries_of_one_fingerprint_count_together(tmp_path):
    path = tmp_path / "starting.json"
    path.write_text(
        FORM + '{"a": [{"fingerprint": "x", "count": 1}, {"fingerprint": "x", "count": 2}, {"fingerprint": "y", "count": 1}]}}'
    )

    assert read_starting_line(path).programs == {"a": {"x": 3, "y": 1}}


def test_the_file_tells_what_was_found_sorted_by_rule_and_tool(tmp_path):
    two = PROGRAM.replace("N80", "N71 T2 M6\nN72 S900 M3\nN73 G0 X50.\nN74 G43 H2 Z5.\nN75 G81 Z-9. R2. F90\nN76 G80\nN80")
    (entries,) = json.loads(starting_line([("a.nc", judged(tmp_path, two))]))["programs"].values()

    assert [(entry["rule"], entry["tool"]) for entry in entries] == [
        (rule, tool) for rule in ("dry-drilling", "fluid-state-not-stated") for tool in ("T1", "T2")
    ]
    assert {(entry["verdict"], entry["operation_kind"], entry["count"]) for entry in entries} == {("holds", "drill", 1)}
    assert all(set(entry) == {"fingerprint", "rule", "verdict", "tool", "operation_kind", "count"} for entry in entries)


def test_what_was_found_twice_is_counted_and_the_order_of_finding_does_not_matter(tmp_path):
    (first, other) = judged(tmp_path, PROGRAM).verdicts
    alike = replace(first, fingerprint="0")
    written = starting_line([("ä.nc", Judgement((first, other, alike, first)))])
    entries = json.loads(written)["programs"]["ä.nc"]

    assert [(entry["fingerprint"], entry["count"]) for entry in entries] == [
        ("0", 1), (first.fingerprint, 2), (other.fingerprint, 1),
    ]  # fmt: skip
    assert written == starting_line([("ä.nc", Judgement((alike, first, first, other)))])


def test_the_file_can_be_read_line_by_line(tmp_path):
    lines = starting_line([("ä.nc", judged(tmp_path, PROGRAM))]).decode().splitlines()

    assert lines[:4] == ["{", ' "form": "coolcheck starting line 1",', ' "programs": {', '  "ä.nc": [']


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputError) as wrong:
        read_starting_line(tmp_path / "nowhere.json")

    (problem,) = wrong.value.problems
    assert problem.place.file == str(tmp_path / "nowhere.json")
    assert problem.says == "the starting line cannot be read: no such file or directory"
