"""What pictures need, from real programs; and that a review out of a cache looks the same."""

from dataclasses import replace
from io import StringIO
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from coolcheck.folder.codec import Packed
from coolcheck.folder.one import Settings, review_bytes, review_file
from coolcheck.report.excerpts import MOST_LINES
from coolcheck.report.html import render
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.strips import MOST_POINTS, extremes

ROOT = Path(__file__).resolve().parents[2]
SETTINGS = Settings(base=ROOT)


def reviewed(name: str) -> Review:
    return review_file(ROOT / "samples" / "programs" / f"{name}.nc", SETTINGS)


@pytest.fixture(scope="module")
def manifold() -> Review:
    return reviewed("manifold-drill-tap")


def pairs(points: str) -> list[tuple[int, int]]:
    return [(int(time), int(depth)) for time, depth in (pair.split(",") for pair in points.split())]


def test_strips_follow_each_other_to_the_end_of_the_program(manifold: Review) -> None:
    strips = manifold.drawn.strips
    assert manifold.totals is not None

    assert manifold.drawn.is_clocked
    assert all(b.start_s >= a.start_s + a.seconds - 0.01 for a, b in pairwise(strips))
    assert strips[-1].start_s + strips[-1].seconds == pytest.approx(manifold.totals.cycle_s, abs=0.01)


def test_a_trace_goes_as_deep_as_its_operation_and_time_never_runs_back(manifold: Review) -> None:
    for strip, row in zip(manifold.drawn.strips, manifold.operations, strict=True):
        told = pairs(strip.points)

        assert max(depth for _, depth in told) == pytest.approx((row.depth_mm or 0) * 100, abs=1)
        assert all(b[0] >= a[0] for a, b in pairwise(told))


def test_every_stroke_of_a_peck_drill_is_in_its_trace(manifold: Review) -> None:
    drill = next(row for row in manifold.operations if row.kind == "peck_drill")
    strokes = sum(step.strokes for hole in manifold.holes for step in hole.steps if step.operation == drill.number)
    depths = [depth for _, depth in pairs(manifold.drawn.strips[drill.number - 1].points)]
    bottoms = sum(a < b > c for a, b, c in zip(depths, depths[1:], depths[2:], strict=False))

    assert strokes - len(drill.holes) <= bottoms <= strokes  # the first peck of Q from the R plane may end above the top


def test_a_long_program_is_decimated_and_keeps_its_extremes() -> None:
    random = np.random.default_rng(1)
    times, depths = np.cumsum(random.random(100_000)), random.random(100_000) * 30
    kept = extremes(times, depths, 500)

    assert len(kept) <= 502
    assert {0, 99_999, int(depths.argmax()), int(depths.argmin())} <= set(kept.tolist())
    assert (np.diff(kept) > 0).all()


def test_pictures_of_a_big_program_stay_small() -> None:
    lines = [f"G1 X{at % 90} Z-{at % 7} F900" for at in range(30_000)]
    review = review_bytes("\n".join(["%", "G21 G90 G54", "T2 M6", "S900 M3", "M8", *lines, "M30", "%"]).encode(), "", SETTINGS)
    out = StringIO()
    render([review], out, Options(base=ROOT))

    assert sum(len(strip.points.split()) for strip in review.drawn.strips) <= MOST_POINTS + 10
    assert sum(excerpt.text.count("\n") + 1 for excerpt in review.drawn.excerpts) <= MOST_LINES + 10
    assert len(out.getvalue()) < 400_000


def test_the_lines_around_what_was_found_are_kept_with_their_numbers(manifold: Review) -> None:
    (excerpt,) = manifold.drawn.excerpts
    told = excerpt.text.split("\n")

    assert (excerpt.first, excerpt.lines, len(told)) == (1, 90, 90)
    assert told[31] == "N110 G99 G83 Z-42. R2. Q4. F600."


def test_an_edge_that_is_flooded_hot_carries_its_quench() -> None:
    (edge,) = [edge for edge in reviewed("steel-face-finish").drawn.edges if edge.name == "T4"]
    dry, wet = edge.cuts

    assert (dry.wet, wet.wet) == ("no", "yes")
    assert not dry.is_quenched
    assert wet.is_quenched
    assert wet.stress is not None
    assert wet.quench_k == pytest.approx(pairs(dry.heat)[-1][1], rel=0.02)


def test_a_curve_of_heat_never_warms_while_the_edge_idles() -> None:
    for name in ("manifold-drill-tap", "steel-face-finish", "aluminium-pocket"):
        for edge in reviewed(name).drawn.edges:
            for cut in edge.cuts:
                rises = [rise for _, rise in pairs(cut.heat)]
                assert rises == sorted(rises, reverse=True)


def test_what_cannot_be_computed_says_why(manifold: Review) -> None:
    tap = next(edge for edge in manifold.drawn.edges if edge.name == "T10")

    assert tap.cuts[0].heat == ""
    assert "no heat model" in tap.cuts[0].missing[0].question


def test_unknown_times_are_said_not_guessed() -> None:
    drawn = reviewed("hand-written-messy").drawn

    assert not drawn.is_clocked
    assert drawn.clock_missing


@pytest.mark.parametrize("name", ["manifold-drill-tap", "steel-face-finish", "hand-written-messy"])
def test_a_review_out_of_a_cache_gives_the_same_page(name: str) -> None:
    review = reviewed(name)
    pages = []
    for one in (review, Packed.of(review).unpacked(), replace(review, timeline=None)):
        out = StringIO()
        render([one], out, Options(base=ROOT))
        pages.append(out.getvalue())

    assert pages[0] == pages[1] == pages[2]
