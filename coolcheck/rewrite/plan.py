"""Plans one stage of a rewrite: all targets of one mend, on one run of the program. What cannot be planned becomes a refusal."""

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from coolcheck.known import Missing, merged
from coolcheck.nc.moves import Execution
from coolcheck.place import Place
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
from coolcheck.rewrite.mender import Mender, NotKnown, refuse_long_wait
from coolcheck.rewrite.preconditions import CHAIN, Preconditions, preconditions
from coolcheck.rewrite.programmed import off_the_record
from coolcheck.rewrite.recipe import Recipe
from coolcheck.rewrite.refusal import CannotPlan, Refusal
from coolcheck.rewrite.single_pass import plan_cycles
from coolcheck.rewrite.slow_entry import plan_slow_entries
from coolcheck.rewrite.targets import Choice, Key, Target

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

    @property
    def converted(self) -> frozenset[Key]:
        """The tools whose pecks go."""
        return frozenset(_key(found.operation) for found in self.conditions)

    @property
    def targets(self) -> dict[Key, Place]:
        """Everything that is mended, with its first place."""
        places: dict[Key, Place] = {}
        for found in self.conditions:
            places.setdefault(_key(found.operation), found.operation.place)
        for target in self.mended:
            places.setdefault(target.key, target.where)
        return places


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


def plan(mend: str, run: Run, targets: Sequence[Target], choice: Choice, left: Collection[Key] = ()) -> Planned:
    """The stage of one mend, without what is left altogether."""
    if mend == SINGLE_PASS:
        return _plan_single_pass(run, choice, left)
    return _plan_fluid(mend, run, [target for target in targets if target.mend == mend and target.key not in left])


def _key(operation: Operation) -> Key:
    return SINGLE_PASS, PECK_RULE, operation.tool


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


def demands_of(run: Run, keeps: bool = False) -> Demands:
    """What the records ask of a rewrite of this run: worked out from the records, not from a plan.

    keeps : speed and feed of the program are to be kept
    """
    recipes: dict[int, Recipe] = {}
    for operation, holes in pecked(run):
        found = preconditions(operation, steps_of(operation, run.timeline), run.timeline)
        if found.recipe is not None:
            recipes |= dict.fromkeys(holes, found.recipe)
    return Demands(run.timeline.binding.machine, recipes, run.codes, keeps)


def _plan_single_pass(run: Run, choice: Choice, left: Collection[Key]) -> Planned:
    draft = Draft(run.layout, run.pen)
    conditions: list[Preconditions] = []
    refusals = list(_without_depth(run, choice))
    chosen: list[Work] = []
    for operation, holes in pecked(run):
        if not choice.takes(SINGLE_PASS, PECK_RULE, operation.tool) or _key(operation) in left:
            continue
        found = preconditions(operation, steps_of(operation, run.timeline), run.timeline)
        if found.recipe is None:
            refusals.append(refusal_of(found))
        elif choice.keeps and (stays := _would_change(run, operation, holes, found.recipe)) is not None:
            refusals.append(stays)
        else:
            chosen.append(Work((found,), tuple(holes), found.recipe))
    for work in _together(run, chosen):
        done, refused = _planned(run, work)
        refusals += refused
        for one, part in done:
            draft.join(part)
            conditions += one.conditions
    return Planned(run.pen.finished(draft.edits), draft.differences, tuple(conditions), tuple(refusals))


def _without_depth(run: Run, choice: Choice) -> Iterator[Refusal]:
    """Peck cycles without a peck depth: they are read as one stroke, so there is nothing to convert, and a person should know."""
    table, execution = run.execution.cycle_holes, run.execution
    for note in execution.notes:
        if note.id != "peck-without-depth":
            continue
        hole = next((h for h, block in enumerate(table.block.tolist()) if execution.place(block) == note.place), None)
        tool = None if hole is None else execution.modal(int(table.first[hole])).tool
        if choice.takes(SINGLE_PASS, PECK_RULE, tool):
            says = f"{note.says}, as this dialect reads it: there are no pecks to take out"
            yield Refusal(note.place, SINGLE_PASS, tool, says, (), (), note.do, is_certain=True)


@dataclass(frozen=True)
class Work:
    """Holes that one tool drills in one pass, planned together, with the preconditions of their operations."""

    conditions: tuple[Preconditions, ...]
    holes: tuple[int, ...]
    recipe: Recipe

    def __add__(self, other: "Work") -> "Work":
        recipe = replace(self.recipe, pilots=self.recipe.pilots + other.recipe.pilots)
        return Work(self.conditions + other.conditions, self.holes + other.holes, recipe)


def _together(run: Run, works: Sequence[Work]) -> Iterator[Work]:
    """Operations of one tool without a tool change between them are one work: a move through the air parts them, no more."""
    changes = [event.row for event in run.execution.events if event.kind == "tool_change"]
    last: Work | None = None
    for work in works:
        if last is not None and _is_continued(last, work, changes):
            last += work
            continue
        if last is not None:
            yield last
        last = work
    if last is not None:
        yield last


def _is_continued(last: Work, work: Work, changes: Sequence[int]) -> bool:
    same = replace(last.recipe, pilots=()) == replace(work.recipe, pilots=())
    low, high = last.conditions[-1].operation.rows[1], work.conditions[0].operation.rows[0]
    return same and bisect_right(changes, low) == bisect_right(changes, high)


def _planned(run: Run, work: Work) -> tuple[list[tuple[Work, Draft]], list[Refusal]]:
    """The work planned as one; where that cannot be, each of its operations by itself, and what stands in the way of the rest.

    Where none of them can be by itself either, what stands in the way of the whole is what a person can change.
    """
    operation = work.conditions[0].operation
    part = Draft(run.layout, run.pen.for_mend(SINGLE_PASS, operation.tool))
    try:
        refuse_long_wait(max(work.recipe.wait(speeds_up=True), work.recipe.decay))
        make = plan_cycles if work.recipe.entry is None else plan_slow_entries
        make(part, work.holes, work.recipe, run.codes.effects())
    except CannotPlan as fault:
        refused_as_one = [_refused(run, fault, SINGLE_PASS, operation)]
        if len(work.conditions) == 1:
            return [], refused_as_one
    else:
        return [(work, part)], []
    done: list[tuple[Work, Draft]] = []
    refusals: list[Refusal] = []
    for found in work.conditions:
        assert found.recipe is not None
        first, last = found.operation.rows
        firsts = run.execution.cycle_holes.first
        own = tuple(hole for hole in work.holes if first <= int(firsts[hole]) <= last)
        planned, refused = _planned(run, Work((found,), own, found.recipe))
        done += planned
        refusals += refused
    return done, refusals if done else refused_as_one


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


def _would_change(run: Run, operation: Operation, holes: Sequence[int], recipe: Recipe) -> Refusal | None:
    """Why an operation stays whose programmed speed or feed is to be kept although it is not the record's."""
    draft = Draft(run.layout, run.pen)
    hole, differs = next(off_the_record(draft, holes, recipe), (-1, ""))
    if hole < 0:
        return None
    place = run.execution.place(int(run.execution.cycle_holes.block[hole]))
    says = f"{tool_name(operation.tool)} keeps its pecks, its speed and its feed, as you asked: {differs}"
    do = "settle which is right, in the program or in the record; or run without --keep-speed-and-feed to take the record's"
    return Refusal(place, SINGLE_PASS, operation.tool, says, (), (), do, is_certain=True)


# ------------------------------------------------------------------ fluid codes


def _plan_fluid(mend: str, run: Run, targets: Sequence[Target]) -> Planned:
    draft = Draft(run.layout, run.pen)
    refusals: list[Refusal] = []
    mended: list[Target] = []
    done: set[tuple[str, int]] = set()
    pauses = frozenset(pause for target in targets if target.holds for pause in target.pauses)
    for target in targets:
        if not target.holds:
            refusals += _undecided(target)
            continue
        own = _not_done(target, done)
        if own is None:
            mended.append(target)  # another target has asked for the same
            continue
        part = Draft(run.layout, run.pen.for_mend(mend, target.tool))
        try:
            FLUID_MENDS[mend](Mender(part, run.timeline, run.codes, pauses), own)
        except CannotPlan as fault:
            refusals.append(_refused(run, fault, mend, target))
            continue
        draft.join(part)
        mended.append(target)
        done |= {("pause", pause) for pause in own.pauses} | {("operation", one.number) for one in own.operations}
    return Planned(run.pen.finished(draft.edits), draft.differences, (), merged(refusals), tuple(mended))


def _undecided(target: Target) -> Iterator[Refusal]:
    """What would decide it; nothing where it cannot be asked at all, as of a tool that only moves through the air."""
    missing = tuple(one for one in target.missing if one.record != "program" or "?" in one.question)
    if target.missing and not missing:
        return
    do = "answer the questions in the records and run again"
    if not any("?" in one.question for one in missing):
        do = "no record decides this: look at it by hand"
    yield Refusal(target.where, target.mend, target.tool, f"it is not decided: {target.says}", missing, (), do)


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
    says, do = fault.says, fault.do
    if mend == SINGLE_PASS:
        says = f"{tool_name(about.tool)} keeps its pecks: {says}"
        do = do or "write this part of the program another way, or change its cycles by hand"
    return Refusal(place, mend, about.tool, says, missing, (), do)
