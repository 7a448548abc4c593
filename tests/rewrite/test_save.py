"""Writing: the old or the new file, whole, whatever happens."""

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from coolcheck.errors import RewriteRefused
from coolcheck.rewrite.save import Original, read_original, save_beside, save_in_place, save_new

OLD = b"G83 Z-40. Q4.\r\n" * 500
NEW = b"G81 Z-40.\r\n" * 500
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def program(tmp_path: Path) -> Path:
    path = tmp_path / "O1.nc"
    path.write_bytes(OLD)
    path.chmod(0o640)
    return path


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_in_place_keeps_the_original_and_the_mode(program: Path) -> None:
    kept = save_in_place(NEW, read_original(program))

    assert program.read_bytes() == NEW and kept.read_bytes() == OLD
    assert program.stat().st_mode & 0o777 == 0o640
    assert names(program.parent) == ["O1.nc", "O1.nc.original"]


def test_a_kept_original_is_never_overwritten(program: Path) -> None:
    save_in_place(NEW, read_original(program))
    second = save_in_place(b"third", read_original(program))

    assert second.name == "O1.nc.original-2" and second.read_bytes() == NEW
    assert (program.parent / "O1.nc.original").read_bytes() == OLD


def test_a_new_file_has_the_mode_of_the_program(program: Path) -> None:
    written = save_new(program.parent / "new.nc", NEW, read_original(program))

    assert written.read_bytes() == NEW and written.stat().st_mode & 0o777 == 0o640
    assert program.read_bytes() == OLD


def test_a_file_that_is_there_is_not_overwritten(program: Path) -> None:
    other = program.parent / "other.nc"
    other.write_bytes(b"mine")

    with pytest.raises(RewriteRefused, match="already there"):
        save_new(other, NEW, read_original(program))
    assert other.read_bytes() == b"mine" and names(program.parent) == ["O1.nc", "other.nc"]


def save_beside_it(content: bytes, original: Original) -> Path:
    return save_new(original.path.with_name("x"), content, original)


@pytest.mark.parametrize("save", [save_in_place, save_beside_it])
def test_a_program_that_changed_meanwhile_is_not_replaced(program: Path, save: Callable[[bytes, Original], Path]) -> None:
    original = read_original(program)
    program.write_bytes(b"somebody was quicker")

    with pytest.raises(RewriteRefused, match="changed"):
        save(NEW, original)
    assert program.read_bytes() == b"somebody was quicker" and names(program.parent) == ["O1.nc"]


def test_a_program_that_vanished_meanwhile_is_not_written(program: Path) -> None:
    original = read_original(program)
    program.unlink()

    with pytest.raises(RewriteRefused, match="changed"):
        save_in_place(NEW, original)
    assert names(program.parent) == []


def test_a_link_within_its_folder_is_followed(program: Path) -> None:
    link = program.parent / "current.nc"
    link.symlink_to("O1.nc")
    save_in_place(NEW, read_original(link))

    assert link.is_symlink() and program.read_bytes() == NEW


def test_a_link_out_of_its_folder_is_refused(program: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    link = tmp_path_factory.mktemp("elsewhere") / "O1.nc"
    link.symlink_to(program)

    with pytest.raises(RewriteRefused, match="symbolic link"):
        read_original(link)


def test_an_output_that_is_a_link_is_refused(program: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    target = program.parent / "out.nc"
    target.symlink_to(tmp_path_factory.mktemp("elsewhere") / "O2.nc")

    with pytest.raises(RewriteRefused, match="already there"):
        save_new(target, NEW, read_original(program))


def test_a_folder_is_no_program(tmp_path: Path) -> None:
    with pytest.raises((RewriteRefused, IsADirectoryError)):
        read_original(tmp_path)


def test_a_file_system_without_second_names_gets_a_copy(program: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object, **__: object) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    kept = save_in_place(NEW, read_original(program))
    written = save_new(program.parent / "new.nc", NEW, read_original(program))

    assert kept.read_bytes() == OLD and program.read_bytes() == NEW and written.read_bytes() == NEW
    assert names(program.parent) == ["O1.nc", "O1.nc.original", "new.nc"]


def test_a_full_disk_leaves_the_old_file_and_no_litter(program: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    original = read_original(program)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        save_in_place(NEW, original)
    assert program.read_bytes() == OLD and names(program.parent) == ["O1.nc"]


def test_what_belongs_to_a_rewrite_is_written_whole(tmp_path: Path) -> None:
    save_beside(tmp_path / "c.json", b"{}")
    save_beside(tmp_path / "c.json", b"[]")

    assert (tmp_path / "c.json").read_bytes() == b"[]" and names(tmp_path) == ["c.json"]


# Waits for a line, then splits off a writer that replaces the program again and again, and says its number.
WRITERS = """
import os, sys
from pathlib import Path
from coolcheck.rewrite.save import read_original, save_in_place
path, texts = Path(sys.argv[1]), (b"G81 Z-40.\\r\\n" * 500, b"G83 Z-40. Q4.\\r\\n" * 500)
for line in sys.stdin:
    writer = os.fork()
    while writer == 0:
        for text in texts:
            save_in_place(text, read_original(path)).unlink()
    print(writer, flush=True)
    os.waitpid(writer, 0)
    print("gone", flush=True)
"""


def test_killed_at_any_moment_the_old_or_the_new_file_is_there_whole(program: Path) -> None:
    wait = random.Random(5)
    seen = set()
    command = [sys.executable, "-S", "-c", WRITERS, str(program)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    with subprocess.Popen(command, env=environment, text=True, bufsize=1, **pipes) as writers:
        assert writers.stdin is not None and writers.stdout is not None
        for _ in range(200):
            writers.stdin.write("next\n")
            writer = int(writers.stdout.readline())
            time.sleep(wait.uniform(0, 0.02))
            os.kill(writer, signal.SIGKILL)
            assert writers.stdout.readline() == "gone\n"
            found = program.read_bytes()

            assert found in (OLD, NEW)
            for kept in program.parent.glob("O1.nc.original*"):
                assert kept.read_bytes() in (OLD, NEW)
                kept.unlink()
            seen.add(found)
        writers.stdin.close()
    assert seen == {OLD, NEW}  # the writer was really at work when it was killed
