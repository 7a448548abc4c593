"""Programs within programs: the files being run, the calls within each other, and what the words of a call mean."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from coolcheck.nc.blocks import Label
from coolcheck.nc.bulk import PlainMotion
from coolcheck.nc.flow import Partners
from coolcheck.nc.macros import Value
from coolcheck.nc.program import Program
from coolcheck.nc.words import Step, Steps


class Unit:
    """One program file being run. `first` is the number of its first block, counted over all files."""

    def __init__(self, program: Program, first: int, skip: frozenset[int]) -> None:
        self.program = program
        self.first = first
        self.low, self.end = program.first_block, program.end_block
        self.steps = Steps(program, skip, program.dialect.decimal_point == "least_increment")
        self.partners = Partners(program)
        self.visited = bytearray(len(program))
        self.branches: set[int] = set()  # blocks to which a condition could have led
        self.bulk_from = 0  # no long run of plain motion starts before this block

    @cached_property
    def plain(self) -> PlainMotion:
        """Its runs of plain motion."""
        return PlainMotion(self.program)

    @cached_property
    def label_blocks(self) -> list[int]:
        """The blocks with a program number or name, in order."""
        return sorted(self.program.labels().values())

    def region_end(self, start: int) -> int:
        """Where the program that starts at block `start` ends: the next program number behind it."""
        at = bisect_right(self.label_blocks, start)
        while at < len(self.label_blocks) and self.is_header(start, self.label_blocks[at]):
            at += 1
        return self.label_blocks[at] if at < len(self.label_blocks) else self.end

    def is_header(self, start: int, label: int) -> bool:
        """Does the label at block `label` still belong to the head of the program that starts at `start`?"""
        if label - start > 50:
            return False
        return all(_only_names(self.steps[index]) for index in range(start, label))


def _only_names(step: Step) -> bool:
    has_words = step.gs or step.ms or step.values or step.dynamic
    return not has_words and all(isinstance(statement, Label) for statement in step.statements)


@dataclass(slots=True)
class Call:
    """One program being run, from block `start` of `unit`; `resume` is where its caller goes on.

    kind : main, sub, macro, modal (by G66), o; repeats : runs still to come after this one
    counters : what is left of O-word repeats, by the block of the repeat
    """

    kind: str
    unit: Unit
    start: int
    name: str = ""
    resume: int = 0
    repeats: int = 0
    own_locals: bool = False
    kept_locals: dict[int, Value] = field(default_factory=dict)
    kept_names: dict[str, Value] = field(default_factory=dict)
    counters: dict[int, int] = field(default_factory=dict)
    undecided: set[int] = field(default_factory=set)


def unpacked(number: int, has_repeats: bool, is_packed_dialect: bool, is_known: bool) -> tuple[str, int]:
    """Program and repeat count of `M98 P`: P51002 is program 1002 five times, unless L counts or O51002 exists.

    >>> unpacked(68003, has_repeats=False, is_packed_dialect=True, is_known=False)
    ('8003', 6)
    >>> unpacked(12345, has_repeats=False, is_packed_dialect=True, is_known=True)
    ('12345', 1)
    """
    if number > 9999 and is_packed_dialect and not has_repeats and not is_known:
        return str(number % 10000), number // 10000
    return str(number), 1


def macro_arguments(words: Iterable[tuple[str, Value]], table: Mapping[str, int]) -> dict[int, Value]:
    """Local variables of a macro call from its words in order; I J K given again are the second triplet, and so on.

    >>> table = {"A": 1, "B": 2, "D": 7, "I": 4, "J": 5, "K": 6}
    >>> macro_arguments([("A", 1.0), ("B", 2.0), ("I", -3.0), ("I", 4.0), ("D", 5.0)], table)
    {1: 1.0, 2: 2.0, 4: -3.0, 7: 5.0}
    """
    given: dict[int, Value] = {}
    triplet, last = 0, ""
    for letter, value in words:
        if letter in "IJK":
            if last and letter <= last:
                triplet += 1
            last = letter
            number = 4 + 3 * triplet + "IJK".index(letter)
        else:
            number = table.get(letter, 0)
        if 0 < number <= 33 and value is not None:
            given[number] = value
    return given
