"""Another spindle speed for a stretch of holes, and for nothing else: the S word is changed where it serves no other cut,
else a speed comes in before the holes and the old one behind them."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.blocks import Word
from coolcheck.rewrite.anchors import anchor
from coolcheck.rewrite.differences import Differences, Said, Speed
from coolcheck.rewrite.draft import Draft, spindle_changes, stops_between
from coolcheck.rewrite.layout import Position
from coolcheck.rewrite.refusal import CannotPlan


@dataclass(frozen=True, slots=True)
class Stretch:
    """Holes in a row, without another cut between them: rows of the first and the last move, and which moves are theirs."""

    first: int
    last: int
    marks: NDArray[np.bool_]


def change_speed(draft: Draft, stretch: Stretch, rpm: float, reason: Callable[[float, float], str], *, is_told: bool) -> None:
    """Plans `rpm` for the stretch; `reason` puts the old and the new speed into words. Raises CannotPlan.

    is_told : the holes are drilled at it, so a person must hear of it
    """
    was = draft.layout.execution.modal(_first_cut(draft, stretch)).rpm
    if was is None:
        raise CannotPlan("the spindle speed of these holes is not known")
    if was == rpm or _is_changed(draft, stretch, rpm):
        return
    _refuse_restated_speed(draft, stretch)
    why = reason(was, rpm)
    told = why if is_told else ""
    if not _in_place(draft, stretch, was, rpm, why, told):
        _around(draft, stretch, was, rpm, why, told)


def _is_changed(draft: Draft, stretch: Stretch, rpm: float) -> bool:
    """Does a speed changed for holes before serve these too: an M3 between them that states none parts them, no more."""
    return any(speed.rpm == rpm and speed.row <= stretch.first < speed.until_row for speed in draft.differences.speeds)


def _refuse_restated_speed(draft: Draft, stretch: Stretch) -> None:
    """Raises CannotPlan for an S word that states the speed in force once more: beside a new speed it would take effect."""
    layout, events = draft.layout, draft.layout.events
    start = layout.before_move(stretch.first).event
    change = next((event.block for event in events[start:] if event.kind == "tool_change"), len(layout.program))
    low = layout.block_at(stretch.first)
    said = {event.block for event in events if event.kind == "spindle"}
    for index in range(low, change if low <= change <= len(layout.program) else low):
        word = layout.program.block(index).word("S") if layout.is_own(index) and index not in said else None
        if word is not None:
            says = f"{draft.pen.written(word)} is stated once more, though that speed holds already"
            raise CannotPlan(says, "take that S word out", index)


def _first_cut(draft: Draft, stretch: Stretch) -> int:
    return draft.layout.next_cut(stretch.first)


def _in_place(draft: Draft, stretch: Stretch, was: float, rpm: float, reason: str, told: str) -> bool:
    """Changes the S word itself, when it and nothing else sets the speed of these holes and of no other cut."""
    layout = draft.layout
    start = layout.before_move(stretch.first)
    index = next((i for i in range(start.event - 1, -1, -1) if _speed_word(draft, i) is not None), None)
    if index is None:
        return False
    event, word = layout.events[index], _speed_word(draft, index)
    assert word is not None
    once = len(layout.stays(event.block)) == 1 and not layout.is_repeated(event.block)
    if not once or event.value != was or word.value != was or layout.last_cut(stretch.first) >= event.row:
        return False
    end = _until(draft, start, was)
    cuts = layout.execution.moves.kind[event.row : end.row] != 0
    if (cuts & ~stretch.marks[event.row : end.row]).any() or end.row <= stretch.last:
        return False
    speed = Speed(index, event.row, end.event, end.row, was, rpm, draft.pen.tool)
    draft.add([replace(draft.pen.revalued(word, rpm, reason), told=told)], Differences(speeds=(speed,)))
    return True


def _until(draft: Draft, start: Position, was: float) -> Position:
    """The moment at which the program states a speed again: by a spindle event with an S word, or seen by another speed."""
    layout = draft.layout
    events = range(start.event, len(layout.events))
    stated = next((i for i in events if _speed_word(draft, i) is not None), len(layout.events))
    other = next((i for i in events if layout.events[i].kind == "spindle" and layout.events[i].value not in (None, was)), stated)
    index = min(stated, other)
    row = layout.events[index].row if index < len(layout.events) else layout.end.row
    spans = (span.row for span in layout.execution.spans if span.row > start.row and span.modal.rpm != was)
    return Position(index, min(row, next(spans, row)))


def _speed_word(draft: Draft, index: int) -> Word | None:
    """The S word of the block of a spindle event, when it is written as a number in the program's own file."""
    event = draft.layout.events[index]
    if event.kind != "spindle" or event.value is None or not draft.layout.is_own(event.block):
        return None
    word = draft.layout.program.block(event.block).word("S")
    return word if word is not None and word.value is not None else None


def _around(draft: Draft, stretch: Stretch, was: float, rpm: float, reason: str, told: str) -> None:
    """A speed before the first hole, the old one behind the last."""
    layout, habits = draft.layout, draft.pen.habits

    def leads_to_holes(moment: Position) -> bool:
        cut = layout.next_cut(moment.row)
        events = layout.between(moment, layout.before_move(cut)) if cut < len(layout.execution.moves) else ()
        return bool(stretch.marks[cut]) and not spindle_changes(events)

    def follows_holes(moment: Position) -> bool:
        cut = layout.last_cut(moment.row)
        return cut >= 0 and bool(stretch.marks[cut]) and not stops_between(layout, layout.after_move(cut), moment)

    on = anchor(layout, layout.before_move(stretch.first), leads_to_holes, in_time=True)
    off = anchor(layout, layout.after_move(stretch.last), follows_holes)
    if len(on.moments) != len(off.moments):
        raise CannotPlan("there is no place for a spindle speed that runs once before these holes and once behind them")
    draft.insert(on, [([habits.word("S", rpm)], Said("S", value=rpm))], reason, told=told)
    draft.insert(off, [([habits.word("S", was)], Said("S", value=was))], "the spindle speed as it was")
    speeds = tuple(
        Speed(a.event, a.row, b.event, b.row, was, rpm, draft.pen.tool) for a, b in zip(on.moments, off.moments, strict=True)
    )
    draft.add([], Differences(speeds=speeds))
