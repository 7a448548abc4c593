"""Reads the tables of this package: CSV files under `tables/`, whose first lines (`#`) say source and reading."""

import csv
from functools import cache
from pathlib import Path

_FOLDER = Path(__file__).resolve().parent / "tables"


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a table as texts by column, in the order of the file.

    name : file name without `.csv` [-]
    returns : one mapping a row [-]

    Valid: tables that ship with the package.
    Source: the first lines of each file.

    >>> table("iapws_water")[0]["T"]
    '5'
    """
    lines = (_FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))
