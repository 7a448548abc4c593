"""Codes in and between the blocks of the holes: what acts behind a hole follows it, and what cannot is told with what to do."""

import pytest
from small_shop import LONG, changed_lines, rewritten

PLAIN = """G21 G17 G90 G94 G40 G49 G80
T1 M6
G0 G54 X0. Y0. S3180 M3
G43 H1 Z25. M8
G99 G83 Z-40. R2. Q5. F636.
X10.
X20.
G80
M9
G91 G28 Z0. M5
G90
M30
"""
THREE = LONG.replace("G99 G81 Z-14. R2. F636.\n", "G99 G81 Z-14. R2. F636.\nX10.\nX20.\n").replace(
    "G99 G83 Z-100. R2. Q5. F636.\n", "G99 G83 Z-100. R2. Q5. F636.\nX10.\nX20.\n"
)
CODES = ("M0", "M1", "M3", "M5", "M8", "M9", "M13", "M19", "M30", "M36", "M51", "M57", "M58", "M58 M9", "M123")


def said(program: str, code: str, block: str, behind: str) -> bytes:
    """A code in a block of the last operation, or in a block of its own behind that."""
    head, tail = program.rsplit("G83", 1)
    old = block + "\n"
    new = block + " " + code + "\n" if not behind else old + code + "\n"
    return (head + "G83" + tail.replace(old, new, 1)).encode()


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("behind", ["", "in a block of its own"])
@pytest.mark.parametrize("block", ["F636.", "X10.", "X20."])
def test_a_code_is_converted_with_its_hole_or_the_reason_is_told(block: str, behind: str, code: str) -> None:
    for program in (PLAIN, THREE, PLAIN.replace("Z25. M8", "Z25. M57\nG4 P2000")):
        done = rewritten(said(program, code, block, behind), only=("single_pass",))

        assert done.is_changed or done.refusals
        assert not [refusal for refusal in done.refusals if "could not be proved" in refusal.says or not refusal.do]


@pytest.mark.parametrize("block", ["X10.", "X20."])
def test_a_code_that_acts_behind_a_long_hole_follows_it(block: str) -> None:
    done = rewritten(said(THREE, "M9", block, ""), only=("single_pass",))
    lines = done.result.decode().splitlines()

    at = lines.index("M9")
    assert not done.refusals and lines[at - 2 : at] == ["G0 Z2.", "M58"]
    assert lines[at - 11] == block and "G83" not in done.result.decode()


def test_codes_before_and_in_the_block_of_a_long_hole_are_both_kept() -> None:
    program = said(THREE, "M8", "X10.", "in a block of its own").replace(b"X20.\nG80\nG0 Z25. M9", b"X20. M9\nG80\nG0 Z25. M9")
    done = rewritten(program, only=("single_pass",))
    lines = done.result.decode().splitlines()

    assert not done.refusals and b"X20. M9" in program
    assert lines.index("M8") == len(lines) - 1 - lines[::-1].index("X20.") - 1
    assert lines[lines.index("M9") - 1] == "M58"


def test_a_stop_between_long_holes_comes_when_the_fluid_has_run_out() -> None:
    done = rewritten(said(THREE, "M0", "X10.", "in a block of its own"), only=("single_pass",))
    lines = done.result.decode().splitlines()

    assert not done.refusals
    assert lines[lines.index("M0") - 2 : lines.index("M0")] == ["M58", "G4 P1200"]


@pytest.mark.parametrize("code", ["M0", "M1", "M30"])
def test_a_stop_in_the_block_of_a_long_hole_is_told(code: str) -> None:
    (refusal, *_) = rewritten(said(THREE, code, "X10.", ""), only=("single_pass",)).refusals

    assert refusal.says == f"T2 keeps its pecks: {code} in the block of a hole leaves the fluid no time to run out"
    assert refusal.do == f"put {code} into a block of its own behind the hole"


def test_a_return_in_the_block_of_a_long_hole_is_told() -> None:
    program = "O1\n" + THREE.replace("G99 G83 Z-100. R2. Q5. F636.\nX10.\nX20.\n", "M98 P100\n")
    sub = "O100\nG99 G83 Z-100. R2. Q5. F636.\nX10.\nX20. M99\n"
    (refusal,) = rewritten((program + sub).encode(), only=("single_pass",)).refusals

    assert "a hole whose block calls a subprogram, or returns" in refusal.says and "block of its own" in refusal.do


@pytest.mark.parametrize(("program", "slow", "fast"), [(PLAIN.replace("S3180", "S1000"), 0, "S3183"), (THREE, 3, "S3183")])
def test_a_spindle_code_without_a_speed_between_holes_leaves_them_at_one_speed(program: str, slow: int, fast: str) -> None:
    done = rewritten(said(program, "M3", "X10.", "in a block of its own"), only=("single_pass",))
    _, come = changed_lines(done)

    assert not done.refusals and come.count("S300") == slow and any(fast in line for line in come)


def test_fluid_from_before_goes_off_once_behind_a_code_that_nobody_knows() -> None:
    program = PLAIN.replace("Z25. M8", "Z25. M57\nG4 P2000")
    done = rewritten(said(program, "M123", "X10.", "in a block of its own"), only=("single_pass",))
    _, come = changed_lines(done)

    assert not done.refusals and come.count("M57") == come.count("M58") == 1


@pytest.mark.parametrize("program", [PLAIN, THREE])
def test_fluid_that_comes_on_again_behind_the_holes_and_stays_on_is_told(program: str) -> None:
    (refusal,) = rewritten(said(program, "M57", "X20.", "in a block of its own"), only=("single_pass",)).refusals

    assert "M57 behind the holes turns the fluid on again, and nothing turns it off before M30" in refusal.says
    assert refusal.do == "turn the fluid off before M30, or take M57 out"
