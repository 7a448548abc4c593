"""Writes down what the control does: moves in columns, arcs, events, spans of modal state, cycles and their holes."""

from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.bulk import Run
from coolcheck.nc.moves import Arcs, Cycle, CycleHoles, Event, Floats, Kind, Modal, Moves, Span

NAN = float("nan")
_COLUMNS = ("kind", "x", "y", "z", "x0", "y0", "z0", "feed", "block", "cycle", "arc", "seconds")
_WIDTH = len(_COLUMNS)
_AT: Mapping[str, int] = {name: at for at, name in enumerate(_COLUMNS)}
_TYPES: Mapping[str, type] = {"kind": np.uint8, "block": np.int32, "cycle": np.int32, "arc": np.int32}
_ARC_WIDTH = 7
_MANY = 100_000  # rows


def hole_pattern(level: float, moves: Sequence[tuple[int, float, float]], feed: float) -> "array[float]":
    """The rows of a hole along Z, place, block and number still to come: the rapid there at `level`, then `moves` as kind, start
    height and end height."""
    rows = array("d")
    for kind, start, end in ((int(Kind.RAPID), level, level), *moves):
        rows.extend((kind, NAN, NAN, end, NAN, NAN, start, feed if kind else NAN, NAN, NAN, -1, NAN))
    return rows


@dataclass
class Recorder:
    """Collects rows one by one (`move`) or many at a time (`run`). `rows` counts the moves so far."""

    rows: int = 0
    events: list[Event] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    cycles: list[Cycle] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._rows = array("d")
        self._chunks: list[dict[str, NDArray[Any]]] = []
        self._arcs = array("d")
        self._holes = array("d")
        self._rotary: list[tuple[int, float, float, float]] = []

    def move(
        self,
        kind: int,
        start: tuple[float, float, float],
        end: tuple[float, float, float],
        feed: float,
        block: int,
        cycle: int = -1,
        arc: int = -1,
        seconds: float = NAN,
    ) -> None:
        """One move. `seconds` only where feed and length do not tell them (inverse time)."""
        self._rows.extend((kind, *end, *start, feed, block, cycle, arc, seconds))
        self.rows += 1

    def run(self, run: Run, first_block: int, feed: Floats) -> None:
        """A run of plain motion; its blocks are counted from `first_block`."""
        self._flush()
        count = len(run.kind)
        arc = np.full(count, -1, dtype=np.int32)
        arc[run.arc_rows] = len(self._arcs) // _ARC_WIDTH + np.arange(len(run.arc_rows), dtype=np.int32)
        nothing = np.full(count, -1, dtype=np.int32)
        self._chunks.append(
            {
                "kind": run.kind,
                "x": run.x,
                "y": run.y,
                "z": run.z,
                "x0": run.x0,
                "y0": run.y0,
                "z0": run.z0,
                "feed": feed,
                "block": run.block + np.int32(first_block),
                "cycle": nothing,
                "arc": arc,
                "seconds": np.full(count, NAN),
            }
        )
        if len(run.arc_rows):
            normal = np.argmax(np.isnan(np.vstack(run.arc_centre)), axis=0)
            plane = np.array([19.0, 18.0, 17.0])[normal]
            table = np.column_stack((*run.arc_centre, run.arc_radius, run.arc_sweep, run.arc_length, plane))
            self._arcs.frombytes(np.ascontiguousarray(table, dtype=np.float64).tobytes())
        self.rows += count

    def arc(self, centre: tuple[float, float, float], radius: float, sweep: float, length: float, plane: int) -> int:
        """One arc; gives its index."""
        self._arcs.extend((*centre, radius, sweep, length, plane))
        return len(self._arcs) // _ARC_WIDTH - 1

    def rotary(self, a: float, b: float, c: float) -> None:
        """From the next move on the rotary axes end at these angles."""
        self._rotary.append((self.rows, a, b, c))

    @property
    def holes(self) -> int:
        """Holes made by cycles so far."""
        return len(self._holes) // 7

    def hole(self, x: float, y: float, z: float, first: int, cycle: int, block: int) -> None:
        """One hole of a canned cycle whose moves began at row `first` and end with the last row written."""
        self._holes.extend((x, y, z, first, self.rows - 1, cycle, block))

    def has_cut_in(self, work_offset: str, first: str) -> bool:
        """Was there a feed move under that work offset, shifted or not. `first` is the offset in force when none is stated."""
        rows = [span.row for span in self.spans] + [self.rows]
        for span, behind in zip(self.spans, rows[1:], strict=True):
            name = span.modal.work_offset.split(" shifted ")[0] or first
            if name == work_offset and self._feeds(span.row, behind):
                return True
        return False

    def _feeds(self, first: int, behind: int) -> bool:
        """Is there a feed move among these rows."""
        self._flush()
        start = 0
        for chunk in self._chunks:
            kinds = chunk["kind"]
            if (kinds[max(first - start, 0) : max(behind - start, 0)] != Kind.RAPID).any():
                return True
            start += len(kinds)
        return False

    def span(self, modal: Modal) -> None:
        """From the next move on the slow modal state is `modal`."""
        if self.spans and self.spans[-1].row == self.rows:
            self.spans.pop()
        if not self.spans or self.spans[-1].modal != modal:
            self.spans.append(Span(self.rows, modal))

    def event(self, kind: str, block: int, **details: Any) -> None:
        """Something rare that happens before the next move."""
        self.events.append(Event(self.rows, kind, block, **details))

    def happens(self, event: Event, block: int, row: int) -> None:
        """`event`, a dwell or a turn of the spindle within a cycle, which block `block` makes before move `row`."""
        direction, seconds = event.direction, event.seconds
        self.events.append(Event(row, event.kind, block, event.code, event.value, seconds=seconds, direction=direction))

    def drilled(self, x0: float, y0: float, x: float, y: float, pattern: "array[float]", block: int, cycle: int) -> None:
        """A hole along Z at x, y, reached from x0, y0; `pattern` as `hole_pattern` gives it."""
        hole, first = self.holes, self.rows
        rows, count = pattern[:], len(pattern) // _WIDTH
        for name, value in (("x", x), ("y", y), ("x0", x), ("y0", y), ("block", block), ("cycle", hole)):
            rows[_AT[name] :: _WIDTH] = array("d", (value,)) * count
        rows[_AT["x0"]], rows[_AT["y0"]] = x0, y0
        self._rows.extend(rows)
        self.rows += count
        self._holes.extend((x, y, self.cycles[cycle].top, first, self.rows - 1, cycle, block))

    def compact(self) -> None:
        """Packs the rows written so far into columns, when there are many: they take less memory there."""
        if len(self._rows) > _MANY * _WIDTH:
            self._flush()

    def _flush(self) -> None:
        if self._rows:
            table = np.frombuffer(self._rows, dtype=np.float64).reshape(-1, _WIDTH)
            self._chunks.append({name: table[:, at].astype(_TYPES.get(name, np.float64)) for at, name in enumerate(_COLUMNS)})
            self._rows = array("d")

    def moves(self) -> Moves:
        """All moves, with the time each takes at its programmed feed."""
        self._flush()
        if not self._chunks:
            self._chunks.append({name: np.zeros(0, dtype=_TYPES.get(name, np.float64)) for name in _COLUMNS})
        columns: dict[str, NDArray[Any]] = {}
        for name in _COLUMNS:
            parts = [chunk.pop(name) for chunk in self._chunks]
            columns[name] = parts[0] if len(parts) == 1 else np.concatenate(parts)
        a, b, c = self._rotary_columns()
        moves = Moves(**columns, arcs=self._arc_columns(), a=a, b=b, c=c)
        _time(moves)
        return moves

    def _arc_columns(self) -> Arcs:
        table = np.array(self._arcs, dtype=np.float64).reshape(-1, _ARC_WIDTH)
        x, y, z, radius, sweep, length = (table[:, at].copy() for at in range(6))
        return Arcs(x, y, z, radius, sweep, length, plane=table[:, 6].astype(np.uint8))

    def _rotary_columns(self) -> tuple[Floats | None, Floats | None, Floats | None]:
        if not self._rotary:
            return None, None, None
        changes = np.array([(0, NAN, NAN, NAN), *self._rotary], dtype=np.float64)
        lengths = np.diff(changes[:, 0], append=self.rows).astype(np.int64)
        a, b, c = (np.repeat(changes[:, at], lengths) for at in (1, 2, 3))
        return a, b, c

    def cycle_holes(self) -> CycleHoles:
        """All holes made by canned cycles."""
        table = np.array(self._holes, dtype=np.float64).reshape(-1, 7)
        whole = [table[:, at].astype(np.int32) for at in range(3, 7)]
        return CycleHoles(table[:, 0].copy(), table[:, 1].copy(), table[:, 2].copy(), *whole)


def _time(moves: Moves) -> None:
    """Fills in seconds from length and feed, and for inverse-time moves the feed from length and seconds."""
    cuts = moves.kind != Kind.RAPID
    inverse = cuts & ~np.isnan(moves.seconds)
    plain = cuts & ~inverse
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        seconds = moves.length[plain] / moves.feed[plain] * 60.0
        seconds[~np.isfinite(seconds)] = NAN
        moves.seconds[plain] = seconds
        feed = moves.length[inverse] / moves.seconds[inverse] * 60.0
        feed[~np.isfinite(feed)] = NAN
        moves.feed[inverse] = feed
