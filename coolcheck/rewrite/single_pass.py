"""Peck cycles become plain cycles: no peck words, feed and speed of the record, through-tool fluid around the holes."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from coolcheck.nc.blocks import Block, Word
from coolcheck.rewrite.anchors import anchor
from coolcheck.rewrite.differences import FEED, RAPID, Differences, OnePass, Step
from coolcheck.rewrite.draft import Draft, marked
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.fluid_words import feed_number, feed_of_number
from coolcheck.rewrite.layout import Position, is_call
from coolcheck.rewrite.programmed import feed_change, feed_word_there, speed_change
from coolcheck.rewrite.recipe import Recipe
from coolcheck.rewrite.refusal import CannotPlan
from coolcheck.rewrite.series import Series, cycle_word, series_of
from coolcheck.rewrite.speeds import Stretch, change_speed
from coolcheck.rewrite.through_tool import Effects, around

PLAIN, PLAIN_WITH_DWELL = 81, 82


def plan_cycles(draft: Draft, holes: Sequence[int], recipe: Recipe, effects: Effects) -> None:
    """Plans the conversion of these canned-cycle holes, all of one tool. Raises CannotPlan."""
    layout = draft.layout
    refuse_unknown_places(draft, holes)
    marks = marked(layout, holes)
    rpm = wanted_rpm(draft, holes, recipe)
    refed = [hole for series in series_of(layout, holes) for hole in _without_pecks(draft, series, recipe, rpm)]
    restore_feed(draft, refed)
    if rpm is not None:
        for first, last in stretches(draft, holes):
            change_speed(draft, Stretch(first, last, marks), rpm, partial(speed_change, recipe), is_told=True)
    around(draft, holes, recipe, effects)


def refuse_unknown_places(draft: Draft, holes: Sequence[int]) -> None:
    """Raises CannotPlan when the place of a hole, or the way to it, is not known."""
    execution = draft.layout.execution
    moves, table = execution.moves, execution.cycle_holes
    for hole in holes:
        rows = slice(int(table.first[hole]), int(table.last[hole]) + 1)
        axis = execution.cycles[int(table.cycle[hole])].axis
        known = [moves.x[rows], moves.y[rows], moves.z[rows], getattr(moves, axis + "0")[rows]]
        if any(np.isnan(column).any() for column in known):
            block = int(table.block[hole])
            raise CannotPlan("where a hole lies, or the tool comes from, is not known", _how_to_place(draft, block), block)


def _how_to_place(draft: Draft, block: int) -> str:
    """What makes the place of a hole known: most often the work offset has changed since its axes were stated."""
    offsets = [event.code for event in draft.layout.events if event.kind == "work_offset" and event.block == block]
    if offsets:
        return f"end the cycle with G80 before {offsets[0]}, and start it again behind it with X, Y and Z stated in full"
    return "state X, Y and Z in full, absolute, before the cycle"


def wanted_rpm(draft: Draft, holes: Sequence[int], recipe: Recipe) -> float | None:
    """The speed to set, or None when all the holes are drilled near the record's speed already."""
    speeds = [_rpm(draft, hole) for hole in holes]
    if all(speed is not None and recipe.is_near(speed, recipe.rpm) for speed in speeds):
        return None
    return float(int(recipe.rpm + 1e-6))


def stretches(draft: Draft, holes: Sequence[int]) -> list[tuple[int, int]]:
    """First and last moves of runs of holes between which nothing else is cut, and the spindle is not touched."""
    layout, table = draft.layout, draft.layout.execution.cycle_holes
    marks = marked(layout, holes)
    found: list[tuple[int, int]] = []
    for hole in sorted(holes, key=lambda hole: int(table.first[hole])):
        first, last = int(table.first[hole]), int(table.last[hole])
        if found:
            between = layout.between(layout.after_move(found[-1][1]), layout.before_move(first))
            is_touched = any(event.kind in ("spindle", "tool_change") for event in between)
            if marks[layout.next_cut(found[-1][1] + 1)] and not is_touched:
                found[-1] = (found[-1][0], last)
                continue
        found.append((first, last))
    return found


def _rpm(draft: Draft, hole: int) -> float | None:
    return draft.layout.execution.modal(first_stroke(draft, hole)).rpm


def first_stroke(draft: Draft, hole: int) -> int:
    """The first feed move of a hole."""
    return draft.layout.next_cut(int(draft.layout.execution.cycle_holes.first[hole]))


def _without_pecks(draft: Draft, series: Series, recipe: Recipe, rpm: float | None) -> tuple[int, ...]:
    """Plans one series; gives its holes when they get another feed."""
    execution, pen, program = draft.layout.execution, draft.pen, draft.layout.program
    cycles = [execution.cycles[int(execution.cycle_holes.cycle[hole])] for hole in series.holes]
    code = PLAIN_WITH_DWELL if any(cycle.dwell > 0 for cycle in cycles) else PLAIN
    reason = f"{recipe.name} drills in one pass: its record and the whole fluid chain allow it"
    number = wanted_feed(draft, series.holes, recipe, rpm)
    start = program.block(series.block)
    word = cycle_word(start)
    assert word is not None
    draft.add([pen.recoded(word, code, reason)])
    has_i = any(program.block(index).word("I") is not None for index in series.blocks)
    for index in series.blocks:
        draft.edits += _words_gone(draft, word, has_i, program.block(index), code, reason)
    if number is not None:
        _feeds(draft, series, number, recipe)
    draft.add([], Differences(holes=tuple(_one_pass(draft, hole, recipe, number, rpm) for hole in series.holes)))
    return series.holes if number is not None else ()


def wanted_feed(draft: Draft, holes: Sequence[int], recipe: Recipe, rpm: float | None) -> float | None:
    """The F word to set for all the holes, or None when each is fed near the record's feed already."""
    execution = draft.layout.execution
    near = True
    modals = set()
    for hole in holes:
        row = first_stroke(draft, hole)
        modal = execution.modal(row)
        modals.add((modal.units, modal.feed_mode))
        speed = rpm if rpm is not None else modal.rpm
        if speed is None or modal.feed_mode == 93:
            raise CannotPlan("the feed of these holes depends on what is not known")
        feed = float(execution.moves.feed[row]) * (speed / modal.rpm if modal.feed_mode == 95 and modal.rpm else 1.0)
        near = near and recipe.is_near(feed / speed, recipe.per_turn)
    if near:
        return None
    if len(modals) > 1:
        raise CannotPlan("one cycle block runs in different units or feed modes")
    row = first_stroke(draft, holes[0])
    speed = rpm if rpm is not None else execution.modal(row).rpm
    assert speed is not None
    return feed_number(execution, row, recipe.per_turn, speed)


def _words_gone(draft: Draft, start: Word, has_i: bool, block: Block, code: int, reason: str) -> list[Edit]:
    """Peck words out of a block; the dwell word too where the new cycle has none."""
    letters = peck_letters(draft, start, has_i, block)
    has_dwell_code = any(word.letter == "G" and word.value == 4 for word in block.words)
    has_misc = any(word.letter == "M" for word in block.words)
    if code == PLAIN and not has_dwell_code and not has_misc:
        letters |= {"P"}
    gone = [word for word in block.words if word.letter in letters]
    return draft.pen.without(block, gone, reason) if gone else []


def peck_letters(draft: Draft, start: Word, has_i: bool, block: Block) -> set[str]:
    """The letters in this block that say how the cycle begun by `start` pecks; `has_i`: an I stands somewhere in its series."""
    forms = draft.layout.program.dialect.meaning.peck_words
    letters = {"Q"}
    if "ijk" in forms and has_i:
        return letters | {"I", "J", "K"}
    word = block.word("K")
    if start.value == 73 and "qk" in forms and word is not None:
        if word.value is None:
            raise CannotPlan("it cannot be told whether this K repeats the cycle or says how it pecks", block=block.index)
        if word.has_point or word.value != round(word.value):
            letters.add("K")
    return letters


def _feeds(draft: Draft, series: Series, number: float, recipe: Recipe) -> None:
    """The new feed in every F word of the series, and in its first block when that has none."""
    program, pen = draft.layout.program, draft.pen
    now = pen.habits.word("F", number)
    for index in series.blocks:
        block = program.block(index)
        word = block.word("F")
        if word is not None and not is_call(block):
            told = feed_change(recipe, pen.written(word), now)
            draft.add([replace(pen.revalued(word, number, told), told=told)])
    start = program.block(series.block)
    if start.word("F") is None:
        was = feed_word_there(draft.layout.execution, first_stroke(draft, series.holes[0]))
        told = feed_change(recipe, pen.habits.word("F", was, digits=6), now)
        draft.add([replace(pen.with_word(start, now, told), told=told)])


def restore_feed(draft: Draft, holes: Sequence[int]) -> None:
    """The old feed behind holes that state another one, when the next cut would take it over without saying so."""
    layout, execution = draft.layout, draft.layout.execution
    marks = marked(layout, holes)
    for hole in holes:
        last = int(execution.cycle_holes.last[hole])
        cut = layout.next_cut(last + 1)
        if cut >= len(execution.moves) or marks[cut]:
            continue
        if execution.moves.feed[cut] != execution.moves.feed[first_stroke(draft, hole)]:
            continue  # another feed was stated in between
        block = layout.block_at(cut)
        if layout.is_own(block) and layout.program.block(block).word("F") is not None:
            continue
        modal = execution.modal(cut)
        scale = (25.4 if modal.units == 20 else 1.0) * (modal.rpm or 1.0 if modal.feed_mode == 95 else 1.0)
        number = round(float(execution.moves.feed[cut]) / scale, 6)

        def is_behind(moment: Position, last: int = last) -> bool:
            return moment.row == last + 1

        place = anchor(layout, layout.after_move(last), is_behind)
        draft.add([place.insertion(draft.pen, [[draft.pen.habits.word("F", number, digits=6)]], "the feed as it was")])


def _one_pass(draft: Draft, hole: int, recipe: Recipe, number: float | None, rpm: float | None) -> OnePass:
    """The declared hole: one feed stroke to the bottom, and the way out that it had."""
    execution = draft.layout.execution
    table = execution.cycle_holes
    cycle = execution.cycles[int(table.cycle[hole])]
    row, last = first_stroke(draft, hole), int(table.last[hole])
    modal = execution.modal(row)
    speed = rpm if rpm is not None else modal.rpm
    assert speed is not None
    if number is not None:
        feed = feed_of_number(execution, row, number, speed)
    else:
        feed = float(execution.moves.feed[row])
        if modal.feed_mode == 95 and modal.rpm:
            feed *= speed / modal.rpm
    out = float(getattr(execution.moves, cycle.axis)[last])
    return OnePass(hole, recipe.tool, True, (Step(FEED, cycle.bottom, feed), Step(RAPID, out)))
