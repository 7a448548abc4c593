"""Peck cycles worked out by a script of their own, motion by motion: three holes with all their intermediate values.

Derived: constant acceleration, symmetric ramps; Z below the surface, R above it, H = R + Z. No print was found for these.
"""

from dataclasses import dataclass

import pytest

from coolcheck.physics.kinematics import move_time
from coolcheck.physics.pecking import (
    chip_break_time,
    extra_time,
    extra_time_at_full_rapid,
    extra_time_without_acceleration,
    full_retract_lengths,
    full_retract_time,
    peck_bottoms,
    single_pass_time,
    stroke_times,
)

IN, MIN, STANDARD_GRAVITY = 0.0254, 60.0, 9.80665
EXACT = {"rel": 5e-5}  # the values are printed with five digits and more


@dataclass(frozen=True)
class Hole:
    """A hole, its cycle, and what the script found."""

    name: str
    depth: float
    peck: float
    clearance: float
    feed: float
    rapid: float
    acceleration: float
    strokes: int
    feed_path: float
    rapid_path: float
    pecked: float
    single: float
    extra: float
    naive: float
    full_rapid: float
    chip_break: float


HOLES = [
    Hole(
        "PECK-A", 0.062, 0.005, 0.0005, 8.4867e-3, 0.5, 3.0,
        13, 0.0680, 0.8360, 13.0533, 7.5931, 5.4602, 2.2550, 6.2550, 8.6099,
    ),
    Hole(
        "PECK-B", 0.032, 0.0015, 0.0003, 7.427e-3, 0.8, 8.0,
        22, 0.0383, 0.7187, 8.8902, 4.4351, 4.4551, 1.7066, 5.9066, 5.5405,
    ),
    Hole(
        "PECK-C", 3.1 * IN, 0.25 * IN, 0.05 * IN, 4.888 * IN / MIN, 1000 * IN / MIN, 0.3 * STANDARD_GRAVITY,
        13, 3.70 * IN, 41.5 * IN, 51.1346, 38.3823, 12.7524, 9.6690, 13.1224, 46.2459,
    ),
]  # fmt: skip
each_hole = pytest.mark.parametrize("hole", HOLES, ids=lambda hole: hole.name)


@each_hole
def test_the_strokes_and_paths_of_a_peck_cycle(hole: Hole) -> None:
    strokes = full_retract_lengths(peck_bottoms(hole.depth, hole.peck), hole.clearance)

    assert len(strokes.feed) == hole.strokes
    assert strokes.feed.sum() == pytest.approx(hole.feed_path, **EXACT)
    assert strokes.down.sum() + strokes.up.sum() == pytest.approx(hole.rapid_path, **EXACT)


@each_hole
def test_the_times_of_a_peck_cycle_a_chip_break_cycle_and_one_pass(hole: Hole) -> None:
    bottoms = peck_bottoms(hole.depth, hole.peck)
    rates = (hole.feed, hole.rapid, hole.acceleration)

    assert full_retract_time(bottoms, hole.clearance, *rates) == pytest.approx(hole.pecked, **EXACT)
    assert single_pass_time(hole.depth, *rates) == pytest.approx(hole.single, **EXACT)
    assert chip_break_time(bottoms, hole.clearance, *rates) == pytest.approx(hole.chip_break, **EXACT)


@each_hole
def test_the_extra_time_of_pecking_and_both_its_limits(hole: Hole) -> None:
    cycle = (hole.depth, hole.peck, hole.clearance, hole.feed, hole.rapid)
    extra = extra_time(peck_bottoms(hole.depth, hole.peck), hole.clearance, hole.feed, hole.rapid, hole.acceleration)

    assert extra == pytest.approx(hole.extra, **EXACT)
    assert extra_time_without_acceleration(*cycle) == pytest.approx(hole.naive, **EXACT)
    assert extra_time_at_full_rapid(*cycle, hole.acceleration) == pytest.approx(hole.full_rapid, **EXACT)


@pytest.mark.parametrize(
    ("stroke", "down", "feed", "up"),
    [(1, 0.0, 0.5892, 0.0816), (2, 0.0775, 0.6481, 0.1155), (3, 0.1125, 0.6481, 0.1414), (13, 0.2817, 0.2946, 0.2875)],
)
def test_single_strokes_of_peck_a(stroke: int, down: float, feed: float, up: float) -> None:
    strokes = full_retract_lengths(peck_bottoms(0.062, 0.005), 0.0005)
    times = stroke_times(strokes, 8.4867e-3, 0.5, 3.0)

    assert move_time(strokes.down[stroke - 1], 0.5, 3.0) == pytest.approx(down, abs=6e-5)
    assert strokes.feed[stroke - 1] / 8.4867e-3 == pytest.approx(feed, abs=6e-5)
    assert move_time(strokes.up[stroke - 1], 0.5, 3.0) == pytest.approx(up, abs=6e-5)
    assert times[stroke - 1] == pytest.approx(down + feed + up, abs=2e-4)


@pytest.mark.parametrize(("mm", "seconds"), [(0.5, 0.02582), (10, 0.11547), (62, 0.28752), (250 / 3, 0.33333), (150, 0.46667)])
def test_single_moves_at_500_mm_s_and_3_m_s2(mm: float, seconds: float) -> None:
    assert move_time(mm / 1000, 0.5, 3.0) == pytest.approx(seconds, abs=6e-6)
