"""Judges each declared difference by itself: is it of a kind that a rewrite may make, and is it safe where it happens?

Believes nothing of the plan. The numbers a hole is held against come from the records (`Recipe`), the rest from both executions.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.nc.moves import Event, Execution, Kind
from coolcheck.rewrite.codes import Codes
from coolcheck.rewrite.compare import SAME_PLACE, SAME_SHARE, Mismatch
from coolcheck.rewrite.differences import FEED, RAPID, Added, Differences, OnePass, Step
from coolcheck.rewrite.edit import MENDS
from coolcheck.rewrite.expect import Expectation, event_of, rows_of_holes
from coolcheck.rewrite.recipe import KEEP, Recipe, SlowEntry

if TYPE_CHECKING:
    from coolcheck.records.record import Record

LONGEST_DWELL = 60.0  # s; a longer one is a fault, not a build-up
ROUNDED = 0.1  # share by which rounding down a slow feed to what a program writes may lower it
_NEAR = 1e-6
_ROUNDED_LEVEL = 0.02  # mm; where a slow entry ends is written with three digits behind the point, in inch too
_PECKS = (73, 83)


@dataclass(frozen=True)
class Demands:
    """What the records ask of a rewrite.

    recipes : by canned-cycle hole, for every hole whose preconditions are all yes; codes : what they mean on this machine
    keeps : the holes must be drilled at the very speed and feed that the program states for them
    """

    machine: "Record"
    recipes: Mapping[int, Recipe]
    codes: Codes
    keeps: bool = False


def first_forbidden(
    before: Execution, after: Execution, declared: Differences, expectation: Expectation, demands: Demands
) -> Mismatch | None:
    """The first declared difference that a rewrite may not make, or None."""
    judge = _Judge(before, after, declared, expectation, demands)
    return next(judge.forbidden(), None)


class _Judge:
    def __init__(
        self, before: Execution, after: Execution, declared: Differences, expectation: Expectation, demands: Demands
    ) -> None:
        self.before, self.after, self.declared = before, after, declared
        self.expectation, self.demands = expectation, demands
        self._new_rows = rows_of_holes(before, declared, expectation)

    def forbidden(self) -> Iterator[Mismatch]:
        """Everything that may not be."""
        for one in self.declared.holes:
            yield from self._hole(one)
        for added in self.declared.added:
            yield from self._added(added)
        for removed in self.declared.removed:
            event = self.before.events[removed.event]
            if removed.mend not in MENDS or event.code != removed.code or not self._is_fluid_or_nothing(event):
                says = f"{event.code or event.kind} may not be taken out: it is no code of fluid alone"
                yield self._at_event(removed.event, says)
        for changed in self.declared.changed:
            event = self.before.events[changed.event]
            new = event_of(changed.said, self.before.program.dialect, 0)
            if changed.mend not in MENDS or not self._is_fluid_or_nothing(event) or not self.demands.codes.is_only_fluid(new):
                yield self._at_event(changed.event, f"{event.code} may not become {changed.said.code}")
        yield from self._speeds()

    def _is_fluid_or_nothing(self, event: Event) -> bool:
        return self.demands.codes.is_only_fluid(event) or self.demands.codes.does_nothing(event)

    def _at_event(self, index: int, says: str) -> Mismatch:
        return Mismatch(says, self.before.place(self.before.events[index].block))

    # ------------------------------------------------------------------ holes

    def _hole(self, one: OnePass) -> Iterator[Mismatch]:
        holes = self.before.cycle_holes
        cycle = self.before.cycles[int(holes.cycle[one.hole])]
        recipe = self.demands.recipes.get(one.hole)
        first, last = self._new_rows[one.hole]
        place = self.before.place(int(holes.block[one.hole]))
        new_place = self.after.place(int(self.after.moves.block[first]))

        def no(says: str) -> Mismatch:
            return Mismatch(f"the hole may not be drilled so: {says}", place, new_place)

        if recipe is None or one.tool != recipe.tool or self.before.modal(int(holes.first[one.hole])).tool != one.tool:
            yield no("the records do not allow this tool to drill it in one pass")
            return
        if cycle.code not in _PECKS:
            yield no("it was not pecked")
        steps = list(one.steps)
        main = [step for step in steps if step.act == FEED]
        out = [step for step in steps if step.act == RAPID]
        height = float(getattr(self.before.moves, cycle.axis)[int(holes.last[one.hole])])
        if not out or abs(out[-1].to - height) > SAME_PLACE:
            yield no("it does not return to the level it returned to")
        if not main or abs(main[-1].to - cycle.bottom) > SAME_PLACE:
            yield no("it does not end at the bottom it had")
        if not np.isfinite([cycle.top, cycle.bottom, height, float(holes.x[one.hole]), float(holes.y[one.hole])]).all():
            yield no("where it lies is not known")
        yield from (no(says) for says in self._strokes(one, recipe, cycle.top, steps))
        back = [step.to for step in out[:-1]]
        yield from (no(says) for says in self._moves(cycle.axis, cycle.top, first, last, back))

    def _strokes(self, one: OnePass, recipe: Recipe, top: float, steps: list[Step]) -> Iterator[str]:
        """The strokes are those of the record: one, or a slow entry and one."""
        first, last = self._new_rows[one.hole]
        cuts = [row for row in range(first, last + 1) if self.after.moves.kind[row] != Kind.RAPID]
        if one.in_cycle:
            if [step.act for step in steps] != [FEED, RAPID] or recipe.entry is not None:
                yield "a plain cycle makes one stroke, of a drill that needs no slow entry"
        else:
            yield from self._entry(one, recipe, top, steps)
        if not cuts:
            return
        modal = self.after.modal(cuts[-1])
        if modal.rpm is None or abs(modal.rpm - recipe.rpm) > KEEP * recipe.rpm:
            yield f"the spindle turns at {modal.rpm} where the record says {recipe.rpm:.0f}"
        else:
            per_turn = float(self.after.moves.feed[cuts[-1]]) / modal.rpm
            if not recipe.per_turn * (1 - ROUNDED) <= per_turn <= recipe.per_turn * (1 + KEEP):
                yield f"it is fed {per_turn:.4g} mm a turn where the record says {recipe.per_turn:.4g}"
        if self.demands.keeps:
            yield from self._as_programmed(one, cuts[-1])
        old = self.before.modal(int(self.before.cycle_holes.first[one.hole]))
        if modal.spindle not in ("clockwise", "counterclockwise") or modal.spindle != old.spindle:
            yield "the spindle does not turn as it did"

    def _as_programmed(self, one: OnePass, cut: int) -> Iterator[str]:
        """Where speed and feed are kept, they are those of the original, not only near them."""
        holes = self.before.cycle_holes
        first, last = int(holes.first[one.hole]), int(holes.last[one.hole])
        row = first + int(np.argmax(self.before.moves.kind[first : last + 1] != Kind.RAPID))
        rpm, was = self.after.modal(cut).rpm, self.before.modal(row).rpm
        if rpm is None or was is None or abs(rpm - was) > SAME_SHARE * was:
            yield f"the spindle turns at {rpm} where the program says {was}, which is to be kept"
        feed, programmed = float(self.after.moves.feed[cut]), float(self.before.moves.feed[row])
        if not abs(feed - programmed) <= SAME_SHARE * programmed:
            yield f"it is fed {feed:.6g} mm/min where the program says {programmed:.6g}, which is to be kept"

    def _entry(self, one: OnePass, recipe: Recipe, top: float, steps: list[Step]) -> Iterator[str]:
        """Slowly into the pilot, fluid on, speed up, time for pressure and spindle, drill, back, slow down, out, fluid off."""
        entry = recipe.entry
        pilot = recipe.pilot_bottom(one.hole)
        if entry is None or pilot is None:
            yield "only a drill that needs a pilot, and has one there, enters slowly"
            return
        shape, on, off = [_shape(step) for step in steps], recipe.on.code, recipe.off.code
        speeds_up = "S" in shape
        if speeds_up and shape != [FEED, on, "S", "G4", FEED, RAPID, "S", "G4", RAPID, off]:
            yield "the slow entry is not: in, fluid on, speed up, dwell, drill, back, slow down, dwell, out, fluid off"
            return
        if not speeds_up and shape != [FEED, on, "G4", FEED, RAPID, off]:
            yield "the slow entry is not: in, fluid on, dwell, drill, out, fluid off"
            return
        if not pilot < steps[0].to < min(top, pilot + entry.short_of + _ROUNDED_LEVEL):
            yield "it does not stop in the pilot"
        if speeds_up:
            yield from self._slowed_down(steps[5:8], steps[0].to, entry)
        if steps[0].feed > entry.feed * (1 + _NEAR):
            yield "it enters the pilot faster than the record says"
        first, _ = self._new_rows[one.hole]
        row = next(row for row in range(first, len(self.after.moves)) if self.after.moves.kind[row] != Kind.RAPID)
        rpm = self.after.modal(row).rpm
        if rpm is None or rpm > entry.speed * (1 + _NEAR):
            yield "the spindle turns faster in the entry than the record says"
        if steps[1].said is None or steps[1].said.words != recipe.on.words:
            yield "the fluid is not turned on by the code of the record"
        if not _is_dwell(steps[3 if speeds_up else 2], recipe.wait(speeds_up)):
            yield "the dwell is shorter than the fluid takes to build up its pressure, or the spindle to come to its speed"

    def _slowed_down(self, steps: list[Step], guided: float, entry: SlowEntry) -> Iterator[str]:
        """Back to where it entered, where the pilot guides it; slow there; and time for it before it leaves."""
        back, speed, wait = steps
        if abs(back.to - guided) > SAME_PLACE:
            yield "it does not come back to where it entered before it slows down"
        if speed.said is None or speed.said.value is None or abs(speed.said.value - entry.speed) > _NEAR:
            yield "the spindle is not slowed down to the record's entry speed"
        if not _is_dwell(wait, entry.run_up):
            yield "the dwell is shorter than the spindle takes to slow down"

    def _moves(self, axis: str, top: float, first: int, last: int, back: list[float]) -> Iterator[str]:
        """In the new program no rapid ends below the top, but one up to a height in `back`; no stroke goes up, or begins above.

        What those heights may be is judged with the steps.
        """
        moves = self.after.moves
        end, start = getattr(moves, axis)[first : last + 1], getattr(moves, axis + "0")[first : last + 1]
        rapid = moves.kind[first : last + 1] == Kind.RAPID
        is_back = (end > start) & np.any([np.abs(end - height) <= SAME_PLACE for height in back] or [end != end], axis=0)
        if (rapid & (end < top - SAME_PLACE) & ~is_back).any():
            yield "a rapid goes below the R plane"
        if (~rapid & (end > start + SAME_PLACE)).any():
            yield "a stroke goes out of the hole at feed"
        if (~rapid & (start > top + SAME_PLACE)).any():
            yield "a stroke begins above the R plane"

    # ------------------------------------------------------------------ codes

    def _added(self, one: Added) -> Iterator[Mismatch]:
        row = int(np.searchsorted(self.expectation.take, one.row))
        place = self.after.place(int(self.after.moves.block[row])) if row < len(self.after.moves) else None

        def no(says: str) -> Mismatch:
            return Mismatch(f"{one.said.code} may not come in there: {says}", None, place)

        if one.mend not in MENDS:
            yield no(f"there is no mend {one.mend!r}")
        in_cut = 0 < row < len(self.after.moves) and not self._is_out(row - 1)
        if one.said.code == "G4":
            if not 0 < one.said.seconds <= LONGEST_DWELL:
                yield no(f"a dwell of {one.said.seconds:g} s")
            if in_cut:
                yield no("the tool would dwell in the material")
        elif one.said.code == "S":
            if not any(speed.rpm == one.said.value or speed.was == one.said.value for speed in self.declared.speeds):
                yield no("no change of speed is declared for it")
        elif not self.demands.codes.is_only_fluid(event_of(one.said, self.before.program.dialect, row)):
            yield no("it is no code of fluid alone")
        elif in_cut and self.after.moves.kind[row] != Kind.RAPID:
            yield no("the edge is in the material")

    def _is_out(self, row: int) -> bool:
        """Is the tool out of the material behind a move of the new program: a rapid, or the last move of a canned cycle."""
        moves, hole = self.after.moves, int(self.after.moves.cycle[row])
        return bool(moves.kind[row] == Kind.RAPID) or (hole >= 0 and int(self.after.cycle_holes.last[hole]) == row)

    def _speeds(self) -> Iterator[Mismatch]:
        """A changed speed serves declared holes only, and is one of their record's."""
        holes = self.before.cycle_holes
        marks = np.zeros(len(self.before.moves), dtype=np.bool_)
        for one in self.declared.holes:
            marks[int(holes.first[one.hole]) : int(holes.last[one.hole]) + 1] = True
        for speed in self.declared.speeds:
            rows = slice(speed.row, speed.until_row)
            place = self.before.place(int(self.before.moves.block[min(speed.row, len(self.before.moves) - 1)]))
            if ((self.before.moves.kind[rows] != Kind.RAPID) & ~marks[rows]).any():
                yield Mismatch(f"the speed {speed.rpm:g} also serves cuts that are not converted", place)
            recipes = [self.demands.recipes[one.hole] for one in self.declared.holes if one.hole in self.demands.recipes]
            if not any(_is_speed_of(speed.rpm, recipe) for recipe in recipes if recipe.tool == speed.tool):
                yield Mismatch(f"the speed {speed.rpm:g} is not the record's", place)


def _is_speed_of(rpm: float, recipe: Recipe) -> bool:
    entry = recipe.entry.speed if recipe.entry is not None else None
    return abs(rpm - recipe.rpm) <= KEEP * recipe.rpm or rpm == entry


def _is_dwell(step: Step, least: float) -> bool:
    """Is that a dwell of at least so long, and not longer than any build-up."""
    return step.said is not None and least - _NEAR <= step.said.seconds <= LONGEST_DWELL


def _shape(step: Step) -> str:
    return step.said.code if step.said is not None else step.act
