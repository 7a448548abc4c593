"""Moves and paths: against numerical integration, and the way the physics says when an input is doubled or halved."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import linprog

from coolcheck.physics import OutOfRange
from coolcheck.physics.kinematics import (
    along,
    apart_rapid_times,
    arc_speed,
    block_times,
    border_speeds,
    corner_speed,
    junction_speeds,
    move_time,
    move_times,
    path_times,
)

lengths = st.floats(1e-5, 2.0)
rapids = st.floats(0.01, 2.0)
accelerations = st.floats(0.1, 20.0)


def integrated_move_time(length: float, rapid: float, acceleration: float) -> float:
    """Time by integrating ds/v along the move, v limited by the rapid and by the ramps at both ends."""

    def ramp(s: float) -> float:
        return min(rapid, np.sqrt(2 * acceleration * s))

    # s = u^2 takes away the infinite slowness at rest, which quadrature cannot see over
    half, _ = quad(lambda u: 2 * u / ramp(u * u) if u else np.sqrt(2 / acceleration), 0, np.sqrt(length / 2), limit=200)
    return 2 * half


@pytest.mark.parametrize("length", [0.0005, 0.010, 0.062, 0.08333, 0.150, 1.0])
@pytest.mark.parametrize("acceleration", [0.5, 3.0, 12.0])
def test_a_move_takes_as_long_as_its_speed_integrated_along_it(length: float, acceleration: float) -> None:
    assert move_time(length, 0.5, acceleration) == pytest.approx(integrated_move_time(length, 0.5, acceleration), rel=1e-5)


def test_a_move_takes_as_long_as_its_motion_solved_as_a_differential_equation() -> None:
    length, rapid, acceleration = 0.12, 0.5, 3.0

    def middle(_: float, state: np.ndarray) -> float:
        return float(state[0] - length / 2)

    middle.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(lambda t, y: [min(acceleration * t, rapid)], (0, 10), [0.0], events=middle, max_step=1e-3, rtol=1e-9)

    assert move_time(length, rapid, acceleration) == pytest.approx(2 * run.t_events[0][0], rel=1e-6)


@given(lengths, rapids, accelerations)
def test_a_faster_rapid_or_more_acceleration_is_never_slower(length: float, rapid: float, acceleration: float) -> None:
    time = move_time(length, rapid, acceleration)

    assert move_time(length, 2 * rapid, acceleration) <= time * (1 + 1e-12)
    assert move_time(length, rapid, 2 * acceleration) <= time
    assert move_time(2 * length, rapid, acceleration) > time
    assert time >= length / rapid


@given(lengths, rapids, accelerations)
def test_twice_the_length_speed_and_acceleration_takes_the_same_time(length: float, rapid: float, acceleration: float) -> None:
    assert move_time(2 * length, 2 * rapid, 2 * acceleration) == pytest.approx(move_time(length, rapid, acceleration))


@given(st.lists(lengths, min_size=1, max_size=20), rapids, accelerations)
def test_moves_in_columns_take_as_long_as_one_by_one(many: list[float], rapid: float, acceleration: float) -> None:
    one_by_one = [move_time(length, rapid, acceleration) for length in many]

    assert move_times(many, rapid, acceleration) == pytest.approx(one_by_one)


def test_a_move_of_no_length_takes_no_time_and_one_of_unknown_length_an_unknown_time() -> None:
    times = move_times([0.0, np.nan], 0.5, 3.0)

    assert times[0] == 0 and np.isnan(times[1])


@pytest.mark.parametrize("wrong", [(-1.0, 0.5, 3.0), (1.0, 0.0, 3.0), (1.0, 0.5, -3.0), (float("nan"), 0.5, 3.0)])
def test_a_move_that_cannot_be_has_no_time(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(OutOfRange):
        move_time(*wrong)


def test_columns_with_a_negative_length_are_refused_by_row() -> None:
    with pytest.raises(OutOfRange, match="row 1"):
        move_times([0.1, -0.1], 0.5, 3.0)


COLUMNS: list[tuple[str, Callable[[float], object]]] = [
    ("rapid [m/s]", lambda x: move_times([0.1, 0.1], [0.5, x], 3.0)),
    ("acceleration [m/s2]", lambda x: move_times([0.1, 0.1], 0.5, [3.0, x])),
    ("limit of an axis", lambda x: along([[1.0, 1.0]], [0.5, x])),
    ("radius [m]", lambda x: arc_speed([0.002, x], 2.0)),
    ("acceleration [m/s2]", lambda x: arc_speed(0.002, [2.0, x])),
    ("acceleration [m/s2]", lambda x: border_speeds([0.1, 0.1], [2.0, x], [0.0, 0.0, 0.0])),
    ("speed of a block [m/s]", lambda x: block_times([0.1, 0.1], [0.5, x], 2.0, [0.0, 0.0], [0.0, 0.0])),
    ("acceleration [m/s2]", lambda x: block_times([0.1, 0.1], 0.5, [2.0, x], [0.0, 0.0], [0.0, 0.0])),
]


@pytest.mark.parametrize(("quantity", "formula"), COLUMNS)
def test_what_must_be_above_zero_in_a_column_is_refused_with_its_row(quantity: str, formula: Callable[[float], object]) -> None:
    formula(1e-3)
    for wrong in (0.0, -1.0):
        with pytest.raises(OutOfRange) as reason:
            formula(wrong)
        assert str(reason.value) == f"{quantity} = row 1 lies outside what a move can be (constant acceleration)"


LENGTHS: list[tuple[str, Callable[[float], object]]] = [
    ("length of a move [m]", lambda x: move_times([0.1, x], 0.5, 3.0)),
    ("length of a move [m]", lambda x: border_speeds([0.1, x], 2.0, [0.0, 0.0, 0.0])),
    ("length of a block [m]", lambda x: block_times([0.1, x], 0.5, 2.0, [0.0, 0.0], [0.0, 0.0])),
]


@pytest.mark.parametrize(("quantity", "formula"), LENGTHS)
def test_a_length_in_a_column_may_be_zero_and_not_less(quantity: str, formula: Callable[[float], object]) -> None:
    formula(0.0)
    with pytest.raises(OutOfRange) as reason:
        formula(-1e-9)
    assert str(reason.value) == f"{quantity} = row 1 lies outside what a move can be (constant acceleration)"


def test_a_move_that_goes_nowhere_has_no_limit_and_an_axis_that_hardly_moves_sets_none() -> None:
    assert along([[0.0, 0.0, 0.0], [0.3, 0.4, 0.0]], [0.5, 0.5, 0.25]).tolist() == [np.inf, 0.625]
    assert along([[1.0, 1e-310, 0.0]], [0.5, 0.5, 0.25]).tolist() == [0.5]


def test_the_slowest_axis_limits_a_straight_move() -> None:
    limit = along([[0.6, 0.8, 0.0]], [0.5, 0.5, 0.25])

    assert limit[0] == pytest.approx(0.5 / 0.8)


@given(st.lists(st.floats(-1, 1), min_size=3, max_size=3))
def test_axes_that_run_apart_are_never_slower_than_axes_that_arrive_together(travel: list[float]) -> None:
    rates, ramps = np.array([0.5, 0.4, 0.25]), np.array([3.0, 3.0, 2.0])
    length = float(np.linalg.norm(travel))
    if length < 1e-6:
        return
    together = move_times([length], along([travel], rates), along([travel], ramps))[0]

    assert apart_rapid_times([travel], rates, ramps)[0] <= together * (1 + 1e-9)


def test_a_sharper_corner_is_taken_slower_and_a_straight_one_not_at_all() -> None:
    speeds = [corner_speed(turn, 0.01) for turn in (0.0, 0.5, 1.0, np.pi)]

    assert speeds == sorted(speeds, reverse=True)
    assert speeds[0] == np.inf
    assert speeds[-1] == pytest.approx(0.005)  # turning back, the whole jump is twice the speed


def test_twice_the_radius_is_taken_by_a_factor_of_root_two_faster() -> None:
    assert arc_speed(0.004, 2.0) == pytest.approx(np.sqrt(2) * arc_speed(0.002, 2.0))


def slow_border_speeds(length: list[float], acceleration: float, junction: list[float]) -> np.ndarray:
    """The textbook look-ahead: one loop forward, one backward."""
    v = list(junction)
    for i, L in enumerate(length):
        v[i + 1] = min(v[i + 1], np.sqrt(v[i] ** 2 + 2 * acceleration * L))
    for i in reversed(range(len(length))):
        v[i] = min(v[i], np.sqrt(v[i + 1] ** 2 + 2 * acceleration * length[i]))
    return np.array(v)


paths = st.lists(st.tuples(st.floats(1e-6, 0.05), st.floats(0.001, 1.0)), min_size=1, max_size=40)


@given(paths, accelerations)
def test_the_closed_form_looks_ahead_like_two_loops_over_the_path(path: list[tuple[float, float]], acceleration: float) -> None:
    length, limits = [p[0] for p in path], [0.0, *(p[1] for p in path)]

    closed = border_speeds(length, acceleration, limits)

    assert closed == pytest.approx(slow_border_speeds(length, acceleration, limits), abs=1e-7)


@settings(max_examples=25)
@given(st.lists(st.tuples(st.floats(1e-4, 0.05), st.floats(0.01, 1.0)), min_size=1, max_size=12))
def test_no_path_within_the_same_limits_is_faster_at_any_border(path: list[tuple[float, float]]) -> None:
    """The squares of the border speeds are the greatest feasible point of a linear program: a check that shares no code."""
    length, limits, a = np.array([p[0] for p in path]), np.array([0.0, *(p[1] for p in path)]), 2.0
    n = len(length)
    rows = np.zeros((2 * n, n + 1))
    for i in range(n):
        rows[2 * i, [i, i + 1]] = -1, 1
        rows[2 * i + 1, [i, i + 1]] = 1, -1
    best = linprog(-np.ones(n + 1), A_ub=rows, b_ub=np.repeat(2 * a * length, 2), bounds=[(0, w * w) for w in limits])

    assert border_speeds(length, a, limits) ** 2 == pytest.approx(best.x, abs=1e-7)


@given(paths, accelerations)
def test_corners_cost_time_and_never_win_any(path: list[tuple[float, float]], acceleration: float) -> None:
    length, speed = np.array([p[0] for p in path]), np.array([p[1] for p in path])
    free = np.concatenate([[0.0], np.minimum(speed[:-1], speed[1:]), [0.0]])

    smooth = path_times(length, speed, acceleration, free).sum()
    slowed = path_times(length, speed, acceleration, free / 2).sum()
    stopped = path_times(length, speed, acceleration, np.zeros(len(length) + 1)).sum()

    assert (length / speed).sum() <= smooth * (1 + 1e-9)
    assert smooth <= slowed * (1 + 1e-9)
    assert slowed <= stopped * (1 + 1e-9)
    assert stopped == pytest.approx(move_times(length, speed, acceleration).sum())


@given(paths)
def test_a_path_driven_backwards_takes_the_same_time(path: list[tuple[float, float]]) -> None:
    length, speed = np.array([p[0] for p in path]), np.array([p[1] for p in path])
    border = np.concatenate([[0.0], np.minimum(speed[:-1], speed[1:]), [0.0]])

    forward = path_times(length, speed, 2.0, border)
    backward = path_times(length[::-1], speed[::-1], 2.0, border[::-1])

    assert forward == pytest.approx(backward[::-1], rel=1e-6)


def test_a_path_takes_as_long_as_its_highest_allowed_speed_integrated_along_it() -> None:
    rng = np.random.default_rng(7)
    length, speed, a = rng.exponential(0.004, 60), rng.choice([0.05, 0.1, 0.3], 60), 2.0
    border = np.concatenate([[0.0], np.minimum(speed[:-1], speed[1:]) * rng.random(59), [0.0]])
    marks = np.concatenate([[0.0], np.cumsum(length)])
    s = (np.arange(400_000) + 0.5) * marks[-1] / 400_000  # midpoints: the ends at rest are never met
    ramps = np.sqrt(np.min([w * w + 2 * a * np.abs(s - at) for w, at in zip(border, marks, strict=True)], axis=0))
    v = np.minimum(ramps, speed[np.searchsorted(marks, s, side="right") - 1])

    time = (marks[-1] / 400_000 / v).sum()

    assert path_times(length, speed, a, border).sum() == pytest.approx(time, rel=2e-3)


def test_blocks_cut_in_two_take_the_same_time() -> None:
    whole = path_times([0.02, 0.03], [0.1, 0.2], 2.0, [0.0, 0.05, 0.0])
    halves = path_times([0.01, 0.01, 0.015, 0.015], [0.1, 0.1, 0.2, 0.2], 2.0, [0.0, 0.1, 0.05, 0.2, 0.0])

    assert halves.sum() == pytest.approx(whole.sum())


def test_the_path_rests_beside_a_move_that_is_not_known() -> None:
    times = path_times([0.02, np.nan, 0.02], 0.1, 2.0, [0.0, 0.1, 0.1, 0.0])

    assert np.isnan(times[1])
    assert times[[0, 2]] == pytest.approx(move_time(0.02, 0.1, 2.0))
    no_speed = path_times([0.02, 0.02, 0.02], [0.1, np.nan, 0.1], 2.0, [0.0, 0.1, 0.1, 0.0])
    assert no_speed == pytest.approx(times, nan_ok=True)


def test_a_move_without_length_hides_neither_the_corner_nor_the_speed() -> None:
    east, north, none = [1.0, 0, 0], [0, 1.0, 0], [0.0, 0, 0]
    direct = junction_speeds([east, north], [east, north], [0.1, 0.1], 0.01)
    way = [east, none, north]
    detour = junction_speeds(way, way, [0.1, np.nan, 0.1], 0.01)

    assert path_times([0.01, 0.0, 0.01], 0.1, [2.0, np.inf, 2.0], detour).sum() == pytest.approx(
        path_times([0.01, 0.01], 0.1, 2.0, direct).sum()
    )


def test_each_corner_is_between_its_own_two_moves() -> None:
    east, north, none = [1.0, 0, 0], [0, 1.0, 0], [0.0, 0, 0]
    turn = pytest.approx(corner_speed(np.pi / 2, 0.01))

    for way, borders in (
        ([east, north, east], [0.0, turn, turn, 0.0]),
        ([east, north, north], [0.0, turn, 0.1, 0.0]),
        ([east, none, east], [0.0, 0.1, 0.1, 0.0]),
        ([east, north, none, north], [0.0, turn, 0.1, 0.1, 0.0]),
    ):
        assert junction_speeds(way, way, [0.1] * len(way), 0.01).tolist() == borders


def test_an_exact_stop_brings_the_path_to_rest() -> None:
    east = [[1.0, 0, 0]] * 3
    speeds = junction_speeds(east, east, [0.1] * 3, 0.01, stops=[False, False, True])

    assert speeds.tolist() == [0.0, 0.1, 0.0, 0.0]
    assert junction_speeds(east, east, [0.1] * 3, 0.01, stops=[0, 0, 1]).tolist() == speeds.tolist()


def test_a_move_with_length_has_a_finite_acceleration() -> None:
    with pytest.raises(OutOfRange, match=r"^acceleration \[m/s2\] = row 1 lies"):
        path_times([0.01, 0.01], 0.1, [2.0, np.inf], [0.0, 0.1, 0.0])
    with pytest.raises(OutOfRange, match=r"^acceleration \[m/s2\] = row 0 lies"):
        path_times([1e-9, 0.01], 0.1, [np.inf, 2.0], [0.0, 0.1, 0.0])


def test_a_long_path_loses_no_digits_that_matter() -> None:
    rng = np.random.default_rng(3)
    length, limits = rng.exponential(5e-4, 100_000), np.concatenate([[0.0], rng.choice([0.01, 0.05, 0.4], 99_999), [0.0]])

    assert border_speeds(length, 2.0, limits) == pytest.approx(slow_border_speeds(list(length), 2.0, list(limits)), abs=1e-6)


def test_a_block_that_cannot_brake_in_time_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"^speed change in a block \[m/s\] = row 1 lies"):
        block_times([0.1, 0.001], 0.5, 2.0, [0.5, 0.5], [0.0, 0.0])
    with pytest.raises(OutOfRange, match=r"^speed change in a block \[m/s\] = row 0 lies"):
        block_times([0.001], 0.5, 2.0, [0.0], [0.5])


@pytest.mark.parametrize(("enter", "leave"), [(0.51, 0.5), (0.5, 0.51)])
def test_a_block_is_not_entered_or_left_faster_than_it_may_be_driven(enter: float, leave: float) -> None:
    with pytest.raises(OutOfRange, match=r"^speed at the border of a block \[m/s\] = row 1 lies"):
        block_times([0.1, 0.1], 0.5, 2.0, [0.5, enter], [0.5, leave])
    assert block_times([0.1], 0.5, 2.0, [0.5], [0.5]) == pytest.approx(0.2)


def test_a_block_just_long_enough_to_brake_in_is_one_ramp_and_no_run() -> None:
    """v0 = 0.5 m/s to rest at 2 m/s2 takes 0.0625 m and 0.25 s."""
    assert block_times([0.0625], 0.5, 2.0, [0.5], [0.0]) == pytest.approx(0.25)
    assert block_times([0.0625], 0.5, 2.0, [0.0], [0.5]) == pytest.approx(0.25)


def test_a_million_moves_are_timed_in_a_few_passes_over_columns() -> None:
    rng = np.random.default_rng(1)
    n = 1_000_000
    way = rng.normal(size=(n, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    length, speed = rng.exponential(5e-4, n), rng.choice([0.05, 0.1, 0.5], n)

    times = path_times(length, speed, 2.0, junction_speeds(way, way, speed, 0.01))

    assert len(times) == n and np.isfinite(times).all()
    assert times.sum() > (length / speed).sum()


@pytest.mark.parametrize("call", [lambda: corner_speed(4.0, 0.01), lambda: arc_speed(-1.0, 2.0), lambda: along([[1, 0]], [0, 1])])
def test_what_no_path_can_be_is_refused(call: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_a_path_rests_at_both_borders_of_what_is_not_known() -> None:
    east = [[1.0, 0, 0]] * 3

    assert border_speeds([0.1, np.nan, 0.1], 2.0, [0.0, 0.5, 0.5, 0.0]).tolist() == [0.0] * 4
    assert junction_speeds(east, east, [0.1, np.nan, 0.1], 0.01).tolist() == [0.0] * 4


def test_the_speed_of_a_move_without_length_holds_nothing_up() -> None:
    direct = path_times([0.01, 0.01], 0.1, 2.0, [0.0, 0.1, 0.0]).sum()

    assert path_times([0.01, 0.0, 0.01], [0.1, 0.001, 0.1], 2.0, [0.0, 0.1, 0.1, 0.0]).sum() == pytest.approx(direct)


def test_a_block_too_short_by_a_fifth_to_brake_in_is_refused_and_a_longer_one_is_not() -> None:
    """From 0.5 m/s to rest at 2 m/s2 takes v^2 / 2a = 0.0625 m."""
    with pytest.raises(OutOfRange, match="speed change"):
        block_times([0.050], 0.5, 2.0, [0.5], [0.0])
    assert block_times([0.070], 0.5, 2.0, [0.5], [0.0]) == pytest.approx(0.25 + 0.0075 / 0.5)


def test_a_block_without_room_for_its_limit_speeds_up_as_far_as_it_can() -> None:
    """v^2 at the peak is a L + (v0^2 + v1^2) / 2: up from v0 and down to v1 in the length there is."""
    peak = (2.0 * 0.01 + (0.1**2 + 0.2**2) / 2) ** 0.5

    assert block_times([0.01], 10.0, 2.0, [0.1], [0.2]) == pytest.approx((2 * peak - 0.1 - 0.2) / 2.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: border_speeds([0.01], [np.inf], [0.0, 0.0]),
        lambda: block_times([0.01], 0.1, [np.inf], [0.0], [0.0]),
    ],
)
def test_no_move_with_a_length_speeds_up_at_once(call: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match=r"acceleration \[m/s2\] = row 0"):
        call()
    assert border_speeds([0.0], [np.inf], [0.0, 0.0]).tolist() == [0.0, 0.0]
