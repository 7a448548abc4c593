"""The folder command where there is nothing to review, and while it watches."""

import pytest

import coolcheck.cli.folder as folder_command
from coolcheck.errors import Problem
from coolcheck.folder.find import Found
from coolcheck.place import Place

ONE = b"%\nO1\nG21 G90 G94\nT1 M6\nS900 M3\nG0 X0 Y0 Z2\nG1 Z-1 F100\nM30\n%\n"


@pytest.fixture
def posted(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "posted").mkdir()
    return tmp_path / "posted"


@pytest.mark.parametrize("files", [(), ("readme.txt",)])
def test_a_folder_without_a_program_could_not_be_reviewed(posted, coolcheck, files):
    for name in files:
        (posted / name).write_text("nothing to see")
    code, out, err = coolcheck("folder", "posted")

    assert code == 2
    assert out == "0 programs\n"
    assert err.startswith("posted: error: no program was found here: no file name matches *.nc ")
    assert "--pattern" in err and "--may-be-empty" in err


def test_a_pattern_that_nothing_matches_is_no_pass(posted, coolcheck):
    (posted / "O1.nc").write_bytes(ONE)

    assert coolcheck("folder", "posted", "--pattern", "*.mpf")[0] == 2


def test_a_folder_of_which_everything_is_left_out_is_no_pass(posted, coolcheck):
    (posted / "O1.nc").write_bytes(ONE)
    (posted / ".coolcheckignore").write_text("*\n")

    assert coolcheck("folder", "posted")[0] == 2


def test_a_folder_may_be_empty_where_that_is_said(posted, coolcheck):
    assert coolcheck("folder", "posted", "--may-be-empty") == (0, "0 programs\n", "")


def test_a_folder_inside_that_cannot_be_read_is_no_pass(posted, coolcheck, monkeypatch):
    (posted / "O1.nc").write_bytes(b"%\nM30\n%\n")
    problem = Problem(Place("posted/closed"), "this folder cannot be read: no permission")
    monkeypatch.setattr(folder_command, "find_programs", lambda folder, patterns: Found((posted / "O1.nc",), (problem,)))
    code, _, err = coolcheck("folder", "posted", "--fail-on", "never")

    assert code == 2
    assert "this folder cannot be read" in err


def test_watching_shows_the_table_first_and_then_what_has_changed_with_a_line_over_all(posted, coolcheck, monkeypatch):
    for name in ("O1.nc", "O2.nc", "O3.nc"):
        (posted / name).write_bytes(ONE)
    files = [posted / name for name in ("O1.nc", "O2.nc", "O3.nc")]

    def looks(folder, patterns, known):
        known.update(dict.fromkeys(files))
        yield ()
        yield tuple(files)
        yield ()
        files[1].write_bytes(ONE.replace(b"G94", b"G95"))
        del known[files[2]]
        yield (files[1],)
        raise KeyboardInterrupt

    monkeypatch.setattr(folder_command, "changed_programs", looks)
    code, out, err = coolcheck("folder", "posted", "--watch", "--no-cache")
    table, _, later = out.partition("3 programs: ")

    assert code == 130 and "watching posted" in err
    assert table.startswith("in posted/\nprogram ") and "posted/O1.nc:" not in table
    assert later.splitlines()[1] == ""
    assert "posted/O2.nc:" in later and "posted/O1.nc" not in later and "posted/O3.nc" not in later
    assert later.splitlines()[-1].startswith("2 programs, ")


@pytest.mark.parametrize("more", [("--format", "json"), ("--output", "review.txt")])
def test_watching_refuses_what_it_cannot_write(posted, coolcheck, more):
    code, _, err = coolcheck("folder", "posted", "--watch", *more)

    assert code == 2
    assert "--watch writes for people" in err
