"""Sections with what is known of them before their holes are: tool, records, comments. The first half of making operations."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.known import Known
from coolcheck.nc.moves import Modal
from coolcheck.process.clock import Clock
from coolcheck.process.comments import Remark
from coolcheck.process.fluids import CodeBook, FluidTable
from coolcheck.process.kinds import PLUNGING, Clues, diameter_of, kind_of
from coolcheck.process.sections import Rows, Section

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.records.binding import Binding
    from coolcheck.records.record import Record

NO_SIDEWAYS = 1e-4  # mm; a feed move that leaves its place by more than that mills
MOST_REMARKS = 20  # comments that one operation looks at: the nearest count
HEADER_REACH = 6  # blocks above the first tool in which a comment may still name its operation


@dataclass(frozen=True)
class Ground:
    """All that operations are made from: the execution, its records, clock, fluid states, comments, and rows in columns."""

    execution: "Execution"
    binding: "Binding"
    clock: Clock
    fluids: FluidTable
    remarks: Sequence[Remark]
    cutting: Rows
    sections: Sequence[Section]

    @cached_property
    def sideways(self) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Which cutting moves leave their place in X or Y."""
        moves, rows = self.execution.moves, self.cutting
        moved = np.abs(moves.x[rows] - moves.x0[rows]) > NO_SIDEWAYS
        moved |= np.abs(moves.y[rows] - moves.y0[rows]) > NO_SIDEWAYS
        return moved | (moves.arc[rows] >= 0)

    @cached_property
    def book(self) -> CodeBook:
        """What the machine record says of codes."""
        return CodeBook(self.binding.machine)

    @cached_property
    def _remark_blocks(self) -> list[int]:
        return [remark.block for remark in self.remarks]

    def remarks_between(self, first: int, last: int) -> list[Remark]:
        """The comments of the blocks first … last."""
        blocks = self._remark_blocks
        return list(self.remarks[bisect_left(blocks, first) : bisect_right(blocks, last)])

    @cached_property
    def tool_lines(self) -> dict[int, tuple[Remark, ...]]:
        """The comments that describe a tool, by its T number: the list at the head of a program, and lines at tool changes."""
        found: dict[int, list[Remark]] = {}
        for remark in self.remarks:
            if remark.is_ == "tool" and remark.tool is not None:
                found.setdefault(remark.tool, []).append(remark)
        return {tool: tuple(lines[:MOST_REMARKS]) for tool, lines in found.items()}

    @cached_property
    def starts(self) -> list[int]:
        """The first block of the program, of each subprogram file, and of each program that a number or name begins in them."""
        starts, offset = {0}, 0
        for program in (self.execution.program, *self.execution.subprograms):
            starts |= {offset, *(offset + block for block in program.labels().values())}
            offset += len(program)
        return sorted(starts)

    def part_of(self, block: int) -> int:
        """Which of these a block stands in. What stands behind the end of the main program runs where it is called."""
        return bisect_right(self.starts, block) - 1


@dataclass(frozen=True, slots=True)
class Draft:
    """A section with what is known of it before its holes are."""

    section: Section
    modal: Modal
    record: "Record"
    holder: "Record"
    remarks: tuple[Remark, ...]
    sideways: bool
    diameter: Known[float]
    said: str  # kind by tool record or comments alone, "" for unknown

    @property
    def cuts(self) -> bool:
        """It has feed moves."""
        return self.section.cuts[1] > self.section.cuts[0]

    @property
    def plunges(self) -> bool:
        """Its plain feed moves make holes: by the tool, or because they never leave their place."""
        return self.cuts and not self.section.family and (self.said in PLUNGING or not self.sideways)


def drafts(ground: Ground) -> list[Draft]:
    """The sections with tool, records, comments and what these say of the kind."""
    found: list[Draft] = []
    for index, section in enumerate(ground.sections):
        found.append(_draft(ground, index, section, found[-1] if found else None))
    return found


def _draft(ground: Ground, index: int, section: Section, before: Draft | None) -> Draft:
    execution = ground.execution
    row = int(ground.cutting[section.cuts[0]]) if section.cuts[1] > section.cuts[0] else section.first
    modal = execution.modal(row) if execution.spans else Modal()
    record, holder = ground.binding.tool(modal.tool), ground.binding.holder(modal.tool)
    remarks = _remarks(ground, index, section, modal.tool)
    if before is not None and not section.opens and before.modal.tool == modal.tool:
        titled = any(remark.is_ == "operation" and remark.names for remark in remarks)
        # what names its work afresh takes over only what was said of the tool
        taken = [remark for remark in before.remarks if not titled or remark.is_ == "tool"]
        remarks = tuple(dict.fromkeys((*remarks, *taken)))[:MOST_REMARKS]
    sideways = bool(ground.sideways[slice(*section.cuts)].any())
    diameter = diameter_of(execution, record, remarks, modal.units, modal.tool)
    clues = Clues(modal.tool, record, remarks, 0, True, False, False, False)
    said = kind_of(execution, clues)
    return Draft(section, modal, record, holder, remarks, sideways, diameter, said.value if said.is_known else "")


def _remarks(ground: Ground, index: int, section: Section, tool: int | None) -> tuple[Remark, ...]:
    """The comments that speak of this section, the nearest to its first cut first; then the header line of its tool."""
    execution = ground.execution
    block = execution.moves.block
    cut = int(block[ground.cutting[section.cuts[0]]]) if section.cuts[1] > section.cuts[0] else -1
    events = execution.events[slice(*section.events)]
    change = next((event.block for event in events if event.kind == "tool_change"), -1)
    anchor = change if change >= 0 else max(cut, 0)
    until = anchor
    if cut >= 0:  # as far as its own first cut, or the call that leads to it
        calls = (event.block for event in events if event.kind == "call" and event.block >= anchor)
        called = next((block for block in calls if ground.part_of(block) == ground.part_of(anchor)), anchor)
        until = cut if ground.part_of(cut) == ground.part_of(anchor) else called
    before = ground.sections[index - 1] if index else None
    start = anchor - HEADER_REACH
    if before is not None and before.behind > before.first:
        last = ground.cutting[before.cuts[1] - 1] if before.cuts[1] > before.cuts[0] else before.behind - 1
        previous = int(block[last])
        start = previous if previous < anchor and ground.part_of(previous) == ground.part_of(anchor) else anchor - HEADER_REACH
    near = ground.remarks_between(start + 1, max(until, anchor))
    if cut >= 0 and ground.part_of(cut) != ground.part_of(anchor):  # the cut lies in a subprogram: its own comments count too
        near += ground.remarks_between(ground.starts[ground.part_of(cut)], cut)
    own = [r for r in near[-MOST_REMARKS:] if r.is_ != "header" and (r.tool is None or r.tool == tool)]
    own.sort(key=lambda r: (not r.names, r.is_ != "operation", -r.block))
    header = ground.tool_lines.get(tool, ()) if tool is not None else ()
    return tuple(sorted(dict.fromkeys((*own, *header)), key=lambda r: not r.names))


def title_of(remarks: Sequence[Remark]) -> str:
    """What the program calls it: the nearest comment that names work, else the nearest that names anything."""
    return remarks[0].text if remarks else ""
