"""Which feed moves are in material: below the top, and deeper than the pilot hole that an earlier drill left.

A feed move above the work cuts nothing, and a long drill that feeds into its pilot does not cut yet: fluid that comes on there
comes in time.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.nc.moves import Floats
from coolcheck.process.holes import Grouped
from coolcheck.process.sections import Rows
from coolcheck.process.shifts import z_shift

if TYPE_CHECKING:
    from coolcheck.process.drafts import Draft, Ground

ABOVE = 1e-4  # mm; a feed move that stays at the top, to that accuracy, does not cut
PILOT_FIT = 0.3  # mm; a pilot is the size of the long drill or larger, or that much smaller at most
DRILL_FAMILIES = (73, 81, 83)
DRILLS = ("drill", "gun_drill")


def section_tops(ground: "Ground", made: Sequence["Draft"], group: Grouped) -> Floats:
    """For each section the height [mm] below which it cuts, NaN where that is not known; for holes the highest of their tops."""
    top = ground.binding.job.field("top")
    tops = np.full(len(made), np.nan)
    z = ground.execution.moves.z
    for index, draft in enumerate(made):
        visits = group.of_section(index)
        along_z = visits[group.visits.axis[visits] == 2]
        if len(along_z):
            tops[index] = group.top[group.hole[along_z]].max()
        elif len(visits) or not draft.cuts:
            continue
        elif top.is_known:
            tops[index] = top.value * 1e3 - z_shift(draft.modal.work_offset)
        elif np.min(z[ground.cutting[slice(*draft.section.cuts)]]) + z_shift(draft.modal.work_offset) < 0:
            tops[index] = -z_shift(draft.modal.work_offset)
    return tops


def engaged_rows(ground: "Ground", made: Sequence["Draft"], group: Grouped, tops: Floats) -> Rows:
    """Rows of the feed moves in material; what is not known to be out of it counts as in it."""
    moves, cutting = ground.execution.moves, ground.cutting
    out = np.zeros(len(cutting), np.bool_)
    for draft, top in zip(made, tops.tolist(), strict=True):
        if top == top:  # known
            part = slice(*draft.section.cuts)
            rows = cutting[part]
            out[part] = np.minimum(moves.z[rows], moves.z0[rows]) >= top - ABOVE
    _leave_out_pilots(ground, made, group, out)
    return cutting[~out] if out.any() else cutting


def _leave_out_pilots(
    ground: "Ground", made: Sequence["Draft"], group: Grouped, out: "np.ndarray[tuple[int], np.dtype[np.bool_]]"
) -> None:
    """Marks the feed moves of drills that stay within the hole of an earlier drill of their size."""
    visits, z = group.visits, ground.execution.moves.z
    drilling = np.array([_drills(draft) for draft in made] or [False])
    widths = np.array([draft.diameter.value * 1e3 if draft.diameter.is_known else np.nan for draft in made] or [np.nan])
    drills = np.flatnonzero(drilling[visits.section] & (visits.axis == 2))
    counts = np.bincount(group.hole[drills], minlength=group.count)
    again = drills[counts[group.hole[drills]] > 1]
    left: dict[int, list[tuple[float, float]]] = {}
    for visit in again.tolist():
        hole, width = int(group.hole[visit]), float(widths[visits.section[visit]])
        pilot = min((bottom for wide, bottom in left.get(hole, ()) if wide >= width - PILOT_FIT), default=np.inf)
        if pilot < np.inf:
            part = slice(*np.searchsorted(ground.cutting, (visits.first_cut[visit], visits.last_cut[visit] + 1)))
            out[part] |= z[ground.cutting[part]] >= pilot - ABOVE
        left.setdefault(hole, []).append((width, float(visits.bottom[visit])))


def _drills(draft: "Draft") -> bool:
    if draft.said:
        return draft.said in DRILLS
    return draft.section.family in DRILL_FAMILIES
