"""One regime for an edge, wet or dry; and no fluid where the tool record says that none is needed."""

from coolcheck.process.model import LIQUID, Operation
from coolcheck.process.moments import table
from coolcheck.rewrite.mender import AIR, Mender, NotKnown
from coolcheck.rewrite.refusal import CannotPlan
from coolcheck.rewrite.targets import Target


def one_regime(mender: Mender, target: Target) -> None:
    """Every cut of one edge wet, or every cut dry: as the tool record says, else as the job prefers."""
    if not target.operations:
        raise CannotPlan("it cannot be told which cuts this is about")
    regime = _regime(mender, target.operations[0])
    for operation in target.operations:
        if regime == "dry":
            _make_dry(mender, operation, "one regime for the edge: dry")
        else:
            _make_wet(mender, operation)


def _regime(mender: Mender, operation: Operation) -> str:
    history, prefers = operation.tool_record.field("fluid.edge history"), mender.timeline.binding.job.field("prefers")
    if history.is_known and history.value in ("wet", "dry"):
        return str(history.value)
    if prefers.is_known:
        return str(prefers.value)
    says = "neither the tool record nor the job says whether this edge is to run wet or dry"
    raise NotKnown(says, (*history.missing, *prefers.missing))


def _make_dry(mender: Mender, operation: Operation, reason: str) -> None:
    """No liquid during the cuts of this operation: the codes that turn it on go."""
    layout, cuts = mender.draft.layout, mender.cuts(operation)
    if cuts is None:
        return
    required = operation.tool_record.field("fluid.required")
    if not required.is_known:
        raise NotKnown(f"whether T{operation.tool} may run dry is not known", required.missing)
    if not set(required.value) & {"none", *AIR}:
        raise CannotPlan(f"the record of T{operation.tool} does not allow it to run dry", block=operation.blocks[0])
    begin = mender.change_before(cuts[0])
    if any(not table(mender.timeline).before_event(begin + 1)[mode].is_no for mode in LIQUID):
        raise CannotPlan("liquid is on, or may be, from before the tool change")
    for index in range(begin + 1, layout.after_move(cuts[1]).event):
        if mender.codes.turns(mender.events[index], "on") & set(LIQUID):
            mender.remove(index, reason)


def _make_wet(mender: Mender, operation: Operation) -> None:
    """Liquid during every cut of this operation: on before the first, and no code that turns it off in between."""
    layout, cuts = mender.draft.layout, mender.cuts(operation)
    if cuts is None:
        return
    between = range(layout.before_move(cuts[0]).event, layout.before_move(cuts[1]).event)
    if any(mender.events[index].kind in ("stop", "optional_stop") for index in between):
        raise CannotPlan("the program stops between the cuts: what the fluid does there is the machine's affair")
    state = table(mender.timeline).at(cuts[0])
    if not any(state[mode].is_yes for mode in LIQUID):
        modes = _wet_modes(mender, operation, between)
        says = mender.with_build_up(mender.on_codes(modes), modes)
        reason = "one regime for the edge: wet from the first cut on"
        mender.insert(mender.approach(cuts[0]), mender.leads_to(cuts[0], modes), says, reason)
    for index in between:
        if mender.codes.turns(mender.events[index], "off") & {*LIQUID, "all"}:
            mender.remove(index, "one regime for the edge: wet without interruption")


def _wet_modes(mender: Mender, operation: Operation, between: range) -> list[str]:
    """The liquid that the program uses between the cuts of this tool, else one that its record asks for."""
    for index in between:
        used = mender.codes.turns(mender.events[index], "on") & set(LIQUID)
        if used:
            return sorted(used)
    required = operation.tool_record.field("fluid.required")
    if not required.is_known:
        raise NotKnown(f"which fluid is right for T{operation.tool} is not known", required.missing)
    fitted = [mode for mode in required.value if mode in LIQUID and mender.is_fitted(mode)]
    if not fitted:
        raise CannotPlan(f"the machine has no fluid that the record of T{operation.tool} asks for", block=operation.blocks[0])
    return fitted[:1]


def off_where_unneeded(mender: Mender, target: Target) -> None:
    """The liquid of a tool whose record says that it needs none, or must not see it."""
    for operation in target.operations:
        _make_dry(mender, operation, f"the record of T{operation.tool} says that it needs no fluid")
