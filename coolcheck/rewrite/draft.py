"""A rewrite while it is being planned: edits and declared differences side by side, for one run of the program."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Event
from coolcheck.rewrite.anchors import Anchor
from coolcheck.rewrite.blocks import Pen
from coolcheck.rewrite.differences import Added, Differences, Said
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.layout import Layout, Position

STOPS = frozenset({"tool_change", "stop", "optional_stop", "end"})


@dataclass
class Draft:
    """What has been planned so far. `rows` marks the moves of the holes that are converted."""

    layout: Layout
    pen: Pen
    edits: list[Edit] = field(default_factory=list)
    differences: Differences = field(default_factory=Differences)

    def add(self, edits: Sequence[Edit], differences: Differences | None = None) -> None:
        """More edits, and what they are declared to change."""
        self.edits += edits
        if differences is not None:
            self.differences += differences

    def join(self, part: "Draft") -> None:
        """What another draft has planned; where both put in the very same blocks at the same place, they come in once."""
        common = {edit for edit in part.edits if edit.lines} & set(self.edits)
        known = set(self.differences.added) if common else set()
        self.edits += [edit for edit in part.edits if edit not in common]
        self.differences += replace(part.differences, added=tuple(one for one in part.differences.added if one not in known))

    def insert(self, anchor: Anchor, blocks: Sequence[tuple[Sequence[str], Said]], reason: str, told: str = "") -> None:
        """Codes put in at an anchor, each a block of its own; they are declared for every moment at which they run."""
        self.edits.append(replace(anchor.insertion(self.pen, [words for words, _ in blocks], reason), told=told))
        added = tuple(
            Added(moment.event, moment.row, said, self.pen.mend, self.pen.tool) for moment in anchor.moments for _, said in blocks
        )
        self.differences += Differences(added=added)


def marked(layout: Layout, holes: Sequence[int]) -> NDArray[np.bool_]:
    """Which moves belong to these canned-cycle holes."""
    table = layout.execution.cycle_holes
    marks = np.zeros(len(layout.execution.moves) + 1, dtype=np.bool_)
    for hole in holes:
        marks[int(table.first[hole]) : int(table.last[hole]) + 1] = True
    return marks


def stops_between(layout: Layout, start: Position, end: Position) -> bool:
    """Does the tool change, or the program stop or end, from one moment to the other."""
    return any(event.kind in STOPS for event in layout.between(start, end))


def spindle_changes(events: Sequence[Event]) -> bool:
    """Is the spindle turned on or off by one of these events."""
    return any(event.kind == "spindle" and event.code != "S" for event in events)
