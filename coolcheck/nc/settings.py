"""What the G codes outside the motion group do: dwell, data, reference, offsets, compensation, figures. One function an act."""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from coolcheck.nc import motion
from coolcheck.nc.frames import IN_PLANE, Frame, Point
from coolcheck.nc.modal import shown
from coolcheck.nc.moves import Kind
from coolcheck.nc.words import AXES, Step

if TYPE_CHECKING:
    from coolcheck.nc.control import Control

NAN = math.nan
_NOWHERE = (NAN, NAN, NAN)
Act = Callable[["Control", Step, int], None]


def _use(control: "Control", step: Step, letters: str) -> dict[str, float]:
    """The words among `letters`; nothing else in the block may use them."""
    control.taken |= set(letters)
    return {letter: step.values[letter] for letter in letters if letter in step.values}


def _axes(control: "Control", step: Step) -> dict[str, float]:
    """Axis words in mm; `U` and `W` where a control without such axes takes them for increments of X and Z."""
    control.taken |= set(AXES)
    return {letter: step.lengths[letter] * control.scale for letter in "XYZ" if letter in step.lengths}


def _moved(point: Point, changes: Mapping[str, float]) -> Point:
    """`point` with the named coordinates replaced."""
    x, y, z = (changes.get(letter, at) for letter, at in zip("XYZ", point, strict=True))
    return (x, y, z)


def _plus(a: Point, b: Point) -> Point:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _minus(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


# ---------------------------------------------------------------------- dwell


def dwell(control: "Control", step: Step, code: int) -> None:
    """G4: waits. Its time word is no motion, even when it is an X."""
    how = control.meaning
    letter = next((word for word in how.dwell_letters if word != " " and word in step.values), "")
    seconds = NAN
    if letter:
        control.taken.add(letter)
        value = step.values.pop(letter)
        step.lengths.pop(letter, None)
        seconds = value * dwell_unit(control, letter in step.bare)
        seconds = seconds if seconds >= 0 else NAN
    if seconds != seconds:
        control.note("unknown-value", "a dwell whose time is not known", "state its time", affects="time", key="dwell")
    control.recorder.event(
        "dwell", control.block, code="G4", value=seconds, seconds=seconds, skipped_by=step.skips.get(letter, 0)
    )


def dwell_unit(control: "Control", is_bare: bool) -> float:
    """Seconds of one unit of a time word."""
    return control.meaning.dwell_without_point if is_bare else control.meaning.dwell_with_point


# ------------------------------------------------------------------ reference


def reference(control: "Control", step: Step, code: int) -> None:
    """G28, G30: by way of the point in the block to the reference point, which program coordinates do not tell."""
    control.taken.add("P")
    rotary = [letter for letter in "ABC" if letter in step.values]
    turning = [axis for letter, axis in motion.LATHE_AXES.items() if letter in step.values and control.meaning.lathe_codes]
    start = control.position
    axes = _axes(control, step)
    named = {*axes, *turning}
    if control.meaning.reference_axes == "all" or code == 270 and not named:
        named = set("XYZ")
    if axes:
        control.assume("units")
        control.assume("distance")
    way = {letter: value if control.absolute else start["XYZ".index(letter)] + value for letter, value in axes.items()}
    goes_by = any(control.absolute or axes[letter] != 0.0 for letter in axes)
    by = _moved(start, way) if goes_by else start
    control.recorder.event(
        "reference", control.block, code=shown(code), words={letter: axes.get(letter, 0.0) for letter in sorted(named)}
    )
    if goes_by and by != start:
        control.recorder.move(Kind.RAPID, start, by, NAN, control.block)
    end = _moved(by, dict.fromkeys(named, NAN))
    if named:
        control.recorder.move(Kind.RAPID, by, end, NAN, control.block)
    control.position = end
    control.lose("".join(rotary))


def from_reference(control: "Control", step: Step, code: int) -> None:
    """G29: back from the reference point to the point in the block."""
    start = control.position
    end = motion.target(control, step)
    control.recorder.move(Kind.RAPID, start, end, NAN, control.block)
    control.position = end


def skip(control: "Control", step: Step, code: int) -> None:
    """G31: feeds until a signal comes."""
    motion.probe(control, step, code)


def measure(control: "Control", step: Step, code: int) -> None:
    """G37: measures the tool; where Z stands after it is not known."""
    named = "".join(_axes(control, step))
    control.note("not-simulated", "tool length measurement is not worked out", affects="z", key="measure")
    control.lose(named or "Z")


# ------------------------------------------------------------- coordinates


def offset(control: "Control", step: Step, code: int) -> None:
    """G54 and its like: other work coordinates. The position is known in them only when both offsets are."""
    words = _use(control, step, "P") if code in (540, 541, 1540) else {}
    number = words.get("P")
    if code == 540 and number is None:
        name = "G54"
    elif number is not None and math.isfinite(number):
        name = f"{'G154' if code == 1540 else 'G54.1'} P{number:g}"
    else:
        name = shown(code) if code not in (541, 1540) else f"{shown(code)} P?"
    before = control.state.coordinates
    if before != name and (before or name != control.meaning.work_offset):
        old = control.offsets.get(before or control.meaning.work_offset, _NOWHERE)
        control.position = _minus(_plus(control.position, old), control.offsets.get(name, _NOWHERE))
    control.set_state(replace(control.state, coordinates=name))
    _name_coordinates(control)
    control.recorder.event("work_offset", control.block, code=name)


def _name_coordinates(control: "Control") -> None:
    """The name of the work coordinates, with the shifts that make them another place."""
    state = control.state
    shift = _plus(state.shift, state.preset if state.preset_on else (0.0, 0.0, 0.0))
    shift = _plus(shift, control.moved_offsets.get(state.coordinates or control.meaning.work_offset, (0.0, 0.0, 0.0)))
    name = state.coordinates
    parts = [
        f"{letter}{value:g}" if math.isfinite(value) else f"{letter}?"
        for letter, value in zip("XYZ", shift, strict=True)
        if value != 0.0
    ]
    if parts:
        name = f"{name or control.meaning.work_offset} shifted {' '.join(parts)}"
    control.set_modal(work_offset=name)


def local_shift(control: "Control", step: Step, code: int) -> None:
    """G52: shifts the work coordinates to the point in the block."""
    control.assume("units")
    shift = _moved(control.state.shift, _axes(control, step))
    control.position = _minus(_plus(control.position, control.state.shift), shift)
    control.set_state(replace(control.state, shift=shift))
    _name_coordinates(control)


def preset(control: "Control", step: Step, code: int) -> None:
    """G92: gives the position the tool has new coordinates (NISTIR 6556, 3.5.18). With S alone: a limit of the spindle speed."""
    axes = _axes(control, step)
    if not axes:
        control.taken.add("S")
        return
    control.assume("units")
    here = control.position
    base = control.state.preset if control.state.preset_on else (0.0, 0.0, 0.0)
    wanted = _moved(here, axes)
    change = _moved((0.0, 0.0, 0.0), {letter: here[at] - wanted[at] for at, letter in enumerate("XYZ") if letter in axes})
    control.position = wanted
    control.set_state(replace(control.state, preset=_plus(base, change), preset_on=True))
    _name_coordinates(control)


def preset_off(control: "Control", step: Step, code: int) -> None:
    """G92.1 forgets the shift, G92.2 suspends it, G92.3 brings it back."""
    state = control.state
    if code == 923:
        if not state.preset_on:
            control.position = _minus(control.position, state.preset)
            control.set_state(replace(state, preset_on=True))
    else:
        if state.preset_on:
            control.position = _plus(control.position, state.preset)
        kept = (0.0, 0.0, 0.0) if code == 921 else state.preset
        control.set_state(replace(state, preset=kept, preset_on=code == 921))
    _name_coordinates(control)


def set_data(control: "Control", step: Step, code: int) -> None:
    """G10: sets work offsets (L2, L20) and tool lengths (L1, L10, L11); other data is left aside."""
    level, number = step.values.get("L"), step.values.get("P")
    axes, r = _axes(control, step), control.length(step, "R")
    control.taken |= set(step.values) - set("FST")
    if level == 2 or (level == 20 and control.meaning.g10_l20 == "extended"):
        _set_offset(control, level, number, axes)
    elif level == 20:
        here = control.position
        name = control.state.coordinates or control.meaning.work_offset
        old = control.offsets.get(name, _NOWHERE)
        control.position = _moved(here, axes)
        control.offsets[name] = _plus(old, _minus(here, control.position))
        _keep_change(control, name, _minus(here, control.position), axes)
    elif level in (1, 10, 11) and number is not None and math.isfinite(number):
        value = axes.get("Z", r)
        control.lengths[round(number)] = value if value is not None and level != 11 else NAN


def _set_offset(control: "Control", level: float, number: float | None, axes: dict[str, float]) -> None:
    if number is None or not math.isfinite(number):
        control.offsets.clear()
        return
    count = round(number)
    name = f"G54.1 P{count}" if level == 20 else f"G{53 + count}" if count <= 6 else f"G59.{count - 6}"
    if count == 0 and level == 2:  # the external offset shifts all work coordinates
        control.lose("".join(axes))
        used = control.state.coordinates or control.meaning.work_offset
        _keep_change(control, used, _NOWHERE, axes)
        return
    old = control.offsets.get(name, _NOWHERE)
    if not control.absolute and control.meaning.lathe_codes:  # adds to the offset on word-address controls
        axes = {letter: old["XYZ".index(letter)] + value for letter, value in axes.items()}
    _change_offset(control, name, axes)


def _change_offset(control: "Control", name: str, axes: Mapping[str, float]) -> None:
    """Another value of a work offset; when it is the one in force, the position has other numbers."""
    old = control.offsets.get(name, _NOWHERE)
    new = control.offsets[name] = _moved(old, axes)
    _keep_change(control, name, _minus(new, old), axes)
    if name == (control.state.coordinates or control.meaning.work_offset):
        change = {letter: old[at] - new[at] for at, letter in enumerate("XYZ") if letter in axes}
        control.position = _plus(control.position, _moved((0.0, 0.0, 0.0), change))


def _keep_change(control: "Control", name: str, change: Point, axes: Mapping[str, float]) -> None:
    """A work offset that changes after it has been cut in: from then on its coordinates lie elsewhere, and their name says so.

    Before the first cut in it, the program only sets the offset that its coordinates are meant in.
    """
    if axes and control.recorder.has_cut_in(name, control.meaning.work_offset):
        old = control.moved_offsets.get(name, (0.0, 0.0, 0.0))
        only = {letter: change[at] for at, letter in enumerate("XYZ") if letter in axes}
        control.moved_offsets[name] = _plus(old, _moved((0.0, 0.0, 0.0), only))
        _name_coordinates(control)


def write_offset(control: "Control", number: int, letter: str, value: float) -> None:
    """A work offset set by system variable: `number` 1 is G54."""
    _change_offset(control, f"G{53 + number}" if number <= 6 else f"G59.{number - 6}", {letter: value})


# -------------------------------------------------------------- compensation


def number_of(name: str) -> int | None:
    """The number in the name of a length offset; None for none, or one that is not known."""
    return int(name[1:]) if name[1:].isdigit() else None


def length(control: "Control", step: Step, code: int) -> None:
    """G43, G44, G49: another tool length. The tool stays, so Z has another number, known only when both lengths are."""
    if code == 490:
        name, value = "", 0.0
    else:
        given = _use(control, step, "H").get("H")
        number = control.last_length if given is None else round(given) if math.isfinite(given) else None
        if given is None and number is None:
            number = control.state.modal.tool
        if given is not None:
            control.last_length = number
        elif code in (430, 440) and control.meaning.lathe_codes:
            says = f"{shown(code)} without an H word: which length counts is left to what was in force before"
            control.note(
                "length-offset-without-number", says, "write the H number of this tool beside it", affects="z", key=shown(code)
            )
        name = "H?" if number is None else f"H{number}"
        value = NAN if number is None else control.lengths.get(number, NAN) * (-1.0 if code == 440 else 1.0)
        if code in (431, 432):
            value = NAN
            control.taken |= set("XYZ") if code == 431 else set()
    tool = control.state.modal.tool
    if number_of(name) not in (None, 0, tool) and tool is not None:
        says = f"T{tool} is in the spindle and {name} gives the length of another tool"
        do = f"write H{tool}, or make sure that {name} holds this tool's length"
        if control.selected is not None and name == f"H{control.selected}":
            do = f"write M6 to bring {name.replace('H', 'T')}, which is only called; or H{tool}, if T{tool} is meant"
        control.note("other-length-offset", says, do, key=f"{tool} {name}")
    if name != control.state.modal.length_offset:
        control.z += control.state.length_value - value
        control.set_state(replace(control.state, length_value=value))
        control.set_modal(length_offset=name)


def side(control: "Control", step: Step, code: int) -> None:
    """G40, G41, G42: the programmed path is kept; the tool runs beside it."""
    number = _use(control, step, "D").get("D")
    if code == 400:
        control.set_modal(side_compensation="")
        return
    name = shown(code) + (f" D{number:g}" if number is not None and math.isfinite(number) else "")
    control.set_modal(side_compensation=name)
    control.note(
        "not-simulated", "radius compensation is on: the programmed path is followed, not the path of the tool centre", key="side"
    )


# -------------------------------------------------------------------- figures


def _frame(control: "Control", **changes: object) -> None:
    frame = replace(control.frame or Frame(), **changes)  # type: ignore[arg-type]
    control.frame = None if frame.changes_nothing else frame
    control.settle()


def polar(control: "Control", step: Step, code: int) -> None:
    """G16, G15: positions by radius and angle."""
    control.set_state(replace(control.state, polar=code == 160))
    control.polar_point = (NAN, NAN)
    control.settle()


def rotation(control: "Control", step: Step, code: int) -> None:
    """G68, G69: figures are rotated around a point; G69 also ends a tilted plane."""
    if code == 690:
        if control.state.tilted:
            control.set_state(replace(control.state, tilted=False))
            control.position = _NOWHERE
        _frame(control, angle=0.0)
        return
    axes = _axes(control, step)
    angle = _use(control, step, "R").get("R", NAN)
    if "R" in step.bare and control.increments is not None and "R" in control.increments.letters:
        angle *= control.increments.millimetre  # thousandths of a degree
    if angle != angle:
        control.note("unknown-value", "a rotation whose angle is not known", "state R", affects="x y z", key="rotation")
    here = _moved(control.position, axes)
    first, second = IN_PLANE[control.plane]
    _frame(control, angle=math.radians(angle), centre=(here[first], here[second]), plane=control.plane)


def tilted(control: "Control", step: Step, code: int) -> None:
    """G68.2: a tilted plane; positions in it are not worked out."""
    control.taken |= set(step.values) - set("FST")
    control.note("not-simulated", "a tilted plane is recognised, its positions are not worked out", affects="x y z", key="tilted")
    control.set_state(replace(control.state, tilted=True))
    control.position = _NOWHERE


def scaling(control: "Control", step: Step, code: int) -> None:
    """G51, G50: figures are scaled around a point. G50 with S is a limit of the spindle speed on turning controls."""
    if code == 500:
        if "S" in step.values:
            control.taken |= {"S"}
        _frame(control, scale=(1.0, 1.0, 1.0))
        return
    axes = _axes(control, step)
    words = _use(control, step, "PIJK")
    unit = control.meaning.scale_without_point
    worth = {letter: value * (unit if letter in step.bare else 1.0) for letter, value in words.items()}
    every = worth.get("P", 1.0)
    scale = (worth.get("I", every), worth.get("J", every), worth.get("K", every))
    if not all(math.isfinite(factor) and factor != 0.0 for factor in scale):
        control.note("unknown-value", "a scaling whose factor is not known", "state P, or I J K", affects="x y z", key="scaling")
        scale = _NOWHERE
    _frame(control, scale=scale, scale_centre=_moved(control.position, axes))


def mirror(control: "Control", step: Step, code: int) -> None:
    """G51.1, G50.1: figures are mirrored at the coordinates in the block."""
    old = (control.frame or Frame()).mirror
    axes = _axes(control, step)
    if code == 511:
        new = tuple(axes.get(letter, at) for letter, at in zip("XYZ", old, strict=True))
    else:
        new = tuple(None if letter in axes or not axes else at for letter, at in zip("XYZ", old, strict=True))
    _frame(control, mirror=new)


# --------------------------------------------------------------- small things


def path(control: "Control", step: Step, code: int) -> None:
    """G61, G64: exact stop or continuous path. A tolerance in P or Q belongs to it."""
    _use(control, step, "PQR")
    control.set_state(replace(control.state, path=shown(code)))


def arc_centre(control: "Control", step: Step, code: int) -> None:
    """G90.1, G91.1: I J K of arcs absolute or from the start."""
    control.set_state(replace(control.state, arc_centre="absolute" if code == 901 else "incremental"))


def spindle_mode(control: "Control", step: Step, code: int) -> None:
    """G96, G97: S is a cutting speed or a spindle speed."""
    control.taken.add("D")
    mode = code // 10
    if mode == 96 and control.state.spindle_mode != 96:
        control.note(
            "not-simulated",
            "constant cutting speed: the spindle speed depends on the diameter and is not worked out",
            affects="rpm",
            key="surface speed",
        )
        control.set_modal(rpm=None)
    control.set_state(replace(control.state, spindle_mode=mode))


def nothing(control: "Control", step: Step, code: int) -> None:
    """Known to move nothing that is followed here; its own words are not looked at."""
    control.taken |= set(step.values) - set("FSTXYZABCIJKR")


def unknown_axes(control: "Control", step: Step, code: int) -> None:
    """Moves axes by angles that only the machine knows."""
    control.taken |= set(AXES)
    control.lose("XYZABC")


def not_simulated(control: "Control", step: Step, code: int) -> None:
    """Recognised; where it leads is not worked out."""
    name = control.codes[code].name
    _lost_path(control, step, "not-simulated", f"{shown(code)} ({name}) is recognised, its path is not worked out", shown(code))


def lathe(control: "Control", step: Step, code: int) -> None:
    """A turning cycle: recognised, not worked out. A roughing cycle runs its profile by itself, so that is passed over."""
    control.is_turning = True
    q = step.values.get("Q")
    if code in (710, 720, 730) and "P" in step.values and q is not None and math.isfinite(q):
        control.skip_behind = q
    _lost_path(control, step, "lathe-code", f"{shown(code)} is a turning cycle here: recognised, not worked out", shown(code))


def _lost_path(control: "Control", step: Step, name: str, says: str, key: str) -> None:
    letters = [letter for letter in AXES if letter in step.values]
    named = {motion.LATHE_AXES.get(letter, letter) for letter in letters} or {"X", "Y", "Z"}
    control.taken |= set(step.values) - set("FST")
    control.note(name, says, affects=" ".join(sorted(named)).lower() + " time", key=key)
    start = control.position
    control.lose("".join(named))
    control.recorder.move(Kind.FEED, start, control.position, NAN, control.block)


def _interpreted_elsewhere(control: "Control", step: Step, code: int) -> None:
    """Macro calls are followed by the interpreter."""


ACTS: Mapping[str, Act] = MappingProxyType(
    {
        "dwell": dwell,
        "reference": reference,
        "from_reference": from_reference,
        "skip": skip,
        "measure": measure,
        "offset": offset,
        "local_shift": local_shift,
        "preset": preset,
        "preset_off": preset_off,
        "set_data": set_data,
        "length": length,
        "side": side,
        "polar": polar,
        "rotation": rotation,
        "tilted": tilted,
        "scaling": scaling,
        "mirror": mirror,
        "path": path,
        "arc_centre": arc_centre,
        "spindle_mode": spindle_mode,
        "nothing": nothing,
        "unknown_axes": unknown_axes,
        "not_simulated": not_simulated,
        "lathe": lathe,
        "macro_call": _interpreted_elsewhere,
        "macro_cancel": _interpreted_elsewhere,
    }
)
