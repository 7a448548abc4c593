import shutil
from pathlib import Path

import pytest

from coolcheck.cli.start import run

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A copy of the sample shop, and the current folder."""
    shutil.copytree(SAMPLES, tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    for name in ("NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path / "shop"


@pytest.fixture
def coolcheck(capsys):
    """Runs a command line in this process; gives exit code, stdout and stderr."""

    def call(*args):
        capsys.readouterr()
        code = run([str(arg) for arg in args])
        told = capsys.readouterr()
        return code, told.out, told.err

    return call
