"""A record tells what it knows with evidence, and what it does not know with the question to ask."""

import datetime
from pathlib import Path

import pytest

from coolcheck.known import Evidence, Missing
from coolcheck.place import Place
from coolcheck.records.load import read_records
from coolcheck.records.record import Record


def test_a_quantity_is_si_inside_and_as_written_for_people(tool) -> None:
    known = tool("tool: T12\nDC: 8.5 mm\n").field("DC")

    assert known.value == 0.0085
    assert known.evidence == (Evidence("DC of T12", 8.5, "mm", Place("tools/t.yaml", 2, 5, 2, 11), "record"),)


def test_a_quantity_in_another_unit_keeps_what_was_written(tool) -> None:
    record = tool("tool: T12\nDC: 0.335 in\nfluid: {least pressure: 300 psi}\n")

    assert record.field("DC").evidence[0].value == 8.509
    assert record.field("DC").evidence[0].note == "written 0.335 in"
    assert record.field("fluid.least pressure").evidence[0].value == pytest.approx(20.6842718795)
    assert record.field("fluid.least pressure").value == pytest.approx(2068427.188)


@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        ("insert: yes", "insert", True),
        ("insert: no", "insert", False),
        ("insert: true", "insert", True),
        ("insert: No", "insert", False),
        ("CNSC: 4", "CNSC", "4"),
        ("ZEFP: 3", "ZEFP", 3),
        ("ZEFP: 03", "ZEFP", 3),
        ("ULDR: 5.5", "ULDR", 5.5),
        ("ULDR: 1e1", "ULDR", 10.0),
        ("kind: drill", "kind", "drill"),
        ("fluid: {required: [flood, air]}", "fluid.required", ("flood", "air")),
        ("fluid: {required: flood}", "fluid.required", ("flood",)),
        ("fluid: {required: []}", "fluid.required", ()),
        ("reviewed: 2026-01-12", "reviewed", datetime.date(2026, 1, 12)),
        ("TDZ: 1/4-20", "TDZ", "1/4-20"),
        ("coating: 010", "coating", "010"),
        ("RE: 0 mm", "RE", 0.0),
    ],
)
def test_each_kind_of_value_is_read(tool, line: str, field: str, value: object) -> None:
    assert tool(f"tool: T12\n{line}\n").field(field).value == value


def test_a_field_left_out_is_unknown_and_asks(tool) -> None:
    known = tool("tool: T12\n").field("DC")

    assert not known.is_known
    assert known.missing == (Missing("tool T12", "DC", "what is the cutting diameter of T12?", Place("tools/t.yaml")),)


@pytest.mark.parametrize(
    "line", ["insert: unknown", "DC: unknown", "kind: unknown", "cutting: unknown", "fluid: {through: unknown}"]
)
def test_a_field_may_say_that_it_is_unknown(tool, line: str) -> None:
    name = {"fluid": "fluid.through"}.get(line.split(":")[0], line.split(":")[0])
    known = tool(f"tool: T12\n{line}\n").field(name)

    assert not known.is_known
    assert known.missing[0].place.line == 2  # the place to write the answer


def test_an_absent_feature_is_a_known_no(tool) -> None:
    through = tool("tool: T12\nfluid: {through: no}\n").field("fluid.through")

    assert through.is_no
    assert str(through.evidence[0].place) == "tools/t.yaml:2:18"


def test_a_field_that_is_not_declared_is_a_fault_of_the_caller(tool) -> None:
    with pytest.raises(LookupError, match="tool T12 has no field DCX"):
        tool("tool: T12\n").field("DCX")


MACHINE = """
machine: M1
supplies:
  - {mode: flood, fitted: yes}
  - mode: through_tool
    rated pressure: 70 bar
    curve: [{pressure: 10 bar, flow: 30 L/min}, {pressure: 70 bar, flow: 20 L/min}]
"""


@pytest.fixture
def machine(write) -> Record:
    write("machines/m.yaml", MACHINE)
    shelf, problems = read_records([Path()])
    assert problems == []
    return shelf.records["machine"]["M1"]


def test_a_list_gives_its_sections_by_key(machine) -> None:
    supply = machine.entry("supplies", "through_tool")

    assert [entry.field("mode").value for entry in machine.entries("supplies")] == ["flood", "through_tool"]
    assert supply.field("rated pressure").value == 7e6
    assert supply.field("rated pressure").evidence[0].name == "rated pressure of through_tool of M1"
    assert [point.field("flow").evidence[0].value for point in supply.entries("curve")] == [30.0, 20.0]


def test_a_section_asks_for_itself(machine) -> None:
    missing = machine.entry("supplies", "through_tool").field("fitted").missing[0]

    assert (missing.record, missing.field) == ("machine M1", "supplies.through_tool.fitted")
    assert missing.question == "is the pump for through_tool of M1 there and connected (yes, no, prepared)?"


def test_a_section_that_is_not_listed_is_unknown_not_no(machine) -> None:
    air = machine.entry("supplies", "air")

    assert not air.is_present
    assert not air.field("fitted").is_known
    assert air.field("fitted").missing[0].field == "supplies.air.fitted"
    assert machine.has("supplies") and not machine.has("codes")
    assert machine.entries("codes") == ()


def test_an_absent_record_asks_for_the_record() -> None:
    absent = Record.absent("machine", Missing("machine", "", "which machine runs this program?"))

    assert not absent.is_present
    assert absent.field("tank").missing == absent.entry("supplies", "flood").field("fitted").missing
    assert absent.field("tank").missing[0].question == "which machine runs this program?"
