"""Records that contradict themselves, or name what is not there, are refused at the place of the contradiction."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from coolcheck.records.check import check
from coolcheck.records.load import read_records

CONTRADICTIONS = [
    ("tools/t.yaml", "tool: T1\nLU: 90 mm\nOAL: 80 mm\n", "2:5: error: `LU` (90.0 mm) is greater than `OAL` (80.0 mm, line 3)"),
    (
        "tools/t.yaml",
        "tool: T1\nfluid: {least pressure: 80 bar, most pressure: 300 psi}\n",
        "2:25: error: `fluid.least pressure` (80.0 bar)",
    ),
    (
        "tools/t.yaml",
        "tool: T1\nCNSC: 0\nfluid: {through: yes}\n",
        "2:7: error: `CNSC: 0` contradicts `fluid.through: yes` (line 3)",
    ),
    (
        "tools/t.yaml",
        "tool: T1\nfluid: {through: no, exits: 2}\n",
        "2:29: error: `fluid.exits: 2` contradicts `fluid.through: no` (line 2)",
    ),
    (
        "tools/t.yaml",
        "tool: T1\nfluid: {required: [air], forbidden: [air]}\n",
        "2:19: error: `air` stands in `fluid.required` and in",
    ),
    (
        "fluids/f.yaml",
        "fluid: f\nclass: MHE\nbase: water_mix\n",
        "2:8: error: `class: MHE` contradicts `base: water_mix` (line 3)",
    ),
    (
        "fluids/f.yaml",
        "fluid: f\nconcentration from: 9 %\nconcentration to: 6 %\n",
        "2:21: error: `concentration from` (9.0 %) is greater",
    ),
    (
        "machines/m.yaml",
        "machine: m\ncodes: [{code: M57, level: hi}]\nsupplies: [{mode: flood, levels: [{level: high, pressure: 7 bar}]}]\n",
        "2:28: error: no supply has a pressure level `hi`\n    do       Did you mean `high`?",
    ),
    (
        "machines/m.yaml",
        "machine: m\nsupplies:\n  - mode: flood\n"
        "    curve: [{pressure: 5 bar, flow: 9 L/min}, {pressure: 4 bar, flow: 9 L/min}]\n",
        "4:47: error: a pump curve rises in pressure and falls in flow",
    ),
    (
        "machines/m.yaml",
        "machine: m\ncodes: [{code: M57}, {code: M57, with: P3}, {code: M57}]\n",
        "2:52: error: `codes` lists `M57` twice",
    ),
    (
        "x.job.yaml",
        "job: j\nwaivers: [{rule: late-fluid}]\n",
        "2:11: error: `reason` of waivers.1 is missing: why it is accepted",
    ),
]


@pytest.mark.parametrize(("name", "text", "message"), CONTRADICTIONS)
def test_a_contradiction_is_told_where_it_stands(write, name: str, text: str, message: str) -> None:
    from coolcheck.records.load import read_record

    _, problems = read_record(write(name, text))

    assert [str(problem).startswith(f"{name}:{message}") for problem in problems] == [True], [
        str(problem) for problem in problems
    ]


def test_one_code_may_stand_with_several_words(write) -> None:
    write("machines/m.yaml", "machine: m\ncodes: [{code: M57}, {code: M57, with: P1}, {code: M57, with: P3}]\n")

    assert read_records([Path()])[1] == []


def test_a_tool_that_names_a_holder_which_is_not_there_is_told_the_nearest(write) -> None:
    write("holders/c.yaml", "holder: collet sealed\n")
    write("tools/t.yaml", "tool: T1\nholder: colet sealed\ncutting: [{material: P}, {material: steal}]\n")

    assert [str(problem) for problem in read_records([Path()])[1]] == [
        "tools/t.yaml:2:9: error: there is no holder record `colet sealed`\n"
        "    do       Did you mean `collet sealed` (holders/c.yaml)?",
        "tools/t.yaml:3:37: error: there is no material record `steal`\n"
        "    do       No material record was found; write one, or name its folder in `records:` of the job.",
    ]


def test_a_day_of_review_that_is_still_to_come_is_a_mistake(wrong) -> None:
    tomorrow = date.today() + timedelta(days=1)

    assert [problem.says for problem in wrong(f"tool: T1\nreviewed: {date.today()}\n")] == []
    assert "still to come" in wrong(f"tool: T1\nreviewed: {tomorrow}\n")[0].says


def test_a_record_with_mistakes_is_there(write) -> None:
    write("tools/t.yaml", "# a mill\ntool: face mill 63 # by hand\nDC: 8 mm\nDC: 9 mm\n")
    write("a.job.yaml", "job: a\nprograms: [a.nc]\ntools:\n  - {T: 1, tool: face mill 63}\n")

    told = [problem.says for problem in check(Path()).problems]
    assert told == ["the tool record `face mill 63` has mistakes", "the key `DC` stands twice (first in line 3)"]


def test_a_job_that_leaves_out_its_own_folder_is_told_how_to_add_it(write) -> None:
    write("shop/tools/t.yaml", "tool: ball mill 8\n")
    write("jobs/tools/t.yaml", "tool: T1\n")
    write("jobs/a.job.yaml", "job: a\nrecords: [../shop]\ntools: [{T: 1, tool: T1}]\n")
    write("jobs/b.job.yaml", "job: b\nrecords: [., ../shop]\ntools: [{T: 1, tool: T9}]\n")
    write("jobs/c.job.yaml", "job: c\nrecords: [../shop]\nmachine: M\n")

    first, second, third = check(Path("jobs")).problems

    assert first.do == "There is `ball mill 8`; add `.` to `records` of the job if its own folder is meant too."
    assert "`.`" not in second.do and "`.`" not in third.do  # it is there already; there is no machine in that folder
