"""Watches a folder and tells which programs were just posted, once they are whole."""

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from coolcheck.folder.find import find_programs

LOOK_EVERY = 1.0  # seconds; polling works on network shares, where notices of change do not arrive


@dataclass(frozen=True, slots=True)
class Seen:
    """A file as it looked: two looks alike mean that nobody writes it any more."""

    size: int
    changed: int


def changed_programs(
    folder: Path,
    patterns: Sequence[str],
    known: dict[Path, Seen] | None = None,
    pause: Callable[[float], None] = time.sleep,
) -> Iterator[tuple[Path, ...]]:
    """For ever: the programs that are new or changed and have stayed as they are between two looks; may be none.

    known : programs as they were when last reviewed; it is kept up to date. A file that is still being written waits.
    """
    reviewed = known if known is not None else {}
    before: dict[Path, Seen] = {}
    while True:
        now = looks(folder, patterns)
        whole = tuple(
            path for path, seen in now.items() if seen.size > 0 and before.get(path) == seen and reviewed.get(path) != seen
        )
        for path in whole:
            reviewed[path] = now[path]
        for path in set(reviewed) - set(now):
            del reviewed[path]
        before = now
        yield whole
        pause(LOOK_EVERY)


def looks(folder: Path, patterns: Sequence[str]) -> dict[Path, Seen]:
    """Every program of the folder as it looks now; one that goes away meanwhile is left out."""
    found = {}
    for path in find_programs(folder, patterns).programs:
        try:
            stat = path.stat()
        except OSError:
            continue
        found[path] = Seen(stat.st_size, stat.st_mtime_ns)
    return found
