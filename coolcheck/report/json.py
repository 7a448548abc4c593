"""JSON for programs; `coolcheck schema review` prints its schema. Units stand in the names; null is unknown."""

import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, TextIO

import coolcheck
from coolcheck.errors import Problem, advice
from coolcheck.judge.finding import Finding
from coolcheck.judge.readiness import Change
from coolcheck.known import Evidence, Missing
from coolcheck.nc.moves import Note
from coolcheck.place import Place
from coolcheck.report import jsontext
from coolcheck.report.options import Options
from coolcheck.report.review import CAUTIONS, Judged, Question, Review, Waived, counts, exit_code
from coolcheck.report.rows import HoleRow, OperationRow, StepRow, rounded

NAME = "json"
FORM = "coolcheck-review-1"  # changes when a reader of the old form would go wrong
SCHEMA_FILE = Path(__file__).with_name("review.schema.json")
DIGITS = 6  # of evidence: enough for any unit it is shown in


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes one JSON object with all the reviews."""
    jsontext.dump(document(reviews, options), out)


def schema() -> dict[str, Any]:
    """The JSON Schema of what `render` writes."""
    loaded: dict[str, Any] = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    return loaded


def document(reviews: Sequence[Review], options: Options) -> dict[str, Any]:
    """All the reviews as plain data."""
    return {
        "form": FORM,
        "version": coolcheck.__version__,
        "exit_code": exit_code(reviews, options),
        "programs": [program(review, options) for review in reviews],
        "cautions": list(CAUTIONS),
    }


def program(review: Review, options: Options) -> dict[str, Any]:
    """One review as plain data."""
    return {
        "program": options.file(review.program),
        "sha256": review.sha256,
        "reviewed": review.is_reviewed,
        "problems": [problem_entry(problem, options) for problem in review.problems],
        "records": [
            {"kind": bound.kind, "name": bound.name or None, "file": options.file(bound.file) or None} for bound in review.bound
        ],
        "totals": asdict(review.totals) if review.totals is not None else None,
        "unattended": {
            "verdict": review.readiness.verdict,
            "changes": [change_entry(change, options) for change in review.readiness.changes],
        },
        "findings": [finding_entry(finding, options) for finding in review.findings],
        "waived": [waived_entry(waived, options) for waived in review.waived],
        "accepted": review.accepted,
        "accepted_findings": [{**finding_entry(finding, options), "counts": False} for finding in review.known],
        "notes": [note_entry(note, options) for note in review.notes],
        "missing": [question_entry(question, options) for question in review.questions],
        "operations": [operation_entry(row, options) for row in review.operations],
        "holes": [hole_entry(row, options) for row in review.holes],
        "rules": [rule_entry(rule) for rule in review.rules],
    }


def where(place: Place, options: Options) -> dict[str, Any]:
    """A place; line 0 is the whole file, column 0 the whole line."""
    return {
        "file": options.file(place.file),
        "line": place.line,
        "column": place.column,
        "end_line": place.end_line or place.line,
        "end_column": place.end_column,
    }


def problem_entry(problem: Problem, options: Options) -> dict[str, Any]:
    """Why a program could not be reviewed."""
    return {"where": where(problem.place, options), "message": problem.says, "do": problem.do}


def finding_entry(finding: Finding, options: Options) -> dict[str, Any]:
    """One finding with everything it carries."""
    return {
        "rule": finding.rule,
        "rules": list(finding.rules or (finding.rule,)),
        "level": finding.level,
        "verdict": finding.verdict,
        "counts": counts(finding, options),
        "where": where(finding.where, options),
        "also": [where(place, options) for place in finding.also],
        "message": finding.says,
        "why": finding.why,
        "do": finding.do,
        "basis": finding.basis,
        "group": finding.group,
        "subject": dict(finding.subject),
        "evidence": [evidence_entry(item, options) for item in finding.evidence],
        "missing": [missing_entry(missing, options) for missing in finding.missing],
        "mends": finding.mends or None,
        "fingerprint": finding.fingerprint or None,
    }


def evidence_entry(evidence: Evidence, options: Options) -> dict[str, Any]:
    """One piece of evidence: name, value, unit, and from where."""
    place = where(evidence.place, options) if evidence.place is not None else None
    return {
        "name": evidence.name,
        "value": plain_value(evidence.value),
        "unit": evidence.unit or None,
        "from": {"source": evidence.source, "where": place, "note": evidence.note or None},
    }


def plain_value(value: object) -> Any:
    """A value as JSON can hold it; a set is sorted, a number is rounded to a sensible number of digits."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return rounded(float(f"{value:.{DIGITS}g}"), 9)
    if isinstance(value, tuple | list):
        return [plain_value(item) for item in value]
    if isinstance(value, set | frozenset):
        return sorted(plain_value(item) for item in value)
    return str(value)


def missing_entry(missing: Missing, options: Options) -> dict[str, Any]:
    """One thing that nobody has told us, and where to write it."""
    file = options.file(missing.place.file) if missing.place is not None else ""
    return {
        "record": missing.record,
        "field": missing.field or None,
        "question": missing.question,
        "file": file or None,
    }


def question_entry(question: Question, options: Options) -> dict[str, Any]:
    """A missing thing with the rules that wait for it."""
    return {**missing_entry(question.missing, options), "rules": list(question.rules)}


def note_entry(note: Note, options: Options) -> dict[str, Any]:
    """What the reading of the program has to say."""
    return {
        "note": note.id,
        "where": where(note.place, options),
        "message": note.says,
        "do": advice(note.do),
        "affects": list(note.affects),
        "count": note.count,
    }


def change_entry(change: Change, options: Options) -> dict[str, Any]:
    """One thing that would change whether the program may run alone."""
    return {
        "message": change.says,
        "at": change.at,
        "where": where(change.place, options),
        "rule": change.rule,
        "missing": [missing_entry(missing, options) for missing in change.missing],
    }


def waived_entry(waived: Waived, options: Options) -> dict[str, Any]:
    """What a waiver accepts."""
    return {
        "rule": waived.rule,
        "where": where(waived.where, options),
        "message": waived.says,
        "reason": waived.reason,
        "by": waived.by or None,
        "until": waived.until.isoformat() if waived.until is not None else None,
    }


def operation_entry(row: OperationRow, options: Options) -> dict[str, Any]:
    """An operation; the names are those of the row."""
    return {**row_entry(row), "where": where(row.where, options)}


def hole_entry(row: HoleRow, options: Options) -> dict[str, Any]:
    """A hole with its steps; the names are those of the row."""
    steps = [{**row_entry(step), "where": where(step.where, options)} for step in row.steps]
    return {**asdict(row), "steps": steps}


def row_entry(row: OperationRow | StepRow) -> dict[str, Any]:
    """The fields of a row; which codes nobody explained is told by the notes."""
    return {name: value for name, value in asdict(row).items() if name != "unexplained"}


def rule_entry(rule: Judged) -> dict[str, Any]:
    """A rule the program was held against."""
    return {"id": rule.id, "level": rule.level, "group": rule.group}
