"""The changed blocks of a rewrite, old beside new, so that a person can go through them; and what of it changes speed or feed."""

from collections.abc import Iterator
from dataclasses import dataclass

from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.rewrite import Rewrite


@dataclass(frozen=True, slots=True)
class Change:
    """One block of the original that is changed, or before which blocks come in (behind it, where it is the last).

    line : its line; before : its text, nothing when it stays; after : what stands there then, or comes in
    """

    line: int
    before: tuple[str, ...]
    after: tuple[str, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """A change of speed or feed that a person must hear of: where first, what, and in how many blocks."""

    where: Place
    says: str
    mend: str
    count: int


def changes(done: Rewrite) -> Iterator[Change]:
    """Every changed block, in order."""
    old, new = done.before.execution.program, done.after.execution.program
    there: dict[int, list[str]] = {}
    for index in range(len(new)):
        there.setdefault(done.origin.line(index), []).append(_text(new, index))
    reasons = _reasons(done)
    for index in range(len(old)):
        was, now = _text(old, index), there.get(index, [])
        if now == [was]:
            continue
        stays = now[-1:] == [was] or now[:1] == [was]
        if stays:
            now = now[:-1] if now[-1] == was else now[1:]
        yield Change(index + 1, () if stays else (was,), tuple(now), tuple(reasons.get(index, {})))


def told(done: Rewrite) -> Iterator[Told]:
    """Every change of speed or feed, each sentence once."""
    found: dict[tuple[str, str], list[int]] = {}
    for stage in done.stages:
        for edit in stage.edits:
            if edit.told:
                found.setdefault((edit.told, edit.mend), []).append(stage.origin.line_at(edit.start))
    program = done.before.execution.program
    for (says, mend), lines in found.items():
        yield Told(program.place(lines[0]), says, mend, len(lines))


def _reasons(done: Rewrite) -> dict[int, dict[str, None]]:
    """For each changed line of the original, why it is changed."""
    found: dict[int, dict[str, None]] = {}

    def add(line: int, edit: Edit) -> None:
        found.setdefault(line, {})[edit.reason] = None

    for stage in done.stages:
        for edit in stage.edits:
            add(stage.origin.line_at(edit.start), edit)
    return found


def _text(program: Program, index: int) -> str:
    """A block as a person reads it."""
    raw = program.text(index).encode("latin-1")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")
