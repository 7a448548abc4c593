"""The interpreted program as plain rows, one a move or event, for people who debug and for tests against other programs.

Positions in program coordinates; what is not known, or does not apply, is left out.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from coolcheck.nc.moves import Event, Execution, Kind, Modal

Row = dict[str, Any]
_KINDS = {Kind.RAPID: "rapid", Kind.FEED: "feed", Kind.ARC_CW: "arc_cw", Kind.ARC_CCW: "arc_ccw"}
_AT_ONCE = 65_536  # rows turned into Python numbers at a time: bounds the memory


def trace(
    execution: Execution, units: str = "mm", rates: Sequence[float] | Callable[[int], float] | None = None
) -> Iterator[Row]:
    """Moves and events in the order they run.

    units : "mm" or "inch", for lengths and feeds
    rates : seconds of each row of moves, or a function of the row, for rapids; without it rapids have no time
    """
    writer = _Writer(execution, 25.4 if units == "inch" else 1.0, rates)
    for number, row in enumerate(writer.rows(), 1):
        yield {"n": number, **row}


class _Writer:
    def __init__(self, execution: Execution, scale: float, rates: Sequence[float] | Callable[[int], float] | None) -> None:
        self._execution = execution
        self._scale = scale
        self._rates = rates
        self._firsts = [0]
        for program in (execution.program, *execution.subprograms):
            self._firsts.append(self._firsts[-1] + len(program))

    def rows(self) -> Iterator[Row]:
        """Every row, without its number."""
        execution = self._execution
        events = iter(execution.events)
        event = next(events, None)
        spans = [*execution.spans[1:], None]
        modal, coming = execution.spans[0].modal, 0
        for row, columns in self._columns():
            while event is not None and event.row <= row:
                yield from self._event(event)
                event = next(events, None)
            while (span := spans[coming]) is not None and span.row <= row:
                modal, coming = span.modal, coming + 1
            yield self._move(row, columns, modal)
        while event is not None:
            yield from self._event(event)
            event = next(events, None)

    def _columns(self) -> Iterator[tuple[int, tuple[Any, ...]]]:
        moves = self._execution.moves
        every = (
            moves.kind,
            moves.x0,
            moves.y0,
            moves.z0,
            moves.x,
            moves.y,
            moves.z,
            moves.feed,
            moves.seconds,
            moves.block,
            moves.arc,
        )
        for low in range(0, len(moves), _AT_ONCE):
            parts = [column[low : low + _AT_ONCE].tolist() for column in every]
            yield from enumerate(zip(*parts, strict=True), low)

    def _move(self, row: int, columns: tuple[Any, ...], modal: Modal) -> Row:
        kind, x0, y0, z0, x, y, z, feed, seconds, block, arc = columns
        written: Row = self._where(block)
        written["kind"] = _KINDS[kind]
        written["from"] = self._point(x0, y0, z0)
        written["to"] = self._point(x, y, z)
        if arc >= 0:
            arcs = self._execution.moves.arcs
            centre = self._point(float(arcs.x[arc]), float(arcs.y[arc]), float(arcs.z[arc]))
            if centre:
                written["center"] = centre
        if kind == Kind.RAPID:
            seconds = self._rapid_seconds(row) if _is_whole(written["from"], written["to"]) else None
        elif feed == feed:
            written["feed"] = _rounded(feed / self._scale)
        if modal.rpm is not None and modal.spindle != "off":
            written["rpm"] = _rounded(modal.rpm)
        if modal.tool is not None:
            written["tool"] = modal.tool
        if seconds is not None and seconds == seconds:
            written["seconds"] = _rounded(seconds)
        return written

    def _rapid_seconds(self, row: int) -> float | None:
        if self._rates is None:
            return None
        return float(self._rates(row) if callable(self._rates) else self._rates[row])

    def _where(self, block: int) -> Row:
        """Line, and the file when it is not the program's own."""
        for index, first in enumerate(self._firsts[1:]):
            if block < first:
                row: Row = {"line": block - self._firsts[index] + 1}
                if index:
                    row["file"] = self._execution.subprograms[index - 1].source.name
                return row
        raise IndexError("no such block")

    def _point(self, x: float, y: float, z: float) -> dict[str, float]:
        return {name: _rounded(value / self._scale) for name, value in (("x", x), ("y", y), ("z", z)) if value == value}

    def _event(self, event: Event) -> Iterator[Row]:
        write = _EVENTS.get(event.kind)
        if write is not None:
            yield {**self._where(event.block), **write(event)}


def _is_whole(start: dict[str, float], end: dict[str, float]) -> bool:
    """Is the way of a move known: no axis that is known at one end only. An axis known at neither has not been moved."""
    return bool(end) and start.keys() == end.keys()


def _rounded(value: float) -> float:
    return round(value, 6) + 0.0  # no minus zero


def _dwell(event: Event) -> Row:
    return {"kind": "dwell", **({"seconds": _rounded(event.seconds)} if event.seconds == event.seconds else {})}


def _tool_change(event: Event) -> Row:
    return {"kind": "tool_change", **({"tool": event.value} if event.value is not None else {})}


def _spindle(event: Event) -> Row:
    row: Row = {"kind": "spindle", "code": event.code, "spindle": event.direction}
    if event.value is not None and event.direction != "off":
        row["rpm"] = _rounded(event.value)
    return row


def _fluid(event: Event) -> Row:
    return {"kind": "fluid", "code": event.code, **({"fluid": event.fluid} if event.fluid else {})}


def _builder(event: Event) -> Row:
    # a word that is there with a value nobody knows is not the same as no word: it is written as null
    words = {letter: value if value == value else None for letter, value in (event.words or {}).items()}
    return {"kind": "m_code", "code": event.code, **({"words": words} if words else {})}


def _stop(event: Event) -> Row:
    return {"kind": "stop", "code": event.code, **({"optional": True} if event.kind == "optional_stop" else {})}


def _end(event: Event) -> Row:
    return {"kind": "end", "code": event.code}


_EVENTS: dict[str, Callable[[Event], Row]] = {
    "dwell": _dwell, "tool_change": _tool_change, "spindle": _spindle, "fluid": _fluid, "m_code": _builder, "stop": _stop,
    "optional_stop": _stop, "end": _end,
}  # fmt: skip
