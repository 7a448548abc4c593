"""Facts of tool changes, stops and delivery chains: what still runs when somebody, or the gripper, comes near."""

from coolcheck.known import Evidence, Known, Missing, Truth, combined, every, known, no, unknown, yes
from coolcheck.process.fact import fact, meaningless
from coolcheck.process.facts_fluid import ever, through_tool
from coolcheck.process.facts_program import most_pressure
from coolcheck.process.fluids import AUTOMATIC, ending_question, optional_stop_is_on
from coolcheck.process.model import MODES, Fluid, Timeline
from coolcheck.process.moments import ChainOf, Change, Stop, code_book, commands, previous_cut, table, tool_name
from coolcheck.process.signals import cleared_until, modes_on, since_fluid, something_on

Pause = Change | Stop


@fact("change", name="name")
def next_tool(change: Change, timeline: Timeline) -> Known[str]:
    """T number of the next tool."""
    return known(tool_name(change.event.value if isinstance(change.event.value, int) else None))


@fact("change")
def from_name(change: Change, timeline: Timeline) -> Known[str]:
    """T number of the tool before."""
    return known(tool_name(change.before.tool) if change.before else "no tool")


@fact("change", "stop")
def fluid_on(pause: Pause, timeline: Timeline) -> Truth:
    """Some fluid is still on: commanded, and not turned off by the machine itself."""
    return something_on(_while_it_lasts(pause, timeline))


def _while_it_lasts(pause: Pause, timeline: Timeline) -> Fluid:
    """The fluid during the pause. An optional stop is looked at as one that is on: where it is off, nothing stops there."""
    event = pause.event
    if event.kind != "optional_stop":
        return table(timeline).after_event(pause.index)
    before, switch = table(timeline).before_event(pause.index), optional_stop_is_on(timeline.binding.job)
    machine, (field, words) = timeline.binding.machine, AUTOMATIC[event.kind]
    listed: Known[tuple[str, ...]] = machine.field(field)
    place = timeline.execution.place(event.block)

    def during(mode: str, runs: Truth) -> Truth:
        if runs.is_no:
            return runs
        if switch.is_no:
            return no(Evidence(event.code, "passed over", place=place, source="program"), *switch.evidence)
        if not listed.is_known:
            return unknown(ending_question(machine, field, words, mode), evidence=runs.evidence)
        return no(*listed.evidence) if mode in listed.value else runs

    return Fluid(tuple((mode, during(mode, runs)) for mode, runs in before.modes), before.level, before.place)


@fact("change", "stop")
def commanded_on(pause: Pause, timeline: Timeline) -> Truth:
    """The program has turned on some fluid, and neither program nor machine has ended it since."""
    return something_on(commands(timeline).before_event(pause.index))


@fact("change", "stop", name="modes_on")
def still_on(pause: Pause, timeline: Timeline) -> Known[str]:
    """Which modes are still commanded."""
    return modes_on(commands(timeline).before_event(pause.index))


@fact("change")
def through_tool_was_on(change: Change, timeline: Timeline) -> Truth:
    """Through-tool fluid was on in the operation before: commanded, on a machine that has it."""
    if change.before is None:
        return no(Evidence("operation before", "none", source="program"))
    fitted: Known[str] = through_tool(timeline).field("fitted")
    return every((ever(change.before, ("through_tool",)), fitted.map(lambda word: word == "yes")))


@fact("change")
def drain_time(change: Change, timeline: Timeline) -> Known[float]:
    """Time from through-tool fluid off to the change."""
    states = table(timeline)
    spans, at = states.spans, states.index_before(change.index)
    now = spans[at].fluid["through_tool"]
    if not now.is_known:
        return unknown(*now.missing, evidence=now.evidence)
    if now.value:
        return known(0.0, *now.evidence)
    for index in range(at, 0, -1):
        before = spans[index - 1].fluid["through_tool"]
        if not before.is_known:
            return unknown(*before.missing, evidence=before.evidence)
        if before.value:
            off = spans[index]
            took = timeline.clock.between_events(off.event, off.row, change.index, change.event.row)
            return took.because(*spans[index].fluid["through_tool"].evidence)
    return meaningless("no through-tool fluid ran before this tool change")


@fact("change")
def decay_time(change: Change, timeline: Timeline) -> Known[float]:
    """From the off code until nothing runs out of the spindle."""
    return through_tool(timeline).field("decay time")


@fact("change")
def spindle_commanded(change: Change, timeline: Timeline) -> Truth:
    """The program has not stopped the spindle before the change."""
    for event in reversed(timeline.execution.events[: change.index]):
        if event.kind == "spindle" and event.direction:
            evidence = Evidence(event.code, event.direction, place=timeline.execution.place(event.block), source="program")
            if event.direction == "unknown":
                return unknown(Missing("program", "", "does the spindle turn before this tool change?"), evidence=(evidence,))
            return no(evidence) if event.direction == "off" else yes(evidence)
        if event.kind in ("tool_change", "end"):
            break
    return no(Evidence("spindle", "not started", source="program", note="no spindle code since the tool change before"))


# stops


@fact("stop")
def kind(stop: Stop, timeline: Timeline) -> Known[str]:
    """Kind of stop."""
    if not stop.kind:
        return unknown(code_book(timeline).question(stop.event.code))
    return known(
        stop.kind, Evidence(stop.event.code, stop.kind, place=timeline.execution.place(stop.event.block), source="program")
    )


@fact("stop")
def code(stop: Stop, timeline: Timeline) -> Known[str]:
    """Its code."""
    return known(stop.event.code)


@fact("stop")
def pressure_on(stop: Stop, timeline: Timeline) -> Known[float]:
    """Highest pressure of the supplies that are still on."""
    state = _while_it_lasts(stop, timeline)
    pressures: list[Known[float]] = []
    for mode in MODES:
        on = state[mode]
        if on.is_no:
            continue
        pressure = most_pressure(timeline.binding.machine.entry("supplies", mode))
        pressures.append(pressure if on.is_known else unknown(*on.missing, evidence=on.evidence))
    if not pressures:
        return known(0.0, Evidence("supplies on", "none", source="computed"))
    return combined(lambda *found: max(found), *pressures)


@fact("stop", name="since_fluid")
def stop_since_fluid(stop: Stop, timeline: Timeline) -> Known[float]:
    """Time from the last fluid-off to the stop."""
    return since_fluid(timeline, stop.index, stop.event.row)


@fact("stop", name="washed_before")
def stop_washed_before(stop: Stop, timeline: Timeline) -> Truth:
    """A wash, an air blow or the chip conveyor ran between the last cut and it."""
    return cleared_until(timeline, previous_cut(stop.event.row, timeline), stop.index, also=("chip_conveyor",))


# chains


@fact("chain")
def mode(item: ChainOf, timeline: Timeline) -> Known[str]:
    """The fluid mode."""
    return known(item.chain.mode)


@fact("chain")
def delivers(item: ChainOf, timeline: Timeline) -> Truth:
    """Every link is yes."""
    return item.chain.delivers


@fact("chain")
def result(item: ChainOf, timeline: Timeline) -> Known[str]:
    """What becomes of it."""
    if item.chain.result == "unknown":
        weakest = item.chain.weakest
        missing = weakest.passes.missing if weakest else item.chain.delivers.missing
        return unknown(*(missing or item.chain.delivers.missing), evidence=item.chain.delivers.evidence)
    weakest = item.chain.weakest
    evidence = weakest.passes.evidence if weakest else item.chain.delivers.evidence
    note = weakest.says if weakest else "every link passes it"
    return known(
        item.chain.result, Evidence("delivery", item.chain.result.replace("_", " "), source="computed", note=note), *evidence
    )


@fact("chain")
def pressure(item: ChainOf, timeline: Timeline) -> Known[float]:
    """Rated pressure of this supply."""
    return timeline.binding.machine.entry("supplies", item.chain.mode).field("rated pressure")
