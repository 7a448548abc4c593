"""Arcs: geometry, planes, helices, and what cannot be made."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.nc.arcs import around_centre, by_radius
from tests.nc.running import NIST, OPEN, SAFE, WA, ends, note_ids, run

at = st.floats(-500, 500, allow_nan=False)


@given(u=at, v=at, angle=st.floats(0.01, 6.27), radius=st.floats(0.1, 300), begin=st.floats(0, 6.28), clockwise=st.booleans())
def test_radius_form_and_centre_form_say_the_same_arc(
    u: float, v: float, angle: float, radius: float, begin: float, clockwise: bool
) -> None:
    stop = begin - angle if clockwise else begin + angle
    start = (u + radius * math.cos(begin), v + radius * math.sin(begin))
    end = (u + radius * math.cos(stop), v + radius * math.sin(stop))

    one = around_centre(start, end, (u, v), clockwise)
    other = by_radius(start, end, radius if angle <= math.pi else -radius, clockwise, tolerance=1e-3)

    assert one.sweep == pytest.approx(angle, abs=1e-5)
    assert other.sweep == pytest.approx(angle, abs=1e-2)  # half a turn is badly conditioned by its radius
    assert (other.u, other.v) == pytest.approx((u, v), abs=radius * 0.02)


def test_a_helix_is_longer_than_its_circle_and_its_feed_is_that_of_the_path_or_of_the_plane() -> None:
    text = SAFE + "G0 X10. Y0 Z0\nG3 X10. Y0 Z-5. I-10. F100"
    flat, climb = 20 * math.pi, 5.0
    path = run(text, NIST)
    plane = run(text, WA)

    assert path.moves.length[1] == pytest.approx(math.hypot(flat, climb))
    assert path.moves.seconds[1] == pytest.approx(math.hypot(flat, climb) / 100 * 60)
    assert plane.moves.seconds[1] == pytest.approx(flat / 100 * 60)


def test_further_turns() -> None:
    e = run(SAFE + "G0 X10. Y0 Z0\nG3 X10. Y0 Z-3. I-10. P3 F100", OPEN)

    assert e.moves.arcs.sweep[0] == pytest.approx(6 * math.pi)


def test_absolute_centres() -> None:
    e = run(SAFE + "G90.1\nG0 X10. Y0 Z0\nG3 X0 Y10. I0 J0 F100", OPEN)

    assert (e.moves.arcs.x[0], e.moves.arcs.y[0]) == (0, 0)
    assert e.moves.arcs.sweep[0] == pytest.approx(math.pi / 2)


def test_a_radius_wins_over_a_centre_on_one_control_and_stops_the_other() -> None:
    text = SAFE + "G0 X0 Y0 Z0\nG2 X10. Y0 R5. I3. F100"

    assert run(text, WA).moves.arcs.radius[0] == 5
    assert "conflicting-codes" in note_ids(run(text, NIST))
    assert math.isnan(run(text, NIST).moves.seconds[1])


@pytest.mark.parametrize("block", ["G2 X10. Y0 F100", "G2 X10. Y0 R4. F100", "G2 X0 Y0 R5. F100"])
def test_an_arc_that_cannot_be_made_keeps_its_end_and_has_no_time(block: str) -> None:
    e = run(SAFE + f"G0 X0 Y0 Z0\n{block}")

    assert ends(e)[1][0] == "cw"
    assert math.isnan(e.moves.seconds[1])
    assert note_ids(e) & {"arc-without-centre", "arc-radius-mismatch"}


def test_an_arc_from_an_unknown_place_has_no_time_and_is_not_blamed() -> None:
    e = run(SAFE + "G2 X10. Y0 I5. J0 F100\nG1 X20.\nM30")

    assert math.isnan(e.moves.seconds[0])
    assert e.moves.x0[1] == 10
    assert note_ids(e) == set()


def test_circles_are_the_same_in_runs_and_block_by_block() -> None:
    """Long runs of plain motion take another way through the code."""
    block = "G2 X0 Y0 I-5.\nG3 X1. Y1. R1.\nG1 X0 Y0 Z1.\nG3 X-2. Z0 I-1. J0\nG0 X0 Y0\n"
    text = SAFE + "G0 X0 Y0 Z0\nG1 X0 F100\n" + block * 20
    long = run(text)
    short = run(text.replace("\n", "(c)\n"))

    assert ends(long) == ends(short)
    for name in ("x0", "y0", "z0", "feed", "seconds", "block", "arc"):
        assert getattr(long.moves, name).tolist() == pytest.approx(getattr(short.moves, name).tolist(), nan_ok=True)
    for name in ("x", "y", "z", "radius", "sweep", "length", "plane"):
        assert getattr(long.moves.arcs, name).tolist() == pytest.approx(getattr(short.moves.arcs, name).tolist(), nan_ok=True)
