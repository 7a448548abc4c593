"""Facts of holes and their steps: what earlier tools left there, whether chips are out, what a thread needs."""

from dataclasses import replace

from coolcheck.known import Evidence, Known, Truth, combined, every, known, merged, some, unknown
from coolcheck.physics import cutting, threads
from coolcheck.process.fact import by_formula, fact, meaningless, said
from coolcheck.process.facts_fluid import confirmed, step_through_tool_delivers
from coolcheck.process.facts_operation import pitch
from coolcheck.process.kinds import MADE_BY_DRILLING
from coolcheck.process.model import Hole, HoleStep, Timeline
from coolcheck.process.moments import event_rows, remembered, tool_name
from coolcheck.process.signals import between_rows, cleared, meant
from coolcheck.process.stated import work_offset

OPENING = (*MADE_BY_DRILLING, "spot", "ream", "bore")  # work that leaves a hole behind
SAME_DEPTH = 0.1e-3  # m; what an earlier tool left is deeper by more than that
SAME_DIAMETER = 0.3e-3  # m; a pilot drill is the size of the long drill, and a little over
MADE_SIZE = (*MADE_BY_DRILLING, "ream", "bore", "mill", "rough", "finish")  # work that leaves a hole of a diameter


@fact("hole", name="name")
def hole_name(hole: Hole, timeline: Timeline) -> Known[str]:
    """Position of the hole."""
    return known(hole.name)


@fact("hole", name="number")
def hole_number(hole: Hole, timeline: Timeline) -> Known[float]:
    """Number of the hole."""
    return known(float(hole.number))


def earlier(step: HoleStep, timeline: Timeline) -> tuple[HoleStep, ...]:
    """The steps before it in its hole."""
    return timeline.holes[step.hole - 1].steps[: step.order]


def _doubtful(steps: tuple[HoleStep, ...]) -> Known[float] | None:
    """Unknown, when one of the steps is of a kind nobody knows."""
    dark = [step.operation.kind_known for step in steps if not step.operation.kind_known.is_known]
    return unknown(*merged(m for kind in dark for m in kind.missing)) if dark else None


@fact("step")
def depth_before(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Deepest point that an earlier tool made."""
    before = earlier(step, timeline)
    doubt = _doubtful(before)
    made = [other.depth for other in before if other.operation.kind in OPENING]
    if doubt is not None:
        return doubt
    if not made:
        none = Evidence("earlier tools", "none", source="program", note="no earlier tool opens this hole")
        return known(0.0, none, *_elsewhere(step, 0.0, timeline))
    deepest: Known[float] = combined(lambda *found: max(found), *made)
    return deepest.because(*_elsewhere(step, deepest.value, timeline)) if deepest.is_known else deepest


def _elsewhere(step: HoleStep, deepest: float, timeline: Timeline) -> tuple[Evidence, ...]:
    """Where an earlier tool that never comes here goes deeper at this place under another work offset: that may be the slip."""
    here = timeline.holes[step.hole - 1]
    others = (hole for hole in _at_one_place(timeline).get(_spot(here), ()) if hole.work_offset != here.work_offset)
    before = [other for hole in others for other in hole.steps if other.rows[0] < step.rows[0]]
    tools = {own.operation.tool for own in here.steps}
    opened = [other for other in before if other.operation.kind in OPENING and other.operation.tool not in tools]
    opened = [other for other in opened if other.depth.is_known]
    other = max(opened, key=lambda one: one.depth.value, default=None)
    if other is None or other.depth.value <= deepest + SAME_DEPTH:
        return ()
    name = tool_name(other.operation.tool)
    note = f"{name} drills this X and Y under another work offset"
    theirs = replace(work_offset(timeline.execution, other.rows[0]), name=f"work offset of {name}", note=note)
    return (theirs, work_offset(timeline.execution, step.rows[0]))


def _spot(hole: Hole) -> tuple[str, float, float, float]:
    across = (0.0 if letter == hole.axis else round(getattr(hole, letter), 6) for letter in "xyz")
    x, y, z = across
    return hole.axis, x, y, z


def _at_one_place(timeline: Timeline) -> dict[tuple[str, float, float, float], list[Hole]]:
    """The holes by their place, whatever their work offset; none where the program has but one."""

    def found() -> dict[tuple[str, float, float, float], list[Hole]]:
        holes: dict[tuple[str, float, float, float], list[Hole]] = {}
        if len({hole.work_offset for hole in timeline.holes}) > 1:
            for hole in timeline.holes:
                holes.setdefault(_spot(hole), []).append(hole)
        return holes

    return remembered(timeline, "holes at one place", found)


@fact("step")
def drill_before(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Diameter that the tools before it left where it goes."""
    before = earlier(step, timeline)
    doubt = _doubtful(before)
    if doubt is not None:
        return doubt
    made = [other for other in before if other.operation.kind in MADE_SIZE]
    if not made:
        return known(0.0, Evidence("earlier tools", "none", source="program", note="no earlier tool drills this hole"))
    if len(made) == 1:
        return made[0].diameter
    return combined(_widest, step.depth, *(combined(lambda *found: found, other.depth, other.diameter) for other in made))


def _widest(depth: float, *made: tuple[float, float]) -> float:
    """The largest diameter among those that reach the depth, or are the deepest: a counterbore is not the size of its hole."""
    reached = min(depth, max(deep for deep, _ in made))
    return max(wide for deep, wide in made if deep >= reached)


@fact("step")
def pilot_depth(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Depth of an earlier hole of the same diameter in this place."""
    before = earlier(step, timeline)
    doubt = _doubtful(before)
    if doubt is not None:
        return doubt
    made = [other for other in before if other.operation.kind in MADE_BY_DRILLING]
    depths = [_pilot(step.diameter, other) for other in made]
    if not depths:
        return known(0.0, Evidence("pilot", "none", source="program", note="no earlier drill in this place"))
    return combined(lambda *found: max(found), *depths)


def _pilot(diameter: Known[float], other: HoleStep) -> Known[float]:
    def deep(mine: float, its: float, depth: float) -> float:
        return depth if abs(mine - its) <= SAME_DIAMETER else 0.0

    return combined(deep, diameter, other.diameter, other.depth)


def _last_drill(step: HoleStep, timeline: Timeline) -> HoleStep | None:
    drills = [other for other in earlier(step, timeline) if other.operation.kind in MADE_BY_DRILLING]
    return drills[-1] if drills else None


@fact("step")
def drill_checked(step: HoleStep, timeline: Timeline) -> Truth:
    """A broken-tool check between the last drill and this step."""
    drill = _last_drill(step, timeline)
    if drill is None:
        return said(False, "drill", "no drill before it in this hole")
    first, behind = between_rows(event_rows(timeline), drill.rows[1] + 1, step.rows[0])
    return meant(timeline, ("broken_tool_check",), first, behind)


@fact("step")
def chips_cleared(step: HoleStep, timeline: Timeline) -> Truth:
    """Chips of the last drill are out of the hole."""
    drill = _last_drill(step, timeline)
    if drill is None:
        return said(True, "drill", "no drill before it in this hole: it left no chips")
    wets = next((chain.wets for chain in drill.operation.chains if chain.mode == "through_tool"), None)
    through = step_through_tool_delivers(drill, timeline)
    flushed = through if wets is None else every((through, wets))
    return some(
        (flushed, cleared(timeline, drill.rows[1] + 1, step.rows[0]), confirmed(timeline, "chips_cleared", step.operation.tool))
    )


@fact("step")
def needed_hole_depth(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Drilled depth that a tap to this depth needs, to the tip of the drill's point."""
    if step.operation.kind_known.is_known and step.operation.kind != "tap":
        return meaningless(f"{tool_name(step.operation.tool)} does not tap here")
    drill = _last_drill(step, timeline)
    lead: Known[str] = step.operation.tool_record.field("THCHT")
    if drill is None:
        return by_formula(
            "hole depth",
            "mm",
            1e3,
            NEEDED + " (no drill point counted)",
            _needed,
            step.depth,
            pitch(step.operation, timeline),
            lead,
        )
    point: Known[float] = drill.operation.tool_record.field("SIG")
    values = (step.depth, pitch(step.operation, timeline), lead, drill.diameter, point)
    return by_formula("hole depth", "mm", 1e3, NEEDED, _needed, *values)


NEEDED = (
    "the tap's tip goes to its depth, one pitch of room below, and the drill point: physics.threads.hole_depth_for_thread, "
    "physics.cutting.drill_point_length"
)


def _needed(depth: float, pitch_: float, lead: str, wide: float = 0.0, sig: float = 0.0) -> float:
    """Full-diameter depth for a thread whose tap goes to `depth`, lead included, and the point of the drill below it."""
    chamfer = threads.tap_lead(lead).most
    full = max(0.0, depth - chamfer * pitch_)
    straight = threads.hole_depth_for_thread(full, pitch_, chamfer) if full > 0 else depth + pitch_
    return straight + (cutting.drill_point_length(wide, sig) if wide else 0.0)


@fact("step")
def thread_engagement(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Share of the full thread depth that the hole leaves."""
    if step.operation.kind_known.is_known and step.operation.kind != "tap":
        return meaningless(f"{tool_name(step.operation.tool)} does not tap here")
    hole = drill_before(step, timeline)
    if hole.is_known and hole.value <= 0:
        return meaningless("no earlier tool drills this hole: its diameter is not known")
    note = "(D - d) / (1.299 P): physics.threads.engagement_of_full_depth"
    values = (step.diameter, hole, pitch(step.operation, timeline))
    return by_formula("thread engagement", "%", 100.0, note, threads.engagement_of_full_depth, *values)
