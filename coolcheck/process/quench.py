"""How hard an edge is quenched: its temperature when a dry cut ends, what is left of it when fluid comes, and the stress of that.

A screening estimate, to rank and not to predict. The edge is heated to the mean interface temperature (Cook); what is left after
an idle time follows from a deep body heated for as long as it cut. Quenches of a steady wet cut are not counted: they do not
come from a change of regime.
"""

from typing import TYPE_CHECKING

from coolcheck.known import Evidence, Known, Missing, combined, known, merged, unknown
from coolcheck.physics import (
    OutOfRange,
    conduction,
    convection,
    cutting,
    cutting_materials,
    forces,
    heat,
    peck_heat,
    thermal_stress,
)
from coolcheck.physics.band import Band
from coolcheck.physics.forces import Kienzle
from coolcheck.process.cutting_load import kienzle, point_angle
from coolcheck.process.delivery_flow import ROOM, tip_pressure
from coolcheck.process.fact import assumed, computed, fact, out_of_range
from coolcheck.process.facts_operation import INTERRUPTED, feed_per_turn
from coolcheck.process.fluids import commanded
from coolcheck.process.kinds import MADE_BY_DRILLING
from coolcheck.process.model import STREAMS, Edge, Fluid, FluidSpan, Operation, Passage, Timeline
from coolcheck.process.moments import remembered, table

if TYPE_CHECKING:
    from coolcheck.records.record import Record

INSERT_HALF = 2.4e-3  # m; half of the common insert thickness 4.76 mm; said wherever it is used
SOLID_SHARE = 0.25  # of the diameter: half the thickness of the edge of a solid tool, ours; said wherever it is used
NONE = "fluid never comes onto this edge after a dry cut"
SOURCE = "stress over strength by Biot number, likely value of a wide band: physics.thermal_stress.quench_ratio"


@fact("edge", name="quench_ratio")
def of_edge(edge: Edge, timeline: Timeline) -> Known[float]:
    """Highest thermal stress of a quench over its strength."""
    return _highest([ratio for _, ratio in quenches(edge, timeline)])


@fact("operation", name="quench_ratio")
def of_operation(operation: Operation, timeline: Timeline) -> Known[float]:
    """The same for the quenches that happen in this operation."""
    found = [ratio for edge in timeline.edges for passage, ratio in quenches(edge, timeline) if passage.operation is operation]
    return _highest(found)


def _highest(ratios: list[Known[float]]) -> Known[float]:
    if not ratios:
        return known(0.0, Evidence("quench", "none", source="computed", note=NONE))
    return combined(lambda *found: max(found), *ratios)


def quenches(edge: Edge, timeline: Timeline) -> tuple[tuple[Passage, Known[float]], ...]:
    """Every quench of an edge: the passage in or before which the fluid comes, and stress over strength."""
    return remembered(timeline, ("quenches", edge.tool), lambda: tuple(_quenches(edge, timeline)))


def _quenches(edge: Edge, timeline: Timeline) -> list[tuple[Passage, Known[float]]]:
    found: list[tuple[Passage, Known[float]]] = []
    dry: Passage | None = None
    for passage in edge.passages:
        came = _fluid_comes(passage, timeline)
        if came is not None:
            found.append((passage, _ratio(passage, passage, known(0.0), came.fluid, timeline)))
        elif dry is not None and not passage.wet.is_no:
            gap, state = _gap(dry, passage, timeline)
            ratio = _ratio(dry, passage, gap, state, timeline)
            if not passage.wet.is_known or not dry.wet.is_known:
                ratio = unknown(*merged(passage.wet.missing + dry.wet.missing), evidence=ratio.evidence)
            found.append((passage, ratio))
        dry = passage if not passage.wet.is_yes and came is None else None
    return found


def _fluid_comes(passage: Passage, timeline: Timeline) -> FluidSpan | None:
    """The fluid state that wets the edge in the middle of a passage that began dry."""
    if not passage.changes:
        return None
    states = table(timeline)
    if commanded(states.at(passage.rows[0]), STREAMS).is_yes:
        return None
    within = states.within(*passage.rows)
    return next(
        (
            states.spans[i]
            for i in within
            if commanded(states.spans[i].fluid, STREAMS).is_yes and states.spans[i].row > passage.rows[0]
        ),
        None,
    )


def _gap(dry: Passage, later: Passage, timeline: Timeline) -> tuple[Known[float], Fluid]:
    """Time from the end of a dry passage to the moment fluid comes, and the state that brings it."""
    states, clock = table(timeline), timeline.clock
    end = dry.rows[1]
    for index in states.within(end, later.rows[0]):
        span = states.spans[index]
        if span.row > end and commanded(span.fluid, STREAMS).is_yes:
            when = clock.at_event(span.event, span.row)
            return combined(lambda now, was: max(0.0, now - was), when, clock.before(end + 1)), span.fluid
    return combined(lambda now, was: max(0.0, now - was), clock.moving_start(later.rows[0]), clock.before(end + 1)), states.at(
        later.rows[0]
    )


def _ratio(dry: Passage, wet: Passage, gap: Known[float], state: Fluid, timeline: Timeline) -> Known[float]:
    rise = interface_rise(dry.operation, timeline)
    grade: Known[str] = dry.operation.tool_record.field("substrate")
    thick = _half_thickness(dry.operation)
    film = _film(state, wet.operation, timeline)
    tank: Known[float] = timeline.binding.fluid.field("temperature")
    ready: Known[tuple[float, str, float, Band, float, float, float]] = combined(
        lambda *values: values, rise, grade, thick, film, dry.seconds, gap, tank
    )
    if not ready.is_known:
        return unknown(*ready.missing, evidence=ready.evidence)
    hot, substrate, half, band, cut, idle, cold = ready.value
    try:
        material = next(m for m in cutting_materials.cutting_materials(substrate) if m.is_typical)
        left = hot * share_left(cut, idle, material.k, material.rho_c)
        ratio = thermal_stress.quench_ratio(substrate, max(0.0, ROOM + left - cold), band, half)
    except OutOfRange as reason:
        return out_of_range("the thermal stress", reason, *ready.evidence)
    evidence = (
        computed("edge above room, dry", hot, "K", "Cook: physics.heat.cook_rise"),
        computed("edge above room when fluid comes", left, "K", f"after {idle:.3g} s: physics.peck_heat.wall_rise"),
        computed("stress over strength", ratio.likely, "", f"{SOURCE}; band {ratio.low:.2g} to {ratio.high:.2g}"),
    )
    return known(ratio.likely, *evidence, *ready.evidence)


def share_left(cut: float, idle: float, k: float, rho_c: float) -> float:
    """Share of the excess temperature that is left at the surface of a deep body an idle time after steady heating."""
    if idle <= 0 or cut <= 0 or rho_c <= 0:
        return 1.0
    alpha = conduction.diffusivity(k, 1.0, rho_c)
    pulse = [(0.0, cut, 1.0)]
    return peck_heat.wall_rise(pulse, cut + idle, k, alpha) / peck_heat.wall_rise(pulse, cut, k, alpha)


def interface_rise(operation: Operation, timeline: Timeline) -> Known[float]:
    """Mean rise of the interface temperature of a dry cut, by Cook's equation."""
    work = timeline.binding.material
    values = (
        kienzle(timeline),
        work.field("density"),
        work.field("heat capacity"),
        work.field("conductivity"),
        operation.diameter,
        operation.n,
        _chip(operation, timeline),
    )
    ready: Known[tuple[Kienzle, float, float, float, float, float, float]] = combined(lambda *found: found, *values)
    if not ready.is_known:
        return unknown(*ready.missing, evidence=ready.evidence)
    constants, rho, c, k, wide, n, chip = ready.value
    least = float(work.field("h range.from").or_else(5e-5))
    try:
        thickness = forces.clipped_chip_thickness(chip, least)
        energy = forces.specific_cutting_force(constants.kc1_1, constants.mc, thickness, least)
        rise = heat.cook_rise(energy, rho * c, cutting.cutting_speed(n, wide), thickness, conduction.diffusivity(k, rho, c))
    except OutOfRange as reason:
        return out_of_range("the temperature of the edge", reason, *ready.evidence)
    return known(rise, *ready.evidence)


def _chip(operation: Operation, timeline: Timeline) -> Known[float]:
    """Thickest chip of the work: the feed of a tooth, or that of a drill's lip."""
    if operation.kind in INTERRUPTED:
        teeth = operation.tool_record.field("ZEFP")
        return combined(lambda f, z: f / z, feed_per_turn(operation, timeline), teeth)
    if operation.kind in MADE_BY_DRILLING:
        return combined(forces.drill_chip_thickness, feed_per_turn(operation, timeline), point_angle(operation.tool_record))
    words = operation.kind.replace("_", " ")
    return unknown(Missing("physics", "", f"no heat model for this kind of work ({words})"))


def _half_thickness(operation: Operation) -> Known[float]:
    tool: Record = operation.tool_record
    insert: Known[bool] = tool.field("insert")
    if insert.is_yes:
        return known(INSERT_HALF, assumed("half thickness of the edge", 2.4, "mm", "a common insert is 4.76 mm thick"))
    note = "a quarter of the diameter of a solid tool, at most that of an insert"
    return operation.diameter.map(
        lambda wide: min(INSERT_HALF, SOLID_SHARE * wide), assumed("half thickness of the edge", "DC / 4", "", note)
    )


def _film(state: Fluid, operation: Operation, timeline: Timeline) -> Known[Band]:
    """How well the fluid that comes takes heat."""
    base: Known[str] = timeline.binding.fluid.field("base")
    if not base.is_known:
        return unknown(*base.missing)
    mode = next((mode for mode in STREAMS if not state[mode].is_no), "flood")
    jet = tip_pressure(operation, timeline) if mode == "through_tool" else known(0.0)
    if not jet.is_known:
        return unknown(*jet.missing, evidence=jet.evidence)
    try:
        band = convection.heat_transfer_coefficient(mode, base.value, jet.value)
    except OutOfRange as reason:
        return out_of_range("the heat transfer", reason, *base.evidence)
    return known(band, computed("heat transfer coefficient", band.likely, "W/(m²·K)", band.source), *base.evidence)
