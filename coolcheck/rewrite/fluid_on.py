"""Fluid on before the first cut, and early enough for its pressure."""

from collections.abc import Sequence

from coolcheck.process.fluids import FluidTable
from coolcheck.process.model import LIQUID, Operation
from coolcheck.process.moments import table
from coolcheck.rewrite.layout import Position
from coolcheck.rewrite.mender import ENOUGH, Mender
from coolcheck.rewrite.refusal import CannotPlan
from coolcheck.rewrite.targets import Target
from coolcheck.rewrite.through_tool import dwells


def on_before_cut(mender: Mender, target: Target) -> None:
    """The code that comes while the edge is cutting already comes before it."""
    for operation in target.operations:
        _on_before(mender, operation, LIQUID)


def _on_before(mender: Mender, operation: Operation, modes: Sequence[str]) -> None:
    layout, cuts = mender.draft.layout, mender.cuts(operation)
    if cuts is None or any(table(mender.timeline).at(cuts[0])[mode].is_yes for mode in modes):
        return
    cut, last = cuts
    events = range(layout.before_move(cut).event, layout.before_move(last).event)
    late = next((i for i in events if mender.codes.turns(mender.events[i], "on") & set(modes)), None)
    if late is None:
        raise CannotPlan("no code turns the fluid on later: which one is meant cannot be told")
    if not mender.codes.is_only_fluid(mender.events[late]):
        raise CannotPlan(f"{mender.events[late].code} does more than turn fluid on")
    turned = mender.codes.turns(mender.events[late], "on")
    says = mender.with_build_up([mender.words_of(late)], turned)
    reason = f"fluid on before T{operation.tool} cuts; it came while it was cutting already"
    mender.insert(mender.approach(cut), mender.leads_to(cut, turned), says, reason)


def time_to_build_up(mender: Mender, target: Target) -> None:
    """A dwell between the through-tool code and the first cut, for the pressure to build up."""
    for operation in target.operations:
        cuts = mender.cuts(operation)
        if cuts is None:
            continue
        on = _running_since(table(mender.timeline), mender.draft.layout.before_move(cuts[0]).event)
        if on is None:
            _on_before(mender, operation, ("through_tool",))
        else:
            _wait(mender, operation, on, cuts[0])


def _wait(mender: Mender, operation: Operation, on: int, cut: int) -> None:
    layout = mender.draft.layout
    needed = mender.needed(mender.supply("through_tool", "build-up time"), "the build-up time is not known")
    missing = needed - dwells(mender.events[on : layout.before_move(cut).event])
    if missing <= ENOUGH:
        return

    def fits(found: Position) -> bool:
        return found.event > on and layout.next_cut(found.row) == cut

    reason = f"time for the pressure to build up before T{operation.tool} cuts"
    mender.insert(mender.end_of_block(on), fits, [missing], reason)


def _running_since(states: FluidTable, event: int) -> int | None:
    """The event since which through-tool fluid has been on, before that event; None while it is not certainly on."""
    found: int | None = None
    for span in states.spans:
        if span.event >= event:
            break
        if not span.fluid["through_tool"].is_yes:
            found = None
        elif found is None:
            found = span.event
    return found if found is not None and found >= 0 else None
