"""Shifts of the work coordinates that the program itself makes (G52, G92, G10 between cuts): how far along Z.

The interpreter writes them into the name of the work offset: "G54 shifted X5 Z-2", with "?" for a distance nobody can tell.
"""

import re
from functools import cache

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Floats

_Z = re.compile(r" ?Z(\?|[+-]?[0-9.]+(?:e[+-]?\d+)?)$")


@cache
def z_shift(work_offset: str) -> float:
    """How far Z0 lies above the Z0 of the work offset itself [mm]; NaN where that is not known.

    >>> z_shift("G54"), z_shift("G54 shifted X5 Z-2"), z_shift("G54 shifted Z?")
    (0.0, -2.0, nan)
    """
    found = _Z.search(work_offset) if " shifted " in work_offset else None
    if found is None:
        return 0.0
    return float("nan") if found.group(1) == "?" else float(found.group(1))


def z_shifts(names: tuple[str, ...], which: NDArray[np.int64]) -> Floats:
    """The shift along Z for each index into the names of work offsets [mm]."""
    return np.array([z_shift(name) for name in names], dtype=float)[which]
