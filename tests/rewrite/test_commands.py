"""`coolcheck rewrite` and `coolcheck verify` as a person calls them."""

import shutil
import subprocess
from pathlib import Path

import pytest

from coolcheck.cli.start import run

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(SAMPLES, tmp_path / "samples")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "samples"


def test_a_dry_run_shows_a_diff_that_applies_and_writes_nothing(shop: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    before = sorted(path for path in shop.rglob("*"))
    code = run(["rewrite", "samples/programs/deep-hole-plate.nc"])
    diff = capfdbinary.readouterr().out

    assert code == 1 and sorted(path for path in shop.rglob("*")) == before
    done = subprocess.run(["git", "apply", "--check", "-"], input=diff, cwd=shop.parent, capture_output=True)
    assert done.returncode == 0, done.stderr


def test_the_diff_gives_the_very_file_that_output_gives(shop: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    run(["rewrite", "samples/programs/deep-hole-plate.nc"])
    diff = capfdbinary.readouterr().out
    run(["rewrite", "samples/programs/deep-hole-plate.nc", "-o", "samples/programs/new.nc"])
    subprocess.run(["git", "apply", "-"], input=diff, cwd=shop.parent, check=True)

    assert (shop / "programs/new.nc").read_bytes() == (shop / "programs/deep-hole-plate.nc").read_bytes()


def test_in_place_keeps_the_original_and_verifies(shop: Path) -> None:
    program = shop / "programs/deep-hole-plate.nc"
    original = program.read_bytes()
    code = run(["rewrite", "samples/programs/deep-hole-plate.nc", "--in-place"])

    assert code == 0 and program.read_bytes() != original
    assert (shop / "programs/deep-hole-plate.nc.original").read_bytes() == original
    assert run(["verify", "samples/programs/deep-hole-plate.nc.certificate.json"]) == 0
    assert run(["rewrite", "samples/programs/deep-hole-plate.nc"]) == 0  # nothing is left to do


def test_a_second_output_of_that_name_is_refused(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["rewrite", "samples/programs/deep-hole-plate.nc", "-o", "new.nc"])
    first = Path("new.nc").read_bytes()
    code = run(["rewrite", "samples/programs/deep-hole-plate.nc", "-o", "new.nc"])

    assert code == 2 and "already there" in capsys.readouterr().err
    assert Path("new.nc").read_bytes() == first


def test_what_is_missing_is_said_with_the_place_to_write_it(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = run(["rewrite", "samples/programs/manifold-drill-tap.nc", "--only", "T6"])
    said = capsys.readouterr()

    assert code == 1 and said.out == ""
    assert "T6 keeps its pecks until more is known [single_pass]" in said.err
    assert "`sealed` of holder collet not looked at, samples/holders/collet-not-looked-at.yaml" in said.err


@pytest.mark.parametrize("choice", [["--only", "nonsense"], ["--skip", "single-pas"]])
def test_a_name_that_is_none_is_answered(shop: Path, choice: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    code = run(["rewrite", "samples/programs/manifold-drill-tap.nc", *choice])

    assert code == 2 and "there is no mend, rule or tool" in capsys.readouterr().err


def test_mends_are_named_with_hyphens_too(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["rewrite", "samples/programs/manifold-drill-tap.nc", "--only", "single-pass", "--skip", "t6"])
    said = capsys.readouterr()

    assert "+N110 G99 G81" in said.out and said.err == ""


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["rewrite", "nothing.nc"], "cannot be read"),
        (["rewrite", "samples"], "is a directory"),
        (["rewrite", "samples/programs/clean-bracket.nc", "-o", "x.nc", "--in-place"], "exclude each other"),
        (["verify", "nothing.json"], "cannot be read"),
        (["verify", "samples/programs/clean-bracket.nc"], "no JSON file"),
    ],
)
def test_what_cannot_run_is_said(shop: Path, arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments) == 2
    assert says in capsys.readouterr().err


def test_a_clean_program_is_left_and_nothing_is_written(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = run(["rewrite", "samples/programs/clean-bracket.nc", "--output", "new.nc"])

    assert code == 0 and not Path("new.nc").exists()
    assert "nothing is rewritten" in capsys.readouterr().err


def test_a_program_behind_a_link_out_of_its_folder_is_refused(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("link.nc").symlink_to(shop / "programs/deep-hole-plate.nc")
    code = run(["rewrite", "link.nc", "--job", "samples/deep-hole-plate.job.yaml", "--in-place"])

    assert code == 2 and "symbolic link" in capsys.readouterr().err


def test_the_schema_of_a_certificate_is_published(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema", "certificate"]) == 0
    assert "coolcheck rewrite certificate" in capsys.readouterr().out


MANIFOLD = ["rewrite", "samples/programs/manifold-drill-tap.nc", "--only", "single-pass", "--skip", "T6"]


def respeed(shop: Path, old: str, new: str) -> None:
    """Another speed or feed in the block of the manifold's drill."""
    program = shop / "programs/manifold-drill-tap.nc"
    program.write_bytes(program.read_bytes().replace(old.encode(), new.encode()))


@pytest.mark.parametrize("choice", [["--only", "T99"], ["--skip", "T05", "--skip", "t99"]])
def test_a_tool_that_the_program_does_not_use_is_answered(
    shop: Path, choice: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    code = run(["rewrite", "samples/programs/manifold-drill-tap.nc", *choice])
    said = capsys.readouterr()

    assert code == 2 and said.out == ""
    assert "the program uses no tool T99" in said.err and "T5, T6" in said.err


def test_a_changed_speed_or_feed_is_said_with_its_line(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    respeed(shop, "Q4. F600.", "Q4. F480.")
    code = run(MANIFOLD)
    said = capsys.readouterr().err

    assert code == 1
    assert said.startswith(
        "samples/programs/manifold-drill-tap.nc:32:1: changed: feed of T5 from F480. to F600., its record for "
    )
    assert "--keep-speed-and-feed" in said


def test_speed_and_feed_can_be_kept(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    respeed(shop, "Q4. F600.", "Q4. F480.")
    code = run([*MANIFOLD, "--keep-speed-and-feed"])
    said = capsys.readouterr()

    assert code == 1 and said.out == "" and "F480. where its record for " in said.err


@pytest.mark.parametrize("kept", [False, True])
def test_a_certificate_says_whether_speed_and_feed_were_kept_and_is_verified_so(
    shop: Path, kept: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    run([*MANIFOLD, "--output", "samples/programs/new.nc", *(["--keep-speed-and-feed"] if kept else [])])
    page = Path("samples/programs/new.nc.certificate.md").read_text(encoding="utf-8")

    assert ("keep the speed and feed of the program" in page) == kept
    assert run(["verify", "samples/programs/new.nc.certificate.json"]) == 0


def test_a_certificate_shows_each_changed_block_and_both_kinds_of_saved_time(shop: Path) -> None:
    respeed(shop, "Q4. F600.", "Q4. F480.")
    run([*MANIFOLD, "--output", "samples/programs/new.nc"])
    page = Path("samples/programs/new.nc.certificate.md").read_text(encoding="utf-8")

    assert "- [ ] line 32\n  - old: N110 G99 G83 Z-42. R2. Q4. F480.\n  - new: N107 M57\n  - new: N108 G4 P1500\n" in page
    assert "  - why: feed of T5 from F480. to F600., its record for " in page
    assert "| hole 1, T5 (line 32) |" in page and "by another speed and feed [s]" in page


@pytest.mark.parametrize(
    ("units", "says"), [([], "less than the 2 in needed"), (["--units", "mm"], "less than the 50.8 mm needed")]
)
def test_an_inch_program_is_answered_in_inch(shop: Path, units: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    program = shop / "programs/manifold-drill-tap.nc"
    program.write_bytes(
        b"G20 G17 G90 G94\nT5 M6\nG0 G54 X0. Y0. S3000 M3\nZ1. M8\nG98 G83 Z-2. R.1 Q.2 F23.6\nG80\nM9\nM5\nM30\n"
    )
    run(["rewrite", "samples/programs/manifold-drill-tap.nc", "--only", "single_pass", *units])

    assert says in capsys.readouterr().err
