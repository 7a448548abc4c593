"""Where a rising function crosses zero. Written here because loading scipy costs more than a whole review of a program."""

from collections.abc import Callable
from math import isnan

RISING_ROOT_STEPS = 200  # bisection alone needs some 60 for 1e-12; more means the function is not what it claims to be


def rising_root(f: Callable[[float], float], low: float, high: float, tolerance: float = 1e-13) -> float:
    """The x in [low, high] at which the rising function f crosses zero.

    Inverse quadratic interpolation, kept only while it is safe; otherwise the bracket is halved.

    f : continuous function that rises over the bracket [any unit]
    low : lower end of the bracket, f(low) <= 0 [as x]
    high : upper end of the bracket, f(high) >= 0 [as x]
    tolerance : width of the last bracket over x [-]
    returns : x with f(x) = 0 [as x]

    Valid: f(low) <= 0 <= f(high); else ValueError, because the caller's bracket is wrong.
    Source: T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149; method from memory, compared with scipy.

    >>> round(rising_root(lambda x: x**3 - 2.0, 0.0, 2.0), 12)
    1.259921049895
    """
    b, fb = low, f(low)
    a, fa = high, f(high)
    if fb > 0 or fa < 0:
        raise ValueError(f"no zero between {low!r} and {high!r}: the function is {fb!r} and {fa!r} there")
    if fb == 0 or fa == 0:
        return low if fb == 0 else high
    least = 1e-18 * (high - low)  # a root at zero itself has no relative width
    c, fc, t = b, fb, 0.5
    for _ in range(RISING_ROOT_STEPS):
        x = a + t * (b - a)
        fx = f(x)
        if (fx > 0) == (fa > 0):
            c, fc = a, fa
        else:
            c, fc, b, fb = b, fb, a, fa
        a, fa = x, fx
        best, f_best = (a, fa) if abs(fa) < abs(fb) else (b, fb)
        if isnan(fx):
            raise ValueError(f"no zero found: the function is no number at {x!r}")
        width = tolerance * max(abs(best), least)
        if f_best == 0 or abs(b - a) <= 2 * width:
            return best
        t_least = width / abs(b - a)
        t = min(max(_step(a, b, c, fa, fb, fc), t_least), 1 - t_least)
    raise ValueError(f"no zero found between {low!r} and {high!r} in {RISING_ROOT_STEPS} steps")


def _step(a: float, b: float, c: float, fa: float, fb: float, fc: float) -> float:
    """Where between a (0) and b (1) to look next."""
    if fc in (fa, fb):
        return 0.5
    xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
    if phi * phi < xi and (1 - phi) ** 2 < 1 - xi:
        return fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return 0.5
