"""Codes of another machine become those of this one, where the records leave no doubt about what was meant."""

from coolcheck.process.model import LIQUID, MODES, Operation
from coolcheck.process.moments import table
from coolcheck.rewrite.differences import Changed, Differences, Said
from coolcheck.rewrite.fluid_words import code_words
from coolcheck.rewrite.machine_codes import code_that
from coolcheck.rewrite.mender import Mender, NotKnown
from coolcheck.rewrite.refusal import CannotPlan
from coolcheck.rewrite.targets import Target


def codes_of_this_machine(mender: Mender, target: Target) -> None:
    """Codes that do nothing here become those of this machine, where the tool record leaves one fluid to be meant."""
    recoded = [_recode(mender, operation) for operation in mender.timeline.operations]
    if not any(recoded):
        raise CannotPlan("it cannot be told which fluid these codes were meant to turn on", do="write the code of this machine")


def _recode(mender: Mender, operation: Operation) -> bool:
    """One tool: a single idle code before its cuts is the on code, a single one behind them the off code."""
    cuts, required = mender.cuts(operation), operation.tool_record.field("fluid.required")
    if cuts is None or not required.is_known or len(required.value) != 1 or required.value[0] not in LIQUID:
        return False
    mode = required.value[0]
    if not table(mender.timeline).at(cuts[0])[mode].is_no or not mender.is_fitted(mode):
        return False
    ons, offs = _idle(mender, cuts)
    if len(ons) != 1 or len(offs) > 1:
        return False
    machine = mender.timeline.binding.machine
    on, off = code_that(machine, "on", [mode]), code_that(machine, "off", [mode], MODES)
    if not (on.is_known and off.is_known):
        raise NotKnown(f"the code for {mode.replace('_', ' ')} is not known", (*on.missing, *off.missing))
    _replace(mender, operation.tool, ons[0], on.value)
    for index in offs:
        _replace(mender, operation.tool, index, off.value)
    return True


def _idle(mender: Mender, cuts: tuple[int, int]) -> tuple[list[int], list[int]]:
    """Codes that do nothing on this machine: from the tool change to the first cut, and from the last to the next change."""
    layout, events = mender.draft.layout, mender.events
    first, behind = layout.before_move(cuts[0]).event, layout.after_move(cuts[1]).event
    change = next((i for i in range(behind, len(events)) if events[i].kind == "tool_change"), len(events))
    ons = [i for i in range(mender.change_before(cuts[0]) + 1, first) if mender.codes.does_nothing(events[i])]
    return ons, [i for i in range(behind, change) if mender.codes.does_nothing(events[i])]


def _replace(mender: Mender, tool: int | None, index: int, new: Said) -> None:
    event, pen = mender.events[index], mender.draft.pen.for_mend(mender.draft.pen.mend, tool)
    block, words = mender.words(event)
    reason = f"{event.code} does nothing on this machine; {new.code} is its code for that fluid"
    edits = [pen.edit(words[0].start, words[0].end, pen.habits.gap.join(code_words(pen, new)), reason)]
    if words[1:]:
        edits += pen.without(block, words[1:], reason)
    mender.draft.add(edits, Differences(changed=(Changed(index, event.code, new, pen.mend, pen.tool),)))
