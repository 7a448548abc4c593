"""The tables that formulas read, as they were printed: `tables/*.csv`, each named after its source.

The first line of a file names the source; the comment lines behind it say how it was read. Values keep the unit of the
print, which the column name or the reading note states; the functions that use a table turn them into SI.
"""

import csv
from bisect import bisect_right
from functools import cache
from pathlib import Path

from coolcheck.physics.valid import OutOfRange, within

_FOLDER = Path(__file__).with_name("tables")
_COMMENT = "# "

Row = dict[str, str]


@cache
def table(file: str) -> tuple[Row, ...]:
    """The rows of a table, in the order of the print, every cell as text ("" where the print is empty).

    file : name of the file without .csv [word]
    returns : one dict for each row, by column name [-]

    Valid: the tables of this package.
    Source: each file names its own in its first line.

    >>> table("iso2306_tap_drills")[5]["drill_mm"]
    '8.5'
    """
    lines = (_FOLDER / f"{file}.csv").read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith(_COMMENT)))


@cache
def source(file: str) -> str:
    """Where a table was printed.

    file : name of the file without .csv [word]
    returns : the first comment line of the file [-]

    Valid: the tables of this package.
    Source: each file names its own in its first line.

    >>> source("din338_lengths")
    'DIN 338 jobber drills (ISO 235): overall length and flute length'
    """
    with (_FOLDER / f"{file}.csv").open(encoding="utf-8") as lines:
        return lines.readline().removeprefix(_COMMENT).strip()


def number(file: str, key: str, name: str, column: str) -> float:
    """One number of a table: the cell of `column` in the row whose `key` is `name`.

    file : name of the file without .csv [word]
    key : the column that names the rows [word]
    name : the name looked for [word]
    column : the column of the answer [word]
    returns : the number, in the unit of the print [as the table]

    Valid: names that the table has and whose cell is not empty.
    Source: each file names its own in its first line.

    >>> number("kienzle_victor_steels", "material", "C45E", "kc1_1")
    2220.0
    >>> number("kienzle_victor_steels", "material", "cheese", "kc1_1")    # doctest: +ELLIPSIS
    Traceback (most recent call last):
    coolcheck.physics.valid.OutOfRange: material = cheese lies outside C45E, E295, E335, ... (Named steels after ...)
    """
    for row in table(file):
        if row[key] == name and row[column]:
            return float(row[column])
    names = dict.fromkeys(row[key] for row in table(file) if row[column])
    raise OutOfRange(key, name, ", ".join(names), source(file))


def between(file: str, key: str, x: float, column: str) -> float:
    """A number between the rows of a table, by a straight line from each row to the next.

    file : name of the file without .csv [word]
    key : the column of the argument, rising down the table [word]
    x : where to look, in the unit of the print [as the table]
    column : the column of the answer [word]
    returns : the number, in the unit of the print [as the table]

    Valid: from the first row to the last; nothing is extended beyond them.
    Source: each file names its own in its first line.

    >>> between("machinerys_handbook_28_feed_factors", "f_mm", 0.20, "C")
    1.08
    >>> round(between("machinerys_handbook_28_feed_factors", "f_mm", 0.06, "C"), 6)
    1.35
    """
    xs, ys = _columns(file, key, column)
    x = _without_rounding(x)
    within(key, x, xs[0], xs[-1], source(file))
    right = min(bisect_right(xs, x), len(xs) - 1)
    part = (x - xs[right - 1]) / (xs[right] - xs[right - 1])
    return ys[right - 1] + part * (ys[right] - ys[right - 1])


def of_range(file: str, low: str, high: str, x: float, column: str, **names: str) -> float:
    """The number of the row whose range holds `x`, among the rows that bear `names`.

    file : name of the file without .csv [word]
    low : the column of the lower bounds [word]
    high : the column of the upper bounds [word]
    x : where to look, in the unit of the print [as the table]
    column : the column of the answer [word]
    names : column and name that the row must bear [word]
    returns : the number, in the unit of the print; where two rows meet, of the first [as the table]

    Valid: inside the ranges of the rows; gaps between them have no answer.
    Source: each file names its own in its first line.

    >>> of_range("groover_2012_specific_energy", "HB_from", "HB_to", 220, "U", material="carbon steel")
    2.2
    """
    ranges, x = [], _without_rounding(x)
    for row in table(file):
        if all(row[key] == name for key, name in names.items()):
            if float(row[low]) <= x <= float(row[high]):
                return float(row[column])
            ranges.append(f"{row[low]} to {row[high]}")
    said = ", ".join(names.values()) or column
    raise OutOfRange(f"{said}: {low} .. {high}", x, ", ".join(ranges) or "the rows of the table", source(file))


def _without_rounding(x: float) -> float:
    return float(f"{x:.12g}")  # 0.0306 / 0.0051 is 6, and stands in the table


@cache
def _columns(file: str, key: str, column: str) -> tuple[list[float], list[float]]:
    filled = [row for row in table(file) if row[key] and row[column]]
    return [float(row[key]) for row in filled], [float(row[column]) for row in filled]
