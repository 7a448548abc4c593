"""The range in which a formula or a table may be believed. Outside it there is no number, only a reason."""

from math import inf, isfinite


class OutOfRange(ValueError):
    """A value for which the source gives no answer; callers turn it into *unknown* with this reason."""

    def __init__(self, quantity: str, value: object, range_text: str, source: str) -> None:
        shown = f"{value:.6g}" if isinstance(value, float) else str(value)
        super().__init__(f"{quantity} = {shown} lies outside {range_text} ({source})")


def within(quantity: str, value: float, low: float, high: float, source: str) -> float:
    """`value` itself when it lies in [low, high]; else OutOfRange. No number, or one without end, is never in range.

    quantity : what the value is, with its unit, for the message [-]
    value : the value to look at [any SI unit]
    low : least value the source covers [as value]
    high : greatest value the source covers [as value]
    source : who sets the range [-]
    returns : value, unchanged [as value]

    Valid: always.
    Source: a definition of this package.

    >>> within("Biot number", 0.05, 0, 0.1, "lumped cooling")
    0.05
    >>> within("Biot number", 0.5, 0, 0.1, "lumped cooling")
    Traceback (most recent call last):
    coolcheck.physics.valid.OutOfRange: Biot number = 0.5 lies outside 0 .. 0.1 (lumped cooling)
    """
    if not low <= value <= high or not isfinite(value):
        raise OutOfRange(quantity, value, f"{low:g} .. {high:g}", source)
    return value


def positive(quantity: str, value: float, source: str = "by its meaning") -> float:
    """`value` itself when it is above zero and finite; else OutOfRange.

    quantity : what the value is, with its unit, for the message [-]
    value : the value to look at [any SI unit]
    source : who asks for it [-]
    returns : value, unchanged [as value]

    Valid: always.
    Source: a definition of this package.

    >>> positive("diameter [m]", 0.01)
    0.01
    >>> positive("diameter [m]", 0.0)
    Traceback (most recent call last):
    coolcheck.physics.valid.OutOfRange: diameter [m] = 0 lies outside values above zero (by its meaning)
    """
    if not 0 < value < inf:
        raise OutOfRange(quantity, value, "values above zero", source)
    return value


def not_negative(quantity: str, value: float, source: str = "by its meaning") -> float:
    """`value` itself when it is zero or more and finite; else OutOfRange.

    quantity : what the value is, with its unit, for the message [-]
    value : the value to look at [any SI unit]
    source : who asks for it [-]
    returns : value, unchanged [as value]

    Valid: always.
    Source: a definition of this package.

    >>> not_negative("dwell [s]", 0.0)
    0.0
    >>> not_negative("dwell [s]", -1.0)
    Traceback (most recent call last):
    coolcheck.physics.valid.OutOfRange: dwell [s] = -1 lies outside values of zero and more (by its meaning)
    """
    if not 0 <= value < inf:
        raise OutOfRange(quantity, value, "values of zero and more", source)
    return value
