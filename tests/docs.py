"""Makes the outputs shown in the docs anew, from the program itself.

    python tests/docs.py

An output stands behind a mark `<!-- output: COMMAND -->` as a block of text. `tests/test_docs.py` checks that they are current.
"""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "samples" / "guides").glob("*.md"))]
_OUTPUT = re.compile(r"(<!-- output: (?P<command>[^\n]+) -->\n```text\n)(?P<text>.*?)(```\n)", re.DOTALL)


def output(command: str) -> str:
    """What `command` prints at 80 columns, messages for people behind it; the day is fixed, as waivers depend on it."""
    words = shlex.split(command)
    assert words[0] == "coolcheck"
    environment = {k: v for k, v in os.environ.items() if k not in ("FORCE_COLOR", "CLICOLOR_FORCE")} | {"COLUMNS": "80"}
    dated = ["--date", "2026-11-25"] if words[1] in ("review", "folder", "rewrite") else []
    done = subprocess.run(
        [sys.executable, "-m", *words, *dated], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout + done.stderr


def current(page: str) -> str:
    """The page with every output as it is now."""
    return _OUTPUT.sub(lambda found: found[1] + output(found["command"]) + found[4], page)


if __name__ == "__main__":
    for path in PAGES:
        path.write_text(current(path.read_text(encoding="utf-8")), encoding="utf-8")
        print(path.relative_to(ROOT))
