"""Golden files: every sample still prints what it printed before."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from golden import GOLDEN, ROOT, cases, printed  # noqa: E402  (the path above leads to it)

CASES = list(cases())
pytestmark = pytest.mark.skipif(not GOLDEN.is_dir(), reason="no golden files yet: `python tests/golden.py` makes them")


@pytest.mark.parametrize(("path", "command"), CASES, ids=[str(path.relative_to(GOLDEN)) for path, _ in CASES])
def test_a_sample_prints_what_it_printed_before(path, command):
    assert path.is_file(), f"run `python tests/golden.py`, then read what it made: {path.relative_to(ROOT)}"
    assert printed(command).decode() == path.read_bytes().decode()
