"""Facts of an operation: what it does, how deep, how fast, in how many strokes."""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from math import pi
from typing import Any

import numpy as np

from coolcheck.known import Evidence, Known, Missing, Truth, combined, every, known, merged, no, unknown, yes
from coolcheck.nc.moves import Kind
from coolcheck.process.comments import pitch_in, remarks
from coolcheck.process.fact import computed, fact, meaningless, said
from coolcheck.process.fluids import is_builder_code
from coolcheck.process.kinds import MADE_BY_DRILLING, WITHOUT_CUT
from coolcheck.process.model import HoleStep, Operation, Passage, Timeline
from coolcheck.process.moments import ToolUse, code_book, event_rows, first_cut, last_cut, name_of, remembered, tool_name
from coolcheck.process.operations import speed_of

INTERRUPTED = ("face", "rough", "finish", "mill", "engrave", "chamfer", "thread_mill")
NAMED = ("operation", "step", "passage", "tool", "edge")


def of_operation(item: Operation | HoleStep | Passage) -> Operation:
    """The operation that a step or passage belongs to; itself for an operation."""
    return item if isinstance(item, Operation) else item.operation


@fact("operation")
def number(operation: Operation, timeline: Timeline) -> Known[float]:
    """Its number."""
    return known(float(operation.number))


@fact("operation")
def title(operation: Operation, timeline: Timeline) -> Known[str]:
    """What the program calls it."""
    return known(operation.title or operation.kind.replace("_", " "))


@fact("operation", "step", "passage", "tool", "edge")
def name(item: object, timeline: Timeline) -> Known[str]:
    """T number as written in messages."""
    return known(name_of(item.operation if isinstance(item, HoleStep | Passage) else item))


@fact("operation", "step", "passage")
def kind(item: Operation | HoleStep | Passage, timeline: Timeline) -> Known[str]:
    """Kind of operation."""
    return of_operation(item).kind_known


@fact("operation")
def cuts(operation: Operation, timeline: Timeline) -> Truth:
    """It removes material: an operation whose kind nobody knows does where it has feed moves."""
    if not operation.kind_known.is_known and not operation.contours:
        return unknown(*operation.kind_known.missing)
    if not operation.kind_known.is_known:
        return yes(Evidence("feed moves", "yes", source="program"))
    return operation.kind_known.map(lambda word: word not in WITHOUT_CUT)


@fact("operation", "step")
def drills(item: Operation | HoleStep, timeline: Timeline) -> Truth:
    """It makes a hole into the full."""
    return of_operation(item).kind_known.map(lambda word: word in MADE_BY_DRILLING)


@fact("operation")
def mills(operation: Operation, timeline: Timeline) -> Truth:
    """It cuts with interruption."""
    return operation.kind_known.map(lambda word: word in INTERRUPTED)


@fact("operation")
def holes(operation: Operation, timeline: Timeline) -> Known[float]:
    """Number of holes."""
    return known(float(len(operation.holes)), Evidence("holes", len(operation.holes), source="program"))


@fact("operation", "step")
def depth(item: Operation | HoleStep, timeline: Timeline) -> Known[float]:
    """Deepest point below the top."""
    return item.depth


@fact("operation", "step")
def diameter(item: Operation | HoleStep, timeline: Timeline) -> Known[float]:
    """Cutting diameter."""
    return item.diameter


@fact("operation", "step")
def depth_over_diameter(item: Operation | HoleStep, timeline: Timeline) -> Known[float]:
    """Depth over diameter."""
    # the same depth and diameter are shared by many steps of a timeline, which keeps them alive: their identity is a key
    key = ("depth over diameter", id(item.depth), id(item.diameter))
    return remembered(timeline, key, lambda: _ratio(item.depth, item.diameter))


def _ratio(deep: Known[float], wide: Known[float]) -> Known[float]:
    if wide.is_known and wide.value <= 0:
        return meaningless("the diameter is zero: there is no depth over diameter")
    ratio: Known[float] = combined(lambda d, w: d / w, deep, wide)
    return ratio.because(computed("depth over diameter", ratio.value)) if ratio.is_known else ratio


# strokes


@dataclass(frozen=True, slots=True)
class Pecks:
    """New depths of the strokes of one step, in order, from the top of the hole [m]."""

    depth: Known[float]
    strokes: int
    retract: str
    fresh: tuple[float, ...]


def steps_of(operation: Operation, timeline: Timeline) -> tuple[HoleStep, ...]:
    """The steps of an operation, in hole order."""

    def by_operation() -> dict[int, list[HoleStep]]:
        found: dict[int, list[HoleStep]] = {}
        for hole in timeline.holes:
            for step in hole.steps:
                found.setdefault(step.operation.number, []).append(step)
        return found

    return tuple(remembered(timeline, "steps", by_operation).get(operation.number, ()))


def unlike_steps(operation: Operation, timeline: Timeline) -> tuple[HoleStep, ...]:
    """One step for each depth, cycle and number of strokes: a thousand equal holes are looked at once."""

    def unlike() -> tuple[HoleStep, ...]:
        found: dict[object, HoleStep] = {}
        for step in steps_of(operation, timeline):
            deep = step.depth.or_else(None)
            found.setdefault((step.cycle, deep, len(step.strokes), step.retract, step.dwell), step)
        return tuple(found.values())

    return remembered(timeline, ("unlike", operation.number), unlike)


def pecks(operation: Operation, timeline: Timeline) -> tuple[Pecks, ...]:
    """The strokes of its unlike steps."""
    return remembered(timeline, ("pecks", operation.number), lambda: tuple(map(_pecks, unlike_steps(operation, timeline))))


def _pecks(step: HoleStep) -> Pecks:
    fresh, deepest = [], 0.0
    for stroke in step.strokes:
        if stroke.end > deepest:  # one that ends above the work, or above the last bottom, cuts nothing new
            fresh.append(stroke.end - deepest)
            deepest = stroke.end
    return Pecks(step.depth, len(step.strokes), step.retract, tuple(fresh or (0.0,)))


@fact("step", name="retract")
def step_retract(step: HoleStep, timeline: Timeline) -> Known[str]:
    """What lies between its strokes."""
    return _shown_once("retract", step.retract, timeline)


@fact("step", name="strokes")
def step_strokes(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Its feed strokes."""
    return _shown_once("strokes", float(len(step.strokes)), timeline)


def _shown_once(word: str, value: Any, timeline: Timeline) -> Known[Any]:
    """A value that many steps share, made once: there may be hundred thousands of steps."""
    return remembered(timeline, (word, value), lambda: known(value, Evidence(word, value, source="program")))


@fact("operation")
def retract(operation: Operation, timeline: Timeline) -> Known[str]:
    """What lies between its strokes."""
    words = [peck.retract for peck in pecks(operation, timeline)]
    found = next((word for word in ("full", "chip_break") if word in words), "none")
    return known(found, Evidence("retract", found, place=operation.place, source="program"))


@fact("operation")
def strokes(operation: Operation, timeline: Timeline) -> Known[float]:
    """Feed strokes into its deepest hole."""
    found = pecks(operation, timeline)
    if not found:
        return known(0.0, Evidence("strokes", 0, place=operation.place, source="program"))
    deepest = max(found, key=lambda peck: peck.depth.or_else(0.0))
    return known(float(deepest.strokes), Evidence("strokes", deepest.strokes, place=operation.place, source="program"))


def _over_pecks(operation: Operation, timeline: Timeline, words: str, pick: Callable[[list[Pecks]], float]) -> Known[float]:
    found = list(pecks(operation, timeline))
    if not found:
        return meaningless(f"{tool_name(operation.tool)} makes no hole here: there are no strokes")
    if any(not peck.depth.is_known for peck in found):
        return unknown(*merged(m for peck in found for m in peck.depth.missing))
    value = pick(found)
    evidence = Evidence(words, round(value * 1e3, 4), "mm", operation.place, "program")
    return known(value, evidence, *merged(e for peck in found for e in peck.depth.evidence if e.source != "computed"))


@fact("operation")
def first_peck(operation: Operation, timeline: Timeline) -> Known[float]:
    """Longest first stroke."""
    return _over_pecks(operation, timeline, "first peck", lambda found: max(peck.fresh[0] for peck in found))


@fact("operation")
def later_peck(operation: Operation, timeline: Timeline) -> Known[float]:
    """Longest stroke after the first."""
    return _over_pecks(operation, timeline, "later peck", lambda found: max(max(peck.fresh[1:], default=0.0) for peck in found))


@fact("operation")
def smallest_peck(operation: Operation, timeline: Timeline) -> Known[float]:
    """Shortest new depth of a stroke, the first (it begins in the air) and the last (what is left) out."""
    return _over_pecks(
        operation, timeline, "smallest peck", lambda found: min(min(peck.fresh[1:-1] or peck.fresh[:1]) for peck in found)
    )


@fact("operation")
def dwell_at_bottom(operation: Operation, timeline: Timeline) -> Known[float]:
    """Longest dwell at the bottom of a hole."""
    dwells = unlike_steps(operation, timeline)
    if any(np.isnan(step.dwell) for step in dwells):
        return unknown(Missing("program", "", f"how long does {tool_name(operation.tool)} dwell at the bottom?", operation.place))
    step = max(dwells, key=lambda step: step.dwell, default=None)
    longest, place = (0.0, operation.place) if step is None else (step.dwell, step.place)
    return known(longest, Evidence("dwell", longest, "s", place, "program"))


# speeds


@fact("operation")
def speed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Spindle speed while it cuts."""
    return operation.n


@fact("operation")
def enters_material(operation: Operation, timeline: Timeline) -> Truth:
    """It feeds in material, or goes below the top of a hole: a tool that stays in the air enters nothing."""
    rows = entries(operation, timeline)
    place = timeline.execution.place(int(timeline.execution.moves.block[rows[0]])) if rows else operation.place
    return known(bool(rows), Evidence("enters material", "yes" if rows else "no", place=place, source="program"))


@fact("operation")
def entry_speed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Spindle speed when the tool enters the hole or its pilot: the highest of its entries."""
    rows = entries(operation, timeline)
    if not rows:
        return meaningless(f"{tool_name(operation.tool)} does not cut here: it enters nothing")
    speeds = []
    for row in rows:
        modal = timeline.execution.modal(row)
        speeds.append(speed_of(timeline.execution, modal.spindle, modal.rpm, row, tool_name(operation.tool)))
    return combined(lambda *found: max(found), *speeds)


def entries(operation: Operation, timeline: Timeline) -> list[int]:
    """Rows at which it goes below the top: one for each modal state that such a row has."""
    moves, spans = timeline.execution.moves, [span.row for span in timeline.execution.spans]
    found: dict[int, int] = {}
    for step in steps_of(operation, timeline):
        span = bisect_right(spans, step.rows[0])
        if span in found and bisect_right(spans, step.rows[1]) == span:
            continue
        top = timeline.holes[step.hole - 1].z * 1e3
        rows = np.arange(step.rows[0], step.rows[1] + 1)
        below = (
            rows[moves.z[rows] < top - 1e-6]
            if timeline.holes[step.hole - 1].axis == "z"
            else rows[moves.kind[rows] != Kind.RAPID]
        )
        if len(below):
            found.setdefault(bisect_right(spans, int(below[0])), int(below[0]))
    if not found:
        first = first_cut(operation, timeline)
        return [] if first is None else [first]
    return list(found.values())


@fact("operation")
def cutting_speed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Cutting speed vc."""
    found: Known[float] = combined(lambda wide, turns: pi * wide * turns, operation.diameter, operation.n)
    return found.because(computed("vc", found.value * 60, "m/min", "vc = pi DC n")) if found.is_known else found


@fact("operation")
def feed_per_turn(operation: Operation, timeline: Timeline) -> Known[float]:
    """Feed per revolution."""
    if operation.n.is_known and operation.n.value <= 0:
        return meaningless(f"the spindle stands while {tool_name(operation.tool)} feeds: there is no feed per revolution")
    found: Known[float] = combined(lambda along, turns: along / turns, operation.feed, operation.n)
    return found.because(computed("f", found.value * 1e3, "mm", "f = vf / n")) if found.is_known else found


@fact("operation")
def pitch(operation: Operation, timeline: Timeline) -> Known[float]:
    """Thread pitch: of the tool record, else of a comment."""
    recorded: Known[float] = operation.tool_record.field("TP")
    if recorded.is_known:
        return recorded
    for remark in remembered(timeline, "remarks", lambda: remarks(timeline.execution)):
        if remark.text == operation.title or (remark.tool is not None and remark.tool == operation.tool):
            stated = pitch_in(remark.text)
            if stated is not None:
                place = timeline.execution.place(remark.block)
                return known(stated, Evidence("pitch", round(stated * 1e3, 4), "mm", place, "comment", remark.text))
    return recorded


@fact("operation")
def pitch_error(operation: Operation, timeline: Timeline) -> Known[float]:
    """Difference of feed per revolution and pitch, over the pitch."""
    if operation.kind_known.is_known and operation.kind != "tap":
        return meaningless(f"{tool_name(operation.tool)} does not tap here")
    found: Known[float] = combined(lambda f, p: abs(f - p) / p, feed_per_turn(operation, timeline), pitch(operation, timeline))
    return found.because(computed("pitch error", found.value * 100, "%")) if found.is_known else found


@fact("operation")
def cutting_time(operation: Operation, timeline: Timeline) -> Known[float]:
    """Time in the cut."""
    return operation.feed_seconds


@fact("operation")
def time_pecking(operation: Operation, timeline: Timeline) -> Known[float]:
    """Time more than in one pass."""
    return operation.peck_seconds


@fact("operation")
def spindle_turns(operation: Operation, timeline: Timeline) -> Truth:
    """The spindle turns during every cut of it."""
    first, last = first_cut(operation, timeline), last_cut(operation, timeline)
    if first is None or last is None:
        return said(True, "cuts", "it has none")
    execution, spans = timeline.execution, timeline.execution.spans
    starts = np.array([span.row for span in spans], dtype=np.int64)
    feeds = first + np.flatnonzero(execution.moves.kind[first : last + 1] != Kind.RAPID)
    used = (np.flatnonzero(np.bincount(np.searchsorted(starts, feeds, side="right"))) - 1).tolist()
    if operation.kind == "tap" and operation.n.is_known and operation.n.value > 0:
        return yes(*operation.n.evidence)  # rigid tapping cycles turn the spindle themselves
    return every(_turns(timeline, operation, max(first, int(starts[index])), spans[index].modal.spindle) for index in used)


def _turns(timeline: Timeline, operation: Operation, row: int, spindle: str) -> Truth:
    if spindle == "unknown":
        return unknown(Missing("program", "", f"does the spindle turn while {tool_name(operation.tool)} cuts?", operation.place))
    if spindle == "off":
        return _started_by_builder_code(timeline, row) or no(_why_it_stands(timeline, row, operation))
    return yes(Evidence("spindle", spindle, source="program"))


def _why_it_stands(timeline: Timeline, row: int, operation: Operation) -> Evidence:
    """What stopped the spindle last: a code of the program, or a tool change, if the dialect record is right about that."""
    for event in reversed(timeline.execution.events[: bisect_right(event_rows(timeline), row)]):
        place = timeline.execution.place(event.block)
        if event.kind == "tool_change":
            note = (
                f"{event.code} is taken to stop the spindle, as the dialect record says; nothing starts it again before this cut"
            )
            return Evidence("spindle", "off", place=place, source="assumed", note=note)
        if event.kind == "spindle" and event.direction == "off":
            return Evidence("spindle", "off", place=place, source="program", note=f"stopped by {event.code}")
    return Evidence("spindle", "off", place=operation.place, source="program", note="nothing starts it before this cut")


def _started_by_builder_code(timeline: Timeline, row: int) -> Truth | None:
    """Where no code of the dialect has started the spindle, a builder-assigned one may have."""
    book, rows = code_book(timeline), event_rows(timeline)
    dark = []
    for event in reversed(timeline.execution.events[: bisect_right(rows, row)]):
        if event.kind in ("spindle", "tool_change"):
            break
        if not is_builder_code(event):
            continue
        if not book.is_listed(event):
            dark.append(book.question(event.code))
            continue
        entry = book.entry(event)
        does: Known[str] | None = entry.field("spindle") if entry is not None else None
        if does is not None and does.is_known:
            return does.map(lambda word: word != "stop")
    return unknown(*merged(dark)) if dark else None


@fact("tool")
def sister_differs(use: ToolUse, timeline: Timeline) -> Truth:
    """Its sister tool differs in fluid holes, modes or edge history."""
    sister: Known[str] = use.record.field("sister of")
    if not use.record.is_present:
        return unknown(*sister.missing)
    if not sister.is_known:
        return said(False, "sister", "the record names no sister tool", "record")
    digits = "".join(char for char in sister.value if char.isdigit())
    other = timeline.binding.tool(int(digits) if digits else None)
    fields = ("fluid.through", "fluid.required", "fluid.forbidden", "fluid.edge history")
    same = []
    for field in fields:
        mine, its = use.record.field(field), other.field(field)
        if mine.is_known or its.is_known:  # what neither record states, neither of them asks for
            same.append(combined(lambda one, two: _alike(one) == _alike(two), mine, its))
    return every(same).map(lambda alike: not alike)


def _alike(value: object) -> object:
    return frozenset(value) if isinstance(value, tuple) else value
