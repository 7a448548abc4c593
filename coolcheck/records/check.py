"""Validates folders of records: all that is wrong, and for each record what it leaves unknown."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from coolcheck.errors import Problem
from coolcheck.place import Place
from coolcheck.records.agree import problems_between, problems_of_job
from coolcheck.records.binding import folders_of
from coolcheck.records.job import SUFFIX
from coolcheck.records.load import read_record, read_records
from coolcheck.records.record import Record, Section
from coolcheck.records.schema import Field


@dataclass(frozen=True)
class Unknowns:
    """A record, and the fields of it that would decide something and are not known: names as written, with their questions."""

    record: Record
    fields: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        called = f"{self.record.file}: {self.record.kind} {self.record.name}"
        if not self.fields:
            return f"{called}: complete"
        names = ", ".join(f"`{name}`" for name, _ in self.fields)
        return f"{called}: {len(self.fields)} unknown: {names}"


@dataclass(frozen=True)
class Checkup:
    """What a folder of records holds, and what is wrong with it."""

    problems: tuple[Problem, ...]
    records: tuple[Unknowns, ...]


def check(folder: Path) -> Checkup:
    """All that is wrong in the records and jobs of a folder, and what each record leaves unknown."""
    if not folder.is_dir():
        return Checkup((Problem(Place(str(folder)), "there is no such folder", "name the folder with tools/, holders/ ..."),), ())
    shelf, problems = read_records([folder])
    records = list(shelf.all())
    jobs: list[Record] = []
    for path in sorted(folder.glob("*" + SUFFIX)):
        job, wrong = read_record(path)
        problems += wrong
        if job is not None and job.kind == "job":
            jobs.append(job)
    if any(map(_adds_folders, jobs)):  # what its records name may lie in another folder of the job, and is looked for there
        alone = set(problems_between(shelf))
        problems = [problem for problem in problems if problem not in alone]
    for job in jobs:
        problems += _of_job(job, folder)
    records += jobs
    if not records and not problems:
        says = "there are no records in this folder"
        problems.append(Problem(Place(str(folder)), says, "`coolcheck records start PROGRAM` writes a first set"))
    ordered = sorted(dict.fromkeys(problems), key=lambda problem: problem.place)
    return Checkup(tuple(ordered), tuple(Unknowns(record, tuple(_unknown(record))) for record in records))


def _adds_folders(job: Record) -> bool:
    """Does the job use its own folder, and others besides."""
    folders = {folder.resolve() for folder in folders_of(job, "records", [])}
    return len(folders) > 1 and Path(job.file).parent.resolve() in folders


def _of_job(job: Record, folder: Path) -> list[Problem]:
    """What is wrong with a job beyond its own file; records of other folders that it uses are checked too."""
    problems: list[Problem] = []
    for name in ("search", "rules"):
        folders_of(job, name, problems)
    shelf, wrong = read_records(folders_of(job, "records", problems) if job.has("records") else [folder])
    return [*problems, *wrong, *problems_of_job(job, shelf)]


def _unknown(section: Section, before: str = "") -> Iterator[tuple[str, str]]:
    """The names and questions of what is unknown in a section and those inside it."""
    for field in section.fields.values():
        if not section.has(field.name):
            if matters(field, section):
                yield before + field.name, field.question(section.name)
            continue
        for entry in section.entries(field.name):
            yield from _unknown(entry, f"{before}{field.name}.{_step(entry, field)}.")


def matters(field: Field, section: Section) -> bool:
    """The field could decide something for this record: not a remark, not of another kind of tool, not of what it has not."""
    if field.aside or not _is_given(field, section):
        return False
    kind = section.value_of("kind") if field.kinds else None
    return kind is None or kind.si in field.kinds


def _is_given(field: Field, section: Section) -> bool:
    """What the field depends on may be there: it is not known to be absent, or only prepared."""
    other = section.value_of(field.given) if field.given else None
    return other is None or other.si not in (False, "no", "none", "prepared")


def _step(entry: Section, field: Field) -> str:
    key = entry.value_of(field.key) if field.key else None
    return str(key.si) if key else str(entry.place.line)


def total_unknown(unknowns: Iterable[Unknowns]) -> int:
    """How many fields are unknown in all."""
    return sum(len(each.fields) for each in unknowns)
