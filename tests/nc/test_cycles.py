"""Canned cycles: pecks, retracts, what a series keeps, and what a dialect changes."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.nc import drilling
from coolcheck.nc.cycles import TooManyPecks, full_retracts, pecks_of_one_depth, shrinking_pecks
from tests.nc.running import LEAST, NIST, OPEN, SAFE, WA, ends, events, note_ids, run

START = SAFE + "S1000 M3\nG0 X0 Y0 Z10.\n"


def z_of(execution: object, kind: str) -> list[float]:
    return [z for letter, _, _, z in ends(execution) if letter == kind]  # type: ignore[arg-type]


@given(top=st.floats(-5, 5), depth=st.floats(0.01, 200), peck=st.floats(0.05, 50))
def test_pecks_go_down_by_no_more_than_their_depth_and_end_at_the_bottom(top: float, depth: float, peck: float) -> None:
    bottoms = pecks_of_one_depth(top, top - depth, peck, 10_000)
    cuts = [above - below for above, below in zip((top, *bottoms), bottoms, strict=False)]

    assert bottoms[-1] == top - depth
    assert all(0 < cut <= peck * (1 + 1e-6) for cut in cuts)


@given(first=st.floats(0.5, 20), less=st.floats(0, 5), least=st.floats(0.3, 5), depth=st.floats(1, 100))
def test_shrinking_pecks_never_fall_below_the_least_but_for_the_last(
    first: float, less: float, least: float, depth: float
) -> None:
    bottoms = shrinking_pecks(0.0, -depth, first, less, least, 10_000)
    cuts = [above - below for above, below in zip((0.0, *bottoms), bottoms, strict=False)]

    assert bottoms[-1] == -depth
    assert all(cut >= min(first, least) - 1e-9 for cut in cuts[:-1])
    assert all(cut > 0 for cut in cuts)


def test_a_peck_depth_of_next_to_nothing_is_refused() -> None:
    with pytest.raises(TooManyPecks):
        pecks_of_one_depth(0.0, -10.0, 1e-6, 1000)
    with pytest.raises(TooManyPecks):
        shrinking_pecks(0.0, -10.0, 1.0, 0.5, 0.0, 1000)


def test_full_retracts_count_the_depth_since_the_last_one() -> None:
    assert full_retracts((-2.0, -4.0, -6.0, -8.0), 0.0, 4.0) == {1, 3}


def test_a_tiny_peck_in_a_program_is_noted_and_bounded() -> None:
    e = run(START + "G83 X1. Z-10. R2. Q0.000001 F100")

    assert "move-bound" in note_ids(e)
    assert e.cycles[0].pecks == (-10,)


def test_chip_break_backs_off_and_does_not_leave_the_hole() -> None:
    e = run(START + "G99 G73 X1. Z-10. R2. Q4. F100")

    assert [row[3] for row in ends(e)[1:]] == [10, 2, -2, -1.746, -6, -5.746, -10, 2]
    assert (e.cycles[0].retract, e.cycles[0].clearance) == ("chip_break", 0.254)


def test_full_retract_comes_back_to_just_above_the_last_bottom() -> None:
    e = run(START + "G99 G83 X1. Z-10. R2. Q6. F100")

    assert [row[3] for row in ends(e)[1:]] == [10, 2, -4, 2, -3.746, -10, 2]
    assert e.cycles[0].retract == "full"


def test_a_chip_break_cycle_with_k_clears_the_hole_each_time_the_depth_is_reached() -> None:
    """programming guide of a vertical machining centre, 1999, p. 185"""
    e = run(START + "G99 G73 X1. Z-8. R0. Q2. K4. F100")

    assert [row[3] for row in ends(e)[1:]] == [10, 0, -2, -1.746, -4, 0, -3.746, -6, -5.746, -8, 0]


def test_k_without_a_point_repeats() -> None:
    e = run(START + "G91 G99 G73 X5. Z-8. R-8. Q4. K3 F100")

    assert e.cycle_holes.x.tolist() == [5, 10, 15]


@pytest.mark.parametrize(("words", "holes"), [("K0", 0), ("L0", 0), ("K2", 2)])
def test_a_repeat_of_zero_keeps_the_words_and_drills_nothing(words: str, holes: int) -> None:
    e = run(START + f"G81 X1. Z-5. R2. F100 {words}\nX2.")

    assert len(e.cycle_holes) == holes + 1
    assert e.cycles[0].bottom == -5


def test_a_modal_series_goes_on_until_another_motion_code() -> None:
    e = run(START + "G99 G81 X1. Y1. Z-5. R2. F100\nX2.\nY2.\nG0 X9.\nX8.")

    assert list(zip(e.cycle_holes.x.tolist(), e.cycle_holes.y.tolist(), strict=True)) == [(1, 1), (2, 1), (2, 2)]
    assert ends(e)[-2:] == [("r", 9, 2, 2), ("r", 8, 2, 2)]


@pytest.mark.parametrize("block", ["F200", "M8", "S2000", "G4 P500", "(text)", "G4 X1."])
def test_a_block_without_a_position_drills_nothing(block: str) -> None:
    e = run(START + f"G99 G81 X1. Y1. Z-5. R2. F100\n{block}\nX2.")

    assert e.cycle_holes.x.tolist() == [1, 2]


def test_a_new_feed_counts_for_the_holes_that_follow() -> None:
    e = run(START + "G99 G81 X1. Z-5. R2. F100\nX2. F200\nX3.")

    assert [e.cycles[c].feed for c in e.cycle_holes.cycle] == [100, 200, 200]
    assert e.moves.feed[e.moves.kind == 1].tolist() == [100, 200, 200]


def test_the_initial_level_is_kept_over_g99_holes_on_word_address_controls() -> None:
    text = START + "G99 G81 X1. Z-5. R2. F100\nX2.\nG98 X3."

    assert ends(run(text, WA))[-1] == ("r", 3, 0, 10)
    assert ends(run(text, NIST))[-1] == ("r", 3, 0, 2)


def test_heights_of_a_g90_block_stay_when_g91_repeats_it() -> None:
    """Common practice on word-address controls; RS274/NGC reuses the number instead."""
    text = START + "G90 G99 G81 X0 Y0 Z-5. R2. F100\nG91 X10. L3"

    assert [c.bottom for c in run(text, WA).cycles] == [-5]
    assert [c.bottom for c in run(text, NIST).cycles] == [-5, -1]


def test_in_g91_a_word_address_control_counts_r_from_the_initial_level() -> None:
    e = run(START + "G91 G99 G81 X5. Z-7. R-8. F100\nX5.")

    assert [(c.top, c.bottom) for c in e.cycles] == [(2, -5)]


@pytest.mark.parametrize("code", [85, 89])
def test_boring_feeds_out(code: int) -> None:
    text = START + f"G98 G{code} X1. Z-5. R2. P500 F100"

    assert [row[0] for row in ends(run(text, WA))[3:]] == ["f", "f", "r"]
    assert [row[0] for row in ends(run(text, NIST))[3:]] == ["f", "f"]
    assert z_of(run(text, WA), "f") == [-5, 2]
    assert z_of(run(text, NIST), "f") == [-5, 10]


def test_a_boring_cycle_with_a_stopped_spindle() -> None:
    e = run(START + "G98 G86 X1. Z-5. R2. F100")

    assert [(event.row, event.direction) for event in events(e, "spindle")] == [(0, "clockwise"), (4, "off"), (5, "clockwise")]


def test_a_manual_boring_cycle_stops_the_program() -> None:
    assert [event.row for event in events(run(START + "G98 G88 X1. Z-5. R2. P100 F100"), "stop")] == [4]


def test_back_boring_by_shift_goes_down_beside_the_wall_and_feeds_up() -> None:
    e = run(START + "G98 G87 X1. Y0 Z-5. R-20. Q1. F100")

    assert ends(e)[1:] == [("r", 1, 0, 10), ("r", 1, 0, -20), ("f", 1, 0, -5), ("r", 1, 0, 10)]


def test_back_boring_by_centre_words() -> None:
    """NISTIR 6556, 3.5.16.9"""
    e = run(START + "G98 G87 X1. Y0 Z-10. R2. I1. J0 K-5. F100", NIST)

    assert ends(e)[1:] == [
        ("r", 1, 0, 10), ("r", 1, 0, 2), ("r", 2, 0, 2), ("r", 2, 0, -10), ("r", 1, 0, -10), ("f", 1, 0, -5), ("f", 1, 0, -10),
        ("r", 2, 0, -10), ("r", 2, 0, 10), ("r", 1, 0, 10),
    ]  # fmt: skip


def test_fine_boring_leaves_the_wall_before_it_rises() -> None:
    e = run(START + "G98 G76 X1. Y0 Z-5. R2. I0.5 J0 F100")

    assert ends(e)[3:] == [("f", 1, 0, -5), ("r", 1.5, 0, -5), ("r", 1.5, 0, 10), ("r", 1, 0, 10)]


def test_left_hand_tapping_turns_the_other_way() -> None:
    e = run(SAFE + "S500 M4\nG0 X0 Y0 Z10.\nG99 G74 X1. Z-5. R2. F500")

    assert [event.direction for event in events(e, "spindle")] == ["counterclockwise", "clockwise", "counterclockwise"]


def test_peck_tapping_reverses_at_every_peck() -> None:
    e = run(START + "G99 G84 X1. Z-10. R2. Q6. F1000")

    assert z_of(e, "f") == [-4, 2, -10, 2]
    assert len(events(e, "spindle")) == 5


def test_a_rigid_tap_code_and_its_speed() -> None:
    e = run(SAFE + "G0 X0 Y0 Z10.\nM29 S800\nG99 G84 X1. Z-10. R2. F1000\nG80")

    assert e.modal(2).rpm == 800
    assert e.cycles[0].code == 84


def test_dwell_at_the_bottom() -> None:
    assert [event.seconds for event in events(run(START + "G82 X1. Z-5. R2. P500 F100\nX2."), "dwell")] == [0.5, 0.5]
    assert [event.seconds for event in events(run(START + "G81 X1. Z-5. R2. P500 F100"), "dwell")] == []


def test_a_peck_without_a_point_is_not_five_metres() -> None:
    e = run(START + "G83 X1. Z-40. R2. Q5000 F200\nX2.")

    assert e.cycles[0].pecks[:2] == (-3, -8)
    assert len(e.cycles[0].pecks) == 9
    assert len(e.cycles) == 1
    assert "assumed-increments" in note_ids(e)


def test_where_least_increments_are_the_rule_it_is_no_assumption() -> None:
    e = run(START + "G83 X1. Z-40. R2. Q5000 F200", LEAST)

    assert e.cycles[0].pecks[:2] == (-3, -8)
    assert "assumed-increments" not in note_ids(e)


def test_a_peck_cycle_without_a_peck_depth_is_one_stroke_and_says_so() -> None:
    e = run(START + "G83 X1. Z-40. R2. F200")

    assert e.cycles[0].pecks == (-40,)
    assert "peck-without-depth" in note_ids(e)


def test_a_cycle_without_its_heights_has_unknown_heights() -> None:
    e = run(START + "G81 X1. Z-40. F200\nG80\nG0 Z5.")

    assert "incomplete-cycle" in note_ids(e)
    assert math.isnan(e.cycles[0].top)
    assert ends(e)[-1] == ("r", 1, 0, 5)


def test_an_unknown_start_height_is_not_guessed() -> None:
    e = run(SAFE + "G0 X0 Y0\nG98 G81 X1. Z-5. R2. F100")

    assert ends(e)[1:] == [("r", 1, 0, None), ("r", 1, 0, 2), ("f", 1, 0, -5), ("r", 1, 0, None)]


def test_the_return_level_is_assumed_only_where_it_matters() -> None:
    assert "assumed-return-level" in note_ids(run("G21 G17 G90 G94 G0 Z10.\nG81 X1. Z-5. R2. F100"))
    assert "assumed-return-level" not in note_ids(run("G21 G17 G90 G94 G0 Z2.\nG81 X1. Z-5. R2. F100"))


def test_rows_of_a_hole_are_its_moves() -> None:
    e = run(START + "G99 G83 X1. Z-10. R2. Q4. F100\nX2.\nG91 X1. L2")
    h = e.cycle_holes

    for number in range(len(h)):
        rows = range(h.first[number], h.last[number] + 1)
        assert all(e.moves.cycle[row] == number for row in rows)
        assert e.moves.x[rows[-1]] == h.x[number]
    assert (e.moves.cycle >= 0).sum() == sum(h.last - h.first + 1)


def test_g80_with_a_position_does_not_drill() -> None:
    e = run(START + "G99 G81 X1. Z-5. R2. F100\nG80 X10.")

    assert len(e.cycle_holes) == 1
    assert ends(e)[-1] == ("r", 10, 0, 2)


def test_a_cycle_follows_a_rotation() -> None:
    e = run(START + "G68 X0 Y0 R90.\nG99 G81 X10. Y0 Z-5. R2. F100\nG91 X5. L2\nG90 G69")

    assert [(round(x, 6) + 0.0, round(y, 6)) for x, y in zip(e.cycle_holes.x, e.cycle_holes.y, strict=True)] == [
        (0, 10),
        (0, 15),
        (0, 20),
    ]


def test_polar_bolt_circle() -> None:
    e = run(START + "G16\nG99 G81 X10. Y0 Z-5. R2. F100\nG91 Y90. K3\nG90 G80 G15")

    found = [(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in zip(e.cycle_holes.x, e.cycle_holes.y, strict=True)]
    assert found == [(10, 0), (0, 10), (-10, 0), (0, -10)]


@pytest.mark.parametrize("dialect", [WA, NIST, OPEN])
def test_cycles_of_a_series_share_their_parameters(dialect: str) -> None:
    e = run(START + "G99 G81 X1. Y0 Z-5. R2. F100\n" + "".join(f"X{x}.\n" for x in range(2, 50)), dialect)

    assert len(e.cycles) == 1
    assert len(e.cycle_holes) == 49


@pytest.mark.parametrize("dialect", [WA, LEAST, NIST, OPEN])
@pytest.mark.parametrize("head", ["G90 G98", "G90 G99", "G91 G98", "G91 G99"])
@pytest.mark.parametrize(
    "cycle", ["G81 Z-5. R2.", "G83 Z-9. R2. Q3.", "G73 Z-9. R2. Q3.", "G82 Z-5. R2. P100", "G84 Z-5. R2.", "G85 Z-5. R2."]
)
def test_further_holes_of_a_series_are_what_their_blocks_are(dialect: str, head: str, cycle: str) -> None:
    """Blocks of positions alone take a short way through the code; a comment with a message makes them take the long one."""
    positions = ["X3. Y1.", "X4.", "Y2.", "X4. Y2.", "X5.5 Y-2.", "M8", "X6.", "F200", "X7. Y7."]
    text = START + f"{head} {cycle} X1. Y1. F100\n"

    short = run(text + "\n".join(positions), dialect)
    long = run(text + "\n".join(f"{block} (MSG,x)" for block in positions), dialect)

    assert ends(short) == ends(long)
    for name in ("x0", "y0", "z0", "feed", "seconds", "block", "cycle"):
        assert getattr(short.moves, name).tolist() == pytest.approx(getattr(long.moves, name).tolist(), nan_ok=True)
    for name in ("x", "y", "z", "first", "last", "cycle", "block"):
        assert getattr(short.cycle_holes, name).tolist() == pytest.approx(getattr(long.cycle_holes, name).tolist(), nan_ok=True)


def test_many_repeats_of_a_cycle_that_moves_nothing_cost_nothing() -> None:
    e = run("G21 G17 G91 G94 G98\nG81 X1. L999999999 F100")

    assert len(e.cycle_holes) < 5


@pytest.mark.parametrize("dialect", [WA, NIST])
@pytest.mark.parametrize(
    "cycle",
    [
        "G81 Z-20. R2. F100", "G82 Z-20. R2. P500 F100", "G83 Z-20. R2. Q6. F100", "G73 Z-20. R2. Q6. F100", "G74 Z-20. R2. F100",
        "G84 Z-20. R2. F100", "G84 Z-20. R2. P500 F100", "G85 Z-20. R2. F100", "G86 Z-20. R2. P500 F100", "G89 Z-20. R2. P500 F100",
    ],
)  # fmt: skip
def test_further_holes_are_made_as_the_first_one_was(cycle: str, dialect: str, monkeypatch: pytest.MonkeyPatch) -> None:
    text = SAFE + f"S500 M3\nG0 X0 Y0 Z10.\n{cycle} X5. Y5.\nX10.\nX10. Y20.\nS600\nY30.\nX40.\nM9\nX50.\nG80\nM30\n"
    short = run(text, dialect)
    monkeypatch.setattr(drilling, "drill_again", lambda control, x, y: False)
    close = run(text, dialect)

    assert short.events == close.events
    assert (short.spans, short.cycles, note_ids(short)) == (close.spans, close.cycles, note_ids(close))
    for columns, others in ((short.moves, close.moves), (short.cycle_holes, close.cycle_holes)):
        for name, column in vars(columns).items():
            if isinstance(column, np.ndarray):
                np.testing.assert_array_equal(column, getattr(others, name), err_msg=name)
