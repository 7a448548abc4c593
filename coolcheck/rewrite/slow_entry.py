"""Long drills: each hole written out. Slowly in, fluid on, speed up, wait for both, drill, back into the pilot, slow down, out,
fluid off.

The drill slows down where the pilot still guides it, and not at the bottom: there its edges would rub, which hardens materials
that harden. Behind the bottom it comes up by rapid to the height at which it entered, waits there until the spindle is slow, and
only then leaves its guide.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from coolcheck.nc.blocks import Block, Word
from coolcheck.rewrite.anchors import anchor
from coolcheck.rewrite.differences import CODE, FEED, RAPID, Differences, OnePass, Said, Step
from coolcheck.rewrite.draft import STOPS, Draft, marked, stops_between
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.fluid_words import code_words, dwell, feed_number, feed_of_number
from coolcheck.rewrite.layout import Layout, Position, is_call
from coolcheck.rewrite.programmed import feed_change, feed_word_there, speed_change
from coolcheck.rewrite.recipe import Recipe, SlowEntry
from coolcheck.rewrite.refusal import CannotPlan
from coolcheck.rewrite.series import cycle_word, series_of
from coolcheck.rewrite.single_pass import first_stroke, refuse_unknown_places, restore_feed, stretches, wanted_feed
from coolcheck.rewrite.speeds import Stretch, change_speed
from coolcheck.rewrite.through_tool import Effects, dwells, pause_named, refuse_if_on_again, running_since, taken_out

_CYCLE_LETTERS = frozenset("RQIJKPFL")
_SAME = 1e-6  # mm
DIGITS = 7  # behind the point, for heights that must come out as they were


@dataclass(frozen=True, slots=True)
class Way:
    """How a block gets to its hole and out: `legs` in order, "plane" or "axis"; heights in mm."""

    legs: tuple[str, ...]
    start: float
    top: float
    entry: float
    bottom: float
    out: float
    dwell: float
    axis: str


def plan_slow_entries(draft: Draft, holes: Sequence[int], recipe: Recipe, effects: Effects) -> None:
    """Plans the conversion of holes of a drill that needs a pilot. Raises CannotPlan."""
    entry = recipe.entry
    assert entry is not None
    layout, execution = draft.layout, draft.layout.execution
    refuse_unknown_places(draft, holes)
    marks = marked(layout, holes)
    rpm = float(int(recipe.rpm + 1e-6))
    now = execution.modal(first_stroke(draft, holes[0])).rpm
    if now is not None and recipe.is_near(now, recipe.rpm):
        rpm = now
    for series in series_of(layout, holes):
        number = wanted_feed(draft, series.holes, recipe, rpm)
        hole_blocks = {int(execution.cycle_holes.block[hole]) for hole in series.holes}
        for index in sorted({series.block, *hole_blocks}):
            here = [hole for hole in series.holes if int(execution.cycle_holes.block[hole]) == index]
            feed = feed_word_there(execution, first_stroke(draft, (here or series.holes)[0])) if number is None else number
            _write_out(draft, index, here, recipe, entry, rpm, feed)
    restore_feed(draft, holes)
    for first, last in stretches(draft, holes):
        change_speed(draft, Stretch(first, last, marks), entry.speed, partial(_entry_speed, recipe), is_told=False)
    _off_until_in_the_pilot(draft, holes, recipe, effects)
    _run_out(draft, holes, recipe, effects)


def _entry_speed(recipe: Recipe, was: float, now: float) -> str:
    return f"spindle speed of {recipe.name} from S{was:g} to S{now:g} on the way into its pilot, its record's entry speed"


def _told(draft: Draft, hole: int, recipe: Recipe, rpm: float, feed: float) -> str:
    """What becomes of the programmed speed and feed where a written-out hole is drilled; nothing where they stay."""
    execution, pen = draft.layout.execution, draft.pen
    row = first_stroke(draft, hole)
    speed, was = execution.modal(row).rpm, feed_word_there(execution, row)
    told = [] if speed is None or speed == rpm else [speed_change(recipe, speed, rpm)]
    if abs(was - feed) > _SAME:
        told.append(feed_change(recipe, pen.habits.word("F", was, digits=6), pen.habits.word("F", feed, digits=6)))
    return "; ".join(told)


def _write_out(draft: Draft, index: int, holes: Sequence[int], recipe: Recipe, entry: SlowEntry, rpm: float, feed: float) -> None:
    """The block keeps its position and modal words; what the cycle did comes behind it, block by block."""
    layout, pen = draft.layout, draft.pen
    block = layout.program.block(index)
    reason = f"{recipe.name} needs a slow entry into its pilot: its holes are written out, each in one pass"
    if any(word.letter in "LK" and not _is_peck_word(draft, block, word.letter) for word in block.words):
        raise CannotPlan("a repeated cycle block cannot be written out for a slow entry", block=index)
    ways = [_way(draft, hole, recipe, entry) for hole in holes]
    if any(not _alike(way, ways[0]) for way in ways):
        raise CannotPlan("the holes of this block differ each time it runs: they cannot be written out once", block=index)
    way = ways[0] if ways else None
    behind = _said_behind(draft, block) if way is not None else []
    draft.add(_emptied(draft, block, way, behind, reason))
    if way is None:
        return
    writer = _Writer(draft, holes[0], way.start)
    if way.legs == ("axis",) and cycle_word(block) is not None:
        draft.add([pen.with_word(block, writer.height(way.top), reason)])
    elif way.legs[:2] == ("axis", "plane"):
        draft.add([pen.before(index, [[writer.code(0), writer.height(way.top)]], reason)])
    elif "axis" in way.legs:
        writer.line(writer.code(0), writer.height(way.top))
    _hole_lines(writer, way, recipe, entry, rpm, feed)
    declared = tuple(OnePass(hole, recipe.tool, False, tuple(writer.steps)) for hole in holes)
    for word in behind:
        writer.line(pen.written(word))
    told = _told(draft, holes[0], recipe, rpm, feed)
    lines = replace(pen.behind(index, writer.lines, f"{reason}; {told}" if told else reason), told=told)
    draft.add([lines], Differences(holes=declared))


def _hole_lines(writer: "_Writer", way: Way, recipe: Recipe, entry: SlowEntry, rpm: float, feed: float) -> None:
    """Slowly into the pilot, fluid on, speed up, wait for both, drill, back into the pilot, slow down, out, fluid off."""
    execution, row = writer.draft.layout.execution, writer.row
    slow = feed_number(execution, row, entry.feed / entry.speed, entry.speed)
    writer.feed(way.entry, slow, entry.speed, digits=3)
    guided = writer.at
    writer.say(code_words(writer.pen, recipe.on), recipe.on)
    writer.speed(rpm, entry.speed)
    writer.say(*dwell(writer.pen, recipe.wait(speeds_up=rpm != entry.speed)))
    writer.feed(way.bottom, feed, rpm)
    if way.dwell > 0:
        writer.line(*dwell(writer.pen, way.dwell)[0])
    if rpm != entry.speed:
        writer.rapid(guided)
        writer.speed(entry.speed, rpm)
        writer.say(*dwell(writer.pen, entry.run_up))
    writer.rapid(way.out)
    writer.say(code_words(writer.pen, recipe.off), recipe.off)


class _Writer:
    """Writes the blocks of one hole and, beside them, the steps they are declared to be. `at` is the height so far [mm]."""

    def __init__(self, draft: Draft, hole: int, start: float) -> None:
        self.draft, self.pen = draft, draft.pen
        self.row = first_stroke(draft, hole)
        modal = draft.layout.execution.modal(self.row)
        self._scale = 25.4 if modal.units == 20 else 1.0
        self._is_absolute = modal.distance == 90
        table = draft.layout.execution.cycle_holes
        self._letter = draft.layout.execution.cycles[int(table.cycle[hole])].axis.upper()
        self.at = start
        self.lines: list[list[str]] = []
        self.steps: list[Step] = []

    def code(self, number: int) -> str:
        """A G code."""
        return self.pen.habits.word("G", number)

    def height(self, to: float, digits: int = DIGITS) -> str:
        """The word that leads to a height; with few digits, to one close by. `at` is where it really leads."""
        base = 0.0 if self._is_absolute else self.at
        number = round((to - base) / self._scale, digits)
        self.at = base + number * self._scale
        if digits == DIGITS and abs(self.at - to) > _SAME:
            raise CannotPlan("a height of this hole cannot be written with so few digits")
        return self.pen.habits.word(self._letter, number, digits=digits)

    def line(self, *words: str) -> None:
        """A block that changes nothing the steps tell."""
        self.lines.append(list(words))

    def feed(self, to: float, number: float, rpm: float, digits: int = DIGITS) -> None:
        """A feed stroke."""
        self.lines.append([self.code(1), self.height(to, digits), self.pen.habits.word("F", number, digits=6)])
        self.steps.append(Step(FEED, self.at, feed_of_number(self.draft.layout.execution, self.row, number, rpm)))

    def rapid(self, to: float) -> None:
        """A way out, or a part of it."""
        self.lines.append([self.code(0), self.height(to)])
        self.steps.append(Step(RAPID, self.at))

    def say(self, words: list[str], said: Said) -> None:
        """A code, or a dwell."""
        self.lines.append(words)
        self.steps.append(Step(CODE, said=said))

    def speed(self, rpm: float, was: float) -> None:
        """Another spindle speed."""
        if rpm != was:
            self.say([self.pen.habits.word("S", rpm)], Said("S", value=rpm))


def _is_peck_word(draft: Draft, block: Block, letter: str) -> bool:
    """K may say how a cycle pecks; what else repeats it cannot be written out."""
    return letter == "K" and "ijk" in draft.layout.program.dialect.meaning.peck_words and block.word("I") is not None


def _way(draft: Draft, hole: int, recipe: Recipe, entry: SlowEntry) -> Way:
    execution = draft.layout.execution
    moves, table = execution.moves, execution.cycle_holes
    cycle = execution.cycles[int(table.cycle[hole])]
    first, last, stroke = int(table.first[hole]), int(table.last[hole]), first_stroke(draft, hole)
    along, along_start = getattr(moves, cycle.axis), getattr(moves, cycle.axis + "0")
    legs = tuple("axis" if abs(along[row] - along_start[row]) > _SAME else "plane" for row in range(first, stroke))
    block = int(table.block[hole])
    pilot = recipe.pilot_bottom(hole)
    if pilot is None:
        raise CannotPlan("no pilot stands in this hole before the drill comes", block=block)
    level = round(pilot + entry.short_of, 3)
    if not cycle.bottom < level < cycle.top:
        says = "the pilot of this hole does not suit a slow entry: it is too shallow, or deeper than the hole"
        raise CannotPlan(says, block=block)
    start = float(along_start[first]) if stroke > first else cycle.top
    return Way(legs, start, cycle.top, level, cycle.bottom, float(along[last]), cycle.dwell, cycle.axis)


def _alike(a: Way, b: Way) -> bool:
    pairs = [(a.top, b.top), (a.entry, b.entry), (a.bottom, b.bottom), (a.out, b.out), (a.dwell, b.dwell)]
    if "axis" in a.legs:
        pairs.append((a.start, b.start))
    return a.legs == b.legs and a.axis == b.axis and all(abs(x - y) <= _SAME for x, y in pairs)


def _said_behind(draft: Draft, block: Block) -> list[Word]:
    """The codes of a block that act when its hole is done: they follow the hole that is written out."""
    if is_call(block):
        do = "put the call, or the return, into a block of its own behind the hole"
        raise CannotPlan("a hole whose block calls a subprogram, or returns, cannot be written out", do, block.index)
    table = draft.layout.program.dialect.meaning.m_codes
    words = [word for word in block.words if word.letter == "M" and word.value is not None and word.value == int(word.value)]
    behind = [word for word in words if (row := table.get(int(word.value or 0))) is not None and row.after_move]
    codes = {f"M{int(word.value or 0)}" for word in behind}
    for event in draft.layout.events:
        if event.block != block.index or event.code not in codes:
            continue
        if event.words:
            do = f"put {event.code} with its words into a block of its own behind the hole"
            raise CannotPlan(f"it cannot be told which words of this block belong to {event.code}", do, block.index)
        if event.kind in STOPS:
            do = f"put {event.code} into a block of its own behind the hole"
            raise CannotPlan(f"{event.code} in the block of a hole leaves the fluid no time to run out", do, block.index)
    return behind


def _emptied(draft: Draft, block: Block, way: Way | None, behind: Sequence[Word], reason: str) -> list[Edit]:
    """The block without its cycle: G0 in place of the cycle code, no heights, no peck words, no feed, nothing said behind it."""
    axis = way.axis.upper() if way else "Z"
    letters = _CYCLE_LETTERS | {axis}
    if way is None or "plane" not in way.legs:
        letters |= set("XYZ")  # the tool is there already
    if any(word.letter == "G" and word.value == 4 for word in block.words):
        return []
    words = [word for word in block.words if word.letter in letters or word in behind]
    edits = draft.pen.without(block, words, reason) if words else []
    start = cycle_word(block)
    if start is not None:
        edits.append(draft.pen.recoded(start, 0, reason))
    return edits


def _off_until_in_the_pilot(draft: Draft, holes: Sequence[int], recipe: Recipe, effects: Effects) -> None:
    """A code that turns the fluid on before the first hole goes: the fluid comes when the drill is in its pilot."""
    layout = draft.layout
    first = layout.before_move(int(layout.execution.cycle_holes.first[holes[0]]))
    if running_since(layout.events, first.event, effects) is None:
        return
    _refuse_if_other_cuts_follow(draft, holes)
    reason = f"the fluid of {recipe.name} comes when it is in its pilot"
    for index in range(first.event):
        event = layout.events[index]
        if not effects.turns_on(event):
            continue
        if any(effects.may_end(e) for e in layout.events[index + 1 : first.event]):
            continue
        taken_out(draft, index, reason)


def _refuse_if_other_cuts_follow(draft: Draft, holes: Sequence[int]) -> None:
    """What the tool cuts besides would lose the fluid that it had from before the holes."""
    layout = draft.layout
    last = max(int(layout.execution.cycle_holes.last[hole]) for hole in holes)
    stop = next((e.row for e in layout.events[layout.after_move(last).event :] if e.kind in STOPS), len(layout.execution.moves))
    cut = layout.next_cut(last + 1)
    if cut < stop:
        raise CannotPlan("other cuts of the tool follow with the fluid that is on before its holes", block=layout.block_at(cut))


def _run_out(draft: Draft, holes: Sequence[int], recipe: Recipe, effects: Effects) -> None:
    """Time for the rest of the fluid to run out behind the last hole before the tool changes, or the program stops."""
    layout = draft.layout
    last_before: dict[int, int] = {}
    for hole in sorted(holes, key=lambda hole: int(layout.execution.cycle_holes.last[hole])):
        first = layout.after_hole(hole).event
        until = next((i for i in range(first, len(layout.events)) if layout.events[i].kind in STOPS), len(layout.events))
        last_before[until] = hole
    for until, hole in last_before.items():
        refuse_if_on_again(layout, layout.after_hole(hole).event, until, effects)
        _run_out_behind(draft, hole, until, holes, recipe)


def _run_out_behind(draft: Draft, hole: int, until: int, holes: Sequence[int], recipe: Recipe) -> None:
    layout = draft.layout
    marks = marked(layout, holes)
    last, start = int(layout.execution.cycle_holes.last[hole]), layout.after_hole(hole)
    cut = layout.next_cut(last + 1)
    missing = recipe.decay - dwells([event for event in layout.events[start.event : until] if event.row <= cut])
    if missing <= 0:
        return

    def follows(found: Position) -> bool:
        before = layout.last_cut(found.row)
        is_behind = before >= 0 and bool(marks[before]) and before == layout.last_cut(last + 1)
        return is_behind and layout.may_wait(found) and not _stops(layout, last, found)

    reason = f"time for the through-tool fluid of {recipe.name} to run out before {pause_named(layout.events, until)}"
    draft.insert(anchor(layout, start, follows), [dwell(draft.pen, missing)], reason)


def _stops(layout: Layout, last: int, found: Position) -> bool:
    return stops_between(layout, layout.after_move(last), found)
