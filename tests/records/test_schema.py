"""The declared fields make sense: a slip in their YAML would otherwise show only when a record uses the field."""

import pytest

from coolcheck import yamltext
from coolcheck.records import schema, units
from coolcheck.records.schema import Field, Fields

KEYS = {
    "is",
    "unit",
    "of",
    "says",
    "ask",
    "needed",
    "over",
    "least",
    "most",
    "key",
    "unique",
    "each",
    "iso",
    "for",
    "if",
    "aside",
}


def everything(fields: Fields) -> list[tuple[Fields, Field]]:
    return [pair for field in fields.values() for pair in ((fields, field), *(everything(field.each) if field.each else ()))]


ALL = [(kind, fields, field) for kind in schema.KINDS for fields, field in everything(schema.fields(kind))]


@pytest.mark.parametrize("kind", schema.KINDS)
def test_a_record_begins_with_its_name(kind: str) -> None:
    first = next(iter(schema.fields(kind).values()))

    assert (first.name, first.kind, first.needed) == (kind, "text", True)


@pytest.mark.parametrize("kind", schema.KINDS)
def test_declarations_use_only_known_keys(kind: str) -> None:
    def walk(declared: dict[str, dict]) -> None:
        for name, of in declared.items():
            assert set(of) <= KEYS, name
            walk(of.get("each", {}))

    walk(yamltext.read(schema._FIELDS / f"{kind}.yaml").data)


def test_kinds_of_value_and_units_are_known() -> None:
    for _, _, field in ALL:
        assert field.kind in schema.PLAIN_KINDS or (field.dimension in units.dimensions() and field.unit), field.name
        assert bool(field.words) == (field.kind in ("word", "words")), field.name
        assert (field.each is not None) == (field.kind == "list"), field.name


def test_what_a_field_refers_to_is_declared() -> None:
    tool_kinds = schema.fields("tool")["kind"].words
    for _, fields, field in ALL:
        assert set(field.kinds) <= set(tool_kinds), field.name
        assert not field.given or field.given in fields, field.name
        assert field.each is None or {field.key, *field.unique} - {""} <= set(field.each), field.name


def test_a_truth_asks_a_question_that_yes_or_no_answers() -> None:
    for _, _, field in ALL:
        if field.kind == "truth":
            question = field.question("T12")
            assert question.endswith("?") and question.split()[0] in ("is", "does", "can", "may", "do"), field.name


def test_questions_name_what_they_ask_about() -> None:
    assert schema.fields("tool")["DC"].question("T12") == "what is the cutting diameter of T12?"
    assert schema.fields("holder")["sealed"].question("collet 3") == "is collet 3 sealed around the tool shank?"
    assert all("{" not in field.question("X") for _, _, field in ALL)


def test_a_dot_before_a_digit_makes_no_section() -> None:
    assert schema.fields("material")["kc1.1"].path == ("kc1.1",)
    assert schema.fields("material")["h range.from"].path == ("h range", "from")


def test_an_unknown_kind_is_a_fault_of_the_caller() -> None:
    with pytest.raises(LookupError, match="tol"):
        schema.fields("tol")
