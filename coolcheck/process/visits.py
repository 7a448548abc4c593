"""Where a tool works on a hole: canned cycles, plunges by plain feed moves, full circles. Columns, one row a visit.

A hundred thousand holes are a hundred thousand rows of numbers here; objects are made from them only where somebody looks.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.moves import Floats, Kind
from coolcheck.process.sections import Rows, Section

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution, Moves

AXES = ("x", "y", "z")
ACROSS = {"x": ("y", "z"), "y": ("z", "x"), "z": ("x", "y")}  # the axes of the plane in which a hole along x, y, z has its place
RETRACTS = ("none", "chip_break", "full")
STILL = 1e-6  # mm; a move shorter than that along an axis stays in its place
SAME_CENTRE = 2e-3  # mm; arcs of one circle have one centre, but for the rounding of their words
FULL_TURN = 2 * np.pi - 0.02  # rad; so much sweep is a full circle
RISE_WITHIN = 4  # moves behind a circle within which the tool must rise for it to be a hole


@dataclass(frozen=True)
class Visits:
    """One row a visit of a tool to a hole, in program order. Heights and places in program coordinates [mm].

    section : index of the section; axis : 0, 1, 2 for x, y, z; u, v : place across the axis
    upper : height from which it feeds (the surface is at most there); bottom : deepest point
    first, last : first and last row; first_cut, last_cut : first and last feed row; block : that makes it
    cycle : index into `Execution.cycles`, -1 without; strokes : feed strokes; retract : index into RETRACTS
    diameter : of a circular path [mm], NaN where the tool itself makes the diameter; stroke_feed : feed of the strokes [mm/min]
    """

    section: Rows
    axis: Rows
    u: Floats
    v: Floats
    upper: Floats
    bottom: Floats
    first: Rows
    last: Rows
    first_cut: Rows
    last_cut: Rows
    block: Rows
    cycle: Rows
    strokes: Rows
    retract: Rows
    diameter: Floats
    stroke_feed: Floats

    def __len__(self) -> int:
        return len(self.section)

    def taken(self, which: NDArray[np.int64]) -> "Visits":
        """The visits of those rows, in that order."""
        return Visits(**{column.name: getattr(self, column.name)[which] for column in fields(self)})


def joined(parts: Sequence[Visits]) -> Visits:
    """All visits of the parts, in program order."""
    columns = {column.name: np.concatenate([getattr(part, column.name) for part in parts]) for column in fields(Visits)}
    together = Visits(**columns)
    return together.taken(np.argsort(together.first_cut, kind="stable"))


def cycle_visits(execution: "Execution", sections: Sequence[Section], cutting: Rows) -> Visits:
    """The holes of canned cycles."""
    holes, cycles = execution.cycle_holes, execution.cycles
    index = holes.cycle.astype(np.int64)
    axis_of = np.array([AXES.index(cycle.axis) for cycle in cycles], dtype=np.int64)
    top = np.array([cycle.top for cycle in cycles], dtype=float)
    bottom = np.array([cycle.bottom for cycle in cycles], dtype=float)
    axis = axis_of[index] if len(index) else np.zeros(0, np.int64)
    places = np.stack([holes.x, holes.y, holes.z]) if len(index) else np.zeros((3, 0))
    each = np.arange(len(index))
    first, last = holes.first.astype(np.int64), holes.last.astype(np.int64)
    first_cut, last_cut = _cuts_within(cutting, first, last)
    feeds = np.array([np.nan if cycle.feed is None else cycle.feed for cycle in cycles], dtype=float)
    found = Visits(
        section=_section_of(sections, first),
        axis=axis,
        u=places[(axis + 1) % 3, each],
        v=places[(axis + 2) % 3, each],
        upper=np.maximum(top, bottom)[index],
        bottom=np.minimum(top, bottom)[index],
        first=first,
        last=last,
        first_cut=first_cut,
        last_cut=last_cut,
        block=holes.block.astype(np.int64),
        cycle=index,
        strokes=np.array([len(cycle.pecks) for cycle in cycles], dtype=np.int64)[index],
        retract=np.array([RETRACTS.index(cycle.retract) for cycle in cycles], dtype=np.int64)[index],
        diameter=np.full(len(index), np.nan),
        stroke_feed=feeds[index],
    )
    return found.taken(np.flatnonzero(last >= first))  # a cycle that makes no move makes no hole


def _cuts_within(cutting: Rows, first: Rows, last: Rows) -> tuple[Rows, Rows]:
    """First and last feed row within each stretch of rows; its first row where it has no feed."""
    if not len(cutting):
        return first, first
    at = np.searchsorted(cutting, first)
    until = np.searchsorted(cutting, last, side="right") - 1
    empty = until < at
    start = np.where(empty, first, cutting[np.minimum(at, len(cutting) - 1)])
    return start, np.where(empty, first, cutting[np.maximum(until, 0)])


def _section_of(sections: Sequence[Section], rows: Rows) -> Rows:
    firsts = np.array([section.first for section in sections], dtype=np.int64)
    return np.searchsorted(firsts, rows, side="right") - 1


def plunge_visits(execution: "Execution", sections: Sequence[Section], cutting: Rows, drilling: Sequence[int]) -> Visits:
    """Holes fed straight down by plain moves, in the sections `drilling`: one visit for each stay in one place."""
    moves = execution.moves
    rows = _within(cutting, sections, drilling)
    rows = rows[(moves.kind[rows] == Kind.FEED) & (moves.cycle[rows] < 0)]
    down = (np.abs(moves.x[rows] - moves.x0[rows]) < STILL) & (np.abs(moves.y[rows] - moves.y0[rows]) < STILL)
    rows = rows[down & (moves.z[rows] < moves.z0[rows] - STILL)]
    if not len(rows):
        return _none()
    section = _section_of(sections, rows)
    x, y = moves.x[rows], moves.y[rows]
    starts = np.flatnonzero(
        np.concatenate([[True], (np.abs(np.diff(x)) > STILL) | (np.abs(np.diff(y)) > STILL) | (np.diff(section) != 0)])
    )
    ends = np.append(starts[1:], len(rows)) - 1
    first_cut, last_cut = rows[starts], rows[ends]
    fresh = np.concatenate([[True], rows[1:] != rows[:-1] + 1])  # a stroke goes on in the next row, or comes back later
    fresh[starts] = True
    strokes = np.add.reduceat(fresh.astype(np.int64), starts)
    upper = moves.z0[first_cut]
    highest = _most_between(moves.z, first_cut, last_cut)
    bottom = np.minimum.reduceat(moves.z[rows], starts)
    surface = np.where(bottom < 0, np.minimum(upper, 0.0), upper)  # where the hole begins at most; a full retract comes above it
    retract = np.where(strokes <= 1, 0, np.where(highest >= surface - STILL, 2, 1))
    first, last = _approach(cutting, sections, section[starts], first_cut), _way_out(moves, last_cut)
    first[1:] = np.maximum(first[1:], last[:-1] + 1)  # the way out of one hole is no part of the way to the next
    return Visits(
        section=section[starts],
        axis=np.full(len(starts), 2),
        u=x[starts],
        v=y[starts],
        upper=upper,
        bottom=bottom,
        first=first,
        last=last,
        first_cut=first_cut,
        last_cut=last_cut,
        block=moves.block[first_cut].astype(np.int64),
        cycle=np.full(len(starts), -1),
        strokes=strokes,
        retract=retract,
        diameter=np.full(len(starts), np.nan),
        stroke_feed=moves.feed[last_cut],
    )


def _within(cutting: Rows, sections: Sequence[Section], chosen: Sequence[int]) -> Rows:
    parts = [cutting[slice(*sections[index].cuts)] for index in chosen]
    return np.concatenate(parts) if parts else np.zeros(0, np.int64)


def _most_between(z: Floats, first: Rows, last: Rows) -> Floats:
    """Highest end point of the rows first … last - 1 of each stretch."""
    bounds = np.stack([first, np.maximum(last, first + 1)], axis=1).ravel()
    bounds = np.minimum(bounds, len(z) - 1)
    most: Floats = np.maximum.reduceat(z, bounds)[::2]
    return most


def _approach(cutting: Rows, sections: Sequence[Section], section: Rows, first_cut: Rows) -> Rows:
    """The first row of the way to each place: behind the cut before it, within its section."""
    at = np.searchsorted(cutting, first_cut)
    behind = np.where(at > 0, cutting[np.maximum(at - 1, 0)] + 1, 0)
    firsts = np.array([s.first for s in sections], dtype=np.int64)
    return np.maximum(behind, firsts[section])


def _way_out(moves: "Moves", last_cut: Rows) -> Rows:
    """The row behind the last cut where it is the retract along the axis, else the last cut itself."""
    after = np.minimum(last_cut + 1, len(moves) - 1)
    stays = (np.abs(moves.x[after] - moves.x[last_cut]) < STILL) & (np.abs(moves.y[after] - moves.y[last_cut]) < STILL)
    rises = moves.z[after] > moves.z[last_cut]
    return np.where(stays & rises, after, last_cut)


def circle_visits(
    execution: "Execution", sections: Sequence[Section], cutting: Rows, radii: dict[int, float], threading: Sequence[int]
) -> Visits:
    """Holes made by full circles in the XY plane: circles too tight to go round anything, and those of thread mills.

    radii : radius of the tool [mm] of the sections to look at, NaN where it is not known; a path tighter than its own tool
    radius can only lie inside a hole. threading : indices of sections that mill threads, whose circles are holes anyway
    """
    moves, arcs = execution.moves, execution.moves.arcs
    rows = _within(cutting, sections, sorted({*radii, *threading}))
    rows = rows[moves.arc[rows] >= 0]
    rows = rows[arcs.plane[moves.arc[rows]] == 17]
    if not len(rows):
        return _none()
    arc, section = moves.arc[rows], _section_of(sections, rows)
    x, y, radius = arcs.x[arc], arcs.y[arc], arcs.radius[arc]
    same = (np.diff(rows) == 1) & (np.diff(section) == 0)
    for column in (x, y, radius):
        same &= np.abs(np.diff(column)) < SAME_CENTRE
    starts = np.flatnonzero(np.concatenate([[True], ~same]))
    ends = np.append(starts[1:], len(rows)) - 1
    tool = np.full(len(sections), np.nan)
    tool[list(radii)] = list(radii.values())
    is_thread = np.isin(section[starts], list(threading))
    turns = np.add.reduceat(arcs.sweep[arc], starts) >= FULL_TURN
    inside = is_thread | (radius[starts] < tool[section[starts]])
    keep = turns & inside & (is_thread | _rises_after(moves, rows[ends], x[starts], y[starts], radius[starts]))
    starts, ends = starts[keep], ends[keep]
    if not len(starts):
        return _none()
    first_cut, last_cut = rows[starts], rows[ends]
    run_first = _approach(cutting, sections, section[starts], first_cut)
    lowest = np.minimum(np.minimum.reduceat(moves.z[rows], _pairs(starts, ends))[::2], moves.z0[first_cut])
    entry = _entry(moves, cutting, first_cut)
    return Visits(
        section=section[starts],
        axis=np.full(len(starts), 2),
        u=x[starts],
        v=y[starts],
        upper=np.maximum(moves.z0[entry], lowest),
        bottom=lowest,
        first=run_first,
        last=last_cut,
        first_cut=first_cut,
        last_cut=last_cut,
        block=moves.block[first_cut].astype(np.int64),
        cycle=np.full(len(starts), -1),
        strokes=np.ones(len(starts), np.int64),
        retract=np.zeros(len(starts), np.int64),
        diameter=2 * (radius[starts] + tool[section[starts]]),
        stroke_feed=moves.feed[first_cut],
    )


def _pairs(starts: Rows, ends: Rows) -> Rows:
    """Bounds for `reduceat` over stretches with gaps between them."""
    bounds = np.stack([starts, ends + 1], axis=1).ravel()
    return bounds[:-1] if len(bounds) and bounds[-1] > ends[-1] else bounds


def _entry(moves: "Moves", cutting: Rows, first_cut: Rows) -> Rows:
    """The first row of the run of feed moves in which each cut stands."""
    run_starts: Rows = cutting[np.concatenate([[True], np.diff(cutting) != 1])]
    found: Rows = run_starts[np.searchsorted(run_starts, first_cut, side="right") - 1]
    return found


def _rises_after(moves: "Moves", last: Rows, x: Floats, y: Floats, radius: Floats) -> NDArray[np.bool_]:
    """Does the tool rise before it leaves the circle: then it made a hole, not the way into a pocket."""
    answer = np.zeros(len(last), np.bool_)
    open_ = np.ones(len(last), np.bool_)
    for step in range(1, RISE_WITHIN + 1):
        row = last + step
        open_ &= row < len(moves)
        at = np.minimum(row, len(moves) - 1)
        outside = np.hypot(moves.x[at] - x, moves.y[at] - y) > radius + SAME_CENTRE
        rising = moves.z[at] > moves.z[last] + STILL
        answer |= open_ & rising & ~outside
        open_ &= ~rising & ~outside
    return answer | (last + 1 >= len(moves))


def _none() -> Visits:
    whole, real = np.zeros(0, np.int64), np.zeros(0)
    return Visits(
        section=whole,
        axis=whole,
        u=real,
        v=real,
        upper=real,
        bottom=real,
        first=whole,
        last=whole,
        first_cut=whole,
        last_cut=whole,
        block=whole,
        cycle=whole,
        strokes=whole,
        retract=whole,
        diameter=real,
        stroke_feed=real,
    )
