"""Reads record files: YAML in, checked records out, with everything that is wrong at its file, line and column."""

import os
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

from coolcheck import yamltext
from coolcheck.errors import InputError, Problem, RecordError
from coolcheck.place import Place
from coolcheck.records import schema
from coolcheck.records.agree import problems_between, problems_within
from coolcheck.records.inside import kept_inside
from coolcheck.records.record import Record, Shelf
from coolcheck.records.walk import record_of

MOST_FILES = 10_000


def load_records(folder: Path) -> Shelf:
    """The records of a folder: machines/, holders/, tools/, materials/ and fluids/. Raises RecordError with all problems."""
    shelf, problems = read_records([folder])
    if problems:
        raise RecordError(problems)
    return shelf


def read_records(folders: Iterable[Path]) -> tuple[Shelf, list[Problem]]:
    """The records of several folders as far as they are right, and all that is wrong in them."""
    shelf = Shelf()
    problems: list[Problem] = []
    for folder in dict.fromkeys(folders):
        for path in kept_inside(record_files(folder), folder, "records", problems):
            record, wrong = read_record(path)
            problems += wrong
            if record is not None:
                problems += _put(shelf, record)
            elif called := _called(path):
                shelf.broken.setdefault(called, str(path))
    problems += problems_between(shelf)
    return shelf, sorted(problems, key=lambda problem: problem.place)


def record_files(folder: Path) -> list[Path]:
    """The record files of a folder, jobs left out, sorted. Raises RecordError when there are more than MOST_FILES."""
    found: list[Path] = []
    for name in schema.FOLDERS.values():
        for here, _, files in os.walk(folder / name):  # links to folders are not followed
            found += (Path(here, file) for file in files if os.path.splitext(file)[1] in (".yaml", ".yml"))
        if len(found) > MOST_FILES:
            raise RecordError(Problem(Place(str(folder / name)), f"this folder holds more than {MOST_FILES} records", "split it"))
    return sorted(found)


def read_record(path: Path) -> tuple[Record | None, list[Problem]]:
    """The record in a file, and what is wrong with it. A file that has not changed is read once in a process."""
    try:
        stat = path.stat()
    except OSError as error:
        return None, [Problem(Place(str(path)), f"this file cannot be opened: {(error.strerror or str(error)).lower()}")]
    record, problems = _read_unchanged(path, stat.st_mtime_ns, stat.st_size, stat.st_ino)
    return record, list(problems)


@lru_cache(maxsize=20_000)
def _read_unchanged(path: Path, _mtime: int, _size: int, _inode: int) -> tuple[Record | None, tuple[Problem, ...]]:
    try:
        file = yamltext.read(path)
    except InputError as error:
        return None, error.problems
    record, problems = record_of(file)
    return record, problems if record is None else (*problems, *problems_within(record))


def _called(path: Path) -> tuple[str, str] | None:
    """Kind and name of a record whose file is no right YAML, from its first line that is no comment."""
    try:
        with path.open("rb") as file:
            lines = file.read(4000).decode("utf-8", "replace").removeprefix("\ufeff").splitlines()
    except OSError:
        return None
    first = next((line for line in lines if line.strip() and not line.lstrip().startswith(("#", "---"))), "")
    kind, _, name = first.partition(":")
    name = name.partition(" #")[0].strip().strip("\"'")
    return (kind, name) if kind in schema.KINDS and name else None


def _put(shelf: Shelf, record: Record) -> list[Problem]:
    """Puts a record on the shelf, unless its name is taken."""
    other = shelf.get(record.kind, record.name)
    if other is None:
        shelf.records[record.kind][record.name] = record
        return []
    says = f"there are two records of the {record.kind} `{record.name}` (the other is {other.place_of(record.kind)})"
    return [Problem(record.place_of(record.kind), says, "give one of them another name, or remove it")]
