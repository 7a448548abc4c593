"""Proves the fluid of a rewritten program: state by state at every cut and at every stop, with the machine record's meaning."""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from coolcheck.known import Truth
from coolcheck.nc.moves import Execution, Kind
from coolcheck.process.fluids import FluidTable, fluid_table
from coolcheck.process.model import LIQUID, MODES
from coolcheck.rewrite.allowed import Demands
from coolcheck.rewrite.compare import Mismatch
from coolcheck.rewrite.differences import Added, Changed, Differences, Removed
from coolcheck.rewrite.expect import Expectation
from coolcheck.rewrite.recipe import Recipe
from coolcheck.rewrite.through_tool import dwells, next_off

STOPS = ("tool_change", "stop", "optional_stop", "end")
_NEAR = 1e-6  # s
Change = Callable[[str, Truth, Truth], bool]


def _comes_on(mode: str, old: Truth, new: Truth) -> bool:
    return mode in LIQUID and not old.is_yes and new.is_yes


def _goes_off(mode: str, old: Truth, new: Truth) -> bool:
    return not old.is_no and new.is_no


def _is_known(mode: str, old: Truth, new: Truth) -> bool:
    return new.is_known


# What a mend may change in the fluid at the cuts of its tool. Mends not named here may change nothing there.
AT_CUTS: Mapping[str, Change] = {
    "fluid_before_cut": _comes_on,
    "machine_code": _comes_on,
    "fluid_off_unneeded": _goes_off,
    "edge_regime": _is_known,
}


def first_wrong_fluid(
    before: Execution, after: Execution, declared: Differences, expectation: Expectation, demands: Demands
) -> Mismatch | None:
    """The first cut or stop at which the fluid is not as it may be, or None."""
    return next(_Proof(before, after, declared, expectation, demands).wrong(), None)


class _Proof:
    def __init__(
        self, before: Execution, after: Execution, declared: Differences, expectation: Expectation, demands: Demands
    ) -> None:
        self.before, self.after, self.declared = before, after, declared
        self.take, self.demands = expectation.take, demands
        machine = demands.machine
        self.old, self.new = fluid_table(before, machine), fluid_table(after, machine)
        coded: list[Added | Removed | Changed] = [*declared.added, *declared.removed, *declared.changed]
        self.mended = {(one.mend, one.tool) for one in coded}
        self.holes = frozenset(one.hole for one in declared.holes)

    def wrong(self) -> Iterator[Mismatch]:
        """Everything that is wrong."""
        yield from self._at_cuts()
        yield from self._at_stops()
        yield from self._around_holes()

    # ------------------------------------------------------------------- cuts

    def _at_cuts(self) -> Iterator[Mismatch]:
        """Each pair of states once: nothing differs but what a mend of that tool may change."""
        converted = self._converted()
        cuts = np.flatnonzero(self.after.moves.kind != Kind.RAPID)
        pairs = np.stack([_indices(self.old, self.take[cuts]), _indices(self.new, cuts), converted[cuts], self._spans(cuts)])
        _, first = np.unique(pairs, axis=1, return_index=True)
        for at in sorted(first.tolist()):
            row = int(cuts[at])
            found = self._difference(row, int(pairs[0, at]), int(pairs[1, at]), bool(pairs[2, at]))
            if found:
                yield Mismatch(found, self.before.place(self._old_block(row)), self.after.place(int(self.after.moves.block[row])))

    def _converted(self) -> NDArray[np.bool_]:
        """Rows of the new program that drill converted holes: their last strokes."""
        marks = np.zeros(len(self.after.moves), dtype=np.bool_)
        for one in self.declared.holes:
            marks[self._last_stroke(one.hole)] = True
        return marks

    def _last_stroke(self, hole: int) -> int:
        """The stroke that drills a converted hole: its last move that is no rapid."""
        holes = self.before.cycle_holes
        first = int(np.searchsorted(self.take, int(holes.first[hole])))
        behind = int(np.searchsorted(self.take, int(holes.last[hole]), side="right"))
        return first + int(np.flatnonzero(self.after.moves.kind[first:behind] != Kind.RAPID)[-1])

    def _spans(self, rows: NDArray[np.int64]) -> NDArray[np.int64]:
        starts = np.array([span.row for span in self.after.spans], dtype=np.int64)
        return np.asarray(np.searchsorted(starts, rows, side="right") - 1, dtype=np.int64)

    def _old_block(self, row: int) -> int:
        return int(self.before.moves.block[self.take[row]])

    def _difference(self, row: int, old: int, new: int, is_converted: bool) -> str:
        tool = self.after.modal(row).tool
        before, after = self.old.spans[old].fluid, self.new.spans[new].fluid
        if is_converted and not after["through_tool"].is_yes:
            return "through-tool fluid is not certainly on while a converted hole is drilled"
        for mode in MODES:
            a, b = before[mode], after[mode]
            if _alike(a, b) or (mode == "through_tool" and self._is_of_hole(row)):
                continue
            if not any(mend in AT_CUTS and AT_CUTS[mend](mode, a, b) for mend, of in self.mended if of == tool):
                return f"{mode.replace('_', ' ')} is {_told(b)} in a cut where it was {_told(a)}, and nothing declares that"
        return ""

    def _is_of_hole(self, row: int) -> bool:
        return int(self.before.moves.cycle[self.take[row]]) in self.holes

    # ------------------------------------------------------------------ stops

    def _at_stops(self) -> Iterator[Mismatch]:
        """At each tool change, stop and end no more fluid is on than in the original."""
        old = [index for index, event in enumerate(self.before.events) if event.kind in STOPS]
        new = [index for index, event in enumerate(self.after.events) if event.kind in STOPS]
        for i, j in zip(old, new, strict=False):
            a, b = self.old.before_event(i), self.new.before_event(j)
            for mode in MODES:
                if not b[mode].is_no and not _alike(a[mode], b[mode]):
                    event = self.after.events[j]
                    says = f"{mode.replace('_', ' ')} is {_told(b[mode])} at {event.code}, where it was {_told(a[mode])}"
                    yield Mismatch(says, self.before.place(self.before.events[i].block), self.after.place(event.block))

    # ------------------------------------------------------------------ holes

    def _around_holes(self) -> Iterator[Mismatch]:
        """Every converted hole: pressure has had time to build up, and before the next stop the fluid is off and has run out."""
        rows = [event.row for event in self.after.events]
        running = self._running()
        waited = np.cumsum([0.0] + [event.seconds if event.kind == "dwell" else 0.0 for event in self.after.events])
        for one in self.declared.holes:
            recipe = self.demands.recipes.get(one.hole)
            if recipe is None:
                continue
            row = self._last_stroke(one.hole)
            place = self.after.place(int(self.after.moves.block[row]))
            index = bisect_right(rows, row)
            on = running[index]
            if on is None or waited[index] - waited[on] < recipe.build_up - _NEAR:
                yield Mismatch("the fluid has no time to build up its pressure before this hole", None, place)
        yield from self._run_out(rows)

    def _running(self) -> list[int | None]:
        """For each event, and behind the last, the event that turned the through-tool fluid on; None while it is off."""
        effects = self.demands.codes.effects()
        found: list[int | None] = [None]
        for index, event in enumerate(self.after.events):
            if effects.turns_on(event):
                found.append(index if found[-1] is None else found[-1])
            else:
                found.append(None if effects.may_end(event) else found[-1])
        return found

    def _run_out(self, rows: list[int]) -> Iterator[Mismatch]:
        """Behind the last converted hole before each stop."""
        lasts: dict[int, tuple[int, Recipe]] = {}
        for one in self.declared.holes:
            recipe = self.demands.recipes.get(one.hole)
            index = bisect_right(rows, self._last_stroke(one.hole))
            stop = next((i for i in range(index, len(rows)) if self.after.events[i].kind in STOPS), None)
            if stop is not None and recipe is not None and index >= lasts.get(stop, (0, recipe))[0]:
                lasts[stop] = (index, recipe)
        for stop, (index, recipe) in lasts.items():
            yield from self._run_out_before(stop, index, recipe)

    def _run_out_before(self, stop: int, index: int, recipe: Recipe) -> Iterator[Mismatch]:
        codes, events = self.demands.codes, self.after.events
        turned = [i for i in range(index, stop) if "through_tool" in codes.turns(events[i], "on")]
        off = next_off(events, turned[-1] if turned else index, len(self.after.moves), codes.effects())
        if off is None or off > stop or dwells(events[off:stop]) < recipe.decay - _NEAR:
            says = f"the fluid is not off, or has no time to run out, before {events[stop].code}"
            yield Mismatch(says, None, self.after.place(events[stop].block))


def _indices(table: FluidTable, rows: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.asarray(np.searchsorted(table.rows, rows, side="right") - 1, dtype=np.int64)


def _alike(a: Truth, b: Truth) -> bool:
    return (a.is_yes, a.is_no) == (b.is_yes, b.is_no)


def _told(truth: Truth) -> str:
    return "on" if truth.is_yes else "off" if truth.is_no else "not known"
