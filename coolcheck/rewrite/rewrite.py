"""Rewrites a program: stage by stage, each planned, made, run again and proved before the next, until nothing is left to mend."""

import hashlib
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from coolcheck.errors import RewriteRefused
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.rules import load_rules
from coolcheck.judge.verdict import Verdict
from coolcheck.nc.moves import Note
from coolcheck.place import Place
from coolcheck.process.facts_operation import steps_of
from coolcheck.process.model import Timeline
from coolcheck.rewrite.aftermath import awakened, harms, stands_in_the_way, still_wrong, would_bring
from coolcheck.rewrite.bench import Bench, dark_notes, skip_settings
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.edit import Edit, apply, is_effective
from coolcheck.rewrite.expect import expected, rows_of_holes
from coolcheck.rewrite.plan import Planned, Run, demands_of, plan
from coolcheck.rewrite.preconditions import Preconditions, preconditions
from coolcheck.rewrite.prove import Proof, ProofFailed, prove
from coolcheck.rewrite.refusal import Refusal
from coolcheck.rewrite.targets import Choice, Target, targets

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
Key = tuple[str, str, int | None]  # mend, rule, tool
MOST_ROUNDS = 4  # the second round is there to see that nothing is left; a mend that wakes another needs a third


@dataclass(frozen=True, slots=True)
class HoleTime:
    """Machine time of one converted hole [s], from the way to it to the way out of it; NaN where it is not known.

    `place` is its block in the original.
    """

    tool: int | None
    hole: int
    place: Place
    before: float
    after: float


@dataclass(frozen=True)
class Stage:
    """One proved step: `edits` lead from the program of hash `before` to that of hash `after`.

    differences : what is declared, for each setting of the block-skip switches; proofs : of each of them
    holes : the times of the holes it converts, under the switches of the job
    """

    mend: str
    before: str
    after: str
    edits: tuple[Edit, ...]
    differences: tuple[tuple[frozenset[int], Differences], ...]
    proofs: tuple[Proof, ...]
    conditions: tuple[Preconditions, ...]
    holes: tuple[HoleTime, ...] = ()


@dataclass(frozen=True)
class Rewrite:
    """A program and what becomes of it. `result` is `original` when there is nothing to mend, or nothing that may be."""

    name: str
    original: bytes
    result: bytes
    stages: tuple[Stage, ...]
    refusals: tuple[Refusal, ...]
    before: Timeline
    after: Timeline

    @property
    def is_changed(self) -> bool:
        """Is anything rewritten."""
        return self.original != self.result


def rewrite(data: bytes, name: str, bench: Bench, choice: Choice, today: date, rules: Sequence[Rule] | None = None) -> Rewrite:
    """The rewritten program, proved. Raises ProofFailed when a plan does not prove, RewriteRefused when nothing can be proved."""
    book = rules if rules is not None else load_rules(bench.binding.rules_folders, process_words(today))
    work = _Work(name, bench, choice, today, book)
    return work.rewritten(data)


class _Work:
    def __init__(self, name: str, bench: Bench, choice: Choice, today: date, rules: Sequence[Rule]) -> None:
        self.name, self.bench, self.choice, self.today, self.rules = name, bench, choice, today, rules
        self.stages: list[Stage] = []
        self.refusals: list[Refusal] = []
        self.mended: set[Key] = set()
        self.hopeless: dict[Key, Refusal] = {}
        self.harms: tuple[Verdict, ...] = ()

    def rewritten(self, original: bytes) -> Rewrite:
        first = self._run(original, self.bench.block_skip)
        if first.execution.program.source.is_transcoded:
            raise RewriteRefused(f"{self.name}: error: this program is written in UTF-16; save it as plain text first")
        dark = list(dark_notes(first.execution))
        if dark:
            refusals = tuple(_too_dark(note) for note in dark)
            return Rewrite(self.name, original, original, (), refusals, first.timeline, first.timeline)
        self.harms = harms(first.timeline, self.rules, self.today)
        while True:
            known = len(self.hopeless)
            done = self._settled(original, first)
            if len(self.hopeless) == known:
                self._give_up_what_harms(done)
            if len(self.hopeless) == known:
                return done
            # once more, without the mends that do not end what they are for, or that bring new harm
            self.stages, self.mended = [], set()

    def _give_up_what_harms(self, done: Rewrite) -> None:
        """Leaves what would bring something new to say of a tool, and the holes of a tool that stays wrong."""
        if not done.is_changed:
            return
        after = harms(done.after, self.rules, self.today)
        for verdict in awakened(self.harms, after):
            for key in [key for key in self.mended if f"T{key[2]}" == verdict.about("tool")] or list(self.mended):
                self.hopeless.setdefault(key, would_bring(verdict, _of(key, verdict)))
        for verdict in still_wrong(after):
            for key in [key for key in self.mended if key[0] == "single_pass" and f"T{key[2]}" == verdict.about("tool")]:
                self.hopeless.setdefault(key, stands_in_the_way(verdict, _of(key, verdict)))

    def _settled(self, original: bytes, first: Run) -> Rewrite:
        """Round after round until one changes nothing."""
        data, run = original, first
        for _ in range(MOST_ROUNDS):
            before = data
            data, run = self._round(data, run)
            if data == before:
                left = tuple(dict.fromkeys([*self.hopeless.values(), *self.refusals]))
                return Rewrite(self.name, original, data, tuple(self.stages), left, first.timeline, run.timeline)
        raise RewriteRefused(f"{self.name}: error: the rewrite does not come to an end; nothing was written")

    def _run(self, data: bytes, skip: frozenset[int]) -> Run:
        program = self.bench.program(data, self.name)
        return Run.of(self.bench.timeline(self.bench.run(program, skip)))

    def _round(self, data: bytes, run: Run) -> tuple[bytes, Run]:
        """Every mend once, in order; each on what the one before has left."""
        self.refusals = []
        wanted = self._targets(run)
        finished: set[Key] = set()
        for mend in ORDER:
            planned = plan(mend, run, wanted, self.choice)
            self.refusals += planned.refusals
            finished |= {(target.mend, target.rule, target.tool) for target in planned.mended}
            edits = tuple(edit for edit in planned.edits if is_effective(data, edit))
            if edits:
                data, run = self._stage(mend, data, run, planned, edits)
                wanted = self._targets(run)
        self.mended |= finished
        return data, run

    def _targets(self, run: Run) -> tuple[Target, ...]:
        """What is to be mended now. What was mended in an earlier round and is found again has no hope: it is left altogether."""
        found = targets(run.timeline, self.rules, self.today, self.choice)
        for target in found:
            key = (target.mend, target.rule, target.tool)
            if target.holds and key in self.mended:
                self.hopeless.setdefault(key, _again(target))
        return tuple(target for target in found if (target.mend, target.rule, target.tool) not in self.hopeless)

    def _stage(self, mend: str, data: bytes, run: Run, planned: Planned, edits: tuple[Edit, ...]) -> tuple[bytes, Run]:
        new = apply(data, edits)
        after = self._run(new, self.bench.block_skip)
        declared, proofs = [], []
        for skip in skip_settings(run.execution.program, self.bench.block_skip):
            is_base = skip == skip_settings(run.execution.program, self.bench.block_skip)[0]
            old = run if is_base else self._run(data, skip)
            own = planned if is_base else self._same_edits(mend, old, planned, skip)
            there = after if is_base else self._run(new, skip)
            proofs.append(prove(old.execution, there.execution, own.differences, demands_of(old), skip))
            declared.append((skip, own.differences))
        _still_certain(run, after, planned)
        times = tuple(_hole_times(run, after, planned.differences))
        made = Stage(mend, _hash(data), _hash(new), edits, tuple(declared), tuple(proofs), planned.conditions, times)
        self.stages.append(made)
        return new, after

    def _same_edits(self, mend: str, run: Run, planned: Planned, skip: frozenset[int]) -> Planned:
        """The plan under other switches: it must ask for the very same edits."""
        own = plan(mend, run, self._targets(run), self.choice)
        if own.edits != planned.edits:
            switches = ", ".join(str(switch) for switch in sorted(skip)) or "none"
            raise RewriteRefused(
                f"{self.name}: error: with block-skip switches {switches} on, other edits would be needed; nothing was written\n"
                f"    do       leave this mend out (--skip {mend}), or take the skipped blocks out of what it changes"
            )
        return own


def _hole_times(before: Run, after: Run, declared: Differences) -> Iterator[HoleTime]:
    holes, rows = before.execution.cycle_holes, rows_of_holes(before.execution, declared, expected(before.execution, declared))
    chosen = np.array([one.hole for one in declared.holes], dtype=np.int64)
    if not len(chosen):
        return
    new = np.array([rows[hole] for hole in chosen.tolist()], dtype=np.int64)
    took = before.timeline.clock.columns(holes.first[chosen].astype(np.int64), holes.last[chosen].astype(np.int64))
    takes = after.timeline.clock.columns(new[:, 0], new[:, 1])
    for one, seconds, fewer in zip(declared.holes, took.tolist(), takes.tolist(), strict=True):
        yield HoleTime(one.tool, one.hole + 1, before.execution.place(int(holes.block[one.hole])), seconds, fewer)


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
            raise ProofFailed(f"{operation.place}: error: after the rewrite this is not certain any more: {wrong.says}")


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
