"""Which fluids the program commands, over time: what the dialect and the machine record make of its codes.

The state is a set, not one value: several modes may be on. Nothing is ever taken from the number of a builder-assigned code
alone; a code that nobody explained makes unknown the modes that it could concern, and asks one question.
"""

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coolcheck.known import Evidence, Known, Missing, Truth, known, merged, no, some, unknown, yes
from coolcheck.nc.blocks import Element, Unread, Word
from coolcheck.place import Place
from coolcheck.process.model import MODES, Fluid, FluidSpan

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event, Execution
    from coolcheck.records.record import Record, Section

# What a machine does by itself at these events, and the list of its record that tells it.
AUTOMATIC = {
    "tool_change": ("off at.tool change", "the tool change"),
    "stop": ("off at.program stop", "a program stop"),
    "optional_stop": ("off at.program stop", "a program stop"),
    "end": ("off at.program end", "the program end"),
}
SPINDLE_STOP = ("off at.spindle stop", "stopping the spindle")
# The codes that the standard table assigns (ISO 6983-1): a dialect's "all off" ends these modes, not what a builder added.
STANDARD_MODES = ("flood", "mist")
START_NOTE = "every fluid is taken as off when the program starts; common practice, no source"
SAYING = ("on", "off", "level", "spindle", "means")  # fields of a code that say what it does
_CODE = re.compile(r"^([A-Z]+)\s*0*(\d+(?:\.\d+)?)$", re.I)
_WITH = re.compile(r"^([A-Z])\s*([+-]?(?:\d+\.?\d*|\.\d+))$", re.I)

Modes = tuple[Truth, ...]  # one for each mode of MODES, in that order


@dataclass(frozen=True)
class FluidTable:
    """The fluid state over the program, looked up by row. `rows` are those of `spans`."""

    spans: tuple[FluidSpan, ...]
    rows: NDArray[np.int64]

    def at(self, row: int) -> Fluid:
        """The state under which move `row` runs."""
        return self.spans[self.index(row)].fluid

    def index(self, row: int) -> int:
        """The index of the span that holds at move `row`."""
        return int(np.searchsorted(self.rows, row, side="right")) - 1

    def before_event(self, event: int) -> Fluid:
        """The state when the event of that index comes."""
        return self.spans[self.index_before(event)].fluid

    def after_event(self, event: int) -> Fluid:
        """The state that the event of that index leaves."""
        return self.spans[self.index_after(event)].fluid

    def index_after(self, event: int) -> int:
        """The index of the span that holds when the event of that index has come."""
        return bisect_right(self._events, event) - 1

    def index_before(self, event: int) -> int:
        """The index of the span that holds when the event of that index comes; the first one before all events."""
        return max(0, bisect_left(self._events, event) - 1)

    @cached_property
    def _events(self) -> list[int]:
        return [span.event for span in self.spans]

    def within(self, first: int, last: int) -> range:
        """The indices of the spans that hold somewhere in rows first … last."""
        return range(self.index(first), self.index(last) + 1)


@lru_cache(maxsize=1000)
def code_name(text: str) -> str:
    """A code without leading zeros and blanks, as records and programs are compared.

    >>> code_name("m08"), code_name("M 8"), code_name("M0")
    ('M8', 'M8', 'M0')
    """
    match = _CODE.match(text.strip())
    return f"{match.group(1).upper()}{match.group(2)}" if match else text.strip().upper()


class CodeBook:
    """What the machine record says of each code."""

    def __init__(self, machine: "Record") -> None:
        self.machine = machine
        self._entries: dict[str, list[Section]] = {}
        for entry in machine.entries("codes"):
            code = entry.field("code")
            if code.is_known and any(entry.has(name) for name in SAYING):  # one that says nothing more lists nothing
                self._entries.setdefault(code_name(code.value), []).append(entry)

    def entry(self, event: "Event") -> "Section | None":
        """The entry for the code of an event with the words beside it; None when the record does not list it, or when the value
        of a word that chooses among its entries is not known."""
        entries = self._entries.get(code_name(event.code), [])
        plain = None
        for entry in entries:
            beside = entry.field("with")
            if not beside.is_known:
                plain = entry
            elif (stands := _stands(beside.value, event.words)) is None:
                return None
            elif stands:
                return entry
        return plain

    def means(self, event: "Event") -> Known[str]:
        """What else the code does, such as "chip_conveyor"; "" when the record lists the code and says nothing more."""
        entry = self.entry(event)
        if entry is None:
            return unknown(self.question(event.code))
        what = entry.field("means")
        return what if what.is_known else known("", *entry.field("code").evidence)

    def question(self, code: str) -> Missing:
        """What must be asked about a code that the record does not list."""
        name = code_name(code)
        return Missing("machine", "codes", f"what does {name} do on this machine?", _file(self.machine))

    def is_listed(self, event: "Event") -> bool:
        """Does the machine record say what this code does."""
        return self.entry(event) is not None


def _stands(word: str, words: dict[str, float]) -> bool | None:
    """Does that word stand among these; None where one of its letter has a value that is not known."""
    match = _WITH.match(word.strip())
    value = words.get(match.group(1).upper()) if match else None
    if match is None or value is None:
        return False
    return None if value != value else value == float(match.group(2))


def _file(record: "Record") -> Place | None:
    return Place(str(record.file)) if record.is_present else None


def is_builder_code(event: "Event") -> bool:
    """A code that only the machine record can explain."""
    return event.kind in ("m_code", "fluid") and not event.fluid


def fluid_table(
    execution: "Execution", machine: "Record", job: "Record | None" = None, *, until_pause: bool = False
) -> FluidTable:
    """The fluid state over all moves, from the events in their order. `job` tells if the optional stop is on.

    `until_pause` leaves out what the machine does by itself with the spindle, and at an optional stop that nobody says is on:
    then it is, at each pause, what the program has turned on since the machine last ended it, and not off again.
    """
    reader = _Reader(execution, machine, job, until_pause)
    spans = [FluidSpan(0, reader.fluid(None), -1)]
    doubts = _unread_codes(execution)
    for index, event in enumerate(execution.events):
        while doubts and (doubts[0][0], doubts[0][1]) < (event.row, event.block):
            row, block = doubts.pop(0)
            reader.doubt(block)
            spans.append(FluidSpan(row, reader.fluid(None), index - 1))
        before = reader.modes, reader.level
        reader.take(event)
        if (reader.modes, reader.level) != before:
            spans.append(FluidSpan(event.row, reader.fluid(event), index))
    rows = np.array([span.row for span in spans], dtype=np.int64)
    return FluidTable(tuple(spans), rows)


def _unread_codes(execution: "Execution") -> list[tuple[int, int]]:
    """Rows and blocks at which something that cannot be read may hide an M code."""
    found = []
    offset = 0
    for program in (execution.program, *execution.subprograms):
        for block in program.unshaped.tolist():
            if any(_hides_code(element) for element in program.block(block).elements):
                behind = np.flatnonzero(execution.moves.block >= offset + block)
                if len(behind):
                    found.append((int(behind[0]), offset + block))
        offset += len(program)
    return sorted(found)


def _hides_code(element: Element) -> bool:
    """An M without a number, or something unreadable with an M in it."""
    if isinstance(element, Unread):
        return "M" in element.text.upper()
    return isinstance(element, Word) and element.letter == "M" and element.value is None and element.expression is None


class _Reader:
    """Walks the events and keeps the state. Mutable, seen by nobody else."""

    def __init__(self, execution: "Execution", machine: "Record", job: "Record | None", until_pause: bool) -> None:
        self.execution = execution
        self.machine = machine
        self.until_pause = until_pause
        self.book = CodeBook(machine)
        self.level = ""
        start = no(Evidence("fluid", "off", source="assumed", note=START_NOTE))
        self.modes: Modes = tuple(start for _ in MODES)
        self._possible = _possible_modes(machine)
        self._automatic: dict[str, Known[tuple[str, ...]]] = {}
        self._stops_at_option = optional_stop_is_on(job)

    def fluid(self, event: "Event | None") -> Fluid:
        """The state now, last changed by `event`."""
        place = self.execution.place(event.block) if event else None
        return Fluid(tuple(zip(MODES, self.modes, strict=True)), self.level, place)

    def doubt(self, block: int) -> None:
        """Something in that block cannot be read: it may be a fluid code."""
        place = self.execution.place(block)
        asked = Missing("program", "", f"which M code stands at {place}? It cannot be read", place)
        self._make_unknown(unknown(asked))

    def take(self, event: "Event") -> None:
        """The state after `event`."""
        if event.kind in AUTOMATIC:
            if event.kind != "optional_stop" or not (self._stops_at_option.is_no or self._passes_silently):
                self._by_dialect_or_machine(event)
        elif event.kind in ("fluid", "m_code", "spindle", "call"):
            entry = self.book.entry(event) if event.code else None
            if entry is not None:
                self._by_record(event, entry)
            elif event.fluid == "unknown":
                self._by_nobody(event)
            elif event.fluid:
                self._by_dialect(event)
            elif is_builder_code(event):
                self._by_nobody(event)
            if _stops_spindle(event, entry) and not self.until_pause:
                self._end_automatically(event, *SPINDLE_STOP)

    @property
    def _passes_silently(self) -> bool:
        """Is an optional stop that may be off left out."""
        return self.until_pause and not self._stops_at_option.is_known

    def _set(self, modes: Iterable[str], truth: Truth) -> None:
        chosen = set(modes)
        self.modes = tuple(truth if mode in chosen else old for mode, old in zip(MODES, self.modes, strict=True))

    def _evidence(self, event: "Event", value: str, note: str = "") -> Evidence:
        return Evidence(event.code or event.kind, value, place=self.execution.place(event.block), source="program", note=note)

    def _by_record(self, event: "Event", entry: "Section") -> None:
        """The machine record lists the code: what it says counts, and nothing else."""
        where = entry.field("code").evidence
        off, on = entry.field("off"), entry.field("on")
        if off.is_known:
            self._set(off.value, no(self._evidence(event, "off"), *where))
            self.level = "" if "through_tool" in off.value else self.level
        if on.is_known:
            self._set(on.value, yes(self._evidence(event, "on"), *where))
        level = entry.field("level")
        if level.is_known:
            self.level = level.value

    def _by_dialect(self, event: "Event") -> None:
        """What the standard table or the dialect says; "all off" leaves open what a builder's mode does."""
        for mode, state in _stated(event.fluid):
            if state == "on":
                self._set([mode], yes(self._evidence(event, "on")))
            elif mode != "all":
                self._set([mode], no(self._evidence(event, "off")))
            else:
                self._all_off(event)

    def _all_off(self, event: "Event") -> None:
        evidence = self._evidence(event, "all off")
        code = code_name(event.code)
        for mode, old in zip(MODES, self.modes, strict=True):
            if mode in STANDARD_MODES:
                self._set([mode], no(evidence))
            elif not old.is_no:
                question = f"does {code} turn off {_words(mode)} on this machine? Write its `off` list under `codes`"
                self._set([mode], unknown(Missing("machine", "codes", question, _file(self.machine)), evidence=(evidence,)))

    def _by_nobody(self, event: "Event") -> None:
        """Nobody says what the code does: unknown, for the modes that this machine could have."""
        asked = self.book.question(event.code)
        if event.fluid == "unknown":
            asked = Missing(
                "program", "", f"what does the program called at {self.execution.place(event.block)} do to the fluid?"
            )
        self._make_unknown(unknown(asked, evidence=(self._evidence(event, "not explained"),)))

    def _make_unknown(self, doubt: Truth) -> None:
        """Unknown, for the modes that this machine could have; what was unknown before stays so, for both reasons."""
        modes = []
        for mode, old in zip(MODES, self.modes, strict=True):
            if mode not in self._possible:
                modes.append(old)
            elif old.is_known:
                modes.append(doubt)
            else:
                modes.append(unknown(*merged(old.missing + doubt.missing), evidence=merged(old.evidence + doubt.evidence)))
        self.modes = tuple(modes)

    def _by_dialect_or_machine(self, event: "Event") -> None:
        """Tool change, stop, end: the machine record first, then what the dialect itself says."""
        field, words = AUTOMATIC[event.kind]
        if event.fluid and not self._list(field).is_known:
            self._by_dialect(event)
        else:
            self._end_automatically(event, field, words)

    def _list(self, field: str) -> Known[tuple[str, ...]]:
        if field not in self._automatic:
            self._automatic[field] = self.machine.field(field)
        return self._automatic[field]

    def _end_automatically(self, event: "Event", field: str, words: str) -> None:
        """What runs may be turned off by the machine itself: by its list, or unknown without one."""
        running = [mode for mode, truth in zip(MODES, self.modes, strict=True) if not truth.is_no]
        if not running:
            return
        listed = self._list(field)
        for mode in running:
            if listed.is_known and mode not in listed.value:
                continue
            evidence = self._evidence(event, f"{words} ends {_words(mode)}")
            if not listed.is_known:
                asked = ending_question(self.machine, field, words, mode)
                self._set([mode], unknown(asked, evidence=(self._evidence(event, words),)))
            elif event.kind == "optional_stop" and not self._stops_at_option.is_known:
                self._set([mode], unknown(*self._stops_at_option.missing, evidence=(evidence, *listed.evidence)))
            else:
                self._set([mode], no(evidence, *listed.evidence))


def optional_stop_is_on(job: "Record | None") -> Truth:
    """Is the optional stop on while the job runs."""
    if job is None:
        return unknown(Missing("job", "optional stop", "is the optional stop on while this job runs?"))
    switch: Truth = job.field("optional stop")
    return switch


def ending_question(machine: "Record", field: str, words: str, mode: str) -> Missing:
    """What to ask where the record does not list what the machine ends by itself."""
    return Missing("machine", field, f"does {words} turn off {_words(mode)} on this machine?", _file(machine))


def _stops_spindle(event: "Event", entry: "Section | None") -> bool:
    if entry is not None and entry.field("spindle").is_known:
        return bool(entry.field("spindle").value == "stop")
    return event.kind == "spindle" and event.direction == "off" and event.code.startswith("M")


def _stated(text: str) -> list[tuple[str, str]]:
    """The modes and states in a dialect's words, such as "flood on" or "mist off, flood off"."""
    found = []
    for part in re.split(r"[,;+]|\band\b", text):
        words = part.split()
        if len(words) >= 2 and words[-1] in ("on", "off"):
            mode = "_".join(words[:-1]).replace("-", "_")
            if mode == "all" or mode in MODES:
                found.append((mode, words[-1]))
    return found


def _possible_modes(machine: "Record") -> frozenset[str]:
    """The modes that a code of this machine could concern: all but those that the record says it has not."""
    absent = set()
    for mode in MODES:
        fitted = machine.entry("supplies", mode).field("fitted")
        if fitted.is_known and fitted.value == "no":
            absent.add(mode)
    return frozenset(MODES) - absent


def _words(mode: str) -> str:
    return mode.replace("_", " ")


def commanded(fluid: Fluid, modes: Sequence[str]) -> Truth:
    """Is one of `modes` on in this state."""
    return some(map(fluid.__getitem__, modes))
