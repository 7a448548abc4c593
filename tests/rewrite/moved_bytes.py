"""Where a byte of the original stands in the edited program, worked out edit by edit."""

from collections.abc import Iterable

from coolcheck.rewrite.edit import Edit


def moved(edits: Iterable[Edit], offset: int) -> int:
    """The place of a byte outside the edits: every edit before it has moved it by what it added or took."""
    return offset + sum(len(edit.text) - (edit.end - edit.start) for edit in edits if edit.end <= offset)
