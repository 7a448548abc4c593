"""Where the lines of a rewritten text come from: places in the text of a later stage, told as places in the original."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coolcheck.known import Evidence, Missing
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.rewrite.edit import Edit, ordered
from coolcheck.rewrite.refusal import Refusal

_LINE = re.compile(r"(?<=\bline )\d+")


class Origin:
    """For each line of the text as it is now, the line of the original that it was; new lines stand for the one they precede."""

    def __init__(self, original: Program) -> None:
        self.original = original
        self._now = original
        self._lines: NDArray[np.int64] = np.arange(len(original), dtype=np.int64)

    def advanced(self, edits: Sequence[Edit], now: Program) -> "Origin":
        """The same behind one more stage."""
        found = Origin(self.original)
        found._now = now
        found._lines = self._lines[_came_from(self._now, ordered(edits), now)]
        return found

    def line(self, index: int) -> int:
        """The line of the original, from 0, that a line of the text as it is now comes from."""
        return int(self._lines[index])

    def line_at(self, offset: int) -> int:
        """The line of the original, from 0, to which a byte of the text as it is now belongs."""
        index = int(np.searchsorted(self._now.source.starts, offset, side="right")) - 1
        return self.line(max(index, 0))

    def place(self, place: Place) -> Place:
        """A place of the text as it is now, in the original; places in other files stay."""
        if place.file != self.original.source.name or not 0 < place.line <= len(self._lines):
            return place
        line = int(self._lines[place.line - 1])
        if place.column and self._now.text(place.line - 1) != self.original.text(line):
            return self.original.place(line)  # the block as a whole: its words stand elsewhere
        return replace(place, line=line + 1, end_line=line + 1 if place.end_line else 0)

    def text(self, text: str) -> str:
        """A sentence with the lines and places in it that are those of this program."""
        name = re.escape(self.original.source.name)
        placed = re.sub(rf"(?<!rewritten ){name}:(\d+):(\d+)", self._placed, text)
        return _LINE.sub(lambda found: str(self._line(int(found[0]))), placed)

    def _placed(self, found: "re.Match[str]") -> str:
        return str(self.place(Place(self.original.source.name, int(found[1]), int(found[2]))))

    def _line(self, line: int) -> int:
        return int(self._lines[line - 1]) + 1 if 0 < line <= len(self._lines) else line

    def refusal(self, refusal: Refusal) -> Refusal:
        """A refusal with all its places in the original."""
        return replace(
            refusal,
            where=self.place(refusal.where),
            says=self.text(refusal.says),
            missing=tuple(map(self._missing, refusal.missing)),
            evidence=tuple(map(self.evidence, refusal.evidence)),
        )

    def _missing(self, one: Missing) -> Missing:
        return replace(one, place=self.place(one.place)) if one.place is not None else one

    def evidence(self, one: Evidence) -> Evidence:
        """A piece of evidence with its place in the original."""
        value = self.text(one.value) if isinstance(one.value, str) else one.value
        return replace(one, value=value, place=self.place(one.place) if one.place is not None else None)


def _came_from(old: Program, edits: Sequence[Edit], new: Program) -> NDArray[np.int64]:
    """For each line of the new text, the line of the old one."""
    if not edits:
        return np.arange(len(new), dtype=np.int64)
    starts = np.array([edit.start for edit in edits], dtype=np.int64)
    ends = np.array([edit.end for edit in edits], dtype=np.int64)
    grown = np.cumsum([len(edit.text) - (edit.end - edit.start) for edit in edits])
    new_ends = ends + grown
    new_starts = new_ends - np.array([len(edit.text) for edit in edits], dtype=np.int64)
    at = new.source.starts
    behind = np.searchsorted(new_ends, at, side="right")  # edits that end before the line begins
    offset = at - np.concatenate(([0], grown))[behind]
    inside = np.minimum(behind, len(edits) - 1)
    is_new = (behind < len(edits)) & (at >= new_starts[inside])
    offset = np.where(is_new, starts[inside], offset)
    lines = np.searchsorted(old.source.starts, offset, side="right") - 1
    return np.clip(lines, 0, len(old) - 1).astype(np.int64)
