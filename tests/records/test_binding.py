"""A program finds its job, the job its records; what is not there is absent and asks."""

from pathlib import Path

import pytest

from coolcheck.errors import RecordError
from coolcheck.records.binding import bind
from coolcheck.records.job import MOST_LEVELS, folders_above, matches

JOB = """job: plate
programs: [nc/*.nc]
machine: M1
material: steel
fluid: oil
search: [subs]
rules: [our-rules]
block skip: [1, 3]
tools:
  - {T: 5, tool: drill}
  - {T: 6, tool: tap, holder: chuck}
waivers: [{rule: late-fluid, reason: agreed with the customer}]
"""


@pytest.fixture
def shop(write) -> Path:
    write("plate.job.yaml", JOB)
    write("machines/m.yaml", "machine: M1\ndialect: word-address-mill\n")
    write("materials/s.yaml", "material: steel\n")
    write("fluids/o.yaml", "fluid: oil\n")
    write("tools/drill.yaml", "tool: drill\nholder: collet\n")
    write("tools/tap.yaml", "tool: tap\nholder: collet\n")
    write("tools/t7.yaml", "tool: T7\n")
    write("holders/c.yaml", "holder: collet\n")
    write("holders/k.yaml", "holder: chuck\n")
    write("subs/x.nc", "")
    write("our-rules/x.yaml", "")
    return write("nc/op10.nc", "M30\n")


def test_a_program_finds_the_job_above_that_names_it(shop: Path) -> None:
    binding = bind(shop)

    assert (binding.job.name, binding.machine.name, binding.material.name, binding.fluid.name) == ("plate", "M1", "steel", "oil")
    assert binding.dialect_name.value == "word-address-mill"
    assert binding.search_folders == (Path("nc"), Path("subs"))
    assert binding.rules_folders == (Path("our-rules"),)
    assert binding.block_skip == frozenset((1, 3))
    assert [waiver.field("reason").value for waiver in binding.waivers] == ["agreed with the customer"]


def test_an_absolute_path_finds_the_same_job(shop: Path, tmp_path: Path) -> None:
    assert bind(tmp_path / shop).job.file == str(tmp_path / "plate.job.yaml")


def test_tools_and_holders_come_by_t_number(shop: Path) -> None:
    binding = bind(shop)

    assert (binding.tool(5).name, binding.holder(5).name) == ("drill", "collet")
    assert (binding.tool(6).name, binding.holder(6).name) == ("tap", "chuck")  # the job says another holder than the tool
    assert sorted(binding.tools) == [5, 6]
    assert {(r.kind, r.name) for r in binding.all_records()} == {
        ("job", "plate"),
        ("machine", "M1"),
        ("material", "steel"),
        ("fluid", "oil"),
        ("tool", "drill"),
        ("tool", "tap"),
        ("holder", "collet"),
        ("holder", "chuck"),
    }


def test_a_tool_record_named_by_its_t_number_needs_no_line_in_the_job(shop: Path) -> None:
    binding = bind(shop)

    assert binding.tool(7).is_present
    assert binding.holder(7).field("sealed").missing[0].question == "which holder carries T7?"
    assert binding.holder(7).field("sealed").missing[0].record == "tool T7"


def test_a_tool_that_the_job_does_not_name_asks_the_job(shop: Path) -> None:
    missing = bind(shop).tool(9).field("DC").missing[0]

    assert (missing.record, missing.field, missing.question) == ("job plate", "tools.9.tool", "which tool is T9?")
    assert str(missing.place) == "plate.job.yaml"
    for record in (bind(shop).tool(None), bind(shop).holder(None)):
        (missing,) = record.field("DC" if record.kind == "tool" else "sealed").missing

        assert (missing.record, missing.field) == ("tool", "")
        assert missing.question == "which tool is in the spindle? No tool change stands before this"


def test_without_a_job_everything_is_absent_and_asks(write) -> None:
    binding = bind(write("lonely.nc", "M30\n"))

    assert not any(
        record.is_present for record in (binding.job, binding.machine, binding.material, binding.fluid, binding.tool(1))
    )
    assert binding.machine.field("tank").missing[0].question == "which machine runs this program?"
    assert binding.holder(1).field("sealed").missing[0].question == "which holder carries T1?"
    assert not binding.dialect_name.is_known
    assert binding.all_records() == ()
    assert binding.search_folders == (Path(),)


def test_a_job_given_by_hand_needs_no_programs(shop: Path, write) -> None:
    other = write("other.job.yaml", "job: other\nmachine: M1\ndialect: rs274-ngc\n")

    binding = bind(shop, other)

    assert binding.job.name == "other"
    assert binding.dialect_name.value == "word-address-mill"  # the machine record comes first
    assert not binding.material.is_present
    assert binding.material.field("hardens").missing[0].record == "job other"


def test_names_that_are_not_there_are_told_all_at_once(shop: Path, write) -> None:
    write("plate.job.yaml", JOB.replace("M1", "M2").replace("tool: tap", "tool: tapp").replace("[subs]", "[sub]"))

    with pytest.raises(RecordError) as caught:
        bind(shop)

    assert [str(problem) for problem in caught.value.problems] == [
        "plate.job.yaml:3:10: error: there is no machine record `M2`\n    do       Did you mean `M1` (machines/m.yaml)?",
        "plate.job.yaml:6:9: error: there is no folder `sub`\n    do       `search` names folders seen from the job file.",
        "plate.job.yaml:11:18: error: there is no tool record `tapp`\n    do       Did you mean `tap` (tools/tap.yaml)?",
    ]


def test_two_jobs_that_name_one_program_are_refused(shop: Path, write) -> None:
    write("second.job.yaml", "job: second\nprograms: ['**/op*.nc']\n")

    with pytest.raises(RecordError, match=r"`op10.nc` belongs to this job, and to second.job.yaml as well"):
        bind(shop)


def test_a_nearer_job_wins(shop: Path, write) -> None:
    write("nc/near.job.yaml", "job: near\nprograms: [op10.nc]\nrecords: [..]\nmachine: M1\n")

    binding = bind(shop)

    assert (binding.job.name, binding.machine.name) == ("near", "M1")


def test_a_mistake_in_a_job_of_another_program_does_not_matter(shop: Path, write) -> None:
    write("other.job.yaml", "job: other\nprograms: [else.nc]\ntop: 3\n")

    assert bind(shop).job.name == "plate"


def test_a_job_on_the_way_that_cannot_be_read_stops(shop: Path, write) -> None:
    write("broken.job.yaml", "job: [\n")

    with pytest.raises(RecordError, match=r"broken.job.yaml:2:1: error: this is no YAML"):
        bind(shop)


def test_a_record_given_as_job_is_refused(shop: Path) -> None:
    with pytest.raises(RecordError, match="this is a tool record, not a job"):
        bind(shop, Path("tools/drill.yaml"))
    with pytest.raises(RecordError, match="cannot be opened"):
        bind(shop, Path("none.job.yaml"))


def test_the_search_stops_at_the_top_of_a_repository(shop: Path) -> None:
    Path("nc/.git").mkdir()

    assert not bind(shop).job.is_present


def test_the_search_is_bounded(tmp_path: Path) -> None:
    deep = tmp_path.joinpath(*("d" * 1 for _ in range(40)), "x.nc")

    assert len(list(folders_above(deep))) == MOST_LEVELS


@pytest.mark.parametrize(
    ("pattern", "path", "fits"),
    [
        ("a.nc", "a.nc", True),
        ("./a.nc", "a.nc", True),
        ("*.nc", "b/a.nc", False),
        ("b/*.nc", "b/a.nc", True),
        ("**/*.nc", "a.nc", True),
        ("**/*.nc", "c/b/a.nc", True),
        ("**", "c/b/a.nc", True),
        ("O1*", "O1203", True),
        ("o1*", "O1203", False),
        ("a[[]1].nc", "a[1].nc", True),
        ("../a.nc", "../a.nc", True),
        ("/".join(["**"] * 40) + "/x", "/".join("abcdefghijklmnopqrst"), False),
    ],
)
def test_programs_are_patterns_seen_from_the_job(pattern: str, path: str, fits: bool) -> None:
    from pathlib import PurePosixPath

    assert matches(pattern, PurePosixPath(path)) is fits
