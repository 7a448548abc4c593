"""Depth where the program shifts its work coordinates along Z: a known shift moves the face, an unknown one leaves it open."""

from typing import Any

import pytest

HEAD = "G21 G17 G90 G94 G99\nT1 M6\nS3000 M3\nG54 G0 X0 Y0\nG43 H1 Z5.\n"
HOLE = "G81 X10. Z-20. R2. F200\nG80\n"


def depth(bench: Any, *lines: str) -> Any:
    return bench.timeline(HEAD + "\n".join(lines) + "\n" + HOLE + "G0 Z50.\nM30\n").holes[-1].steps[0].depth


@pytest.mark.parametrize("shift", ["G52 Z-10.", "G0 Z15.\nG92 Z25."])
def test_a_known_shift_moves_the_raw_face(bench: Any, shift: str) -> None:
    assert depth(bench, shift).value == pytest.approx(30e-3)


def test_a_shift_of_unknown_length_leaves_the_depth_unknown(bench: Any) -> None:
    found = depth(bench, "G91 G28 Z0", "G90 G92 Z100.")

    assert not found.is_known
    assert "how deep" in found.missing[0].question


def test_a_work_offset_set_before_the_first_cut_is_the_one_that_is_meant(bench: Any) -> None:
    assert depth(bench, "G10 L2 P1 Z-300.").value == pytest.approx(20e-3)


def test_a_work_offset_moved_between_cuts_moves_the_face(bench: Any) -> None:
    assert depth(bench, "G10 L2 P1 Z-300.", HOLE, "G10 L2 P1 Z-310.").value == pytest.approx(30e-3)


def test_a_work_offset_moved_from_nobody_knows_where_leaves_the_depth_unknown(bench: Any) -> None:
    assert not depth(bench, HOLE, "G10 L2 P1 Z-310.").is_known
