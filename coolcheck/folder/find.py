"""Finds the programs in a folder: by name, less what an ignore file leaves out. Never leaves the folder."""

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coolcheck.errors import Problem
from coolcheck.place import Place

if TYPE_CHECKING:
    from pathspec import PathSpec

PATTERNS = ("*.nc", "*.cnc", "*.tap", "*.ngc", "*.eia", "*.iso", "o[0-9]*")
IGNORE_FILE = ".coolcheckignore"


@dataclass(frozen=True)
class Found:
    """The programs of a folder, sorted, and what could not be looked into."""

    programs: tuple[Path, ...]
    problems: tuple[Problem, ...]


def find_programs(folder: Path, patterns: Sequence[str] = PATTERNS) -> Found:
    """Every file below `folder` whose name matches a pattern, upper or lower case.

    An ignore file holds patterns as git's ignore files do and counts for its own folder and those below. Links to folders are
    not followed, and links to files only when they stay inside: so there are no circles, and nothing from elsewhere.
    """
    problems: list[Problem] = []
    home = folder.resolve()

    def unreadable(fault: OSError) -> None:
        says = f"this folder cannot be read: {fault.strerror or fault}"
        problems.append(Problem(Place(str(fault.filename or folder)), says, "check that you may read it"))

    programs = []
    ignored: dict[Path, list[_Ignore]] = {}
    for name, folders, files in os.walk(folder, onerror=unreadable, followlinks=False):
        here = Path(name)
        rules = [*ignored.get(here.parent, []), *_ignore_rules(here, files)]
        ignored[here] = rules
        folders[:] = sorted(f for f in folders if not f.startswith(".") and not any(r.names(here / f, True) for r in rules))
        for file in _matching(files, patterns):
            path = here / file
            if not any(r.names(path, False) for r in rules) and _is_program(path, home):
                programs.append(path)
    return Found(tuple(sorted(programs)), tuple(problems))


def _matching(files: Sequence[str], patterns: Sequence[str]) -> Iterator[str]:
    for file in files:
        lower = file.lower()
        # `O1234` is a program; `O1234.job.yaml` and `O1234.pdf` are not
        if any(fnmatch(lower, p.lower()) and ("." in p or "." not in file) for p in patterns):
            yield file


@dataclass(frozen=True)
class _Ignore:
    """The ignore file of one folder."""

    home: Path
    spec: "PathSpec[Any]"

    def names(self, path: Path, is_folder: bool) -> bool:
        return bool(self.spec.match_file(path.relative_to(self.home).as_posix() + ("/" if is_folder else "")))


def _ignore_rules(here: Path, files: Sequence[str]) -> list[_Ignore]:
    if IGNORE_FILE not in files:
        return []
    from pathspec import PathSpec  # only a folder with an ignore file pays for it

    lines = (here / IGNORE_FILE).read_text(encoding="utf-8", errors="replace").splitlines()
    return [_Ignore(here, PathSpec.from_lines("gitignore", lines))]


def _is_program(path: Path, home: Path) -> bool:
    """A plain file of this folder: no pipe or device, which would never end, no link to somewhere else or to itself."""
    try:
        return path.is_file() and (not path.is_symlink() or path.resolve().is_relative_to(home))
    except (OSError, RuntimeError):  # a circle of links
        return False
