"""The units that records may use: a table for the usual ones, pint for the rest.

pint is the authority on units, but importing it takes longer than reading a shop's records. So `units.csv` keeps its factors for
the spellings that people write. The columns `factor` and `offset` are made from the column `pint` by

    python -m coolcheck.records.units

and a test compares every row with pint. A unit that is not in the table is asked of pint itself.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

_HERE = Path(__file__).parent
_TABLE = _HERE / "units.csv"
_SIGNS = str.maketrans({"·": "*", "⋅": "*", "×": "*", "²": "**2", "³": "**3", "µ": "u", "μ": "u", "″": '"', "−": "-", "^": "**"})
_POWER = re.compile(r"(?<=[A-Za-z])([23])(?=$|[*/)])")  # mm2, kg/m3
_PINT_CAN_READ = re.compile(r"[A-Za-z_]+(\*\*-?[1-9])?([*/]\(?[A-Za-z_]+(\*\*-?[1-9])?\)?)*\Z")  # names, small powers, one level


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity. `usual` units are offered; `over` and `least` bound every value of it [SI]; `other`: ask pint too."""

    name: str
    si: str
    says: str
    usual: tuple[str, ...]
    over: float | None
    least: float | None
    other: bool


@dataclass(frozen=True, slots=True)
class Unit:
    """value in SI = value · factor + offset, exactly."""

    factor: Fraction
    offset: Fraction


@cache
def dimensions() -> dict[str, Dimension]:
    """Every kind of quantity by name."""
    with (_HERE / "dimensions.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["dimension"]: Dimension(
                name=row["dimension"],
                si=row["si"],
                says=row["says"],
                usual=tuple(row["usual"].split()),
                over=float(row["over"]) if row["over"] else None,
                least=float(row["least"]) if row["least"] else None,
                other=row["other"] == "yes",
            )
            for row in csv.DictReader(file)
        }


@cache
def _table() -> dict[tuple[str, str], tuple[str, str]]:
    with _TABLE.open(encoding="utf-8", newline="") as file:
        return {(row[0], row[1]): (row[3], row[4]) for row in csv.reader(file)}


@cache
def spellings(dimension: str) -> tuple[str, ...]:
    """The spellings of the table for one dimension, the usual ones first."""
    return tuple(spelling for kind, spelling in _table() if kind == dimension)


@cache
def zero_needs_no_unit(dimension: str) -> bool:
    """Is zero the same in all units of it: of a length it is, of a temperature it is not.

    >>> zero_needs_no_unit("length"), zero_needs_no_unit("temperature")
    (True, False)
    """
    return all(Fraction(offset) == 0 for (kind, _), (_, offset) in _table().items() if kind == dimension)


@lru_cache(maxsize=10_000)
def spelled(unit: str) -> str:
    """`unit` in the one way in which the table spells it.

    >>> spelled("kg / m³"), spelled("J/(kg K)"), spelled("mm2"), spelled("µm")
    ('kg/m**3', 'J/(kg*K)', 'mm**2', 'um')
    """
    text = re.sub(r"\s*([*/()])\s*", r"\1", unit.strip().translate(_SIGNS))
    return _POWER.sub(r"**\1", re.sub(r"\s+", "*", text))


@cache
def unit(dimension: str, text: str) -> Unit | None:
    """How a value in the unit `text` becomes SI, or None when that is no unit of this dimension."""
    name = spelled(text)
    row = _table().get((dimension, name))
    if row is not None:
        return Unit(Fraction(row[0]), Fraction(row[1]))
    kind = dimensions()[dimension]
    if not kind.other or len(name) > 60 or not _PINT_CAN_READ.match(name):
        return None
    if name.casefold() in (known.casefold() for known in spellings(dimension)):
        return None  # Mm, mPa: to pint a megametre and a millipascal, here far more likely a slip
    return _from_pint(name, kind.si)


@cache
def dimensions_of(text: str) -> tuple[str, ...]:
    """The dimensions that have a unit `text`: of the table, or else as pint reads it."""
    return tabled(spelled(text)) or tuple(kind for kind in dimensions() if unit(kind, text) is not None)


def tabled(name: str) -> tuple[str, ...]:
    """The dimensions for which the table has the spelling `name`."""
    return tuple(kind for kind, spelling in _table() if spelling == name)


def _from_pint(name: str, si: str) -> Unit | None:
    try:
        return Unit(Fraction(_registry().Quantity(1, name).to(si).magnitude), Fraction(0))
    except Exception:  # noqa: BLE001 - pint raises many kinds for a text that is no unit of this dimension; all mean the same here
        return None


@cache
def _registry() -> Any:
    import pint  # here, because importing it takes longer than reading a shop's records

    return pint.UnitRegistry()


def factors_by_pint() -> Iterator[tuple[str, str, str, Fraction, Fraction]]:
    """The rows of the table with factor and offset as pint gives them: exact, as pint defines its units."""
    import pint  # see above

    registry: Any = pint.UnitRegistry(non_int_type=Fraction)
    zero, one = Fraction(0), Fraction(1)
    with _TABLE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            si = dimensions()[row["dimension"]].si
            offset = registry.Quantity(zero, row["pint"]).to(si).magnitude
            at_one = registry.Quantity(one, row["pint"]).to(si).magnitude
            yield row["dimension"], row["spelling"], row["pint"], _short(at_one - offset), _short(offset)


def _short(exact: Fraction) -> Fraction:
    """The same to far more digits than a float has; only what holds pi is not exact to begin with."""
    return Fraction(exact) if Fraction(exact).denominator < 10**18 else Fraction(exact).limit_denominator(10**18)


def main() -> None:
    """Writes the table anew from pint."""
    rows = list(factors_by_pint())
    with _TABLE.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["dimension", "spelling", "pint", "factor", "offset"])
        table.writerows(rows)


if __name__ == "__main__":
    main()
