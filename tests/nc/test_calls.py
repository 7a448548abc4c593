"""Subprograms and macros: in the file, in declared folders, repeated, nested, missing."""

from pathlib import Path

import pytest

from coolcheck.nc.library import Library
from coolcheck.nc.limits import Limits
from tests.nc.running import OPEN, SAFE, WA, ends, events, note_ids, run

HEAD = SAFE + "G0\n"


def xs(text: str, dialect: str = WA, **options: object) -> list[float | None]:
    return [x for _, x, _, _ in ends(run(HEAD + text, dialect, **options))]


def test_a_subprogram_returns_behind_its_call() -> None:
    assert xs("M98 P2\nX9.\nM30\nO2\nX1.\nM99\n") == [1, 9]


@pytest.mark.parametrize("call", ["M98 P0002", "M98P2", "M98 P2 L1", "m98p2"])
def test_numbers_are_numbers(call: str) -> None:
    assert xs(f"{call}\nM30\nO0002 (SUB)\nX1.\nM99\n") == [1]


def test_a_packed_number_of_a_program_that_exists_is_that_program() -> None:
    assert xs("M98 P12345\nM30\nO2345\nX1.\nM99\nO12345\nX2.\nM99\n") == [2]
    assert xs("M98 P0031000\nM30\nO1000\nX1.\nM99\n") == [1, 1, 1]


def test_a_block_moves_before_it_calls_or_returns() -> None:
    assert xs("X100. M98 P2\nM30\nO2\nX1.\nX2. M99\n") == [100, 1, 2]


def test_a_call_may_start_at_a_sequence_number() -> None:
    assert xs("M98 P2 Q20\nM30\nO2\nX1.\nN20 X2.\nM99\n") == [2]


def test_a_return_may_go_to_a_sequence_number_of_the_caller() -> None:
    assert xs("M98 P2\nX1.\nN30 X3.\nM30\nO2\nX5.\nM99 P30\n") == [5, 3]


def test_sequence_numbers_of_other_programs_in_the_file_are_not_meant() -> None:
    assert xs("M98 P2\nM30\nN10 X99.\nO2\n#1=0\nN10 X[#1]\n#1=#1+1\nIF[#1LT2]GOTO10\nM99\n") == [0, 1]


def test_m99_in_the_main_program_is_its_end() -> None:
    e = run(HEAD + "T1 M6\nS500 M3\nX1.\nM99\n")

    assert e.ended and not e.is_subprogram
    assert "main-repeats" in note_ids(e)
    assert xs("#1=#1+1\nN10 X#1\n#1=#1+1\nIF[#1GT3]GOTO99\nM99 P10\nN99 M30") == [1, 2, 3]


@pytest.mark.parametrize(
    "text", ["O3002 (HOLES)\nX2.\nX3.\nM99\n", "G1 Z-1.\nX#24\nM99\n", "G21 G90\nX1.\nG81 Z-1.\nM99\n", "S500 M3\nX1.\nM99\n"]
)
def test_a_file_that_leaves_tool_and_spindle_to_its_caller_is_a_subprogram(text: str) -> None:
    e = run(text)

    assert e.is_subprogram
    assert note_ids(e) == {"subprogram-alone"}


@pytest.mark.parametrize("text", ["T1 M6\nX1.\nM99\n", "G21 S500 M3\nG0 X1.\nM99\n", "G0 X1.\nM30\n", "G0 X1.\n"])
def test_what_brings_its_own_tool_or_spindle_or_ends_is_none(text: str) -> None:
    assert not run(text).is_subprogram


def test_what_cannot_be_read_is_told_of_a_subprogram_too() -> None:
    assert note_ids(run("X2.\nX..3\nX4O.\nM99\n")) == {"subprogram-alone", "unreadable-block", "letter-o-for-zero"}


def test_a_program_end_in_a_subprogram_ends_everything() -> None:
    e = run(HEAD + "M98 P2\nX9.\nM30\nO2\nX1.\nM30\n")

    assert [x for _, x, _, _ in ends(e)] == [1]
    assert e.ended


def test_locals_belong_to_a_macro_call_and_are_shared_by_a_subprogram_call() -> None:
    text = "#1=1\n#100=5\nG65 P2 A7.\nX#1\nM98 P3\nX#1\nM30\nO2\nX#1\n#1=8\n#100=6\nM99\nO3\n#1=4\nM99\n"

    assert xs(text) == [7, 1, 4]


def test_locals_last_over_the_repeats_of_a_macro_call() -> None:
    assert xs("G65 P2 A1. L3\nM30\nO2\nX#1\n#1=#1+1\nM99\n") == [1, 2, 3]


def test_axis_words_of_a_macro_call_are_arguments() -> None:
    e = run(HEAD + "X1.\nG65 P2 X5. Y6. Z-3.\nM30\nO2\nG0 Y#25\nM99\n")

    assert ends(e) == [("r", 1, None, None), ("r", 1, 6, None)]


def test_a_modal_macro_runs_after_each_block_that_moves() -> None:
    text = "G66 P2 Z-5.\nX1.\nM8\nX2.\nG67\nX3.\nM30\nO2\nG1 Z#26 F100\nG0 Z5.\nM99\n"
    e = run(HEAD + text)

    assert [(kind, x, z) for kind, x, _, z in ends(e)] == [
        ("r", 1, None), ("f", 1, -5), ("r", 1, 5), ("r", 2, 5), ("f", 2, -5), ("r", 2, 5), ("r", 3, 5),
    ]  # fmt: skip


def test_a_missing_subprogram_makes_unknown_what_it_may_have_done() -> None:
    e = run(HEAD + "X1. Y1. Z1.\nM98 P77\nX2.\nM30")

    assert ends(e)[-1] == ("r", 2, None, None)
    assert [(event.value, event.fluid) for event in events(e, "call")] == [("O77", "unknown")]
    note = next(note for note in e.notes if note.id == "missing-subprogram")
    assert (note.place.line, note.affects) == (4, ("position", "tool", "spindle", "fluid", "time"))


def test_a_program_that_calls_itself_meets_the_bound() -> None:
    e = run(HEAD + "M98 P2\nM30\nO2\nX1.\nM98 P2\nM99\n", limits=Limits(max_depth=8))

    assert "depth-bound" in note_ids(e)
    assert len(e.moves) == 8


def test_two_programs_that_call_each_other_meet_the_bound() -> None:
    assert "depth-bound" in note_ids(run(HEAD + "M98 P2\nM30\nO2\nM98 P3\nM99\nO3\nM98 P2\nM99\n"))


def test_a_main_program_does_not_run_into_the_next_one() -> None:
    e = run("O1\n" + HEAD + "X1.\nO2\nX2.\nM30")

    assert [x for _, x, _, _ in ends(e)] == [1]


def test_a_subprogram_without_m99_is_told() -> None:
    e = run(HEAD + "M98 P2\nX9.\nM30\nO2\nX1.\nO3\nX3.\nM99")

    assert [x for _, x, _, _ in ends(e)] == [1, 9]
    assert "subprogram-without-return" in note_ids(e)


def test_what_stands_behind_the_closing_tape_mark_is_not_run() -> None:
    assert xs("X1.\nM30\n%\nX2.") == [1]
    assert [x for _, x, _, _ in ends(run("LEADER\n%\nO1\n" + HEAD + "X1.\n%\nX2."))] == [1]


# --------------------------------------------------------------------- folders


@pytest.mark.parametrize("file", ["O1234", "o1234.nc", "1234.NC", "O01234.tap", "1234"])
def test_a_subprogram_in_a_declared_folder(tmp_path: Path, file: str) -> None:
    (tmp_path / file).write_text("%\nO1234\nX5.\nM99\n%\n")
    e = run(HEAD + "X1.\nM98 P1234\nX9.\nM30", search=Library([tmp_path]))

    assert [x for _, x, _, _ in ends(e)] == [1, 5, 9]
    place = e.place(int(e.moves.block[1]))
    assert (Path(place.file).name, place.line) == (file, 3)


def test_a_subprogram_by_name(tmp_path: Path) -> None:
    (tmp_path / "bolt.ngc").write_text("o<bolt> sub\nG0 X#1\no<bolt> endsub\nM2\n")

    assert xs("o<bolt> call [4]\nM2", OPEN, search=Library([tmp_path])) == [4]


def test_a_file_is_read_once_however_often_it_is_called(tmp_path: Path) -> None:
    (tmp_path / "O2.nc").write_text("G91 X1.\nM99\n")
    e = run(HEAD + "X0\nM98 P2 L3\nM98 P2\nM30", search=Library([tmp_path]))

    assert len(e.subprograms) == 1
    assert ends(e)[-1][1] == 4


def test_the_folders_are_not_left(tmp_path: Path) -> None:
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    inside.mkdir()
    outside.mkdir()
    (outside / "O5.nc").write_text("X5.\nM99\n")
    (inside / "O5.nc").symlink_to(outside / "O5.nc")
    (inside / "O6.nc").symlink_to(inside / "O6.nc")
    (inside / "O7.pdf").write_text("X7.\nM99\n")
    library = Library([inside])

    assert library.find("5") is None
    assert library.find("6") is None
    assert library.find("7") is None
    assert library.find("<../outside/o5>") is None


def test_a_folder_that_is_not_there_holds_nothing(tmp_path: Path) -> None:
    assert Library([tmp_path / "none"]).find("1") is None


def test_a_huge_file_is_no_subprogram(tmp_path: Path) -> None:
    (tmp_path / "O1.nc").write_text("X1.\nM99\n")

    assert Library([tmp_path], most_bytes=3).find("1") is None


def test_a_program_called_by_its_name(tmp_path: Path) -> None:
    (tmp_path / "POCKET.nc").write_text("<POCKET>\nX5.\nM99\n")

    assert xs("M98 <POCKET>\nX9.\nM30", search=Library([tmp_path])) == [5, 9]
    assert xs("M98 <SUB> L2\nX9.\nM30\n<SUB>\nG91 X1.\nM99\n", start=(0.0, 0.0, 0.0)) == [1, 2, 11]


def test_a_dwell_in_a_subprogram_waits_each_time_it_is_called() -> None:
    execution = run("O1\nG21 G90\nM98 P100\nM98 P100\nM30\nO100\nG4 P1500\nM99\n")
    waits = [event.seconds for event in execution.events if event.kind == "dwell"]

    assert waits == [1.5, 1.5]
