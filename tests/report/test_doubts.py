"""A code that nobody explained is told in a few words, not as every mode that it could concern."""

import io
from dataclasses import replace
from pathlib import Path

import pytest
from made_reviews import OPERATION, OPTIONS, REVIEW

from coolcheck.folder.one import Settings, process_bytes, review_bytes
from coolcheck.report import demand, holes, html, timeline
from coolcheck.report.rows import ChainRow, LinkRow

PROGRAM = b"G21 G90 G94\nT5 M6\nS3000 M3\nG0 X1 Y1 Z5\nM57\nG81 Z-10 R2 F300\nG80 M9\nT6 M6\nS300 M3\nG0 Z5\nG81 Z-9 R2 F300\nG80\nM30\n"
EXPLAINED = "machine: m\ncodes:\n  - {code: M57, on: [through_tool]}\n  - {code: M58, off: [through_tool]}\n"


def rendered(write, review):
    out = io.StringIO()
    write(review, out, OPTIONS)
    return out.getvalue()


@pytest.mark.parametrize("write", [timeline.as_text, holes.as_text, demand.as_text])
def test_a_table_names_the_code_and_asks_for_it_once(write):
    shown = rendered(write, process_bytes(PROGRAM, "", Settings()))
    table, _, legend = shown.partition("not known is which fluid is commanded; what would tell:")

    assert "not known: M57" in " ".join(table.split()) or "known: M57" in " ".join(table.split())
    assert "wash" not in table and "through air" not in table
    assert legend.count("what does M57 do on this machine? (`codes` of machine)") == 1


@pytest.mark.parametrize("write", [timeline.as_text, holes.as_text, demand.as_text])
def test_a_table_of_explained_codes_has_no_such_line(write, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("machines").mkdir()
    Path("machines/m.yaml").write_text(EXPLAINED)
    Path("O1.job.yaml").write_text("job: j\nprograms: [O1.nc]\nmachine: m\n")
    shown = rendered(write, process_bytes(PROGRAM.partition(b"T6")[0] + b"M30\n", "O1.nc", Settings()))

    assert "through" in shown
    assert "not known is which" not in shown and "not known:" not in shown


def test_a_page_names_the_code_and_not_each_mode_it_could_concern():
    out = io.StringIO()
    html.render([review_bytes(PROGRAM, "", Settings())], out, OPTIONS)

    assert "not known: M57" in out.getvalue()
    assert "Which fluid is commanded while it cuts is not known: M57." in out.getvalue()
    assert "minimum quantity ? commanded" not in out.getvalue() and "minimum quantity: " not in out.getvalue()


def test_a_chain_of_which_nobody_says_that_it_is_commanded_is_not_called_commanded():
    links = (LinkRow("commanded", "unknown", "not told"), LinkRow("reach", "no", "deep"))
    row = replace(OPERATION, fluid=("ring?",), chains=(ChainRow("ring", "no", "starved_by_depth", "commanded", links),))
    out = io.StringIO()
    html.render([replace(REVIEW, operations=(row,))], out, OPTIONS)

    assert "ring: nobody has told whether it is commanded" in out.getvalue()
    assert "ring: commanded" not in out.getvalue()
