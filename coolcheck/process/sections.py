"""Where one operation ends and the next begins: tool changes, and within a tool cycles, stops, titles and other regimes.

Everything is worked out over columns of cutting moves; only the few borders between operations are looked at one by one.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Kind
from coolcheck.process.comments import Remark

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution

Rows = NDArray[np.int64]

# Cycles that do the same kind of work are one family; where the family changes, another operation begins.
FAMILIES = {82: 81, 74: 84, 76: 85, 86: 85, 87: 85, 88: 85, 89: 85}
SPLITTING_EVENTS = ("stop", "optional_stop", "end")


@dataclass(frozen=True, slots=True)
class Section:
    """Rows first … behind - 1 of one operation; `family` is that of its cycle, 0 for plain moves.

    cuts : rows of its cutting moves, as positions first and behind last among all cutting rows
    events : indices first and behind last of the events that belong to it; opens : begins with a tool coming into the spindle
    """

    first: int
    behind: int
    family: int
    cuts: tuple[int, int]
    events: tuple[int, int]
    opens: bool


def cutting_rows(execution: "Execution") -> Rows:
    """Rows of the moves that are no rapids."""
    return np.flatnonzero(execution.moves.kind != Kind.RAPID)


def sections(execution: "Execution", cutting: Rows, remarks: Sequence[Remark]) -> tuple[Section, ...]:
    """The program cut into operations, covering all moves in order."""
    splitter = _Splitter(execution, cutting, title_blocks(remarks))
    return splitter.finished(splitter.starts())


def parted(execution: "Execution", cutting: Rows, parts: Sequence[Section], borders: Rows) -> tuple[Section, ...]:
    """The same sections, another one beginning at each of the rows `borders`, which lie within them."""
    rows = [event.row for event in execution.events]
    found: list[Section] = []
    for part in parts:
        left = part
        for row in borders[(borders > part.first) & (borders < part.behind)].tolist():
            cut, event = int(np.searchsorted(cutting, row)), bisect_left(rows, row)
            found.append(replace(left, behind=row, cuts=(left.cuts[0], cut), events=(left.events[0], event)))
            left = replace(left, first=row, cuts=(cut, left.cuts[1]), events=(event, left.events[1]), opens=False)
        found.append(left)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Start:
    """Where a section begins: at which row, event and position among the cuts; with a tool change or not."""

    row: int
    event: int
    cut: int
    opens: bool


class _Splitter:
    def __init__(self, execution: "Execution", cutting: Rows, titles: Rows) -> None:
        self.moves = execution.moves
        self.events = execution.events
        self.cutting = cutting
        self.titles = titles
        self.event_rows = [event.row for event in execution.events]
        self.tools = tool_starts(execution)
        # Across a call or return the comments between two blocks were not passed.
        self.jumps = np.array([event.row for event in execution.events if event.kind in ("call", "return")], dtype=np.int64)
        self.stops = [(e.row, index) for index, e in enumerate(execution.events) if e.kind in SPLITTING_EVENTS]
        families = np.array([FAMILIES.get(cycle.code, cycle.code) for cycle in execution.cycles] + [0], dtype=np.int32)
        # one for each hole, and a last one for moves that no cycle made (their hole is -1)
        self.family = families[np.append(execution.cycle_holes.cycle, len(families) - 1)]
        self.changed = self._changed()

    def _changed(self) -> Rows:
        """Positions among the cuts at which cycle family, title or stop differ from the cut before."""
        count = len(self.cutting)
        changed = np.zeros(count, np.bool_)
        if len(self.family) > 1:
            family = self.family[self.moves.cycle[self.cutting]]
            changed[1:] |= family[1:] != family[:-1]
        if len(self.titles):
            title = self._title(self.cutting)
            jumps = np.searchsorted(self.jumps, self.cutting, side="right")
            changed[1:] |= (title[1:] > title[:-1]) & (jumps[1:] == jumps[:-1])
        at = np.searchsorted(self.cutting, np.array([row for row, _ in self.stops], dtype=np.int64))
        changed[at[at < count]] = True
        return np.flatnonzero(changed)

    def _title(self, rows: Rows) -> Rows:
        return np.searchsorted(self.titles, self.moves.block[rows], side="right")

    def starts(self) -> list[_Start]:
        """Where the sections begin."""
        found = []
        tools = [(row, event, True) for row, event in self.tools]
        if not tools or self._cut_at(tools[0][0]) > 0:
            tools = [(0, 0, False), *tools]  # it cuts before the first tool change
        for index, (row, event, is_change) in enumerate(tools):
            behind = tools[index + 1][0] if index + 1 < len(tools) else len(self.moves)
            first_cut, behind_cut = self._cut_at(row), self._cut_at(behind)
            found.append(_Start(row, event, first_cut, is_change))
            inner = self.changed[
                np.searchsorted(self.changed, first_cut, side="right") : np.searchsorted(self.changed, behind_cut)
            ]
            found += [self._inner(int(cut)) for cut in inner]
        return found

    def _cut_at(self, row: int) -> int:
        return int(np.searchsorted(self.cutting, row))

    def _inner(self, cut: int) -> _Start:
        """A start within one tool: among the rapids before the cut, the first that belongs to what follows."""
        row, gap_first = int(self.cutting[cut]), int(self.cutting[cut - 1]) + 1
        at = bisect_right(self.stops, (row, len(self.events)))
        if at and self.stops[at - 1][0] >= gap_first:
            return _Start(self.stops[at - 1][0], self.stops[at - 1][1] + 1, cut, False)
        gap = np.arange(gap_first, row + 1)
        cycle = self.moves.cycle[gap]
        here = self.family[cycle] == self.family[cycle[-1]]
        if self.family[self.moves.cycle[gap_first - 1]] == self.family[cycle[-1]]:  # then it is a title that parts them
            here = self._title(gap) == self._title(gap[-1:])[0]
        start = int(gap[here][0])
        return _Start(start, bisect_left(self.event_rows, start), cut, False)

    def finished(self, starts: list[_Start]) -> tuple[Section, ...]:
        """The sections between the starts. What comes before the first tool belongs to the first section."""
        found = []
        for index, start in enumerate(starts):
            after = starts[index + 1] if index + 1 < len(starts) else None
            first = 0 if index == 0 else start.row
            behind = after.row if after else len(self.moves)
            cuts = (start.cut, after.cut if after else len(self.cutting))
            events = (0 if index == 0 else start.event, after.event if after else len(self.events))
            family = int(self.family[self.moves.cycle[self.cutting[cuts[0]]]]) if cuts[1] > cuts[0] else 0
            if behind > first or any(e.kind == "probe" for e in self.events[slice(*events)]):
                found.append(Section(first, behind, family, cuts, events, start.opens))
        return tuple(found)


def tool_starts(execution: "Execution") -> list[tuple[int, int]]:
    """Rows and event indices at which a tool comes into the spindle: another one, or the same loaded again."""
    starts: dict[int, int] = {}
    for index, event in enumerate(execution.events):
        if event.kind == "tool_change":
            starts[event.row] = index
    rows = [event.row for event in execution.events]
    before = None
    for span in execution.spans:
        tool = (span.modal.tool, span.modal.tool_name)
        if before is not None and tool != before and span.row not in starts:
            starts[span.row] = bisect_left(rows, span.row)
        before = tool
    return sorted(starts.items())


def title_blocks(remarks: Sequence[Remark]) -> Rows:
    """Blocks of comments that begin another operation: they name a kind or stage that the comment before did not."""
    blocks = []
    last: tuple[str, str] | None = None
    for remark in remarks:
        if remark.is_ == "operation" and remark.alone and remark.names:
            title = (remark.kind, remark.stage) if remark.kind or remark.stage else (remark.text, "")
            if title != last:
                blocks.append(remark.block)
            last = title
    return np.array(blocks, dtype=np.int64)
