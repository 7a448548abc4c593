"""How hot an edge is over its passages: the same screening estimate as the quenches, as a curve. Dry passages only: what a wet
one leaves of the heat is not modelled, and not drawn.
"""

from collections.abc import Sequence

from coolcheck.known import Evidence, Known, Missing, combined, known, unknown
from coolcheck.physics import OutOfRange, cutting_materials
from coolcheck.process.fact import out_of_range
from coolcheck.process.model import Passage, Timeline
from coolcheck.process.quench import interface_rise, share_left

# Pure titanium melts at 1941 K, nickel at 1728 K, iron at 1811 K (CRC Handbook of Chemistry and Physics; from memory): the chip
# of a machined metal is never hotter, so that a greater rise above a room of 293 K says that the equation does not reach.
MOST_RISE = 1941.0 - 293.0


def rises_after(dry: Passage, idle: Sequence[float], timeline: Timeline) -> Known[tuple[float, ...]]:
    """How much hotter than the room [K] the edge still is each of these times [s] after a dry passage; 0 is its end."""
    if dry.wet.is_yes:
        return unknown(Missing("physics", "", "no heat model for an edge under fluid"))
    rise = interface_rise(dry.operation, timeline)
    grade: Known[str] = dry.operation.tool_record.field("substrate")
    ready: Known[tuple[float, str, float]] = combined(lambda *found: found, rise, grade, dry.seconds)
    if not ready.is_known:
        return unknown(*ready.missing, evidence=ready.evidence)
    hot, substrate, cut = ready.value
    if hot > MOST_RISE:
        says = f"the equation gives {hot:.0f} K at the edge, where any machined metal melts: it does not reach here"
        return unknown(Missing("physics", "", says), evidence=ready.evidence)
    try:
        material = next(m for m in cutting_materials.cutting_materials(substrate) if m.is_typical)
        shares = tuple(share_left(cut, seconds, material.k, material.rho_c) for seconds in idle)
    except OutOfRange as reason:
        return out_of_range("the cooling of the edge", reason, *ready.evidence)
    note = "Cook: physics.heat.cook_rise; cooling of a deep body: physics.peck_heat.wall_rise"
    return known(tuple(hot * share for share in shares), Evidence("edge above room", hot, "K", source="computed", note=note))
