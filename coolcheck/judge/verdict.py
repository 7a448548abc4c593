"""One rule asked of one object, or of many that are alike: it holds there, or it cannot be decided there. What does not hold
leaves no trace."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING

from coolcheck.judge.finding import Measure
from coolcheck.judge.rule import Rule
from coolcheck.known import Evidence, Missing
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.process.model import Timeline

HOLDS, UNDECIDED = "holds", "undecided"

_COMMENT = re.compile(r"\([^)]*\)?|;.*")
_SEQUENCE_NUMBER = re.compile(r"(?<![A-Z])N\d+")
_BLANK = re.compile(r"\s+")


@dataclass(frozen=True, slots=True)
class Verdict:
    """`rule` at one object. `says` is its sentence: what is wrong, or what is asked when it is undecided.

    pattern : the sentence with `{tools}` in it, for a finding that tells of several
    subject : what a waiver can name: ("tool", "T12"), ("operation", "3"), ("hole", "X10 Y20")
    is_met : where it is undecided: the program has the pattern that the rule looks for, and only what a record says is open
    measures : the numbers in `says` and `do` before they were rounded
    times : how often the reader of the program came upon it; 0 for what a rule asks of the process
    fingerprint : what stays the same when lines shift and blocks are renumbered

    A plate of a hundred thousand holes has one verdict for all that are alike: `where` and `fingerprint` are those of the first,
    `subject` is what all are about, `count` how many they are, `also` the other places, `alone` the verdict of each by number.
    """

    rule: Rule
    state: str
    where: Place
    says: str
    do: str
    evidence: tuple[Evidence, ...] = ()
    missing: tuple[Missing, ...] = ()
    subject: tuple[tuple[str, str], ...] = ()
    fingerprint: str = ""
    pattern: str = ""
    measures: tuple[Measure, ...] = ()
    is_met: bool = False
    count: int = 1
    times: int = 0
    also: tuple[Place, ...] = ()
    alone: "Callable[[int], Verdict] | None" = field(default=None, repr=False, compare=False)

    @property
    def places(self) -> tuple[Place, ...]:
        """Every place it stands at, each once."""
        return (self.where, *self.also)

    def each(self) -> "Iterator[Verdict]":
        """The same as a verdict of each object."""
        if self.alone is None:
            yield self
        else:
            yield from map(self.alone, range(self.count))

    def about(self, word: str) -> str:
        """What it is about: `about("tool")` is "T12"; "" when it is about none."""
        return dict(self.subject).get(word, "")


def bare(block: str) -> str:
    """The text of a block without what may change and mean nothing: sequence number, comments, blanks, case.

    >>> bare("N120 G83 Z-80. (deep) Q6 ; peck")
    'G83Z-80.Q6'
    """
    return _BLANK.sub("", _SEQUENCE_NUMBER.sub("", _COMMENT.sub("", block).upper()))


def fingerprint(rule: str, state: str, subject: tuple[tuple[str, str], ...], block: str) -> str:
    """A name for a verdict by its content: rule, tool, kind of operation and block; not by its line."""
    named = dict(subject)
    parts = (rule, state, named.get("tool", ""), named.get("operation kind", ""), bare(block))
    return sha256("\x1f".join(parts).encode()).hexdigest()[:16]


class Blocks:
    """The text of the blocks of a program and its subprograms, by place."""

    def __init__(self, timeline: "Timeline") -> None:
        execution = timeline.execution
        self._programs = {program.source.name: program for program in (*execution.subprograms, execution.program)}

    def text(self, place: Place) -> str:
        """The block at that place; "" where there is none."""
        program = self._programs.get(place.file)
        return program.text(place.line - 1) if program and 0 < place.line <= len(program) else ""
