"""Quantities inside conditions and limits, by the units that records know."""

from functools import cache

from coolcheck.judge.dimensions import DIMENSIONS, PLAIN, Dimension
from coolcheck.records import quantity as quantities
from coolcheck.records import units


class UnknownUnit(ValueError):  # noqa: N818 - says what the text is
    """A text that is no unit; `do` says what to write."""

    def __init__(self, unit: str) -> None:
        known = [spelling for kind in units.dimensions() for spelling in units.spellings(kind)]
        near = quantities.nearest(unit, known)
        super().__init__(f"`{unit}` is no unit that is known here")
        self.do = f"did you mean `{near}`?" if near else "write one such as mm, bar, L/min, s, rpm, m/min or percent"


@cache
def scale(unit: str) -> tuple[float, float, Dimension]:
    """(factor, offset, dimension) of a unit: SI = shown · factor + offset. "" is a plain number. Raises UnknownUnit.

    >>> scale("mm")
    (0.001, 0.0, (1, 0, 0, 0))
    """
    if not unit:
        return 1.0, 0.0, PLAIN
    for name in units.dimensions_of(unit):
        found = units.unit(name, unit)
        if found:
            return float(found.factor), float(found.offset), DIMENSIONS[name]
    raise UnknownUnit(unit)


@cache
def quantity(number: str, unit: str) -> tuple[float, Dimension]:
    """The SI value and the dimension of a number with a unit. Raises UnknownUnit, or NotAQuantity for a number out of any range.

    >>> quantity("40", "mm")
    (0.04, (1, 0, 0, 0))
    """
    _, _, dimension = scale(unit)
    if dimension == PLAIN and not unit:
        return quantities.number(number), PLAIN
    name = units.dimensions_of(unit)[0]
    return quantities.parse(f"{number} {unit}", name).si, dimension
