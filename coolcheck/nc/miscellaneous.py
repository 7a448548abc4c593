"""The words that stand for themselves: F, S, T, and the miscellaneous functions (M codes) with what belongs to them.

ISO 6983-1 calls M the miscellaneous function. What a code means is a row of the dialect record; a code without a row is the
machine builder's, and only a machine record can explain it.
"""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from coolcheck.nc.semantics import Miscellaneous
from coolcheck.nc.words import Step

if TYPE_CHECKING:
    from coolcheck.nc.control import Control

_NO_EVENT = frozenset({"call", "local_call", "return"})  # the interpreter follows these
_KINDS = (
    ("spindle", "spindle_and_fluid", "orient"),
    ("fluid", "spindle_and_fluid"),
    ("stop", "optional_stop", "end"),
    ("tool_change",),
)
_AXES_OF = {"U": "x", "V": "y", "W": "z"}
_MOTION = frozenset("XYZABCUVWIJKR") | {",R", ",C"}


def words_before_move(control: "Control", step: Step) -> None:
    """F, S, T, tool change and the M codes that act before the motion of their block."""
    values = step.values
    if "F" in values:
        control.set_feed(values["F"], "F" in step.bare)
        control.taken.add("F")
    if "E" in values and control.meaning.e_word != "none":
        control.taken.add("E")
        if control.meaning.e_word == "feed":
            control.set_feed(values["E"], "E" in step.bare)
    rows = [_row(control, code) for code in step.ms]
    if len(rows) > 1:
        _conflicts(control, rows)
    if "S" in values and not _belongs_to_builder_code(rows, step):
        _speed(control, step, rows)
    _tool(control, step, rows)
    for row in rows:
        if not row.after_move and row.does not in ("tool_change", "builder"):
            _act(control, step, row)


def words_after_move(control: "Control", step: Step) -> None:
    """The M codes that act when the motion is done, and a look at what nothing has used."""
    for code in step.ms:
        row = _row(control, code)
        if row.after_move:
            _act(control, step, row)
    if not step.ms:
        _unused(control, step)


def builder_codes(control: "Control", step: Step) -> None:
    """The events of builder-assigned codes, with the words that nothing else in the block takes.

    When such a code acts is not known; its event stands before the motion, where most machines begin it.
    """
    for code in step.ms:
        row = _row(control, code)
        if row.does == "builder":
            _builder(control, step, code)


def _row(control: "Control", code: int) -> Miscellaneous:
    row = control.meaning.m_codes.get(code)
    return row if row is not None else Miscellaneous(code, "builder")


def _conflicts(control: "Control", rows: list[Miscellaneous]) -> None:
    """Two codes of one kind: which of them counts, and whether both are taken, differs between controls."""
    for kind in _KINDS:
        codes = [f"M{row.code}" for row in rows if row.does in kind]
        if len(codes) > 1:
            says = f"{' and '.join(codes)} stand in one block: some controls take only one of them, or stop"
            control.note("conflicting-codes", says, "write them in blocks of their own", key=" ".join(codes))


def _belongs_to_builder_code(rows: list[Miscellaneous], step: Step) -> bool:
    """`M811 S100`: the S is the builder's, unless a code in the block is known to want a spindle speed."""
    wants_speed = any(row.does in ("spindle", "spindle_and_fluid", "rigid_tap", "gear", "orient", "tool_change") for row in rows)
    return any(row.does == "builder" for row in rows) and not wants_speed


def _whole(value: float) -> int | None:
    return round(value) if math.isfinite(value) and abs(value) < 1e12 else None


def _speed(control: "Control", step: Step, rows: list[Miscellaneous]) -> None:
    """The S word: a speed, or under G96 a cutting speed whose rpm depends on the diameter."""
    control.taken.add("S")
    if any(code in (500, 920) for code in step.gs):  # a limit of the spindle speed on turning controls
        return
    value = step.values["S"]
    rpm = value if 0 <= value < math.inf and control.state.spindle_mode == 97 else None
    if rpm == control.state.modal.rpm and rpm is not None:
        return
    control.set_modal(rpm=rpm)
    if control.state.modal.spindle not in ("off",) and not any(row.spindle for row in rows):
        control.recorder.event(
            "spindle",
            control.block,
            code="S",
            value=rpm,
            direction=control.state.modal.spindle,
            skipped_by=step.skips.get("S", 0),
        )


# ---------------------------------------------------------------------- tools


def _tool(control: "Control", step: Step, rows: list[Miscellaneous]) -> None:
    """Select and change, in the order this control has for `M6 T6`."""
    changes = any(row.does == "tool_change" for row in rows)
    if changes and control.meaning.tool_change_takes == "gate":
        _change(control, step)
        _select(control, step, is_change=False)
        return
    _select(control, step, is_change=changes)
    if changes:
        _change(control, step)


def _select(control: "Control", step: Step, is_change: bool) -> None:
    if "T" in step.names:
        control.selected, control.selected_name = None, step.names["T"]
    elif "T" in step.values:
        control.taken.add("T")
        control.selected, control.selected_name = _whole(step.values["T"]), ""
        if control.selected is not None and control.selected >= 100 and not is_change and control.turret_block < 0:
            control.turret_block = control.block
    else:
        return
    if not is_change:
        control.recorder.event(
            "tool_select",
            control.block,
            code="T",
            value=control.selected if not control.selected_name else control.selected_name,
            skipped_by=step.skips.get("T", 0),
        )


def _change(control: "Control", step: Step) -> None:
    control.tool_changes += 1
    tool, name = control.selected, control.selected_name
    if tool is None and not name:
        control.note(
            "unknown-value",
            "a tool change without a known T word before it: which tool comes is not known",
            "state T before M6",
            affects="tool",
            key="T",
        )
    code = next(f"M{c}" for c in step.ms if _row(control, c).does == "tool_change")
    control.recorder.event("tool_change", control.block, code=code, value=tool, skipped_by=step.skips.get(code, 0))
    changes: dict[str, object] = {"tool": tool, "tool_name": name}
    if control.meaning.tool_change_stops_spindle:
        changes["spindle"] = "off"
    control.set_modal(**changes)
    control.lose(control.meaning.tool_change_moves)


# -------------------------------------------------------------------- M codes


def _act(control: "Control", step: Step, row: Miscellaneous) -> None:
    """What a code of the dialect's table does."""
    code = f"M{row.code}"
    skipped_by = step.skips.get(code, 0)
    words = dict(_left_over(control, step))
    details = {"code": code, "after_move": row.after_move, "skipped_by": skipped_by, "words": words}
    event = control.recorder.event
    if row.does in ("spindle", "spindle_and_fluid", "orient"):
        control.set_modal(spindle=row.spindle)
        event("spindle", control.block, value=control.state.modal.rpm, direction=row.spindle, **details)
        if row.does == "spindle_and_fluid":
            event("fluid", control.block, fluid=row.fluid, **details)
    elif row.does == "fluid":
        event("fluid", control.block, fluid=row.fluid, **details)
    elif row.does in ("stop", "optional_stop"):
        event(row.does, control.block, **details)
    elif row.does == "end":
        event("end", control.block, fluid=control.meaning.end_turns_off, **details)
        control.set_modal(spindle="off")
        control.ended = control.stopped = True
    elif row.does in ("override", "gear", "rigid_tap"):
        # known to the dialect as no matter of fluid; a machine record may still say otherwise
        event("m_code", control.block, fluid="" if code in control.builder_codes else "none", **details)


def _builder(control: "Control", step: Step, code: int) -> None:
    name = f"M{code}"
    words = dict(_left_over(control, step))
    control.taken |= set(words)
    control.recorder.event("m_code", control.block, code=name, words=words, skipped_by=step.skips.get(name, 0))
    if name not in control.builder_codes:
        control.note(
            "builder-m-code",
            f"{name} is assigned by the machine's builder: what it does, only a machine record can tell",
            f"list {name} under `codes` in the machine record",
            affects="fluid",
            key=name,
        )


def _left_over(control: "Control", step: Step) -> Iterator[tuple[str, float]]:
    """Words of the block that belong to its M code, because nothing else uses them."""
    for letter, value in step.values.items():
        if letter not in control.taken and letter not in _MOTION and letter not in "FTDHL":
            yield letter, value


def _unused(control: "Control", step: Step) -> None:
    for letter in step.values:
        if letter in control.taken or letter in "NO":
            continue
        control.note(
            "unknown-word",
            f"the word {letter} is used by nothing in its block",
            "check the block",
            affects=_AXES_OF.get(letter, ""),
            key=letter,
        )
