"""What must be a known yes before a peck cycle may become a single pass, each with its evidence."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from coolcheck.known import Evidence, Known, Missing, Truth, combined, every, merged, negation, some, unknown, yes
from coolcheck.place import Place
from coolcheck.process.delivery import possible
from coolcheck.process.facts import FACTS
from coolcheck.process.model import HoleStep, Operation, Timeline
from coolcheck.process.moments import tool_name
from coolcheck.process.operations import setup_for
from coolcheck.rewrite.recipe import Recipe
from coolcheck.rewrite.recipes import DrillingNumbers, shown

if TYPE_CHECKING:
    from coolcheck.records.record import Record

CHAIN = "through-tool fluid"  # the name of every condition that is a link of the chain begins so
DRILLS = ("drill", "gun_drill", "indexable_drill", "step_drill")


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that must hold: its name, the truth of it, and a sentence for the page."""

    name: str
    truth: Truth
    says: str


@dataclass(frozen=True)
class Preconditions:
    """All of them for one operation. `recipe` is there when every one is yes."""

    operation: Operation
    conditions: tuple[Condition, ...]
    recipe: Recipe | None

    @property
    def whole(self) -> Truth:
        """Are they all yes."""
        return every(condition.truth for condition in self.conditions)

    @property
    def failing(self) -> tuple[Condition, ...]:
        """Those that are no."""
        return tuple(condition for condition in self.conditions if condition.truth.is_no)

    @property
    def missing(self) -> tuple[Missing, ...]:
        """What would decide those that are not known."""
        return merged(m for c in self.conditions if not c.truth.is_known for m in c.truth.missing)


def preconditions(operation: Operation, steps: tuple[HoleStep, ...], timeline: Timeline) -> Preconditions:
    """Everything that one operation needs; `steps` are its holes."""
    numbers = DrillingNumbers(operation, steps, timeline)
    conditions = (
        *_chain(operation, timeline), *_fluid(operation, timeline), *_tool(operation, steps, timeline), *_numbers(numbers),
    )  # fmt: skip
    recipe = numbers.recipe() if every(condition.truth for condition in conditions).is_yes else None
    return Preconditions(operation, conditions, recipe)


def fact(name: str, operation: Operation, timeline: Timeline) -> Known[Any]:
    """A fact of an operation."""
    return FACTS["operation", name].of(operation, timeline)


def _chain(operation: Operation, timeline: Timeline) -> Iterator[Condition]:
    """Every link from the pump to the tip."""
    for link in possible("through_tool", setup_for(operation, timeline.binding)).links:
        yield Condition(f"{CHAIN}: {link.name.replace('_', ' ')}", link.passes, link.says)


def _fluid(operation: Operation, timeline: Timeline) -> Iterator[Condition]:
    """Pressure and flow suffice, and no part of the way sees more than it may."""
    tip, pump = fact("tip_pressure", operation, timeline), fact("pump_pressure", operation, timeline)
    yield _compared("pressure at the tip", tip, fact("needed_pressure", operation, timeline), "bar", 1e-5)
    flow, needed = fact("tip_flow", operation, timeline), fact("needed_flow", operation, timeline)
    yield _compared("flow at the tip", flow, needed, "L/min", 6e4)
    tool, holder, machine = operation.tool_record, operation.holder_record, timeline.binding.machine
    for name, record, field in (
        ("pressure the tool allows", tool, "fluid.most pressure"),
        ("pressure the holder's seal allows", holder, "seal rating"),
        ("pressure the rotary union allows", machine, "union.most pressure"),
    ):
        yield _compared(name, record.field(field), pump, "bar", 1e-5)


def _compared(name: str, has: Known[float], needs: Known[float], unit: str, scale: float) -> Condition:
    """`has` is at least `needs`."""
    truth: Truth = combined(lambda a, b: a >= b * (1 - 1e-9), has, needs)
    if not truth.is_known:
        return Condition(name, truth, f"{name}: not known")
    sign = "at least" if truth.value else "less than"
    return Condition(name, truth, f"{name}: {has.value * scale:.4g} {unit}, {sign} the {needs.value * scale:.4g} {unit} needed")


def _asked(name: str, truth: Truth, holds: str, fails: str, unknown: str) -> Condition:
    """A condition with a sentence for each answer: one that is no must never be told as if it held."""
    return Condition(name, truth, holds if truth.is_yes else fails if truth.is_no else unknown)


def _tool(operation: Operation, steps: tuple[HoleStep, ...], timeline: Timeline) -> Iterator[Condition]:
    """The tool: a drill, rated for the depth, long enough with room for chips; the material; the hole."""
    tool, binding, name = operation.tool_record, timeline.binding, tool_name(operation.tool)
    kind = tool.field("kind")
    called = str(kind.or_else("")).replace("_", " ")
    is_drill: Truth = kind.map(lambda word: word in DRILLS)
    yield _asked(
        "kind of tool",
        is_drill,
        f"{name} is a {called}",
        f"{name} is a {called}, no drill",
        f"what kind of tool {name} is, is not known",
    )
    yield _compared("depth rated for one pass", tool.field("drilling.one pass"), operation.depth, "mm", 1e3)
    yield _face(binding.job.field("top"))
    yield _compared("usable length", tool.field("LU"), operation.depth, "mm", 1e3)
    yield _room_for_chips(tool, operation.depth)
    yield from _spindle(operation, timeline, name)
    yield _asked(
        "start above the face", _starts_above(steps, binding.job.field("top")), "every stroke begins above the raw face",
        "a first stroke begins below the raw face: the way down to it is at rapid",
        "whether every stroke begins above the raw face is not known",
    )  # fmt: skip
    yield _chips_that_do_not_burn(binding.material)
    yield _asked(
        "uninterrupted hole", _uninterrupted(operation, timeline), "a person has confirmed that nothing crosses the hole",
        "something crosses the hole", "whether anything crosses the hole is not known",
    )  # fmt: skip


def _face(face: Known[float]) -> Condition:
    """The raw face, from which the depth is counted."""
    holds, unknown = "the job says where the raw face is, so the depth is known", "where the raw face is, is not known"
    return _asked("raw face", face.map(lambda height: True), holds, "", unknown)


def _spindle(operation: Operation, timeline: Timeline, name: str) -> Iterator[Condition]:
    yield _asked(
        "turning direction", _turns_rightly(operation, timeline), f"the spindle turns the way {name} cuts",
        f"the spindle turns against the way {name} cuts", f"whether the spindle turns the way {name} cuts is not known",
    )  # fmt: skip
    yield _asked(
        "spindle", fact("spindle_turns", operation, timeline), "the spindle turns while it drills",
        "the spindle does not turn while it drills", "whether the spindle turns while it drills is not known",
    )  # fmt: skip


def _chips_that_do_not_burn(material: "Record") -> Condition:
    """No reactive material: its fine chips burn, and whoever drills it so must decide that."""
    name = material.name or "the material"
    return _asked(
        "material", material.field("reactive").map(lambda value: not value), f"fine chips of {name} do not burn",
        f"fine chips of {name} burn", f"whether fine chips of {name} burn is not known",
    )  # fmt: skip


def _turns_rightly(operation: Operation, timeline: Timeline) -> Truth:
    """Clockwise, or counterclockwise with a tool whose record says that it is left-handed."""
    left: Truth = operation.tool_record.field("hand").map(lambda word: word == "left")
    return some((negation(fact("turns_counterclockwise", operation, timeline)), left))


def _starts_above(steps: tuple[HoleStep, ...], face: Known[float]) -> Truth:
    """No hole is begun by a rapid move to below the raw face: what lies there is not known to be cut."""
    deepest = max((step.strokes[0].start for step in steps if len(step.strokes)), default=0.0)
    shown_start = Evidence("deepest start of a first stroke below the raw face", round(deepest * 1e3, 6), "mm", source="computed")
    return face.map(lambda height: deepest <= 1e-6, shown_start)


def _room_for_chips(tool: "Record", depth: Known[float]) -> Condition:
    """Flute above the hole: as much as the record asks for, else what the usable length leaves of the flute."""
    flute, room = tool.field("LCF"), tool.field("drilling.chip room")
    if not room.is_known:
        left = combined(lambda whole, usable: whole - usable, flute, tool.field("LU"))
        if left.is_known and left.value > 0:
            note = "the record's usable length leaves this much of the flute for chips"
            room = left.because(Evidence("chip room", round(left.value * 1e3, 3), "mm", source="computed", note=note))
    return _compared("flute length", flute, combined(lambda a, b: a + b, depth, room), "mm", 1e3)


def _uninterrupted(operation: Operation, timeline: Timeline) -> Truth:
    """Has a person confirmed it for this tool, or for the whole job."""
    job = timeline.binding.job
    for entry in job.entries("confirmed"):
        which = entry.field("T")
        if entry.field("what").value == "uninterrupted_hole" and (not which.is_known or which.value == operation.tool):
            return yes(*entry.field("what").evidence, *entry.field("by").evidence)
    question = f"does nothing cross the holes of T{operation.tool}: no other hole, no slot, no slanted face?"
    place = Place(job.file) if job.is_present else None
    return unknown(Missing(f"job {job.name}".strip(), "confirmed", question + " Confirm `uninterrupted_hole` there", place))


def _numbers(numbers: DrillingNumbers) -> Iterator[Condition]:
    """Each number to drill with is there."""
    yield _stated("feed", numbers.per_turn, "mm", 1e3)
    yield _stated("spindle speed, within every limit", numbers.rpm, "1/min", 1.0)
    yield _stated("code that turns it on", numbers.on.map(shown))
    yield _stated("code that turns it off", numbers.off.map(shown))
    yield _stated("build-up time", numbers.build_up, "s", 1.0)
    yield _stated("time until nothing runs out", numbers.decay, "s", 1.0)
    pilot = numbers.needs_pilot
    needs = "needs a pilot" if pilot.is_yes else "needs no pilot"
    told = f"{numbers.name} {needs}"
    yield _asked("pilot stated", pilot.map(lambda _: True), told, "", f"whether {numbers.name} needs a pilot is not known")
    if pilot.is_yes:
        yield from _pilot(numbers)


def _pilot(numbers: DrillingNumbers) -> Iterator[Condition]:
    yield _stated("speed while entering the pilot", numbers.tool.field("drilling.entry speed"), "1/min", 60.0)
    yield _stated("feed while entering the pilot", numbers.tool.field("drilling.entry feed"), "mm/min", 6e4)
    yield _stated("time of the spindle to its speed or back, at most that from stand-still", numbers.run_up, "s", 1.0)
    deep = combined(lambda *found: min(found), *(numbers.pilot_depth(step) for step in numbers.steps))
    yield _compared("depth of the pilot in every hole", deep, numbers.tool.field("drilling.pilot depth"), "mm", 1e3)


def _stated(name: str, value: Known[Any], unit: str = "", scale: float = 0.0) -> Condition:
    told = value.map(lambda v: f"{v * scale:.5g} {unit}" if unit else str(v)).or_else("not known")
    return Condition(name, value.map(lambda _: True), f"{name}: {told}")
