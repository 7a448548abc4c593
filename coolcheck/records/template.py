"""Writes a record to be filled in: what is known as values with where they come from, all other fields as comments."""

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from coolcheck.records import schema, units
from coolcheck.records.quantity import pretty
from coolcheck.records.schema import Field, Fields

_COLUMN = 34  # where the explanations begin
_MOST_COMMENT = 160
MARK = "FIRST"  # stands before what is to be filled in first


@dataclass(frozen=True)
class Filled:
    """A value to write, already as YAML (see `quoted`), and where it comes from."""

    value: str
    origin: str


def template(
    kind: str, head: Iterable[str], values: Mapping[str, Filled], tool_kind: str = "", notes: Iterable[str] = (),
    first: Collection[str] = (),
) -> str:  # fmt: skip
    """The text of a record file: `values` by field name, every other field as a comment; `notes` are comments at the end.

    first : names of the fields that are marked as those to fill in first
    """
    fields = Fields({name: _marked(field) if name in first else field for name, field in schema.fields(kind).items()})
    lines = [f"# {commented(line)}" for line in head]
    done: set[tuple[str, ...]] = set()
    for field in fields.values():
        section = field.path[:-1]
        if not section:
            lines += _field(field, values, tool_kind, "")
        elif section not in done:
            done.add(section)
            lines += _section(section, fields, values, tool_kind)
    lines += [f"# {commented(note)}" for note in notes]
    return "\n".join(lines) + "\n"


def _marked(field: Field) -> Field:
    return replace(field, says=f"{MARK}: {field.says}")


def quoted(text: str) -> str:
    """`text` as a YAML scalar that nothing in it can leave."""
    return json.dumps("".join(char if char.isprintable() else "?" for char in text), ensure_ascii=False)


def commented(text: str) -> str:
    """`text` as it may stand behind a `#`: one line, printable, not too long."""
    one_line = " ".join("".join(char if char.isprintable() else " " for char in text).split())
    return one_line if len(one_line) <= _MOST_COMMENT else one_line[: _MOST_COMMENT - 1] + "…"


def _section(section: tuple[str, ...], fields: Fields, values: Mapping[str, Filled], tool_kind: str) -> Iterator[str]:
    inside = [field for field in fields.values() if field.path[:-1] == section]
    written = [line for field in inside for line in _field(field, values, tool_kind, "  ")]
    if not written:
        return
    is_open = any(field.name in values for field in inside)
    yield f"{'' if is_open else '# '}{section[-1]}:"
    for line in written:
        yield line if is_open else "#   " + line.lstrip(" #")


def _field(field: Field, values: Mapping[str, Filled], tool_kind: str, indent: str) -> Iterator[str]:
    known = values.get(field.name)
    if known is not None:
        yield _aligned(f"{indent}{field.path[-1]}: {known.value}", commented(known.origin))
        return
    if tool_kind and field.kinds and tool_kind not in field.kinds:
        return
    yield _aligned(f"{indent}# {field.path[-1]}:", _explained(field))
    for inner in (field.each or {}).values():
        lead = "- " if field.each and inner is next(iter(field.each.values())) else "  "
        yield _aligned(f"{indent}#   {lead}{inner.name}:", _explained(inner))


def _explained(field: Field) -> str:
    """What a field is, and what may stand there."""
    parts = [field.says]
    if field.kind == "quantity":
        usual = dict.fromkeys((field.pretty_unit, *(pretty(unit) for unit in units.dimensions()[field.dimension].usual[:2])))
        parts.append("in " + " or ".join(usual))
    elif field.kind == "truth":
        parts.append("yes or no")
    elif field.words:
        parts.append(", ".join(field.words))
    elif field.kind == "date":
        parts.append("as 2026-01-31")
    if field.iso:
        parts.append(f"ISO 13399 {field.iso}")
    return "; ".join(parts)


def _aligned(text: str, comment: str) -> str:
    return f"{text:<{_COLUMN - 2}}  # {comment}" if comment else text
