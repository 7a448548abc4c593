"""Rewrites a program: stage by stage, each planned, made, run again and proved before the next, until nothing is left to mend."""

import hashlib
from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from coolcheck.errors import RewriteRefused
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.rules import load_rules
from coolcheck.judge.verdict import HOLDS, Verdict
from coolcheck.nc.moves import Note
from coolcheck.process.facts_operation import steps_of
from coolcheck.process.model import Timeline
from coolcheck.rewrite.aftermath import awakened, harms, stands_in_the_way, still_wrong, would_bring
from coolcheck.rewrite.bench import Bench, dark_notes, skip_settings
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.edit import Edit, apply, is_effective
from coolcheck.rewrite.expect import expected, rows_of_holes
from coolcheck.rewrite.origin import Origin
from coolcheck.rewrite.plan import Planned, Run, demands_of, plan
from coolcheck.rewrite.preconditions import Preconditions, preconditions
from coolcheck.rewrite.prove import Proof, ProofFailed, prove
from coolcheck.rewrite.refusal import Refusal
from coolcheck.rewrite.targets import Choice, Key, Target, targets
from coolcheck.rewrite.times import HoleTime, hole_times
from coolcheck.rewrite.unproved import OtherEdits, not_proved

# Codes first become those of this machine, unneeded fluid goes, holes are converted; what is then still missing comes in.
ORDER = (
    "machine_code",
    "fluid_off_unneeded",
    "edge_regime",
    "single_pass",
    "fluid_before_cut",
    "build_up_dwell",
    "fluid_off_before_change",
)
MOST_ROUNDS = 4  # the second round is there to see that nothing is left; a mend that wakes another needs a third


@dataclass(frozen=True)
class Stage:
    """One proved step: `edits` lead from the program of hash `before` to that of hash `after`.

    differences : what is declared, for each setting of the block-skip switches; proofs : of each of them
    holes : the times of the holes it converts, under the switches of the job; origin : where the lines of `before` come from
    """

    mend: str
    before: str
    after: str
    edits: tuple[Edit, ...]
    differences: tuple[tuple[frozenset[int], Differences], ...]
    proofs: tuple[Proof, ...]
    conditions: tuple[Preconditions, ...]
    holes: tuple[HoleTime, ...]
    origin: Origin = field(compare=False)


@dataclass(frozen=True)
class Rewrite:
    """A program and what becomes of it. `result` is `original` when there is nothing to mend, or nothing that may be.

    origin : where the lines of the result come from; keeps : speed and feed of the program were to be kept
    """

    name: str
    original: bytes
    result: bytes
    stages: tuple[Stage, ...]
    refusals: tuple[Refusal, ...]
    before: Timeline
    after: Timeline
    origin: Origin = field(compare=False)
    keeps: bool = False

    @property
    def is_changed(self) -> bool:
        """Is anything rewritten."""
        return self.original != self.result


def rewrite(data: bytes, name: str, bench: Bench, choice: Choice, today: date, rules: Sequence[Rule] | None = None) -> Rewrite:
    """The rewritten program, proved; what cannot be proved is left. Raises RewriteRefused when nothing can be."""
    book = rules if rules is not None else load_rules(bench.binding.rules_folders, process_words(today))
    work = _Work(name, bench, choice, today, book)
    return work.rewritten(data)


class _Work:
    def __init__(self, name: str, bench: Bench, choice: Choice, today: date, rules: Sequence[Rule]) -> None:
        self.name, self.bench, self.choice, self.today, self.rules = name, bench, choice, today, rules
        self.stages: list[Stage] = []
        self.refusals: list[Refusal] = []
        self.mended: set[Key] = set()
        self.converted: set[Key] = set()
        self.hopeless: dict[Key, Refusal] = {}
        self.harms: tuple[Verdict, ...] = ()

    def rewritten(self, original: bytes) -> Rewrite:
        first = self._run(original, self.bench.block_skip)
        self.origin = Origin(first.execution.program)
        if first.execution.program.source.is_transcoded:
            raise RewriteRefused(f"{self.name}: error: this program is written in UTF-16; save it as plain text first")
        dark = list(dark_notes(first.execution))
        if dark:
            refusals = tuple(_too_dark(note) for note in dark)
            return self._done(original, original, refusals, first, first)
        self.harms = harms(first.timeline, self.rules, self.today)
        while True:
            known = len(self.hopeless)
            done = self._settled(original, first)
            if len(self.hopeless) == known:
                self._give_up_what_harms(done)
            if len(self.hopeless) == known:
                return done
            # once more, without the mends that do not end what they are for, or that bring new harm
            self.stages, self.mended, self.converted = [], set(), set()

    def _give_up_what_harms(self, done: Rewrite) -> None:
        """Leaves what would bring something new to say of a tool, and the holes of a tool that stays wrong."""
        if not done.is_changed:
            return
        after = harms(done.after, self.rules, self.today)
        for verdict in awakened(self.harms, after):
            is_error = verdict.state == HOLDS and verdict.rule.level == "error"
            made = self.mended | (self.converted if is_error else set())
            for key in [key for key in made if f"T{key[2]}" == verdict.about("tool")] or list(made):
                self._give_up(key, would_bring(verdict, _of(key, verdict)))
        for verdict in still_wrong(after):
            if not self._is_of_converted(verdict, done):
                continue
            for key in [key for key in self.converted if f"T{key[2]}" == verdict.about("tool")]:
                self._give_up(key, stands_in_the_way(verdict, _of(key, verdict)))

    def _is_of_converted(self, verdict: Verdict, done: Rewrite) -> bool:
        """Is that about an operation whose holes are converted, as far as the operations can be told apart."""
        number = verdict.about("operation")
        if not number or len(done.before.operations) != len(done.after.operations):
            return True
        return number in {str(found.operation.number) for stage in done.stages for found in stage.conditions}

    def _give_up(self, key: Key, refusal: Refusal) -> None:
        """Leaves a mend altogether; the first reason stays. Its places are those of the text as it is now."""
        self.hopeless.setdefault(key, self.origin.refusal(refusal))

    def _settled(self, original: bytes, first: Run) -> Rewrite:
        """Round after round until one changes nothing."""
        data, run = original, first
        self.origin = Origin(first.execution.program)
        for _ in range(MOST_ROUNDS):
            before = data
            data, run = self._round(data, run)
            if data == before:
                left = tuple(dict.fromkeys([*self.hopeless.values(), *self.refusals]))
                return self._done(original, data, left, first, run)
        raise RewriteRefused(
            f"{self.name}: error: one mend calls for another without end; nothing was written\n"
            f"    do       name the mends you want with --only, one at a time, and report this program with its records"
        )

    def _done(self, original: bytes, data: bytes, left: tuple[Refusal, ...], first: Run, last: Run) -> Rewrite:
        stages, keeps = tuple(self.stages), self.choice.keeps
        return Rewrite(self.name, original, data, stages, left, first.timeline, last.timeline, self.origin, keeps)

    def _run(self, data: bytes, skip: frozenset[int]) -> Run:
        program = self.bench.program(data, self.name)
        return Run.of(self.bench.timeline(self.bench.run(program, skip)))

    def _round(self, data: bytes, run: Run) -> tuple[bytes, Run]:
        """Every mend once, in order; each on what the one before has left."""
        self.refusals = []
        wanted = self._targets(run)
        finished: set[Key] = set()
        for mend in ORDER:
            planned, made = self._proved(mend, data, run, wanted)
            self.refusals += map(self.origin.refusal, planned.refusals)
            finished |= {target.key for target in planned.mended}
            self.converted |= planned.converted
            if made is not None:
                self.stages.append(made.stage)
                self.origin = self.origin.advanced(made.stage.edits, made.run.execution.program)
                data, run = made.data, made.run
                wanted = self._targets(run)
        self.mended |= finished
        return data, run

    def _targets(self, run: Run) -> tuple[Target, ...]:
        """What is to be mended now. What was mended in an earlier round and is found again has no hope: it is left altogether."""
        found = targets(run.timeline, self.rules, self.today, self.choice)
        for target in found:
            if target.holds and target.key in self.mended:
                self._give_up(target.key, _again(target))
        return found

    def _proved(self, mend: str, data: bytes, run: Run, wanted: Sequence[Target]) -> "tuple[Planned, _Made | None]":
        """One mend with as many of its targets as can be proved together; the others are left, each with its reason."""
        left = set(self.hopeless)
        try:
            return self._made(mend, data, run, wanted, left)
        except RewriteRefused:
            doubtful = plan(mend, run, wanted, self.choice, left).targets
        left |= doubtful.keys()
        for key, place in doubtful.items():
            try:
                self._made(mend, data, run, wanted, left - {key})
            except RewriteRefused as fault:
                self._give_up(key, not_proved(fault, place, key))
            else:
                left.discard(key)
        return self._made(mend, data, run, wanted, left)

    def _made(
        self, mend: str, data: bytes, run: Run, wanted: Sequence[Target], left: Collection[Key]
    ) -> "tuple[Planned, _Made | None]":
        """One mend planned without what is `left`, made and proved. Raises RewriteRefused."""
        planned = plan(mend, run, wanted, self.choice, left)
        edits = tuple(edit for edit in planned.edits if is_effective(data, edit))
        if not edits:
            return planned, None
        new = apply(data, edits)
        after = self._run(new, self.bench.block_skip)
        declared, proofs = [], []
        for skip in skip_settings(run.execution.program, self.bench.block_skip):
            is_base = skip == skip_settings(run.execution.program, self.bench.block_skip)[0]
            old = run if is_base else self._run(data, skip)
            own = planned if is_base else self._same_edits(mend, old, planned, left, skip)
            there = after if is_base else self._run(new, skip)
            proofs.append(prove(old.execution, there.execution, own.differences, demands_of(old, self.choice.keeps), skip))
            declared.append((skip, own.differences))
        _still_certain(run, after, planned)
        times = tuple(replace(t, place=self.origin.place(t.place)) for t in hole_times(run, after, planned.differences))
        differences, conditions = tuple(declared), planned.conditions
        stage = Stage(mend, _hash(data), _hash(new), edits, differences, tuple(proofs), conditions, times, self.origin)
        return planned, _Made(stage, new, after)

    def _same_edits(self, mend: str, run: Run, planned: Planned, left: Collection[Key], skip: frozenset[int]) -> Planned:
        """The plan under other switches: it must ask for the very same edits."""
        own = plan(mend, run, targets(run.timeline, self.rules, self.today, self.choice), self.choice, left)
        if own.edits != planned.edits:
            raise OtherEdits(skip)
        return own


@dataclass(frozen=True)
class _Made:
    """A stage that is proved, with the program it leads to."""

    stage: Stage
    data: bytes
    run: Run


def _still_certain(before: Run, after: Run, planned: Planned) -> None:
    """Everything that was certain before the holes were converted is certain of the new program too."""
    declared = planned.differences
    rows = rows_of_holes(before.execution, declared, expected(before.execution, declared)) if declared.holes else {}
    drilled = sorted(last for _, last in rows.values())
    for operation in after.timeline.operations:
        first = bisect_left(drilled, operation.rows[0])
        if first == len(drilled) or drilled[first] > operation.rows[1]:
            continue  # no converted hole is its work
        found = preconditions(operation, steps_of(operation, after.timeline), after.timeline)
        if not found.whole.is_yes:
            wrong = next(condition for condition in found.conditions if not condition.truth.is_yes)
            raise ProofFailed(f"after the change this is not certain any more: {wrong.says}")


def _too_dark(note: Note) -> Refusal:
    says = f"nothing is rewritten in a program of which this is not known: {note.says} [{note.id}]"
    return Refusal(note.place, "", None, says, (), (), note.do)


def _again(target: Target) -> Refusal:
    says = f"the mend did not end it: {target.says} [{target.rule}]"
    return Refusal(target.where, target.mend, target.tool, says, target.missing, target.evidence, "mend it by hand")


def _of(key: Key, verdict: Verdict) -> Refusal:
    """A refusal of that mend at the place of the verdict, still without a sentence."""
    return Refusal(verdict.where, key[0], key[2], "")


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
