"""The records of the sample shop are right, whole, and quick to read."""

import statistics
import time
from pathlib import Path

import pytest

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.program import Program
from coolcheck.records import bind, load, read_records
from coolcheck.records.check import check
from coolcheck.records.program_tools import tools_of

SAMPLES = Path(__file__).parents[2] / "samples"
PROGRAMS = sorted((SAMPLES / "programs").glob("*.nc"))
JOBS = sorted(SAMPLES.glob("*.job.yaml"))


def test_there_is_nothing_wrong_with_them() -> None:
    assert check(SAMPLES).problems == ()


def test_the_shop_is_as_large_as_it_should_be() -> None:
    shelf, _ = read_records([SAMPLES])

    for kind, least in (("machine", 4), ("holder", 10), ("tool", 24), ("material", 6), ("fluid", 3)):
        assert len(shelf.records[kind]) >= least


@pytest.mark.parametrize("path", PROGRAMS, ids=lambda path: path.stem)
def test_every_tool_of_a_program_has_its_record_and_holder(path: Path) -> None:
    binding = bind(path)
    numbers = [tool.number for tool in tools_of(Program.read(path.read_bytes(), str(path), load_dialect())).tools]

    assert numbers
    assert [number for number in numbers if not binding.tool(number).is_present] == []
    assert [number for number in numbers if not binding.holder(number).is_present] == []
    assert all(record.is_present for record in (binding.machine, binding.material, binding.fluid))


@pytest.mark.parametrize("path", PROGRAMS, ids=lambda path: path.stem)
def test_records_say_the_same_as_the_comments_of_the_program(path: Path) -> None:
    binding = bind(path)

    for tool in tools_of(Program.read(path.read_bytes(), str(path), load_dialect())).tools:
        record = binding.tool(tool.number)
        for name in ("kind", "fluid.through", "substrate", "TDZ"):
            if name in tool.said and not (name == "kind" and tool.number == 30):  # the comment calls a bull mill an end mill
                assert str(record.value_of(name).shown) == tool.said[name].value, (tool.number, name)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_job_binds_and_its_holders_fit_the_spindle(path: Path) -> None:
    binding = bind(SAMPLES / "programs" / "none.nc", path)
    spindle = binding.machine.field("spindle.interface").value

    assert {binding.holder(number).field("interface").value for number in binding.tools} == {spindle}


def test_reading_the_shop_is_quick() -> None:
    # the budget is 60 ms for some 40 small files; this shop has more. Twice that is asked here, for machines that do other things
    times = []
    for _ in range(5):
        load._read_unchanged.cache_clear()
        begin = time.perf_counter()
        bind(PROGRAMS[0])
        times.append(time.perf_counter() - begin)

    files = len(load.record_files(SAMPLES))
    assert min(times) < 0.120 * files / 40, (files, statistics.median(times))
