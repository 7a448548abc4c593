"""What a person may choose about a report, the same for every format."""

import os
from dataclasses import dataclass, field
from pathlib import Path

from coolcheck.place import Place

FAIL_ON = ("error", "warning", "note", "never")
UNITS = ("program", "mm", "inch")


@dataclass(frozen=True)
class Options:
    """How to render.

    evidence : "short" shows the few pieces that matter, "full" all of them with inputs, formula and source
    is_coloured : may colour be used; width : columns of the text
    wraps_heads : may the first line of a finding be wrapped (a terminal) or must it stay whole (a pipe, a log)
    fail_on : the least level that counts; counts_undecided : does what cannot be decided count at its rule's level
    base : paths are shown relative to this folder, so that a report does not tell on which computer it was made
    units : of lengths, feeds, pressures and flows for people: those of the program, mm, or inch; JSON stays metric
    """

    evidence: str = "short"
    is_coloured: bool = False
    width: int = 80
    wraps_heads: bool = False
    fail_on: str = "warning"
    counts_undecided: bool = True
    base: Path = field(default_factory=Path.cwd)
    units: str = "program"

    @property
    def is_full(self) -> bool:
        """Is all evidence asked for."""
        return self.evidence == "full"

    def file(self, name: str) -> str:
        """The path of a file as a report shows it: relative to `base`, with forward slashes."""
        return shown_path(name, self.base)

    def place(self, place: Place) -> str:
        """The place as an editor can jump to it."""
        return str(Place(self.file(place.file), place.line, place.column))


def shown_path(name: str, base: Path) -> str:
    """`name` relative to `base` with forward slashes; another drive's path stays as it is.

    >>> shown_path("/shop/programs/../programs/O1.nc", Path("/shop"))
    'programs/O1.nc'
    """
    if not name or name.startswith("<"):  # "<stdin>" is a name, not a path
        return name
    try:
        relative = os.path.relpath(name if os.path.isabs(name) else base / name, base)
    except ValueError:  # Windows: no relative path leads to another drive
        relative = os.path.normpath(name)
    return relative.replace(os.sep, "/")
