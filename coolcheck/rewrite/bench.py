"""The bench on which programs are run: one dialect, one set of records, one place for subprograms, the same bounds for all."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from coolcheck.nc.blocks import Skip
from coolcheck.nc.dialect import DEFAULT, Dialect, load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.library import Library
from coolcheck.nc.limits import Limits
from coolcheck.nc.moves import Execution, Note
from coolcheck.nc.program import Program
from coolcheck.process import build
from coolcheck.process.model import Timeline
from coolcheck.records.binding import Binding

# Notes that make it unknown what the control does: nothing is proved of such a program, so nothing in it is rewritten.
DARK = frozenset(
    {
        "unreadable-block", "address-without-number", "letter-o-for-zero", "unknown-code", "lathe-code", "turret-tool-word",
        "incomplete-cycle", "upside-down-cycle", "macro-fault", "unknown-value", "undecidable-branch", "missing-target",
        "duplicate-sequence-number", "missing-subprogram", "flow-without-partner", "program-alarm", "loop-bound", "depth-bound",
        "time-bound", "move-bound", "main-repeats", "subprogram-alone",
    }
)  # fmt: skip


@dataclass(frozen=True)
class Bench:
    """How a program is run. `binding` has its records, `block_skip` the switches that are on."""

    binding: Binding
    dialect: Dialect
    block_skip: frozenset[int] = frozenset()
    limits: Limits = field(default_factory=Limits)

    @classmethod
    def of(cls, binding: Binding, dialect: str = "", limits: Limits | None = None) -> "Bench":
        """The bench for a program with these records; a named dialect goes before what the records say."""
        name = dialect or binding.dialect_name.or_else(DEFAULT)
        return cls(binding, load_dialect(name), binding.block_skip, limits or Limits())

    @property
    def codes(self) -> frozenset[str]:
        """The builder-assigned codes that the machine record explains."""
        stated = (entry.field("code") for entry in self.binding.machine.entries("codes"))
        return frozenset(code.value for code in stated if code.is_known)

    @property
    def search(self) -> Library:
        """Where subprograms in other files are looked for."""
        return Library(self.binding.search_folders)

    def program(self, data: bytes, name: str) -> Program:
        """The program in these bytes."""
        return Program.read(data, name, self.dialect)

    def run(self, program: Program, block_skip: frozenset[int] | None = None) -> Execution:
        """The program as the control would run it, with other switches when they are given."""
        skip = self.block_skip if block_skip is None else block_skip
        return interpret(program, search=self.search, limits=self.limits, block_skip=skip, codes=self.codes)

    def timeline(self, execution: Execution) -> Timeline:
        """The process of a run."""
        return build(execution, self.binding)


def dark_notes(execution: Execution) -> Iterator[Note]:
    """What makes it unknown what the control does."""
    return (note for note in execution.notes if note.id in DARK)


def skip_settings(program: Program, base: frozenset[int]) -> tuple[frozenset[int], ...]:
    """Every setting of the block-skip switches that must be looked at: that of the job first, all off, each on, all on."""
    switches: set[int] = set()
    for index in program.unshaped.tolist():
        switches |= {element.switch for element in program.block(index).elements if isinstance(element, Skip)}
    settings = [base & switches, frozenset[int](), *(frozenset({switch}) for switch in sorted(switches)), frozenset(switches)]
    return tuple(dict.fromkeys(settings))
