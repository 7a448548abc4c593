"""Where subprograms outside a program's own file are looked for: declared folders, and nothing outside them."""

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

SUFFIXES = frozenset({"", ".nc", ".cnc", ".tap", ".ngc", ".txt", ".eia", ".iso", ".prg", ".sub", ".mac", ".gcode"})


@dataclass(frozen=True, slots=True)
class Found:
    """A subprogram file: its name as shown, and its bytes."""

    file: str
    data: bytes


class Library:
    """Looks subprograms up by number ("1234") or name ("<name>"). The folders are listed once, when first needed.

    O1234, o1234.nc, 1234.nc and 01234.tap serve the number 1234; name.ngc serves <name>. Capitals do not matter.
    A link that leads out of its folder is not followed.
    """

    def __init__(self, folders: Iterable[Path], most_bytes: int = 64_000_000) -> None:
        self._folders = tuple(folders)
        self._most_bytes = most_bytes
        self._files: dict[str, Path] | None = None

    def find(self, name: str) -> Found | None:
        """The file of that program; None when no folder has it or it cannot be read."""
        if self._files is None:
            self._files = self._listed()
        path = self._files.get(name.strip("<>").lower() if name.startswith("<") else _number(name))
        if path is None:
            return None
        try:
            if path.stat().st_size > self._most_bytes:
                return None
            return Found(str(path), path.read_bytes())
        except OSError:
            return None

    def _listed(self) -> dict[str, Path]:
        files: dict[str, Path] = {}
        for folder in self._folders:
            for path in _inside(folder):
                stem = path.stem.lower()
                for key in (stem, _number(stem)):
                    if key:
                        files.setdefault(key, path)
        return files


def _inside(folder: Path) -> Iterator[Path]:
    """The files of a folder that can be programs, in order; links out of the folder left out."""
    try:
        root = folder.resolve(strict=True)
        names = sorted(os.listdir(root))
    except OSError:
        return
    for name in names:
        path = folder / name
        if path.suffix.lower() not in SUFFIXES:
            continue
        try:
            resolved = path.resolve(strict=True)
            if resolved.is_file() and resolved.is_relative_to(root):
                yield path
        except (OSError, RuntimeError):  # a loop of links
            continue


def _number(text: str) -> str:
    """A program number without O and leading zeros; "" when it is none."""
    digits = text.lower().removeprefix("o")
    return (digits.lstrip("0") or "0") if digits.isascii() and digits.isdigit() else ""
