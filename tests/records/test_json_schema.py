"""The published schemas accept what coolcheck accepts, and refuse the slips that an editor can see."""

import re
from pathlib import Path

import jsonschema
import pytest

from coolcheck import yamltext
from coolcheck.records import schema, units
from coolcheck.records.json_schema import _value, json_schemas
from coolcheck.records.quantity import parse

SAMPLES = Path(__file__).parents[2] / "samples"
SCHEMAS = json_schemas()


def refused(kind: str, text: str) -> list[str]:
    errors = jsonschema.Draft7Validator(SCHEMAS[kind]).iter_errors(yamltext.load("x.yaml", text).data)
    return sorted(".".join(str(part) for part in error.absolute_path) or error.validator for error in errors)


@pytest.mark.parametrize("kind", schema.KINDS)
def test_each_schema_is_a_schema(kind: str) -> None:
    jsonschema.Draft7Validator.check_schema(SCHEMAS[kind])

    assert SCHEMAS[kind]["$schema"] == "http://json-schema.org/draft-07/schema#"
    assert SCHEMAS[kind]["additionalProperties"] is False
    assert SCHEMAS[kind]["required"] == [kind]


def test_all_records_of_the_samples_pass() -> None:
    files = sorted(SAMPLES.rglob("*.yaml"))
    found = {}
    for path in files:
        file = yamltext.read(path)
        kind = next(iter(file.data))
        found[path.name] = refused(kind, path.read_text(encoding="utf-8"))

    assert len(files) > 60
    assert {name: errors for name, errors in found.items() if errors} == {}


@pytest.mark.parametrize(
    ("kind", "text", "at"),
    [
        ("tool", "tool: T1\nDC: 8.5\n", ["DC"]),
        ("tool", "tool: T1\nDC: 8,5 mm\n", ["DC"]),
        ("tool", "tool: T1\nDCC: 8.5 mm\n", ["additionalProperties"]),
        ("tool", "DC: 8.5 mm\n", ["required"]),
        ("tool", "tool: T1\nfluid: {thruogh: yes}\n", ["fluid"]),
        ("tool", "tool: T1\nkind: dril\n", ["kind"]),
        ("tool", "tool: T1\nZEFP: 2.5\n", ["ZEFP"]),
        ("tool", "tool: T1\nSIG: 140 mm\n", ["SIG"]),
        ("tool", "tool: T1\ninsert: maybe\n", ["insert"]),
        ("tool", "tool: T1\nfluid: {required: [flod]}\n", ["fluid.required"]),
        ("tool", "tool: T1\nfluid: yes\n", ["fluid"]),
        ("tool", "tool: T1\ncutting: [{vc: 3 m/min}]\n", ["cutting"]),
        ("tool", "tool: T1\nreviewed: 12.1.2026\n", ["reviewed"]),
        ("machine", "machine: M\nsupplies: [{mode: flod}]\n", ["supplies"]),
        ("machine", "machine: M\nspindle: {size: [1]}\n", ["spindle.size"]),
        ("fluid", "fluid: f\nconcentration: 6\n", ["concentration"]),
        ("material", "material: m\nsubgroup: 42\n", ["subgroup"]),
        ("material", "material: m\nmc: 1.5\n", ["mc"]),
        ("job", "job: j\nwaivers: [{rule: x}]\n", ["waivers"]),
    ],
)
def test_slips_are_refused_where_they_stand(kind: str, text: str, at: list[str]) -> None:
    assert refused(kind, text) == at


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("tool", "tool: 12\nDC: 1/4 in\nCNSC: 4\nZEFP: unknown\nLU: unknown\ninsert: unknown\n"),
        ("tool", 'tool: T1\nDC: 1/4"\nLU: 1 1/4 in\n'),
        ("material", "material: 1.4301\nkc1.1: 2150 N/mm²\nh range: {from: 50 µm}\nconductivity: 15 W/(m·K)\n"),
        ("machine", "machine: M\nspindle: {size: 40, top speed: 12000 1/min}\nsupplies: unknown\noff at: {tool change: []}\n"),
    ],
)
def test_what_coolcheck_accepts_passes(kind: str, text: str) -> None:
    assert refused(kind, text) == []


def test_every_spelling_of_the_table_passes_its_pattern() -> None:
    for dimension in units.dimensions():
        found = [field for kind in schema.KINDS for field in _all(schema.fields(kind)) if field.dimension == dimension]
        assert found, f"no field is {dimension}"
        value = _value(found[0])
        pattern = re.compile(value.get("anyOf", [value])[0]["pattern"])
        for spelling in units.spellings(dimension):
            assert pattern.search(f"1.5 {spelling}") and parse(f"1.5 {spelling}", dimension).si > 0, spelling


@pytest.mark.parametrize(
    ("kind", "text", "wrong"),
    [
        ("job", "job: x\ntop: 0\n", []),
        ("job", "job: x\ntop: 1\n", ["top"]),
        ("tool", "tool: x\nDC: 0\n", ["DC"]),
        ("fluid", "fluid: x\ntemperature: 0\n", ["temperature"]),
    ],
)
def test_zero_needs_no_unit_where_it_is_the_same_in_all(kind: str, text: str, wrong: list[str]) -> None:
    assert refused(kind, text) == wrong


def _all(fields: schema.Fields) -> list[schema.Field]:
    return [field for each in fields.values() for field in (each, *(_all(each.each) if each.each else ()))]


def test_descriptions_carry_units_and_symbols() -> None:
    properties = SCHEMAS["tool"]["properties"]

    assert properties["DC"]["description"] == "cutting diameter; with a unit, such as mm; ISO 13399 DC"
    assert properties["fluid"]["properties"]["least flow"]["description"].endswith("with a unit, such as L/min")
