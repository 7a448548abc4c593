"""Compares an execution with what was expected of it: moves row by row, modal state, events, cycles and notes."""

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Cycle, Event, Execution, Span
from coolcheck.place import Place
from coolcheck.rewrite.expect import COLUMNS, EVENT_PARTS, Expectation

SAME_PLACE = 1e-6  # mm: far below any machine's step, far above what float arithmetic loses
SAME_SHARE = 1e-9  # of feeds, speeds and times
_ARC_COLUMNS = ("x", "y", "z", "radius", "sweep", "length", "plane")
_KEPT = ("code", "axis", "top", "bottom", "pecks", "retract", "clearance", "dwell", "initial", "return_level")
_ONE_PASS = ("axis", "top", "bottom", "dwell", "initial", "return_level")
_PLAIN_CODES = (81, 82)


@dataclass(frozen=True, slots=True)
class Mismatch:
    """The first thing that is not as declared, with its place in both programs."""

    says: str
    before: Place | None = None
    after: Place | None = None

    def __str__(self) -> str:
        where = [f"{name} {place}" for name, place in (("original", self.before), ("rewritten", self.after)) if place]
        return self.says + (f" ({', '.join(where)})" if where else "")


def first_mismatch(before: Execution, after: Execution, expectation: Expectation) -> Mismatch | None:
    """The first difference that nobody declared, or None when there is none."""
    comparison = _Comparison(before, after, expectation)
    return next(comparison.mismatches(), None)


class _Comparison:
    """Two executions side by side."""

    def __init__(self, before: Execution, after: Execution, expectation: Expectation) -> None:
        self.before, self.after, self.wanted = before, after, expectation

    def mismatches(self) -> Iterator[Mismatch]:
        """Everything found, the moves first: each check ends at its first find."""
        for check in (self._moves, self._rotary, self._arcs, self._modal, self._events, self._cycles, self._ending, self._notes):
            found = check()
            if found is not None:
                yield found

    def _old_place(self, row: int) -> Place | None:
        if row < len(self.wanted.take):
            return self.before.place(int(self.before.moves.block[self.wanted.take[row]]))
        return None

    def _new_place(self, row: int) -> Place | None:
        return self.after.place(int(self.after.moves.block[row])) if row < len(self.after.moves) else None

    def _at(self, row: int, says: str) -> Mismatch:
        return Mismatch(says, self._old_place(row), self._new_place(row))

    def _moves(self) -> Mismatch | None:
        new, wanted = self.after.moves, self.wanted
        count = min(len(new), len(wanted.take))
        wrong: list[tuple[int, str]] = []
        _first(wrong, new.kind[:count] != wanted.kind[:count], "the kind of move")
        for name in COLUMNS:
            tolerance = SAME_SHARE * np.abs(wanted.columns[name][:count]) if name == "feed" else SAME_PLACE
            differ = _differ(getattr(new, name)[:count], wanted.columns[name][:count], tolerance)
            _first(wrong, differ, _TOLD.get(name, name.upper()))
        _first(wrong, (new.cycle[:count] >= 0) != wanted.in_cycle[:count], "whether a canned cycle makes it")
        _first(wrong, (new.arc[:count] >= 0) != (self.before.moves.arc[wanted.take[:count]] >= 0), "whether it is an arc")
        if wrong:
            row, what = min(wrong)
            return self._at(row, f"move {row + 1} is not as declared: {what} differs{self._values(row, what)}")
        if len(new) != len(wanted.take):
            return self._at(count, f"there are {len(new)} moves where {len(wanted.take)} are declared")
        return None

    def _values(self, row: int, what: str) -> str:
        name = next((n for n in COLUMNS if _TOLD.get(n, n.upper()) == what), "")
        if not name:
            return ""
        return f", {getattr(self.after.moves, name)[row]:.6g} instead of {self.wanted.columns[name][row]:.6g}"

    def _rotary(self) -> Mismatch | None:
        for name in "abc":
            old, new = getattr(self.before.moves, name), getattr(self.after.moves, name)
            if (old is None) != (new is None):
                return Mismatch(f"rotary axis {name.upper()} is used in one program only")
            if old is not None:
                row = _first_row(_differ(new, old[self.wanted.take], SAME_PLACE))
                if row is not None:
                    return self._at(row, f"move {row + 1} ends at another angle of {name.upper()}")
        return None

    def _arcs(self) -> Mismatch | None:
        old, new = self.before.moves.arcs, self.after.moves.arcs
        for name in _ARC_COLUMNS:
            a, b = getattr(old, name), getattr(new, name)
            if len(a) != len(b):
                return Mismatch("the programs have not the same number of arcs")
            arc = _first_row(_differ(b.astype(float), a.astype(float), SAME_PLACE))
            if arc is not None:
                row = int(np.flatnonzero(self.after.moves.arc == arc)[0])
                return self._at(row, f"move {row + 1} is an arc with another {name}")
        return None

    def _modal(self) -> Mismatch | None:
        old, new = _Spans(self.wanted.spans), _Spans(self.after.spans)
        for row in sorted({*old.rows, *new.rows}):
            a, b = old.at(row), new.at(row)
            if a.modal != b.modal:
                names = [n for n in type(a.modal).__dataclass_fields__ if getattr(a.modal, n) != getattr(b.modal, n)]
                told = ", ".join(f"{n.replace('_', ' ')} {getattr(b.modal, n)} instead of {getattr(a.modal, n)}" for n in names)
                return self._at(row, f"the modal state before move {row + 1} is not as declared: {told}")
        return None

    def _events(self) -> Mismatch | None:
        wanted, new = self.wanted.events, self.after.events
        for a, b in zip(wanted, new, strict=False):
            what = _event_difference(a, b)
            if what:
                before = self.before.place(a.block) if a.block >= 0 else self._old_place(a.row)
                return Mismatch(f"{_called(b)} where {_called(a)} is declared: {what}", before, self.after.place(b.block))
        if len(new) > len(wanted):
            extra = new[len(wanted)]
            return Mismatch(f"{_called(extra)} is not declared", None, self.after.place(extra.block))
        if len(new) < len(wanted):
            gone = wanted[len(new)]
            return Mismatch(f"{_called(gone)} is missing", self.before.place(gone.block) if gone.block >= 0 else None, None)
        return None

    def _cycles(self) -> Mismatch | None:
        """Each canned-cycle hole: unchanged ones altogether equal, converted ones plain cycles of the same hole."""
        old, new = self.before.cycle_holes, self.after.cycle_holes
        if len(new) != len(self.wanted.holes):
            return Mismatch(f"{len(new)} holes are made by canned cycles where {len(self.wanted.holes)} are declared")
        seen: dict[tuple[int, int], str] = {}
        for index, hole in enumerate(self.wanted.holes):
            pair = (int(old.cycle[hole]), int(new.cycle[index]))
            if pair not in seen:
                a, b = self.before.cycles[pair[0]], self.after.cycles[pair[1]]
                seen[pair] = _cycle_difference(a, b, hole in self.wanted.converted)
            if seen[pair]:
                places = self.before.place(int(old.block[hole])), self.after.place(int(new.block[index]))
                return Mismatch(f"hole {index + 1} is not as declared: {seen[pair]} differs", *places)
        return None

    def _ending(self) -> Mismatch | None:
        if self.before.ended != self.after.ended:
            return Mismatch("one program reaches its end, the other does not")
        return None

    def _notes(self) -> Mismatch | None:
        """A rewrite may leave less to note, never more."""
        known: dict[tuple[str, tuple[str, ...]], int] = {}
        for note in self.before.notes:
            known[note.id, note.affects] = known.get((note.id, note.affects), 0) + note.count
        for note in self.after.notes:
            left = known.get((note.id, note.affects), 0) - note.count
            if left < 0:
                return Mismatch(f"the rewritten program has something new to note: {note.says} [{note.id}]", None, note.place)
            known[note.id, note.affects] = left
        return None


_TOLD = {"feed": "the feed", "x0": "the start in X", "y0": "the start in Y", "z0": "the start in Z"}


class _Spans:
    """Spans looked up by row."""

    def __init__(self, spans: tuple[Span, ...]) -> None:
        self.spans = spans
        self.rows = [span.row for span in spans]

    def at(self, row: int) -> Span:
        return self.spans[max(bisect_right(self.rows, row) - 1, 0)]


def _first_row(marks: NDArray[np.bool_]) -> int | None:
    """Where the first mark is, if there is any."""
    return int(np.argmax(marks)) if marks.any() else None


def _first(wrong: list[tuple[int, str]], marks: NDArray[np.bool_], what: str) -> None:
    """Adds the first mark, if there is any."""
    row = _first_row(marks)
    if row is not None:
        wrong.append((row, what))


def _differ(new: NDArray[np.float64], old: NDArray[np.float64], tolerance: float | NDArray[np.float64]) -> NDArray[np.bool_]:
    """Where two columns differ; not known on both sides is the same."""
    unknown = np.isnan(new) & np.isnan(old)
    close: NDArray[np.bool_] = np.abs(new - old) <= tolerance
    return ~(close | unknown)


def _same(a: object, b: object) -> bool:
    if isinstance(a, float) and isinstance(b, float):
        return (math.isnan(a) and math.isnan(b)) or math.isclose(a, b, rel_tol=SAME_SHARE, abs_tol=1e-12)
    return a == b


def _event_difference(wanted: Event, new: Event) -> str:
    """What differs between two events, or nothing. An added event says only what its code makes certain."""
    if wanted.row != new.row:
        return f"it stands before move {new.row + 1} instead of move {wanted.row + 1}"
    is_added = wanted.block < 0
    for name in EVENT_PARTS:
        a, b = getattr(wanted, name), getattr(new, name)
        if is_added and (name in _NOT_SAID or (a is None and name == "value")):
            continue
        if isinstance(a, dict) and a.keys() == b.keys() and all(_same(float(a[k]), float(b[k])) for k in a):
            continue
        if not _same(a, b):
            return f"{name.replace('_', ' ')} {b!r} instead of {a!r}"
    return ""


_NOT_SAID = frozenset({"direction"})  # of an added speed: the modal state of the moves shows it


def _called(event: Event) -> str:
    return event.code or event.kind.replace("_", " ")


def _cycle_difference(old: Cycle, new: Cycle, is_converted: bool) -> str:
    names = _ONE_PASS if is_converted else _KEPT
    if is_converted and (new.code not in _PLAIN_CODES or new.retract != "none"):
        return "it is not drilled by a plain cycle: the cycle"
    return next((name.replace("_", " ") for name in names if not _close(getattr(old, name), getattr(new, name))), "")


def _close(a: object, b: object) -> bool:
    """The same part of a cycle; a height, and each of its strokes, may lose what float arithmetic loses."""
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(map(_close, a, b))
    return _same(a, b) or (isinstance(a, float) and isinstance(b, float) and abs(a - b) <= SAME_PLACE)
