"""Binds a program to the records that its job names: machine, material, fluid, tools and holders."""

from dataclasses import dataclass, field
from pathlib import Path

from coolcheck.errors import Problem, RecordError
from coolcheck.known import Known, Missing, unknown
from coolcheck.place import Place
from coolcheck.records.agree import problems_of_job
from coolcheck.records.job import find_job, read_job
from coolcheck.records.load import read_records
from coolcheck.records.record import Record, Section, Shelf

_ASKS = {
    "job": "which job does this program belong to?",
    "machine": "which machine runs this program?",
    "material": "which material does this program cut?",
    "fluid": "which fluid is in the tank?",
}

NO_TOOL = Missing("tool", "", "which tool is in the spindle? No tool change stands before this")  # no record can say it


@dataclass(frozen=True)
class Binding:
    """A program and its records. A record that the job does not name is absent: it is there, and knows nothing.

    tools : the tool records of the job by T number
    search_folders, rules_folders : where subprograms and the shop's own rules lie
    """

    program_file: str
    job: Record
    machine: Record
    material: Record
    fluid: Record
    tools: dict[int, Record]
    search_folders: tuple[Path, ...] = ()
    rules_folders: tuple[Path, ...] = ()
    shelf: Shelf = field(default_factory=Shelf)

    def tool(self, number: int | None) -> Record:
        """The record of the tool with that T number; None is the tool that no tool change has put into the spindle."""
        if number is None:
            return Record.absent("tool", NO_TOOL)
        name = f"T{number}"
        record = self.tools.get(number) or self.shelf.get("tool", name)
        return record or Record.absent("tool", self._ask(f"tool {name}", f"tools.{number}.tool", f"which tool is {name}?"), name)

    def holder(self, number: int | None) -> Record:
        """The record of the holder in which that tool sits."""
        if number is None:
            return Record.absent("holder", NO_TOOL)
        tool = self.tool(number)
        stated = self.job.entry("tools", number).field("holder")
        if not stated.is_known:
            stated = tool.field("holder")
        if stated.is_known and (record := self.shelf.get("holder", stated.value)):
            return record
        question = f"which holder carries T{number}?"
        if tool.is_present:
            return Record.absent("holder", Missing(f"tool {tool.name}", "holder", question, Place(tool.file)))
        return Record.absent("holder", self._ask(f"holder of T{number}", f"tools.{number}.holder", question))

    def all_records(self) -> tuple[Record, ...]:
        """Every record that has a part in this program, each once."""
        tools = [self.tools[number] for number in sorted(self.tools)]
        holders = [self.holder(number) for number in sorted(self.tools)]
        records = [self.job, self.machine, self.material, self.fluid, *tools, *holders]
        return tuple(dict.fromkeys(record for record in records if record.is_present))

    @property
    def dialect_name(self) -> Known[str]:
        """Which dialect record reads the program: what the machine record says, else what the job says."""
        of_machine: Known[str] = self.machine.field("dialect")
        of_job: Known[str] = self.job.field("dialect")
        if of_machine.is_known or of_job.is_known:
            return of_machine if of_machine.is_known else of_job
        return unknown(*of_machine.missing, *of_job.missing)

    @property
    def waivers(self) -> tuple[Section, ...]:
        """The findings that the job accepts."""
        return self.job.entries("waivers")

    @property
    def block_skip(self) -> frozenset[int]:
        """The block-skip switches that are on."""
        switches: tuple[str, ...] = self.job.field("block skip").or_else(())
        return frozenset(int(switch) for switch in switches)

    def _ask(self, record: str, job_field: str, question: str) -> Missing:
        if self.job.is_present:
            return Missing(f"job {self.job.name}", job_field, question, Place(self.job.file))
        return Missing(record, "", question)


def bind(program: Path, job_file: Path | None = None) -> Binding:
    """The records of a program: of `job_file`, or of the job found above the program, or none.

    Raises RecordError with all problems of the job and of the records in its folders.
    """
    job = read_job(job_file) if job_file is not None else find_job(program)
    if job is None:
        return unbound(program)
    problems: list[Problem] = []
    records, search, rules = (folders_of(job, name, problems) for name in ("records", "search", "rules"))
    shelf, wrong = read_records(records if job.has("records") else [Path(job.file).parent])
    problems += [*wrong, *problems_of_job(job, shelf)]
    if problems:
        raise RecordError(sorted(problems, key=lambda problem: problem.place))
    return _bound(program, job, shelf, search, rules)


def unbound(program: Path) -> Binding:
    """A program without any record."""
    absent = {kind: Record.absent(kind, Missing(kind, "", question)) for kind, question in _ASKS.items()}
    return Binding(str(program), absent["job"], absent["machine"], absent["material"], absent["fluid"], {}, (program.parent,))


def _bound(program: Path, job: Record, shelf: Shelf, search: list[Path], rules: list[Path]) -> Binding:
    def the(kind: str) -> Record:
        stated: Known[str] = job.field(kind)
        absent = Record.absent(kind, Missing(f"job {job.name}", kind, _ASKS[kind], Place(job.file)))
        return shelf.get(kind, stated.value) or absent if stated.is_known else absent

    tools = {}
    for place in job.entries("tools"):
        stated: Known[str] = place.field("tool")
        record = shelf.get("tool", stated.value if stated.is_known else f"T{place.field('T').value}")
        if record is not None:
            tools[int(place.field("T").value)] = record
    folders = tuple(dict.fromkeys([program.parent, *search]))
    return Binding(str(program), job, the("machine"), the("material"), the("fluid"), tools, folders, tuple(rules), shelf)


def folders_of(job: Record, field_name: str, problems: list[Problem]) -> list[Path]:
    """The folders that a job names; those that are not there are noted in `problems`."""
    stated: Known[tuple[str, ...]] = job.field(field_name)
    folders = [folder_of(job, folder) for folder in stated.or_else(())]
    for folder in folders:
        if not folder.is_dir():
            says = f"there is no folder `{folder}`"
            problems.append(Problem(job.place_of(field_name), says, f"`{field_name}` names folders seen from the job file"))
    return [folder for folder in folders if folder.is_dir()]


def folder_of(job: Record, name: str) -> Path:
    """A folder that a job names, seen from the job file. Jobs are written on Windows and read elsewhere: `\\` parts names too."""
    return Path(job.file).parent / name.replace("\\", "/")
