"""Facts of the program as a whole."""

from coolcheck.known import Evidence, Known, Missing, Truth, combined, known, merged, no, some, unknown, yes
from coolcheck.process.fact import fact, meaningless, said
from coolcheck.process.fluids import code_name, commanded, is_builder_code
from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import LIQUID, Timeline
from coolcheck.process.moments import code_book, tools, unlisted
from coolcheck.process.signals import meant, ran
from coolcheck.records.record import Section

OUTSIDE = ("flood", "ring", "nozzle")
OWN_NAMES = {"magnesium": "magnesium", "titanium": "titanium", "zirconium": "zirconium", "copper": "copper"}


@fact("program")
def name(program: Timeline, timeline: Timeline) -> Known[str]:
    """Name of the program file."""
    return known(timeline.execution.program.source.name)


@fact("program")
def ended(program: Timeline, timeline: Timeline) -> Truth:
    """Running it reaches a program end."""
    return said(
        timeline.execution.ended, "program end", "M2 or M30 is reached" if timeline.execution.ended else "none is reached"
    )


@fact("program")
def units_stated(program: Timeline, timeline: Timeline) -> Truth:
    """G20 or G21 stands before the first move."""
    assumed = next((note for note in timeline.execution.notes if note.id == "assumed-units"), None)
    if assumed is None:
        return said(True, "units", "stated before the first length")
    return no(Evidence("units", "assumed", place=assumed.place, source="program", note=assumed.says))


@fact("program")
def seconds(program: Timeline, timeline: Timeline) -> Known[float]:
    """Cycle time."""
    return timeline.seconds


@fact("program")
def cutting_time(program: Timeline, timeline: Timeline) -> Known[float]:
    """Time in the cut."""
    return timeline.cutting_seconds


@fact("program")
def time_pecking(program: Timeline, timeline: Timeline) -> Known[float]:
    """Time more than in one pass."""
    return timeline.pecking_seconds


@fact("program")
def longest_dwell(program: Timeline, timeline: Timeline) -> Known[float]:
    """Longest time of a G4."""
    dwells = [event for event in timeline.execution.events if event.kind == "dwell" and event.code == "G4"]
    if not dwells:
        return known(0.0, Evidence("dwell", "none", source="program"))
    dark = next((event for event in dwells if event.seconds != event.seconds), None)
    longest = dark or max(dwells, key=lambda event: event.seconds)
    place = timeline.execution.place(longest.block)
    if dark is not None:
        return unknown(Missing("program", "", "how long does this G4 dwell? Its time is not known", place))
    return known(longest.seconds, Evidence("G4", round(longest.seconds, 3), "s", place, "program"))


@fact("program")
def flooded_length_spread(program: Timeline, timeline: Timeline) -> Known[float]:
    """Longest less shortest tool that cuts under fluid from outside."""
    lengths = []
    for use in tools(timeline):
        wet = some(commanded(state, OUTSIDE) for operation in use.operations for state in operation.fluid)
        if not wet.is_no:
            length: Known[float] = use.record.field("LF")
            lengths.append(length if wet.is_known else unknown(*wet.missing, evidence=wet.evidence))
    if not lengths:
        return known(0.0, Evidence("tools under fluid from outside", "none", source="program"))
    return combined(lambda *found: max(found) - min(found), *lengths)


@fact("program")
def through_tool_supply(program: Timeline, timeline: Timeline) -> Known[str]:
    """What the machine record says of its through-tool supply."""
    return _through_tool(timeline).field("fitted")


def _through_tool(timeline: Timeline) -> Section:
    return timeline.binding.machine.entry("supplies", "through_tool")


@fact("program")
def through_tool_pressure(program: Timeline, timeline: Timeline) -> Known[float]:
    """Highest pressure of that supply."""
    return most_pressure(_through_tool(timeline))


def most_pressure(supply: Section) -> Known[float]:
    """The highest pressure a supply is recorded for: rated, or of its levels."""
    stated = [level.field("pressure") for level in supply.entries("levels")] + [supply.field("rated pressure")]
    found = [pressure for pressure in stated if pressure.is_known]
    return max(found, key=lambda pressure: pressure.value) if found else supply.field("rated pressure")


@fact("program")
def supply_confirmed(program: Timeline, timeline: Timeline) -> Truth:
    """The through-tool code is proved by a switch."""
    return _through_tool(timeline).field("confirmed")


@fact("program")
def pressure_checked(program: Timeline, timeline: Timeline) -> Truth:
    """A pressure check is called."""
    return meant(timeline, ("pressure_check",), 0, len(timeline.execution.events))


@fact("program")
def chips_washed(program: Timeline, timeline: Timeline) -> Truth:
    """Chips are washed away or conveyed."""
    rows = len(timeline.execution.moves)
    washes = any(operation.kind == "wash" for operation in timeline.operations)
    if washes:
        return said(True, "wash", "a wash operation")
    return some((ran(timeline, ("wash",), 0, rows), meant(timeline, ("chip_conveyor",), 0, len(timeline.execution.events))))


def _idle_codes(timeline: Timeline) -> Known[tuple[str, ...]]:
    events = timeline.execution.events
    dark = unlisted(timeline, 0, len(events))
    book = code_book(timeline)
    if dark:
        return unknown(*merged(book.question(event.code) for event in dark))
    names, evidence = [], []
    for event in events:
        means = book.means(event) if is_builder_code(event) else None
        if means is not None and means.is_known and means.value == "nothing":
            names.append(code_name(event.code))
            evidence.append(Evidence(event.code, "does nothing", place=timeline.execution.place(event.block), source="program"))
    return known(merged(names), *merged(evidence))


@fact("program")
def codes_without_effect(program: Timeline, timeline: Timeline) -> Known[float]:
    """Codes that do nothing on this machine."""
    return _idle_codes(timeline).map(lambda names: float(len(names)))


@fact("program")
def codes_without_effect_names(program: Timeline, timeline: Timeline) -> Known[str]:
    """Their names."""
    return _idle_codes(timeline).map(", ".join)


@fact("program")
def tank_turnover(program: Timeline, timeline: Timeline) -> Known[float]:
    """Tank volume over the largest flow used."""
    flows = []
    for mode in LIQUID:
        used = some(commanded(state, (mode,)) for operation in timeline.operations for state in operation.fluid)
        if used.is_yes:
            flows.append(timeline.binding.machine.entry("supplies", mode).field("rated flow"))
        elif not used.is_known:
            flows.append(unknown(*used.missing, evidence=used.evidence))
    if not flows:
        return meaningless("no liquid is used: there is no tank turnover")
    largest: Known[float] = combined(lambda *found: max(found), *flows)
    volume: Known[float] = timeline.binding.machine.field("tank")
    if largest.is_known and largest.value <= 0:
        return meaningless("the supplies used give no flow")
    return combined(lambda tank, flow: tank / flow, volume, largest)


@fact("program")
def material_forbidden(program: Timeline, timeline: Timeline) -> Truth:
    """The fluid record forbids this material."""
    listed: Known[tuple[str, ...]] = timeline.binding.fluid.field("forbidden")
    group, family = timeline.binding.material.field("group"), timeline.binding.material.field("family")
    return some(
        combined(lambda words, word: OWN_NAMES.get(word, word) in words, listed, name_of_it) for name_of_it in (group, family)
    )


@fact("program")
def material_allowed(program: Timeline, timeline: Timeline) -> Truth:
    """The fluid record allows this material; magnesium, titanium, zirconium and copper only by their own names."""
    listed: Known[tuple[str, ...]] = timeline.binding.fluid.field("allowed")
    group, family = timeline.binding.material.field("group"), timeline.binding.material.field("family")
    if family.is_known and family.value in OWN_NAMES:
        return combined(lambda words, word: word in words, listed, family)
    allowed: Truth = combined(lambda words, word: word in words, listed, group)
    return allowed if family.is_known or allowed.is_no else unknown(*family.missing, evidence=allowed.evidence)


@fact("program", name="cuts")
def program_cuts(program: Timeline, timeline: Timeline) -> Truth:
    """Some operation of it removes material."""
    cutting = sum(operation.kind not in WITHOUT_CUT for operation in timeline.operations)
    return said(cutting > 0, "cutting operations", f"{cutting} of {len(timeline.operations)} operations cut")


@fact("program")
def liquid_used(program: Timeline, timeline: Timeline) -> Truth:
    """Some liquid is commanded while some tool cuts."""
    cutting = [operation for operation in timeline.operations if operation.kind not in WITHOUT_CUT]
    truth = some(commanded(state, LIQUID) for operation in cutting for state in operation.fluid)
    return yes(*truth.evidence[:1]) if truth.is_yes else truth
