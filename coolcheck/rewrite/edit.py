"""Edits: byte spans on the original with a text and a reason. Every byte outside them stays as it was."""

from collections.abc import Iterable
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
    told : the change of speed or feed that it makes, in words; a person must hear of it
    lines : the blocks that come in, without sequence numbers; `finished` writes them into `text` (see blocks.py)
    """

    start: int
    end: int
    text: bytes
    reason: str
    mend: str
    tool: int | None = None
    lines: tuple[str, ...] = ()
    told: str = ""


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
