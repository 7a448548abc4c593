"""What the through-tool chain really brings: pump, line, holder, leak and tool made into one network, and its operating point.

Everything comes from records. What a record does not tell is asked for; the few things taken for granted are evidence of
source "assumed".
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from coolcheck.known import Evidence, Known, combined, known, merged, unknown
from coolcheck.physics import OutOfRange, fluid_properties, hydraulics
from coolcheck.physics.fluid_properties import Liquid
from coolcheck.physics.hydraulics import Delivery, OperatingPoint, Orifice, Passage
from coolcheck.physics.pump import Pump
from coolcheck.process.delivery import possible, tool_passes
from coolcheck.process.fact import assumed, computed, fact, meaningless, out_of_range
from coolcheck.process.facts_fluid import supply_pressure, through_tool
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import remembered, tool_name
from coolcheck.process.operations import setup_for

if TYPE_CHECKING:
    from coolcheck.records.record import Record, Section

SHORT_HOLE = (
    0.80  # discharge coefficient of a drilled exit (Encyclopaedia Britannica, 11th ed., short tube 0.82; physics.hydraulics)
)
THIN_SLOT = 0.61  # of a collet slot (physics.hydraulics)
ENTRY, JET = 0.5, 1.0  # minor losses of a sharp entry, and of a jet into the open (physics.hydraulics)
SOURCE = "operating point of pump, line, holder and tool: physics.hydraulics"
BLOCKING = ("machine", "spindle", "pull_stud", "holder")
ROOM = 293.15  # K, where a record gives no temperature; said wherever it is used


def liquid(timeline: Timeline) -> Known[Liquid]:
    """The fluid in the tank: by its record, or mixed from water and concentrate where that is silent."""
    return remembered(timeline, "liquid", lambda: _liquid(timeline.binding.fluid))


def _liquid(record: "Record") -> Known[Liquid]:
    stated = record.field("density"), record.field("viscosity"), record.field("heat capacity")
    if all(value.is_known for value in stated):
        return combined(Liquid, *stated)
    base = record.field("base")
    if not base.is_known or base.value != "water_mix":
        return combined(Liquid, *stated)
    warm, lean = record.field("temperature"), record.field("concentration")
    mixed: Known[tuple[float, float]] = combined(lambda *both: both, warm, lean)
    if not mixed.is_known:
        return unknown(*mixed.missing, evidence=mixed.evidence)
    try:
        water = fluid_properties.emulsion(warm.value, lean.value)
    except OutOfRange as reason:
        return out_of_range("the properties of the fluid", reason, *mixed.evidence)
    rho, nu, c = (value.or_else(mix) for value, mix in zip(stated, (water.rho, water.nu, water.c), strict=True))
    note = "mixed from water and concentrate: physics.fluid_properties.emulsion"
    return known(
        Liquid(rho, nu, c),
        computed("density", rho, "kg/m³", note),
        computed("viscosity", nu * 1e6, "mm²/s", note),
        *mixed.evidence,
    )


def operating_point(operation: Operation, timeline: Timeline) -> Known[OperatingPoint]:
    """Pressures and flows of the through-tool supply at this operation's tool."""
    return remembered(timeline, ("operating point", operation.number), lambda: _operating_point(operation, timeline))


def _operating_point(operation: Operation, timeline: Timeline) -> Known[OperatingPoint]:
    chain = possible("through_tool", setup_for(operation, timeline.binding))
    blocked = next((link for link in chain.links if link.name in BLOCKING and link.passes.is_no), None)
    if blocked is not None:
        return meaningless(f"no through-tool fluid comes to {tool_name(operation.tool)}: {blocked.says}")
    if tool_passes(operation.tool_record).is_no:
        return meaningless(f"{tool_name(operation.tool)} has no passages: no pressure builds up in it")
    parts = (
        _pump(operation, timeline),
        liquid(timeline),
        _line(through_tool(timeline)),
        _bore(operation.holder_record),
        _leak(operation.holder_record),
        _tool(operation.tool_record),
    )
    made: Known[Delivery] = combined(
        lambda pump, fluid, line, bore, leak, tool: Delivery(pump, fluid, (line,), (bore,), leak, (tool,)), *parts
    )
    if not made.is_known:
        return unknown(*made.missing, evidence=made.evidence)
    try:
        point = hydraulics.operating_point(made.value)
    except OutOfRange as reason:
        return out_of_range("the operating point", reason, *made.evidence)
    return known(point, *made.evidence)


def _pump(operation: Operation, timeline: Timeline) -> Known[Pump]:
    """The pump curve as recorded, behind the relief valve of its rated pressure or the level chosen."""
    supply, set_to = through_tool(timeline), supply_pressure(operation, timeline)
    points = [
        combined(lambda pressure, flow: (flow, pressure), entry.field("pressure"), entry.field("flow"))
        for entry in supply.entries("curve")
    ]
    if not points:
        points = [combined(lambda pressure, flow: (flow, pressure), supply.field("rated pressure"), supply.field("rated flow"))]
    free = supply.field("open flow")
    told: list[Known[Any]] = [*points, set_to]
    if not all(value.is_known for value in told):
        return unknown(*merged(m for value in told for m in value.missing))
    evidence = merged(e for value in told for e in value.evidence)
    curve = sorted(point.value for point in points)
    most = free.value if free.is_known and free.value > curve[-1][0] else curve[-1][0]
    relief = assumed(
        "relief valve", round(curve[0][1] * 1e-5, 1), "bar", "below the first flow of the curve the pump holds its pressure"
    )
    try:
        whole = Pump(tuple(dict.fromkeys(((0.0, curve[0][1]), *curve, (most, 0.0)))))
        limited = whole.limited(set_to.value)
    except OutOfRange as reason:
        return out_of_range("the pump curve", reason, *evidence)
    return known(limited, relief, *evidence)


def _line(supply: "Section") -> Known[Passage]:
    return combined(lambda d, length: Passage(d, length, K=ENTRY), supply.field("line bore"), supply.field("line length"))


def _bore(holder: "Record") -> Known[Passage]:
    return combined(lambda d, length: Passage(d, length, K=ENTRY), holder.field("bore"), holder.field("bore length"))


def _leak(holder: "Record") -> Known[tuple[Orifice, ...]]:
    """The slots of a collet, side by side with the tool; nothing where the shank is sealed."""
    sealed = holder.field("sealed")
    if not sealed.is_known:
        return unknown(*sealed.missing)
    if sealed.value:
        return known((), *sealed.evidence)
    area: Known[float] = holder.field("leak area")
    return area.map(lambda open_area: (Orifice(open_area, THIN_SLOT),) if open_area > 0 else (), *sealed.evidence)


def _tool(tool: "Record") -> Known[tuple[Passage | Orifice, ...]]:
    """Passages and exits of the tool; where the passage is as wide as its exit, it is one channel that ends in a jet."""
    exits, wide = tool.field("fluid.exits"), tool.field("fluid.exit diameter")
    passage, length = tool.field("fluid.passage diameter"), tool.field("fluid.passage length")
    told: Known[tuple[float, ...]] = combined(lambda *values: values, exits, wide, passage, length)
    if not told.is_known:
        return unknown(*told.missing, evidence=told.evidence)
    count, out, inner, along = int(told.value[0]), *told.value[1:]
    alike = assumed("passages", count, "", "as many passages as exits")
    if out >= inner * 0.999:
        return known((Passage(inner, along, count, ENTRY + JET),), alike, *told.evidence)
    return known((Passage(inner, along, count, ENTRY), Orifice.round(out, count, SHORT_HOLE)), alike, *told.evidence)


_SHOWN_IN = {"bar": 1e-5, "L/min": 6e4, "%": 100.0}


def _at_the_point(
    operation: Operation, timeline: Timeline, name: str, of: Callable[[OperatingPoint], float], unit: str
) -> Known[float]:
    """A quantity at the operating point, with the name and the unit in which its evidence shows it."""
    point = operating_point(operation, timeline)
    if not point.is_known:
        return point.map(of)
    value = of(point.value)
    return known(value, computed(name, value * _SHOWN_IN[unit], unit, SOURCE), *point.evidence)


@fact("operation")
def tip_pressure(operation: Operation, timeline: Timeline) -> Known[float]:
    """Pressure at the tool at the operating point."""
    return _at_the_point(operation, timeline, "pressure at the tool", lambda point: point.p_tool, "bar")


@fact("operation")
def tip_flow(operation: Operation, timeline: Timeline) -> Known[float]:
    """Flow through the tool at the operating point."""
    return _at_the_point(operation, timeline, "flow through the tool", lambda point: point.Q_tool, "L/min")


@fact("operation")
def pump_pressure(operation: Operation, timeline: Timeline) -> Known[float]:
    """Pressure at the pump at the operating point."""
    return _at_the_point(operation, timeline, "pressure at the pump", lambda point: point.p_pump, "bar")


@fact("operation")
def leak_share(operation: Operation, timeline: Timeline) -> Known[float]:
    """Share of the flow that leaks past the shank."""

    def share(point: OperatingPoint) -> float:
        total = point.Q_leak + point.Q_tool
        return point.Q_leak / total if total > 0 else 0.0

    return _at_the_point(operation, timeline, "leak", share, "%")


def room_temperature() -> Evidence:
    """That a temperature was taken, where a record gives none."""
    return assumed("temperature", 20, "°C", "no record states it")
