"""A starting line: what is known today stays quiet, what is new does not."""

import json
from pathlib import Path

import pytest

from coolcheck.errors import InputError
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


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read_starting_line(tmp_path / "nowhere.json")
