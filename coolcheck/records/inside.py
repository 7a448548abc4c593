"""Keeps look-ups within the folders that a person named: a link that leads out of its folder is told, and not followed."""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

from coolcheck.errors import Problem
from coolcheck.place import Place


def _real(folder: Path) -> Path:
    return folder.resolve(strict=True)


def inside(path: Path, folder: Path, real: Callable[[Path], Path] = _real) -> bool:
    """Is that a plain file which really lies in `folder` or below: no pipe, no device, no link to somewhere else or to itself.

    real : where a folder really is; one that remembers it serves many files of few folders
    """
    try:
        place = path.resolve(strict=True) if path.is_symlink() else real(path.parent)
        return path.is_file() and place.is_relative_to(real(folder))
    except (OSError, RuntimeError):  # a circle of links
        return False


def kept_inside(paths: Iterable[Path], folder: Path, field: str, problems: list[Problem]) -> Iterator[Path]:
    """Those of `paths` that lie in `folder`; of the others it is noted in `problems` that they are not followed."""
    real = cache(_real)
    for path in paths:
        if inside(path, folder, real):
            yield path
        elif path.is_symlink() or path.is_file():
            says = f"this link leads out of {folder}, or nowhere; it is not followed"
            problems.append(
                Problem(Place(str(path)), says, f"name the folder it leads to under `{field}` in the job, or copy it")
            )
