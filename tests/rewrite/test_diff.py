"""The diff applies with patch and git, whatever the bytes."""

import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coolcheck.rewrite.diff import for_terminal, unified

PATCH, GIT = shutil.which("patch"), shutil.which("git")
line = st.sampled_from(
    [b"N10 G81 Z-5.", b"", b"X1 (\xe9\xff)", b"\r", b"%", b"--- a", b"+++ b", b"@@ -1 +1 @@", b"\\ no", b"-X", b"\x0c"]
)
end = st.sampled_from([b"\n", b"\r\n", b"\n\r"])
text = st.builds(
    lambda lines, last: b"".join(part + stop for part, stop in lines) + last, st.lists(st.tuples(line, end), max_size=9), line
)


def applied(tool: list[str], folder: Path, before: bytes, diff: bytes, name: str) -> bytes:
    (folder / name).write_bytes(before)
    done = subprocess.run(tool, cwd=folder, input=diff, capture_output=True)

    assert done.returncode == 0, done.stdout + done.stderr
    return (folder / name).read_bytes()


no_patch = pytest.mark.skipif(PATCH is None, reason="patch is not installed")
no_git = pytest.mark.skipif(GIT is None, reason="git is not installed")
TOOLS = [
    pytest.param(["patch", "-p1", "--binary"], marks=no_patch, id="patch"),
    pytest.param(["git", "apply"], marks=no_git, id="git"),
]


@pytest.mark.parametrize("tool", TOOLS)
@given(before=text, after=text)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_diff_applies_byte_for_byte(tool: list[str], tmp_path: Path, before: bytes, after: bytes) -> None:
    diff = unified(before, after, "O1.nc")
    if not diff or not before or not after:  # making or removing a file is another form of diff
        return

    assert applied(tool, tmp_path, before, diff, "O1.nc") == after


@pytest.mark.parametrize("tool", TOOLS)
@pytest.mark.parametrize("name", ["deep hole.nc", 'quote".nc', "tür.nc", "a\\b.nc"])
def test_the_diff_applies_to_files_with_odd_names(tool: list[str], tmp_path: Path, name: str) -> None:
    if "\\" in name:
        name = name.replace("\\", "'")  # a backslash in a name is a folder to the diff

    before, after = b"G83\r\nM30\r\n", b"G81\r\nM30\r\n"

    assert applied(tool, tmp_path, before, unified(before, after, name), name) == after


def test_equal_programs_have_no_diff() -> None:
    assert unified(b"G81\n", b"G81\n", "a.nc") == b""


def test_a_program_cannot_steer_the_terminal() -> None:
    shown = for_terminal(unified(b"(\x1b[2J)\r\n", b"(\x9b)\r\n", "a.nc"), is_coloured=False)

    assert "\x1b" not in shown and "\x9b" not in shown and "^[" in shown


def test_colours_are_only_for_those_who_can_see_them() -> None:
    diff = unified(b"G83\n", b"G81\n", "a.nc")

    assert "\x1b[32m+G81\x1b[0m" in for_terminal(diff, is_coloured=True)
    assert "\x1b" not in for_terminal(diff, is_coloured=False)
