"""A folder of records is checked as a whole, and each record says what it leaves unknown."""

from pathlib import Path

from coolcheck.records.check import check


def test_what_a_record_leaves_unknown_is_named_with_its_question(write) -> None:
    write(
        "holders/h.yaml",
        "holder: h\ninterface: ISO 7388-1\nsize: 40\nform: AD\npull stud: AD\nclamping: collet\npassage: yes\n"
        "jets: no\nbore: 8 mm\nbore length: 60 mm\ntop speed: 9000 rpm\nsealed: unknown\n",
    )

    unknowns = check(Path()).records[0]

    assert unknowns.fields == (
        ("sealed", "is h sealed around the tool shank?"),
        ("seal rating", "which pressure does the seal of h bear?"),
    )
    assert str(unknowns) == "holders/h.yaml: holder h: 2 unknown: `sealed`, `seal rating`"


def test_what_a_thing_has_not_is_not_asked(write) -> None:
    write("tools/t.yaml", "tool: T1\nkind: end_mill\nfluid: {through: no}\n")

    names = [name for name, _ in check(Path()).records[0].fields]

    assert "DC" in names and "fluid.required" in names
    assert not {"TDZ", "drilling.pilot", "fluid.exits", "fluid.least pressure", "note"} & set(names)


def test_sections_tell_what_they_leave_unknown(write) -> None:
    write(
        "machines/m.yaml", "machine: M\nsupplies: [{mode: flood, fitted: yes, rated pressure: 3 bar}, {mode: mist, fitted: no}]\n"
    )

    names = [name for name, _ in check(Path()).records[0].fields]

    assert "supplies.flood.rated flow" in names
    assert not [name for name in names if name.startswith("supplies.mist")]


def test_jobs_are_checked_with_the_records_they_name(write) -> None:
    write("a.job.yaml", "job: a\nmachine: M\nrules: [none]\n")
    write("tools/t.yaml", "tool: T1\nDC: 3\n")

    assert [str(problem.place) for problem in check(Path()).problems] == ["a.job.yaml:2:10", "a.job.yaml:3:8", "tools/t.yaml:2:5"]


def test_a_job_may_use_the_records_of_another_folder(write) -> None:
    write("shop/machines/m.yaml", "machine: M\ntank: 3\n")
    write("jobs/a.job.yaml", "job: a\nmachine: M\nrecords: [../shop]\n")

    assert [str(problem.place) for problem in check(Path("jobs")).problems] == ["jobs/../shop/machines/m.yaml:2:7"]


def test_what_a_record_names_may_lie_in_another_folder_of_the_job(write) -> None:
    write("shop/holders/h.yaml", "holder: arbor\n")
    write("jobs/tools/t.yaml", "tool: T1\nholder: arbor\n")
    write("jobs/a.job.yaml", "job: a\nrecords: [., ../shop]\ntools: [{T: 1, tool: T1}]\n")

    assert check(Path("jobs")).problems == ()


def test_what_a_record_names_must_lie_in_some_folder_of_the_job(write) -> None:
    write("shop/holders/h.yaml", "holder: arbor\n")
    write("jobs/tools/t.yaml", "tool: T1\nholder: arbour\n")
    write("jobs/a.job.yaml", "job: a\nrecords: [., ../shop]\n")

    assert [problem.says for problem in check(Path("jobs")).problems] == ["there is no holder record `arbour`"]


def test_a_folder_that_no_job_adds_to_names_what_lies_in_it(write) -> None:
    write("shop/holders/h.yaml", "holder: arbor\n")
    write("jobs/tools/t.yaml", "tool: T1\nholder: arbor\n")
    write("jobs/a.job.yaml", "job: a\nrecords: [../shop]\n")

    assert [problem.says for problem in check(Path("jobs")).problems] == ["there is no holder record `arbor`"]


def test_an_empty_or_missing_folder_is_a_problem(write) -> None:
    write("empty/readme.txt", "")

    assert check(Path("empty")).problems[0].says == "there are no records in this folder"
    assert check(Path("none")).problems[0].says == "there is no such folder"
