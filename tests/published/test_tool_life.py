"""Published examples of tool life over cutting speed, with and without fluid.

A case has the source, our function, the answer recomputed from the stated inputs (0.5 %) and, where the print agrees with
its own inputs, the printed answer (1 %). Groover 5: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed., Wiley 2012.
Groover 4 solutions: worked solutions of the 4th ed. Sharma, Ghosh, Kalpakjian: second-hand, as in the other files.
"""

from collections.abc import Callable
from math import pi

import pytest

from coolcheck.physics.cutting import approach_face, machining_time, removal_rate_turning, spindle_speed, turning_time
from coolcheck.physics.toollife import (
    Taylor,
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

IN, FT, MIN = 0.0254, 0.3048, 60.0
M_MIN, FT_MIN = 1 / MIN, FT / MIN


def case(
    name: str, source: str, ours: Callable[[], float], recomputed: float, printed: float | None = None, slip: str = ""
) -> object:
    return pytest.param(source, ours, recomputed, printed, slip, id=name)


Pair = tuple[float, float]


def line(name: str, source: str, found: Taylor, unit: float, recomputed: Pair, printed: Pair) -> list[object]:
    """Two cases: exponent and constant of a Taylor line."""
    return [
        case(f"{name} n", source, lambda: found.n, recomputed[0], printed[0]),
        case(f"{name} C", source, lambda: found.C / unit, recomputed[1], printed[1]),
    ]


def metric(v_1: float, T_1: float, v_2: float, T_2: float) -> Taylor:
    """From m/min and minutes."""
    return taylor_constants(v_1 * M_MIN, T_1 * MIN, v_2 * M_MIN, T_2 * MIN)


def inch(v_1: float, T_1: float, v_2: float, T_2: float) -> Taylor:
    """From ft/min and minutes."""
    return taylor_constants(v_1 * FT_MIN, T_1 * MIN, v_2 * FT_MIN, T_2 * MIN)


GS = "Groover 4 solutions, problem "
TAY4 = inch(375, 5.5, 275, 53)
TAY5 = metric(120, 7, 80, 28)
TAY6 = taylor_constants(4.0, 1 * MIN, 2.0, 20 * MIN)
LINES = [
    *line("TAY-1", "Groover 5, Ex. 22.1", metric(160, 5, 100, 41), M_MIN, (0.22337, 229.22), (0.223, 229)),
    *line("TAY-2", GS + "23.1", metric(125, 20.4, 165, 10), M_MIN, (0.38941, 404.48), (0.3894, 404.46)),
    *line("TAY-3", GS + "23.2", metric(125, 13.0, 165, 5.6), M_MIN, (0.32966, 291.16), (0.3296, 291.14)),
    *line("TAY-4", GS + "23.5", TAY4, FT_MIN, (0.13690, 473.6), (0.137, 474)),
    case("TAY-4 life at 300", GS + "23.5", lambda: tool_life(300 * FT_MIN, *TAY4) / MIN, 28.07, 28.1),
    case("TAY-4 speed for 10", GS + "23.5", lambda: speed_for_life(10 * MIN, *TAY4) / FT_MIN, 345.5, 346),
    # a slip: the problem states (100, 10) and (75, 30), its solution works with the two points used here
    *line("TAY-5", GS + "23.6", TAY5, M_MIN, (0.29248, 212.01), (0.2925, 212.0)),
    case("TAY-5 life at 110", GS + "23.6", lambda: tool_life(110 * M_MIN, *TAY5) / MIN, 9.425, 9.42),
    case("TAY-5 speed for 15", GS + "23.6", lambda: speed_for_life(15 * MIN, *TAY5) / M_MIN, 96.02, 96.0),
    case("TAY-6 n", GS + "23.7", lambda: TAY6.n, 0.23138, 0.2314),
    case("TAY-6 life at 1 m/s", GS + "23.7", lambda: tool_life(1.0, *TAY6) / MIN, 400.0, 400),
    *line("TAY-9", GS + "23.11", metric(160, 5.75, 100, 47), M_MIN, (0.22371, 236.63), (0.224, 236.8)),
    # v T^0.25 = 1000 in ft/min and min: in m/s and s C is the speed for a life of one second
    case("TAY-10 C", GS + "23.12", lambda: speed_for_life(1.0, 0.25, 1000 * FT_MIN), 14.138, 14.14),
    case("TAY-10 speed", GS + "23.12", lambda: speed_for_life(960, 0.25, 1000 * FT_MIN), 2.540, 2.54),
    case("TAY-20", "Sharma 14.1", lambda: tool_life(24 * M_MIN, 0.125, 18 * M_MIN * 180**0.125) / MIN, 18.02, 18),
    *line("TAY-21", "Sharma 14.7", metric(25, 90, 35, 20), M_MIN, (0.22371, 68.41), (0.224, 68.4)),
    case("TAY-21 v60", "Sharma 14.7", lambda: speed_for_life(60 * MIN, *metric(25, 90, 35, 20)) / M_MIN, 27.37, 27.37),
    case("KS4 Ex. 20.2", "Kalpakjian 4, Ex. 20.2", lambda: tool_life(0.5, 0.5, 1.0) / tool_life(1.0, 0.5, 1.0), 4, 4),
]

TAY11 = taylor_constants_with_feed(((1.9, 0.22e-3, 10 * MIN), (1.3, 0.22e-3, 47 * MIN), (1.9, 0.32e-3, 8 * MIN)))
TAY12 = taylor_constants_with_feed(
    ((400 * FT_MIN, 0.010 * IN, 10 * MIN), (300 * FT_MIN, 0.010 * IN, 35 * MIN), (400 * FT_MIN, 0.015 * IN, 8 * MIN))
)
# v T^0.13 f^0.77 d^0.37 = C: at a fixed depth of cut this is the form with the feed
TAY22_C = 30 * 60**0.13 * 0.3**0.77 * 2.5**0.37


def tay22(v: float, f: float, d: float) -> float:
    """Life in minutes by Sharma's equation, its depth of cut in the constant."""
    return tool_life_with_feed(v * M_MIN, f * 1e-3, 0.13, 0.77, TAY22_C / d**0.37 * M_MIN) / MIN


WITH_FEED = [
    case("TAY-11 n", GS + "23.13", lambda: TAY11.n, 0.24522, 0.245),
    case("TAY-11 m", GS + "23.13", lambda: TAY11.m, 0.14604, 0.146),
    case("TAY-11 K", GS + "23.13; the answer is in m/min, the speeds in m/s", lambda: TAY11.K / M_MIN, 160.73, 160.7),
    case("TAY-11 life", GS + "23.13", lambda: tool_life_with_feed(1.5, 0.28e-3, *TAY11) / MIN, 22.71, 22.7),
    case("TAY-12 n", GS + "23.14", lambda: TAY12.n, 0.22964, 0.2297),
    case("TAY-12 m", GS + "23.14", lambda: TAY12.m, 0.12638, 0.1264),
    case("TAY-12 K", GS + "23.14, feed over 1 in", lambda: TAY12.K / FT_MIN / 25.4**TAY12.m, 379.26, 379.3),
    case("TAY-22 C", "Sharma 14.4", lambda: TAY22_C, 28.373, 28.37),
    case("TAY-22 speed", "Sharma 14.4", lambda: tay22(36, 0.3, 2.5), 14.76, 14.76),
    case("TAY-22 feed", "Sharma 14.4", lambda: tay22(30, 0.36, 2.5), 20.38, 20.38),
    case("TAY-22 depth", "Sharma 14.4", lambda: tay22(30, 0.3, 3.0), 35.71, 35.71),
    case("TAY-22 all", "Sharma 14.4", lambda: tay22(36, 0.36, 3.0), 2.983, 2.98),
]


def fly_cut(v: float) -> float:
    """Time of one part of TAY-7: 15 in long, 2 in wide, centred under a fly cutter of 2.5 in, one tooth at 0.010 in."""
    vf = spindle_speed(v * FT_MIN, 2.5 * IN) * 0.010 * IN
    return machining_time(15 * IN, vf, approach_face(2.5 * IN, 2 * IN))


def drilled(v: float) -> float:
    """Time of one hole of TAY-14: 1.0 in of cast iron, drill 1/2 in at 0.003 in, point and allowances ignored."""
    return machining_time(1.0 * IN, spindle_speed(v * FT_MIN, 0.5 * IN) * 0.003 * IN)


def turned(D: float, L: float, f: float) -> Callable[[float], float]:
    """Time of a turning pass over the speed."""
    return lambda v: turning_time(L, D, f, v)


def many(parts_1: int, v_1: float, parts_2: int, v_2: float, time: Callable[[float], float], unit: float = 1.0) -> Taylor:
    """Taylor's line from numbers of parts at two speeds."""
    return taylor_constants(v_1 * unit, parts_1 * time(v_1), v_2 * unit, parts_2 * time(v_2))


TAY7 = many(3, 400, 12, 200, fly_cut, FT_MIN)
TAY8 = many(5, 3.0, 25, 2.0, turned(0.125, 0.300, 0.225e-3))
TAY14 = many(50, 80, 5, 120, drilled, FT_MIN)
TAY17 = many(3, 3.5, 20, 2.5, turned(0.088, 0.400, 0.25e-3))
TAY17_V = speed_for_cut_as_long_as_life(50 * pi * 0.088 * 0.400 / 0.25e-3, *TAY17)
TAY18 = many(4, 400, 15, 275, lambda v: turning_time(17.5 * IN, 4.5 * IN, 0.012 * IN, v * FT_MIN), FT_MIN)
TAY18_V = speed_for_cut_as_long_as_life(25 * pi * 3.5 * IN * 15 * IN / (0.012 * IN), *TAY18)
TAY15_V = speed_for_cut_as_long_as_life(pi * 0.400 * 1.100 / 0.35e-3, 0.24, 450 * M_MIN)
TAY16_V = speed_for_cut_as_long_as_life(pi * 26.25 * IN * 48 * IN / (0.0125 * IN), 0.25, 1300 * FT_MIN)
TAY19_V = speed_for_cut_as_long_as_life(3 * pi * 0.300 * 0.625 / 0.35e-3, 0.24, 450 * M_MIN)


def volume(tool: str) -> float:
    """TAY-13: cm3 of steel in ten minutes at f 0.25, d 2.5 mm."""
    return removal_rate_turning(speed_for_life(600, *taylor_of_tool(tool)), 0.25e-3, 2.5e-3) * 600 * 1e6


PARTS = [
    case("TAY-7 n", GS + "23.8", lambda: TAY7.n, 0.33360, 0.3336),
    case("TAY-7 C", GS + "23.8", lambda: TAY7.C / FT_MIN, 787.20, 787.2),
    case("TAY-7 life", GS + "23.8", lambda: 3 * fly_cut(400) / MIN, 7.61, 7.61),
    case("TAY-8 life", GS + "23.9", lambda: 5 * turned(0.125, 0.300, 0.225e-3)(3.0) / MIN, 14.54, 14.54),
    *line("TAY-8", GS + "23.9", TAY8, M_MIN, (0.20121, 308.45), (0.2012, 308.4)),
    case("TAY-13 carbon steel", GS + "23.15", lambda: volume("plain carbon tool steel"), 99.29, 99.3),
    case("TAY-13 HSS", GS + "23.15", lambda: volume("HSS"), 328.08, 328.2),
    case("TAY-13 hardmetal", GS + "23.15", lambda: volume("hardmetal"), 1757.3, 1757.6),
    case("TAY-13 ceramic", GS + "23.15", lambda: volume("ceramic"), 4709.8, 4709.9),
    case("TAY-14 life 50 holes", GS + "23.16", lambda: 50 * drilled(80) / MIN, 27.27, 27.25),
    case("TAY-14 life 5 holes", GS + "23.16", lambda: 5 * drilled(120) / MIN, 1.818, 1.82),
    case("TAY-14 n", GS + "23.16", lambda: TAY14.n, 0.14973, 0.15),
    case("TAY-14 C", GS + "23.16", lambda: TAY14.C / FT_MIN, 131.24, 131.3),
    case("TAY-15 speed", GS + "23.17", lambda: TAY15_V / M_MIN, 226.63, 226.6),
    case("TAY-15 life", GS + "23.17", lambda: tool_life(TAY15_V, 0.24, 450 * M_MIN) / MIN, 17.43, 17.4),
    case("TAY-16 speed", GS + "23.18", lambda: TAY16_V / FT_MIN, 476.56, 476.56),
    case("TAY-16 life", GS + "23.18", lambda: tool_life(TAY16_V, 0.25, 1300 * FT_MIN) / MIN, 55.375, 55.375),
    *line("TAY-17", GS + "23.19", TAY17, M_MIN, (0.15064, 277.22), (0.1506, 277.2)),
    case("TAY-17 speed", GS + "23.19", lambda: TAY17_V / M_MIN, 127.50, 127.57),
    case("TAY-17 life", GS + "23.19", lambda: tool_life(TAY17_V, *TAY17) / MIN, 173.46, 173.4),
    case("TAY-18 n", GS + "23.20", lambda: TAY18.n, 0.22087),
    case("TAY-18 C", GS + "23.20", lambda: TAY18.C / FT_MIN, 749.6),
    case("TAY-18 speed", GS + "23.20", lambda: TAY18_V / FT_MIN, 266.9, 267.0),
    case("TAY-18 life", GS + "23.20", lambda: tool_life(TAY18_V, *TAY18) / MIN, 107.28, 107.2),
    case("TAY-19 speed", GS + "23.21", lambda: TAY19_V / M_MIN, 209.72, 209.75),
    case("TAY-19 life", GS + "23.21", lambda: tool_life(TAY19_V, 0.24, 450 * M_MIN) / MIN, 24.08, 24.07),
]

HSS = taylor_of_tool("HSS")
TAY23, TAY24 = "Groover 5, Ex. 23.3 and 23.4", "Ghosh Ex. 26 and 28"


def cost(vc: float, parts: int) -> float:
    """Dollars for a part of TAY-23: handling 5 min, change 2 min, 0.5 $/min, edge 3 $, over whole parts per edge."""
    return 0.5 * (5.0 + turning_time(0.500, 0.100, 0.25e-3, vc) / MIN + 2.0 / parts) + 3.0 / parts


FASTEST = fastest_production_speed(*HSS, 2 * MIN)
CHEAPEST = cheapest_speed(*HSS, 2 * MIN, 3.0, 0.5 / MIN)
ECONOMICS = [
    case("TAY-23 fastest", TAY23, lambda: FASTEST / M_MIN, 50.33, 50),
    case("TAY-23 cheapest", TAY23, lambda: CHEAPEST / M_MIN, 42.32, 42),
    case("TAY-23 time at 50", TAY23, lambda: turning_time(0.500, 0.100, 0.25e-3, 50 * M_MIN) / MIN, 12.566, 12.57),
    case("TAY-23 life at 50", TAY23, lambda: tool_life(50 * M_MIN, *HSS) / MIN, 14.758, 14.76),
    case("TAY-23 cost at 50", TAY23, lambda: cost(50 * M_MIN, 1), 12.78, 12.79),
    case("TAY-23 time at 42", TAY23, lambda: turning_time(0.500, 0.100, 0.25e-3, 42 * M_MIN) / MIN, 14.960, 14.96),
    case("TAY-23 life at 42", TAY23, lambda: tool_life(42 * M_MIN, *HSS) / MIN, 59.54, 59.54),
    case("TAY-23 cost at 42", TAY23, lambda: cost(42 * M_MIN, 3), 11.31, 11.32),
    case("TAY-24 cheapest", TAY24, lambda: cheapest_speed(0.25, 75 * M_MIN, 2 * MIN, 2.50, 0.15 / MIN) / M_MIN, 27.417, 27.42),
    case("TAY-24 fastest", TAY24, lambda: fastest_production_speed(0.25, 75 * M_MIN, 2 * MIN) / M_MIN, 47.921, 47.92),
]

COOL1_T = tool_life(500 * FT_MIN, 0.25, 1300 * FT_MIN)
COOL2 = (tool_life(110 * M_MIN, 0.140, 150 * M_MIN), tool_life(110 * M_MIN, 0.140, 172.5 * M_MIN))
COOL3 = (tool_life(125 * FT_MIN, 0.125, 200 * FT_MIN), tool_life(125 * FT_MIN, 0.125, 225 * FT_MIN))
COOL4_V = speed_for_life(COOL3[0], 0.125, 225 * FT_MIN)


def cost_of_volume(vc: float, life: float) -> float:
    """Dollars for a cubic inch of COOL-4: $30 an hour, edge $2, change 2.5 min, f 0.010, d 0.100 in."""
    minutes = IN**3 / removal_rate_turning(vc, 0.010 * IN, 0.100 * IN) / MIN
    return minutes * (0.5 + (0.5 * 2.5 + 2.0) / (life / MIN))


FLUID = [
    case("COOL-1 life", GS + "23.26", lambda: COOL1_T / MIN, 45.70, 45.7),
    case(
        "COOL-1 C",
        GS + "23.26",
        lambda: 600 / speed_for_life(COOL1_T, 0.25, 1.0),  # the C for 20 % more speed at the same life
        1560.0,
        1560,
        "its middle line shows 1500 for 1300",
    ),
    case("COOL-1 life with fluid", GS + "23.26", lambda: tool_life(600 * FT_MIN, 0.25, 1560 * FT_MIN) / COOL1_T, 1.0),
    case("COOL-2 dry", GS + "23.27", lambda: COOL2[0] / MIN, 9.165, 9.18),
    case("COOL-2 wet", GS + "23.27", lambda: COOL2[1] / MIN, 24.87, 24.85),
    case("COOL-2 gain", GS + "23.27", lambda: 100 * (life_ratio(1.15, 0.140) - 1), 171.4, 171),
    case("COOL-3 dry", GS + "23.28", lambda: COOL3[0] / MIN, 42.950, 42.95),
    case("COOL-3 wet", GS + "23.28", lambda: COOL3[1] / MIN, 110.20, 110.2),
    case("COOL-3 more", GS + "23.28", lambda: (COOL3[1] - COOL3[0]) / MIN, 67.25, 67.25),
    case("COOL-3 gain", GS + "23.28", lambda: 100 * (life_ratio(225 / 200, 0.125) - 1), 156.6, 156.6),
    case("COOL-4 speed", GS + "24.25", lambda: COOL4_V / FT_MIN, 140.60, 140.6),
    case("COOL-4 cost at that speed", GS + "24.25", lambda: cost_of_volume(COOL4_V, COOL3[0]), 0.3411, 0.341),
    case("COOL-4 cost at the old speed", GS + "24.25", lambda: cost_of_volume(125 * FT_MIN, COOL3[1]), 0.3530, 0.353),
    *(
        case(f"life ratio n {n} C {ratio}", "derived, Groover 5, sec. 22.4", lambda n=n, ratio=ratio: life_ratio(ratio, n), gain)
        for n, ratio, gain in (
            (0.125, 1.1, 2.14),
            (0.125, 1.4, 14.8),
            (0.25, 1.1, 1.46),
            (0.25, 1.4, 3.84),
            (0.6, 1.1, 1.17),
            (0.6, 1.4, 1.75),
        )
    ),
]


@pytest.mark.parametrize(("source", "ours", "recomputed", "printed", "slip"), LINES + WITH_FEED + PARTS + ECONOMICS + FLUID)
def test_a_published_tool_life_example(
    source: str, ours: Callable[[], float], recomputed: float, printed: float | None, slip: str
) -> None:
    answer = ours()

    assert answer == pytest.approx(recomputed, rel=0.005), f"{source}: recomputed from its inputs {recomputed}; {slip}"
    if printed is not None:
        assert answer == pytest.approx(printed, rel=0.01), f"{source}: prints {printed}; {slip}"
