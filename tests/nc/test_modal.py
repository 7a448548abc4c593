"""Modal state: what is stated, what is assumed, what becomes unknown."""

import math

import pytest

from tests.nc.running import LEAST, NIST, OPEN, SAFE, WA, ends, events, note_ids, run


def test_an_inch_program_gives_millimetres() -> None:
    e = run("G20 G90 G94 G1 X1. F10.")

    assert ends(e) == [("f", 25.4, None, None)]
    assert e.moves.feed[0] == 254


def test_changing_the_unit_keeps_the_place() -> None:
    e = run("G20 G90 G0 X1. Y0 Z0\nG21 G91 X1.")

    assert ends(e)[-1] == ("r", 26.4, 0, 0)


def test_what_a_program_does_not_state_is_assumed_and_noted_once() -> None:
    e = run("G0 X1. Y1.\nG1 Z-1. F100\nX5.\nX6.")

    assert {"assumed-units", "assumed-distance", "assumed-feed-mode"} <= note_ids(e)
    assert [note.count for note in e.notes if note.id == "assumed-units"] == [1]
    assert run(SAFE + "G0 X1.\nG1 Z-1. F100\nM30").notes == ()


def test_an_axis_word_before_any_motion_code_is_a_rapid_where_the_dialect_says_so() -> None:
    assert ends(run(SAFE + "X1."))[0][0] == "r"
    assert ends(run(SAFE + "X1.", NIST)) == []
    assert "assumed-motion" in note_ids(run(SAFE + "X1.", NIST))


def test_g91_after_a_reference_return_stays_active() -> None:
    """The classic crash: G91 G28 Z0 without a G90 behind it."""
    e = run(SAFE + "G0 X10. Y10. Z5.\nG91 G28 Z0.\nX5.")

    assert ends(e)[-1] == ("r", 15, 10, None)


@pytest.mark.parametrize("block", ["G28 G91 Z0.", "G91 G28 Z0", "G0 G28 G91 Z0."])
def test_a_reference_return_makes_only_its_axis_unknown(block: str) -> None:
    e = run(SAFE + f"G0 X10. Y20. Z5.\n{block}")

    assert ends(e)[1:] == [("r", 10, 20, None)]
    assert events(e, "reference")[0].words == {"Z": 0.0}


def test_a_reference_return_by_way_of_a_point_goes_there_first() -> None:
    e = run(SAFE + "G0 X10. Y20. Z5.\nG28 X0. Y0.")

    assert ends(e)[1:] == [("r", 0, 0, 5), ("r", None, None, 5)]


def test_in_rs274_of_2000_a_reference_return_moves_every_axis() -> None:
    assert ends(run(SAFE + "G0 X10. Y20. Z5.\nG91 G28 Z0.", NIST))[-1] == ("r", None, None, None)
    assert ends(run(SAFE + "G0 X10. Y20. Z5.\nG91 G28 Z0.", OPEN))[-1] == ("r", 10, 20, None)


def test_machine_coordinates_are_not_known_in_program_coordinates() -> None:
    e = run(SAFE + "G0 X10. Y20. Z5.\nG53 G0 Z0\nG0 Z50.")

    assert ends(e)[1:] == [("r", 10, 20, None), ("r", 10, 20, 50)]


def test_another_work_offset_makes_the_position_unknown() -> None:
    e = run(SAFE + "G54 G0 X1. Y1. Z1.\nG55\nG0 X2.")

    assert ends(e)[-1] == ("r", 2, None, None)
    assert e.modal(1).work_offset == "G55"


def test_another_work_offset_is_followed_when_both_are_set_in_the_program() -> None:
    e = run(SAFE + "G10 L2 P1 X100. Y0 Z0\nG10 L2 P2 X150. Y0 Z0\nG54 G0 X1. Y1. Z1.\nG55 G91 X0.")

    assert ends(e)[-1] == ("r", -49, 1, 1)


def test_stating_the_offset_that_is_in_force_anyway_changes_nothing() -> None:
    e = run(SAFE + "G54 G91 G0 X1.", start=(1, 2, 3))

    assert ends(e) == [("r", 2, 2, 3)]


def test_a_local_shift_gives_the_place_another_number_and_another_name() -> None:
    e = run(SAFE + "G54 G0 X10. Y0 Z0\nG52 X3.\nG91 G0 Y1.\nG90 G52 X0\nG91 Y1.")

    assert ends(e)[1:] == [("r", 7, 1, 0), ("r", 10, 2, 0)]
    assert [e.modal(row).work_offset for row in (0, 1, 2)] == ["G54", "G54 shifted X3", "G54"]


def test_a_preset_position_may_be_cancelled_suspended_and_restored() -> None:
    e = run(SAFE + "G0 X4 Y0 Z0\nG92 X7\nG0 Y1\nG92.2\nG0 Y2\nG92.3\nG0 Y3\nG92.1\nG0 Y4", NIST)

    assert [x for _, x, _, _ in ends(e)] == [4, 7, 4, 7, 4]


def test_a_spindle_speed_limit_is_no_shift() -> None:
    e = run(SAFE + "S1000 M3\nG0 X4. Y0 Z0\nG92 S2000\nG50 S1500\nG91 X1.")

    assert ends(e)[-1] == ("r", 5, 0, 0)
    assert e.modal(1).rpm == 1000


def test_a_length_offset_makes_z_another_number() -> None:
    e = run(SAFE + "G0 X0 Y0 Z50.\nG43 H1\nG1 Z5. F100\nG43 H1 Z2.")

    assert math.isnan(e.moves.z0[1])
    assert e.moves.z0[2] == 5
    assert e.modal(1).length_offset == "H1"


def test_a_known_length_offset_is_followed() -> None:
    e = run(SAFE + "G10 L10 P1 R100.\nG0 X0 Y0 Z150.\nG43 H1\nG91 Z-10.\nG49 Z0")

    assert e.moves.z0[1] == 50
    assert ends(e)[1:] == [("r", 0, 0, 40), ("r", 0, 0, 140)]


def test_feed_per_revolution_follows_the_speed() -> None:
    e = run(SAFE + "G95 S1000 M3\nG1 X10. F0.1\nS2000\nX20.")

    assert e.moves.feed.tolist() == [100, 200]


def test_a_feed_does_not_carry_over_into_another_feed_mode() -> None:
    e = run(SAFE + "S1000 M3\nG1 X10. F100\nG95 X20.\nM30")

    assert math.isnan(e.moves.feed[1])
    assert note_ids(e) == {"no-feed"}


def test_side_compensation_is_told_and_the_programmed_path_kept() -> None:
    e = run(SAFE + "G41 D3 G1 X10. Y0 F100\nG40 X0")

    assert [e.modal(row).side_compensation for row in (0, 1)] == ["G41 D3", ""]
    assert ends(e)[0] == ("f", 10, 0, None)


def test_rotation_turns_positions_and_arcs() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG68 X0 Y0 R90.\nG1 X10. F100\nG2 X20. I5. J0\nG69\nG1 X0 Y0")

    assert ends(e)[1:] == [("f", 0, 10, 0), ("cw", 0, 20, 0), ("f", 0, 0, 0)]
    assert (round(e.moves.arcs.x[0], 6), round(e.moves.arcs.y[0], 6)) == (0, 15)


def test_mirroring_turns_arcs_over() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG51.1 X0\nG1 X10. F100\nG2 X20. Y10. J10. I0\nG50.1 X0\nG1 X1.")

    assert ends(e)[1:] == [("f", -10, 0, 0), ("ccw", -20, 10, 0), ("f", 1, 10, 0)]


def test_scaling_grows_around_its_centre() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG51 X0 Y0 P2.\nG1 X10. F100\nG3 X20. R5.\nG50\nG1 X0")

    assert ends(e)[1:] == [("f", 20, 0, 0), ("ccw", 40, 0, 0), ("f", 0, 0, 0)]
    assert e.moves.arcs.radius[0] == 10


def test_unequal_scaling_of_an_arc_is_not_guessed_at() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG51 X0 Y0 Z0 I2. J1. K1.\nG2 X10. I5. F100")

    assert math.isnan(e.moves.seconds[1])
    assert "not-simulated" in note_ids(e)


def test_polar_positions() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG16\nG0 X10. Y90.\nY180.\nG91 Y90.\nG90 G15\nG0 X1. Y1.")

    assert ends(e)[1:] == [("r", 0, 10, 0), ("r", -10, 0, 0), ("r", 0, -10, 0), ("r", 1, 1, 0)]


def test_a_tilted_plane_makes_positions_unknown_until_it_ends_and_a_position_is_stated() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0\nG68.2 X0 Y0 Z0 I0 J30. K0\nG0 X1. Y1. Z1.\nG69\nG0 X1. Y1.")

    assert ends(e)[1:] == [("r", None, None, None), ("r", 1, 1, None)]
    assert "not-simulated" in note_ids(e)


def test_an_unknown_code_makes_only_its_axes_unknown_and_is_told_once() -> None:
    e = run(SAFE + "G0 X1. Y1. Z1.\nG321 X5.\nG321 X6.\nG0 Y2.")

    assert ends(e) == [("r", 1, 1, 1), ("r", None, 2, 1)]
    assert [(note.id, note.count, note.affects) for note in e.notes if note.id == "unknown-code"] == [("unknown-code", 2, ("x",))]


@pytest.mark.parametrize("block", ["G5.1 Q1", "G187 P2 E.01", "G8 P1", "G9", "G64 P0.01"])
def test_codes_without_axes_change_no_position(block: str) -> None:
    e = run(SAFE + f"G0 X1. Y1. Z1.\n{block}\nG91 X1.")

    assert ends(e)[-1] == ("r", 2, 1, 1)


@pytest.mark.parametrize(
    "block", ["G71 P10 Q20 U.5 W.1 F.3", "G76 P010060 Q100 R.05", "G74 R1.", "G73 U1. W1. R3", "G70 P10 Q20"]
)
def test_turning_cycles_are_recognised_and_never_drilled(block: str) -> None:
    e = run(SAFE + f"G0 X50. Z2.\n{block}")

    assert "lathe-code" in note_ids(e)
    assert len(e.cycle_holes) == 0
    assert ends(e)[-1][1] is None


def test_incremental_words_of_a_lathe_are_not_taken_for_nothing() -> None:
    e = run(SAFE + "G0 X50. Z2.\nG0 U5. W1.")

    assert ends(e)[-1] == ("r", None, None, None)
    assert [note.affects for note in e.notes if note.id == "unknown-word"] == [("x",), ("z",)]


def test_a_lathe_reference_return_is_one() -> None:
    e = run(SAFE + "G0 X50. Y0 Z2.\nG28 U0 W0")

    assert ends(e)[1:] == [("r", None, 0, None)]


def test_constant_surface_speed_makes_the_spindle_speed_unknown() -> None:
    e = run(SAFE + "G97 S500 M3\nG0 X1.\nG96 S200\nG0 X2.\nG97 S600\nG0 X3.")

    assert [e.modal(row).rpm for row in (0, 1, 2)] == [500, None, 600]


def test_two_codes_of_one_group_are_told_and_the_last_counts() -> None:
    e = run(SAFE + "G0 G1 X1. F100")

    assert ends(e)[0][0] == "f"
    assert "conflicting-codes" in note_ids(e)


def test_rotary_axes_have_columns_of_their_own_and_their_own_time() -> None:
    e = run(SAFE + "G0 X0 Y0 Z0 A0\nG1 A90. F360\nX10.")

    assert e.moves.a is not None
    assert e.moves.a.tolist() == [0, 90, 90]
    assert e.moves.seconds[1] == pytest.approx(15)
    assert run(SAFE + "G0 X1.").moves.a is None


@pytest.mark.parametrize(("block", "feed"), [("G94 F100", 100), ("G94 F100.", 100), ("G95 F1000", 100), ("G95 F0.1", 100)])
def test_a_feed_without_a_point_counts_what_the_least_increment_record_says(block: str, feed: float) -> None:
    """feed table of a control's connection manual: 1 mm/min, 0.0001 mm/rev"""
    e = run(SAFE + f"S1000 M3\n{block}\nG1 X1.", LEAST)

    assert e.moves.feed[0] == pytest.approx(feed)


def test_an_inch_least_increment_is_a_ten_thousandth() -> None:
    e = run("G20 G90 G94\nG0 X10\nX10.", LEAST)

    assert [x for _, x, _, _ in ends(e)] == [pytest.approx(0.0254), 254]


def test_the_unit_of_the_block_itself_counts_for_its_words() -> None:
    assert ends(run("G20 G90\nG21 G0 X1000", LEAST))[0][1] == 1.0
    assert ends(run("G21 G90\nG0 G20 X1.", WA))[0][1] == 25.4


@pytest.mark.parametrize("block", ["G0 G17 G40 G80 G90 X5.", "G80 G0 X5."])
def test_a_cancel_beside_a_rapid_ends_the_cycle_and_the_rapid_moves(block: str) -> None:
    e = run(SAFE + f"G0 X0 Y0 Z5.\nG81 X1. Z-5. R2. F100\n{block}\nX6.\nM30")

    assert ends(e)[-2:] == [("r", 5, 0, 5), ("r", 6, 0, 5)]
    assert len(e.cycle_holes) == 1
    assert "conflicting-codes" not in note_ids(e)


def test_a_length_offset_of_another_tool_is_told() -> None:
    told = [
        note
        for note in run(SAFE + "T2 M6\nG43 H3 Z10.\nG43 H3 Z20.\nT3 M6\nG43 H3 Z5.\nG49").notes
        if note.id == "other-length-offset"
    ]

    assert [(note.says[:2], note.count) for note in told] == [("T2", 2)]


def test_the_length_offset_of_a_tool_that_is_only_called_asks_for_its_tool_change() -> None:
    called, other = (
        next(note for note in run(SAFE + f"T2 M6\nT{tool}\nG43 H3 Z10.\nG49").notes if note.id == "other-length-offset")
        for tool in (3, 4)
    )

    assert called.do == "write M6 to bring T3, which is only called; or H2, if T2 is meant"
    assert other.do == "write H2, or make sure that H3 holds this tool's length"
