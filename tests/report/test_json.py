import io
import json
import math
from dataclasses import replace

import jsonschema
from made_reviews import BROKEN, CLEAN, DEEP_PECK, OPTIONS, REVIEW

from coolcheck.known import Evidence
from coolcheck.place import Place
from coolcheck.report import json as json_report


def written(*reviews, **changes):
    out = io.StringIO()
    json_report.render(reviews, out, replace(OPTIONS, **changes))
    return json.loads(out.getvalue(), parse_constant=lambda name: (_ for _ in ()).throw(ValueError(name)))


def validate(document):
    jsonschema.Draft202012Validator.check_schema(json_report.schema())
    jsonschema.Draft202012Validator(json_report.schema()).validate(document)


def test_what_is_written_keeps_to_the_published_schema():
    validate(written(REVIEW, BROKEN, CLEAN))


def test_nothing_at_all_is_a_valid_report_too():
    validate(written())


def test_the_schema_refuses_what_it_does_not_name():
    document = written(REVIEW)
    document["programs"][0]["findings"][0]["severity"] = "high"

    try:
        validate(document)
    except jsonschema.ValidationError as fault:
        assert "severity" in fault.message
    else:
        raise AssertionError("an unknown key passed the schema")


def test_every_finding_carries_place_evidence_and_what_is_missing():
    first, second, _ = written(REVIEW)["programs"][0]["findings"]

    assert first["where"] == {"file": "programs/O1203.nc", "line": 214, "column": 1, "end_line": 214, "end_column": 12}
    assert first["evidence"][1]["from"] == {
        "source": "record",
        "where": {"file": "tools/T12.yaml", "line": 3, "column": 5, "end_line": 3, "end_column": 0},
        "note": None,
    }
    assert second["verdict"] == "undecided"
    assert second["missing"][0]["file"] == "holders/collet-a.yaml"
    assert second["missing"][0]["field"] == "sealed"


def test_missing_lists_each_question_once_with_the_rules_that_wait():
    twice = replace(REVIEW, findings=(*REVIEW.findings, replace(REVIEW.findings[1], rule="another-rule", rules=())))

    missing = written(twice)["programs"][0]["missing"]

    assert [entry["rules"] for entry in missing] == [["one-pass-not-proved", "tap-after-flooded-peck", "another-rule"]]


def test_numbers_that_are_none_become_null_and_rounded_ones_keep_their_meaning():
    values = (math.nan, math.inf, 0.1 + 0.2, 123456.789, ("a", 1.0))
    finding = replace(DEEP_PECK, evidence=tuple(Evidence("x", value) for value in values))

    evidence = written(replace(REVIEW, findings=(finding,)))["programs"][0]["findings"][0]["evidence"]

    assert [entry["value"] for entry in evidence] == [None, None, 0.3, 123457.0, ["a", 1.0]]


def test_paths_are_relative_to_the_working_folder_with_forward_slashes(tmp_path):
    inside = replace(DEEP_PECK, where=Place(str(tmp_path / "programs" / "O1.nc"), 1))
    review = replace(REVIEW, program=str(tmp_path / "programs" / "O1.nc"), findings=(inside,))

    program = written(review, base=tmp_path)["programs"][0]

    assert program["program"] == "programs/O1.nc"
    assert program["findings"][0]["where"]["file"] == "programs/O1.nc"


def test_counts_and_exit_code_follow_the_threshold():
    def exit_code(**changes):
        return written(REVIEW, **changes)["exit_code"]

    assert exit_code(fail_on="error") == 1
    assert exit_code(fail_on="never") == 0
    assert written(BROKEN, fail_on="never")["exit_code"] == 2
    assert written(CLEAN)["exit_code"] == 0


def test_a_review_without_its_timeline_says_the_same():
    assert written(REVIEW.plain()) == written(REVIEW)
