import io
from dataclasses import replace
from types import SimpleNamespace

import pytest
from made_reviews import OPERATION, OPTIONS, PROGRAM, REVIEW

from coolcheck.known import Evidence, Missing, known, no, unknown, yes
from coolcheck.report import demand
from coolcheck.report.demand import Compared, Demand

BORE = Missing("holder collet-a", "bore", "how wide is the passage in collet-a?")
NONE = Missing("program", "", "T12 has no passages: no pressure builds up in it")


def one(needed=known(20.0), there=known(25.0), commanded=yes()):  # noqa: B008  (frozen values)
    flow = Compared("flow", "L/min", known(4.0), known(8.0))
    return Demand(OPERATION, commanded, (Compared("pressure", "bar", needed, there), flow))


@pytest.fixture
def text_of(monkeypatch):
    def call(*demands, **options):
        monkeypatch.setattr(demand, "demands", lambda timeline: iter(demands))
        out = io.StringIO()
        demand.as_text(replace(REVIEW, timeline=SimpleNamespace(operations=())), out, replace(OPTIONS, **options))
        return out.getvalue()

    return call


def test_the_margin_is_the_smallest_of_what_is_compared():
    assert one().margin == pytest.approx(0.25)
    assert one(there=known(10.0)).margin == pytest.approx(-0.5)


def test_half_an_answer_is_no_margin():
    assert one(there=unknown(BORE)).margin is None


def test_what_would_only_be_there_if_it_were_commanded_stands_in_brackets(text_of):
    assert "(25)" in text_of(one(commanded=no()))
    assert "would be there if through-tool fluid were commanded" in text_of(one(commanded=no()))
    assert "(25)" not in text_of(one())


def test_a_question_is_asked_once_for_all_its_tools(text_of):
    other = replace(one(there=unknown(BORE)), row=replace(OPERATION, tool=14))

    shown = text_of(one(there=unknown(BORE)), other)

    assert shown.count("how wide is the passage in collet-a?") == 1
    assert "for T12 and T14" in " ".join(shown.split())


def test_a_number_that_cannot_be_is_told_apart_from_one_that_is_not_known(text_of):
    shown = text_of(one(there=unknown(NONE)))

    assert "- there is no such number:\n  - T12 has no passages" in shown
    assert "?" not in shown


def test_full_evidence_gives_formula_and_source_once(text_of):
    evidence = Evidence("pressure at the tool", 25.0, "bar", None, "computed", "operating point; invented for this test")

    full = text_of(one(there=known(25.0, evidence)), evidence="full")

    assert "  pressure at the tool = 25 bar, computed\n      operating point; invented for this test" in full
    assert "operating point" not in text_of(one(there=known(25.0, evidence)))


def test_a_review_without_its_timeline_is_refused():
    with pytest.raises(ValueError, match="without its timeline"):
        demand.as_text(REVIEW, io.StringIO(), OPTIONS)


def test_the_same_as_json_names_units_and_margins(monkeypatch):
    monkeypatch.setattr(demand, "demands", lambda timeline: iter([one(there=unknown(BORE))]))

    document = demand.document(replace(REVIEW, timeline=SimpleNamespace()), OPTIONS)

    pressure, flow = document["operations"][0]["compared"]
    assert document["program"] == PROGRAM
    assert (pressure["unit"], pressure["needed"], pressure["there"], pressure["margin"]) == ("bar", 20.0, None, None)
    assert pressure["missing"][0]["field"] == "bore"
    assert flow["margin"] == 1.0
