"""JUnit XML: a program is a suite, a rule is a test case, so a rule keeps its history in the CI system.

There is no standard; this is the form the common CI systems read (testsuites, testsuite, testcase with failure, error
or skipped).
"""

import re
from collections.abc import Sequence
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
    failing = set(map(id, review.failing(options)))
    for rule in dict.fromkeys([rule.id for rule in review.rules] + [finding.rule for finding in review.findings]):
        # One question may stand for several rules: none of them has passed.
        found = [finding for finding in review.findings if rule == finding.rule or rule in finding.rules]
        rule_case(case(node, name, rule), found, [f for f in found if id(f) in failing], review, options)
    count(node)


def case(node: Element, name: str, title: str) -> Element:
    """A test case of this program."""
    return SubElement(node, "testcase", classname=name, name=title, file=name)


def rule_case(node: Element, found: Sequence[Finding], failing: Sequence[Finding], review: Review, options: Options) -> None:
    """Fails when a finding counts; what does not count is told, and skipped when it could not be decided."""
    if not found:
        return
    plain = Options(options.evidence, False, 100, False, options.fail_on, options.counts_undecided, options.base)
    text = allowed("\n".join(line for finding in found for line in finding_lines(finding, review, plain)))
    if found[0].where.line:
        node.set("line", str(found[0].where.line))
    if failing:
        kind = failing[0].level if failing[0].verdict == "holds" else "undecided"
        SubElement(node, "failure", message=allowed(failing[0].says), type=kind).text = text
    elif all(finding.verdict != "holds" for finding in found):
        SubElement(node, "skipped", message=allowed("cannot be decided: " + found[0].says))
        SubElement(node, "system-out").text = text
    else:
        SubElement(node, "system-out").text = text


def count(node: Element) -> None:
    """Writes the counts that readers expect on the suite."""
    cases = node.findall("testcase")
    node.set("tests", str(len(cases)))
    for name, kind in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        node.set(name, str(sum(child.find(kind) is not None for child in cases)))


def allowed(text: str) -> str:
    """`text` without what XML 1.0 forbids: NUL and other control characters stand in tape leaders."""
    return FORBIDDEN.sub("\ufffd", text)
