"""Tool life: Taylor's line through its own points, and the speeds that are really best."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from coolcheck.physics import OutOfRange
from coolcheck.physics.toollife import (
    cheapest_speed,
    fastest_production_speed,
    life_ratio,
    speed_for_cut_as_long_as_life,
    speed_for_life,
    taylor_constants,
    taylor_constants_with_feed,
    taylor_of_tool,
    tool_life,
    tool_life_with_feed,
)

exponents = st.floats(0.1, 0.6)
constants = st.floats(0.5, 20.0)
speeds = st.floats(0.2, 10.0)


@given(exponents, constants, speeds, st.floats(1.05, 3))
def test_two_lives_give_back_the_line_they_lie_on(n: float, C: float, v: float, faster: float) -> None:
    found = taylor_constants(v, tool_life(v, n, C), faster * v, tool_life(faster * v, n, C))

    assert found == pytest.approx((n, C))


@given(exponents, constants, speeds)
def test_half_the_speed_lasts_two_to_the_one_over_n_times_as_long(n: float, C: float, v: float) -> None:
    assert tool_life(v / 2, n, C) == pytest.approx(2 ** (1 / n) * tool_life(v, n, C))


@given(exponents, constants, st.floats(10, 1e5))
def test_life_and_speed_are_each_other_turned_round(n: float, C: float, T: float) -> None:
    assert tool_life(speed_for_life(T, n, C), n, C) == pytest.approx(T)


@pytest.mark.parametrize(
    "conditions", [[(2.0, 0.0002), (1.2, 0.0002), (2.0, 0.0003)], [(2.0, 0.0002), (1.2, 0.00025), (1.7, 0.0003)]]
)
@given(exponents, st.floats(0.05, 0.6), constants)
def test_three_lives_give_back_speed_and_feed_exponents(
    conditions: list[tuple[float, float]], n: float, m: float, K: float
) -> None:
    points = tuple((v, f, tool_life_with_feed(v, f, n, m, K)) for v, f in conditions)

    assert taylor_constants_with_feed(points) == pytest.approx((n, m, K), rel=1e-6)


@given(exponents, st.floats(30, 600), st.floats(0.1, 20), st.floats(0.001, 0.05))
def test_the_cheapest_speed_is_where_the_cost_of_a_part_is_least(n: float, change: float, edge: float, rate: float) -> None:
    C, path = 5.0, 500.0

    def cost(v: float) -> float:
        cut = path / v
        return rate * cut + cut / tool_life(v, n, C) * (rate * change + edge)

    best = minimize_scalar(cost, bounds=(0.05, 5 * C), method="bounded", options={"xatol": 1e-8})

    assert cost(cheapest_speed(n, C, change, edge, rate)) <= best.fun * (1 + 1e-9)


@given(exponents, st.floats(30, 600))
def test_the_fastest_production_is_where_the_time_of_a_part_is_least(n: float, change: float) -> None:
    C, path = 5.0, 500.0

    def seconds(v: float) -> float:
        return path / v + path / v / tool_life(v, n, C) * change

    best = minimize_scalar(seconds, bounds=(0.05, 5 * C), method="bounded", options={"xatol": 1e-8})

    assert seconds(fastest_production_speed(n, C, change)) <= best.fun * (1 + 1e-9)


@given(exponents, st.floats(30, 600), st.floats(0.1, 20), st.floats(0.001, 0.05))
def test_the_cheapest_speed_is_never_above_the_fastest(n: float, change: float, edge: float, rate: float) -> None:
    assert cheapest_speed(n, 5.0, change, edge, rate) <= fastest_production_speed(n, 5.0, change) * (1 + 1e-12)


@given(exponents, constants, st.floats(200, 5000))
def test_a_cut_as_long_as_the_life_uses_the_edge_up(n: float, C: float, path: float) -> None:
    v = speed_for_cut_as_long_as_life(path, n, C)

    assert path / v == pytest.approx(tool_life(v, n, C), rel=1e-6)


@given(exponents, st.floats(1.0, 1.4))
def test_a_fluid_that_raises_c_never_shortens_the_life_of_a_steady_cut(n: float, ratio: float) -> None:
    assert life_ratio(ratio, n) >= 1
    assert life_ratio(ratio, n) == pytest.approx(tool_life(1.0, n, 3.0 * ratio) / tool_life(1.0, n, 3.0))


def test_a_better_cutting_material_lasts_longer_at_the_same_speed() -> None:
    kinds = ("plain carbon tool steel", "HSS", "hardmetal", "coated hardmetal")
    lives = [tool_life(1.0, *taylor_of_tool(kind)) for kind in kinds]

    assert lives == sorted(lives)


@pytest.mark.parametrize(
    "call",
    [
        lambda: taylor_constants(1.0, 600, 2.0, 600),
        lambda: taylor_constants(1.0, 600, 2.0, 1200),
        lambda: taylor_constants_with_feed(((1.0, 2e-4, 60.0),)),
        lambda: taylor_constants_with_feed(((1.0, 2e-4, 60.0), (0.5, 2e-4, 600.0), (0.4, 2e-4, 900.0))),
        lambda: tool_life(1.0, 0.0, 3.0),
        lambda: taylor_of_tool("cermet", steel=False),
        lambda: speed_for_life(0.0, 0.25, 3.0),
    ],
)
def test_lives_that_no_edge_has_are_refused(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]
