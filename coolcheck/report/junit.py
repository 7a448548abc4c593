"""JUnit XML: a program is a suite, a rule is a test case, so a rule keeps its history in the CI system.

A finding is one failure: where a rule has several, each has a case of its own; a rule that waits for the answer to a question
which stands at another rule is skipped, and says where.

There is no standard; this is the form the common CI systems read (testsuites, testsuite, testcase with failure, error
or skipped).
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TextIO
from xml.etree import ElementTree
from xml.etree.ElementTree import Element, SubElement

from coolcheck.judge.finding import Finding
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.text import finding_lines

NAME = "junit"
FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, production 2 (Char)


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes one document with a suite for each program."""
    root = Element("testsuites", name="coolcheck")
    for review in reviews:
        suite(root, review, options)
    for name in ("tests", "failures", "errors", "skipped"):
        root.set(name, str(sum(int(child.get(name, "0")) for child in root)))
    ElementTree.indent(root)
    out.write('<?xml version="1.0" encoding="utf-8"?>\n' + ElementTree.tostring(root, encoding="unicode") + "\n")


def suite(root: Element, review: Review, options: Options) -> None:
    """One program: a case for its reading and one for each rule it was held against."""
    name = allowed(options.file(review.program))
    node = SubElement(root, "testsuite", name=name)
    reading = case(node, name, "can be reviewed")
    if review.sha256:
        SubElement(SubElement(node, "properties"), "property", name="sha256", value=review.sha256)
        node.insert(0, node[-1])  # readers want the properties first
    if not review.is_reviewed:
        text = "\n".join(str(problem) for problem in review.problems)
        problem = SubElement(reading, "error", message=allowed(review.problems[0].says), type="not-reviewed")
        problem.text = allowed(text)
    review = review.for_people(review.units(options))
    failing = set(map(id, review.failing(options)))
    for rule in dict.fromkeys([rule.id for rule in review.rules] + [finding.rule for finding in review.findings]):
        found = [finding for finding in review.findings if finding.rule == rule]
        for title, finding in zip(case_names(rule, found), found, strict=True):
            finding_case(case(node, name, title), finding, id(finding) in failing, review, options)
        if not found:
            asking = next((finding for finding in review.findings if rule in finding.rules), None)
            waiting_case(case(node, name, rule), asking)
    count(node)


def case_names(rule: str, found: Sequence[Finding]) -> list[str]:
    """A name for the case of each finding of a rule: the rule where there is one, else with the tool, none twice."""
    if len(found) == 1:
        return [rule]
    names: list[str] = []
    for finding in found:
        tool = dict(finding.subject).get("tool", "")
        name = f"{rule} {tool}".rstrip()
        names.append(name if name not in names else f"{name} ({1 + sum(other.split(' (')[0] == name for other in names)})")
    return names


def case(node: Element, name: str, title: str) -> Element:
    """A test case of this program."""
    return SubElement(node, "testcase", classname=name, name=title, file=name)


def finding_case(node: Element, finding: Finding, fails: bool, review: Review, options: Options) -> None:
    """Fails when the finding counts; what does not count is told, and skipped when it could not be decided."""
    plain = replace(options, is_coloured=False, width=100, wraps_heads=False)
    text = allowed("\n".join(finding_lines(finding, review, plain)))
    if finding.where.line:
        node.set("line", str(finding.where.line))
    if fails:
        kind = finding.level if finding.verdict == "holds" else "undecided"
        SubElement(node, "failure", message=allowed(finding.says), type=kind).text = text
        return
    if finding.verdict != "holds":
        SubElement(node, "skipped", message=allowed("cannot be decided: " + finding.says))
    SubElement(node, "system-out").text = text


def waiting_case(node: Element, asking: Finding | None) -> None:
    """A rule without a finding has passed, unless it waits for an answer that is asked for at another."""
    if asking is not None:
        SubElement(node, "skipped", message=allowed(f"cannot be decided: what is asked at {asking.rule} would decide it"))


def count(node: Element) -> None:
    """Writes the counts that readers expect on the suite."""
    cases = node.findall("testcase")
    node.set("tests", str(len(cases)))
    for name, kind in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        node.set(name, str(sum(child.find(kind) is not None for child in cases)))


def allowed(text: str) -> str:
    """`text` without what XML 1.0 forbids: NUL and other control characters stand in tape leaders."""
    return FORBIDDEN.sub("\ufffd", text)
