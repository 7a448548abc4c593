"""Peck cycles: stroke by stroke against closed forms, and the way the physics says when an input changes."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from coolcheck.physics import OutOfRange
from coolcheck.physics.kinematics import move_time
from coolcheck.physics.pecking import (
    chip_break_lengths,
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

depths = st.floats(0.005, 0.3)
pecks = st.floats(0.001, 0.05)
feeds = st.floats(0.0005, 0.05)
rapids = st.floats(0.05, 1.5)
accelerations = st.floats(0.5, 15.0)
CLEARANCE = 0.0005


@given(depths, pecks)
def test_strokes_end_at_the_bottom_and_none_is_deeper_than_a_peck(depth: float, peck: float) -> None:
    bottoms = peck_bottoms(depth, peck)

    assert bottoms[-1] == pytest.approx(depth)
    assert (np.diff(bottoms, prepend=0.0) <= peck * (1 + 1e-6)).all()


def test_four_pecks_of_a_quarter_are_four_strokes() -> None:
    assert len(peck_bottoms(0.3, 0.1)) == 3  # 0.3 / 0.1 is 2.9999999999999996 in binary
    assert len(peck_bottoms(0.7, 0.1)) == 7  # and 0.7 / 0.1 is 6.999999999999999


@given(depths, pecks, feeds, rapids, accelerations)
def test_a_deeper_peck_means_fewer_strokes_and_less_time(d: float, q: float, vf: float, V: float, a: float) -> None:
    shallow, deep = peck_bottoms(d, q), peck_bottoms(d, 2 * q)
    assume(len(deep) < len(shallow))

    assert full_retract_time(deep, CLEARANCE, vf, V, a) < full_retract_time(shallow, CLEARANCE, vf, V, a)
    assert chip_break_time(deep, CLEARANCE, vf, V, a) < chip_break_time(shallow, CLEARANCE, vf, V, a)


@given(depths, pecks, feeds, rapids, accelerations)
def test_one_pass_is_never_slower_than_chip_breaking_and_that_never_than_leaving_the_hole(
    d: float, q: float, vf: float, V: float, a: float
) -> None:
    bottoms = peck_bottoms(d, q)

    one_pass = single_pass_time(d, vf, V, a)
    chip_break = chip_break_time(bottoms, CLEARANCE, vf, V, a)

    assert one_pass <= chip_break * (1 + 1e-9)
    assert chip_break <= full_retract_time(bottoms, CLEARANCE, vf, V, a) * (1 + 1e-9)


@given(depths, pecks, feeds, rapids, accelerations)
def test_a_faster_machine_is_never_slower(d: float, q: float, vf: float, V: float, a: float) -> None:
    bottoms = peck_bottoms(d, q)
    time = full_retract_time(bottoms, CLEARANCE, vf, V, a)

    assert full_retract_time(bottoms, CLEARANCE, vf, 2 * V, a) <= time * (1 + 1e-12)
    assert full_retract_time(bottoms, CLEARANCE, vf, V, 2 * a) <= time
    assert full_retract_time(bottoms, CLEARANCE, 2 * vf, V, a) < time


@given(depths, pecks, feeds, rapids, accelerations, st.floats(0, 2), st.floats(0, 0.2))
def test_the_extra_time_is_the_cycle_less_the_single_pass(
    d: float, q: float, vf: float, V: float, a: float, dwell: float, settle: float
) -> None:
    bottoms = peck_bottoms(d, q)
    pecked = full_retract_time(bottoms, CLEARANCE, vf, V, a, dwell=dwell, peck_dwell=dwell, settle=settle)
    single = single_pass_time(bottoms[-1], vf, V, a, dwell=dwell, settle=settle)

    assert extra_time(bottoms, CLEARANCE, vf, V, a, dwell, settle) == pytest.approx(pecked - single, abs=1e-9)


def test_where_the_tool_feeds_all_the_way_back_in_it_settles_only_once_a_peck() -> None:
    """With the clearance as deep as the first stroke there is no rapid back in behind it, and nothing to settle from."""
    bottoms, clearance = [0.010, 0.020, 0.030], 0.010
    pecked = full_retract_time(bottoms, clearance, 0.01, 0.5, 5.0, settle=0.1)
    single = single_pass_time(0.030, 0.01, 0.5, 5.0, settle=0.1)

    assert extra_time(bottoms, clearance, 0.01, 0.5, 5.0, settle=0.1) == pytest.approx(pecked - single)
    assert extra_time(bottoms, clearance, 0.01, 0.5, 5.0, settle=0.1) - extra_time(
        bottoms, clearance, 0.01, 0.5, 5.0
    ) == pytest.approx(0.3)


@given(depths, pecks, feeds, rapids, accelerations)
def test_the_extra_time_lies_between_its_two_limits(d: float, q: float, vf: float, V: float, a: float) -> None:
    extra = extra_time(peck_bottoms(d, q), CLEARANCE, vf, V, a)

    assert extra_time_without_acceleration(d, q, CLEARANCE, vf, V) <= extra * (1 + 1e-9) + 1e-12
    assert extra <= extra_time_at_full_rapid(d, q, CLEARANCE, vf, V, a) * (1 + 1e-9) + 1e-12


@given(depths, pecks)
def test_the_feed_path_is_the_depth_and_every_re_entry(d: float, q: float) -> None:
    bottoms = peck_bottoms(d, q)
    extra = (len(bottoms) - 1) * CLEARANCE

    assert full_retract_lengths(bottoms, CLEARANCE).feed.sum() == pytest.approx(d + extra)
    assert chip_break_lengths(bottoms, CLEARANCE).feed.sum() == pytest.approx(d + extra)


@given(depths, pecks)
def test_every_stroke_comes_back_to_where_it_began(d: float, q: float) -> None:
    strokes = full_retract_lengths(peck_bottoms(d, q), CLEARANCE)
    breaks = chip_break_lengths(peck_bottoms(d, q), CLEARANCE)

    assert strokes.down + strokes.feed == pytest.approx(strokes.up)
    assert breaks.feed.sum() == pytest.approx(breaks.up.sum())


def test_pecks_that_shrink_are_timed_stroke_by_stroke() -> None:
    bottoms = [0.010, 0.017, 0.022]
    by_hand = 0.023 / 0.002 + sum(move_time(s, 0.5, 3.0) for s in (0.010, 0.0095, 0.017, 0.0165, 0.022))

    assert full_retract_time(bottoms, 0.0005, 0.002, 0.5, 3.0) == pytest.approx(by_hand)


def test_dwells_and_settling_are_counted_once_for_each_stroke_and_rapid() -> None:
    bottoms = peck_bottoms(0.012, 0.005)
    bare = full_retract_time(bottoms, CLEARANCE, 0.002, 0.5, 3.0)

    assert full_retract_time(bottoms, CLEARANCE, 0.002, 0.5, 3.0, dwell=1, peck_dwell=0.5) == pytest.approx(bare + 2.0)
    assert full_retract_time(bottoms, CLEARANCE, 0.002, 0.5, 3.0, settle=0.1) == pytest.approx(bare + 0.5)


def test_the_times_of_the_strokes_add_up_to_the_cycle() -> None:
    bottoms = peck_bottoms(0.062, 0.005)
    times = stroke_times(full_retract_lengths(bottoms, CLEARANCE), 0.0084867, 0.5, 3.0)

    assert len(times) == 13
    assert times.sum() == pytest.approx(full_retract_time(bottoms, CLEARANCE, 0.0084867, 0.5, 3.0))


@pytest.mark.parametrize("bottoms", [[], [0.01, 0.01], [0.02, 0.01], [-0.01], [0.0, 0.01], [float("nan")]])
def test_bottoms_that_no_cycle_makes_are_refused(bottoms: list[float]) -> None:
    with pytest.raises(OutOfRange):
        full_retract_time(bottoms, 0.0, 0.002, 0.5, 3.0)


def test_without_a_retract_the_axis_moves_rapidly_only_at_the_end_and_settles_once() -> None:
    plain, settled = (chip_break_time([0.01, 0.02], 0.0, 0.01, 0.5, 5.0, settle=settle) for settle in (0.0, 0.1))

    assert settled - plain == pytest.approx(0.1)


def test_a_clearance_longer_than_the_first_peck_is_refused() -> None:
    with pytest.raises(OutOfRange, match="clearance"):
        full_retract_time([0.001, 0.002], 0.0015, 0.002, 0.5, 3.0)
