"""Facts of the fluid of an operation: what is commanded while it cuts, when it comes and goes, whether it arrives."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from coolcheck.known import Evidence, Known, Missing, Truth, combined, every, known, merged, negation, no, some, unknown, yes
from coolcheck.place import Place
from coolcheck.process.delivery import possible
from coolcheck.process.fact import counted, fact, meaningless, said
from coolcheck.process.facts_operation import entries
from coolcheck.process.fluids import commanded
from coolcheck.process.model import LIQUID, MODES, STREAMS, Chain, Fluid, HoleStep, Operation, Passage, Timeline
from coolcheck.process.moments import (
    code_book,
    event_rows,
    first_cut,
    first_feed,
    last_cut,
    opening,
    passages_of,
    previous_cut,
    remembered,
    start_event,
    table,
    tool_name,
    unlisted,
)
from coolcheck.process.operations import setup_for
from coolcheck.process.signals import cleared, meant, since_fluid, something_on
from coolcheck.records.record import Section

OUTSIDE = ("flood", "ring", "nozzle")
AIRS = ("air", "through_air")


def ever(operation: Operation, modes: Sequence[str]) -> Truth:
    """Is one of the modes commanded at some time while it cuts."""
    if not operation.fluid and not operation.kind_known.is_known:
        return unknown(*operation.kind_known.missing)  # it cuts where nobody knows, and so under what nobody knows
    if not operation.fluid:
        return no(Evidence("cuts", "none", source="program", note=f"{tool_name(operation.tool)} does not cut here"))
    return some(commanded(state, modes) for state in operation.fluid)


@fact("operation")
def liquid_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """A liquid is commanded at some time."""
    return ever(operation, STREAMS)


@fact("operation")
def dry(operation: Operation, timeline: Timeline) -> Truth:
    """No liquid, mist or minimum quantity at any time."""
    return negation(ever(operation, LIQUID))


@fact("operation")
def flood_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Flood is commanded."""
    return ever(operation, ("flood",))


@fact("operation")
def ring_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """The ring is commanded."""
    return ever(operation, ("ring",))


@fact("operation")
def nozzle_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """The programmable nozzle is commanded."""
    return ever(operation, ("nozzle",))


@fact("operation")
def outside_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Fluid from outside is commanded."""
    return ever(operation, OUTSIDE)


@fact("operation")
def through_tool_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Through-tool fluid is commanded."""
    return ever(operation, ("through_tool",))


@fact("operation")
def air_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Outside air is commanded."""
    return ever(operation, ("air",))


@fact("operation")
def through_air_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Air through the spindle is commanded."""
    return ever(operation, ("through_air",))


@fact("operation")
def mist_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Mist is commanded."""
    return ever(operation, ("mist",))


@fact("operation")
def minimum_quantity_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """Minimum quantity is commanded."""
    return ever(operation, ("minimum_quantity",))


@fact("operation")
def liquid_with_air(operation: Operation, timeline: Timeline) -> Truth:
    """A liquid and air at the same moment."""
    return some(every((commanded(state, STREAMS), commanded(state, AIRS))) for state in operation.fluid)


@fact("operation")
def wanted_mode_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """One of the tool's own modes is commanded, or it may run dry."""
    wanted: Known[tuple[str, ...]] = operation.tool_record.field("fluid.required")
    if not wanted.is_known:
        return unknown(*wanted.missing)
    if "none" in wanted.value:
        return yes(*wanted.evidence)
    return ever(operation, tuple(wanted.value)).because(*wanted.evidence)


@fact("operation")
def forbidden_mode_commanded(operation: Operation, timeline: Timeline) -> Truth:
    """A mode the tool must not see is commanded."""
    forbidden: Known[tuple[str, ...]] = operation.tool_record.field("fluid.forbidden")
    if not forbidden.is_known:
        return unknown(*forbidden.missing)
    modes = {mode for word in forbidden.value for mode in (STREAMS if word == "liquid" else (word,))}
    return ever(operation, [mode for mode in MODES if mode in modes]).because(*forbidden.evidence)


# when it comes and goes


@fact("operation")
def fluid_stated(operation: Operation, timeline: Timeline) -> Truth:
    """A fluid code stands between the tool change and its first cut."""
    first, behind = opening(operation, timeline) + 1, start_event(operation, timeline)
    book = code_book(timeline)
    for event in timeline.execution.events[first:behind]:
        entry = book.entry(event) if event.code else None
        stated = entry is not None and (entry.field("on").is_known or entry.field("off").is_known)
        if stated or (event.kind == "fluid" and event.fluid and entry is None):
            return yes(Evidence(event.code, "stated", place=timeline.execution.place(event.block), source="program"))
    dark = unlisted(timeline, first, behind)
    if dark:
        return unknown(*merged(book.question(event.code) for event in dark))
    return no(Evidence("fluid codes", "none", place=operation.place, source="program", note="none before its first cut"))


def _state_at(row: int, timeline: Timeline) -> Fluid:
    return table(timeline).at(row)


@fact("operation")
def fluid_comes_late(operation: Operation, timeline: Timeline) -> Truth:
    """It enters material dry, and fluid comes while it cuts."""
    passages = passages_of(operation, timeline)
    if not passages:
        return said(False, "passages", "it does not enter material", "computed")
    dry_at_first = negation(commanded(_state_at(passages[0].rows[0], timeline), LIQUID))
    return every((dry_at_first, ever(operation, LIQUID)))


@fact("operation")
def fluid_goes_early(operation: Operation, timeline: Timeline) -> Truth:
    """Fluid is turned off in material and does not come back."""
    passages = passages_of(operation, timeline)
    changes = [(passage, event) for passage in passages for event in passage.changes]
    if not changes:
        dark = _dark_in_material(passages, timeline)
        return unknown(*dark) if dark else said(False, "changes in material", "none", "computed")
    spans = table(timeline).spans
    ends_dry = negation(commanded(_state_at(passages[-1].rows[1], timeline), LIQUID))
    goes = []
    for index, span in enumerate(spans):
        if span.event >= 0 and any(timeline.execution.events[span.event] is event for _, event in changes):
            goes.append(every((commanded(spans[index - 1].fluid, LIQUID), negation(commanded(span.fluid, LIQUID)))))
    return every((some(goes), ends_dry))


@fact("operation")
def ends_without_fluid(operation: Operation, timeline: Timeline) -> Truth:
    """Its first cut is made under a liquid, its last one without any."""
    first, last = first_cut(operation, timeline), last_cut(operation, timeline)
    if first is None or last is None:
        return said(False, "cuts", "it does not enter material", "computed")
    return every((commanded(_state_at(first, timeline), LIQUID), negation(commanded(_state_at(last, timeline), LIQUID))))


def _dark_in_material(passages: Iterable[Passage], timeline: Timeline) -> tuple[Missing, ...]:
    """What to ask about codes in the middle of passages that the machine record does not list: any of them may switch fluid."""
    rows, book = event_rows(timeline), code_book(timeline)
    dark = [
        event
        for passage in passages
        for event in unlisted(timeline, bisect_right(rows, passage.rows[0]), bisect_right(rows, passage.rows[1]))
    ]
    return merged(book.question(event.code) for event in dark)


@fact("operation")
def fluid_switches(operation: Operation, timeline: Timeline) -> Known[float]:
    """Codes that change the modes in material."""
    changes = [event for passage in passages_of(operation, timeline) for event in passage.changes]
    dark = _dark_in_material(passages_of(operation, timeline), timeline)
    if dark:
        return unknown(*dark)
    places = [
        Evidence(event.code, "in material", place=timeline.execution.place(event.block), source="program") for event in changes
    ]
    return counted(len(changes), "fluid changes in material", *merged(places))


@fact("operation")
def flood_interruptions(operation: Operation, timeline: Timeline) -> Known[float]:
    """Times the liquid stops and comes again."""
    first, last = first_cut(operation, timeline), last_cut(operation, timeline)
    if first is None or last is None:
        return counted(0, "interruptions")
    states = table(timeline)
    on = [commanded(states.spans[index].fluid, STREAMS) for index in states.within(first, last)]
    if any(not truth.is_known for truth in on):
        return unknown(*merged(m for truth in on for m in truth.missing))
    wet = [truth.value for truth in on]
    ran = [now for before, now in zip([None, *wet], wet, strict=False) if now != before]
    again = sum(1 for index, now in enumerate(ran) if now and index >= 2)
    return counted(again, "interruptions", *merged(e for truth in on for e in truth.evidence))


@fact("operation")
def nozzle_set(operation: Operation, timeline: Timeline) -> Truth:
    """A code sets the nozzle after the tool change."""
    first, behind = opening(operation, timeline) + 1, start_event(operation, timeline)
    row = first_feed(operation, timeline)
    on = commanded(_state_at(row if row is not None else operation.rows[0], timeline), ("nozzle",))
    return some((meant(timeline, ("nozzle_up", "nozzle_down"), first, behind), on))


@fact("operation")
def fluid_on_at_start(operation: Operation, timeline: Timeline) -> Truth:
    """Some fluid or air is on when its first feed or probing move begins."""
    row = first_feed(operation, timeline)
    return something_on(_state_at(row if row is not None else operation.rows[0], timeline))


@fact("operation", name="since_fluid")
def operation_since_fluid(operation: Operation, timeline: Timeline) -> Known[float]:
    """Time from the last fluid-off to its first feed or probing move."""
    row = first_feed(operation, timeline)
    at = row if row is not None else operation.rows[0]
    return since_fluid(timeline, bisect_right(event_rows(timeline), at), at)


@fact("operation", name="washed_before")
def operation_washed_before(operation: Operation, timeline: Timeline) -> Truth:
    """A wash or air blow ran between the last cut before it and its start."""
    row = first_feed(operation, timeline)
    start = row if row is not None else operation.rows[0]
    before = previous_cut(operation.rows[0], timeline)
    return cleared(timeline, before + 1, start)


@fact("operation")
def pressure_lead(operation: Operation, timeline: Timeline) -> Known[float]:
    """Time from the through-tool code to the first cut."""
    row = first_cut(operation, timeline)
    row = next(iter(entries(operation, timeline)), None) if row is None else row
    if row is None:
        return meaningless(f"{tool_name(operation.tool)} does not cut here")
    states = table(timeline)
    at = states.index(row)
    now = states.spans[at].fluid["through_tool"]
    if not now.is_known:
        return unknown(*now.missing, evidence=now.evidence)
    if now.is_no:
        late = ever(operation, ("through_tool",))
        if late.is_no:
            return meaningless(f"through-tool fluid is not commanded for {tool_name(operation.tool)}: there is no lead")
        return late.map(lambda _: 0.0)
    while at > 0 and not states.spans[at - 1].fluid["through_tool"].is_no:
        at -= 1
    span = states.spans[at]
    return timeline.clock.from_event(span.event, span.row, row).because(*span.fluid["through_tool"].evidence)


def through_tool(timeline: Timeline) -> Section:
    """The through-tool supply of the machine."""
    return timeline.binding.machine.entry("supplies", "through_tool")


@fact("operation")
def build_up_time(operation: Operation, timeline: Timeline) -> Known[float]:
    """From the code to full pressure."""
    return through_tool(timeline).field("build-up time")


@fact("operation")
def idle_fluid_time(operation: Operation, timeline: Timeline) -> Known[float]:
    """Longest time with liquid on and the spindle stopped."""
    events, states = timeline.execution.events, table(timeline)
    first, behind = opening(operation, timeline) + 1, start_event(operation, timeline)
    last_row = operation.rows[1] + 1
    while behind < len(events) and events[behind].row <= last_row and events[behind].kind not in ("tool_change", "end"):
        behind += 1
    stands, since = True, -1
    longest: list[Known[float]] = []
    running = {state: commanded(span.fluid, STREAMS) for state, span in enumerate(states.spans)}
    for index in range(max(first, 0), behind):
        event = events[index]
        if event.kind == "spindle":
            stands = event.direction == "off" if event.direction else stands
        on = running[states.index_after(index)]
        if stands and not on.is_known:
            return unknown(*on.missing, evidence=on.evidence)
        idle = stands and on.value
        if idle and since < 0:
            since = index
        elif not idle and since >= 0:
            longest.append(_between(timeline, since, index))
            since = -1
    if since >= 0 and behind < len(events):
        longest.append(_between(timeline, since, behind))
    if not longest:
        return known(0.0, Evidence("fluid with the spindle stopped", "never", source="program"))
    return combined(lambda *found: max(found), *longest)


def _between(timeline: Timeline, first: int, later: int) -> Known[float]:
    events = timeline.execution.events
    return timeline.clock.between_events(first, events[first].row, later, events[later].row)


# block skip


@fact("operation")
def fluid_hangs_on_block_skip(operation: Operation, timeline: Timeline) -> Truth:
    """A fluid that is on while it cuts was turned on in a block that an operator's switch would skip."""
    first, last = first_cut(operation, timeline), last_cut(operation, timeline)
    if first is None or last is None:
        return no(Evidence("cuts", "none", source="program", note=f"{tool_name(operation.tool)} does not cut here"))
    states = table(timeline)
    return some(_by_skipped_block(mode, index, timeline) for index in states.within(first, last) for mode in LIQUID)


def _by_skipped_block(mode: str, index: int, timeline: Timeline) -> Truth:
    """Was the mode, as far as it is on in that span, turned on by a block that may be skipped."""
    spans, events = table(timeline).spans, timeline.execution.events
    now = spans[index].fluid[mode]
    while index > 0 and spans[index - 1].fluid[mode] == now:
        index -= 1
    event = events[spans[index].event] if spans[index].event >= 0 else None
    if now.is_no or event is None or not event.skipped_by:
        return no(Evidence("block skip", "none", source="program", note="no fluid is turned on in a block that may be skipped"))
    place = timeline.execution.place(event.block)
    return now.because(Evidence(event.code, f"skipped by switch {event.skipped_by}", place=place, source="program"))


# how it arrives


@fact("operation")
def fluid_reaches_edge(operation: Operation, timeline: Timeline) -> Truth:
    """Some liquid, or the air it needs, reaches the edge."""
    return operation.delivered


def chain_of(operation: Operation, mode: str) -> Chain | None:
    """Its chain of that mode, None when the mode is not commanded."""
    return next((chain for chain in operation.chains if chain.mode == mode), None)


@fact("operation")
def through_tool_delivers(operation: Operation, timeline: Timeline) -> Truth:
    """Every link of the through-tool chain is yes."""
    chain = chain_of(operation, "through_tool")
    return chain.delivers if chain else ever(operation, ("through_tool",))


@fact("operation")
def through_tool_arrives(operation: Operation, timeline: Timeline) -> Truth:
    """Through-tool fluid is commanded, and some of it comes out at the edge."""
    commanded_ = ever(operation, ("through_tool",))
    chain = next((chain for chain in operation.chains if chain.mode == "through_tool"), None)
    return commanded_ if chain is None else every((commanded_, chain.wets))


@fact("operation")
def through_tool_possible(operation: Operation, timeline: Timeline) -> Truth:
    """Every link would pass through-tool fluid, commanded or not."""
    return possible("through_tool", setup_for(operation, timeline.binding)).delivers


@fact("operation", name="through_tool_supply")
def operation_through_tool_supply(operation: Operation, timeline: Timeline) -> Known[str]:
    """What the machine record says of its through-tool supply."""
    return through_tool(timeline).field("fitted")


@fact("operation")
def supply_pressure(operation: Operation, timeline: Timeline) -> Known[float]:
    """Pressure of the through-tool supply as commanded."""
    supply = through_tool(timeline)
    on = [state for state in operation.fluid if state["through_tool"].is_yes]
    levels = [state.level for state in on if state.level]
    if len(levels) < len(on) and len(supply.entries("levels")) > 1:
        question = "at which pressure level does through-tool fluid run where the program names none?"
        return unknown(Missing("machine", "codes.level", question, Place(str(timeline.binding.machine.file))))
    if not levels:
        return supply.field("rated pressure")
    return combined(lambda *found: max(found), *(supply.entry("levels", level).field("pressure") for level in merged(levels)))


@fact("operation")
def supply_flow(operation: Operation, timeline: Timeline) -> Known[float]:
    """Rated flow of that supply."""
    return through_tool(timeline).field("rated flow")


@fact("operation")
def supply_filter(operation: Operation, timeline: Timeline) -> Known[float]:
    """Filter of that supply."""
    return through_tool(timeline).field("filter")


@fact("operation")
def smallest_passage(operation: Operation, timeline: Timeline) -> Known[float]:
    """Smallest of exit, passage and holder bore."""
    tool, holder = operation.tool_record, operation.holder_record
    widths = (tool.field("fluid.exit diameter"), tool.field("fluid.passage diameter"), holder.field("bore"))
    return combined(lambda *found: min(found), *widths)


@fact("operation")
def confirmed_chips_cleared(operation: Operation, timeline: Timeline) -> Truth:
    """The job record confirms that chips are cleared."""
    return confirmed(timeline, "chips_cleared", operation.tool)


def confirmed(timeline: Timeline, what: str, tool: int | None) -> Truth:
    """Has a person confirmed that about this tool, or about the whole job."""
    for entry in timeline.binding.job.entries("confirmed"):
        stated, which = entry.field("what"), entry.field("T")
        if stated.is_known and stated.value == what and (not which.is_known or which.value == tool):
            return yes(*stated.evidence, *entry.field("by").evidence)
    return no(Evidence("confirmed", "no", source="record", note=f"no job record confirms {what.replace('_', ' ')}"))


# steps


@fact("step")
def flood_alone(step: HoleStep, timeline: Timeline) -> Truth:
    """Fluid from outside, and none through the tool."""
    fluid = step.fluid  # one state serves many steps
    return remembered(
        timeline,
        ("flood alone", id(fluid)),
        lambda: every((commanded(fluid, OUTSIDE), negation(commanded(fluid, ("through_tool",))))),
    )


@fact("step", name="through_tool_delivers")
def step_through_tool_delivers(step: HoleStep, timeline: Timeline) -> Truth:
    """Through-tool fluid is commanded and every link passes it."""
    chain = chain_of(step.operation, "through_tool")
    on = commanded(step.fluid, ("through_tool",))
    return on if chain is None else every((on, chain.delivers))
