"""Runs canned cycles: heights and pecks from the words of a block and what the series has kept, then every hole it makes."""

import math
from array import array
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from coolcheck.nc import motion
from coolcheck.nc.cycles import (
    MAY_PECK,
    NEEDS_DWELL,
    PECKED,
    Hole,
    Stroke,
    TooManyPecks,
    full_retracts,
    pecks_of_one_depth,
    shrinking_pecks,
    starts_at_r,
    strokes,
)
from coolcheck.nc.frames import IN_PLANE, NORMAL, Point
from coolcheck.nc.moves import Cycle, Event, Kind
from coolcheck.nc.recorder import hole_pattern
from coolcheck.nc.settings import dwell_unit
from coolcheck.nc.words import Step

if TYPE_CHECKING:
    from coolcheck.nc.control import Control

NAN = math.nan
_SAME = 1e-9  # mm; a move shorter than this is none
_STICKY_WITHIN_CODE = ("P", "Q", "I", "J", "K")


@dataclass(frozen=True, slots=True)
class Template:
    """How every further hole of a series is made: the pattern of its moves, and what happens between them, each with how many
    moves stand before it."""

    pattern: "array[float]"
    events: tuple[tuple[int, Event], ...]


@dataclass(slots=True)
class Series:
    """What a series of cycle blocks keeps: until G80 or another motion code.

    initial : level before the series; top, bottom : heights in force; words : words kept, in mm or seconds
    template : from `level` on, where every further hole is made alike
    """

    initial: float
    code: int
    top: float = NAN
    bottom: float = NAN
    words: dict[str, float] = field(default_factory=dict)
    hole: Hole | None = None
    path: tuple[Stroke, ...] = ()
    cycle: int = -1
    level: float = NAN
    template: Template | None = None


def drill(control: "Control", step: Step, code: int) -> None:
    """Runs the cycle `code` for this block, if the block has a word that starts it."""
    control.assume("plane")
    axis = NORMAL[control.plane]
    letter = "XYZ"[axis]
    level = control.position[axis]
    if control.series is None:
        control.series = Series(level, code)
    series = control.series
    if series.code != code:
        series.code = code
        for word in _STICKY_WITHIN_CODE:
            series.words.pop(word, None)
    starts = any(word in step.values for word in control.meaning.cycle_starts_on if word != " ")
    repeats = _repeats(control, step, series)
    _keep_words(control, step, series, letter)
    control.taken |= {"R", "Q", "P", "L", "I", "J", "K", "X", "Y", "Z"} if starts else {"R", "Q", "I", "J", "K"}
    if not starts:
        return
    control.assume("units")
    control.assume("distance")
    control.assume("feed_mode")
    _heights(control, step, series, letter, level)
    old_level = series.initial if control.meaning.old_level == "series" else level
    hole = _hole(control, step, series, old_level)
    if hole != series.hole:
        series.hole, series.path, series.cycle = hole, strokes(hole, control.meaning), -1
    if repeats:
        if series.cycle < 0 or control.recorder.cycles[series.cycle].feed != _known(control.feed):
            series.cycle = _recorded(control, step, series, hole, "xyz"[axis])
        _Runner(control, step, series, axis).run(repeats)
        _keep_template(control, series, level)


def _keep_template(control: "Control", series: Series, level: float) -> None:
    """Keeps how this hole was made, when blocks of positions alone make the same hole again from the level it ended at."""
    series.template = None
    how = control.meaning
    after = control.z
    same = control.plane == 17 and (how.old_level == "series" or after == level) and (control.absolute or how.sticky == "height")
    if not same or series.hole is None or not all(stroke.act in _ALIKE for stroke in series.path):
        return
    if not starts_at_r(series.code, how) or not after >= series.top:
        return
    moves: list[tuple[int, float, float]] = []
    events: list[tuple[int, Event]] = []
    at = after
    for stroke in (Stroke("rapid", series.top), *series.path):
        if stroke.act in ("dwell", "spindle"):
            events.append((1 + len(moves), _event(control, series, stroke)))
        elif not abs(stroke.to - at) <= _SAME:
            moves.append((int(Kind.FEED if stroke.act == "feed" else Kind.RAPID), at, stroke.to))
            at = stroke.to
    if at == after and all(to == to for _, _, to in moves):
        series.level, series.template = after, Template(hole_pattern(after, moves, control.feed), tuple(events))


_ALIKE = ("feed", "rapid", "dwell", "spindle")  # strokes that are the same at every place


def _event(control: "Control", series: Series, stroke: Stroke) -> Event:
    """A dwell, or what the cycle does with the spindle; row and block are still to come."""
    code = f"G{series.code}"
    if stroke.act == "dwell":
        return Event(0, "dwell", 0, code, stroke.to, seconds=stroke.to)
    base = {74: "counterclockwise", 84: "clockwise"}.get(series.code, control.state.modal.spindle)
    return Event(0, "spindle", 0, code, control.state.modal.rpm, direction=motion.turned(stroke.word, base))


def drill_again(control: "Control", x: float | None, y: float | None) -> bool:
    """A further hole of a series at the position a block names: the short way. False when it has to be looked at closely."""
    series = control.series
    if series is None or series.template is None or control.z != series.level or (x is None and y is None):
        return False
    scale, recorder, block = control.scale, control.recorder, control.block
    x0, y0 = control.x, control.y
    if control.absolute:
        x1 = x0 if x is None else x * scale
        y1 = y0 if y is None else y * scale
    else:
        x1 = x0 if x is None else x0 + x * scale
        y1 = y0 if y is None else y0 + y * scale
    if x1 != x1 or y1 != y1 or (abs(x1 - x0) <= _SAME and abs(y1 - y0) <= _SAME):
        return False
    for moves, event in series.template.events:
        recorder.happens(event, block, recorder.rows + moves)
    recorder.drilled(x0, y0, x1, y1, series.template.pattern, block, series.cycle)
    control.x, control.y = x1, y1
    return True


# ---------------------------------------------------------------------- words


def _repeats(control: "Control", step: Step, series: Series) -> int:
    for letter in control.meaning.repeat_letters:
        value = step.values.get(letter)
        if letter == " " or value is None or (letter == "K" and _is_peck_word(control, step, series, value)):
            continue
        control.taken.add(letter)
        if not math.isfinite(value) or value < 0:
            control.note(
                "unknown-value",
                "how often this cycle repeats is not known; it is followed once",
                affects="position",
                key="repeats",
            )
            return 1
        return round(value)
    return 1


def _is_peck_word(control: "Control", step: Step, series: Series, value: float) -> bool:
    """Is K the least peck (beside I and J), or the depth between full retracts of G73, and no repeat count?"""
    forms = control.meaning.peck_words
    if "ijk" in forms and series.code in PECKED and ("I" in step.values or "I" in series.words):
        return True
    return "qk" in forms and series.code == 73 and ("K" not in step.bare or value != round(value))


def _keep_words(control: "Control", step: Step, series: Series, letter: str) -> None:
    words = series.words
    for name in (letter, "R", "Q", "I", "J"):
        value = control.length(step, name)
        if value is not None:
            words[name] = value
    k = control.length(step, "K")
    if k is not None and ("K" not in control.meaning.repeat_letters or _is_peck_word(control, step, series, step.values["K"])):
        words["K"] = k
    if "P" in step.values:
        words["P"] = step.values["P"] * dwell_unit(control, "P" in step.bare)


# -------------------------------------------------------------------- heights


def _heights(control: "Control", step: Step, series: Series, letter: str, level: float) -> None:
    """R plane and bottom of this block. In G91 the R word counts from a base, the bottom from R."""
    how, words = control.meaning, series.words
    again = how.sticky == "number"
    base = series.initial if how.incremental_base == "initial" else level
    if "R" not in words or letter not in words:
        missing = " and ".join(name for name in ("R", letter) if name not in words)
        control.note(
            "incomplete-cycle",
            f"G{series.code} lacks {missing}: its heights are not known",
            f"state {missing} in this block",
            affects=f"{letter.lower()} pecks time",
            key=missing,
        )
    new_r, new_bottom = "R" in step.values, letter in step.values
    if control.absolute:
        series.top = words.get("R", NAN) if again or new_r or series.top != series.top else series.top
        series.bottom = words.get(letter, NAN) if again or new_bottom or series.bottom != series.bottom else series.bottom
    else:
        if again or new_r or series.top != series.top:
            series.top = base + words.get("R", NAN)
        if again or new_bottom or series.bottom != series.bottom:
            series.bottom = series.top + words.get(letter, NAN)
    frame = control.frame
    axis = "XYZ".index(letter)
    if frame is not None and (frame.scale[axis] != 1.0 or frame.mirror[axis] is not None):
        control.note(
            "not-simulated",
            "a canned cycle along a scaled or mirrored axis is not worked out",
            affects=letter.lower(),
            key="scaled cycle",
        )
        series.top = series.bottom = NAN


def _hole(control: "Control", step: Step, series: Series, old_level: float) -> Hole:
    """What the cycle does in each hole of this block."""
    top, bottom, code = series.top, series.bottom, series.code
    clear = top
    if not starts_at_r(code, control.meaning):
        clear = old_level
    elif control.state.modal.return_level == 98:
        clear = old_level if old_level != old_level or top != top or old_level > top else top
    if clear != top:
        control.assume("return_level")
    if bottom > top and starts_at_r(code, control.meaning):
        control.note("upside-down-cycle", f"the bottom of G{code} lies above its R plane", "check R and the depth", key=str(code))
    pecks = _pecks(control, step, series)
    every = series.words.get("K", NAN) if code == 73 and "I" not in series.words else NAN
    dwell = series.words.get("P", 0.0) if code not in (81, 85) else 0.0
    if code in NEEDS_DWELL and "P" not in series.words and not control.meaning.vacant:
        control.note(
            "incomplete-cycle",
            f"G{code} needs a dwell P on this control",
            "state P in this block",
            affects="time",
            key=f"P{code}",
        )
    shift = (series.words.get("I", 0.0), series.words.get("J", 0.0)) if code in (76, 87) else (0.0, 0.0)
    back = NAN
    if code == 87 and control.meaning.back_bore == "centre":
        back = series.words.get("K", NAN) if control.absolute else bottom + series.words.get("K", NAN)
    return Hole(
        code, top, bottom, clear, pecks, full_retracts(pecks, top, every) if every > 0 else frozenset(), dwell, shift, back
    )


def _pecks(control: "Control", step: Step, series: Series) -> tuple[float, ...]:
    top, bottom, words, most = series.top, series.bottom, series.words, control.limits.max_pecks
    if series.code not in MAY_PECK:
        return (bottom,)
    try:
        if series.code in PECKED and "I" in words and "ijk" in control.meaning.peck_words:
            pecks = shrinking_pecks(top, bottom, words["I"], words.get("J", 0.0), words.get("K", 0.0), most)
        elif "Q" in words and words["Q"] != 0:
            pecks = pecks_of_one_depth(top, bottom, _peck_depth(control, step, series), most)
        else:
            if series.code in PECKED:
                says = f"G{series.code} without a peck depth: taken as one stroke"
                control.note("peck-without-depth", says, "state Q, or use G81", affects="pecks", key=str(series.code))
            return (bottom,)
    except TooManyPecks:
        control.note(
            "move-bound", f"a hole of more than {most} pecks is taken as one stroke", "check the peck depth", affects="pecks time"
        )
        return (bottom,)
    if len(pecks) > 1 and control.meaning.clearances_are_assumed and series.code in PECKED:
        amount = control.meaning.chip_break if series.code == 73 else control.meaning.peck_clearance
        says = f"how far G{series.code} backs off is a parameter of the control; {amount:g} mm is assumed"
        control.note("assumed-clearance", says, "state it in a dialect record of this control", key=str(series.code))
    return pecks


def _peck_depth(control: "Control", step: Step, series: Series) -> float:
    """Q in mm. Written without a point and deeper than the hole it can only count least increments; that is noted."""
    depth = abs(series.words["Q"])
    small = control.meaning.small_pecks
    if small and "Q" in step.bare and depth > abs(series.top - series.bottom):
        worth = small[1] if control.is_inch else small[0]
        increments = depth * worth
        written = step.values["Q"]
        control.note(
            "assumed-increments",
            f"Q{written:g} without a decimal point is deeper than the hole: read as least increments, {written * worth:g} "
            + ("inch" if control.is_inch else "mm"),
            "write Q with a decimal point, or name the dialect that counts least increments",
            affects="pecks",
            key="Q",
        )
        series.words["Q"] = increments
        return increments
    return depth


# --------------------------------------------------------------------- record


def _known(value: float) -> float | None:
    return value if value == value else None


def _recorded(control: "Control", step: Step, series: Series, hole: Hole, axis: str) -> int:
    """The index of the cycle with these parameters, made new when they changed."""
    pecks = len(hole.pecks) > 1
    retract = "none" if not pecks else "chip_break" if hole.code == 73 else "full"
    clearance = control.meaning.chip_break if hole.code == 73 else control.meaning.peck_clearance
    feed = _known(control.feed)
    if control.feed != control.feed:
        motion.no_feed(control)
    cycle = Cycle(
        code=hole.code,
        axis=axis,
        top=hole.top,
        bottom=hole.bottom,
        pecks=hole.pecks,
        retract=retract,
        clearance=clearance if pecks and hole.code in PECKED else 0.0,
        dwell=hole.dwell,
        feed=feed,
        block=control.block,
        initial=series.initial,
        return_level=control.state.modal.return_level,
        words=dict(step.values),
    )
    control.recorder.cycles.append(cycle)
    return len(control.recorder.cycles) - 1


class _Runner:
    """Makes the holes of one block."""

    def __init__(self, control: "Control", step: Step, series: Series, axis: int) -> None:
        self._control = control
        self._step = step
        self._series = series
        self._axis = axis
        self._feed = control.feed
        self._block = control.block
        assert series.hole is not None
        self._hole = series.hole

    def run(self, repeats: int) -> None:
        """One hole after another: in G91 each repeat goes one increment on, in G90 it is the same place again."""
        control, top = self._control, self._hole.top
        down_first = starts_at_r(self._series.code, control.meaning)
        for number in range(repeats):
            first = control.recorder.rows
            position = control.position
            if number == 0 and down_first and position[self._axis] < top:
                self._go(Kind.RAPID, self._at_height(top))
            place = self._place()
            self._go(Kind.RAPID, place)
            if down_first:
                self._go(Kind.RAPID, self._at_height(top))
            for stroke in self._series.path:
                self._make(stroke)
            x, y, z = self._with_height(place, top)
            control.recorder.hole(x, y, z, first, self._series.cycle, self._block)
            if control.recorder.rows > control.limits.max_moves or control.recorder.rows == first:
                return  # a hole without a move, at an unknown place and height: the repeats would be no other

    def _place(self) -> Point:
        """The next hole, at the height where the tool is."""
        step = self._step
        letter = "XYZ"[self._axis]
        lengths = step.lengths
        if letter in lengths:
            step.lengths = {name: value for name, value in lengths.items() if name != letter}
        place = motion.target(self._control, step)
        step.lengths = lengths
        return self._with_height(place, self._control.position[self._axis])

    def _at_height(self, height: float) -> Point:
        return self._with_height(self._control.position, height)

    def _with_height(self, point: Point, height: float) -> Point:
        raised = list(point)
        raised[self._axis] = height
        return (raised[0], raised[1], raised[2])

    def _make(self, stroke: Stroke) -> None:
        control = self._control
        if stroke.act == "feed":
            self._go(Kind.FEED, self._at_height(stroke.to))
        elif stroke.act == "rapid":
            self._go(Kind.RAPID, self._at_height(stroke.to))
        elif stroke.act in ("dwell", "spindle"):
            control.recorder.happens(_event(control, self._series, stroke), self._block, control.recorder.rows)
        elif stroke.act == "stop":
            control.recorder.event("stop", self._block, code=f"G{self._series.code}")
        elif stroke.act == "shift" and stroke.by != (0.0, 0.0):
            first, second = sorted(IN_PLANE[control.plane])
            moved = list(control.position)
            moved[first] += stroke.by[0]
            moved[second] += stroke.by[1]
            self._go(Kind.RAPID, (moved[0], moved[1], moved[2]))

    def _go(self, kind: Kind, end: Point) -> None:
        control = self._control
        start = control.position
        if all(a == b or abs(a - b) <= _SAME or (a != a and b != b) for a, b in zip(start, end, strict=True)):
            return
        feed = self._feed if kind == Kind.FEED else NAN
        control.recorder.move(kind, start, end, feed, self._block, cycle=control.recorder.holes)
        control.position = end
