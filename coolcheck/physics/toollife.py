"""Tool life over cutting speed after Taylor, and the speeds that cost least or make most parts.

v (T/T1)^n = C with T1 = 60 s: so C is the speed at which an edge lasts one minute, in m/s, and shop constants in m/min keep
their meaning. Lives of steady cuts: nothing here speaks about edges that break by thermal shock.
"""

from math import exp, log
from typing import NamedTuple

from coolcheck.physics.tables import number
from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

_MINUTE = 60.0
_BOOK = "Taylor's equation"


class Taylor(NamedTuple):
    """Taylor's constants: exponent n [-] and the speed C at which an edge lasts one minute [m/s]."""

    n: float
    C: float


class TaylorWithFeed(NamedTuple):
    """Taylor's constants with the feed: v (T/T1)^n (f/f1)^m = K, f1 = 1 mm; exponents n, m [-] and K [m/s]."""

    n: float
    m: float
    K: float


def taylor_constants(v_1: float, T_1: float, v_2: float, T_2: float) -> Taylor:
    """Taylor's constants from the lives at two speeds.

    n = ln(v1/v2) / ln(T2/T1), C = v1 (T1/60 s)^n

    v_1 : first cutting speed [m/s]
    T_1 : tool life at it [s]
    v_2 : second cutting speed [m/s]
    T_2 : tool life at it [s]
    returns : n [-] and C [m/s]

    Valid: the faster speed has the shorter life; used between and near the two speeds.
    Source: F. W. Taylor, 1907, as in Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, Ex. 22.1.

    >>> constants = taylor_constants(v_1=160/60, T_1=5*60, v_2=100/60, T_2=41*60)
    >>> round(constants.n, 4), round(constants.C * 60, 1)    # C in m/min
    (0.2234, 229.2)
    """
    for name, value in (("v1 [m/s]", v_1), ("T1 [s]", T_1), ("v2 [m/s]", v_2), ("T2 [s]", T_2)):
        positive(name, value)
    if T_1 == T_2:
        raise OutOfRange("tool lives [s]", T_1, "two different lives", _BOOK)
    n = _exponent(log(v_1 / v_2) / log(T_2 / T_1))
    return Taylor(n, v_1 * float((T_1 / _MINUTE) ** n))


def taylor_constants_with_feed(points: tuple[tuple[float, float, float], ...]) -> TaylorWithFeed:
    """Taylor's constants with the feed, from three lives.

    points : three times cutting speed [m/s], feed [m], tool life [s]; no two alike in speed and feed
    returns : n, m [-] and K [m/s], with the feed over 1 mm

    Valid: three points whose logarithms do not lie on one line; used between and near them.
    Source: extended Taylor equation, as in Groover, Fundamentals of Modern Manufacturing, 4th ed., problem 23.13.

    >>> lives = ((1.9, 0.00022, 600.0), (1.3, 0.00022, 2820.0), (1.9, 0.00032, 480.0))
    >>> constants = taylor_constants_with_feed(lives)
    >>> round(constants.n, 4), round(constants.m, 4)
    (0.2452, 0.146)
    """
    if len(points) != 3:
        raise OutOfRange("number of points", len(points), "three", _BOOK)
    V1, V2, V3 = (log(positive("v [m/s]", v)) for v, _, _ in points)
    F1, F2, F3 = (log(positive("f [m]", f) * 1e3) for _, f, _ in points)
    T1, T2, T3 = (log(positive("T [s]", T) / _MINUTE) for _, _, T in points)
    # ln v + n ln T + m ln f = ln K, the first point taken off the other two
    det = (T2 - T1) * (F3 - F1) - (T3 - T1) * (F2 - F1)
    if abs(det) < 1e-12:
        raise OutOfRange("points", str(points), "points that fix both exponents", _BOOK)
    n = ((V1 - V2) * (F3 - F1) - (V1 - V3) * (F2 - F1)) / det
    m = ((T2 - T1) * (V1 - V3) - (T3 - T1) * (V1 - V2)) / det
    return TaylorWithFeed(n, m, exp(V1 + n * T1 + m * F1))


def tool_life(v: float, n: float, C: float) -> float:
    """Life of an edge at a cutting speed.

    T = 60 s (C/v)^(1/n)

    v : cutting speed [m/s]
    n : Taylor's exponent [-]
    C : speed at which the edge lasts one minute [m/s]
    returns : tool life T [s]

    Valid: near the speeds the constants come from; 0.05 <= n <= 1.
    Source: F. W. Taylor, 1907, as in Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 22.

    >>> round(tool_life(v=110/60, n=0.140, C=150/60) / 60, 3)    # min
    9.165
    """
    speeds = positive("C [m/s]", C) / positive("cutting speed v [m/s]", v)
    return _MINUTE * float(speeds ** (1 / _exponent(n)))


def tool_life_with_feed(v: float, f: float, n: float, m: float, K: float) -> float:
    """Life of an edge at a cutting speed and feed.

    T = 60 s (K / (v (f/1 mm)^m))^(1/n)

    v : cutting speed [m/s]
    f : feed per revolution [m]
    n : exponent of the life [-]
    m : exponent of the feed [-]
    K : speed at which the edge lasts one minute at a feed of 1 mm [m/s]
    returns : tool life T [s]

    Valid: near the speeds and feeds the constants come from; 0.05 <= n <= 1, 0 <= m <= 1.
    Source: extended Taylor equation, as in Groover, Fundamentals of Modern Manufacturing, 4th ed., problem 23.13.

    >>> lives = ((1.9, 0.00022, 600.0), (1.3, 0.00022, 2820.0), (1.9, 0.00032, 480.0))
    >>> n, m, K = taylor_constants_with_feed(lives)
    >>> round(tool_life_with_feed(v=1.5, f=0.00028, n=n, m=m, K=K) / 60, 2)    # min
    22.71
    """
    within("feed exponent m", m, 0, 1, _BOOK)
    return tool_life(v, n, positive("K [m/s]", K) / float((positive("feed f [m]", f) * 1e3) ** m))


def speed_for_life(T: float, n: float, C: float) -> float:
    """Cutting speed at which an edge lasts a given time.

    v = C / (T/60 s)^n

    T : tool life wanted [s]
    n : Taylor's exponent [-]
    C : speed at which the edge lasts one minute [m/s]
    returns : cutting speed v [m/s]

    Valid: near the speeds the constants come from; 0.05 <= n <= 1.
    Source: F. W. Taylor, 1907, as in Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 22.

    >>> round(speed_for_life(T=60*60, n=0.28, C=350/60) * 60, 2)    # m/min
    111.22
    """
    return positive("C [m/s]", C) / float((positive("tool life T [s]", T) / _MINUTE) ** _exponent(n))


def speed_for_cut_as_long_as_life(path_length: float, n: float, C: float) -> float:
    """Cutting speed at which an edge lasts just as long as a given length of cut takes.

    v T = s and v (T/60 s)^n = C give T = 60 s (s / (60 s C))^(1/(1 - n)), v = s/T

    path_length : length of the chip's path along the work, pi D L/f for a pass of turning, s [m]
    n : Taylor's exponent [-]
    C : speed at which the edge lasts one minute [m/s]
    returns : cutting speed v [m/s]

    Valid: near the speeds the constants come from; 0.05 <= n < 0.95.
    Source: Groover, Fundamentals of Modern Manufacturing, 4th ed., problem 23.17.

    >>> from math import pi
    >>> v = speed_for_cut_as_long_as_life(pi * 0.400 * 1.100 / 0.00035, n=0.24, C=450/60)
    >>> round(v * 60, 2)    # m/min
    226.63
    """
    within("Taylor's exponent n", n, 0.05, 0.95, _BOOK)
    path = positive("length of cut [m]", path_length)
    return path / (_MINUTE * float((path / (_MINUTE * positive("C [m/s]", C))) ** (1 / (1 - n))))


def life_ratio(C_ratio: float, n: float) -> float:
    """How many times longer an edge lasts at the same speed when C changes, by a fluid for one.

    (C2/C1)^(1/n)

    C_ratio : new over old C; fluids raise C by 10 to 40 % in steady cuts [-]
    n : Taylor's exponent, unchanged [-]
    returns : new over old tool life [-]

    Valid: steady cuts, below about 120 m/min for fluids that lubricate; never interrupted cuts, where fluid may crack the edge.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 22.4; the ratio follows from Taylor's equation.

    >>> round(life_ratio(1.15, n=0.140), 3)
    2.714
    """
    return float(positive("ratio of C", C_ratio) ** (1 / _exponent(n)))


def fastest_production_speed(n: float, C: float, change_time: float) -> float:
    """Cutting speed at which most parts an hour are made.

    v = C / ((1/n - 1) Tt/60 s)^n

    n : Taylor's exponent [-]
    C : speed at which the edge lasts one minute [m/s]
    change_time : time to change the edge, Tt [s]
    returns : cutting speed v [m/s]

    Valid: 0.05 <= n < 1; steady cuts.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 23.3.

    >>> round(fastest_production_speed(n=0.125, C=70/60, change_time=120) * 60, 2)    # m/min
    50.33
    """
    within("Taylor's exponent n", n, 0.05, 0.999, _BOOK)
    return speed_for_life((1 / n - 1) * positive("change time [s]", change_time), n, C)


def cheapest_speed(n: float, C: float, change_time: float, edge_cost: float, cost_rate: float) -> float:
    """Cutting speed at which a part costs least.

    v = C (n/(1 - n) Co 60 s/(Co Tt + Ct))^n

    n : Taylor's exponent [-]
    C : speed at which the edge lasts one minute [m/s]
    change_time : time to change the edge, Tt [s]
    edge_cost : cost of one edge, Ct [money]
    cost_rate : cost of machine and operator, Co [money/s]
    returns : cutting speed v [m/s]

    Valid: 0.05 <= n < 1; steady cuts.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 23.3.

    >>> round(cheapest_speed(n=0.125, C=70/60, change_time=120, edge_cost=3.0, cost_rate=0.5/60) * 60, 2)    # m/min
    42.32
    """
    within("Taylor's exponent n", n, 0.05, 0.999, _BOOK)
    edge = not_negative("edge cost", edge_cost) / positive("cost rate", cost_rate)
    return speed_for_life((1 / n - 1) * (not_negative("change time [s]", change_time) + edge), n, C)


def taylor_of_tool(substrate: str, steel: bool = True) -> Taylor:
    """Taylor's constants of a kind of tool, as a textbook gives them.

    substrate : HSS, hardmetal, coated hardmetal, cermet, ceramic or plain carbon tool steel [word]
    steel : the work is steel; else not steel [truth]
    returns : n [-] and C [m/s]

    Valid: turning at f 0.25 mm, ap 2.5 mm; an order of magnitude, not a promise.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, Table 22.2 (tables/groover_2012_taylor.csv).

    >>> constants = taylor_of_tool("HSS")
    >>> constants.n, round(constants.C * 60, 1)    # m/min
    (0.125, 70.0)
    """
    table, column = "groover_2012_taylor", "C_steel" if steel else "C_other"
    return Taylor(number(table, "tool", substrate, "n"), number(table, "tool", substrate, column) / 60)


def _exponent(n: float) -> float:
    return within("Taylor's exponent n", n, 0.05, 1.0, _BOOK)
