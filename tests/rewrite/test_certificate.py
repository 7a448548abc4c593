"""The certificate: complete, deterministic, of the published form; and `verify` sees whatever is changed behind its back."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from coolcheck.cli.start import run
from coolcheck.errors import InputError
from coolcheck.rewrite.certificate import CAUTIONS, schema
from coolcheck.rewrite.verify import verify

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
PARTS = ("machines", "holders", "tools", "materials", "fluids", "programs")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the samples with a rewritten manifold."""
    folder = tmp_path_factory.mktemp("shop")
    copy(SAMPLES, folder)
    assert make(folder) == 1  # T6 keeps its pecks: its holder is not looked at
    return folder


def make(folder: Path) -> int:
    program, output = folder / "programs/manifold-drill-tap.nc", folder / "programs/one-pass.nc"
    return run(["rewrite", str(program), "--output", str(output), "--date", "2026-02-01"])


def copy(source: Path, folder: Path) -> None:
    for part in PARTS:
        shutil.copytree(source / part, folder / part, dirs_exist_ok=True)
    for job in source.glob("manifold-drill-tap*.job.yaml"):
        shutil.copy(job, folder)


@pytest.fixture
def shop(written: Path, tmp_path: Path) -> Path:
    """The same to be spoilt."""
    copy(written, tmp_path)
    return tmp_path


def certificate(folder: Path) -> Path:
    return folder / "programs/one-pass.nc.certificate.json"


def data(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(certificate(folder).read_text(encoding="utf-8"))
    return found


def test_the_certificate_is_of_the_published_form(written: Path) -> None:
    jsonschema.Draft202012Validator.check_schema(schema())
    jsonschema.validate(data(written), schema())


def test_it_holds_what_a_person_needs(written: Path) -> None:
    found = data(written)

    assert found["date"] == "2026-02-01"
    assert found["stages"][0]["mend"] == "single_pass" and found["stages"][0]["edits"][0]["reason"]
    assert {record["kind"] for record in found["records"]} == {"job", "machine", "material", "fluid", "tool", "holder"}
    assert [one["tool"] for one in found["preconditions"]] == [5] and len(found["preconditions"][0]["conditions"]) > 20
    assert all(hole["saved"] > 2 for hole in found["time"]["holes"]) and len(found["time"]["holes"]) == 3
    assert found["left"][0]["missing"][0]["question"] == "is collet not looked at sealed around the tool shank?"
    assert [one["says"] for one in found["cautions"]] == list(CAUTIONS) and not any(one["done"] for one in found["cautions"])


def test_no_path_of_the_computer_stands_in_it(written: Path) -> None:
    text = certificate(written).read_text(encoding="utf-8")

    assert str(written) not in text and '"file": "manifold-drill-tap.nc"' in text


def test_the_same_rewrite_gives_the_same_certificate(shop: Path) -> None:
    before = certificate(shop).read_bytes()
    for name in ("one-pass.nc", "one-pass.nc.certificate.json", "one-pass.nc.certificate.md"):
        (shop / "programs" / name).unlink()
    make(shop)

    assert certificate(shop).read_bytes() == before


def test_without_a_date_there_is_none(shop: Path) -> None:
    run(["rewrite", str(shop / "programs/manifold-drill-tap.nc"), "-o", str(shop / "programs/other.nc")])

    assert json.loads((shop / "programs/other.nc.certificate.json").read_text())["date"] is None


def test_the_page_can_be_read_and_ticked(written: Path) -> None:
    page = (written / "programs/one-pass.nc.certificate.md").read_text(encoding="utf-8")

    assert page.count("- [ ] ") == len(CAUTIONS) + len(data(written)["changes"])
    assert "T5 drills in one pass" in page and "| program |" in page and "pressure at the tip: 68.77 bar" in page


def test_what_is_as_certified_is_verified(written: Path) -> None:
    checks = verify(certificate(written))

    assert all(check.holds for check in checks)
    assert any("proved again" in check.says for check in checks)


def program_byte(shop: Path) -> None:
    path = shop / "programs/one-pass.nc"
    path.write_bytes(path.read_bytes().replace(b"Z-42.", b"Z-43."))


def original_byte(shop: Path) -> None:
    path = shop / "programs/manifold-drill-tap.nc"
    path.write_bytes(path.read_bytes() + b"\n")


def record(shop: Path) -> None:
    path = shop / "tools/drill-8.5-5xd-through.yaml"
    path.write_text(path.read_text().replace("one pass: 42.5 mm", "one pass: 30 mm"))


def holder(shop: Path) -> None:
    path = shop / "holders/hydraulic-12.yaml"
    path.write_text(path.read_text().replace("sealed: yes", "sealed: no"))


def lost_program(shop: Path) -> None:
    (shop / "programs/one-pass.nc").unlink()


def certified(change: Callable[[dict[str, Any]], None]) -> Callable[[Path], None]:
    def spoil(shop: Path) -> None:
        found = data(shop)
        change(found)
        certificate(shop).write_text(json.dumps(found))

    return spoil


def set_edit(found: dict[str, Any]) -> None:
    found["stages"][0]["edits"][0]["text"] = "N107 M58\n"


def set_declared(found: dict[str, Any]) -> None:
    found["stages"][0]["runs"][0]["differences"]["holes"][0]["steps"][0]["to"] = -43.0


def set_no_runs(found: dict[str, Any]) -> None:
    found["stages"][0]["runs"] = []


def set_hash(found: dict[str, Any]) -> None:
    found["rewritten"]["sha256"] = "0" * 64


@pytest.mark.parametrize(
    "spoil",
    [program_byte, original_byte, record, holder, lost_program, *map(certified, (set_edit, set_declared, set_no_runs, set_hash))],
)
def test_whatever_is_changed_is_seen(shop: Path, spoil: Callable[[Path], None], capsys: pytest.CaptureFixture[str]) -> None:
    spoil(shop)

    assert run(["verify", str(certificate(shop))]) == 1
    assert "NO " in capsys.readouterr().out


def test_a_record_that_no_longer_allows_it_fails_the_proof_not_only_the_hash(shop: Path) -> None:
    record(shop)
    found = data(shop)
    import hashlib

    for one in found["records"]:
        content = (shop / "programs" / one["file"]).read_bytes()
        one["sha256"] = hashlib.sha256(content).hexdigest()
    certificate(shop).write_text(json.dumps(found))
    failed = [check.says for check in verify(certificate(shop)) if not check.holds]

    assert len(failed) == 1 and "the records do not allow this tool" in failed[0]


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", "not json", '{"form": "coolcheck rewrite certificate", "version": 9}', "[" * 100_000, "\x00"]
)
def test_what_is_no_certificate_is_said(tmp_path: Path, text: str) -> None:
    path = tmp_path / "c.json"
    path.write_text(text)

    with pytest.raises(InputError):
        verify(path)


@pytest.mark.parametrize("missing", ["original", "records", "stages", "dialect", "block_skip", "subprograms"])
def test_a_certificate_that_is_not_whole_is_said(shop: Path, missing: str) -> None:
    found = data(shop)
    del found[missing]
    certificate(shop).write_text(json.dumps(found))

    with pytest.raises(InputError, match="not whole"):
        verify(certificate(shop))
