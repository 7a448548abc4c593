"""One program from its bytes to its review: read, bind to its records, interpret, build the process, judge.

What a user can have wrong (a file that is not there, a record, a rule) becomes a review that says so; it never stops
the programs beside it.
"""

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import BinaryIO

from coolcheck.errors import InputError, LimitReached, Problem
from coolcheck.folder.bounds import bounded
from coolcheck.judge.evaluate import Judgement, judge
from coolcheck.judge.finding import Finding
from coolcheck.judge.process_words import process_words
from coolcheck.judge.readiness import readiness
from coolcheck.judge.rule import Rule
from coolcheck.judge.rules import load_rules
from coolcheck.judge.starting_line import StartingLine, read_starting_line
from coolcheck.judge.verdict import Verdict
from coolcheck.judge.waivers import Waiver
from coolcheck.nc.dialect import DEFAULT, load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.library import Library
from coolcheck.nc.limits import Limits
from coolcheck.nc.moves import Execution, Note
from coolcheck.nc.program import Program
from coolcheck.nc.trace import Row, trace
from coolcheck.place import Place
from coolcheck.process import build
from coolcheck.process.clock import clock
from coolcheck.process.facts import FACTS
from coolcheck.process.model import Timeline
from coolcheck.records.binding import Binding, bind, unbound
from coolcheck.report.options import shown_path
from coolcheck.report.review import Judged, Review, Waived, review_of

STDIN = "<stdin>"
LONGEST_QUOTE = 2000  # a longer line is no help to a person; its place is still told
MOST_BYTES = 500_000_000  # of a program file, twenty million blocks


@dataclass(frozen=True)
class Settings:
    """What a person may choose about a review.

    job : job file, None to look for one; dialect : overrides job and machine; rules : folders with rules of one's own
    today : the day waivers are judged on; starting_line : file of what was accepted earlier
    base : paths are named relative to it
    """

    job: Path | None = None
    dialect: str = ""
    rules: tuple[Path, ...] = ()
    today: date = field(default_factory=date.today)
    starting_line: Path | None = None
    limits: Limits = Limits()
    base: Path = field(default_factory=Path.cwd)


def review_file(path: Path, settings: Settings) -> Review:
    """The review of a program file; one that cannot be read gives a review that says why."""
    name = shown_path(str(path), settings.base)
    return guarded(name, lambda: review_bytes(program_bytes(path, name), name, settings))


def review_bytes(data: bytes, name: str, settings: Settings) -> Review:
    """The review of a program that is in memory already, under the name its job is looked for by; "" has none."""
    name = name or STDIN

    def review() -> Review:
        with bounded(settings.limits):
            return judged(timeline_of(data, name, settings), settings)

    return guarded(name, review, data)


def process_file(path: Path, settings: Settings) -> Review:
    """The process of a program file as a review without findings. Raises InputError when it cannot be read."""
    name = shown_path(str(path), settings.base)
    return process_bytes(program_bytes(path, name), name, settings)


def process_bytes(data: bytes, name: str, settings: Settings) -> Review:
    """The process of a program in memory. Raises InputError when its records cannot be read."""
    with bounded(settings.limits):
        return review_of(timeline_of(data, name or STDIN, settings))


def trace_file(path: Path, units: str, settings: Settings) -> tuple[Iterator[Row], tuple[Note, ...]]:
    """The interpreted program row by row, and its notes. Raises InputError when it cannot be read."""
    name = shown_path(str(path), settings.base)
    return trace_bytes(program_bytes(path, name), name, units, settings)


def trace_bytes(data: bytes, name: str, units: str, settings: Settings) -> tuple[Iterator[Row], tuple[Note, ...]]:
    """The interpreted program row by row, and its notes; rapids have a time where the machine record tells their rates."""
    with bounded(settings.limits):
        execution, binding = execution_of(data, name or STDIN, settings)
        seconds = clock(execution, binding.machine).seconds
    return trace(execution, units, lambda row: float(seconds[row])), execution.notes


def guarded(name: str, review: Callable[[], Review], data: bytes | None = None) -> Review:
    """The review, or one that says what the user has to mend."""
    digest = hashlib.sha256(data).hexdigest() if data is not None else ""
    try:
        return review()
    except InputError as wrong:
        return Review(name, digest, problems=wrong.problems)
    except LimitReached as reached:
        return Review(name, digest, problems=(Problem(Place(name), str(reached)),))
    except OSError as fault:  # of a folder on the way to its records, say
        return Review(name, digest, problems=(unreadable(fault, name),))


def program_bytes(path: Path, name: str) -> bytes:
    """The bytes of a program file. Raises InputError with what the system says when there are none to be had."""
    try:
        if path.is_dir():
            raise InputError(Problem(Place(name), "this is a folder, not a program", "name the programs in it"))
        with path.open("rb") as file:  # a pipe tells no size before
            return all_of(file, name)
    except OSError as fault:
        raise InputError(unreadable(fault, name)) from fault


def unreadable(fault: OSError, name: str) -> Problem:
    """What the system says of a file or folder, `name` where it does not say which."""
    says = f"this file cannot be read: {fault.strerror or fault}"
    return Problem(Place(str(fault.filename or name)), says, "check the name, and that you may read it")


def all_of(file: BinaryIO, name: str) -> bytes:
    """All bytes of an open program file. Raises InputError when there are too many."""
    data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        says = f"this program has more than the {MOST_BYTES:,} bytes that are read"
        raise InputError(Problem(Place(name), says, "cut the program into parts"))
    return data


def timeline_of(data: bytes, name: str, settings: Settings) -> Timeline:
    """The program as a process with the records it is bound to. Raises InputError."""
    return build(*execution_of(data, name, settings))


def execution_of(data: bytes, name: str, settings: Settings) -> tuple[Execution, Binding]:
    """The program as its control would run it, and the records it is bound to. Raises InputError."""
    binding = binding_of(name, settings)
    dialect = load_dialect(settings.dialect or binding.dialect_name.or_else(DEFAULT))
    program = Program.read(data, name, dialect)
    return interpret(
        program,
        search=Library(search_folders(name, binding)),
        limits=settings.limits,
        block_skip=binding.block_skip,
        codes=builder_codes(binding),
        dialect_is_assumed=not (settings.dialect or binding.dialect_name.is_known),
    ), binding


def binding_of(name: str, settings: Settings) -> Binding:
    """The records of a program. One that has no name has no folder to look for a job in: it needs one told."""
    if name == STDIN and settings.job is None:
        return unbound(Path(STDIN))
    return bind(Path(name), settings.job)


def search_folders(name: str, binding: Binding) -> tuple[Path, ...]:
    """Where subprograms are looked for: what the job declares, then the program's own folder, as on a control."""
    own = () if name == STDIN else (Path(name).parent,)
    return (*binding.search_folders, *own)


def builder_codes(binding: Binding) -> frozenset[str]:
    """The builder-assigned codes that the machine record explains."""
    codes = (entry.field("code") for entry in binding.machine.entries("codes"))
    return frozenset(code.value for code in codes if code.is_known)


def judged(timeline: Timeline, settings: Settings) -> Review:
    """The review of a process: held against the shipped rules and those of the shop."""
    judgement, rules = judgement_of(timeline, settings)
    if settings.starting_line is not None:
        line = starting_line_in(settings.starting_line)
        judgement = line.beyond(name_beside(timeline.execution.program.source.name, settings.starting_line), judgement)
    cuts = any(not FACTS["operation", "cuts"].of(operation, timeline).is_no for operation in timeline.operations)
    return review_of(
        timeline,
        judgement.findings,
        rules=judged_by(rules),
        readiness=readiness((*judgement.findings, *judgement.known_findings), rules, cuts),
        waived=tuple(waived_by(verdict, waiver) for verdict, waiver in judgement.waived),
        quotes=quotes(timeline, judgement.findings),
        accepted=judgement.accepted,
        known=judgement.known_findings,
    )


def judgement_of(timeline: Timeline, settings: Settings) -> tuple[Judgement, tuple[Rule, ...]]:
    """What the rules say of a process, and the rules. Raises RuleError."""
    rules = load_rules((*timeline.binding.rules_folders, *settings.rules), process_words(settings.today))
    return judge(timeline, rules, settings.today), rules


def starting_line_in(file: Path) -> StartingLine:
    """The starting line of a file, read once as long as the file does not change. Raises InputError."""
    try:
        stat = file.stat()
    except OSError:
        return read_starting_line(file)  # says why not
    return _starting_line(file, stat.st_mtime_ns, stat.st_size)


@lru_cache(maxsize=4)
def _starting_line(file: Path, _mtime: int, _size: int) -> StartingLine:
    return read_starting_line(file)


def name_beside(program: str, file: Path) -> str:
    """The name of a program as a starting line beside it has it: relative to the folder of that file."""
    return shown_path(os.path.abspath(program), Path(os.path.abspath(file)).parent)


@lru_cache(maxsize=16)  # the programs of a folder are held against the same rules
def judged_by(rules: tuple[Rule, ...]) -> tuple[Judged, ...]:
    """The rules that are on, as a report lists them."""
    return tuple(Judged(rule.id, rule.level, rule.why, rule.do.page(), rule.basis, rule.group) for rule in rules if not rule.off)


def waived_by(verdict: Verdict, waiver: Waiver) -> Waived:
    """What a waiver accepts, as a report lists it."""
    return Waived(verdict.rule.id, verdict.where, verdict.says, waiver.reason, waiver.by, waiver.until, verdict.measures)


def quotes(timeline: Timeline, findings: Iterable[Finding]) -> dict[tuple[str, int], str]:
    """The lines of the programs that a finding or note points into, as far as a person would read them."""
    places = [finding.where for finding in findings] + [note.place for note in timeline.execution.notes]
    programs = {program.source.name: program for program in (timeline.execution.program, *timeline.execution.subprograms)}
    found = {}
    for place in places:
        program = programs.get(place.file)
        if program is not None and 0 < place.line <= len(program):
            text = line_text(program, place.line)
            if len(text) <= LONGEST_QUOTE:
                found[place.file, place.line] = text
    return found


def line_text(program: Program, line: int) -> str:
    """A line as an editor shows it, so that columns fit: UTF-8 where it is, else one character a byte."""
    source = program.source
    raw = bytes(source.text[int(source.starts[line - 1]) : int(source.ends[line - 1])])
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")
