"""The lines of a program around what was found in it: few enough to keep."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from coolcheck.judge.finding import Finding
from coolcheck.known import merged
from coolcheck.nc.moves import Note
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.process.model import Timeline

MOST_LINES = 400  # of the program, around what was found
WHOLE = 120  # a program of so many lines is shown whole
CONTEXT = 2  # lines before and behind a marked one
MOST_PLACES = 12  # of one finding
LONGEST = 400  # characters of a line


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Lines of a file of `lines` lines, from line `first` on, parted by line feeds."""

    file: str
    lines: int
    first: int
    text: str


def excerpts_of(timeline: Timeline, findings: Iterable[Finding]) -> tuple[tuple[Excerpt, ...], int]:
    """The lines around every finding and note, a short program whole; and how many marked lines found no room."""
    execution = timeline.execution
    programs = {program.source.name: program for program in (execution.program, *execution.subprograms)}
    wanted: dict[str, set[int]] = {name: set() for name in programs}
    if len(execution.program) <= WHOLE:
        wanted[execution.program.source.name] = set(range(1, len(execution.program) + 1))
    left_out = 0
    for place in merged(marked_places(findings, execution.notes)):
        program = programs.get(place.file)
        if program is None or not 0 < place.line <= len(program) or place.line in wanted[place.file]:
            continue
        if sum(map(len, wanted.values())) >= MOST_LINES:
            left_out += 1
            continue
        wanted[place.file].update(range(max(1, place.line - CONTEXT), min(len(program), place.line + CONTEXT) + 1))
    found = [excerpt for name, lines in wanted.items() for excerpt in runs_of(programs[name], sorted(lines))]
    return tuple(found), left_out


def marked_places(findings: Iterable[Finding], notes: Iterable[Note]) -> Iterator[Place]:
    """Where findings and notes point, most harmful first: as lines."""
    for finding in findings:
        for place in (finding.where, *finding.also[: MOST_PLACES - 1]):
            yield Place(place.file, place.line)
    yield from (Place(note.place.file, note.place.line) for note in notes)


def runs_of(program: Program, lines: Sequence[int]) -> Iterator[Excerpt]:
    """The wanted lines of a program as runs without a gap."""
    start = 0
    for at in range(1, len(lines) + 1):
        if at == len(lines) or lines[at] != lines[at - 1] + 1:
            text = "\n".join(line_text(program, line) for line in lines[start:at])
            yield Excerpt(program.source.name, len(program), lines[start], text)
            start = at


def line_text(program: Program, line: int) -> str:
    """A line as an editor shows it: UTF-8 where it is, else one character a byte; a very long one is cut."""
    source = program.source
    raw = bytes(source.text[int(source.starts[line - 1]) : int(source.ends[line - 1])])
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    text = text.replace("\n", " ").replace("\r", " ")
    return text if len(text) <= LONGEST else text[:LONGEST] + "…"
