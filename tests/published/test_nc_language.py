"""Worked examples of the programming language, each beside its source. The names CV-… number them.

NIST      T. Kramer, F. Proctor, E. Messina, "The NIST RS274NGC Interpreter - Version 3", NISTIR 6556, 2000
open      documentation and test suite of an open machine controller, 2026 (programs with their expected canonical calls)
1999      programming guide of a vertical machining centre, June 1999, pp. 185, 191, 217, 365
derived   arithmetic from the rules of the sources above
"""

import math

import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.moves import Execution, Kind
from coolcheck.nc.program import Program

Move = tuple[float | str, ...]
INCH = 25.4
NIST, OPEN, WA = "rs274-ngc", "rs274-open", "word-address-mill"


def run(text: str, dialect: str = NIST, start: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Execution:
    return interpret(Program.read(text.encode(), "p.nc", load_dialect(dialect)), start=start)


def moves(execution: Execution, unit: float = 1.0) -> list[Move]:
    """Moves and dwells in order: ("r", x, y, z), ("f", x, y, z), ("w", seconds)."""
    rows: list[Move] = []
    dwells = [e for e in execution.events if e.kind == "dwell"]
    m = execution.moves
    for row in range(len(m) + 1):
        while dwells and dwells[0].row <= row:
            rows.append(("w", dwells.pop(0).seconds))
        if row < len(m):
            letter = "r" if m.kind[row] == Kind.RAPID else "f"
            rows.append((letter, *(round(float(c[row]) / unit, 6) + 0.0 for c in (m.x, m.y, m.z))))
    return rows


def notes(execution: Execution) -> set[str]:
    return {note.id for note in execution.notes}


def heights(execution: Execution, kind: Kind, unit: float = 1.0) -> list[float]:
    """End heights of the moves of that kind."""
    m = execution.moves
    return [round(float(z) / unit, 6) for z, k in zip(m.z, m.kind, strict=True) if k == kind]


def holes(execution: Execution, unit: float = 1.0) -> list[tuple[float, float]]:
    h = execution.cycle_holes
    return [(round(float(x) / unit, 6) + 0.0, round(float(y) / unit, 6) + 0.0) for x, y in zip(h.x, h.y, strict=True)]


def r(*xyz: float) -> Move:
    return ("r", *map(float, xyz))


def f(*xyz: float) -> Move:
    return ("f", *map(float, xyz))


# ------------------------------------------------------------------ canned cycles


@pytest.mark.parametrize("dialect", [NIST, OPEN, WA])
def test_cv_1_one_hole_in_g98(dialect: str) -> None:
    """NIST 3.5.16.2, example 1."""
    e = run("F10\nG90 G81 G98 X4 Y5 Z1.5 R2.8", dialect, start=(1, 2, 3))

    assert moves(e) == [r(4, 5, 3), r(4, 5, 2.8), f(4, 5, 1.5), r(4, 5, 3)]


@pytest.mark.parametrize("dialect", [NIST, OPEN, WA])
def test_cv_1_in_g99_ends_at_r(dialect: str) -> None:
    """derived from NIST 3.5.16.2, example 1"""
    e = run("F10\nG90 G81 G99 X4 Y5 Z1.5 R2.8", dialect, start=(1, 2, 3))

    assert moves(e) == [r(4, 5, 3), r(4, 5, 2.8), f(4, 5, 1.5), r(4, 5, 2.8)]


@pytest.mark.parametrize("dialect", [NIST, OPEN, WA])
def test_cv_2_three_holes_in_g91(dialect: str) -> None:
    """NIST 3.5.16.2, example 2."""
    e = run("F10\nG91 G81 G98 X4 Y5 Z-0.6 R1.8 L3", dialect, start=(1, 2, 3))

    expected = [r(1, 2, 4.8)]
    for x, y in ((5, 7), (9, 12), (13, 17)):
        expected += [r(x, y, 4.8), f(x, y, 4.2), r(x, y, 4.8)]
    assert moves(e) == expected


G81_SUITE = """G20 G17 {level} F10
G90 G81 X1 Y1 Z-1 R1
G81 X1 Y2 Z0.5 R3
G81 X1 Y3 Z4 R5
G90 G0 X10 Y0 Z2
G91 G81 X1 Y1 Z-2 R-1 L2
G90 G0 X20 Y0 Z2
G91 G81 X1 Y1 Z-2.5 R1 L2
G90 G0 X30 Y0 Z2
G91 G81 X1 Y1 Z-1 R3 L2
"""


def test_cv_3_g81_suite_in_g98() -> None:
    """open, tests/interp/g81/g17/g98"""
    e = run(G81_SUITE.format(level="G98"), OPEN, start=(0, 0, 2 * INCH))

    assert moves(e, INCH) == [
        r(1, 1, 2), r(1, 1, 1), f(1, 1, -1), r(1, 1, 2),
        r(1, 1, 3), r(1, 2, 3), f(1, 2, 0.5), r(1, 2, 3),
        r(1, 2, 5), r(1, 3, 5), f(1, 3, 4), r(1, 3, 5),
        r(10, 0, 2),
        r(11, 1, 2), r(11, 1, 1), f(11, 1, -1), r(11, 1, 2), r(12, 2, 2), r(12, 2, 1), f(12, 2, -1), r(12, 2, 2),
        r(20, 0, 2),
        r(20, 0, 3), r(21, 1, 3), f(21, 1, 0.5), r(21, 1, 3), r(22, 2, 3), f(22, 2, 0.5), r(22, 2, 3),
        r(30, 0, 2),
        r(30, 0, 5), r(31, 1, 5), f(31, 1, 4), r(31, 1, 5), r(32, 2, 5), f(32, 2, 4), r(32, 2, 5),
    ]  # fmt: skip


def test_cv_4_the_same_suite_in_g99() -> None:
    """open, tests/interp/g81/g17/g99"""
    e = run(G81_SUITE.format(level="G99"), OPEN, start=(0, 0, 2 * INCH))

    rows = moves(e, INCH)
    assert rows[3] == r(1, 1, 1)
    assert rows[13:20] == [r(11, 1, 2), r(11, 1, 1), f(11, 1, -1), r(11, 1, 1), r(12, 2, 1), f(12, 2, -1), r(12, 2, 1)]


def test_cv_5_drilling_along_y() -> None:
    """open, tests/interp/g81/g18/g98"""
    e = run("G20 G18 G90 G98 F10\nG81 X1 Z1 Y-1 R1", OPEN, start=(0, 2 * INCH, 0))

    assert moves(e, INCH) == [r(1, 2, 1), r(1, 1, 1), f(1, -1, 1), r(1, 2, 1)]
    assert e.cycles[0].axis == "y"


NIST_PROGRAM = """G20 G17 G90 G98 F16
G81 X3 Y4 R0.2 Z-1.1
X1 Y0 R0 G91 L3
Y-2 R0.1
G82 G90 X4 Y5 R0.2 Z-1.1 P0.6
X2 Z-3.0
G91 X-2 Y2 R0 L4
G83 G90 X5 Y6 R0.2 Z-1.1 Q0.21
"""


def test_cv_6_first_blocks_of_the_nist_canned_cycle_program() -> None:
    """NIST canned-cycle test program (text as reprinted in a public repository); moves derived with the NIST rules"""
    e = run(NIST_PROGRAM, NIST)

    rows = moves(e, INCH)
    assert rows[:4] == [r(0, 0, 0.2), r(3, 4, 0.2), f(3, 4, -1.1), r(3, 4, 0.2)]
    assert rows[4:13] == [x for at in (4, 5, 6) for x in (r(at, 4, 0.2), f(at, 4, -0.9), r(at, 4, 0.2))]
    assert rows[13:17] == [r(6, 4, 0.3), r(6, 2, 0.3), f(6, 2, -0.8), r(6, 2, 0.3)]
    assert rows[17:22] == [r(4, 5, 0.3), r(4, 5, 0.2), f(4, 5, -1.1), ("w", 0.6), r(4, 5, 0.3)]
    assert rows[22:27] == [r(2, 5, 0.3), r(2, 5, 0.2), f(2, 5, -3), ("w", 0.6), r(2, 5, 0.3)]
    four = [x for p in ((0, 7), (-2, 9), (-4, 11), (-6, 13)) for x in (r(*p, 0.3), f(*p, -2.7), ("w", 0.6), r(*p, 0.3))]
    assert rows[27:43] == four
    assert rows[43:46] == [r(5, 6, 0.3), r(5, 6, 0.2), f(5, 6, -0.01)]
    pecks = [row[3] for row in rows[43:] if row[0] == "f"]
    assert pecks == [-0.01, -0.22, -0.43, -0.64, -0.85, -1.06, -1.1]
    assert rows[46:48] == [r(5, 6, 0.3), r(5, 6, 0)]
    assert rows[-1] == r(5, 6, 0.3)
    assert feed_length(e, last_cycle(e)) / INCH == pytest.approx(1.36)


def test_cv_6_a_later_control_retracts_to_r_between_pecks() -> None:
    """derived from the later controller's documentation: intermediate retracts go to R even in G98"""
    e = run("G20 G17 G90 G98 F16\nG0 Z0.3\nG83 X5 Y6 R0.2 Z-1.1 Q0.21", OPEN)

    rapids = [row[3] for row in moves(e, INCH) if row[0] == "r"]
    assert rapids.count(0.2) == 7
    assert rapids[-1] == 0.3


def last_cycle(e: Execution) -> int:
    return len(e.cycle_holes) - 1


def feed_length(e: Execution, hole: int) -> float:
    m = e.moves
    return float(m.length[(m.cycle == hole) & (m.kind == Kind.FEED)].sum())


def rapid_length(e: Execution, hole: int) -> float:
    """Rapids along Z of a hole between R and bottom."""
    m = e.moves
    inside = (m.cycle == hole) & (m.kind == Kind.RAPID) & (m.z0 != m.z)
    return float(m.length[inside].sum())


def test_cv_7_pecks_of_a_block_with_dwell_at_the_last() -> None:
    """1999, p. 191 (block); moves derived"""
    e = run("G20 G17 G90 G99 G0 X0 Y0 Z0.1\nG83 Z-0.62 F15. R0.1 Q0.175 P5.", WA)

    assert heights(e, Kind.FEED, INCH) == [-0.075, -0.25, -0.425, -0.6, -0.62]
    dwells = [event for event in e.events if event.kind == "dwell"]
    assert [event.seconds for event in dwells] == [5.0]
    assert moves(e, INCH)[-2:] == [("w", 5.0), r(0, 0, 0.1)]


def test_cv_8_first_peck_in_the_air() -> None:
    """block from a sample output file of an open-source CAM post; moves derived"""
    e = run("G20 G17 G90 G0 X0 Y0 Z0.5\nG98 G83 X1. Y1. Z-0.3600 F10.0000 Q0.0967 R0.1181", WA)

    assert heights(e, Kind.FEED, INCH) == pytest.approx([0.0214, -0.0753, -0.172, -0.2687, -0.36])


def test_cv_9_i_j_k_pecks_of_a_real_program() -> None:
    """block from a real program of 2019 in a public repository; moves derived with the rule of 1999, pp. 185, 191"""
    e = run("G20 G17 G90 G0 X-.2552 Y.4424 Z.5\nG83 G99 Z-.245 R.105 I.04 J.04 K.04 F8. X-.2552 Y.4424\nX.2552", WA)

    expected = [0.065, 0.025, -0.015, -0.055, -0.095, -0.135, -0.175, -0.215, -0.245]
    assert heights(e, Kind.FEED, INCH) == pytest.approx(expected * 2)
    assert holes(e, INCH) == [(-0.2552, 0.4424), (0.2552, 0.4424)]


@pytest.mark.parametrize(
    ("block", "bottoms"),
    [
        ("R2 Z-40 I12 J2 K4", [-10, -20, -28, -34, -38, -40]),
        ("R.1 Z-2 I.5 J.1 K.2", [-0.4, -0.8, -1.1, -1.3, -1.5, -1.7, -1.9, -2.0]),
    ],
)
def test_cv_10_shrinking_pecks(block: str, bottoms: list[float]) -> None:
    """derived with the rule of 1999, pp. 185, 191"""
    e = run(f"G21 G17 G90 G99 G0 X0 Y0 Z2\nG83 X0 Y0 {block} F100", WA)

    assert heights(e, Kind.FEED) == pytest.approx(bottoms)


@pytest.mark.parametrize("dialect", [WA, NIST, OPEN])
def test_cv_11_pecks_and_lengths_of_a_deep_hole(dialect: str) -> None:
    """derived"""
    e = run("G21 G17 G90 G0 X0 Y0 Z2\nG99 G83 X0 Y0 Z-40. R2. Q5. F200", dialect)

    assert heights(e, Kind.FEED) == [-3, -8, -13, -18, -23, -28, -33, -38, -40]
    assert feed_length(e, 0) == pytest.approx(44.032)
    assert rapid_length(e, 0) == pytest.approx(42 + 2 * (5 + 10 + 15 + 20 + 25 + 30 + 35 + 40) - 8 * 0.254)
    assert rapid_length(e, 0) == pytest.approx(399.968)


def test_cv_11_the_same_hole_in_one_pass() -> None:
    """derived"""
    e = run("G21 G17 G90 G0 X0 Y0 Z2\nG99 G81 X0 Y0 Z-40. R2. F200", WA)

    assert (feed_length(e, 0), rapid_length(e, 0)) == (42, 42)


def test_cv_11_an_exact_multiple_makes_no_empty_peck() -> None:
    """derived"""
    e = run("G21 G17 G90 G0 X0 Y0 Z2\nG99 G83 X0 Y0 Z-18 R2 Q5. F200", WA)

    assert heights(e, Kind.FEED) == [-3, -8, -13, -18]
    assert e.cycles[0].pecks == (-3, -8, -13, -18)


def test_cv_12_tapping_reverses_the_spindle_at_the_bottom() -> None:
    """open, tests/interp/g84/g17"""
    e = run("G20 G17 G90 G98 F10\nM3 S1000\nG84 X1 Y1 Z-1 R1", OPEN, start=(0, 0, 2 * INCH))

    assert moves(e, INCH) == [r(1, 1, 2), r(1, 1, 1), f(1, 1, -1), f(1, 1, 2)]
    turns = [(event.row, event.direction) for event in e.events if event.kind == "spindle"]
    assert turns == [(0, "clockwise"), (3, "counterclockwise"), (4, "clockwise")]


def test_cv_12_on_a_word_address_control_the_tap_feeds_out_to_r_then_rapid() -> None:
    """derived from training notes on G84 (2021)"""
    e = run("G20 G17 G90 G98 F10\nM3 S1000\nG84 X1 Y1 Z-1 R1", WA, start=(0, 0, 2 * INCH))

    assert moves(e, INCH) == [r(1, 1, 2), r(1, 1, 1), f(1, 1, -1), f(1, 1, 1), r(1, 1, 2)]


def test_cv_13_rigid_tapping_goes_in_and_out_at_the_lead() -> None:
    """open, tests/interp/g33.1"""
    e = run("G20 G90\nS1000 M3\nG33.1 Z-1.2 K0.1", OPEN, start=(0, 0, 1 * INCH))

    assert moves(e, INCH) == [f(0, 0, -1.2), f(0, 0, 1)]
    assert e.moves.feed.tolist() == pytest.approx([0.1 * INCH * 1000] * 2)
    assert [event.direction for event in e.events if event.kind == "spindle"] == ["clockwise", "counterclockwise", "clockwise"]


@pytest.mark.parametrize("dialect", [NIST, OPEN])
def test_cv_14_eight_holes_in_two_series(dialect: str) -> None:
    """open documentation; moves derived"""
    text = "G20 G17 G98 F10\nG91 G81 X1 Y0 Z-1 R1 L4\nG90 G0 X0 Y1\nZ0\nG91 G81 X1 Y0 Z-0.5 R1 L4"
    e = run(text, dialect)

    assert holes(e, INCH) == [(x, y) for y in (0, 1) for x in (1, 2, 3, 4)]
    assert [(c.top / INCH, c.bottom / INCH) for c in e.cycles] == [(1, 0), (1, 0.5)]


def test_cv_15_twelve_holes_around_a_square() -> None:
    """positions: open documentation; heights derived with the NIST rules"""
    e = run("G20 G17 G98 F10\nG91 G81 X1 Y0 Z-0.5 R1 L4\nX0 Y1 R0 L3\nX-1 Y0 L3\nX0 Y-1 L2", NIST)

    around = [(1, 0), (2, 0), (3, 0), (4, 0), (4, 1), (4, 2), (4, 3), (3, 3), (2, 3), (1, 3), (1, 2), (1, 1)]
    assert holes(e, INCH) == around
    assert {(c.top / INCH, c.bottom / INCH) for c in e.cycles} == {(1, 0.5)}


def test_cv_16_a_cycle_in_a_repeated_subprogram() -> None:
    """open, tests m98m99/01-basics"""
    text = "G20 G17 F10\nM98 P1 L3\nM2\nO1\nG91 G0 X1\nG90 G99 G81 Z-1.0 R0.25\nG80\nM99\n"
    e = run(text, OPEN, start=(0, 0, 0.25 * INCH))

    expected = [row for x in (1, 2, 3) for row in (r(x, 0, 0.25), f(x, 0, -1), r(x, 0, 0.25))]
    assert moves(e, INCH) == expected


# -------------------------------------------------------------------------- arcs


def arc(e: Execution) -> tuple[float, float, float, float]:
    a = e.moves.arcs
    return tuple(round(float(v[0]), 6) + 0.0 for v in (a.x, a.y, a.radius, a.sweep))  # type: ignore[return-value]


def test_cv_17_centre_from_increments_of_i_and_j() -> None:
    """NIST 3.5.3.2"""
    e = run("G21 G90 F100\nG17 G2 X10 Y16 I3 J4 Z9", NIST, start=(7, 7, 0))

    assert arc(e)[:3] == (10, 11, 5)
    assert e.moves.kind[0] == Kind.ARC_CW
    sweep = math.atan2(-4, -3) - math.atan2(5, 0) + 2 * math.pi
    assert e.moves.length[0] == pytest.approx(math.hypot(5 * sweep, 9))


@pytest.mark.parametrize(("block", "centre"), [("G2 X1 Y1 I1", (1, 0)), ("G2 X0 Y1 I1 J0.5", (1, 0.5))])
def test_cv_17_one_of_the_two_may_be_left_out(block: str, centre: tuple[float, float]) -> None:
    """open documentation"""
    e = run(f"G21 G17 G90 F100\n{block}", OPEN)

    assert arc(e)[:2] == centre


ROOT = math.sqrt(2)


@pytest.mark.parametrize(
    ("block", "is_good"),
    [
        (f"G20 G2 X5 Y0 I{2.5 - 0.00099 * ROOT:.9f}", True),
        (f"G20 G2 X5 Y0 I{2.5 - 0.00101 * ROOT:.9f}", False),
        (f"G21 G2 X50 Y0 I{25 - 0.0099 * ROOT:.9f}", True),
        (f"G21 G2 X50 Y0 I{25 - 0.0101 * ROOT:.9f}", False),
        ("G20 G2 X200 I99.95", True),
        ("G20 G2 X200 I99.85", False),
    ],
)
def test_cv_18_how_far_the_end_of_an_arc_may_lie_off_its_circle(block: str, is_good: bool) -> None:
    """open, tests arc-radius-tolerance, good and bad"""
    e = run(f"G17 G90 F1\n{block}", OPEN)

    assert ("arc-radius-mismatch" not in notes(e)) == is_good
    assert math.isnan(e.moves.seconds[0]) != is_good


@pytest.mark.parametrize(("miss", "is_good"), [(0.0019, True), (0.0021, False)])
def test_the_nist_limit_of_two_micrometres(miss: float, is_good: bool) -> None:
    """NIST 3.5.3.2: 0.002 mm"""
    e = run(f"G21 G17 G90 F1\nG2 X10 Y0 I{5 + miss / 2:.6f}", NIST)

    assert ("arc-radius-mismatch" not in notes(e)) == is_good


@pytest.mark.parametrize(
    ("block", "centre", "sweep"),
    [
        ("G2 X10 Y0 R5", (5, 0), 180),
        ("G2 X5 Y5 R5", (5, 0), 90),
        ("G2 X5 Y5 R-5", (0, 5), 270),
        ("G3 X5 Y5 R5", (0, 5), 90),
        ("G3 X5 Y5 R-5", (5, 0), 270),
    ],
)
def test_the_sign_of_r_chooses_the_short_or_the_long_arc(block: str, centre: tuple[float, float], sweep: float) -> None:
    """NIST 3.5.3.1: more than 180 degrees when R is negative; numbers derived"""
    e = run(f"G21 G17 G90 F100\n{block}", NIST)

    assert arc(e)[:2] == centre
    assert math.degrees(arc(e)[3]) == pytest.approx(sweep, abs=1e-4)


def test_a_full_circle_by_its_centre() -> None:
    """open documentation: end = start with I J K"""
    e = run("G21 G17 G90 F100\nG2 X0 Y0 I-5.", OPEN)

    assert e.moves.length[0] == pytest.approx(2 * math.pi * 5)


def test_an_arc_in_the_zx_plane_turns_as_seen_from_plus_y() -> None:
    """NIST 3.5.3: seen from the positive end of the axis normal to the plane; with Z to X positive, numbers derived"""
    e = run("G21 G18 G90 F100\nG2 X0 Z10 I-10 K0", NIST, start=(10, 0, 0))

    assert e.moves.arcs.sweep[0] == pytest.approx(math.radians(90))
    assert (e.moves.arcs.x[0], e.moves.arcs.z[0]) == (0, 0)
    assert math.isnan(e.moves.arcs.y[0])


# ----------------------------------------------------------------------- tapping


@pytest.mark.parametrize(
    ("pitch", "rpm", "feed", "unit"),
    [(1.25, 600, 750, 1.0), (1.25, 100, 125, 1.0), (1.25, 800, 1000, 1.0), (INCH / 20, 700, 35, INCH), (0.5, 300, 150, 1.0)],
)
def test_cv_19_feed_of_a_tap_is_speed_times_pitch(pitch: float, rpm: float, feed: float, unit: float) -> None:
    """tapping basics (M8x1.25 at 600, 800 rpm); open documentation (S100); "CNC Manufacturing Technology", 2021, p. 201 (1/4-20);
    NIST 3.5.16.7 (2 threads/mm, F150, S300)"""
    e = run(f"G21 G95 G90 G98\nM3 S{rpm}\nF{pitch}\nG1 Z-10", OPEN)

    assert e.moves.feed[0] / unit == pytest.approx(feed)


@pytest.mark.parametrize(
    ("text", "revolutions"), [("G20 G90\nS100 M3\nG33 Z-1 K.0625", 16), ("G21 G90\nS100 M3\nG33 Z-15 K1.5", 10)]
)
def test_cv_19_revolutions_of_a_thread(text: str, revolutions: float) -> None:
    """open documentation"""
    e = run(text, OPEN)

    assert e.moves.seconds[0] / 60 * 100 == pytest.approx(revolutions)


# -------------------------------------------------------------------- dwell, words


@pytest.mark.parametrize(
    ("block", "dialect", "seconds"),
    [
        ("G4 P0.5", NIST, 0.5),  # NIST 3.5.4
        ("G04 P1200", WA, 1.2),  # training notes on G04
        ("G04 P300", WA, 0.3),  # "Programming of CNC Machines", 4th ed., p. 209
        ("G04 X1.5", WA, 1.5),  # from memory
        ("G04 P1.", WA, 1.0),  # code list of a vertical machining centre
        ("G04 P1000", WA, 1.0),
        ("G04 U0.5", WA, 0.5),  # from memory
    ],
)
def test_the_time_of_a_dwell(block: str, dialect: str, seconds: float) -> None:
    e = run(f"G21 G90 G0 X5\n{block}\nG91 X1", dialect)

    assert [event.seconds for event in e.events if event.kind == "dwell"] == [pytest.approx(seconds)]
    assert e.moves.x.tolist() == [5, 6]


def test_inverse_time_feed_ends_the_block_in_one_f_th_of_a_minute() -> None:
    """NIST 3.5.19: F2 is half a minute"""
    e = run("G21 G90 G93\nG1 X10 F2", NIST)

    assert e.moves.seconds[0] == pytest.approx(30)
    assert e.moves.feed[0] == pytest.approx(20)


@pytest.mark.parametrize(
    ("dialect", "mm"),
    [("word-address-mill-least-increment", 12.345), (WA, 12345.0)],
)
def test_a_number_without_a_point(dialect: str, mm: float) -> None:
    """programming manual of a milling control, pp. 28-29: X12345 is 12.345 mm (increments of 1 um) or 12345 mm"""
    e = run("G21 G90 G0 X12345\nX123.45", dialect)

    assert e.moves.x.tolist() == [pytest.approx(mm), 123.45]


def test_a_value_from_a_variable_counts_units_not_increments() -> None:
    """the same, p. 29: 123 in a variable, X#111, gives 123.000 mm in all modes"""
    e = run("G21 G90 G0\n#111=123\nX#111", "word-address-mill-least-increment")

    assert e.moves.x[-1] == 123


# --------------------------------------------------------------------- coordinates


def test_g92_offsets_add_up() -> None:
    """NIST 3.5.18: at X4, G92 X7 makes the offset -3; then G92 X9 makes it -5"""
    e = run("G21 G90 G0 X4\nG92 X7\n#1=#5211\nG92 X9\n#2=#5211\nG0 X#1\nG0 X#2", NIST)

    assert e.moves.x.tolist() == [4, -3, -5]
    assert e.moves.x0[1] == 9


# -------------------------------------------------------------- expressions, calls


@pytest.mark.parametrize(
    ("text", "x"),
    [
        ("G0 X[2.0 / 3 * 1.5 - 5.5 / 11.0]", [0.5]),
        ("#3=15\n#3=6 G0 X#3\nX#3", [15, 6]),
        ("#3=15 #3=6\nG0 X#3", [6]),
        ("#3=3\nG0 X[1 + ACOS[0] - [#3 ** [4.0/2]]]", [82]),
        ("G0 X +0. 12 34", [0.1234]),
        ("G[2-1] X1 F100", [1]),
    ],
)
def test_expressions_of_the_report(text: str, x: list[float]) -> None:
    """NIST 3.3.2; the value of the last expression derived"""
    e = run(f"G21 G90\n{text}", NIST)

    assert e.moves.x.tolist() == pytest.approx(x)


@pytest.mark.parametrize(
    ("call", "runs", "program"),
    [("M98 P51002", 5, 1002), ("M98 P68003", 6, 8003), ("M98 P1000 L5", 5, 1000), ("M98 P1234", 1, 1234)],
)
def test_repeat_counts_of_a_call(call: str, runs: int, program: int) -> None:
    """operator's manual of a milling control, 12.3 (P51002, P1234); a concise guide, p. 86 (P68003); 1999, p. 217 (L5)"""
    e = run(f"G21 G91\n{call}\nM30\nO{program}\nG0 X1.\nM99\n", WA)

    assert len(e.moves) == runs


def test_a_local_subprogram_by_sequence_number() -> None:
    """1999, p. 217"""
    e = run("G21 G91\nM97 P1000 L5\nM30\nN1000 G0 X1.\nM99\n", WA)

    assert e.moves.x[-1] == 5


def test_arguments_of_a_macro_call() -> None:
    """1999, p. 365 and an operator's manual, p. 278: A1.0 B2.0 I-3.0 I4.0 D5.0 gives #1=1 #2=2 #4=-3 #7=5"""
    e = run("G21 G90\nG65 A1.0 B2.0 I-3.0 I4.0 D5.0 P1000\nM30\nO1000\nG0 X#1\nX#2\nX#4\nX#7\nM99\n", WA)

    assert e.moves.x.tolist() == [1, 2, -3, 5]


def test_nested_repeated_subprograms_count_up() -> None:
    """open, tests m98m99: O100 adds 1 and calls O200 five times adding .01; M98 P100 L5 gives 5.25"""
    text = "G21 G90\n#31=0\nM98 P100 L5\nG0 X#31\nM2\nO100\n#31=[#31+1]\nM98 P200 L5\nM99\nO200\n#31=[#31+.01]\nM99\n"
    e = run(text, OPEN)

    assert e.moves.x[-1] == pytest.approx(5.25)


# ------------------------------------------------------------------- order in a block


def test_m9_acts_before_the_motion_of_its_block_in_rs274_and_after_it_by_the_iso_classes() -> None:
    """NIST table 8, step 8; ISO 6983-1 classes, from memory"""
    text = "G21 G90 F100\nG1 X1 M9"

    before = [(event.row, event.after_move) for event in run(text, NIST).events if event.code == "M9"]
    after = [(event.row, event.after_move) for event in run(text, WA).events if event.code == "M9"]

    assert before == [(0, False)]
    assert after == [(1, True)]


def test_a_tool_is_selected_before_it_is_changed_in_one_block() -> None:
    """NIST table 8, steps 5 and 6"""
    for text in ("T6 M6", "M6 T6"):
        assert [event.value for event in run(text, NIST).events if event.kind == "tool_change"] == [6]
