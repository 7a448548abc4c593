import io
from dataclasses import replace

import junitparser
from made_reviews import BROKEN, CLEAN, LEFT_ON, ONE_PASS, OPTIONS, REVIEW, RULES

from coolcheck.report import junit


def read_back(*reviews, **changes):
    """What a reader of such files from outside this project (the PyPI package junitparser) makes of it."""
    out = io.StringIO()
    junit.render(reviews, out, replace(OPTIONS, **changes))
    return junitparser.JUnitXml.fromstring(out.getvalue().encode("utf-8"))


def results(xml):
    return {case.name: [type(result).__name__ for result in case.result] for suite in xml for case in suite}


def test_a_rule_is_a_case_and_fails_where_a_finding_counts():
    assert results(read_back(REVIEW)) == {
        "can be reviewed": [],
        "deep-peck-with-capable-drill": ["Failure"],
        "one-pass-not-proved": ["Failure"],
        "fluid-on-at-tool-change": [],
        "tap-after-flooded-peck": ["Failure"],  # it waits for the same answer
    }


def test_what_cannot_be_decided_is_skipped_when_it_does_not_count():
    cases = results(read_back(REVIEW, counts_undecided=False))

    assert cases["one-pass-not-proved"] == ["Skipped"]


def test_a_clean_program_shows_its_passing_cases():
    xml = read_back(CLEAN)

    assert (xml.tests, xml.failures, xml.errors) == (1 + len(RULES), 0, 0)


def test_a_program_that_could_not_be_reviewed_is_an_error():
    xml = read_back(BROKEN)

    assert (xml.tests, xml.errors) == (1, 1)


def test_the_suite_counts_what_it_holds():
    xml = read_back(REVIEW, BROKEN, CLEAN)

    assert [(suite.tests, suite.failures, suite.errors) for suite in xml] == [(5, 3, 0), (1, 0, 1), (5, 0, 0)]
    assert (xml.tests, xml.failures, xml.errors) == (11, 3, 1)


def test_characters_that_xml_forbids_do_not_break_the_file():
    hostile = replace(LEFT_ON, level="error", says="\x00\x1b[31m ]]> <script>&\ud800 (穴)")

    xml = read_back(replace(REVIEW, findings=(hostile, ONE_PASS)))

    message = next(case.result[0].message for suite in xml for case in suite if case.name == LEFT_ON.rule)
    assert message == "\ufffd\ufffd[31m ]]> <script>&\ufffd (穴)"
