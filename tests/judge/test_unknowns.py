"""Unknown is a value: leaving a field out never turns a finding into silence, filling it in never changes what was decided."""

import copy
import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coolcheck.errors import RecordError
from coolcheck.folder.one import Settings, review_bytes
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.scene import Scene
from coolcheck.known import Missing
from coolcheck.process.model import Timeline
from coolcheck.records import schema
from tests.judge.cases import TODAY, Case, case_files, fields_of, leave_out, rule_book, shop_of, timeline_with

WORDS = process_words(TODAY)
RULES = [rule for rule in rule_book().values() if rule.when]
CASES = [case for file in case_files() for case in file.cases]
HOLDING = [case for case in CASES if case.verdict == "holds"]
RECORDS = ("machine", "material", "fluid")
SINGLES = 3  # fields taken out one by one of each case that holds, spread over all its fields


def verdicts(timeline: Timeline, rules: list[Rule] = RULES) -> dict[str, bool | None]:
    """Of each rule: does it hold somewhere, is it unknown somewhere (None), or is it nowhere more than no."""
    found: dict[str, bool | None] = {}
    told: dict[tuple[str, str, int], tuple[object, object]] = {}
    for rule in rules:
        items = WORDS.objects(rule.scope, timeline)
        truths = [rule.condition(WORDS).holds(Scene(rule.scope, item, timeline, told)) for item in items]
        found[rule.id] = (
            True if any(truth.is_yes for truth in truths) else None if any(not truth.is_known for truth in truths) else False
        )
    return found


def fields_in_use(case: Case) -> list[tuple[str | int, ...]]:
    """The fields of the case's records, those of tools that its program does not call left out."""

    def called(name: str) -> bool:
        tool = name.split()[-1]
        return not tool[1:].isdigit() or f"{tool} M6" in case.program

    return [path for path in fields_of(shop_of(case)) if called(str(path[0]))]


def timeline_without(case: Case, paths: list[tuple[str | int, ...]]) -> Timeline:
    records = copy.deepcopy(shop_of(case))
    for path in sorted(paths, key=lambda path: [str(key).zfill(4) for key in path], reverse=True):  # from the back: places stay
        leave_out(records, path)
    with tempfile.TemporaryDirectory() as folder:
        return timeline_with(case, records, Path(folder))


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_filling_in_fields_never_changes_a_decided_verdict(data):
    case = data.draw(st.sampled_from(CASES), label="case")
    hidden = data.draw(st.lists(st.sampled_from(fields_in_use(case)), min_size=1, max_size=6, unique=True), label="left out")
    try:
        partly = verdicts(timeline_without(case, hidden))
    except RecordError:
        return  # the records refuse it: nothing is decided at all
    fully = verdicts(timeline_without(case, []))

    changed = {id_ for id_, verdict in partly.items() if verdict is not None and fully[id_] not in (None, verdict)}
    if any(path[0] == "job" and path[-1] in RECORDS for path in hidden):
        changed.discard("records-past-their-review")  # it speaks of the records that there are: one more may be an older one
    assert not changed


@pytest.mark.parametrize("case", HOLDING, ids=str)
def test_leaving_out_a_field_never_turns_a_finding_into_silence(case):
    fields = fields_in_use(case)
    step = max(1, len(fields) // SINGLES)
    for path in fields[len(case.rule) % step :: step]:
        try:
            verdict = verdicts(timeline_without(case, [path]), [rule_book()[case.rule]])[case.rule]
        except RecordError:
            continue
        assert verdict is not False, f"{path} left out"


def test_a_program_without_any_record_is_asked_about_and_never_passed():
    case = next(case for case in HOLDING if case.rule == "closed-pull-stud")
    bare = {"job": {"job": "case"}}
    with tempfile.TemporaryDirectory() as folder:
        found = verdicts(timeline_with(case, bare, Path(folder)))

    assert found["closed-pull-stud"] is None
    assert sum(1 for verdict in found.values() if verdict is None) > 60


SAMPLES = Path(__file__).resolve().parents[2] / "samples" / "programs"


def unanswerable(missing: Missing) -> bool:
    """Is there neither a record to name, nor a field to write, nor the program itself to look into."""
    kind = missing.record.partition(" ")[0]
    if kind in ("program", "physics"):
        return missing.field not in ("", "S")
    if not missing.field:
        return False  # the record itself is asked for
    head, _, rest = missing.field.partition(".")
    fields = schema.fields(kind)
    entry = re.sub(r"^[^.]+\.|^[^.]+$", "", rest)
    named = head in fields and (not rest or any(name in fields[head].each for name in (rest, entry, rest.partition(".")[0])))
    return not (missing.field in fields or named or kind == "tool" and missing.field == "holder")


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.nc")), ids=lambda path: path.stem)
def test_every_question_about_a_program_without_records_can_be_answered(path):
    review = review_bytes(path.read_bytes(), "-", Settings(today=TODAY))

    assert not [missing for finding in review.findings for missing in finding.missing if unanswerable(missing)]


@pytest.mark.parametrize("case", [case for case in CASES if case.verdict == "cannot be decided"], ids=str)
def test_every_question_of_a_rule_case_can_be_answered(case):
    with tempfile.TemporaryDirectory() as folder:
        timeline = timeline_with(case, shop_of(case), Path(folder))
    scenes = [
        Scene(rule_book()[case.rule].scope, item, timeline, {}) for item in WORDS.objects(rule_book()[case.rule].scope, timeline)
    ]
    truths = [rule_book()[case.rule].condition(WORDS).holds(scene) for scene in scenes]

    assert not [missing for truth in truths for missing in truth.missing if unanswerable(missing)]


def test_a_question_that_names_no_field_of_its_record_is_found():
    assert unanswerable(Missing("job", "optional halt", "?"))
    assert unanswerable(Missing("machine", "supplies.flood.colour", "?"))
    assert not unanswerable(Missing("machine", "supplies.flood.fitted", "?"))
    assert not unanswerable(Missing("job of today", "optional stop", "?"))
