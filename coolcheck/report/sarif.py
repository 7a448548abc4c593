"""SARIF 2.1.0 (OASIS standard, errata 01): for code scanning and for editors.

What cannot be decided is `kind: open`, `level: none`: SARIF has the words for it. Own data goes into property bags.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, TextIO
from urllib.parse import quote

import coolcheck
from coolcheck.errors import Problem
from coolcheck.judge.finding import Finding
from coolcheck.place import Place
from coolcheck.report import jsontext
from coolcheck.report.json import evidence_entry, missing_entry
from coolcheck.report.options import Options
from coolcheck.report.review import Fix, Judged, Review, harm

NAME = "sarif"
SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
MOST_RESULTS = 5000  # what a large code-scanning host keeps of one run; it does not say which, so we choose
MOST_RELATED = 100


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes one log with one run."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run(reviews, options)]}
    jsontext.dump(log, out)


def run(reviews: Sequence[Review], options: Options) -> dict[str, Any]:
    """The run: the rules it knew, the programs it read, what it found, what it could not do."""
    rules = rules_of(reviews)
    index = {rule.id: at for at, rule in enumerate(rules)}
    found = [(finding, review) for review in reviews for finding in review.findings]
    found.sort(key=lambda pair: harm(pair[0]))
    kept = found[:MOST_RESULTS]
    fixes = {fix.fingerprint: fix for review in reviews for fix in review.fixes}
    marks = fingerprints(finding for finding, _ in kept)
    return {
        "tool": {"driver": {
            "name": "coolcheck",
            "semanticVersion": coolcheck.__version__,
            "rules": [rule_entry(rule) for rule in rules],
        }},
        "columnKind": "unicodeCodePoints",
        "invocations": [{
            "executionSuccessful": all(review.is_reviewed for review in reviews),
            "toolExecutionNotifications": [*problems(reviews, options), *cut(found)],
        }],
        "artifacts": [artifact(review, options) for review in reviews],
        "results": [
            result(finding, review, index[finding.rule], mark, fixes.get(finding.fingerprint), options)
            for (finding, review), mark in zip(kept, marks, strict=True)
        ],
    }  # fmt: skip


def rules_of(reviews: Sequence[Review]) -> list[Judged]:
    """Every rule that was judged, and any other that found something, by id."""
    rules: dict[str, Judged] = {}
    for review in reviews:
        for rule in review.rules:
            rules.setdefault(rule.id, rule)
        for finding in review.findings:
            made = Judged(finding.rule, finding.level, finding.why, finding.do, finding.basis, finding.group)
            rules.setdefault(finding.rule, made)
    return [rules[id] for id in sorted(rules)]


def rule_entry(rule: Judged) -> dict[str, Any]:
    """A rule as a reporting descriptor."""
    title = rule.id.replace("-", " ")
    text = f"{rule.why}\n\nWhat to do: {rule.do}\n\nBasis: {rule.basis}"
    return {
        "id": rule.id,
        "name": rule.id,
        "shortDescription": {"text": title[:1].upper() + title[1:] + "."},
        "fullDescription": {"text": rule.why[:1024] or title},
        "help": {"text": text},
        "defaultConfiguration": {"level": rule.level},
        "properties": {"tags": [rule.group] if rule.group else []},
    }


def fingerprints(findings: Iterable[Finding]) -> list[str]:
    """For each finding the judge's fingerprint and how many equal ones came before it in its file: unique, stable."""
    seen: Counter[tuple[str, str]] = Counter()
    marks = []
    for finding in findings:
        key = (finding.where.file, finding.fingerprint)
        seen[key] += 1
        marks.append(f"{finding.fingerprint}:{seen[key]}" if finding.fingerprint else "")
    return marks


def result(finding: Finding, review: Review, index: int, mark: str, fix: Fix | None, options: Options) -> dict[str, Any]:
    """A finding as a result."""
    holds = finding.verdict == "holds"
    entry: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": index,
        "kind": "fail" if holds else "open",
        "level": finding.level if holds else "none",
        "message": {"text": message(review.units(options).finding(finding))},
        "locations": [location(finding.where, options, snippet=quoted(finding.where, review))],
        "relatedLocations": [location(place, options) for place in finding.also[:MOST_RELATED] if place.file],
        "properties": {
            "verdict": finding.verdict,
            "ruleLevel": finding.level,
            "rules": list(finding.rules or (finding.rule,)),
            "subject": dict(finding.subject),
            "evidence": [evidence_entry(item, options) for item in finding.evidence],
            "missing": [missing_entry(missing, options) for missing in finding.missing],
        },
    }
    if mark:
        # The first key is the one code-scanning hosts match by; the second says whose method it is.
        entry["partialFingerprints"] = {"primaryLocationLineHash": mark, "coolcheck/v1": mark}
    if fix is not None:
        entry["fixes"] = [fix_entry(fix, options)]
    return entry


def message(finding: Finding) -> str:
    """What is wrong, what is missing, what to do: the first sentence is the title on many hosts."""
    questions = " ".join(missing.question for missing in finding.missing)
    first = finding.says if finding.says[-1:] in ".?!" else finding.says + "."
    return " ".join(part for part in (first, f"Missing: {questions}" if questions else finding.do) if part)


def quoted(place: Place, review: Review) -> str:
    """The line of the program there, "" when it was not kept."""
    return review.quotes.get((place.file, place.line), "")


def location(place: Place, options: Options, snippet: str = "") -> dict[str, Any]:
    """A place as a location; without a line it is the file as a whole."""
    physical: dict[str, Any] = {"artifactLocation": {"uri": uri(place.file, options)}}
    if place.line:
        physical["region"] = region(place)
        if snippet and place.column:
            physical["contextRegion"] = {"startLine": place.line, "snippet": {"text": snippet}}
    return {"physicalLocation": physical}


def region(place: Place) -> dict[str, int]:
    """Lines and columns from 1, the end column behind the last character: SARIF counts as we do."""
    entry = {"startLine": place.line}
    if place.column:
        entry["startColumn"] = place.column
    if place.end_line and place.end_line != place.line:
        entry["endLine"] = place.end_line
    if place.end_column > (place.column if place.end_line in (0, place.line) else 0):
        entry["endColumn"] = place.end_column
    return entry


def uri(file: str, options: Options) -> str:
    """A relative URI reference with forward slashes. A colon would make a scheme of what stands before it."""
    return quote(options.file(file), safe="/@!$&'()*+,;=~-._", errors="surrogateescape") if file else "."


def fix_entry(fix: Fix, options: Options) -> dict[str, Any]:
    """A change, as replacements in the program as it was read."""
    changes: dict[str, list[dict[str, Any]]] = {}
    for place, text in fix.edits:
        edit = {"deletedRegion": deleted(place), "insertedContent": {"text": text}}
        changes.setdefault(uri(place.file, options), []).append(edit)
    return {
        "description": {"text": fix.says},
        "artifactChanges": [{"artifactLocation": {"uri": at}, "replacements": edits} for at, edits in changes.items()],
    }


def deleted(place: Place) -> dict[str, int]:
    """The stretch that goes away; equal start and end is an insertion."""
    return {
        "startLine": place.line,
        "startColumn": place.column,
        "endLine": place.end_line or place.line,
        "endColumn": place.end_column or place.column,
    }


def artifact(review: Review, options: Options) -> dict[str, Any]:
    """A program with its hash, so that the log can be checked against what runs on the machine."""
    entry: dict[str, Any] = {"location": {"uri": uri(review.program, options)}, "roles": ["analysisTarget"]}
    if review.sha256:
        entry["hashes"] = {"sha-256": review.sha256}
    return entry


def problems(reviews: Sequence[Review], options: Options) -> list[dict[str, Any]]:
    """Programs that could not be reviewed: never dropped silently."""
    return [notification(problem, options) for review in reviews for problem in review.problems]


def notification(problem: Problem, options: Options) -> dict[str, Any]:
    """A problem as a notification."""
    text = ". ".join(part for part in (problem.says, problem.do) if part)
    return {"level": "error", "message": {"text": text}, "locations": [location(problem.place, options)]}


def cut(found: Sequence[object]) -> list[dict[str, Any]]:
    """Says so when there were more results than a host keeps."""
    left = len(found) - MOST_RESULTS
    if left <= 0:
        return []
    text = f"{left} more findings are not in this log; the {MOST_RESULTS} most harmful are"
    return [{"level": "warning", "message": {"text": text}}]
