"""Where one tool goes on to its next hole under another fluid, speed or feed: from there on it is an operation of its own.

What is said of an operation, delivered, dry, its speed, its feed, is said of every hole of it: so its holes are made alike.
"""

from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.known import Truth
from coolcheck.process.fluids import FluidTable, commanded
from coolcheck.process.model import LIQUID, Fluid
from coolcheck.process.sections import Rows
from coolcheck.process.visits import Visits

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution

Numbers = tuple[int, ...]


def borders(execution: "Execution", fluids: FluidTable, visits: Visits, chosen: Rows) -> Rows:
    """First rows of the visits, of the sections `chosen`, that are made under another regime than the visit before them.

    Where liquid comes after holes that were made dry no operation begins: that is one which is late with its fluid.
    """
    if len(visits) < 2:
        return np.zeros(0, np.int64)
    inside = np.isin(visits.section[1:], chosen) & (np.diff(visits.section) == 0)
    states = _numbered([_state(span.fluid) for span in fluids.spans])
    speeds = _numbered([(span.modal.spindle, span.modal.rpm) for span in execution.spans])
    fluid = _over(fluids.rows, states, visits)
    speed = _over(np.array([span.row for span in execution.spans], dtype=np.int64), speeds, visits)
    feed = visits.stroke_feed
    other_fluid = np.array([here != before for before, here in zip(fluid, fluid[1:], strict=False)], dtype=np.bool_)
    other_speed = np.array([here != before for before, here in zip(speed, speed[1:], strict=False)], dtype=np.bool_)
    other_feed = (feed[1:] != feed[:-1]) & ~(np.isnan(feed[1:]) & np.isnan(feed[:-1]))
    wet = [commanded(span.fluid, LIQUID) for span in fluids.spans]
    for at in np.flatnonzero(other_fluid & inside & ~other_speed & ~other_feed).tolist():
        other_fluid[at] = not _comes_late(wet, fluids, visits, at)
    begins: Rows = visits.first[1:][inside & (other_fluid | other_speed | other_feed)]
    return begins


def _state(fluid: Fluid) -> Hashable:
    """What two fluid states share that are alike, whatever code made them."""
    return fluid.level, tuple((mode, truth.value if truth.is_known else None) for mode, truth in fluid.modes)


def _numbered(keys: Sequence[Hashable]) -> Rows:
    """A number for each key, the same for equal ones."""
    numbers: dict[Hashable, int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], dtype=np.int64)


def _over(rows: Rows, numbers: Rows, visits: Visits) -> list[Numbers]:
    """The numbers of the spans, which begin at `rows`, over the cuts of each visit."""
    if not len(rows):
        return [()] * len(visits)
    first = np.maximum(np.searchsorted(rows, visits.first_cut, side="right") - 1, 0)
    last = np.maximum(np.searchsorted(rows, visits.last_cut, side="right") - 1, 0)
    return [
        (int(numbers[one]),) if one == other else tuple(dict.fromkeys(numbers[one : other + 1].tolist()))
        for one, other in zip(first.tolist(), last.tolist(), strict=True)
    ]


def _comes_late(wet: Sequence[Truth], fluids: FluidTable, visits: Visits, at: int) -> bool:
    """Is the visit `at` made dry as a whole, and the next one under liquid from its beginning."""
    before = range(fluids.index(int(visits.first_cut[at])), fluids.index(int(visits.last_cut[at])) + 1)
    return all(wet[index].is_no for index in before) and wet[fluids.index(int(visits.first_cut[at + 1]))].is_yes
