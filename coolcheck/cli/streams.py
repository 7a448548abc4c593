"""Where output goes: stdout or a file written whole, with the width and colour that the place can show."""

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path
from typing import TextIO

from coolcheck.errors import InputError, Problem
from coolcheck.folder.one import STDIN, all_of
from coolcheck.place import Place

PIPE_WIDTH = 80  # the same in every pipe and file, whatever the terminal it was started from
NARROW, WIDE = 50, 120  # text wider than this is hard to read


def is_coloured(choice: str, stream: TextIO, environ: Mapping[str, str] = os.environ) -> bool:
    """May colour be written to `stream`.

    --color always or never decides; then NO_COLOR, FORCE_COLOR, CLICOLOR_FORCE where they are set and not empty;
    then whether it is a terminal that can show any.
    """
    if choice != "auto":
        return choice == "always"
    if environ.get("NO_COLOR"):
        return False
    if environ.get("FORCE_COLOR"):
        return True
    if environ.get("CLICOLOR_FORCE", "0") not in ("", "0"):
        return True
    return stream.isatty() and environ.get("TERM") != "dumb"


def text_width(stream: TextIO) -> int:
    """Columns for text: those of the terminal within reason, 80 elsewhere."""
    if not stream.isatty():
        return PIPE_WIDTH
    return max(NARROW, min(WIDE, shutil.get_terminal_size((PIPE_WIDTH, 24)).columns))


@contextmanager
def opened(output: Path | None) -> Iterator[TextIO]:
    """The stream to write a report to: stdout, or a file that is there whole or not at all. UTF-8, line feeds."""
    if output is None or str(output) == "-":
        if isinstance(sys.stdout, TextIOWrapper):
            # A file name may hold bytes that are no UTF-8; they come out escaped rather than stop the report.
            sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")
        yield sys.stdout
        return
    if not output.parent.is_dir():
        says = f"there is no folder {output.parent} to write into"
        raise InputError(Problem(Place(str(output)), says, "make it, or name another"))
    if output.exists() and not output.is_file():  # a pipe or a device: it is written to, and never replaced by a file
        with output.open("w", encoding="utf-8", errors="backslashreplace", newline="\n") as file:
            yield file
        return
    handle, name = tempfile.mkstemp(dir=output.parent, prefix=f".{output.name}.")
    try:
        with open(handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n") as file:
            yield file
        os.chmod(name, 0o666 & ~_umask())  # a temporary file is private; a report is not
        os.replace(name, output)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def program_bytes() -> bytes:
    """The program on stdin: all of it, as bytes. Raises InputError when it does not end."""
    return all_of(sys.stdin.buffer, STDIN)
