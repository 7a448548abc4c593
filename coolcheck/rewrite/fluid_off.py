"""Fluid off, and run out, before the tool changes, the program stops or ends."""

from collections.abc import Sequence

from coolcheck.process.model import MODES
from coolcheck.process.moments import commands, table
from coolcheck.rewrite.differences import Said
from coolcheck.rewrite.draft import STOPS, stops_between
from coolcheck.rewrite.layout import Position
from coolcheck.rewrite.machine_codes import codes_that_turn_off
from coolcheck.rewrite.mender import ENOUGH, Mender, NotKnown
from coolcheck.rewrite.targets import Target
from coolcheck.rewrite.through_tool import dwells


def off_before_pause(mender: Mender, target: Target) -> None:
    """Every fluid that the program has left on is turned off before the tool changes or the program stops."""
    for pause in target.pauses:
        stated = commands(mender.timeline).before_event(pause)
        running = [mode for mode in MODES if stated[mode].is_yes]
        if running and _is_left_over(mender, pause, running):
            continue
        if running:
            _turn_off(mender, pause, running, [mode for mode in MODES if stated[mode].is_no])
            _on_again(mender, pause, running)
        if "through_tool" not in running and mender.events[pause].kind == "tool_change":
            _drain(mender, pause)


def _is_left_over(mender: Mender, pause: int, running: Sequence[str]) -> bool:
    """Was the fluid left on at an earlier pause already, and has nothing cut or turned it on since? Then it is mended there."""
    layout, events = mender.draft.layout, mender.events
    earlier = next((i for i in range(pause - 1, -1, -1) if events[i].kind in STOPS), None)
    if earlier is None or earlier not in mender.pauses or layout.next_cut(events[earlier].row) < events[pause].row:
        return False
    stated = commands(mender.timeline).before_event(earlier)
    comes_on = any(mender.codes.turns(event, "on") & set(running) for event in events[earlier:pause])
    return not comes_on and all(stated[mode].is_yes for mode in running)


def _turn_off(mender: Mender, pause: int, running: Sequence[str], harmless: Sequence[str]) -> None:
    event = mender.events[pause]
    codes = codes_that_turn_off(mender.timeline.binding.machine, running, harmless)
    if not codes.is_known:
        raise NotKnown("the code that turns the fluid off is not known", codes.missing)
    says: list[Said | float] = list(codes.value)
    if "through_tool" in running and event.kind == "tool_change":
        says.append(mender.needed(mender.supply("through_tool", "decay time"), "how long the fluid runs out is not known"))
    cut = mender.draft.layout.last_cut(event.row)
    reason = f"fluid off before {event.code}, whatever the machine does by itself"
    moment = mender.draft.layout.clear_of(cut, mender.draft.layout.before_event(pause))
    mender.insert(moment, mender.behind_cut(cut, pause), says, reason)


def _on_again(mender: Mender, pause: int, running: Sequence[str]) -> None:
    """What the next cut had from before, without saying so, is turned on again for it."""
    layout = mender.draft.layout
    cut = layout.next_cut(mender.events[pause].row)
    if cut >= len(layout.execution.moves):
        return
    state = table(mender.timeline).at(cut)
    between = mender.events[pause : layout.before_move(cut).event]
    kept = [m for m in running if state[m].is_yes and not any(m in mender.codes.turns(e, "on") for e in between)]
    if not kept:
        return
    says = mender.with_build_up(mender.on_codes(kept), kept)
    mender.insert(mender.approach(cut), mender.leads_to(cut, kept), says, "fluid on again: the next cut had it from before")


def _drain(mender: Mender, pause: int) -> None:
    """Through-tool fluid is off in time but not long enough before: a dwell lets it run out."""
    layout = mender.draft.layout
    off = next((i for i in range(pause - 1, -1, -1) if "through_tool" in mender.codes.turns(mender.events[i], "off")), None)
    if off is None or stops_between(layout, layout.after_event(off), layout.before_event(pause)):
        return  # it did not run since the last stop
    if not table(mender.timeline).before_event(off)["through_tool"].is_yes:
        return
    decay = mender.needed(mender.supply("through_tool", "decay time"), "how long the fluid runs out is not known")
    missing = decay - dwells(mender.events[off:pause])
    if missing <= ENOUGH:
        return

    def fits(found: Position) -> bool:
        return off < found.event <= pause and not stops_between(layout, layout.after_event(off), found)

    reason = "time for the fluid to run out of the spindle before the tool change"
    mender.insert(mender.end_of_block(off), fits, [missing], reason)
