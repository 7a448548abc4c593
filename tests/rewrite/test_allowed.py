"""What a rewrite may declare, judged by itself: the new program always runs as declared here, so that nothing else can refuse."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from as_declared import as_declared
from small_shop import LONG, binding, rewritten, shop

from coolcheck.nc.moves import Execution, Kind
from coolcheck.rewrite.allowed import LONGEST_DWELL, Demands, first_forbidden
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.compare import SAME_PLACE
from coolcheck.rewrite.differences import Added, Changed, Differences, Removed, Said, Speed, Step
from coolcheck.rewrite.expect import expected
from coolcheck.rewrite.plan import Run, demands_of

PLAIN = """G21 G17 G40 G80 G90 G94
T1 M6
G0 G54 X0. Y0. S3183 M3
G43 H1 Z25.
G99 G83 X0. Y0. Z-30. R2. Q5. F636.
X12.
G80
G0 Z25. M5
T3 M6
G0 X50. S2000 M3
G43 H3 Z25. M8
G1 Z-1. F500.
X80.
G0 Z25. M9
M30
"""


@dataclass(frozen=True)
class Case:
    """A program with the differences that its rewrite declares."""

    before: Execution
    declared: Differences
    demands: Demands

    def told(self, declared: Differences, demands: Demands | None = None, change: "Change | None" = None) -> str:
        expectation = expected(self.before, declared)
        after = as_declared(self.before, expectation)
        after = change(after) if change else after
        return str(first_forbidden(self.before, after, declared, expectation, demands or self.demands) or "")

    def with_recipe(self, **changed: Any) -> Demands:
        recipes = {hole: replace(recipe, **changed) for hole, recipe in self.demands.recipes.items()}
        return replace(self.demands, recipes=recipes)

    def with_entry(self, **changed: Any) -> Demands:
        (recipe,) = self.demands.recipes.values()
        assert recipe.entry is not None
        return self.with_recipe(entry=replace(recipe.entry, **changed))


Change = Callable[[Execution], Execution]


@cache
def case(program: str) -> Case:
    done = rewritten(program.encode(), only=("single_pass",))
    (stage,) = done.stages
    bench = Bench.of(binding(shop()))
    before = Run.of(bench.timeline(bench.run(bench.program(done.original, "p.nc"))))
    return Case(before.execution, stage.differences[0][1], demands_of(before))


def plain() -> Case:
    return case(PLAIN)


def long() -> Case:
    return case(LONG)


def through() -> str:
    """The code that turns the fluid through the tool on, in the records of the shop."""
    return plain().demands.recipes[0].on.code


def with_hole(of: Case, **changed: Any) -> Differences:
    """The first declared hole otherwise."""
    return replace(of.declared, holes=(replace(of.declared.holes[0], **changed), *of.declared.holes[1:]))


def no(says: str, line: int) -> str:
    return f"the hole may not be drilled so: {says} (original p.nc:{line}:1, rewritten p.nc:{line}:1)"


def column(name: str, row: int, value: float) -> Change:
    def changed(after: Execution) -> Execution:
        values = getattr(after.moves, name).copy()
        values[row] = value
        return replace(after, moves=replace(after.moves, **{name: values}))

    return changed


def modal(first: int, last: int, **parts: Any) -> Change:
    """The modal state of some rows otherwise."""

    def changed(after: Execution) -> Execution:
        spans = [span for span in after.spans if not first <= span.row <= last + 1]
        spans += [type(spans[0])(row, replace(after.modal(row), **parts)) for row in range(first, last + 1)]
        behind = last + 1
        spans += [type(spans[0])(behind, after.modal(behind))] if behind < len(after.moves) else []
        return replace(after, spans=tuple(sorted(spans, key=lambda span: span.row)))

    return changed


def test_what_the_rewrites_declare_may_be() -> None:
    for one in (plain(), long()):
        assert one.told(one.declared) == ""
    assert [hole.in_cycle for hole in plain().declared.holes] == [True, True]
    assert [hole.in_cycle for hole in long().declared.holes] == [False]


# ----------------------------------------------------------------------------------------------------------------- holes


def test_only_the_tool_of_the_recipe_drills_and_only_where_it_is_in_the_spindle() -> None:
    says = no("the records do not allow this tool to drill it in one pass", 5)

    assert plain().told(plain().declared, replace(plain().demands, recipes={})) == says
    assert plain().told(plain().declared, plain().with_recipe(tool=9)) == says
    assert plain().told(with_hole(plain(), tool=9)) == says
    assert plain().told(with_hole(plain(), tool=9), plain().with_recipe(tool=9)) == says


def test_what_was_not_pecked_is_not_converted() -> None:
    for code, says in ((73, ""), (83, ""), (81, no("it was not pecked", 5)), (85, no("it was not pecked", 5))):
        cycles = tuple(replace(cycle, code=code) for cycle in plain().before.cycles)
        one = replace(plain(), before=replace(plain().before, cycles=cycles))

        assert one.told(one.declared) == says


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ((Step("feed", -30.0, 636.0), Step("rapid", 3.0)), "it does not return to the level it returned to"),
        ((Step("feed", -30.0, 636.0), Step("rapid", 2.0 + 2e-6)), "it does not return to the level it returned to"),
        ((Step("feed", -30.0, 636.0), Step("rapid", 2.0), Step("rapid", 3.0)), "it does not return to the level it returned to"),
        (
            (Step("feed", -30.0, 636.0), Step("rapid", 2.0), Step("rapid", 2.0)),
            "a plain cycle makes one stroke, of a drill that needs no slow entry",
        ),
        (
            (Step("feed", -30.0, 636.0), Step("rapid", -9.0), Step("rapid", 2.0)),
            "a plain cycle makes one stroke, of a drill that needs no slow entry",
        ),
        ((Step("feed", -30.0, 636.0),), "it does not return to the level it returned to"),
        ((Step("feed", -31.0, 636.0), Step("rapid", 2.0)), "it does not end at the bottom it had"),
        ((Step("feed", -29.0, 636.0), Step("rapid", 2.0)), "it does not end at the bottom it had"),
        ((Step("feed", -30.0 - 2e-6, 636.0), Step("rapid", 2.0)), "it does not end at the bottom it had"),
        ((Step("rapid", 2.0),), "it does not end at the bottom it had"),
        (
            (Step("feed", -9.0, 636.0), Step("feed", -30.0, 636.0), Step("rapid", 2.0)),
            "a plain cycle makes one stroke, of a drill that needs no slow entry",
        ),
        ((Step("feed", -30.0 - 5e-7, 636.0), Step("rapid", 2.0 + 5e-7)), ""),
    ],
)
def test_a_hole_keeps_its_bottom_its_return_level_and_has_one_stroke(steps: tuple[Step, ...], says: str) -> None:
    assert plain().told(with_hole(plain(), steps=steps)) == (no(says, 5) if says else "")


@pytest.mark.parametrize("part", ["top", "x", "y"])
def test_a_hole_whose_place_is_not_known_is_left_alone(part: str) -> None:
    before = plain().before
    if part == "top":
        before = replace(before, cycles=tuple(replace(cycle, top=float("nan")) for cycle in before.cycles))
    else:
        holes = replace(before.cycle_holes, **{part: np.full(2, np.nan)})
        before = replace(before, cycle_holes=holes)

    assert replace(plain(), before=before).told(plain().declared) == no("where it lies is not known", 5)


def test_a_drill_that_needs_a_pilot_is_not_drilled_by_a_plain_cycle() -> None:
    (recipe,) = long().demands.recipes.values()

    assert plain().told(plain().declared, plain().with_recipe(entry=recipe.entry)) == no(
        "a plain cycle makes one stroke, of a drill that needs no slow entry", 5
    )


# Rows of the new program: up to the first hole at rapid, three times, then its stroke and its way out.
STROKE, OUT = 3, 4


@pytest.mark.parametrize(
    ("rpm", "says"),
    [
        (1010.0, ""),
        (990.0, ""),
        (1010.1, "the spindle turns at 1010.1 where the record says 1000"),
        (989.9, "the spindle turns at 989.9 where the record says 1000"),
        (None, "the spindle turns at None where the record says 1000"),
    ],
)
def test_the_spindle_turns_as_the_record_says_to_one_in_a_hundred(rpm: float | None, says: str) -> None:
    """From common practice: a programmed speed that misses by less is left as it is (KEEP)."""
    feed = (rpm or 1.0) * 0.2

    def change(after: Execution) -> Execution:
        return column("feed", STROKE, feed)(modal(STROKE, STROKE, rpm=rpm)(after))

    found = plain().told(Differences(plain().declared.holes[:1]), plain().with_recipe(rpm=1000.0), change)
    assert found == (no(says, 5) if says else "")


@pytest.mark.parametrize(
    ("feed", "says"),
    [
        (1010.0, ""),
        (900.0, ""),
        (1010.1, "it is fed 1.01 mm a turn where the record says 1"),
        (1500.0, "it is fed 1.5 mm a turn where the record says 1"),
        (899.9, "it is fed 0.8999 mm a turn where the record says 1"),
    ],
)
def test_it_is_fed_as_the_record_says_or_rounded_down(feed: float, says: str) -> None:
    def change(after: Execution) -> Execution:
        return column("feed", STROKE, feed)(modal(STROKE, STROKE, rpm=1000.0)(after))

    found = plain().told(Differences(plain().declared.holes[:1]), plain().with_recipe(rpm=1000.0, per_turn=1.0), change)
    assert found == (no(says, 5) if says else "")


@pytest.mark.parametrize(
    ("old", "new", "is_right"),
    [
        ("clockwise", "clockwise", True),
        ("counterclockwise", "counterclockwise", True),
        ("clockwise", "counterclockwise", False),
        ("clockwise", "off", False),
        ("off", "off", False),
        ("unknown", "unknown", False),
    ],
)
def test_the_spindle_turns_and_the_way_it_did(old: str, new: str, is_right: bool) -> None:
    before = plain().before
    before = replace(before, spans=tuple(replace(s, modal=replace(s.modal, spindle=old)) for s in before.spans))
    one = replace(plain(), before=before)

    says = one.told(one.declared, change=modal(STROKE, STROKE, spindle=new))
    assert says == ("" if is_right else no("the spindle does not turn as it did", 5))


def test_what_is_cut_before_and_behind_a_hole_says_nothing_of_the_hole() -> None:
    def other_cuts(after: Execution) -> Execution:
        for row in (STROKE - 2, OUT + 1):
            after = modal(row, row, rpm=77.0)(column("kind", row, Kind.FEED)(after))
        return column("z", 0, -5.0)(after)

    assert plain().told(Differences(plain().declared.holes[:1]), change=other_cuts) == ""


@pytest.mark.parametrize(
    ("name", "row", "value", "says"),
    [
        ("z", OUT, 2.0 - SAME_PLACE, ""),
        ("z", OUT, 1.9, "a rapid goes below the R plane"),
        ("z", STROKE, 2.0 + SAME_PLACE, ""),
        ("z", STROKE, 2.0, ""),
        ("z", STROKE, 2.1, "a stroke goes out of the hole at feed"),
        ("z0", STROKE, 2.0 + SAME_PLACE, ""),
        ("z0", STROKE, 2.1, "a stroke begins above the R plane"),
    ],
)
def test_rapids_stay_above_the_top_and_strokes_below(name: str, row: int, value: float, says: str) -> None:
    assert plain().told(plain().declared, change=column(name, row, value)) == (no(says, 5) if says else "")


# ------------------------------------------------------------------------------------------------------------ slow entry

IN, ON, UP, WAIT, DRILL, BACK, DOWN, SLOW, OUT_OF_IT, OFF = range(10)


def entered(order: tuple[int, ...]) -> Differences:
    """The slow entry with its steps in another order."""
    (hole,) = long().declared.holes
    return with_hole(long(), steps=tuple(hole.steps[at] for at in order))


def step(at: int, **changed: Any) -> Differences:
    """The slow entry with one step otherwise."""
    (hole,) = long().declared.holes
    steps = list(hole.steps)
    steps[at] = replace(steps[at], **changed)
    return with_hole(long(), steps=tuple(steps))


def entered_to(height: float) -> Differences:
    """The slow entry to another height, and back to that."""
    (hole,) = step(IN, to=height).holes
    return with_hole(long(), steps=tuple(replace(one, to=height) if at == BACK else one for at, one in enumerate(hole.steps)))


def test_only_a_drill_with_a_pilot_there_enters_slowly() -> None:
    says = no("only a drill that needs a pilot, and has one there, enters slowly", 11)

    assert long().told(long().declared, long().with_recipe(entry=None)) == says
    assert long().told(long().declared, long().with_recipe(pilots=())) == says
    assert long().told(long().declared, long().with_recipe(pilots=((0, -14.0),))) == says


REST = (BACK, DOWN, SLOW, OUT_OF_IT, OFF)


@pytest.mark.parametrize(
    "order",
    [
        (IN, UP, ON, DRILL, *REST),
        (IN, UP, WAIT, DRILL, *REST),
        (IN, UP, ON, WAIT, DRILL, *REST),
        (IN, WAIT, ON, UP, DRILL, *REST),
        (IN, ON, WAIT, UP, DRILL, *REST),
        (IN, ON, UP, DRILL, WAIT, *REST),
        (ON, UP, WAIT, DRILL, *REST),
        (IN, ON, UP, WAIT, DRILL, BACK, DOWN, SLOW, OUT_OF_IT),
        (IN, ON, UP, WAIT, DRILL, BACK, DOWN, SLOW, OFF, OUT_OF_IT),
        (IN, ON, UP, WAIT, DRILL, BACK, DOWN, OUT_OF_IT, SLOW, OFF),
        (IN, ON, UP, WAIT, DRILL, BACK, SLOW, DOWN, OUT_OF_IT, OFF),
        (IN, ON, UP, WAIT, DRILL, DOWN, SLOW, BACK, OUT_OF_IT, OFF),
        (IN, ON, UP, WAIT, DRILL, BACK, DOWN, OUT_OF_IT, OFF),
        (IN, ON, UP, WAIT, DRILL, BACK, SLOW, OUT_OF_IT, OFF),
        (IN, ON, UP, WAIT, DRILL, DOWN, SLOW, OUT_OF_IT, OFF),
        (IN, ON, UP, WAIT, DRILL, DOWN, OUT_OF_IT, OFF),
        (IN, ON, UP, WAIT, DRILL, BACK, OUT_OF_IT, OFF),
        (IN, ON, WAIT, DRILL, BACK, DOWN, SLOW, OUT_OF_IT, OFF),
    ],
)
def test_a_slow_entry_has_all_its_steps_in_their_order(order: tuple[int, ...]) -> None:
    says = "the slow entry is not: in, fluid on, speed up, dwell, drill, back, slow down, dwell, out, fluid off"
    assert long().told(entered(order)) == no(says, 11)


@pytest.mark.parametrize(
    "order",
    [
        (IN, ON, WAIT, DRILL, BACK, OUT_OF_IT, OFF),
        (IN, ON, WAIT, DRILL, BACK, SLOW, OUT_OF_IT, OFF),
        (IN, ON, DRILL, OUT_OF_IT, OFF),
        (IN, WAIT, ON, DRILL, OUT_OF_IT, OFF),
        (IN, ON, WAIT, DRILL, OFF, OUT_OF_IT),
    ],
)
def test_a_slow_entry_at_one_speed_has_all_its_steps_in_their_order(order: tuple[int, ...]) -> None:
    assert long().told(entered(order)) == no("the slow entry is not: in, fluid on, dwell, drill, out, fluid off", 11)


def test_a_slow_entry_at_one_speed_is_one_where_the_record_drills_at_it() -> None:
    one_speed = entered((IN, ON, WAIT, DRILL, OUT_OF_IT, OFF))
    steps = one_speed.holes[0].steps
    slow = with_hole(long(), steps=(*steps[:3], replace(steps[3], feed=60.0), *steps[4:]))

    assert long().told(slow, long().with_recipe(rpm=300.0)) == ""
    assert long().told(one_speed) == no("the spindle turns at 300.0 where the record says 3183", 11)


@pytest.mark.parametrize(
    ("declared", "says"),
    [
        (step(IN, to=-13.9), "it does not come back to where it entered before it slows down"),
        (entered_to(-13.9), ""),
        (entered_to(-12.0 + 0.019), ""),
        (entered_to(-12.0 + 0.03), "it does not stop in the pilot"),
        (entered_to(-14.0), "it does not stop in the pilot"),
        (step(BACK, to=-12.0 + 5e-7), ""),
        (step(BACK, to=-11.9), "it does not come back to where it entered before it slows down"),
        (step(BACK, to=-50.0), "it does not come back to where it entered before it slows down"),
        (step(BACK, to=2.0), "it does not come back to where it entered before it slows down"),
        (step(IN, to=-14.0), "it does not stop in the pilot"),
        (step(IN, to=-15.0), "it does not stop in the pilot"),
        (step(IN, to=2.0), "it does not stop in the pilot"),
        (step(IN, feed=400.0 * (1 + 1e-6)), ""),
        (step(IN, feed=300.0), ""),
        (step(IN, feed=401.0), "it enters the pilot faster than the record says"),
        (step(DOWN, said=Said("S", (), 300.0 + 5e-7)), ""),
        (step(DOWN, said=Said("S", (), 310.0)), "the spindle is not slowed down to the record's entry speed"),
        (step(DOWN, said=Said("S")), "the spindle is not slowed down to the record's entry speed"),
        (step(SLOW, said=Said("G4", seconds=1.4 - 5e-7)), ""),
        (step(SLOW, said=Said("G4", seconds=LONGEST_DWELL)), ""),
        (step(SLOW, said=Said("G4", seconds=1.3)), "the dwell is shorter than the spindle takes to slow down"),
        (step(SLOW, said=Said("G4", seconds=LONGEST_DWELL + 1)), "the dwell is shorter than the spindle takes to slow down"),
        (step(WAIT, said=Said("G4", seconds=1.5 - 1e-6)), ""),
        (step(WAIT, said=Said("G4", seconds=LONGEST_DWELL)), ""),
        (
            step(WAIT, said=Said("G4", seconds=1.4)),
            "the dwell is shorter than the fluid takes to build up its pressure, or the spindle to come to its speed",
        ),
        (
            step(WAIT, said=Said("G4", seconds=LONGEST_DWELL + 1)),
            "the dwell is shorter than the fluid takes to build up its pressure, or the spindle to come to its speed",
        ),
        (
            step(ON, said=replace(long().demands.recipes[1].on, words=(("P", 2.0),))),
            "the fluid is not turned on by the code of the record",
        ),
    ],
)
def test_a_slow_entry_keeps_to_the_record(declared: Differences, says: str) -> None:
    assert long().told(declared) == (no(says, 11) if says else "")


@pytest.mark.parametrize(
    ("rpm", "is_slow"), [(250.0, True), (300.0, True), (300.0 * (1 + 1e-6), True), (301.0, False), (500.0, False), (None, False)]
)
def test_the_spindle_turns_slowly_where_the_drill_enters(rpm: float | None, is_slow: bool) -> None:
    expectation = expected(long().before, long().declared)
    first = int(np.searchsorted(expectation.take, int(long().before.cycle_holes.first[1])))
    kinds = expectation.kind[first : first + 4].tolist()
    entry = first + kinds.index(Kind.FEED)

    says = long().told(long().declared, change=modal(first, entry, rpm=rpm))
    assert says == long().told(long().declared, change=modal(entry, entry, rpm=rpm))
    assert says == ("" if is_slow else no("the spindle turns faster in the entry than the record says", 11))


def test_the_dwell_in_the_pilot_waits_for_the_spindle_where_it_speeds_up() -> None:
    says = no("the dwell is shorter than the fluid takes to build up its pressure, or the spindle to come to its speed", 11)

    waits = step(SLOW, said=Said("G4", seconds=9.0))

    assert long().told(waits, long().with_entry(run_up=1.5)) == ""
    assert long().told(waits, long().with_entry(run_up=1.6)) == says
    assert long().told(long().declared, long().with_recipe(build_up=1.6)) == says


# ----------------------------------------------------------------------------------------------------------------- codes


def index_of(code: str, of: Execution) -> int:
    return next(at for at, event in enumerate(of.events) if event.code == code)


@pytest.mark.parametrize(
    ("code", "named", "mend", "is_fine"),
    [
        ("M8", "M8", "edge_regime", True),
        ("M9", "M9", "edge_regime", True),
        ("M8", "M8", "tidy", False),
        ("M8", "M9", "edge_regime", False),
        ("M3", "M3", "edge_regime", False),
        ("M6", "M6", "edge_regime", False),
    ],
)
def test_only_a_code_of_fluid_alone_may_be_taken_out(code: str, named: str, mend: str, is_fine: bool) -> None:
    before = plain().before
    at = index_of(code, before)
    says = plain().told(Differences(removed=(Removed(at, named, mend),)))

    place = before.place(before.events[at].block)
    assert says == ("" if is_fine else f"{code} may not be taken out: it is no code of fluid alone (original {place})")


@pytest.mark.parametrize(
    ("code", "said", "mend", "is_fine"),
    [
        ("M8", "M9", "machine_code", True),
        ("M8", "M9", "tidy", False),
        ("M3", "M9", "machine_code", False),
        ("M8", "M77", "machine_code", False),
    ],
)
def test_only_a_code_of_fluid_may_become_another_one(code: str, said: str, mend: str, is_fine: bool) -> None:
    before = plain().before
    at = index_of(code, before)
    says = plain().told(Differences(changed=(Changed(at, code, Said(said), mend),)))

    assert says == ("" if is_fine else f"{code} may not become {said} (original {before.place(before.events[at].block)})")


def added(said: Said, row: int, mend: str = "fluid_before_cut") -> str:
    """A code that comes in before a move of the original, with nothing else declared."""
    before = plain().before
    at = next((index for index, event in enumerate(before.events) if event.row >= row), len(before.events))
    return plain().told(Differences(added=(Added(at, row, said, mend),)))


def row_at(line: int, first: bool = True) -> int:
    rows = np.flatnonzero(plain().before.moves.block == line - 1)
    return int(rows[0 if first else -1])


def test_a_code_may_come_in_where_the_tool_is_out_of_the_material() -> None:
    in_the_open, first_cut, in_cut = row_at(11), row_at(12), row_at(13)

    assert added(Said(through()), in_the_open) == added(Said(through()), first_cut) == added(Said(through()), 0) == ""
    assert added(Said(through()), len(plain().before.moves)) == ""
    assert (
        added(Said(through()), in_cut) == f"{through()} may not come in there: the edge is in the material (rewritten p.nc:13:1)"
    )
    assert added(Said(through()), row_at(14)) == ""  # the way out follows
    assert added(Said("M77"), in_the_open) == "M77 may not come in there: it is no code of fluid alone (rewritten p.nc:11:1)"
    assert (
        added(Said(through()), in_the_open, "tidy")
        == f"{through()} may not come in there: there is no mend 'tidy' (rewritten p.nc:11:1)"
    )


def test_a_dwell_may_come_in_outside_the_material_for_a_time_that_can_be_meant() -> None:
    for seconds, says in (
        (0.001, ""),
        (LONGEST_DWELL, ""),
        (0.0, "a dwell of 0 s"),
        (-1.0, "a dwell of -1 s"),
        (61.0, "a dwell of 61 s"),
    ):
        found = added(Said("G4", seconds=seconds), row_at(11))
        assert found == (f"G4 may not come in there: {says} (rewritten p.nc:11:1)" if says else "")
    for row in (13, 14):
        assert added(Said("G4", seconds=1.0), row_at(row)) == (
            f"G4 may not come in there: the tool would dwell in the material (rewritten p.nc:{row}:1)"
        )
    assert added(Said("G4", seconds=1.0), 0) == added(Said("G4", seconds=1.0), row_at(12)) == ""
    assert added(Said("G4", seconds=1.0), len(plain().before.moves)) == ""


def test_between_two_holes_of_a_cycle_the_tool_is_out() -> None:
    assert added(Said(through()), row_at(6)) == added(Said("G4", seconds=1.0), row_at(6)) == ""
    assert "in the material" in added(Said("G4", seconds=1.0), row_at(6) + 2)


def test_where_a_cycle_leaves_at_feed_the_tool_is_out_all_the_same() -> None:
    """As in reaming, G85: it is fed out of the hole."""
    program = "G21 G17 G90 G94\nT3 M6\nG0 X0. Y0. S900 M3\nG43 H3 Z25.\nG99 G85 X0. Z-9. R2. F90.\nX9.\nG80\nG0 Z25.\nM30\n"
    bench = Bench.of(binding(shop()))
    before = bench.run(bench.program(program.encode(), "p.nc"))
    one = replace(plain(), before=before)
    for hole in (0, 1):
        behind = int(before.cycle_holes.last[hole]) + 1
        for row, is_out in ((behind, True), (behind - 1, False)):
            at = next(index for index, event in enumerate(before.events) if event.row >= row)
            says = one.told(Differences(added=(Added(at, row, Said("G4", seconds=1.0), "build_up_dwell"),)))
            assert ("in the material" not in says) == is_out
        assert before.moves.kind[behind - 1] == Kind.FEED


def test_a_program_that_begins_or_ends_in_a_cut_is_in_the_material_between_its_moves_only() -> None:
    kind = plain().before.moves.kind.copy()
    kind[0] = kind[1] = kind[-1] = Kind.FEED
    one = replace(plain(), before=replace(plain().before, moves=replace(plain().before.moves, kind=kind)))

    def told(row: int) -> str:
        at = next((index for index, event in enumerate(one.before.events) if event.row >= row), len(one.before.events))
        return one.told(Differences(added=(Added(at, row, Said("M9"), "fluid_before_cut"),)))

    assert told(0) == told(len(kind)) == ""
    assert "the edge is in the material" in told(1)


def test_a_speed_may_come_in_only_where_a_change_of_speed_is_declared() -> None:
    before = plain().before
    at = index_of("M8", before)
    row = before.events[at].row
    speed = Speed(at, row, len(before.events), len(before.moves), 2000.0, 1500.0, 3)
    says = "S may not come in there: no change of speed is declared for it (rewritten p.nc:"

    def told(value: float) -> str:
        return plain().told(Differences(added=(Added(at, row, Said("S", (), value), "single_pass"),), speeds=(speed,)))

    assert "may not come in" not in told(1500.0) and "may not come in" not in told(2000.0)
    assert told(1400.0).startswith(says)


def test_a_changed_speed_serves_declared_holes_only() -> None:
    before = plain().before
    at = index_of("M3", before)
    speed = Speed(at, before.events[at].row, index_of("M5", before), row_at(8), 3183.0, 3183.0, 1)
    says = "the speed 3183 also serves cuts that are not converted (original p.nc:3:1)"

    assert plain().told(replace(plain().declared, speeds=(speed,))) == ""
    assert plain().told(replace(Differences(plain().declared.holes[:1]), speeds=(speed,))) == says


def test_a_cut_right_behind_a_hole_is_none_of_the_hole() -> None:
    before = plain().before
    kind = before.moves.kind.copy()
    kind[int(before.cycle_holes.last[1]) + 1] = Kind.FEED
    at = index_of("M3", before)
    stop = index_of("M5", before)
    speed = Speed(at, before.events[at].row, stop, before.events[stop].row, 3183.0, 3183.0, 1)
    one = replace(plain(), before=replace(before, moves=replace(before.moves, kind=kind)))

    assert "also serves cuts that are not converted" in one.told(replace(plain().declared, speeds=(speed,)))


def test_a_speed_behind_the_last_move_is_told_at_the_last_move() -> None:
    before = plain().before
    end, count = len(before.moves), len(before.events)
    speed = Speed(count, end, count, end, 2000.0, 77.0, 3)

    assert plain().told(Differences(speeds=(speed,))) == "the speed 77 is not the record's (original p.nc:14:1)"


@pytest.mark.parametrize(("rpm", "tool", "is_right"), [(1010.0, 1, True), (1011.0, 1, False), (1000.0, 9, False)])
def test_a_changed_speed_is_one_of_the_record(rpm: float, tool: int, is_right: bool) -> None:
    before = plain().before
    at = index_of("M3", before)
    speed = Speed(at, before.events[at].row, index_of("M5", before), row_at(8), 3183.0, rpm, tool)
    holes = tuple(replace(h, steps=(replace(h.steps[0], feed=0.2 * rpm), *h.steps[1:])) for h in plain().declared.holes)

    says = plain().told(replace(plain().declared, holes=holes, speeds=(speed,)), plain().with_recipe(rpm=1000.0))
    if is_right:
        assert says == ""
    elif tool == 9:
        assert says == "the speed 1000 is not the record's (original p.nc:3:1)"
    else:
        assert says == no("the spindle turns at 1011.0 where the record says 1000", 5)


def test_the_entry_speed_is_one_of_the_record_too() -> None:
    speeds = tuple(replace(speed, rpm=250.0) for speed in long().declared.speeds)

    assert long().told(long().declared) == ""
    assert long().told(replace(long().declared, speeds=speeds)) == "the speed 250 is not the record's (original p.nc:9:1)"
