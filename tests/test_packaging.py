"""A wheel, an sdist and an editable install each bring grammars and rules along and review a program from anywhere."""

import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PROGRAM = ROOT / "samples" / "programs" / "clean-bracket.nc"


def run(*command: str | Path, cwd: Path) -> str:
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "VIRTUAL_ENV", "COV_"))}
    done = subprocess.run([str(c) for c in command], cwd=cwd, env=environment, capture_output=True, text=True, timeout=240)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel built from the sdist, and the sdist."""
    out = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", out, ROOT, cwd=out)
    return out


def installed(tmp_path: Path, *what: str | Path) -> Path:
    """A fresh environment with `what` installed. The libraries it needs are borrowed from the one that runs the tests."""
    home = tmp_path / "environment"
    venv.create(home, with_pip=False)
    python = home / ("Scripts" if os.name == "nt" else "bin") / "python"
    site = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_paths()['purelib'])", cwd=tmp_path).strip())
    borrowed = {sysconfig.get_paths()["purelib"], sysconfig.get_paths()["platlib"]}
    # behind everything else, so that the installed coolcheck comes first; .pth files of the lender are not run
    (site / "zz_borrowed.pth").write_text("\n".join(borrowed) + "\n", encoding="utf-8")
    run(
        sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", "--no-build-isolation", *what, cwd=tmp_path
    )
    return python


@pytest.mark.parametrize("kind", ["wheel", "sdist", "editable"])
def test_every_way_of_installing_works_from_another_folder(kind: str, built: Path, tmp_path: Path) -> None:
    what = {"wheel": [next(built.glob("*.whl"))], "sdist": [next(built.glob("*.tar.gz"))], "editable": ["--editable", ROOT]}[kind]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    python = installed(tmp_path, *what)
    source = run(python, "-c", "import coolcheck; print(coolcheck.__file__)", cwd=elsewhere)
    text = run(python, "-m", "coolcheck", "review", PROGRAM, "--fail-on", "never", cwd=elsewhere)
    rules = run(python, "-m", "coolcheck", "explain", "--all", cwd=elsewhere)

    assert str(ROOT / "coolcheck") in source if kind == "editable" else str(tmp_path) in source
    assert "clean-bracket.nc" in text
    assert len(rules.splitlines()) > 60
