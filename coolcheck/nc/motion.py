"""Motion of one block: rapids, feeds, arcs, threads and probing, from its words to rows of moves."""

import math
from typing import TYPE_CHECKING

from coolcheck.nc import arcs
from coolcheck.nc.frames import IN_PLANE, NORMAL, Point
from coolcheck.nc.modal import cycle_of, shown
from coolcheck.nc.moves import Kind
from coolcheck.nc.words import AXES, Step

if TYPE_CHECKING:
    from coolcheck.nc.control import Control

NAN = math.nan
CANCEL = 800
PROBES = frozenset({382, 383, 384, 385})
_KINDS = {0: Kind.RAPID, 10: Kind.FEED, 20: Kind.ARC_CW, 30: Kind.ARC_CCW}
LATHE_AXES = {"U": "X", "V": "Y", "W": "Z"}


def move(control: "Control", step: Step, codes: list[int], in_machine: bool, took_axes: bool) -> int:
    """The motion of a block. `codes` are its own motion codes, `took_axes`: its axis words serve another code.

    Gives the number of the canned cycle that is still to run, 0 for none.
    """
    if codes:
        set_motion(control, codes[-1])
    if took_axes:
        control.taken |= set(AXES)
        return 0
    has_axis = any(letter in step.values for letter in AXES)
    code = control.motion
    if (code == CANCEL or code < 0) and has_axis:
        code = _without_code(control, step, code)
    if code in (20, 30) and (has_axis or "I" in step.values or "J" in step.values or "K" in step.values):
        arc(control, step, code)
    elif code in (330, 331) and has_axis:
        thread(control, step, code)
    elif code in PROBES and has_axis:
        probe(control, step, code)
    elif code in (0, 10) and has_axis:
        line(control, step, code, in_machine)
    return cycle_of(code)


def set_motion(control: "Control", code: int) -> None:
    """Makes `code` the motion code in force; any but a canned cycle ends a series of cycle blocks."""
    control.motion = code
    if code in _KINDS:
        control.last_motion = code
    if not cycle_of(code):
        control.series = None


def _without_code(control: "Control", step: Step, code: int) -> int:
    """What axis words do when no motion code is in force: the last of G0 to G3, or on some controls nothing at all."""
    named = " ".join(letter for letter in AXES if letter in step.values)
    if control.last_motion < 0 or (code == CANCEL and control.meaning.cycle_group == "motion"):
        control.lose(named)
        control.taken |= set(AXES)
        control.note(
            "assumed-motion",
            f"axis words ({named}) without a motion code in force: the control stops here",
            "write G0 or G1 in this block",
            affects=named.lower(),
            key="none",
        )
        return CANCEL
    if code < 0:
        says = f"no motion code is stated before this block; {shown(control.last_motion)} is assumed"
        control.note("assumed-motion", says, "write G0 or G1 in this block")
    set_motion(control, control.last_motion)
    return control.last_motion


# ------------------------------------------------------------------- targets


def target(control: "Control", step: Step) -> Point:
    """Where the axis words of a block lead, in program coordinates [mm]."""
    control.assume("units")
    control.assume("distance")
    lengths, scale = step.lengths, control.scale
    if control.state.tilted:
        return (NAN, NAN, NAN)
    point = list(control.frame.back(control.position) if control.frame is not None else control.position)
    if control.state.polar:
        _polar(control, step, point)
    else:
        for at, letter in enumerate("XYZ"):
            value = lengths.get(letter)
            if value is not None:
                point[at] = value * scale if control.absolute else point[at] + value * scale
    control.taken |= {"X", "Y", "Z"}
    _further_axes(control, step, point)
    if control.frame is not None:
        return control.frame.forward((point[0], point[1], point[2]))
    return (point[0], point[1], point[2])


def _polar(control: "Control", step: Step, point: list[float]) -> None:
    """G16: the first word of the plane is a radius, the second an angle."""
    first, second = IN_PLANE[control.plane]
    if control.plane == 18:
        first, second = second, first  # X is the radius there, Z the angle; from memory
    normal = NORMAL[control.plane]
    radius, angle = control.polar_point
    letters = "XYZ"
    r, phi = control.length(step, letters[first]), step.values.get(letters[second])
    if control.absolute:
        radius, angle = r if r is not None else radius, phi if phi is not None else angle
    else:
        angle = angle + phi if phi is not None else angle
        if r is not None:
            radius = NAN
            control.note(
                "not-simulated",
                "an incremental radius in polar coordinates moves their centre; this is not worked out",
                affects="x y",
                key="polar",
            )
    control.polar_point = (radius, angle)
    if r is not None or phi is not None:
        turned = math.radians(angle)
        sign = -1.0 if control.plane == 18 else 1.0
        point[first], point[second] = radius * math.cos(turned), radius * math.sin(turned) * sign
    height = control.length(step, letters[normal])
    if height is not None:
        point[normal] = height if control.absolute else point[normal] + height


def _further_axes(control: "Control", step: Step, point: list[float]) -> None:
    """Rotary axes, and U V W, which mean one thing on lathes and another on mills with parallel axes."""
    values = step.values
    if "A" in values or "B" in values or "C" in values:
        for letter in "abc":
            value = step.lengths.get(letter.upper())
            if value is not None:
                before = getattr(control, letter)
                setattr(control, letter, value if control.absolute else before + value)
        control.taken |= {"A", "B", "C"}
        control.recorder.rotary(control.a, control.b, control.c)
    for letter in "UVW":
        if letter in values:
            axis = LATHE_AXES[letter]
            point["XYZ".index(axis)] = NAN
            control.taken.add(letter)
            control.note(
                "unknown-word",
                f"{letter} may be an axis of its own or an increment of {axis}; the dialect does not say",
                "name the dialect of this control in the machine record",
                affects=axis.lower(),
                key=letter,
            )


def _feed(control: "Control", step: Step) -> float:
    """The feed of a feed move, with what has to be noted about it."""
    control.assume("feed_mode")
    if control.state.modal.feed_mode != 93 and control.feed != control.feed:
        no_feed(control)
    return control.feed


def no_feed(control: "Control") -> None:
    """Notes why the feed is not known."""
    modal = control.state.modal
    if modal.feed_mode == 95 and control.word_feed == control.word_feed:
        control.note(
            "no-spindle-speed", "feed per revolution, but no spindle speed is known", "state S before it", affects="feed time"
        )
    else:
        control.note(
            "no-feed", "a feed move runs before a feed is stated for this feed mode", "state F before it", affects="feed time"
        )


def _seconds(control: "Control", step: Step, start: Point, end: Point, rotary: Point) -> float:
    """Seconds where path length and feed do not tell them: inverse time, and moves of rotary axes alone."""
    if control.state.modal.feed_mode == 93:
        f = step.values.get("F")
        if f is None or not f > 0:
            control.note("no-feed", "inverse time feed needs F in every feed block", "write F in this block", affects="feed time")
            return NAN
        return 60.0 / f
    turned = [abs(after - before) for before, after in zip(rotary, (control.a, control.b, control.c), strict=True)]
    turned = [angle for angle in turned if angle == angle and angle > 0]
    if turned and start == end and control.word_feed > 0 and control.state.modal.feed_mode == 94:
        return max(turned) / (control.word_feed / control.scale) * 60.0  # F is degrees a minute
    return NAN


# --------------------------------------------------------------------- moves


def line(control: "Control", step: Step, code: int, in_machine: bool) -> None:
    """A rapid or a feed along a line. In machine coordinates (G53) the end is not known in program coordinates."""
    start, rotary = control.position, (control.a, control.b, control.c)
    end = target(control, step)
    if in_machine:
        named = [letter in step.values for letter in "XYZ"]
        end = tuple(NAN if is_named else s for is_named, s in zip(named, start, strict=True))  # type: ignore[assignment]
    for corner in (",R", ",C"):
        if corner in step.values:
            control.taken.add(corner)
            control.note("not-simulated", "a corner rounding or chamfer is taken as a sharp corner", affects="time", key="corner")
    if code == 0:
        control.recorder.move(Kind.RAPID, start, end, NAN, control.block)
    else:
        feed = _feed(control, step)
        control.recorder.move(Kind.FEED, start, end, feed, control.block, seconds=_seconds(control, step, start, end, rotary))
    control.position = end


def thread(control: "Control", step: Step, code: int) -> None:
    """G33, and G33.1 (rigid tap): feed tied to the spindle; G33.1 comes back to where it began."""
    start = control.position
    letter = control.meaning.thread_lead if code == 330 else "K"
    lead = control.length(step, letter)
    control.taken |= {"K", "I", "F"}
    end = target(control, step)
    rpm = control.state.modal.rpm
    feed = abs(lead) * rpm if lead is not None and rpm is not None else NAN
    if feed != feed:
        control.note(
            "no-spindle-speed", "threading, but lead or spindle speed is not known", "state S and the lead", affects="feed time"
        )
    control.recorder.move(Kind.FEED, start, end, feed, control.block)
    if code == 331:
        turn(control, "reverse", "G33.1")
        control.recorder.move(Kind.FEED, end, start, feed, control.block)
        turn(control, "restart", "G33.1")
        end = start
    control.position = end


def turn(control: "Control", what: str, code: str) -> None:
    """A change of the spindle that a cycle makes by itself. The modal state stays as commanded."""
    direction = turned(what, control.state.modal.spindle)
    control.recorder.event("spindle", control.block, code=code, value=control.state.modal.rpm, direction=direction)


def turned(what: str, base: str) -> str:
    """How a spindle turns that turns like `base` when it is told to reverse, to stop (off), or to turn like before (restart)."""
    other = {"clockwise": "counterclockwise", "counterclockwise": "clockwise"}
    return {"off": "off", "reverse": other.get(base, "unknown"), "restart": base}[what]


def probe(control: "Control", step: Step, code: int) -> None:
    """Moves until the probe touches: where that is, only the machine knows."""
    start = control.position
    end = target(control, step)
    control.recorder.event("probe", control.block, code=shown(code))
    named = [letter in step.values for letter in "XYZ"]
    stops = tuple(NAN if is_named else e for is_named, e in zip(named, end, strict=True))
    control.recorder.move(Kind.FEED, start, stops, _feed(control, step), control.block)  # type: ignore[arg-type]
    control.position = stops  # type: ignore[assignment]


# ---------------------------------------------------------------------- arcs


def arc(control: "Control", step: Step, code: int) -> None:
    """An arc or a helix, by centre or by radius."""
    control.assume("plane")
    start = control.position
    end = target(control, step)
    first, second = IN_PLANE[control.plane]
    normal = NORMAL[control.plane]
    clockwise = code == 20
    if control.frame is not None and control.frame.turns_over(control.plane):
        clockwise = not clockwise
    shape = _shape(control, step, (start[first], start[second]), (end[first], end[second]), clockwise)
    flat = shape.radius * shape.sweep
    climb = end[normal] - start[normal]
    length = math.hypot(flat, climb) if climb == climb or flat != flat else NAN
    feed = _feed(control, step)
    if control.meaning.helix_feed == "plane" and climb and flat > 0 and control.state.modal.feed_mode != 93:
        feed = feed * length / flat
    centre = [NAN, NAN, NAN]
    centre[first], centre[second] = shape.u, shape.v
    index = control.recorder.arc((centre[0], centre[1], centre[2]), shape.radius, shape.sweep, length, control.plane)
    seconds = (
        _seconds(control, step, start, end, (control.a, control.b, control.c)) if control.state.modal.feed_mode == 93 else NAN
    )
    kind = Kind.ARC_CW if clockwise else Kind.ARC_CCW
    control.recorder.move(kind, start, end, feed, control.block, arc=index, seconds=seconds)
    control.position = end


def _shape(control: "Control", step: Step, start: tuple[float, float], end: tuple[float, float], clockwise: bool) -> arcs.Arc:
    values, how = step.values, control.meaning
    control.taken |= {"I", "J", "K", "R"}
    turns = _turns(control, step)
    has_centre = any(letter in values for letter in "IJK")
    if "R" in values and has_centre and how.arc_radius_and_centre == "error":
        control.note(
            "conflicting-codes", "an arc has both R and I J K; the control stops here", "leave one of them out", affects="time"
        )
        return arcs.NO_ARC
    if control.frame is not None and not control.frame.keeps_circles(control.plane):
        control.note("not-simulated", "an arc under unequal scaling is no arc any more", affects="time", key="scaled arc")
        return arcs.NO_ARC
    if "R" in values:
        radius = (control.length(step, "R") or 0.0) * (control.frame.factor(control.plane) if control.frame is not None else 1.0)
        return _checked(
            control, arcs.by_radius(start, end, radius, clockwise, turns, _most_miss(control, abs(radius))), start, end
        )
    if not has_centre:
        control.note("arc-without-centre", "an arc has neither R nor I J K", "write its centre or its radius", affects="time")
        return arcs.NO_ARC
    return _checked(control, arcs.around_centre(start, end, _centre(control, step), clockwise, turns), start, end)


def _turns(control: "Control", step: Step) -> int:
    letter = control.meaning.arc_turns
    turns = step.values.get(letter, 1.0) if letter else 1.0
    control.taken.add(letter)
    return min(max(round(turns), 1), 100_000) if math.isfinite(turns) else 1


def _centre(control: "Control", step: Step) -> tuple[float, float]:
    """The centre of an arc from I J K, in program coordinates."""
    axes = IN_PLANE[control.plane]
    frame = control.frame
    begin = frame.back(control.position) if frame is not None else control.position
    centre = list(begin)
    for axis in axes:
        offset = control.length(step, "IJK"[axis])
        if control.state.arc_centre == "absolute":
            centre[axis] = NAN if offset is None else offset
        else:
            centre[axis] = begin[axis] + (offset or 0.0)
    if frame is not None:
        centre = list(frame.forward((centre[0], centre[1], centre[2])))
    return (centre[axes[0]], centre[axes[1]])


def _most_miss(control: "Control", radius: float) -> float:
    """How far the two radii of an arc may differ on this control [mm]."""
    how = control.meaning
    absolute = how.arc_tolerance_inch * 25.4 if control.is_inch else how.arc_tolerance_mm
    return max(absolute, min(how.arc_tolerance_relative * radius, how.arc_tolerance_factor * absolute))


def _checked(control: "Control", shape: arcs.Arc, start: tuple[float, float], end: tuple[float, float]) -> arcs.Arc:
    """The arc, or none where the control would stop at it."""
    if not all(map(math.isfinite, (*start, *end))):
        return arcs.NO_ARC
    if math.isnan(shape.radius) and math.isnan(shape.miss):
        control.note(
            "arc-without-centre", "an arc that cannot be made: its radius or its chord is zero", affects="time", key="zero"
        )
        return shape
    if shape.miss > _most_miss(control, shape.far) * (1 + 1e-9):
        control.note(
            "arc-radius-mismatch",
            f"the end of this arc lies {shape.miss:.4f} mm off its circle, more than the control allows",
            "mend the centre, the radius or the end point",
            affects="time",
        )
        return arcs.NO_ARC
    return shape
