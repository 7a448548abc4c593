"""Traces of the sample programs against figures worked out by hand from the program text, apart from the golden files."""

import math
from pathlib import Path
from typing import Any

import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.program import Program
from coolcheck.nc.trace import trace

PROGRAMS = Path(__file__).resolve().parents[2] / "samples" / "programs"
BACK_OFF = 0.254  # mm, the re-entry clearance of the default dialect (RS274/NGC: 0.010 inch)


def rows(name: str) -> list[dict[str, Any]]:
    path = PROGRAMS / f"{name}.nc"
    return list(trace(interpret(Program.read(path.read_bytes(), path.name, load_dialect()))))


def heights(found: list[dict[str, Any]]) -> list[tuple[str, float]]:
    return [(row["kind"], row["to"]["z"]) for row in found if row["kind"] in ("rapid", "feed")]


def pecked(top: float, bottom: float, depth: float, back: float) -> list[tuple[str, float]]:
    """Full-retract pecks by hand: down one depth, out to the R plane, back to just above the last bottom."""
    bottoms = [round(max(bottom, top - depth * number), 6) for number in range(1, math.ceil((top - bottom) / depth - 1e-9) + 1)]
    moves: list[tuple[str, float]] = []
    for at, low in enumerate(bottoms):
        if at:
            moves += [("rapid", top), ("rapid", round(bottoms[at - 1] + BACK_OFF, 6))]
        moves.append(("feed", low))
    return [*moves, ("rapid", back)]


@pytest.mark.parametrize(
    ("name", "line", "top", "bottom", "depth", "back"),
    [
        ("manifold-drill-tap", 33, 2, -42, 4, 2),  # N115, G99: the second hole of the series
        ("manifold-drill-tap", 34, 2, -36, 4, 2),  # N120 has a bottom of its own
        ("manifold-drill-tap", 45, 2, -30, 3, 25),  # N170, G98: back to the level before the series
        ("deep-hole-plate", 28, 2, -112, 8, 2),
        ("nickel-ring", 25, 2, -26, 1.5, 20),
    ],
)
def test_peck_cycles_are_what_a_person_works_out(
    name: str, line: int, top: float, bottom: float, depth: float, back: float
) -> None:
    found = heights([row for row in rows(name) if row["line"] == line])
    first = [("rapid", back)] if back == top else [("rapid", back), ("rapid", top)]

    assert found == [*first, *pecked(top, bottom, depth, back)]


def test_the_bolt_circle_has_eight_holes_on_its_circle() -> None:
    for tool, depth in ((1, -0.19), (2, -1.35), (3, -0.85)):
        bottoms = [
            row
            for row in rows("bolt-circle-macro")
            if row["kind"] == "feed" and row["tool"] == tool and abs(row["to"]["z"] - depth * 25.4) < 1e-6
        ]
        angles = [math.degrees(math.atan2(row["to"]["y"], row["to"]["x"])) % 360 for row in bottoms]
        radii = [math.hypot(row["to"]["x"], row["to"]["y"]) for row in bottoms]

        assert angles == pytest.approx([45 * number for number in range(8)], abs=1e-4)
        assert radii == pytest.approx([2.5 * 25.4] * 8, abs=1e-4)


def test_the_ceramic_cutter_makes_one_full_turn() -> None:
    (turn,) = [row for row in rows("nickel-ring") if row["kind"] == "arc_ccw"]

    assert turn["center"] == {"x": 0, "y": 0}
    assert turn["seconds"] == pytest.approx(2 * math.pi * 12 / 3600 * 60, abs=1e-6)


def test_pocket_corners_are_quarter_turns_with_three_millimetres_radius() -> None:
    corners = [row for row in rows("aluminium-pocket") if row["kind"] == "arc_cw"]

    assert [row["center"] for row in corners] == [
        {"x": 24, "y": -16},
        {"x": -24, "y": -16},
        {"x": -24, "y": 16},
        {"x": 24, "y": 16},
    ]
    assert all(row["seconds"] == pytest.approx(math.pi / 2 * 3 / 1800 * 60, abs=1e-6) for row in corners)


def test_the_long_drill_enters_slowly_and_drills_at_speed() -> None:
    strokes = [
        (row["to"]["z"], row["rpm"], row["feed"])
        for row in rows("deep-hole-plate")
        if row.get("tool") == 22 and row["kind"] == "feed"
    ]

    assert strokes == [(-10, 300, 500), (-140, 3200, 480)] * 2


def test_after_a_block_that_cannot_be_read_only_its_axis_is_unknown() -> None:
    found = [row for row in rows("hand-written-messy") if row["line"] == 19]

    assert all("y" not in row["to"] and "x" in row["to"] and "z" in row["to"] for row in found)
