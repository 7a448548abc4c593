"""Decodes many plain decimal numbers at once: sign, digits, at most one point. What is not plain is left to the grammar.

A number of up to 15 digits is exact: a whole number below 2**53 divided by a power of ten that a float holds exactly, so the
result is the float nearest to the decimal text, as `float()` gives it.
"""

import numpy as np
from numpy.typing import NDArray

LONGEST = 17  # characters: sign, point and 15 digits
_POWERS = 10.0 ** np.arange(LONGEST + 1)


def decode(
    data: NDArray[np.uint8], starts: NDArray[np.int64], ends: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_], NDArray[np.bool_]]:
    """Values, "has a decimal point", and "is plain" of the numbers from `starts` to before `ends` in `data`.

    Where "is plain" is False the value means nothing.
    """
    count = len(starts)
    lengths = ends - starts
    plain = lengths <= LONGEST
    mantissa = np.zeros(count, dtype=np.int64)
    points = np.zeros(count, dtype=np.int8)
    behind = np.zeros(count, dtype=np.int8)  # digits behind the point
    digits = np.zeros(count, dtype=np.int8)
    first = data[starts] if count else np.zeros(0, dtype=np.uint8)
    negative = first == ord("-")
    signed = negative | (first == ord("+"))
    at = starts + signed
    left = np.where(plain, ends - at, 0)
    for step in range(int(left.max(initial=0))):
        here = left > step
        character = data[np.where(here, at + step, 0)]
        digit = character - np.uint8(48)  # wraps round for what lies below "0"
        is_digit = here & (digit < 10)
        is_point = here & (character == 46)
        mantissa = np.where(is_digit, mantissa * 10 + digit, mantissa)
        digits += is_digit
        behind += is_digit & (points > 0)
        points += is_point
        plain &= is_digit | is_point | ~here
    plain &= (points <= 1) & (digits > 0) & (digits <= 15)
    values = mantissa / _POWERS[behind]
    np.negative(values, where=negative, out=values)
    return values, points > 0, plain
