"""Keeps look-ups within the folders that a person named: a link that leads out of its folder is told, and not followed."""

import stat
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

from coolcheck.errors import Problem
from coolcheck.place import Place


def lies_in(folder: Path) -> Callable[[Path], bool]:
    """Asks of a folder whether it really is `folder`, or lies below. It remembers the answers: many files lie in few folders."""
    real = folder.resolve()
    return cache(lambda place: place.resolve(strict=True).is_relative_to(real))


def inside(path: Path, lies: Callable[[Path], bool]) -> bool:
    """Is that a plain file whose folder is one of which `lies` is true: no pipe, no device, no link to elsewhere or itself."""
    try:
        mode = path.lstat().st_mode
        if stat.S_ISLNK(mode):
            return path.is_file() and lies(path.resolve(strict=True))
        return stat.S_ISREG(mode) and lies(path.parent)
    except (OSError, RuntimeError):  # a circle of links
        return False


def kept_inside(paths: Iterable[Path], folder: Path, field: str, problems: list[Problem]) -> Iterator[Path]:
    """Those of `paths` that lie in `folder`; of the others it is noted in `problems` that they are not followed."""
    lies = lies_in(folder)
    for path in paths:
        if inside(path, lies):
            yield path
        elif path.is_symlink() or path.is_file():
            says = f"this link leads out of {folder}, or nowhere; it is not followed"
            problems.append(
                Problem(Place(str(path)), says, f"name the folder it leads to under `{field}` in the job, or copy it")
            )
