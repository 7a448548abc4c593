"""What comments of CAM posts and people say: shapes as they are found in real programs."""

from typing import Any

import pytest

from coolcheck.process.comments import diameter_in, kind_in, pitch_in, remarks, stage_in
from coolcheck.records import quantity
from coolcheck.records.program_tools import tools_of


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("8.5MM TAP DRILL", "drill"),
        ("M8X1.25 TAP", "tap"),
        ("3/8-16 FORM TAP", "tap"),
        ("1/2 SPOT DRILL", "spot"),
        ("CENTER DRILL 60 DEG", "spot"),
        ("1/4 COUNTERSINK 82 DEGREE", "chamfer"),
        ("1/4X90 MILL DRILL", "chamfer"),
        ("REAMER 8 H7", "ream"),
        ("FINISH BORE", "bore"),
        ("GUN DRILL 6", "gun_drill"),
        ("M10 THREAD MILL", "thread_mill"),
        ('2" FACE MILL', "face"),
        ("1/16 FLAT ENDMILL", "mill"),
        ("2D POCKET1", "mill"),
        ("PROBE BORE", "probe"),
        ("WASH DOWN", "wash"),
        ("ENGRAVE SERIAL", "engrave"),
        ("Drilling006", "drill"),
        ("MIND THE CLAMP", ""),
        ("TAPER 3 DEG", ""),
        ("DRILLFIXTURE", ""),
    ],
)
def test_words_of_the_trade_tell_the_kind_of_work(text: str, kind: str) -> None:
    assert kind_in(text) == kind


@pytest.mark.parametrize(
    ("text", "stage"),
    [
        ("ROUGH POCKET", "rough"),
        ("SEMI-FINISH WALL", "finish"),
        ("FIN FLOOR", "finish"),
        ("ROUGH AND FINISH", ""),
        ("FINAL CHECK", ""),
    ],
)
def test_the_stage_is_rough_or_finish_or_not_told(text: str, stage: str) -> None:
    assert stage_in(text) == stage


@pytest.mark.parametrize(
    ("text", "units", "mm"),
    [
        ("T1 D=10. CR=0. - ZMIN=-5. - flat end mill", 21, 10.0),
        ("T1  D=0.5 CR=0. TAPER=118deg - DRILL", 20, 12.7),
        ("1/16 FLAT ENDMILL TOOL - 1 DIA. OFF. - 1 LEN. - 1 DIA. - .0625", 20, 1.5875),
        ('TOOL - 6 2" FACE MILL DIA. OFF. - 6 LEN. - 6 DIA. - 2.', 20, 50.8),
        ("8.5 MM DRILL", 20, 8.5),
        ("1/4 DRILL", 20, 6.35),
        ("1-1/2 DRILL", 20, 38.1),
        ("6.8 DRILL", 21, 6.8),
        ("M8X1.25 TAP", 20, 8.0),
        ("1/4-20 TAP", 21, 6.35),
        ("#10-32 TAP", 21, 4.826),
        ("DRILL", 21, None),
        ("NO. 32 DRILL", 20, 2.9464),
        ("#7 DRILL", 20, 5.1054),
        ("LETTER F DRILL", 20, 6.5278),
        ("DRILL 8.5", 21, 8.5),
        ("DRILL D8.5", 21, 8.5),
        ("TAP M8", 21, 8.0),
        ("T3 - 5/16-18 TAP", 20, 7.9375),
        ("TOOL 3 - 5/16-18 TAP", 20, 7.9375),
        ("DRILL 8.5 DEEP 40", 21, 8.5),
        ("DRILL 40 DEEP 8.5", 21, None),
        ("6.8 DRILL", None, None),
    ],
)
def test_a_diameter_is_read_with_its_unit_or_that_of_the_program(text: str, units: int | None, mm: float | None) -> None:
    found = diameter_in(text, units)

    assert found is None if mm is None else found == pytest.approx(mm * 1e-3)


def test_a_pitch_is_read_in_millimetres_or_threads_per_inch() -> None:
    assert pitch_in("M8X1.25 TAP") == pytest.approx(1.25e-3)
    assert pitch_in("1/4-20 TAP") == pytest.approx(25.4e-3 / 20)
    assert pitch_in("T3 - 5/16-18 TAP") == pytest.approx(25.4e-3 / 18)
    assert pitch_in("TOOL 3 - 5/16-18 TAP") == pytest.approx(25.4e-3 / 18)
    assert pitch_in("1-1/2 DRILL") is None


def test_a_number_size_that_is_the_number_of_its_tool_is_no_diameter() -> None:
    assert diameter_in("#7 DRILL", 20, 7) is None
    assert diameter_in("#7 DRILL", 20, 5) == pytest.approx(0.201 * 25.4e-3)


@pytest.mark.parametrize(
    "comment", ["T3 - 5/16-18 TAP", "TOOL 3 - 5/16-18 TAP", "5/16-18 TAP", "TAP M8", "#7 DRILL", "LETTER F DRILL", "DRILL D8.5"]
)
def test_review_and_first_records_read_one_diameter(bench: Any, comment: str) -> None:
    text = f"G20 G17 G90 G94 G98\nT3 M6 ({comment})\nS300 M3\nG54 G0 X1. Y1.\nG43 H3 Z1.\nG84 Z-.7 R.3 F16.667\nG80\nM30\n"
    timeline = bench.bare(text)
    (tool,) = tools_of(timeline.execution.program).tools

    assert timeline.operations[0].diameter.value == pytest.approx(quantity.parse(tool.said["DC"].value, "length").si)


def test_header_and_tool_lines_are_told_from_titles(bench: Any) -> None:
    text = "(DATE=DD-MM-YY - 30-06-05)\n(T1 D=10. CR=0. - flat end mill)\n(ROUGH POCKET)\nT1 M6 (SPOT)\nM30\n"
    found = remarks(bench.bare(text).execution)

    assert [remark.is_ for remark in found] == ["header", "tool", "operation", "operation"]
    assert [remark.alone for remark in found] == [True, True, True, False]
    assert found[1].tool == 1


def test_a_subprogram_behind_the_end_leaves_each_tool_its_own_comment(bench: Any) -> None:
    head = "O1\nG21 G17 G90 G94 G99\n"
    tools = [
        f"({text})\nT{n} M6\nS3000 M3\nG54 G0 X0 Y0\nG43 H{n} Z5.\nM98 P20\n"
        for n, text in ((5, "END MILL ROUGH"), (6, "CHAMFER"))
    ]
    timeline = bench.bare(head + "".join(tools) + "M30\nO20\nG1 Z-1. F100\nX20.\nG0 Z5.\nM99\n")

    assert [operation.title for operation in timeline.operations] == ["END MILL ROUGH", "CHAMFER"]
    assert [operation.kind for operation in timeline.operations] == ["rough", "chamfer"]
