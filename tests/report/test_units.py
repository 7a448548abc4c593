"""What people read in inch units is the metric value by the published factors; JSON stays metric."""

import io
import json as plain_json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_reviews import DEEP_PECK, HOLES, OPTIONS, REVIEW

from coolcheck.folder.one import Settings, process_bytes
from coolcheck.known import Evidence
from coolcheck.report import demand, holes, html, json, text, timeline
from coolcheck.report.shown import Units

INCH = Units(is_inch=True)
# NIST SP 811 (2008), appendix B: 1 in = 25.4 mm, 1 ft = 0.3048 m and 1 US gallon = 3.785412 L, 1 psi = 6.894757 kPa
BY_SP_811 = [("mm", 25.4, 1), ("mm/min", 25.4, 1), ("m/min", 0.3048, 1), ("bar", 0.06894757, 1), ("L/min", 3.785412, 1)]
INCHES = replace(OPTIONS, units="inch")


@pytest.mark.parametrize(("unit", "metric", "inch"), BY_SP_811)
def test_a_value_is_that_of_the_published_factor(unit, metric, inch):
    assert INCH.value(metric, unit) == pytest.approx(inch, rel=1e-6)
    assert Units().value(metric, unit) == metric


@given(st.floats(0.01, 5000), st.sampled_from([row[0] for row in BY_SP_811]))
def test_a_sentence_and_a_piece_of_evidence_tell_the_same(value, unit):
    told = INCH.told(float(f"{value:.4g}"), unit)

    assert INCH.sentence(f"it needs {value:.4g} {unit} here") == f"it needs {told} here"
    assert INCH.evidence(Evidence("x", value, unit)).value == pytest.approx(INCH.value(value, unit))


@pytest.mark.parametrize("text", ["write `LU: 80 mm`", "T12 mm", "10 mm²/s", "M8.5 mm", "80 barrels", "300 rpm"])
def test_what_is_no_measure_stays(text):
    assert INCH.sentence(text) == text


def rendered(write, review, options):
    out = io.StringIO()
    write(review, out, options)
    return out.getvalue()


def test_tables_of_an_inch_program_are_in_inches_unless_told():
    review = process_bytes(b"G20 G90 G94\nT1 M6\nS900 M3 M8\nG0 X1. Y0 Z.1\nG81 Z-1.5 R.1 F9.\nG80\nM30\n", "", Settings())

    assert "X1 Y0" in rendered(holes.as_text, review, OPTIONS)
    assert "dia and deep in inch" in rendered(holes.as_text, review, OPTIONS)
    assert "X25.4 Y0" in rendered(holes.as_text, review, replace(OPTIONS, units="mm"))
    assert "deep in" in rendered(timeline.as_text, review, OPTIONS)
    assert "need psi" in rendered(demand.as_text, review, OPTIONS) and "US gallon" in rendered(demand.as_text, review, OPTIONS)


def test_a_report_in_inches_turns_evidence_and_sentences():
    finding = replace(DEEP_PECK, says="T12 pecks 80 mm deep", do="drill 25.4 mm more")
    review = replace(REVIEW, findings=(finding,), unit="inch")
    shown = " ".join(rendered(lambda r, out, options: text.render([r], out, options), review, OPTIONS).split())

    assert "T12 pecks 3.15 in deep" in shown and "drill 1 in more" in shown
    assert "LU of T12 3.346 in" in shown and "pressure at the tip 464.7 psi" in shown


def test_a_page_in_inches_has_no_millimetres_in_its_tables():
    page = rendered(lambda r, out, options: html.render([r], out, options), REVIEW, INCHES)

    assert "Ø in" in page and "3.15 in" in page
    assert "Ø mm" not in page and "80 mm" not in page


def test_json_stays_metric():
    found = plain_json.loads(rendered(lambda r, out, options: json.render([r], out, options), REVIEW, INCHES))

    assert found["programs"][0]["holes"][0]["steps"][0]["depth_mm"] == HOLES[0].steps[0].depth_mm
    assert found["programs"][0]["findings"][0]["evidence"][1] | {"from": None} == {
        "name": "LU of T12", "value": 85.0, "unit": "mm", "from": None,
    }  # fmt: skip
