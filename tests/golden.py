"""Golden files: what coolcheck prints for every sample program, kept so that a reviewer reads the difference.

    python tests/golden.py          writes them anew; then read `git diff tests/golden` as a machinist would
    pytest tests/cli/test_golden.py compares

Nothing here is edited by hand. The date is fixed, for waivers expire; the folder is the project's, for paths are relative.
"""

import contextlib
import io
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from coolcheck.cli.start import run

ROOT = Path(__file__).resolve().parent.parent
GOLDEN = ROOT / "tests" / "golden"
DAY = "2026-01-15"
# name of the file made for a program, and the command line that makes it
COMMANDS = {
    "review.txt": ["review", "{program}", "--date", DAY],
    "review-full.txt": ["review", "{program}", "--date", DAY, "--evidence", "full"],
    "review.json": ["review", "{program}", "--date", DAY, "--format", "json"],
    "timeline.txt": ["timeline", "{program}"],
    "holes.txt": ["holes", "{program}"],
    "trace.jsonl": ["trace", "{program}"],
    "demand.txt": ["demand", "{program}"],
}


def programs() -> list[Path]:
    """Every sample program, relative to the project."""
    return sorted(path.relative_to(ROOT) for path in (ROOT / "samples" / "programs").glob("*.nc"))


def cases() -> Iterator[tuple[Path, list[str]]]:
    """Every golden file with the command line that makes it."""
    for program in programs():
        for name, command in COMMANDS.items():
            yield GOLDEN / program.stem / name, [part.format(program=program.as_posix()) for part in command]


def printed(command: list[str]) -> bytes:
    """What a command prints, with its exit code in the last line of text reports."""
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="utf-8", write_through=True)
    with contextlib.redirect_stdout(out), contextlib.chdir(ROOT):
        code = run(command)
    text = raw.getvalue()
    out.detach()  # or its end would close `raw` at a moment of its own choosing
    return text if "json" in command or "trace" in command else text + f"exit code {code}\n".encode()


def write() -> None:
    """Writes every golden file anew."""
    for path, command in cases():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(printed(command))
        print(os.path.relpath(path, ROOT), file=sys.stderr)


if __name__ == "__main__":
    write()
