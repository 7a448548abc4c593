import io
from dataclasses import replace

import junitparser
from made_reviews import BROKEN, CLEAN, DEEP_PECK, LEFT_ON, ONE_PASS, OPTIONS, REVIEW, RULES

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
        "tap-after-flooded-peck": ["Skipped"],  # it waits for the same answer: not passed, and no further failure
    }


def test_each_finding_that_counts_is_one_failure_as_in_the_text():
    twice = replace(DEEP_PECK, subject=(("tool", "T14"),), where=replace(DEEP_PECK.where, line=300))
    again = replace(twice, where=replace(DEEP_PECK.where, line=400))
    xml = read_back(replace(REVIEW, findings=(DEEP_PECK, twice, again, ONE_PASS, LEFT_ON)))

    assert xml.failures == 4
    failing = [name for name, result in results(xml).items() if result == ["Failure"]]
    rule = DEEP_PECK.rule
    assert failing == [f"{rule} T12", f"{rule} T14", f"{rule} T14 (2)", ONE_PASS.rule]


def test_a_rule_that_waits_says_for_which_question():
    case = next(case for suite in read_back(REVIEW) for case in suite if case.name == "tap-after-flooded-peck")

    assert case.result[0].message == "cannot be decided: what is asked at one-pass-not-proved would decide it"


def test_an_inch_program_is_told_in_inches():
    found = replace(DEEP_PECK, says="T12 goes 17.8 mm deep", measures=(("17.8 mm", 17.78),))
    xml = read_back(replace(REVIEW, findings=(found,), unit="inch"))

    assert next(case for suite in xml for case in suite if case.result).result[0].message == "T12 goes 0.7 in deep"


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

    assert [(suite.tests, suite.failures, suite.errors) for suite in xml] == [(5, 2, 0), (1, 0, 1), (5, 0, 0)]
    assert (xml.tests, xml.failures, xml.errors) == (11, 2, 1)


def test_characters_that_xml_forbids_do_not_break_the_file():
    hostile = replace(LEFT_ON, level="error", says="\x00\x1b[31m ]]> <script>&\ud800 (穴)")

    xml = read_back(replace(REVIEW, findings=(hostile, ONE_PASS)))

    message = next(case.result[0].message for suite in xml for case in suite if case.name == LEFT_ON.rule)
    assert message == "\ufffd\ufffd[31m ]]> <script>&\ufffd (穴)"
