"""What a program may not cost: values no machine has, expressions without end, and what the interpreter says instead."""

import pytest

from coolcheck.nc.limits import Limits
from coolcheck.nc.moves import Execution
from coolcheck.nc.reader import DEEPEST, MOST_OPERANDS
from tests.nc.running import SAFE, note_ids, run

DIGITS = "9" * 400


def all_finite_or_unknown(execution: Execution) -> bool:
    moves = execution.moves
    return all(abs(value) < 1e300 for name in "xyz" for value in getattr(moves, name) if value == value)


@pytest.mark.parametrize(
    "block", [f"G0 X{DIGITS}", f"G1 X1. F{DIGITS}", f"M98 P{DIGITS}", f"GOTO {DIGITS}", f"#{'9' * 5000}=1", f"G{DIGITS}"]
)
def test_a_number_too_long_for_any_control_cannot_be_read(block: str) -> None:
    (note,) = [note for note in run(SAFE + block + "\nM30").notes if note.id == "unreadable-block"]

    assert "at most 15 digits" in note.says


def test_a_word_computed_beyond_any_machine_stops_the_control_there() -> None:
    execution = run(SAFE + "#1=POW[10,300]\nG0 X#1\nG1 Y[#1*100] F#1\nS#1 M3\nT#1\nM98 P#1\nM30")

    assert "macro-fault" in note_ids(execution)
    assert all_finite_or_unknown(execution)


def test_whole_numbers_do_not_grow_without_end() -> None:
    execution = run(SAFE + "#1=FIX[9999999]**FIX[9999999]\n#2=FIX[POW[10,300]]*FIX[POW[10,300]]\nM30")

    assert [note.id for note in execution.notes] == ["macro-fault", "macro-fault"]


def test_operands_are_counted_through_all_brackets() -> None:
    deep = "#1" + "+#1" * 20
    for _ in range(20):
        deep = f"[{deep}]" + "+#1" * 20
    execution = run(f"{SAFE}#1=1\n#2={deep}\nM30")

    assert f"at most {MOST_OPERANDS} operands" in execution.notes[0].says


@pytest.mark.parametrize("opens", ["-[", "SIN[-", "POW[1,-", "#["])
def test_brackets_as_deep_as_allowed_are_evaluated(opens: str) -> None:
    execution = run(f"{SAFE}#1=1\n#2={opens * (DEEPEST - 1)}#1{']' * (DEEPEST - 1)}\nM30")

    assert "unreadable-block" not in note_ids(execution)


@pytest.mark.parametrize(
    ("program", "limits", "note", "option"),
    [
        ("N10 #1=#1+1\nX#1\nGOTO 10", Limits(max_blocks_executed=1000), "loop-bound", "--most-blocks"),
        ("N10 #1=#1+1\nX#1\nGOTO 10", Limits(max_seconds=0.02), "time-bound", "--most-seconds"),
        ("G91 G81 X1. Z-1. R1. F9. L999999", Limits(max_moves=1000), "move-bound", "--most-blocks"),
    ],
)
def test_a_bound_that_is_reached_names_the_option_that_moves_it(program: str, limits: Limits, note: str, option: str) -> None:
    (found,) = [told for told in run(SAFE + "G0 X0 Y0 Z9.\n" + program, limits=limits).notes if told.id == note]

    assert option in found.do
