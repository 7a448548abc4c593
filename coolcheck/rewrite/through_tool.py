"""Through-tool fluid around converted holes: on with its build-up time before the first, off with its decay behind the last."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Event
from coolcheck.rewrite.anchors import anchor
from coolcheck.rewrite.differences import Differences, Removed
from coolcheck.rewrite.draft import STOPS, Draft, marked, spindle_changes, stops_between
from coolcheck.rewrite.fluid_words import code_words, dwell
from coolcheck.rewrite.layout import Layout, Position
from coolcheck.rewrite.recipe import Recipe
from coolcheck.rewrite.refusal import CannotPlan

_ENOUGH = 1e-6  # s


@dataclass(frozen=True)
class Effects:
    """What events do to the through-tool fluid, as the machine record tells it.

    turns_on, turns_off : by its code, for certain; may_end : it may end, by a code or by the machine itself
    """

    turns_on: Callable[[Event], bool]
    turns_off: Callable[[Event], bool]
    may_end: Callable[[Event], bool]


def around(draft: Draft, holes: Sequence[int], recipe: Recipe, effects: Effects) -> None:
    """Plans the fluid of holes that canned cycles make. Raises CannotPlan."""
    runs = groups(draft, holes, effects)
    for group, later in zip(runs, [*runs[1:], None], strict=True):
        _turn_on(draft, group, holes, recipe, effects)
        _turn_off(draft, group, later, holes, recipe, effects)


def groups(draft: Draft, holes: Sequence[int], effects: Effects) -> list[list[int]]:
    """The holes in runs between which nothing ends the fluid, and nothing else is cut that had none."""
    layout, table = draft.layout, draft.layout.execution.cycle_holes
    marks = marked(layout, holes)
    found: list[list[int]] = []
    for hole in sorted(holes, key=lambda hole: int(table.first[hole])):
        _refuse_an_end_in_its_block(layout, hole, effects)
        if found:
            before = layout.after_move(int(table.last[found[-1][-1]]))
            events = layout.between(before, layout.before_move(int(table.first[hole])))
            if not any(effects.may_end(event) for event in events) and not _dry_cut(layout, before.row, marks, effects):
                found[-1].append(hole)
                continue
        found.append([hole])
    return found


def _dry_cut(layout: Layout, row: int, marks: NDArray[np.bool_], effects: Effects) -> bool:
    """Is the next move that is no rapid none of the holes, and made without through-tool fluid: that must stay so."""
    cut = layout.next_cut(row)
    return not marks[cut] and running_since(layout.events, layout.before_move(cut).event, effects) is None


def _refuse_an_end_in_its_block(layout: Layout, hole: int, effects: Effects) -> None:
    """Raises CannotPlan where the block of a hole turns the fluid off before it is drilled."""
    table = layout.execution.cycle_holes
    block, first, last = int(table.block[hole]), int(table.first[hole]), int(table.last[hole])
    for event in layout.events[layout.before_event_at(first) : layout.after_move(last).event]:
        if event.block == block and effects.may_end(event):
            do = f"put {event.code} into a block of its own behind the holes"
            raise CannotPlan(f"{event.code} in the block of a hole turns the fluid off before it is drilled", do, block)


def _turn_on(draft: Draft, group: Sequence[int], holes: Sequence[int], recipe: Recipe, effects: Effects) -> None:
    layout, table, pen = draft.layout, draft.layout.execution.cycle_holes, draft.pen
    start = layout.before_move(int(table.first[group[0]]))
    running, gone = running_since(layout.events, start.event, effects), None
    if running is not None and layout.events[running].block == int(table.block[group[0]]):
        # a code in the block of the hole leaves no place for the time of its pressure: it comes before that block
        taken_out(
            draft, running, f"{layout.events[running].code} comes before the cycle of {recipe.name}, with time for its pressure"
        )
        gone, running = running, None
    waits = dwells(layout.events[running + 1 : start.event]) if running is not None else 0.0
    missing = recipe.build_up - waits
    if running is not None and missing <= _ENOUGH:
        return
    marks = marked(layout, holes)
    said_there = layout.events[gone] if gone is not None else None

    def leads_to_holes(moment: Position) -> bool:
        cut = layout.next_cut(moment.row)
        if not marks[cut] or not layout.may_wait(moment):
            return False
        events = layout.between(moment, layout.before_move(cut))
        late = any(effects.may_end(event) or (effects.turns_on(event) and event is not said_there) for event in events)
        return not late and not (recipe.needs_spindle and spindle_changes(events))

    blocks = [] if running is not None else [(code_words(pen, recipe.on), recipe.on)]
    if missing > _ENOUGH:
        blocks.append(dwell(pen, missing))
    reason = f"through-tool fluid before the first hole of {recipe.name}, and time for its pressure"
    draft.insert(anchor(layout, start, leads_to_holes, in_time=True), blocks, reason)


def taken_out(draft: Draft, index: int, reason: str) -> None:
    """An event that a code makes goes, with its words. Raises CannotPlan when they cannot go alone."""
    layout, pen = draft.layout, draft.pen
    event = layout.events[index]
    if not layout.is_own(event.block) or len(layout.stays(event.block)) != 1 or layout.is_repeated(event.block):
        do = f"put {event.code} into a block of its own that runs once, before the holes"
        raise CannotPlan(f"{event.code} runs more than once: it cannot be taken out", do, event.block)
    block = layout.program.block(event.block)
    words = [word for word in block.words if word.letter == "M" and word.value == float(event.code[1:])]
    if len(words) != 1:
        do = f"put {event.code} into a block of its own, before the holes"
        raise CannotPlan(f"it cannot be told which word says {event.code}", do, event.block)
    words += [word for word in block.words if word.letter in event.words]
    removed = (Removed(index, event.code, pen.mend, pen.tool),)
    draft.add(pen.without(block, words, reason), Differences(removed=removed))


def _turn_off(
    draft: Draft, group: Sequence[int], later: Sequence[int] | None, holes: Sequence[int], recipe: Recipe, effects: Effects
) -> None:
    """Off behind the holes; where the fluid ran before they came, behind the last cut that had it.

    later : the next run of holes; where it is drilled with that same fluid, before the next stop, it goes off behind that one
    """
    layout, pen, events = draft.layout, draft.pen, draft.layout.events
    last = layout.after_hole(group[-1])
    stop = next((i for i in range(last.event, len(events)) if events[i].kind in STOPS), len(events))
    pause = layout.before_event(stop) if stop < len(events) else layout.end
    cut = layout.last_cut(last.row)
    if running_since(events, last.event, effects) is not None:
        cut = layout.last_cut(pause.row)
        if later is not None and int(layout.execution.cycle_holes.first[later[0]]) <= cut:
            return
    off = next_off(events, last.event, layout.next_cut(cut + 1), effects)
    waits = 0.0 if off is None else dwells(events[off:stop])
    missing = recipe.decay - waits
    if off is not None and missing <= _ENOUGH:
        return
    moment = layout.clear_of(cut, pause) if off is None else layout.after_event(off)
    refuse_if_on_again(layout, moment.event, stop, effects)

    def follows(found: Position) -> bool:
        is_behind = layout.last_cut(found.row) == cut or bool(marked(layout, holes)[layout.last_cut(found.row)])
        is_late = off is None or found.event > off
        return is_behind and is_late and layout.may_wait(found) and not stops_between(layout, _after(layout, found), found)

    blocks = [] if off is not None else [(code_words(pen, recipe.off), recipe.off)]
    if missing > _ENOUGH:
        blocks.append(dwell(pen, missing))
    before = pause_named(events, stop)
    reason = f"time for the through-tool fluid of {recipe.name} to run out before {before}"
    if off is None:
        reason = f"through-tool fluid off behind the holes of {recipe.name}, and time to run out before {before}"
    draft.insert(anchor(layout, moment, follows), blocks, reason)


def pause_named(events: Sequence[Event], stop: int) -> str:
    """What comes at a stop, in words: the fluid must have run out by then."""
    if stop >= len(events) or events[stop].kind == "end":
        return "the end of the program"
    return "the tool change" if events[stop].kind == "tool_change" else f"the stop {events[stop].code}"


def refuse_if_on_again(layout: Layout, first: int, stop: int, effects: Effects) -> None:
    """Raises CannotPlan where the fluid comes on once more between event `first` and a stop, and stays on."""
    events = layout.events[:stop]
    on = next((index for index in range(stop - 1, first - 1, -1) if effects.turns_on(events[index])), None)
    if on is None or stop == len(layout.events) or next_off(events, on, len(layout.execution.moves), effects) is not None:
        return
    says = (
        f"{events[on].code} behind the holes turns the fluid on again, and nothing turns it off before {layout.events[stop].code}"
    )
    do = f"turn the fluid off before {layout.events[stop].code}, or take {events[on].code} out"
    raise CannotPlan(says, do, events[on].block)


def _after(layout: Layout, moment: Position) -> Position:
    """The moment right after the last cut before a moment."""
    cut = layout.last_cut(moment.row)
    return layout.after_move(cut) if cut >= 0 else Position(0, 0)


def running_since(events: Sequence[Event], before: int, effects: Effects) -> int | None:
    """The event that turned the fluid on, if it is on before event `before`."""
    found = None
    for index in range(before):
        if effects.turns_on(events[index]):
            found = index if found is None else found
        elif effects.may_end(events[index]):
            found = None
    return found


def next_off(events: Sequence[Event], first: int, cut: int, effects: Effects) -> int | None:
    """The event from `first` on that turns the fluid off by its code, before the tool changes, a stop or another cut."""
    for index in range(first, len(events)):
        event = events[index]
        if event.row > cut or event.kind in ("tool_change", "stop", "optional_stop", "end"):
            return None
        if effects.turns_off(event):
            return index
    return None


def dwells(events: Sequence[Event]) -> float:
    """Seconds of the dwells among them."""
    return sum(event.seconds for event in events if event.kind == "dwell")
