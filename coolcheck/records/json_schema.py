"""The JSON Schema of each kind of record, so that editors complete and check them. Draft 7: what editors of YAML understand.

A schema knows spelling, kinds and units; ranges and what records say of each other are checked by `coolcheck records check`.
"""

import re
from typing import Any

from coolcheck.records import schema, units
from coolcheck.records.schema import Field, Fields

_NUMBER = r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?"
_FRACTION = r"[+-]?(\d+[ -])?\d+/\d+"
_ANSWERS = ["yes", "no", schema.UNKNOWN, True, False]
_DRAFT = "http://json-schema.org/draft-07/schema#"


def json_schemas() -> dict[str, dict[str, Any]]:
    """The schema of every kind of record, by kind."""
    return {kind: json_schema(kind) for kind in schema.KINDS}


def json_schema(kind: str) -> dict[str, Any]:
    """The schema of one kind of record."""
    return {
        "$schema": _DRAFT,
        "title": f"coolcheck {kind} record",
        "description": f"The first key is `{kind}`. A field that is left out is unknown, and so is one that says `unknown`.",
        **_object(schema.fields(kind)),
    }


def _object(fields: Fields, section: tuple[str, ...] = ()) -> dict[str, Any]:
    properties: dict[str, Any] = {}
    required = []
    for key in fields.keys_in(section):
        here = (*section, key)
        field = fields.paths.get(here)
        if field is None:
            properties[key] = _object(fields, here)
            continue
        properties[key] = _property(field)
        if field.needed:
            required.append(key)
    rest = {"required": required} if required else {}
    return {"type": "object", "properties": properties, "additionalProperties": False} | rest


def _property(field: Field) -> dict[str, Any]:
    return {"description": _description(field), **_value(field)}


def _description(field: Field) -> str:
    parts = [field.says]
    if field.unit:
        parts.append(f"with a unit, such as {field.pretty_unit}")
    if field.iso:
        parts.append(f"ISO 13399 {field.iso}")
    return "; ".join(parts)


def _value(field: Field) -> dict[str, Any]:
    if field.kind == "quantity":
        written = {"type": "string", "pattern": _or_unknown(_quantity(field.dimension))}
        return {"anyOf": [written, {"enum": [0, "0"]}]} if _may_be_zero(field) else written
    if field.kind == "truth":
        return {"enum": list(_ANSWERS)}
    if field.kind == "word":
        return {"enum": _words(field, unknown=True)}
    if field.kind in ("words", "texts"):
        item = {"enum": _words(field, unknown=False)} if field.words else _text()
        return {"anyOf": [{"type": "array", "items": item, "uniqueItems": True}, item, {"const": schema.UNKNOWN}]}
    if field.kind == "list":
        assert field.each is not None
        return {"anyOf": [{"type": "array", "items": _object(field.each)}, {"const": schema.UNKNOWN}]}
    if field.kind in ("count", "number"):
        return {"anyOf": [_plain(field), {"const": schema.UNKNOWN}]}
    if field.kind == "date":
        return {"type": "string", "pattern": _or_unknown(r"\d{4}-\d{2}-\d{2}")}
    return _text()


def _text() -> dict[str, Any]:
    """Any scalar: `size: 40` and `material: 1.4301` are texts to coolcheck and numbers to an editor."""
    return {"type": ["string", "number", "boolean"], "minLength": 1}


def _words(field: Field, unknown: bool) -> list[object]:
    """The words, and for those that look like numbers (`CNSC: 4`) or answers (`fitted: yes`) what an editor makes of them."""
    words: list[object] = list(field.words)
    words += [int(word) for word in field.words if word.isdigit()]
    if not unknown:
        return words
    return words if field.needed else [*words, schema.UNKNOWN]


def _plain(field: Field) -> dict[str, Any]:
    limits = {"exclusiveMinimum": field.over, "minimum": field.least, "maximum": field.most}
    if field.kind == "count" and field.least is None and field.over is None:
        limits["minimum"] = 0
    kind = "integer" if field.kind == "count" else "number"
    return {"type": kind} | {name: limit for name, limit in limits.items() if limit is not None}


def _quantity(dimension: str) -> str:
    """A number and a unit. Where pint knows more units than the table, any word may stand for the unit."""
    known = {form for spelling in units.spellings(dimension) for form in _forms(spelling)}
    unit = "|".join(re.escape(form).replace("/", r"\/") for form in sorted(known, key=lambda form: (-len(form), form)))
    if units.dimensions()[dimension].other:
        unit += r"|[A-Za-z_][A-Za-z_0-9*\/^()]*"
    return rf"({_NUMBER}|{_FRACTION})\s*({unit})"


def _may_be_zero(field: Field) -> bool:
    """May it be zero, which needs no unit."""
    return units.zero_needs_no_unit(field.dimension) and field.over is None and (field.least or 0.0) <= 0.0


def _forms(spelling: str) -> set[str]:
    """The ways in which people write one spelling of the table: mm**2, mm², mm^2, mm2; um, µm."""
    signs = (("**2", "**3"), ("²", "³"), ("^2", "^3"), ("2", "3"))
    powers = {spelling.replace("**2", two).replace("**3", three) for two, three in signs}
    dots = {form.replace("*", "·") for form in powers if "**" not in form}
    return powers | dots | ({"µm"} if spelling == "um" else set())


def _or_unknown(pattern: str) -> str:
    return f"^({schema.UNKNOWN}|{pattern})$"
