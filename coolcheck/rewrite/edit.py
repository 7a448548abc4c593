"""Edits: byte spans on the original with a text and a reason. Every byte outside them stays as it was."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from coolcheck.errors import RewriteRefused

MENDS = (
    "single_pass",
    "fluid_off_before_change",
    "fluid_before_cut",
    "edge_regime",
    "build_up_dwell",
    "machine_code",
    "fluid_off_unneeded",
)


@dataclass(frozen=True, slots=True)
class Edit:
    """The bytes from `start` to before `end` of the original become `text`; equal offsets insert.

    reason : one sentence for the person who reads the change
    mend : the rewrite it belongs to, one of MENDS; tool : the T number it is for, None when there is none
    lines : the blocks that come in, without sequence numbers; `finished` writes them into `text` (see blocks.py)
    """

    start: int
    end: int
    text: bytes
    reason: str
    mend: str
    tool: int | None = None
    lines: tuple[str, ...] = ()

    @property
    def is_insertion(self) -> bool:
        """It takes nothing away."""
        return self.start == self.end


class OverlappingEdits(RewriteRefused):
    """Two edits want the same bytes: neither is made."""


def ordered(edits: Iterable[Edit]) -> tuple[Edit, ...]:
    """The edits in the order of their spans, equal ones once; insertions at one offset keep the order they came in."""
    return tuple(sorted(dict.fromkeys(edits), key=lambda edit: (edit.start, edit.end)))


def apply(source: bytes, edits: Iterable[Edit]) -> bytes:
    """`source` with the edits made; every byte outside them stays as it was.

    >>> apply(b"G83 Q2.", [Edit(0, 3, b"G81", "no pecks", "single_pass"), Edit(3, 7, b"", "no pecks", "single_pass")])
    b'G81'
    """
    out, at = [], 0
    for edit in ordered(edits):
        if not at <= edit.start <= edit.end <= len(source):
            raise OverlappingEdits(f"two edits want byte {edit.start} of the program, or it lies outside: {edit.reason}")
        out += [source[at : edit.start], edit.text]
        at = edit.end
    return b"".join([*out, source[at:]])


def is_effective(source: bytes, edit: Edit) -> bool:
    """Does it change a byte."""
    return source[edit.start : edit.end] != edit.text


class Shift:
    """Where the bytes of the original stand after the edits, and back."""

    def __init__(self, edits: Iterable[Edit]) -> None:
        self._edits = ordered(edits)
        self._old_ends: list[int] = []
        self._moved: list[int] = []  # by how much the bytes behind each edit have moved
        moved = 0
        for edit in self._edits:
            moved += len(edit.text) - (edit.end - edit.start)
            self._old_ends.append(edit.end)
            self._moved.append(moved)

    def new(self, offset: int) -> int:
        """Where a byte outside the edits stands afterwards."""
        at = bisect_right(self._old_ends, offset)
        return offset + (self._moved[at - 1] if at else 0)

    def touches(self, start: int, end: int) -> bool:
        """Does an edit replace bytes between `start` and `end`."""
        return any(edit.start < end and start < edit.end for edit in self._edits)


def reasons(edits: Sequence[Edit]) -> tuple[str, ...]:
    """Every reason once, in order."""
    return tuple(dict.fromkeys(edit.reason for edit in edits))
