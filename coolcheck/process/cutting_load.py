"""Torque, power and heat of an operation, and what its edge needs for them: by the tool record, else by published formulas."""

from math import pi
from typing import TYPE_CHECKING

from coolcheck.known import Evidence, Known, Missing, combined, known, merged, unknown
from coolcheck.physics import OutOfRange, cutting, drilling_depth, forces, heat, need, peck_heat, threads
from coolcheck.physics.fluid_properties import Liquid
from coolcheck.physics.forces import Kienzle
from coolcheck.process.delivery import tool_passes
from coolcheck.process.delivery_flow import liquid, tip_flow, tip_pressure
from coolcheck.process.fact import assumed, by_formula, computed, fact, meaningless, out_of_range
from coolcheck.process.facts_fluid import ever
from coolcheck.process.facts_hole import drill_before
from coolcheck.process.facts_operation import INTERRUPTED, feed_per_turn, unlike_steps
from coolcheck.process.kinds import MADE_BY_DRILLING
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import tool_name

if TYPE_CHECKING:
    from coolcheck.records.record import Record

FULL = ("spot", "ream", "bore")  # work that takes less than a drill of its diameter would
# How a tap of each lead form (DIN 2197) is fluted as a rule: common practice, no source. The record has no field for flutes.
FLUTES = {
    "A": "straight flute 5-pitch lead", "B": "spiral point", "C": "spiral flute", "D": "straight flute 5-pitch lead",
    "E": "straight flute 1.5-pitch lead", "F": "straight flute 1.5-pitch lead",
}  # fmt: skip
# The row of the tapping-force table that stands for a metal family (our reading: the strongest listed of that family).
TAPPED = {
    "unalloyed_steel": ("Ck60", "steel"), "alloy_steel": ("42CrMo4 30 HRC", "steel"), "tool_steel": ("C105W2", "steel"),
    "stainless_austenitic": ("X6CrNi18-10", "steel"), "cast_iron": ("GG25", "cast iron and aluminium"),
    "aluminium": ("AlSi8Cu3", "cast iron and aluminium"), "copper": ("CuZn40", "brass"),
}  # fmt: skip
RUBBING = 0.3  # heat flow into the wall while a drill rubs over that while it cuts: no figure in print, ours
# Tools without a point angle, and the one that their bound is worked out with: a sharper point makes thinner chips, and those
# take more force for their volume.
POINTLESS = {
    "indexable_drill": (180, "an indexable drill cuts nearly flat"),
    "reamer": (90, "a reamer has no point; a sharp one gives an upper bound"),
    "boring_bar": (90, "a boring bar has no point; a sharp one gives an upper bound"),
}
DRILL_KINDS = {"gun_drill": "gun_drill", "indexable_drill": "indexable_drill"}  # tool kinds that guidance names apart


def kienzle(timeline: Timeline) -> Known[Kienzle]:
    """kc1.1 and mc of the work: of the material record, else of its VDI 3323 group."""
    material = timeline.binding.material
    kc, mc = material.field("kc1.1"), material.field("mc")
    if kc.is_known and mc.is_known:
        return combined(Kienzle, kc, mc)
    group = material.field("subgroup")
    if not group.is_known:
        return unknown(*merged(kc.missing + mc.missing))
    try:
        found = forces.kienzle_of_group(int(group.value))
    except OutOfRange as reason:
        return out_of_range("kc1.1", reason, *group.evidence)
    return known(
        found, computed("kc1.1", found.kc1_1 * 1e-6, "MPa", "by VDI 3323 group: physics.forces.kienzle_of_group"), *group.evidence
    )


def _least_chip(material: "Record") -> float:
    return float(material.field("h range.from").or_else(5e-5))


def point_angle(tool: "Record") -> Known[float]:
    """The point angle of a tool; those that have none count with one that makes no force too small."""
    stated: Known[float] = tool.field("SIG")
    kind = tool.field("kind")
    if stated.is_known or not kind.is_known or kind.value not in POINTLESS:
        return stated
    degrees, why = POINTLESS[kind.value]
    return known(degrees * pi / 180, assumed("SIG", degrees, "°", why), *kind.evidence)


def full_drill_torque(operation: Operation, timeline: Timeline) -> Known[float]:
    """Torque of a two-lip drill of this diameter and feed in the solid."""
    material = timeline.binding.material

    def torque(constants: Kienzle, DC: float, f: float, SIG: float) -> float:  # noqa: N803 - the trade's own symbols
        factors = forces.compression_factor("drilling") * forces.wear_factor("drilling")
        least = 2 * _least_chip(material) / max(1e-9, forces.drill_chip_thickness(1.0, SIG) * 2)
        return forces.drill_torque(constants.kc1_1, constants.mc, DC, max(f, least), SIG, factors) * min(1.0, f / max(f, least))

    values = (kienzle(timeline), operation.diameter, feed_per_turn(operation, timeline), point_angle(operation.tool_record))
    note = "M = f kc D² / 8 (Kienzle), worn edge: physics.forces.drill_torque"
    return by_formula("drilling torque", "N·m", 1.0, note, torque, *values)


@fact("operation")
def torque_needed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Drilling torque."""
    if operation.kind_known.is_known and operation.kind not in MADE_BY_DRILLING:
        return meaningless(f"{tool_name(operation.tool)} does not drill here: there is no drilling torque")
    return full_drill_torque(operation, timeline)


@fact("operation")
def tap_torque(operation: Operation, timeline: Timeline) -> Known[float]:
    """Tapping torque, the highest of its holes."""
    if operation.kind_known.is_known and operation.kind != "tap":
        return meaningless(f"{tool_name(operation.tool)} does not tap here")
    torques = [_tap_torque(operation, timeline, drill_before(step, timeline)) for step in unlike_steps(operation, timeline)]
    return combined(lambda *found: max(found), *torques) if torques else meaningless("no hole is tapped")


def _tap_torque(operation: Operation, timeline: Timeline, hole: Known[float]) -> Known[float]:
    if hole.is_known and hole.value <= 0:
        return meaningless("no earlier tool drills the hole: its diameter is not known")
    family, form, kind = (
        timeline.binding.material.field("family"),
        operation.tool_record.field("THCHT"),
        operation.tool_record.field("kind"),
    )
    if family.is_known and family.value not in TAPPED:
        words = str(family.value).replace("_", " ")
        return unknown(Missing("physics", "", f"no tapping force for {words} was found in print"), evidence=family.evidence)

    def torque(metal: str, lead: str, tap: str, D: float, d: float) -> float:  # noqa: N803
        row, work = TAPPED[metal]
        cut = threads.tapping_torque(threads.tapping_force(row), threads.tap_factor(FLUTES[lead], work), D, d)
        return cut * threads.relative_torque("forming tap")[1] if tap == "form_tap" else cut

    note = "a tap maker's catalogues, 2016-17 to 2022-23; flutes as usual for the lead form: physics.threads.tapping_torque"
    return by_formula("tapping torque", "N·m", 1.0, note, torque, family, form, kind, operation.diameter, hole)


# power and heat


@fact("operation")
def power_needed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Power at the spindle."""
    if operation.kind == "tap":
        return _power(tap_torque(operation, timeline), operation)
    if operation.kind in MADE_BY_DRILLING:
        return _power(full_drill_torque(operation, timeline), operation)
    return _at_most(operation, timeline)


def _power(torque: Known[float], operation: Operation) -> Known[float]:
    return by_formula(
        "power", "kW", 1e-3, "P = 2 pi n M: physics.forces.power_of_torque", forces.power_of_torque, torque, operation.n
    )


def _at_most(operation: Operation, timeline: Timeline) -> Known[float]:
    """The most that work can need whose width of cut nobody knows; unknown where that is more than the spindle has."""
    name = tool_name(operation.tool)
    asked: Known[float] = unknown(Missing("program", "", f"how wide and how deep does {name} cut?", operation.place))
    if operation.kind in FULL:
        most, note = (
            _power(full_drill_torque(operation, timeline), operation),
            f"{name} takes no more than a drill of its size in the solid",
        )
    elif operation.kind in INTERRUPTED:
        most, note = _full_slot(operation, timeline), f"{name} takes no more than its full width and depth"
    else:
        return asked
    power = timeline.binding.machine.field("spindle.power")
    if not most.is_known or not power.is_known:
        return unknown(*merged(most.missing + power.missing), evidence=most.evidence)
    if most.value > power.value:
        return unknown(*asked.missing, evidence=most.evidence)
    return most.because(assumed("power", round(most.value * 1e-3, 3), "kW", f"an upper bound: {note}"))


def _full_slot(operation: Operation, timeline: Timeline) -> Known[float]:
    teeth = operation.tool_record.field("ZEFP")
    material = timeline.binding.material

    def power(constants: Kienzle, D: float, depth: float, vf: float, n: float, z: float) -> float:  # noqa: N803
        fz = cutting.feed_per_tooth(vf, n, int(z))
        kc = forces.specific_cutting_force(
            constants.kc1_1, constants.mc, forces.clipped_chip_thickness(fz, _least_chip(material)), _least_chip(material)
        )
        return kc * cutting.removal_rate_milling(depth, D, vf) * forces.wear_factor("milling")

    note = "kc ap ae vf at full width: physics.forces.specific_cutting_force, physics.cutting.removal_rate_milling"
    values = (kienzle(timeline), operation.diameter, operation.depth, operation.feed, operation.n, teeth)
    return by_formula("power at full width", "kW", 1e-3, note, power, *values)


@fact("operation")
def fluid_rise(operation: Operation, timeline: Timeline) -> Known[float]:
    """Temperature rise of the fluid when it carries all the cutting power."""

    def rise(power: float, flow: float, fluid: Liquid) -> float:
        return heat.fluid_rise(power, flow, fluid.rho, fluid.c)

    note = "dT = P / (Q rho c), all the power taken by the fluid: physics.heat.fluid_rise"
    return by_formula(
        "rise of the fluid",
        "K",
        1.0,
        note,
        rise,
        power_needed(operation, timeline),
        tip_flow(operation, timeline),
        liquid(timeline),
    )


# needs


def _drill_words(operation: Operation) -> tuple[Known[str], Known[str]]:
    """Kind and cutting material of a drill, as guidance names them."""
    kind: Known[str] = operation.tool_record.field("kind")
    return kind.map(lambda word: DRILL_KINDS.get(word, "drill")), operation.tool_record.field("substrate")


@fact("operation")
def needed_pressure(operation: Operation, timeline: Timeline) -> Known[float]:
    """Pressure that this work needs at the tip."""
    for field in ("fluid.least pressure", "CP"):
        stated: Known[float] = operation.tool_record.field(field)
        if stated.is_known:
            return stated
    if tool_passes(operation.tool_record).is_no:
        return meaningless(f"{tool_name(operation.tool)} has no passages: it asks for no pressure")
    if operation.kind_known.is_known and operation.kind not in MADE_BY_DRILLING:
        return unknown(*operation.tool_record.field("fluid.least pressure").missing)
    kind, substrate = _drill_words(operation)

    def pressure(tool: str, grade: str, D: float, depth: float) -> float:  # noqa: N803
        return drilling_depth.drilling_pressure(tool, grade, D, depth).low

    note = "published guidance by kind of drill, diameter and depth: physics.drilling_depth.drilling_pressure"
    return by_formula("needed pressure", "bar", 1e-5, note, pressure, kind, substrate, operation.diameter, operation.depth)


@fact("operation")
def needed_flow(operation: Operation, timeline: Timeline) -> Known[float]:
    """Flow that the edge needs."""
    stated: Known[float] = operation.tool_record.field("fluid.least flow")
    if stated.is_known:
        return stated

    def flow(power: float, fluid: Liquid) -> float:
        return need.cooling_flow(power, fluid).low

    note = "carries the cutting power at a rise of 10 K, a physical floor: physics.need.cooling_flow"
    return by_formula("needed flow", "L/min", 6e4, note, flow, power_needed(operation, timeline), liquid(timeline))


@fact("operation")
def one_pass_depth(operation: Operation, timeline: Timeline) -> Known[float]:
    """Depth that drill, material and fluid allow in one pass."""
    if operation.kind_known.is_known and operation.kind not in MADE_BY_DRILLING:
        return meaningless(f"{tool_name(operation.tool)} does not drill here")
    through = ever(operation, ("through_tool",))
    if not through.is_known:
        return unknown(*through.missing, evidence=through.evidence)
    stated: Known[float] = operation.tool_record.field("drilling.one pass" if through.value else "drilling.one pass outside")
    if stated.is_known:
        return stated
    kind, substrate = _drill_words(operation)
    at_tip = tip_pressure(operation, timeline) if through.value else known(0.0)

    def depth(tool: str, grade: str, D: float, pressure: float) -> float:  # noqa: N803
        return drilling_depth.one_pass_depth(tool, grade, "through_tool" if through.value else "outside", D, pressure).low

    note = "published guidance, the depth up to which its source sees no need to peck: physics.drilling_depth.one_pass_depth"
    return by_formula("one pass", "mm", 1e3, note, depth, kind, substrate, operation.diameter, at_tip)


@fact("operation", name="peck_heat")
def peck_heat_of(operation: Operation, timeline: Timeline) -> Known[float]:
    """Heat left in the hole wall by the pecks over that of one pass."""
    steps = unlike_steps(operation, timeline)
    if not steps:
        return meaningless(f"{tool_name(operation.tool)} makes no hole here")
    if all(len(step.strokes) <= 1 for step in steps):
        return known(1.0, Evidence("strokes", 1, source="program", note="one pass"))
    rapid = timeline.binding.machine.field("motion.rapid z")
    ratios = []
    for step in steps:
        strokes = [(max(0.0, stroke.start), stroke.end, max(0.0, stroke.retract_to)) for stroke in step.strokes if stroke.end > 0]
        rub = known(RUBBING, assumed("heat while rubbing", RUBBING, "", "over that while cutting; no figure in print"))
        note = "1 + rubbing time over cutting time, weighted: physics.peck_heat.peck_heat_ratio (screening estimate)"
        ratios.append(
            by_formula("peck heat", "", 1.0, note, peck_heat.peck_heat_ratio, known(strokes), operation.feed, rapid, rub)
        )
    return combined(lambda *found: max(found), *ratios)


@fact("operation")
def advised_speed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Cutting speed of the tool record, lowered for this depth as published for HSS twist drills."""
    speed = recorded_speed(operation, timeline)
    if operation.kind not in MADE_BY_DRILLING:
        return speed
    substrate: Known[str] = operation.tool_record.field("substrate")
    if substrate.is_known and substrate.value != "HSS":
        return speed.because(*substrate.evidence)

    def lowered(vc: float, grade: str, depth: float, D: float) -> float:  # noqa: N803
        return vc * drilling_depth.depth_reduction(depth, D).speed

    note = "lowered for the depth: physics.drilling_depth.depth_reduction"
    return by_formula("advised speed", "m/min", 60.0, note, lowered, speed, substrate, operation.depth, operation.diameter)


def recorded_speed(operation: Operation, timeline: Timeline) -> Known[float]:
    """Cutting speed of the tool record for the work material: by its name, else by its group."""
    material = timeline.binding.material
    for key in (material.field("material"), material.field("group")):
        if not key.is_known:
            continue
        entry = operation.tool_record.entry("cutting", key.value)
        vc, n = entry.field("vc"), entry.field("n")
        if vc.is_known:
            return vc
        if n.is_known:
            return by_formula("recorded speed", "m/min", 60.0, "vc = pi DC n", cutting.cutting_speed, n, operation.diameter)
    named = material.field("material")
    if not named.is_known:
        return unknown(*named.missing)
    return unknown(*operation.tool_record.entry("cutting", named.value).field("vc").missing)
