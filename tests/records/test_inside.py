"""Look-ups stay in the folders that a job names; a link out of them is told and not followed."""

import os
from pathlib import Path

import pytest

from coolcheck.errors import RecordError, RuleError
from coolcheck.folder.find import find_programs
from coolcheck.judge.rules import load_rules
from coolcheck.nc.library import Library
from coolcheck.records.binding import bind, folder_of
from coolcheck.records.inside import inside, lies_in
from coolcheck.records.job import read_job
from coolcheck.records.load import read_records

TOOL = "tool: drill\nDC: 8.5 mm\n"


@pytest.fixture
def shop(write) -> Path:  # type: ignore[no-untyped-def]
    """A job with a tool of its own, and a tool that lies elsewhere."""
    write("elsewhere/tools/secret.yaml", "tool: secret\nDC: 1 mm\n")
    write("elsewhere/9000.nc", "M99\n")
    write("shop/tools/drill.yaml", TOOL)
    write("shop/a.nc", "T1 M6\nM30\n")
    return Path("shop")


def test_a_plain_file_of_the_folder_or_below_is_inside(shop: Path) -> None:
    assert inside(shop / "tools/drill.yaml", lies_in(shop))


@pytest.mark.parametrize("target", ["../../elsewhere/tools/secret.yaml", "loop.yaml", "nowhere.yaml"])
def test_a_link_out_of_a_folder_of_records_is_told_and_not_followed(shop: Path, target: str) -> None:
    os.symlink(target, shop / "tools/loop.yaml")
    shelf, problems = read_records([shop])

    assert shelf.get("tool", "secret") is None
    assert shelf.get("tool", "drill") is not None
    assert ["it is not followed" in problem.says for problem in problems] == [True]
    assert problems[0].place.file == str(shop / "tools/loop.yaml")


def test_a_whole_folder_that_is_a_link_to_somewhere_else_is_not_followed(shop: Path) -> None:
    (shop / "holders").symlink_to("../elsewhere/tools")

    with pytest.raises(RecordError, match="not followed"):
        bind(shop / "a.nc", write_job(shop))


def test_a_link_within_the_folder_is_followed(shop: Path) -> None:
    (shop / "tools/same.yaml").symlink_to("drill.yaml")
    _, problems = read_records([shop])

    assert "there are two records" in problems[0].says


def test_a_folder_that_the_job_names_is_declared_wherever_it_lies(shop: Path) -> None:
    job = write_job(shop, "records: [., ../elsewhere]\nsearch: ['..\\elsewhere']\n")
    binding = bind(shop / "a.nc", job)

    assert binding.shelf.get("tool", "secret") is not None
    assert Library(binding.search_folders).find("9000") is not None


def test_a_backslash_parts_folders_as_it_does_where_the_job_was_written(shop: Path) -> None:
    assert folder_of(read_job(write_job(shop)), "..\\elsewhere\\tools") == shop / "../elsewhere/tools"


def test_a_link_out_of_a_folder_of_rules_is_told_and_not_followed(shop: Path) -> None:
    (shop / "rules").mkdir()
    (shop / "rules/r.yaml").symlink_to("../../elsewhere/tools/secret.yaml")

    with pytest.raises(RuleError, match="it is not followed"):
        load_rules([shop / "rules"])


def test_a_subprogram_behind_a_link_out_of_the_folder_is_not_found(shop: Path) -> None:
    (shop / "9000.nc").symlink_to("../elsewhere/9000.nc")

    assert Library([shop]).find("9000") is None
    assert Library([Path("elsewhere")]).find("9000") is not None


def test_no_name_of_a_subprogram_leads_out_of_its_folder(shop: Path) -> None:
    for name in ("<../elsewhere/9000>", "<..\\elsewhere\\9000>", "<../elsewhere/9000.nc>", "../elsewhere/9000", "<>", ""):
        assert Library([shop]).find(name) is None


def test_a_search_for_programs_takes_plain_files_of_the_folder_alone(shop: Path) -> None:
    (shop / "circle.nc").symlink_to("circle.nc")
    (shop / "out.nc").symlink_to("../elsewhere/9000.nc")
    (shop / "round").symlink_to(".")
    os.mkfifo(shop / "pipe.nc")
    found = find_programs(shop)

    assert found.programs == (shop / "a.nc",)
    assert found.problems == ()


def write_job(shop: Path, more: str = "") -> Path:
    path = shop / "a.job.yaml"
    path.write_text(f"job: a\nprograms: ['*.nc']\n{more}")
    return path
