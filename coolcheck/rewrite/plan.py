"""Plans one stage of a rewrite: all targets of one mend, on one run of the program. What cannot be planned becomes a refusal."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from coolcheck.known import Missing, merged
from coolcheck.nc.moves import Execution
from coolcheck.process.facts_operation import steps_of
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import tool_name
from coolcheck.rewrite.allowed import Demands
from coolcheck.rewrite.blocks import Pen
from coolcheck.rewrite.codes import Codes
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.draft import Draft
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.fluid_codes import FLUID_MENDS
from coolcheck.rewrite.layout import Layout
from coolcheck.rewrite.mender import Mender, NotKnown
from coolcheck.rewrite.preconditions import CHAIN, Preconditions, preconditions
from coolcheck.rewrite.recipe import Recipe
from coolcheck.rewrite.refusal import CannotPlan, Refusal
from coolcheck.rewrite.single_pass import plan_cycles
from coolcheck.rewrite.slow_entry import plan_slow_entries
from coolcheck.rewrite.targets import Choice, Target

SINGLE_PASS, PECK_RULE = "single_pass", "deep-peck-with-capable-drill"
_PECKS = (73, 83)
_CONSEQUENCES = ("program", "physics")  # what is not known only because something before it is no


@dataclass(frozen=True)
class Planned:
    """One stage: its edits, what they are declared to change, what was proved first, and what is left as it is."""

    edits: tuple[Edit, ...] = ()
    differences: Differences = Differences()
    conditions: tuple[Preconditions, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    mended: tuple[Target, ...] = ()


@dataclass(frozen=True)
class Run:
    """One run of a program with its process."""

    execution: Execution
    timeline: Timeline
    layout: Layout
    pen: Pen

    @classmethod
    def of(cls, timeline: Timeline) -> "Run":
        """The run of a process."""
        execution = timeline.execution
        return cls(execution, timeline, Layout(execution), Pen(execution.program))

    @property
    def codes(self) -> Codes:
        """What codes mean on its machine."""
        return Codes(self.timeline.binding.machine)


def plan(mend: str, run: Run, targets: Sequence[Target], choice: Choice) -> Planned:
    """The stage of one mend."""
    if mend == SINGLE_PASS:
        return _plan_single_pass(run, choice)
    return _plan_fluid(mend, run, [target for target in targets if target.mend == mend])


# ------------------------------------------------------------------ single pass


def pecked(run: Run) -> Iterator[tuple[Operation, list[int]]]:
    """Every operation that pecks by canned cycles, with all the holes of its peck cycles."""
    table, cycles = run.execution.cycle_holes, run.execution.cycles
    firsts, numbers = table.first.tolist(), table.cycle.tolist()
    holes = [hole for hole, cycle in enumerate(numbers) if cycles[cycle].code in _PECKS]
    for operation in run.timeline.operations:
        first, last = operation.rows
        own = [hole for hole in holes if first <= firsts[hole] <= last]
        if any(len(cycles[numbers[hole]].pecks) > 1 for hole in own):
            yield operation, own


def demands_of(run: Run) -> Demands:
    """What the records ask of a rewrite of this run: worked out from the records, not from a plan."""
    recipes: dict[int, Recipe] = {}
    for operation, holes in pecked(run):
        found = preconditions(operation, steps_of(operation, run.timeline), run.timeline)
        if found.recipe is not None:
            recipes |= dict.fromkeys(holes, found.recipe)
    return Demands(run.timeline.binding.machine, recipes, run.codes)


def _plan_single_pass(run: Run, choice: Choice) -> Planned:
    draft = Draft(run.layout, run.pen)
    conditions: list[Preconditions] = []
    refusals: list[Refusal] = []
    for operation, holes in pecked(run):
        if not choice.takes(SINGLE_PASS, PECK_RULE, operation.tool):
            continue
        found = preconditions(operation, steps_of(operation, run.timeline), run.timeline)
        if found.recipe is None:
            refusals.append(refusal_of(found))
            continue
        part = Draft(run.layout, run.pen.for_mend(SINGLE_PASS, operation.tool))
        try:
            make = plan_cycles if found.recipe.entry is None else plan_slow_entries
            make(part, holes, found.recipe, run.codes.effects())
        except CannotPlan as fault:
            refusals.append(_refused(run, fault, SINGLE_PASS, operation))
            continue
        draft.add(part.edits, part.differences)
        conditions.append(found)
    return Planned(run.pen.finished(draft.edits), draft.differences, tuple(conditions), tuple(refusals))


def refusal_of(found: Preconditions) -> Refusal:
    """Why the pecks of an operation stay: what is no, and what is missing."""
    name, missing = tool_name(found.operation.tool), found.missing
    broken = [condition for condition in found.failing if condition.name.startswith(CHAIN)]
    failing = [*broken[:1], *(condition for condition in found.failing if condition not in broken)]
    if failing:
        says = f"{name} keeps its pecks: " + "; ".join(dict.fromkeys(condition.says for condition in failing))
        missing = tuple(one for one in missing if one.record not in _CONSEQUENCES)
        do = "change what is said above, in the shop or in its record, and run again"
    else:
        says = f"{name} keeps its pecks until more is known"
        do = "answer the questions in the records and run again"
    evidence = merged(e for condition in failing for e in condition.truth.evidence)
    return Refusal(found.operation.place, SINGLE_PASS, found.operation.tool, says, missing, evidence, do, bool(failing))


# ------------------------------------------------------------------ fluid codes


def _plan_fluid(mend: str, run: Run, targets: Sequence[Target]) -> Planned:
    draft = Draft(run.layout, run.pen)
    refusals: list[Refusal] = []
    mended: list[Target] = []
    done: set[tuple[str, int]] = set()
    for target in targets:
        if not target.holds:
            says = f"it is not decided: {target.says}"
            do = "answer the questions in the records and run again"
            refusals.append(Refusal(target.where, mend, target.tool, says, target.missing, (), do))
            continue
        own = _not_done(target, done)
        if own is None:
            mended.append(target)  # another target has asked for the same
            continue
        part = Draft(run.layout, run.pen.for_mend(mend, target.tool))
        try:
            FLUID_MENDS[mend](Mender(part, run.timeline, run.codes), own)
        except CannotPlan as fault:
            refusals.append(_refused(run, fault, mend, target))
            continue
        draft.add(part.edits, part.differences)
        mended.append(target)
        done |= {("pause", pause) for pause in own.pauses} | {("operation", one.number) for one in own.operations}
    return Planned(run.pen.finished(draft.edits), draft.differences, (), merged(refusals), tuple(mended))


def _not_done(target: Target, done: set[tuple[str, int]]) -> Target | None:
    """The target without what an earlier one has mended already; None when nothing is left."""
    pauses = tuple(pause for pause in target.pauses if ("pause", pause) not in done)
    operations = tuple(one for one in target.operations if ("operation", one.number) not in done)
    if (target.pauses or target.operations) and not pauses and not operations:
        return None
    return Target(
        target.mend, target.rule, target.tool, target.where, target.says, target.holds, operations, pauses, target.missing,
        target.evidence,
    )  # fmt: skip


def _refused(run: Run, fault: CannotPlan, mend: str, about: Operation | Target) -> Refusal:
    place = about.place if isinstance(about, Operation) else about.where
    if fault.block is not None:
        place = run.execution.place(fault.block)
    missing: tuple[Missing, ...] = fault.missing if isinstance(fault, NotKnown) else ()
    return Refusal(place, mend, about.tool, fault.says, missing, (), fault.do)
