import io
import json
from dataclasses import replace

from made_reviews import BROKEN, CLEAN, DEEP_PECK, OPTIONS, REVIEW

from coolcheck.report import code_quality

SEVERITIES = ("info", "minor", "major", "critical", "blocker")


def written(*reviews):
    out = io.StringIO()
    code_quality.render(reviews, out, OPTIONS)
    return json.loads(out.getvalue())


def test_every_issue_has_what_the_host_asks_for():
    # As the host documents it: description, check_name, fingerprint, severity, location.path, location.lines.begin.
    for issue in written(REVIEW, BROKEN):
        assert issue["description"] and issue["check_name"]
        assert issue["severity"] in SEVERITIES
        assert not issue["location"]["path"].startswith(("/", "./"))
        assert issue["location"]["lines"]["begin"] >= 1


def test_nothing_found_is_an_empty_array():
    assert written(CLEAN) == []
    assert written() == []


def test_equal_findings_have_fingerprints_of_their_own_or_they_show_as_one():
    issues = written(replace(REVIEW, findings=(DEEP_PECK, DEEP_PECK)))

    assert len({issue["fingerprint"] for issue in issues}) == 2


def test_a_fingerprint_does_not_depend_on_the_line():
    moved = replace(DEEP_PECK, where=replace(DEEP_PECK.where, line=999))

    before, after = written(replace(REVIEW, findings=(DEEP_PECK,))), written(replace(REVIEW, findings=(moved,)))

    assert before[0]["fingerprint"] == after[0]["fingerprint"]


def test_what_cannot_be_decided_stands_below_what_holds_and_an_unread_program_above_all():
    assert [issue["severity"] for issue in written(REVIEW, BROKEN)] == ["critical", "major", "minor", "blocker"]
