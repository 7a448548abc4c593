"""The comparison by itself: of all that an execution holds nothing may differ from what is expected, and the message says what does."""

from dataclasses import fields, replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.moves import Event, Execution, Kind, Modal, Note
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.rewrite.compare import Mismatch, first_mismatch
from coolcheck.rewrite.differences import Added, Differences, OnePass, Said, Speed, Step
from coolcheck.rewrite.expect import COLUMNS, expected

OLD = """G21 G17 G90 G94 G98
T1 M6
G0 G54 X0. Y0. S3000 M3
G43 H1 Z25. M8
G99 G83 X5. Z-20. R2. Q5. F600. P250
X15.
G80
G0 Z25.
G0 Z0.
G1 X20. F300.
G2 X25. Y5. I0. J5.
G0 Z25. A30.
G81 X50. Z-3. R1. F100.
G80
G0 Z25.
G4 P1500
M57 P2
M9
M30
"""
NEW = OLD.replace("G83", "G82").replace(" Q5.", "")
HOLES = tuple(OnePass(n, 1, True, (Step("feed", -20.0, 600.0), Step("rapid", 2.0))) for n in (0, 1))
DECLARED = Differences(HOLES)


def run(text: str) -> Execution:
    return interpret(Program.read(text.encode(), "a.nc", load_dialect()))


@cache
def before() -> Execution:
    return run(OLD)


@cache
def after() -> Execution:
    return run(NEW)


def told(changed: Execution, declared: Differences = DECLARED, old: Execution | None = None) -> str:
    original = old or before()
    found = first_mismatch(original, changed, expected(original, declared))
    return str(found) if found else ""


def with_column(name: str, row: int, value: float) -> Execution:
    column = getattr(after().moves, name).copy()
    column[row] = value
    return replace(after(), moves=replace(after().moves, **{name: column}))


def row_of(line: int, last: bool = True) -> int:
    """The last (or first) move of a line of the new program."""
    rows = np.flatnonzero(after().moves.block == line - 1)
    return int(rows[-1 if last else 0])


def test_what_is_as_declared_is_no_mismatch() -> None:
    assert told(after()) == ""
    assert told(before(), Differences()) == ""


def test_what_is_not_declared_is_one() -> None:
    assert told(after(), Differences()) == (
        "move 5 is not as declared: Z differs, -20 instead of -3 (original a.nc:5:1, rewritten a.nc:5:1)"
    )


CALLED = {
    "x": "X",
    "y": "Y",
    "z": "Z",
    "x0": "the start in X",
    "y0": "the start in Y",
    "z0": "the start in Z",
    "feed": "the feed",
}


@pytest.mark.parametrize("name", COLUMNS)
def test_a_column_differs_from_a_millionth_on_and_says_by_how_much(name: str) -> None:
    row = row_of(10)
    value = float(getattr(after().moves, name)[row])
    step = 2e-6 if name != "feed" else 2e-9 * value

    assert told(with_column(name, row, value + step / 4)) == ""
    assert told(with_column(name, row, value - step / 4)) == ""
    for wrong in (value + step, value - step):
        assert told(with_column(name, row, wrong)).startswith(
            f"move {row + 1} is not as declared: {CALLED[name]} differs, {wrong:.6g} instead of {value:.6g}"
        )


@pytest.mark.parametrize("name", COLUMNS)
def test_what_is_known_in_one_program_only_differs(name: str) -> None:
    row = row_of(10)

    assert f"{CALLED[name]} differs, nan instead of" in told(with_column(name, row, float("nan")))


def test_not_known_in_both_is_the_same() -> None:
    text = OLD.replace("T1 M6", "T1 M6\nG0 X#500")

    assert told(run(text), Differences(), run(text)) == ""
    assert "X differs, 3 instead of nan" in told(run(text.replace("X#500", "X3.")), Differences(), run(text))


def test_the_first_move_that_differs_is_told_whatever_differs_in_it() -> None:
    early, late = row_of(4), row_of(10)
    moves = after().moves
    feed, z = moves.feed.copy(), moves.z.copy()
    feed[late], z[early] = 1.0, 1.0

    assert told(replace(after(), moves=replace(moves, feed=feed, z=z))).startswith(
        f"move {early + 1} is not as declared: Z differs"
    )


def test_the_kind_of_a_move_and_who_makes_it_count() -> None:
    row = row_of(10)

    assert told(with_column("kind", row, Kind.RAPID)).startswith(f"move {row + 1} is not as declared: the kind of move differs (")
    assert told(with_column("cycle", row, 0)).startswith(
        f"move {row + 1} is not as declared: whether a canned cycle makes it differs ("
    )
    assert told(with_column("arc", row, 0)).startswith(f"move {row + 1} is not as declared: whether it is an arc differs (")
    assert "whether a canned cycle makes it" in told(with_column("cycle", row_of(6), -1))
    assert "whether it is an arc" in told(with_column("arc", row_of(11), -1))


def test_one_move_more_or_less_is_told() -> None:
    moves = after().moves
    short = replace(
        after(),
        moves=replace(
            moves,
            **{
                f.name: v[:-1] if len(v := getattr(moves, f.name)) == len(moves) else v
                for f in fields(moves)
                if f.name != "arcs" and getattr(moves, f.name) is not None
            },
        ),
    )
    count = len(moves)

    assert told(short) == f"there are {count - 1} moves where {count} are declared (original a.nc:15:1)"
    assert f"there are {count + 1} moves where {count} are declared (rewritten a.nc:" in told(
        run(NEW.replace("M30", "X99.\nM30"))
    )


@pytest.mark.parametrize("axis", ["a", "b", "c"])
def test_rotary_axes_count(axis: str) -> None:
    row = row_of(12)
    column = getattr(after().moves, axis).copy()
    column[row] = 31.0 if axis == "a" else 5.0

    assert told(replace(after(), moves=replace(after().moves, **{axis: column}))).startswith(
        f"move {row + 1} ends at another angle of {axis.upper()} ("
    )
    assert (
        told(replace(after(), moves=replace(after().moves, **{axis: None})))
        == f"rotary axis {axis.upper()} is used in one program only"
    )


@pytest.mark.parametrize("name", ["x", "y", "z", "radius", "sweep", "length", "plane"])
def test_an_arc_has_its_centre_radius_sweep_length_and_plane(name: str) -> None:
    arcs = after().moves.arcs
    column = getattr(arcs, name).copy()
    column[0] = 18 if name == "plane" else 4.0 if np.isnan(column[0]) else column[0] + 2e-6
    near = getattr(arcs, name).copy()
    near[0] = near[0] if name == "plane" else near[0] + 5e-7

    assert told(replace(after(), moves=replace(after().moves, arcs=replace(arcs, **{name: column})))).startswith(
        f"move {row_of(11) + 1} is an arc with another {name} ("
    )
    assert told(replace(after(), moves=replace(after().moves, arcs=replace(arcs, **{name: near})))) == ""


def test_the_number_of_arcs_counts() -> None:
    arcs = after().moves.arcs
    none = replace(arcs, **{f.name: getattr(arcs, f.name)[:0] for f in fields(arcs)})

    assert told(replace(after(), moves=replace(after().moves, arcs=none))) == "the programs have not the same number of arcs"


OTHER: dict[str, Any] = {
    "tool": 2, "tool_name": "X", "spindle": "unknown", "rpm": 1.0, "work_offset": "G55", "plane": 18, "feed_mode": 95, "units": 20,
    "distance": 91, "return_level": 97, "length_offset": "H7", "side_compensation": "G41 D1",
}  # fmt: skip


@pytest.mark.parametrize("name", OTHER)
def test_all_of_the_modal_state_counts(name: str) -> None:
    assert set(OTHER) == {field.name for field in fields(Modal)}
    spans = list(after().spans)
    was = getattr(spans[-1].modal, name)
    spans[-1] = replace(spans[-1], modal=replace(spans[-1].modal, **{name: OTHER[name]}))

    assert told(replace(after(), spans=tuple(spans))).startswith(
        f"the modal state before move {spans[-1].row + 1} is not as declared: {name.replace('_', ' ')} {OTHER[name]} instead of {was}"
    )


def test_the_modal_state_counts_from_the_first_move_on() -> None:
    spans = list(after().spans)
    spans[0] = replace(spans[0], modal=replace(spans[0].modal, plane=18))

    assert told(replace(after(), spans=tuple(spans))).startswith(
        "the modal state before move 1 is not as declared: plane 18 instead"
    )


def test_where_the_modal_state_changes_counts() -> None:
    spans = list(after().spans)
    later = [*spans[:-1], replace(spans[-1], row=spans[-1].row + 1)]
    twice = [*spans, replace(spans[-1], row=spans[-1].row + 1)]  # says nothing new

    assert "the modal state before move" in told(replace(after(), spans=tuple(later)))
    assert told(replace(after(), spans=tuple(twice))) == ""
    assert "tool 9, rpm 1 instead of" not in told(replace(after(), spans=tuple(later)))


def test_two_things_that_differ_in_the_modal_state_are_both_told() -> None:
    spans = list(after().spans)
    spans[-1] = replace(spans[-1], modal=replace(spans[-1].modal, plane=18, units=20))

    assert "plane 18 instead of 17, units 20 instead of 21" in told(replace(after(), spans=tuple(spans)))


def index_of(code: str) -> int:
    return next(i for i, event in enumerate(after().events) if event.code == code)


def with_event(index: int, **parts: Any) -> Execution:
    events = list(after().events)
    events[index] = replace(events[index], **parts)
    return replace(after(), events=tuple(events))


@pytest.mark.parametrize(
    ("code", "parts", "says"),
    [
        ("M57", {"kind": "fluid"}, "M57 where M57 is declared: kind 'fluid' instead of 'm_code'"),
        ("M57", {"code": "M87"}, "M87 where M57 is declared: code 'M87' instead of 'M57'"),
        ("M57", {"words": {"P": 3.0}}, "M57 where M57 is declared: words {'P': 3.0} instead of {'P': 2.0}"),
        ("M57", {"words": {}}, "words {} instead of {'P': 2.0}"),
        ("M9", {"fluid": "flood on"}, "M9 where M9 is declared: fluid 'flood on' instead of 'all off'"),
        ("M9", {"after_move": "x"}, "after move 'x' instead of"),
        ("M9", {"skipped_by": 1}, "skipped by 1 instead of 0"),
        ("G4", {"seconds": 1.5001}, "G4 where G4 is declared: seconds 1.5001 instead of 1.5"),
        ("M3", {"value": 2999.0}, "M3 where M3 is declared: value 2999.0 instead of 3000.0"),
        ("M3", {"direction": "counterclockwise"}, "direction 'counterclockwise' instead of 'clockwise'"),
        ("M57", {"row": 1}, "M57 where M57 is declared: it stands before move 2 instead of move"),
    ],
)  # fmt: skip
def test_every_part_of_an_event_counts(code: str, parts: dict[str, Any], says: str) -> None:
    found = told(with_event(index_of(code), **parts))

    assert says in found
    line = {"M57": 17, "M9": 18, "G4": 16, "M3": 3}[code]
    assert found.endswith(f"(original a.nc:{line}:1, rewritten a.nc:{line}:1)")


def test_numbers_of_events_may_lose_what_floats_lose() -> None:
    assert told(with_event(index_of("M3"), value=3000.0 * (1 + 1e-10))) == ""
    assert told(with_event(index_of("M57"), words={"P": 2.0 + 1e-10})) == ""
    assert told(with_event(index_of("M3"), value=float("nan"))) != ""
    assert told(with_event(index_of("M57"), block=3)) == ""  # where it is written says nothing of what it does


def test_a_number_of_an_event_that_is_not_known_is_another_than_one_that_is() -> None:
    nowhere = float("nan")
    index = index_of("M3")
    unknown = replace(before(), events=tuple(replace(e, value=nowhere) if e.code == "M3" else e for e in before().events))

    assert "value None instead of 3000.0" in told(with_event(index, value=None))
    assert told(with_event(index, value=nowhere), old=unknown) == ""
    assert "value 3000.0 instead of nan" in told(after(), old=unknown)
    assert told(with_event(index_of("G4"), seconds=1.5 + 1e-13)) == ""
    nothing = replace(before(), events=tuple(replace(e, seconds=0.0) if e.code == "G4" else e for e in before().events))
    assert told(with_event(index_of("G4"), seconds=1e-13), old=nothing) == ""


def test_an_event_of_the_first_block_is_compared_and_placed_as_any_other() -> None:
    def at_the_top(run: Execution) -> Execution:
        return replace(run, events=tuple(replace(e, block=0) if e.code == "M3" else e for e in run.events))

    index = index_of("M3")
    turned = at_the_top(with_event(index, direction="counterclockwise"))

    assert told(turned, old=at_the_top(before())) == (
        "M3 where M3 is declared: direction 'counterclockwise' instead of 'clockwise' (original a.nc:1:1, rewritten a.nc:1:1)"
    )
    shorter = replace(after(), events=after().events[:index])
    old = at_the_top(replace(before(), events=before().events[: index + 1]))
    assert told(shorter, old=old) == "M3 is missing (original a.nc:1:1)"


def test_an_event_at_another_move_says_where_it_stands_and_where_it_was_to_stand() -> None:
    index = index_of("M9")
    row = after().events[index].row

    assert f"M9 where M9 is declared: it stands before move 2 instead of move {row + 1} (" in told(with_event(index, row=1))


def test_an_event_more_or_less_is_told() -> None:
    events = after().events
    end = len(after().moves)

    assert (
        told(replace(after(), events=(*events, Event(end, "m_code", 4, code="M77"))))
        == "M77 is not declared (rewritten a.nc:5:1)"
    )
    assert told(replace(after(), events=events[:-1])) == "M30 is missing (original a.nc:19:1)"
    assert (
        told(replace(after(), events=(*events, Event(end, "work_offset", 4))))
        == "work offset is not declared (rewritten a.nc:5:1)"
    )


def test_an_added_code_says_what_its_code_makes_certain_and_no_more() -> None:
    row = row_of(12) + 1
    index = next(i for i, event in enumerate(before().events) if event.code == "G4")
    declared = replace(DECLARED, added=(Added(index, len(before().moves) - 1, Said("M9"), "fluid_off_before_change"),))
    text = NEW.replace("G4 P1500", "M9\nG4 P1500")
    added = replace(declared, added=(replace(declared.added[0], row=len(before().moves)),))

    assert told(run(text), added) == ""
    assert "M8 where M9 is declared: code 'M8' instead of 'M9' (rewritten a.nc:16:1)" in told(
        run(text.replace("M9\nG4", "M8\nG4")), added
    )
    last = replace(DECLARED, added=(Added(len(before().events), len(before().moves), Said("M9"), "x"),))
    assert told(run(NEW), last) == "M9 is missing"
    for parts, says in (
        ({"skipped_by": 3}, "skipped by 3 instead of 0"),
        ({"value": 1.0, "words": {"P": 1.0}}, "words {'P': 1.0}"),
    ):
        events = list(run(text).events)
        events[index] = replace(events[index], **parts)
        assert f"M9 where M9 is declared: {says}" in told(replace(run(text), events=tuple(events)), added)
    assert row


def with_speed(execution: Execution, rpm: float) -> Execution:
    """Its last speed said as another, the modal state as it was."""
    events = [replace(event, value=rpm) if event.code == "S" else event for event in execution.events]
    return replace(execution, events=tuple(events))


def test_an_added_speed_says_its_number_but_not_which_way_it_turns() -> None:
    index = next(i for i, event in enumerate(before().events) if event.code == "G4")
    end = len(before().moves)
    declared = replace(
        DECLARED,
        added=(Added(index, end, Said("S", (), 500.0), "single_pass"),),
        speeds=(Speed(index, end, len(before().events), end, 3000.0, 500.0),),
    )
    text = NEW.replace("G4 P1500", "S500\nG4 P1500")

    assert told(run(text), declared) == ""
    assert "S where S is declared: value 400.0 instead of 500.0" in told(with_speed(run(text), 400.0), declared)


@pytest.mark.parametrize(
    ("name", "value", "called"),
    [
        ("code", 82, "code"), ("axis", "x", "axis"), ("top", 1.1, "top"), ("bottom", -3.1, "bottom"), ("pecks", (-1.0, -3.0), "pecks"),
        ("pecks", (-3.1,), "pecks"), ("retract", "full", "retract"), ("clearance", 0.5, "clearance"), ("dwell", 0.1, "dwell"),
        ("initial", 24.0, "initial"), ("return_level", 98, "return level"),
    ],
)  # fmt: skip
def test_every_part_of_a_cycle_that_stays_counts(name: str, value: Any, called: str) -> None:
    cycles = list(after().cycles)
    cycles[-1] = replace(cycles[-1], **{name: value})

    assert told(replace(after(), cycles=tuple(cycles))) == (
        f"hole 3 is not as declared: {called} differs (original a.nc:13:1, rewritten a.nc:13:1)"
    )


@pytest.mark.parametrize(
    ("name", "value"),
    [("top", 1.0 + 5e-7), ("bottom", -3.0 - 5e-7), ("pecks", (-3.0 + 5e-7,)), ("feed", 5.0), ("block", 0), ("words", {})],
)
def test_what_floats_lose_and_what_the_moves_tell_does_not_count_in_a_cycle(name: str, value: Any) -> None:
    cycles = list(after().cycles)
    cycles[-1] = replace(cycles[-1], **{name: value})

    assert told(replace(after(), cycles=tuple(cycles))) == ""


@pytest.mark.parametrize(
    ("name", "value", "called"),
    [
        ("code", 83, "it is not drilled by a plain cycle: the cycle"), ("retract", "full", "it is not drilled by a plain cycle: the cycle"),
        ("axis", "x", "axis"), ("top", 2.1, "top"), ("bottom", -21.0, "bottom"), ("dwell", 0.3, "dwell"), ("initial", 24.0, "initial"),
        ("return_level", 98, "return level"),
    ],
)  # fmt: skip
def test_a_converted_hole_is_drilled_by_a_plain_cycle_of_the_same_hole(name: str, value: Any, called: str) -> None:
    cycles = list(after().cycles)
    cycles[0] = replace(cycles[0], **{name: value})

    assert told(replace(after(), cycles=tuple(cycles))) == (
        f"hole 1 is not as declared: {called} differs (original a.nc:5:1, rewritten a.nc:5:1)"
    )


def test_a_cycle_is_compared_with_its_own_where_another_is_no_cycle_any_more() -> None:
    plain = "G99 G0 X5.\nZ2.\nG1 Z-20. F600.\nG4 P250\nG0 Z2.\nX15.\nG1 Z-20.\nG4 P250\nG0 Z2."
    text = OLD.replace("G99 G83 X5. Z-20. R2. Q5. F600. P250\nX15.", plain)
    declared = Differences(tuple(replace(one, in_cycle=False) for one in HOLES))
    new = run(text)

    assert len(new.cycles) < len(before().cycles)
    assert told(new, declared) == ""
    assert told(replace(new, cycles=(replace(new.cycles[0], bottom=-3.1),)), declared).startswith(
        "hole 1 is not as declared: bottom"
    )


@pytest.mark.parametrize(("name", "value"), [("code", 81), ("clearance", 9.0), ("pecks", (-20.0,))])
def test_how_often_a_converted_hole_was_pecked_does_not_count(name: str, value: Any) -> None:
    cycles = list(after().cycles)
    cycles[0] = replace(cycles[0], **{name: value})

    assert told(replace(after(), cycles=tuple(cycles))) == ""


def test_a_height_of_a_cycle_that_is_not_known_in_both_is_the_same_and_else_differs() -> None:
    nowhere = float("nan")
    for old, new, is_same in ((nowhere, nowhere, True), (nowhere, 1.0, False), (1.0, nowhere, False)):
        one, other = ([*run.cycles[:-1], replace(run.cycles[-1], top=top)] for run, top in ((before(), old), (after(), new)))
        found = told(replace(after(), cycles=tuple(other)), old=replace(before(), cycles=tuple(one)))
        assert (found == "") == is_same


def test_a_cycle_may_lose_a_millionth_and_no_more() -> None:
    old = replace(before(), cycles=(*before().cycles[:-1], replace(before().cycles[-1], clearance=0.0, pecks=(0.0,))))
    for lost, is_same in ((1e-6, True), (1.1e-6, False), (-1e-6, True)):
        for part in ({"clearance": lost, "pecks": (0.0,)}, {"clearance": 0.0, "pecks": (lost,)}):
            new = replace(after(), cycles=(*after().cycles[:-1], replace(after().cycles[-1], **part)))
            assert (told(new, old=old) == "") == is_same


def test_the_number_of_holes_counts() -> None:
    holes = after().cycle_holes
    fewer = replace(holes, **{f.name: getattr(holes, f.name)[:-1] for f in fields(holes)})

    assert told(replace(after(), cycle_holes=fewer)) == "2 holes are made by canned cycles where 3 are declared"


def test_both_programs_end_or_neither_does() -> None:
    assert told(replace(after(), ended=False)) == "one program reaches its end, the other does not"


def note(name: str, count: int = 1, affects: tuple[str, ...] = ()) -> Note:
    return Note(name, Place("a.nc", 7, 1), "something", "", affects, count)


def test_a_rewrite_may_leave_less_to_note_and_never_more() -> None:
    old = replace(before(), notes=(note("a", 2), note("a", 1, ("z",)), note("b")))

    assert told(replace(after(), notes=()), old=old) == ""
    assert told(replace(after(), notes=(note("a", 2),)), old=replace(old, notes=(note("a"), note("a")))) == ""
    assert told(replace(after(), notes=(note("a", 2), note("b"))), old=old) == ""
    assert told(replace(after(), notes=(note("a", 1), note("a", 1))), old=old) == ""
    for more in (
        (note("a", 3),),
        (note("c"),),
        (note("b", 1, ("z",)),),
        (note("a", 1, ("z",)), note("a", 1, ("z",))),
        (note("a", 2), note("a", 1)),
    ):
        name = more[-1].id
        assert (
            told(replace(after(), notes=more), old=old)
            == f"the rewritten program has something new to note: something [{name}] (rewritten a.nc:7:1)"
        )


def test_a_mismatch_names_the_places_it_has() -> None:
    here, there = Place("a.nc", 1, 2), Place("b.nc", 3, 4)

    assert str(Mismatch("x")) == "x"
    assert str(Mismatch("x", here)) == "x (original a.nc:1:2)"
    assert str(Mismatch("x", None, there)) == "x (rewritten b.nc:3:4)"
    assert str(Mismatch("x", here, there)) == "x (original a.nc:1:2, rewritten b.nc:3:4)"
