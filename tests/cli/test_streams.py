import io
import os
import stat

import pytest

from coolcheck.cli.streams import is_coloured, opened, text_width
from coolcheck.errors import InputError


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("choice", "environ", "stream", "coloured"),
    [
        ("auto", {}, io.StringIO(), False),
        ("auto", {"TERM": "xterm"}, Terminal(), True),
        ("auto", {"TERM": "dumb"}, Terminal(), False),
        ("auto", {"NO_COLOR": "1"}, Terminal(), False),
        ("auto", {"NO_COLOR": ""}, Terminal(), True),
        ("auto", {"FORCE_COLOR": "1"}, io.StringIO(), True),
        ("auto", {"FORCE_COLOR": "1", "NO_COLOR": "1"}, Terminal(), False),
        ("auto", {"CLICOLOR_FORCE": "1"}, io.StringIO(), True),
        ("auto", {"CLICOLOR_FORCE": "0"}, io.StringIO(), False),
        ("always", {"NO_COLOR": "1"}, io.StringIO(), True),
        ("never", {"FORCE_COLOR": "1"}, Terminal(), False),
    ],
)
def test_colour_follows_option_then_environment_then_terminal(choice, environ, stream, coloured):
    assert is_coloured(choice, stream, environ) is coloured


def test_text_in_a_pipe_is_80_columns_whatever_the_environment_says(monkeypatch):
    monkeypatch.setenv("COLUMNS", "200")

    assert text_width(io.StringIO()) == 80


@pytest.mark.parametrize(("columns", "used"), [("100", 100), ("300", 120), ("20", 50)])
def test_a_terminal_is_used_within_reason(monkeypatch, columns, used):
    monkeypatch.setenv("COLUMNS", columns)

    assert text_width(Terminal()) == used


def test_a_report_file_is_there_whole_or_not_at_all(tmp_path):
    target = tmp_path / "report.txt"
    target.write_text("before")

    with pytest.raises(RuntimeError), opened(target) as out:
        out.write("half")
        raise RuntimeError

    assert target.read_text() == "before"
    assert os.listdir(tmp_path) == ["report.txt"]


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(InputError, match="there is no folder"), opened(tmp_path / "gone" / "report.txt"):
        pass


def test_a_report_file_is_utf8_with_line_feeds_and_usual_rights(tmp_path):
    target = tmp_path / "report.txt"

    with opened(target) as out:
        out.write("穴 8.5\n\udc80")

    assert target.read_bytes() == "穴 8.5\n\\udc80".encode()
    assert stat.S_IMODE(target.stat().st_mode) & 0o444 == 0o444
