"""What the table of operations says of the fluid at the edge."""

from pathlib import Path

import pytest

from coolcheck.report.rows import operation_row
from coolcheck.report.timeline import fluid_words
from tests.judge.cases import Case, timeline_of

HEAD = "G21 G17 G90 G94 G98\nT1 M6\nS3000 M3\nG54 G0 X0 Y0\n"


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("G43 H1 Z5.\nG81 Z-20. R2. F600\n", ["none commanded"]),
        ("G43 H1 Z5.\nM8\nG81 Z-20. R2. F600\nM9\nX20.\n", ["flood: yes", "none commanded"]),
        ("G91 G28 Z0\nM57\nG81 Z-20. R2. F600\n", ["?"]),
    ],
)
def test_where_nobody_knows_where_it_cuts_nobody_knows_its_fluid(tmp_path: Path, body: str, told: list[str]) -> None:
    timeline = timeline_of(Case("", 1, "", "", HEAD + body + "G80\nG90 G0 Z50.\nM30\n", {}), tmp_path)

    assert [fluid_words(operation_row(operation)).split(",")[0] for operation in timeline.operations] == told
