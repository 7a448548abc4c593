"""What a program would do with the declared differences, told from the original alone: what cannot be is refused, by name."""

from bisect import bisect_right
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import isnan

import numpy as np
import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.moves import Event, Execution, Kind
from coolcheck.nc.program import Program
from coolcheck.rewrite.differences import Added, Changed, Differences, OnePass, Removed, Said, Speed, Step
from coolcheck.rewrite.expect import COLUMNS, NotAllowed, event_of, expected

PROGRAM = """G21 G17 G90 G94 G98
T1 M6
G0 G54 X0. Y0. S3000 M3
G43 H1 Z25. M8
G99 G83 X5. Z-20. R2. Q5. F600. P250
X15.
G80
G0 Z25. M9
G0 X30. S1000
G1 Z1. F300.
G0 Z25. M5
M30
"""
FIRST, SECOND = 0, 1
ONE_STROKE = (Step("feed", -20.0, 500.0), Step("rapid", 2.0))


@cache
def before() -> Execution:
    return interpret(Program.read(PROGRAM.encode(), "a.nc", load_dialect()))


def hole(index: int = FIRST, steps: tuple[Step, ...] = ONE_STROKE, in_cycle: bool = True) -> OnePass:
    return OnePass(index, 1, in_cycle, steps)


def of(*holes: OnePass, **more: object) -> Differences:
    return replace(Differences(holes), **more)  # type: ignore[arg-type]


def refusal(declared: Differences, execution: Execution | None = None) -> str:
    with pytest.raises(NotAllowed) as refused:
        expected(execution or before(), declared)
    return str(refused.value)


def index_of(code: str) -> int:
    return next(at for at, event in enumerate(before().events) if event.code == code)


def rows(index: int) -> tuple[int, int]:
    holes = before().cycle_holes
    return int(holes.first[index]), int(holes.last[index])


def entry_of(index: int) -> int:
    """The first stroke of a hole."""
    first, last = rows(index)
    return first + int(np.argmax(before().moves.kind[first : last + 1] == Kind.FEED))


def test_without_differences_the_original_is_expected() -> None:
    same = expected(before(), Differences())

    assert same.take.tolist() == list(range(len(before().moves)))
    assert same.kind.tolist() == before().moves.kind.tolist()
    assert same.events == before().events
    assert [span.modal for span in same.spans] == [span.modal for span in before().spans]
    assert (same.holes, same.converted) == ((0, 1), frozenset())


def test_a_converted_hole_has_its_steps_in_place_of_its_pecks() -> None:
    first, last = rows(FIRST)
    entry = entry_of(FIRST)  # the way to the R plane stays
    expectation = expected(before(), of(hole()))

    assert expectation.take.tolist() == [*range(entry), entry, last, *range(last + 1, len(before().moves))]
    assert expectation.kind[entry : entry + 2].tolist() == [Kind.FEED, Kind.RAPID]
    assert (expectation.columns["z0"][entry], expectation.columns["z"][entry], expectation.columns["feed"][entry]) == (
        2.0,
        -20.0,
        500.0,
    )
    assert (expectation.columns["z0"][entry + 1], expectation.columns["z"][entry + 1]) == (-20.0, 2.0)
    assert isnan(expectation.columns["feed"][entry + 1])
    assert expectation.in_cycle[first : entry + 2].all() and not expectation.in_cycle[:first].any()
    assert (expectation.holes, expectation.converted) == ((0, 1), frozenset({0}))


def test_a_hole_that_no_cycle_makes_any_more_is_none_of_the_cycle_holes() -> None:
    behind = entry_of(FIRST) + 2
    expectation = expected(before(), of(hole(in_cycle=False)))

    assert (expectation.holes, expectation.converted) == ((1,), frozenset({0}))
    assert not expectation.in_cycle[:behind].any()
    assert expectation.in_cycle[behind]  # the second hole, by its cycle as before


def test_an_earlier_hole_stays_in_its_cycle_where_a_later_one_leaves_it() -> None:
    first, last = rows(FIRST)
    expectation = expected(before(), of(hole(SECOND, in_cycle=False)))

    assert expectation.in_cycle[first : last + 1].all() and not expectation.in_cycle[last + 1 :].any()


def test_a_hole_of_one_stroke_is_converted_too_and_a_program_may_end_with_its_hole() -> None:
    short = interpret(
        Program.read(
            b"G21 G90 G94 G98\nT1 M6\nS900 M3\nG0 X0. Y0. Z25.\nG83 Z-4. R2. Q9. F90.\nG80\nM30\n", "a.nc", load_dialect()
        )
    )
    expectation = expected(short, of(hole(steps=(Step("feed", -4.0, 90.0), Step("rapid", 25.0)))))

    assert expectation.take.tolist() == list(range(len(short.moves)))
    assert expectation.columns["z"].tolist()[-2:] == [-4.0, 25.0]


def test_a_code_said_in_a_hole_follows_the_dwell_at_its_bottom_and_one_behind_it_comes_before_all_else() -> None:
    steps = (Step("feed", -20.0, 500.0), Step("code", said=Said("M9")), Step("rapid", 2.0), Step("code", said=Said("M57")))
    inside = expected(before(), of(hole(steps=steps, in_cycle=False))).events
    added = Added(index_of("M9"), before().events[index_of("M9")].row - 1, Said("G4", seconds=1.0), "x")
    behind = expected(before(), of(hole(SECOND, steps, in_cycle=False), added=(added,))).events

    assert [event.code for event in inside if event.row == entry_of(FIRST) + 1] == ["G4", "M9"]
    assert [(event.code, event.seconds) for event in behind][-8:-4] == [("G4", 0.25), ("M9", 0.0), ("M57", 0.0), ("G4", 1.0)]


def test_a_speed_said_in_a_hole_lasts_to_its_end_and_no_longer() -> None:
    steps = (Step("feed", -6.0, 400.0), Step("code", said=Said("S", (), 900.0)), Step("feed", -20.0, 500.0), Step("rapid", 2.0))
    spans = expected(before(), of(hole(steps=steps, in_cycle=False))).spans
    drill = entry_of(FIRST) + 1

    assert [(span.row, span.modal.rpm) for span in spans if span.row >= entry_of(FIRST)][:2] == [
        (drill, 900.0),
        (drill + 2, 3000.0),
    ]


def test_a_way_out_in_two_parts_has_the_dwell_of_the_bottom_before_both_and_its_codes_between_them() -> None:
    slow, wait = Step("code", said=Said("S", (), 300.0)), Step("code", said=Said("G4", seconds=2.0))
    steps = (Step("feed", -20.0, 500.0), Step("rapid", -6.0), slow, wait, Step("rapid", 2.0), Step("code", said=Said("M9")))
    expectation = expected(before(), of(hole(steps=steps, in_cycle=False)))
    way_out, (_, last) = entry_of(FIRST) + 1, rows(FIRST)
    inside = [(event.code, event.seconds, event.row) for event in expectation.events if way_out <= event.row <= way_out + 2]

    assert expectation.take[way_out : way_out + 2].tolist() == [last, last] and expectation.columns["z"][way_out] == -6.0
    assert not expectation.in_cycle[way_out : way_out + 2].any()
    assert [code for code, _, row in inside if row == way_out] == ["G4"]
    assert [(code, seconds) for code, seconds, row in inside if row == way_out + 1] == [("S", 0.0), ("G4", 2.0)]
    assert [span.modal.rpm for span in expectation.spans if way_out <= span.row <= way_out + 2] == [300.0, 3000.0]


def test_codes_that_come_in_at_one_place_stay_in_their_order() -> None:
    index = index_of("M9")
    added = tuple(
        Added(index, before().events[index].row, said, "x") for said in (Said("M57"), Said("G4", seconds=1.0), Said("M8"))
    )
    codes = [event.code for event in expected(before(), of(added=added)).events]

    assert codes[codes.index("M57") : codes.index("M57") + 4] == ["M57", "G4", "M8", "M9"]


def test_a_changed_code_stays_under_its_block_skip_and_in_its_block() -> None:
    index = index_of("M8")
    skipped = replace(before(), events=tuple(replace(e, skipped_by=2) if e.code == "M8" else e for e in before().events))
    changed = expected(skipped, of(changed=(Changed(index, "M8", Said("M57"), "x"),))).events[index]

    assert (changed.code, changed.skipped_by, changed.block) == ("M57", 2, before().events[index].block)


def test_the_dwell_at_the_bottom_is_said_as_the_new_form_says_it() -> None:
    code = {at: expected(before(), of(hole(in_cycle=at))).events for at in (True, False)}
    dwells = {at: [(event.code, event.row) for event in events if event.kind == "dwell"] for at, events in code.items()}
    way_out = entry_of(FIRST) + 1

    assert dwells[True][0] == ("G82", way_out)
    assert dwells[False][0] == ("G4", way_out)
    assert dwells[True][1][0] == "G83"


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ((Step("code"), *ONE_STROKE), "a hole has a step that says no code"),
        ((Step("arc", 1.0), *ONE_STROKE), "a hole has no step 'arc'"),
    ],
)
def test_a_step_that_is_none_is_refused(steps: tuple[Step, ...], says: str) -> None:
    assert refusal(of(hole(steps=steps))) == says


@pytest.mark.parametrize("index", [-1, 2, 9])
def test_a_hole_that_is_not_there_is_refused(index: int) -> None:
    assert refusal(of(hole(index))) == f"there is no hole {index}"


@pytest.mark.parametrize("row", ["feeds", "last"])
def test_a_hole_without_a_stroke_and_a_rapid_way_out_is_refused(row: str) -> None:
    first, last = rows(FIRST)
    kind = before().moves.kind.copy()
    if row == "feeds":
        kind[first : last + 1] = Kind.RAPID
    else:
        kind[last] = Kind.FEED
    odd = replace(before(), moves=replace(before().moves, kind=kind))

    assert refusal(of(hole()), odd) == "hole 0 has no stroke with a rapid way out"


def test_the_stroke_of_the_next_hole_is_not_that_of_this_one() -> None:
    first, last = rows(FIRST)
    kind = before().moves.kind.copy()
    kind[first : last + 1] = Kind.RAPID
    kind[last + 1] = Kind.FEED
    odd = replace(before(), moves=replace(before().moves, kind=kind))

    assert refusal(of(hole()), odd) == "hole 0 has no stroke with a rapid way out"


@pytest.mark.parametrize("until", [rows(FIRST)[0] + 4, len(before().moves) + 1, -1])
def test_a_speed_that_ends_between_pecks_or_outside_the_program_is_refused(until: int) -> None:
    speed = Speed(index_of("M3"), 0, index_of("M9"), until, 3000.0, 2000.0)

    assert refusal(of(hole(), speeds=(speed,))) == (
        "the end of a speed lies between the pecks of a hole that is to be drilled in one pass, or outside the program"
    )


def test_a_speed_lasts_to_where_it_is_declared_to_end_and_to_the_end_of_the_program_when_that_is_declared() -> None:
    start, end = index_of("S"), len(before().moves)
    row = before().events[start].row
    whole = expected(before(), of(speeds=(Speed(start, row, len(before().events), end, 1000.0, 900.0),)))
    part = expected(before(), of(speeds=(Speed(start, row, index_of("M5"), end - 1, 1000.0, 900.0),)))

    assert whole.spans[-1].modal.rpm == 900.0
    assert [(span.row, span.modal.rpm) for span in part.spans if span.row in (row, end - 1)] == [(row, 900.0), (end - 1, 1000.0)]
    assert [event.value for event in whole.events if event.code == "S"] == [900.0]


def test_a_speed_that_was_another_is_refused() -> None:
    in_modal_state = Speed(1, 0, 99, 3, 2900.0, 2000.0)

    assert refusal(of(speeds=(in_modal_state,))) == "the speed is declared to change from 2900, but it is 3000.0"


def test_a_speed_said_otherwise_than_declared_is_refused() -> None:
    index = index_of("S")
    row = before().events[index].row
    speed = Speed(index, row, index + 1, row, 900.0, 800.0)

    assert refusal(of(speeds=(speed,))) == "the speed is declared to change from 900, but S says 1000"


def test_a_change_that_begins_between_pecks_is_refused_by_its_name() -> None:
    inside = rows(FIRST)[0] + 4
    behind = "lies between the pecks of a hole that is to be drilled in one pass, or outside the program"
    spans = tuple(
        replace(span, row=inside) if number == len(before().spans) - 1 else span for number, span in enumerate(before().spans)
    )
    events = tuple(replace(event, row=inside) if event.code == "M9" else event for event in before().events)

    assert refusal(of(hole()), replace(before(), spans=spans)) == f"a change of the modal state {behind}"
    assert refusal(of(hole(), speeds=(Speed(1, inside, 2, inside, 3000.0, 1.0),))) == f"a speed {behind}"
    assert refusal(of(hole()), replace(before(), events=events)) == f"M9 {behind}"


def test_two_holes_that_share_moves_are_refused() -> None:
    holes = before().cycle_holes
    first = holes.first.copy()
    first[SECOND] = holes.first[FIRST]
    odd = replace(before(), cycle_holes=replace(holes, first=first))

    assert refusal(of(hole(FIRST), hole(SECOND)), odd) == "two declared holes share moves"


def test_events_that_are_not_there_or_say_otherwise_are_refused() -> None:
    count = len(before().events)

    assert refusal(of(removed=(Removed(count, "M9", "x"),))) == f"there is no event {count}"
    assert refusal(of(changed=(Changed(-1, "M9", Said("M8"), "x"),))) == "there is no event -1"
    assert refusal(of(changed=(Changed(index_of("M8"), "M9", Said("M57"), "x"),))) == (
        "M9 is declared to change, but the program says M8"
    )
    assert refusal(of(added=(Added(count + 1, 0, Said("M9"), "x"),))) == f"there is no event {count + 1} to add M9 before"
    assert refusal(of(added=(Added(index_of("M30"), 0, Said("M9"), "x"),))) == "an added code does not lie between its neighbours"
    assert refusal(of(hole(), added=(Added(index_of("M9"), rows(FIRST)[0] + 4, Said("M9"), "x"),))).startswith(
        "the added M9 lies"
    )


def test_a_code_makes_the_event_that_the_dialect_gives_it() -> None:
    dialect = load_dialect()

    assert event_of(Said("G4", seconds=1.5), dialect, 7) == Event(7, "dwell", -1, code="G4", seconds=1.5)
    assert event_of(Said("S", (), 900.0), dialect, 7) == Event(7, "spindle", -1, code="S", value=900.0)
    assert event_of(Said("M57", (("P", 2.0),)), dialect, 7) == Event(7, "m_code", -1, code="M57", words={"P": 2.0})
    assert event_of(Said("Mx"), dialect, 7) == Event(7, "m_code", -1, code="Mx")
    flood = event_of(Said("M8", (("P", 2.0),)), dialect, 7)
    assert (flood.row, flood.kind, flood.block, flood.code, flood.words) == (7, "fluid", -1, "M8", {"P": 2.0})
    assert flood.fluid == next(event.fluid for event in before().events if event.code == "M8")
    with pytest.raises(NotAllowed, match="^M30 is no fluid code in this dialect$"):
        event_of(Said("M30"), dialect, 7)


def test_a_row_of_a_hole_stands_for_its_entry_or_its_way_out() -> None:
    entry, (_, last) = entry_of(SECOND), rows(SECOND)
    steps = (Step("feed", -8.0, 300.0), Step("code", said=Said("M9")), Step("feed", -20.0, 500.0), Step("rapid", 2.0))
    expectation = expected(before(), of(hole(SECOND, steps, in_cycle=False)))

    assert expectation.take[entry : entry + 3].tolist() == [entry, entry, last]
    assert [event.row for event in expectation.events if event.code == "M9"][0] == entry + 1


# ---------------------------------------------------------- what is expected, against a program that is written to do just that

ENTERED = """G21 G17 G90 G94 G98
T1 M6
G0 G54 X0. Y0. S300 M3
G43 H1 Z25. M57
G99 G0 X5.
Z2.
G1 Z-6. F400.
M57
S3000
G4 P1500
G1 Z-20. F600.
S300
G0 Z2.
M58
X15.
G1 Z-6. F400.
M57
S3000
G4 P1500
G1 Z-20. F600.
S300
G0 Z2.
M58
G4 P1200
G80
G0 Z25. M9
G0 X30. S1000
G1 Z1. F300.
G0 Z25. M5
M30
"""
PECKED = """G21 G17 G90 G94 G98
T1 M6
G0 G54 X0. Y0. S3000 M3
G43 H1 Z25. M8
G99 G83 X5. Z-20. R2. Q5. F600.
X15.
G80
G0 Z25. M9
G0 X30. S1000
G1 Z1. F300.
M51
G0 Z25. M5
M30
"""
SLOWLY = (
    Step("feed", -6.0, 400.0), Step("code", said=Said("M57")), Step("code", said=Said("S", (), 3000.0)),
    Step("code", said=Said("G4", seconds=1.5)), Step("feed", -20.0, 600.0), Step("code", said=Said("S", (), 300.0)),
    Step("rapid", 2.0), Step("code", said=Said("M58")),
)  # fmt: skip


def run(text: str) -> Execution:
    return interpret(Program.read(text.encode(), "a.nc", load_dialect()))


def certain(event: Event) -> Event:
    """An event without what an added code does not say: its block, which way a speed turns, the seconds of a dwell once more."""
    return replace(event, block=0, direction="", value=None if event.kind == "dwell" else event.value)


def test_what_is_expected_is_what_a_program_does_that_is_written_so() -> None:
    """Every kind of difference at once: holes with codes inside, a code added, one taken out, one changed, two speeds."""
    old, new = run(PECKED), run(ENTERED)
    at = {event.code: index for index, event in reversed(list(enumerate(old.events)))}
    end = at["S"], old.events[at["S"]].row
    declared = Differences(
        holes=tuple(OnePass(index, 1, False, SLOWLY) for index in (0, 1)),
        added=(Added(at["M9"], old.events[at["M9"]].row - 1, Said("G4", seconds=1.2), "single_pass"),),
        removed=(Removed(at["M51"], "M51", "machine_code"),),
        changed=(Changed(at["M8"], "M8", Said("M57"), "machine_code"),),
        speeds=(Speed(at["M3"], 0, *end, 3000.0, 300.0),),
    )
    expectation = expected(old, declared)

    assert expectation.kind.tolist() == new.moves.kind.tolist()
    for name in COLUMNS:
        assert expectation.columns[name].tolist() == pytest.approx(getattr(new.moves, name).tolist(), nan_ok=True)
    assert not expectation.in_cycle.any() and expectation.holes == () and expectation.converted == {0, 1}
    assert [certain(event) for event in expectation.events] == [certain(event) for event in new.events]
    assert [event.block for event in expectation.events if event.code == "M57"] == [3, -1, -1]  # in the place of M8; two new ones
    after = [new.modal(row) for row in range(len(new.moves))]
    before_rows = [span.row for span in expectation.spans]
    assert [expectation.spans[bisect_right(before_rows, row) - 1].modal for row in range(len(after))] == after
    assert all(one.modal != other.modal for one, other in pairwise(expectation.spans))
