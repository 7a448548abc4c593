"""What the codes between two moments do: wash, blow, check, move the nozzle; and for how long fluid has been off.

A code that the machine record does not list could do any of these: then the answer is unknown and asks for that code.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.known import Evidence, Known, Truth, known, merged, no, some, unknown, yes
from coolcheck.process.fluids import commanded
from coolcheck.process.model import MODES, Fluid, Timeline
from coolcheck.process.moments import code_book, event_rows, remembered, table, unlisted

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event

BLOWS = ("wash", "air", "through_air")
NEVER = 1e6  # s; stands for "no fluid ran before", very long for every rule
MEANS_BLOW = ("air_purge",)
NOBODY_SAYS = "not explained"


def meant(timeline: Timeline, meanings: Iterable[str], first: int, behind: int) -> Truth:
    """Is one of the events first … behind - 1 a code that the machine record says means one of `meanings`."""
    book, wanted = code_book(timeline), set(meanings)
    events, coded = timeline.execution.events, _coded(timeline)
    for index in coded[bisect_left(coded, first) : bisect_left(coded, behind)]:
        event = events[index]
        means = book.means(event)
        if means.is_known and means.value in wanted:
            return yes(_evidence(timeline, event, means.value), *means.evidence)
    return _doubt(timeline, first, behind)


def _coded(timeline: Timeline) -> list[int]:
    """The events that a code of the machine record can explain; a tapping cycle turns the spindle itself, once a hole: none."""
    events = timeline.execution.events
    kinds = ("m_code", "fluid", "spindle")
    found = (index for index, event in enumerate(events) if event.kind in kinds and event.code[:1] == "M")
    return remembered(timeline, "coded events", lambda: list(found))


def _doubt(timeline: Timeline, first: int, behind: int) -> Truth:
    """No, or unknown while a code in between is not explained."""
    dark = unlisted(timeline, first, behind)
    if dark:
        book = code_book(timeline)
        return unknown(
            *merged(book.question(event.code) for event in dark),
            evidence=tuple(_evidence(timeline, event, NOBODY_SAYS) for event in dark),
        )
    return no(Evidence("codes", "none", source="program", note="no such code stands there"))


def _evidence(timeline: Timeline, event: "Event", value: str) -> Evidence:
    return Evidence(event.code or event.kind, value, place=timeline.execution.place(event.block), source="program")


def ran(timeline: Timeline, modes: Sequence[str], first_row: int, last_row: int) -> Truth:
    """Was one of the modes on at some moment of rows first … last."""
    states = table(timeline)
    begins = int(np.searchsorted(states.rows, first_row, side="left"))  # several codes may act before one move: each counts
    indices = range(min(begins, states.index(first_row)), states.index(max(first_row, last_row)) + 1)
    return some(commanded(states.spans[index].fluid, modes) for index in indices)


def cleared(timeline: Timeline, first_row: int, last_row: int, also: Sequence[str] = ()) -> Truth:
    """Did a wash, an air blow, or a code that means one of `also`, run between two rows."""
    rows = event_rows(timeline)
    first, behind = between_rows(rows, first_row, last_row)
    return some((ran(timeline, BLOWS, first_row, last_row), meant(timeline, (*MEANS_BLOW, *also), first, behind)))


def cleared_until(timeline: Timeline, last_cut: int, event: int, also: Sequence[str] = ()) -> Truth:
    """Did a wash, an air blow, or a code that means one of `also`, run after the move `last_cut` and before that event.

    By events, not rows: a wash that is turned on and off where the tool stands has no move of its own.
    """
    first = bisect_left(event_rows(timeline), last_cut + 1)
    held = table(timeline)
    states = held.spans[held.index_before(first) : held.index_before(event) + 1]
    return some((some(commanded(span.fluid, BLOWS) for span in states), meant(timeline, (*MEANS_BLOW, *also), first, event)))


def between_rows(rows: list[int], first_row: int, last_row: int) -> tuple[int, int]:
    """Indices first and behind last of the events that stand before rows first … last, given the rows of all events."""
    return bisect_left(rows, first_row), bisect_right(rows, last_row)


def modes_on(state: Fluid) -> Known[str]:
    """The names of the modes that are on."""
    names = [mode.replace("_", " ") for mode, truth in state.modes if truth.is_yes]
    maybe = [mode.replace("_", " ") + " perhaps" for mode, truth in state.modes if not truth.is_known]
    evidence = merged(e for _, truth in state.modes if not truth.is_no for e in truth.evidence)
    return known(", ".join(names + maybe) or "none", *evidence)


def something_on(state: Fluid) -> Truth:
    """Is any fluid or air on."""
    return commanded(state, MODES)


def since_fluid(timeline: Timeline, event: int, row: int) -> Known[float]:
    """Time from the last moment some fluid or air ran to the event of that index: 0 while it runs, very long without any [s]."""
    states = table(timeline)
    spans, at = states.spans, states.index_before(event)
    now = something_on(spans[at].fluid)
    if not now.is_known:
        return unknown(*now.missing, evidence=now.evidence)
    if now.value:
        return known(0.0, *now.evidence)
    for index in range(at, 0, -1):
        before = something_on(spans[index - 1].fluid)
        if not before.is_known:
            return unknown(*before.missing, evidence=before.evidence)
        if before.value:
            off = spans[index]
            took = timeline.clock.between_events(off.event, off.row, event, row)
            return took.because(*now.evidence)
    return known(NEVER, Evidence("fluid", "none before", source="program", note="no fluid ran before"))
