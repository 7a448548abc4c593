"""What a program would do with the declared differences and no other: its moves, modal state and events, worked out from the
original's execution alone. Knows nothing of the new program."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from math import nan

import numpy as np
from numpy.typing import NDArray

from coolcheck.errors import RewriteRefused
from coolcheck.nc.dialect import Dialect
from coolcheck.nc.moves import Event, Execution, Floats, Kind, Modal, Span
from coolcheck.rewrite.differences import CODE, FEED, RAPID, Differences, OnePass, Said, Speed, Step

_PECK_CODES = frozenset({"G73", "G83"})
COLUMNS = ("x", "y", "z", "x0", "y0", "z0", "feed")
NOWHERE = -1  # a row of the original that has no counterpart: the inside of a peck cycle


class NotAllowed(RewriteRefused):
    """A declared difference that cannot be, or may not be."""


@dataclass(frozen=True)
class Expectation:
    """The program as it ought to run. `take` is, for each row, the row of the original that it stands for.

    in_cycle : rows that a canned cycle makes; holes : for each canned-cycle hole, its index in the original
    converted : indices in the original of the holes that lose their pecks
    """

    take: NDArray[np.int64]
    kind: NDArray[np.uint8]
    columns: dict[str, Floats]
    in_cycle: NDArray[np.bool_]
    spans: tuple[Span, ...]
    events: tuple[Event, ...]
    holes: tuple[int, ...]
    converted: frozenset[int]


def expected(before: Execution, declared: Differences) -> Expectation:
    """The original's execution with exactly the declared differences. Raises NotAllowed when one of them cannot be."""
    rows = _Rows(before, declared)
    return Expectation(
        take=rows.take,
        kind=rows.kind,
        columns=rows.columns,
        in_cycle=rows.in_cycle,
        spans=tuple(_spans(before, declared, rows)),
        events=tuple(_Events(before, declared, rows).all()),
        holes=tuple(h for h in range(len(before.cycle_holes)) if h not in rows.by_hole or rows.by_hole[h].in_cycle),
        converted=frozenset(rows.by_hole),
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """A code said inside a hole: before which new row, and whether the tool is out of the hole by then."""

    row: int
    said: Said
    is_behind: bool


class _Rows:
    """The expected rows, and where each row of the original comes to stand."""

    def __init__(self, before: Execution, declared: Differences) -> None:
        self.before = before
        self.by_hole = {one.hole: one for one in declared.holes}
        if len(self.by_hole) != len(declared.holes):
            raise NotAllowed("a hole is declared twice")
        self.said: list[_Said] = []
        self._parts: list[NDArray[np.int64]] = []
        self._made: list[tuple[int, int, float, float, float]] = []  # row, kind, start, end, feed
        self._axes: list[str] = []
        self._count = 0
        self._at = 0
        self.new_row = np.full(len(before.moves) + 1, NOWHERE, dtype=np.int64)
        self.end_of: dict[int, int] = {}  # the last new row of each declared hole
        for one in sorted(declared.holes, key=lambda one: int(_holes_first(before, one.hole))):
            self._hole(one)
        self._keep(len(before.moves))
        self.new_row[len(before.moves)] = self._count
        self._fill()

    def _keep(self, until: int) -> None:
        """Rows of the original stay as they are, up to before `until`."""
        if until < self._at:
            raise NotAllowed("two declared holes share moves")
        rows = np.arange(self._at, until, dtype=np.int64)
        self.new_row[self._at : until] = rows - self._at + self._count
        self._parts.append(rows)
        self._count += len(rows)

    def _hole(self, one: OnePass) -> None:
        moves, holes = self.before.moves, self.before.cycle_holes
        first, last = int(holes.first[one.hole]), int(holes.last[one.hole])
        axis = self.before.cycles[int(holes.cycle[one.hole])].axis
        feeds = np.flatnonzero(moves.kind[first : last + 1] == Kind.FEED)
        if not len(feeds) or moves.kind[last] != Kind.RAPID:
            raise NotAllowed(f"hole {one.hole} has no stroke with a rapid way out")
        entry = first + int(feeds[0])
        self._keep(entry)
        self.new_row[entry] = self._count
        height = float(getattr(moves, axis + "0")[entry])
        way_out = _way_out(one.steps)
        for at, step in enumerate(one.steps):
            if at == way_out:
                self.new_row[last] = self._count
            is_behind = all(later.act == CODE for later in one.steps[at:])
            height = self._step(step, axis, height, entry, last, is_behind)
        self.end_of[one.hole] = self._count - 1
        self._at = last + 1

    def _step(self, step: Step, axis: str, height: float, entry: int, last: int, is_behind: bool) -> float:
        if step.act == CODE:
            if step.said is None:
                raise NotAllowed("a hole has a step that says no code")
            self.said.append(_Said(self._count, step.said, is_behind))
            return height
        if step.act not in (FEED, RAPID):
            raise NotAllowed(f"a hole has no step {step.act!r}")
        is_feed = step.act == FEED
        self._parts.append(np.array([entry if is_feed else last], dtype=np.int64))
        feed = step.feed if is_feed else nan
        self._made.append((self._count, Kind.FEED if is_feed else Kind.RAPID, height, step.to, feed))
        self._axes.append(axis)
        self._count += 1
        return step.to

    def _fill(self) -> None:
        moves = self.before.moves
        self.take = np.concatenate(self._parts)
        self.kind = moves.kind[self.take]
        self.columns = {name: getattr(moves, name)[self.take] for name in COLUMNS}
        self.in_cycle = moves.cycle[self.take] >= 0
        for (row, kind, start, end, feed), axis in zip(self._made, self._axes, strict=True):
            self.kind[row] = kind
            self.columns[axis + "0"][row], self.columns[axis][row], self.columns["feed"][row] = start, end, feed
        for one in self.by_hole.values():
            if not one.in_cycle:
                low = self.new_row[int(self.before.cycle_holes.first[one.hole])]
                self.in_cycle[low : self.end_of[one.hole] + 1] = False

    def moved(self, row: int, what: str) -> int:
        """Where a row of the original comes to stand. Raises NotAllowed inside a hole whose pecks are gone."""
        new = int(self.new_row[row]) if 0 <= row < len(self.new_row) else NOWHERE
        if new == NOWHERE:
            raise NotAllowed(f"{what} lies between the pecks of a hole that is to be drilled in one pass, or outside the program")
        return new


def _way_out(steps: Sequence[Step]) -> int:
    """The step that the way out becomes: the first move behind the last stroke, else the last move; -1 without any."""
    moves = [at for at, step in enumerate(steps) if step.act != CODE]
    stroke = max((at for at in moves if steps[at].act == FEED), default=-1)
    return next((at for at in moves if at > stroke), moves[-1] if moves else -1)


def _holes_first(before: Execution, hole: int) -> int:
    if not 0 <= hole < len(before.cycle_holes):
        raise NotAllowed(f"there is no hole {hole}")
    return int(before.cycle_holes.first[hole])


def _spans(before: Execution, declared: Differences, rows: _Rows) -> Iterator[Span]:
    """The modal state of the original with the declared speeds."""
    count = len(rows.take)
    old_at = [rows.moved(span.row, "a change of the modal state") for span in before.spans]
    speeds = [(rows.moved(s.row, "a speed"), _end_of(s, before, rows), s) for s in declared.speeds]
    inside = _speeds_inside(rows)
    edges = {row for low, high, _ in (*speeds, *inside) for row in (low, high)}
    last: Modal | None = None
    for row in sorted(edge for edge in {*old_at, *edges} if edge <= count):
        modal = before.spans[bisect_right(old_at, row) - 1].modal
        for low, high, speed in speeds:
            if low <= row < high:
                if modal.rpm != speed.was:
                    raise NotAllowed(f"the speed is declared to change from {speed.was:g}, but it is {modal.rpm}")
                modal = replace(modal, rpm=speed.rpm)
        for low, high, rpm in inside:
            if low <= row < high:
                modal = replace(modal, rpm=rpm)
        if modal != last:
            yield Span(row, modal)
            last = modal


def _end_of(speed: Speed, before: Execution, rows: _Rows) -> int:
    """The first row without the speed; one that lasts to the end of the program has none."""
    lasts = speed.until_row >= len(before.moves) and speed.until_event >= len(before.events)
    return len(rows.take) + 1 if lasts else rows.moved(speed.until_row, "the end of a speed")


def _speeds_inside(rows: _Rows) -> list[tuple[int, int, float]]:
    """Speeds said inside holes: from their row to that of the next speed said there, or to the end of the hole."""
    found: list[tuple[int, int, float]] = []
    holes = rows.before.cycle_holes
    for one in rows.by_hole.values():
        low, high = int(rows.new_row[int(holes.first[one.hole])]), rows.end_of[one.hole]
        said = [(s.row, s.said.value) for s in rows.said if low <= s.row <= high and s.said.value is not None and not s.is_behind]
        ends = [row for row, _ in said[1:]] + [high + 1]
        found += [(row, end, value) for (row, value), end in zip(said, ends, strict=False) if value is not None]
    return found


class _Events:
    """The expected events in their order."""

    def __init__(self, before: Execution, declared: Differences, rows: _Rows) -> None:
        self.before, self.declared, self.rows = before, declared, rows
        self.dialect = before.program.dialect
        self.removed = {one.event: one for one in declared.removed}
        self.changed = {one.event: one for one in declared.changed}
        known = range(len(before.events))
        for index in (*self.removed, *self.changed):
            if index not in known:
                raise NotAllowed(f"there is no event {index}")

    def all(self) -> list[Event]:
        """Old events, added ones before theirs, codes said in holes where they are said."""
        keyed: list[tuple[tuple[int, int, int], Event]] = []
        added = list(self.declared.added)
        at = 0
        for index in range(len(self.before.events) + 1):
            while at < len(added) and added[at].before <= index:
                row = self.rows.moved(added[at].row, f"the added {added[at].said.code}")
                keyed.append(((row, 1, len(keyed)), event_of(added[at].said, self.dialect, row)))
                at += 1
            if index < len(self.before.events) and index not in self.removed:
                keyed.append(self._old(index, len(keyed)))
        if at < len(added):
            raise NotAllowed(f"there is no event {added[at].before} to add {added[at].said.code} before")
        if keyed != sorted(keyed, key=lambda item: item[0]):
            raise NotAllowed("an added code does not lie between its neighbours")
        for said in self.rows.said:
            event = event_of(said.said, self.dialect, said.row)
            keyed.append(((said.row, 0 if said.is_behind else 2, len(keyed)), event))
        return list(_without_same_speed(event for _, event in sorted(keyed, key=lambda item: item[0])))

    def _old(self, index: int, order: int) -> tuple[tuple[int, int, int], Event]:
        event = self.before.events[index]
        row = self.rows.moved(event.row, f"{event.code or event.kind}")
        event = replace(event, row=row)
        if event.kind == "dwell" and event.code in _PECK_CODES and row < len(self.rows.kind) and self._is_bottom(index):
            event = replace(event, code="G82" if self.rows.in_cycle[row] else "G4")  # the same dwell, said another way
        if index in self.changed:
            one = self.changed[index]
            if one.was != event.code:
                raise NotAllowed(f"{one.was} is declared to change, but the program says {event.code}")
            event = replace(event_of(one.said, self.dialect, row), block=event.block, skipped_by=event.skipped_by)
        if event.kind == "spindle":
            event = self._with_speed(event, index)
        return (row, 1, order), event

    def _is_bottom(self, index: int) -> bool:
        """Does a dwell stand before the way out of a converted hole."""
        hole = int(self.before.moves.cycle[self.before.events[index].row])
        return hole in self.rows.by_hole and int(self.before.cycle_holes.last[hole]) == self.before.events[index].row

    def _with_speed(self, event: Event, index: int) -> Event:
        for speed in self.declared.speeds:
            if speed.event <= index < speed.until_event and event.value is not None:
                if event.value != speed.was:
                    raise NotAllowed(f"the speed is declared to change from {speed.was:g}, but {event.code} says {event.value:g}")
                event = replace(event, value=speed.rpm)
        return event


def _without_same_speed(events: Iterable[Event]) -> Iterator[Event]:
    """An S word of the program that states the speed in force makes no event: a declared speed may have made it so."""
    rpm: float | None = None
    for event in events:
        if event.kind == "spindle" and event.value is not None:
            if event.code == "S" and event.block >= 0 and event.value == rpm:
                continue
            rpm = event.value
        yield event


def rows_of_holes(before: Execution, declared: Differences, expectation: Expectation) -> dict[int, tuple[int, int]]:
    """First and last row of each declared hole in the new program."""
    holes, take = before.cycle_holes, expectation.take
    rows: dict[int, tuple[int, int]] = {}
    for one in declared.holes:
        first, last = int(holes.first[one.hole]), int(holes.last[one.hole])
        rows[one.hole] = (int(np.searchsorted(take, first)), int(np.searchsorted(take, last, side="right")) - 1)
    return rows


def event_of(said: Said, dialect: Dialect, row: int) -> Event:
    """The event that a code makes when it stands in a block of its own."""
    if said.code == "G4":
        return Event(row, "dwell", -1, code="G4", seconds=said.seconds)
    if said.code == "S":
        return Event(row, "spindle", -1, code="S", value=said.value)
    meaning = dialect.meaning.m_codes.get(int(said.code[1:])) if said.code[1:].isdigit() else None
    words = dict(said.words)
    if meaning is None:
        return Event(row, "m_code", -1, code=said.code, words=words)
    if meaning.does != "fluid":
        raise NotAllowed(f"{said.code} is no fluid code in this dialect")
    return Event(row, "fluid", -1, code=said.code, words=words, fluid=meaning.fluid, after_move=meaning.after_move)


EVENT_PARTS = tuple(f.name for f in fields(Event) if f.name not in ("row", "block"))
