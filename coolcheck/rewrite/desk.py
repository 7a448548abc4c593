"""From a program file to its rewritten file: reads, rewrites, and writes program, certificate and page when told to."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path

from coolcheck.errors import InputError, Problem, RewriteRefused
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.rules import load_rules
from coolcheck.nc.limits import Limits
from coolcheck.place import Place
from coolcheck.records.binding import bind
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.certificate import Files, certificate, names, written
from coolcheck.rewrite.diff import unified
from coolcheck.rewrite.edit import MENDS
from coolcheck.rewrite.page import page
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.save import Original, read_original, save_beside, save_in_place, save_new
from coolcheck.rewrite.targets import Choice


@dataclass(frozen=True)
class Desk:
    """One program file with what was made of it."""

    original: Original
    bench: Bench
    done: Rewrite

    @property
    def diff(self) -> bytes:
        """The change as a unified diff; nothing when there is none."""
        return unified(self.done.original, self.done.result, str(self.original.given).lstrip("/"))


@dataclass(frozen=True, slots=True)
class Paper:
    """Where everything was written. `kept` is the original of a program that was rewritten in place."""

    program: Path
    certificate: Path
    page: Path
    kept: Path | None


def at_desk(
    path: Path, job: Path | None, dialect: str, only: Iterable[str], skip: Iterable[str], today: date, rules: Iterable[Path] = (),
    limits: Limits | None = None, keeps: bool = False,
) -> Desk:  # fmt: skip
    """Reads and rewrites a program file; writes nothing. Raises InputError and RewriteRefused."""
    original = _read(path)
    binding = bind(path, job)
    bench = Bench.of(binding, dialect, limits)
    book = load_rules((*binding.rules_folders, *rules), process_words(today))
    choice = Choice(_names(only, book), _names(skip, book), keeps)
    done = rewrite(original.content, str(path), bench, choice, today, book)
    _refuse_strange_tools(choice, done)
    return Desk(original, bench, done)


def put(desk: Desk, output: Path | None, day: date | None = None) -> Paper:
    """Writes the rewritten program to `output`, or in place when there is none, with certificate and page beside it."""
    if not desk.done.is_changed:
        raise RewriteRefused(f"{desk.original.given}: error: there is nothing to write: the program stays as it is")
    kept = None
    if output is None:
        target = desk.original.path
        kept = save_in_place(desk.done.result, desk.original)
        source = kept
    else:
        target = save_new(output, desk.done.result, desk.original)
        source = desk.original.path
    job = desk.bench.binding.job
    files = Files(target.parent, source, target, Path(job.file).resolve() if job.is_present else None)
    data = certificate(desk.done, desk.bench, files, day)
    paper = Paper(target, *names(target), kept)
    save_beside(paper.certificate, written(data))
    save_beside(paper.page, page(data).encode("utf-8"))
    return paper


def _read(path: Path) -> Original:
    try:
        return read_original(path)
    except OSError as fault:
        says = f"this file cannot be read: {fault.strerror or fault}"
        raise InputError(Problem(Place(str(path)), says, "check the name, and that you may read it")) from fault


def _refuse_strange_tools(choice: Choice, done: Rewrite) -> None:
    """Raises InputError for a chosen tool that the program never selects."""
    execution = done.before.execution
    used = {span.modal.tool for span in execution.spans} | {one.tool for one in done.before.operations}
    known = {f"T{tool}" for tool in used if tool is not None}
    for name in sorted(choice.only | choice.skip):
        if name[:1] == "T" and name[1:].isdigit() and f"T{int(name[1:])}" not in known:
            listed = ", ".join(sorted(known, key=lambda tool: (len(tool), tool))) or "none"
            says = f"the program uses no tool {name}"
            raise InputError(Problem(Place("--only, --skip"), says, f"name one that it uses: {listed}"))


def _names(given: Iterable[str], rules: Iterable[Rule]) -> frozenset[str]:
    """The names of mends, rules and tools that a person chose. Raises InputError for one that is none."""
    known = {*MENDS, *(rule.id for rule in rules if rule.mends in MENDS)}
    found = set()
    for name in given:
        plain = name.replace("-", "_") if name.replace("-", "_") in MENDS else name
        if plain not in known and not (plain[:1] in ("T", "t") and plain[1:].isdigit()):
            near = get_close_matches(plain, known, 1, 0.5)
            do = f"did you mean {near[0]!r}?" if near else "name a mend, a rule that is mended, or a tool such as T5"
            raise InputError(Problem(Place("--only, --skip"), f"there is no mend, rule or tool {name!r}", do))
        found.add(plain if plain in known else f"T{int(plain[1:])}")
    return frozenset(found)
