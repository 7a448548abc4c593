"""What people read in inch units is the metric value by the published factors; JSON stays metric."""

import io
import json as plain_json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_reviews import DEEP_PECK, HOLES, OPTIONS, REVIEW

from coolcheck.folder.one import Settings, process_bytes, review_file
from coolcheck.known import Evidence
from coolcheck.report import annotations, code_quality, demand, holes, html, json, junit, sarif, text, timeline
from coolcheck.report.shown import Units

INCH = Units(is_inch=True)
# NIST SP 811 (2008), appendix B: 1 in = 25.4 mm, 1 ft = 0.3048 m and 1 US gallon = 3.785412 L, 1 psi = 6.894757 kPa
BY_SP_811 = [("mm", 25.4, 1), ("mm/min", 25.4, 1), ("m/min", 0.3048, 1), ("bar", 0.06894757, 1), ("L/min", 3.785412, 1)]
INCHES = replace(OPTIONS, units="inch")
FULL = replace(OPTIONS, evidence="full", width=200)


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


INCH_JOB = {
    "O1.job.yaml": "job: inch\nprograms: [O1.nc]\ntop: 0 in\ntools:\n  - {T: 2, tool: drill F}\n  - {T: 3, tool: tap}\n",
    "tools/drill.yaml": "tool: drill F\nkind: drill\nDC: 0.257 in\nLU: 1.0625 in\nSIG: 118 deg\n",
    "tools/tap.yaml": "tool: tap\nkind: tap\nTDZ: 5/16-18\nTP: 1/18 in\nDC: 5/16 in\nTHCHT: C\nNOF: 3\nLU: 1.6 in\n",
    "O1.nc": "G20 G90 G94 G54\nT2 M6\nS1500 M3\nG0 X1. Y1. Z1.\nG98 G81 Z-.75 R.1 F6.\nG80\nT3 M6\nS300 M3\nG0 Z1.\n"
    "G98 G84 Z-.7 R.3 F16.667\nG80\nT2 M6\nS1500 M3\nG0 X2. Y1. Z1.\nG98 G81 Z-1.0626 R.1 F6.\nG80\nM30\n",
}


@pytest.fixture
def inch_review(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name, content in INCH_JOB.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(content)
    return review_file(Path("O1.nc"), Settings())


def test_what_an_inch_program_and_its_records_state_is_told_as_stated(inch_review):
    shown = " ".join(rendered(lambda r, out, options: text.render([r], out, options), inch_review, FULL).split())

    assert "T3 goes 0.7 in deep into a hole of 0.75 in;" in shown  # 17.8 mm and 19 mm in round numbers
    assert "T2 goes 1.0626 in deep; its usable length is 1.0625 in" in shown  # both 27 mm in round numbers
    assert "LU of drill F = 1.0625 in" in shown


def test_the_same_finding_in_millimetres_is_rounded_as_before(inch_review):
    shown = " ".join(
        rendered(lambda r, out, options: text.render([r], out, options), inch_review, replace(FULL, units="mm")).split()
    )

    assert "T3 goes 17.8 mm deep into a hole of 19 mm;" in shown


def test_feed_and_places_of_an_inch_program_are_told_as_stated(inch_review):
    tapped = inch_review.operations[1]

    assert INCH.told(tapped.feed_mm_min, "mm/min") == "16.667 in/min"
    assert INCH.told(25.4 * 1.0625, "mm") == "1.0625 in" and INCH.told(25.4 / 18, "mm") == "0.05556 in"


def test_measures_with_one_rounded_form_keep_their_order():
    measures = [("27 mm", 26.98), ("27 mm", 27.02)]

    assert INCH.sentences(("27 mm into 27 mm", "27 mm"), measures) == ("1.062 in into 1.064 in", "1.064 in")


@pytest.mark.parametrize("form", [annotations, code_quality, junit, sarif])
def test_a_message_for_people_in_any_format_has_the_units_of_the_program(form):
    finding = replace(DEEP_PECK, says="T12 goes 17.8 mm deep", measures=(("17.8 mm", 17.78),))
    review = replace(REVIEW, findings=(finding,), unit="inch")

    assert "T12 goes 0.7 in deep" in rendered(lambda r, out, options: form.render([r], out, options), review, OPTIONS)
    assert "T12 goes 17.8 mm deep" in rendered(
        lambda r, out, options: form.render([r], out, options), review, replace(OPTIONS, units="mm")
    )
