"""Code quality JSON: the array of issues that merge requests show, in the form its host documents.

Each has description, check_name, fingerprint, severity (info, minor, major, critical, blocker) and location.
"""

import hashlib
from collections.abc import Sequence
from typing import Any, TextIO

from coolcheck.judge.finding import Finding
from coolcheck.report import jsontext
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.sarif import fingerprints, message
from coolcheck.report.shown import Units

NAME = "code-quality"
# What cannot be decided stands one step below what holds: it is a question, but never nothing.
SEVERITY = {
    ("error", "holds"): "critical",
    ("warning", "holds"): "major",
    ("note", "holds"): "minor",
    ("error", "undecided"): "major",
    ("warning", "undecided"): "minor",
    ("note", "undecided"): "info",
}


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes the array; an empty one when nothing was found."""
    entries = [entry for review in reviews for entry in program_entries(review, options)]
    jsontext.dump(entries, out)


def program_entries(review: Review, options: Options) -> list[dict[str, Any]]:
    """The issues of one program."""
    if not review.is_reviewed:
        return [
            issue(problem.says, "not-reviewed", str(problem), "blocker", options.file(problem.place.file), problem.place.line)
            for problem in review.problems
        ]
    marks = fingerprints(review.findings)
    units = review.units(options)
    return [finding_issue(finding, mark, units, options) for finding, mark in zip(review.findings, marks, strict=True)]


def finding_issue(finding: Finding, mark: str, units: Units, options: Options) -> dict[str, Any]:
    """A finding as an issue."""
    told = message(units.finding(finding))
    text = told if finding.verdict == "holds" else "Cannot be decided: " + told
    file = options.file(finding.where.file)
    key = mark or f"{finding.where.line}:{finding.where.column}:{finding.says}"
    return issue(text, finding.rule, key, SEVERITY[finding.level, finding.verdict], file, finding.where.line)


def issue(text: str, check: str, key: str, severity: str, file: str, line: int) -> dict[str, Any]:
    """One entry; its fingerprint also depends on the file, for entries with equal ones show as one."""
    return {
        "description": text,
        "check_name": check,
        "fingerprint": hashlib.sha256(f"{file}\0{check}\0{key}".encode("utf-8", "surrogatepass")).hexdigest()[:32],
        "severity": severity,
        "location": {"path": file, "lines": {"begin": max(1, line)}},
    }
