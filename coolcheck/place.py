"""Where a thing stands: file, line and column, both from 1. Imports nothing of ours."""

from bisect import bisect_right
from dataclasses import dataclass
from typing import Any, Protocol


class Offsets(Protocol):
    """Ascending byte offsets: a list, or a numpy array."""

    def __len__(self) -> int: ...

    def __getitem__(self, at: int, /) -> Any: ...


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a file, as an editor counts: `line` and `column` from 1, `end_column` behind the last character.

    `line` 0 means the file as a whole; `column` 0 means the line as a whole. `end_line` 0 means the same line.
    """

    file: str
    line: int = 0
    column: int = 0
    end_line: int = 0
    end_column: int = 0

    def __str__(self) -> str:
        parts = [self.file]
        if self.line:
            parts.append(str(self.line))
            if self.column:
                parts.append(str(self.column))
        return ":".join(parts)


class LineIndex:
    """Turns byte offsets into lines and columns. `starts` are the byte offsets at which the lines begin, ascending."""

    def __init__(self, file: str, starts: Offsets, text: bytes) -> None:
        self._file = file
        self._starts = starts
        self._text = text

    def line(self, offset: int) -> int:
        """The line, from 1, in which the byte at `offset` stands."""
        return bisect_right(self._starts, offset)

    def column(self, offset: int) -> int:
        """The column, from 1, in characters as an editor shows them (UTF-8 where the line is UTF-8, else bytes)."""
        return self._length(self._text[self._starts[max(self.line(offset), 1) - 1] : offset]) + 1

    def whole(self, index: int, end: int) -> Place:
        """The place of a whole line, the first being 0; `end` is the offset behind its last character."""
        raw = self._text[self._starts[index] : end]
        return Place(self._file, index + 1, 1, index + 1, self._length(raw) + 1)

    @staticmethod
    def _length(raw: bytes) -> int:
        """Characters of a line as an editor shows it."""
        try:
            return len(raw) if raw.isascii() else len(raw.decode("utf-8"))
        except UnicodeDecodeError:
            return len(raw)

    def place(self, start: int, end: int | None = None) -> Place:
        """The place of the bytes from `start` to before `end`; without `end`, of the one point."""
        if end is None:
            return Place(self._file, self.line(start), self.column(start))
        return Place(self._file, self.line(start), self.column(start), self.line(max(start, end - 1)), self.column(end))
