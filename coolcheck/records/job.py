"""Finds the job file that a program belongs to."""

import os
from collections.abc import Iterator
from fnmatch import fnmatchcase
from functools import cache
from itertools import groupby
from pathlib import Path, PurePath

from coolcheck.errors import Problem, RecordError
from coolcheck.place import Place
from coolcheck.records.load import read_record
from coolcheck.records.record import Record

SUFFIX = ".job.yaml"
MOST_LEVELS = 20
_TOP = (".git", ".hg", ".svn", ".jj")  # a folder with one of these is the top of somebody's work: look no higher


def read_job(path: Path) -> Record:
    """The job record in a file. Raises RecordError when the file is no job, or holds a mistake."""
    record, problems = read_record(path)
    if record is not None and record.kind != "job":
        says = f"this is a {record.kind} record, not a job"
        problems.append(Problem(record.place_of(record.kind), says, f"give a job file (*{SUFFIX})"))
    if problems or record is None:
        raise RecordError(problems)
    return record


def find_job(program: Path) -> Record | None:
    """The job whose `programs` name this program, see `Jobs.of`."""
    return Jobs().of(program)


class Jobs:
    """Finds the jobs of many programs; each folder and each job file is looked at once."""

    def __init__(self) -> None:
        self._above = cache(_job_files_above)
        self._read = cache(read_record)

    def of(self, program: Path) -> Record | None:
        """The job whose `programs` name this program, from the program's folder upwards; None when there is none.

        Raises RecordError when several jobs of one folder name it, or when a job file on the way cannot be read.
        """
        for folder, files in self._above(program.parent):
            jobs = [job for path in files if (job := self._job_for(path, folder, program))]
            if len(jobs) > 1:
                raise RecordError(_several(program, jobs))
            if jobs:
                return jobs[0]
        return None

    def _job_for(self, path: Path, folder: Path, program: Path) -> Record | None:
        """The job in a file when it names the program. A job that is wrong elsewhere stops only those whom it names."""
        record, problems = self._read(path)
        if record is None or record.kind != "job":
            raise RecordError(problems or [Problem(Place(str(path)), "this is no job record", f"name only job files *{SUFFIX}")])
        relative = PurePath(os.path.relpath(program, folder))
        patterns = record.field("programs").or_else(())
        if not any(matches(pattern, relative) for pattern in patterns):
            return None
        if problems:
            raise RecordError(problems)
        return record


def _job_files_above(folder: Path) -> list[tuple[Path, list[Path]]]:
    """This folder and those above that hold job files, the nearest first, and the files."""
    listed = ((above, _job_files(above)) for above in folders_above(folder / "program"))
    return [(above, files) for above, files in listed if files]


def _job_files(folder: Path) -> list[Path]:
    try:
        return [folder / name for name in sorted(os.listdir(folder)) if os.path.normcase(name).endswith(SUFFIX)]
    except OSError:
        return []


def folders_above(program: Path) -> Iterator[Path]:
    """The folders in which to look for the job of a program, the nearest first."""
    folder = Path(os.path.abspath(program)).parent
    for _ in range(MOST_LEVELS):
        yield folder if program.is_absolute() else Path(os.path.relpath(folder))
        if any(os.path.exists(folder / mark) for mark in _TOP) or folder == folder.parent:
            return
        folder = folder.parent


def matches(pattern: str, path: PurePath) -> bool:
    """A relative path fits a pattern: `*` within a name, `**` for any folders.

    >>> matches("programs/*.nc", PurePath("programs/a.nc")), matches("**/*.nc", PurePath("a/b/c.nc"))
    (True, True)
    >>> matches("*.nc", PurePath("programs/a.nc"))
    False
    """
    wanted = [part for part in pattern.replace("\\", "/").split("/") if part not in ("", ".")]
    wanted = [part for part, run in groupby(wanted) for part in ([part] if part == "**" else run)]  # `**/**` is `**`
    return _parts_match(tuple(wanted), path.parts)


def _parts_match(wanted: tuple[str, ...], parts: tuple[str, ...]) -> bool:
    if not wanted:
        return not parts
    if wanted[0] == "**":
        return any(_parts_match(wanted[1:], parts[at:]) for at in range(len(parts) + 1))
    return bool(parts) and fnmatchcase(parts[0], wanted[0]) and _parts_match(wanted[1:], parts[1:])


def _several(program: Path, jobs: list[Record]) -> list[Problem]:
    problems = []
    for job in jobs:
        others = " and ".join(other.file for other in jobs if other is not job)
        says = f"`{program.name}` belongs to this job, and to {others} as well"
        problems.append(Problem(job.place_of("programs"), says, "give the job with --job, or make `programs` name it once"))
    return problems
