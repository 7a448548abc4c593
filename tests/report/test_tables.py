import io
import json
from dataclasses import replace

import pytest
from made_reviews import CLEAN, HOLES, OPERATION, OPTIONS, REVIEW

from coolcheck.report import holes, timeline
from coolcheck.report.cells import width
from coolcheck.report.tables import Column, table


def text_of(module, review, **options):
    out = io.StringIO()
    module.as_text(review, out, replace(OPTIONS, **options))
    return out.getvalue()


def test_a_cell_too_long_for_its_column_goes_on_below():
    rows = [["1", "through tool: unknown, holder"]]

    assert list(table([Column("no", right=True), Column("fluid", wraps=True)], rows, 22)) == [
        "no  fluid",
        "--  ------------------",
        " 1  through tool:",
        "    unknown, holder",
    ]


@pytest.mark.parametrize("module", [timeline, holes])
@pytest.mark.parametrize("title", ["DRILL 8.5", "深穴加工用ドリル 長い題名 " * 3])
def test_tables_keep_to_80_columns(module, title):
    wide = replace(OPERATION, title=title, start_s=None)

    shown = text_of(module, replace(REVIEW, operations=(wide,) * 3))

    assert max(map(width, shown.splitlines())) <= 80


def test_the_timeline_says_where_the_fluid_stops():
    shown = " ".join(text_of(timeline, REVIEW, width=120).split())

    assert "3 210 T12 peck drill (DRILL 8.5) 7:05 1:02 19.2 s 80 through tool: unknown, holder" in shown


def test_holes_of_one_history_share_a_row():
    shown = text_of(holes, REVIEW)

    assert "1-2   X10 Y20     T12   peck drill" in shown
    assert "and 1 more" in shown
    assert "9.4" in shown
    assert "14 out" in shown
    assert "2 holes, 1 history, G54" in shown


def test_a_hole_with_another_fluid_is_another_history():
    other = replace(HOLES[1], steps=(replace(HOLES[1].steps[0], fluid=("flood",)),))

    assert "2 holes, 2 histories" in text_of(holes, replace(REVIEW, holes=(HOLES[0], other)))


def test_the_same_as_json():
    out = io.StringIO()
    timeline.as_json(REVIEW, out, OPTIONS)
    holes_out = io.StringIO()
    holes.as_json(REVIEW, holes_out, OPTIONS)

    assert json.loads(out.getvalue())["operations"][0]["peck_s"] == 19.25
    assert [hole["steps"][0]["strokes"] for hole in json.loads(holes_out.getvalue())["holes"]] == [14, 14]


def test_a_program_without_holes_says_so():
    assert "no hole was found" in text_of(holes, CLEAN)
