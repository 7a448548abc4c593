"""Walks the data of one record file along the declared fields: checked values out, and all that is wrong with its place."""

from typing import Any

from coolcheck.errors import Problem
from coolcheck.place import Place
from coolcheck.records import schema, values
from coolcheck.records.quantity import nearest
from coolcheck.records.record import Record, Section, Value, entry_name
from coolcheck.records.schema import Field, Fields
from coolcheck.yamltext import YamlFile, YamlPath

_SHAPES = {dict: "a section", list: "a list", type(None): "nothing"}


def record_of(file: YamlFile) -> tuple[Record | None, tuple[Problem, ...]]:
    """The record that a YAML file holds, and what is wrong with it; without a kind and a name there is no record."""
    data = file.data
    kind = next(iter(data), "") if isinstance(data, dict) else ""
    if kind not in schema.KINDS:
        return None, (_no_kind(file, kind),)
    checker = _Checker(file)
    parts = checker.record(kind)
    name = parts.values.get(kind)
    if name is None:
        return None, tuple(checker.problems)
    return Record(kind, str(name.si), file.name, file.place(), **parts.found()), tuple(checker.problems)


def _no_kind(file: YamlFile, first: str) -> Problem:
    kinds = ", ".join(f"`{kind}:`" for kind in schema.KINDS)
    if not isinstance(file.data, dict):
        says = "this file is empty" if file.data is None else "this is no record"
        return Problem(file.place(), says, f"a record begins with one of {kinds}")
    near = nearest(first, schema.KINDS)
    hint = f"did you mean `{near}:`? " if near else ""
    moved = [kind for kind in schema.KINDS if kind in file.data]
    if moved and not near:
        hint = f"move the line `{moved[0]}:` to the top; "
    return Problem(file.key_place((first,)), f"a record does not begin with `{first}`", f"{hint}it begins with one of {kinds}")


class _Parts:
    """What has been read of a section so far."""

    def __init__(self, name: str, label: str, prefix: str) -> None:
        self.name = name
        self.label = label
        self.prefix = prefix
        self.values: dict[str, Value] = {}
        self.lists: dict[str, tuple[Section, ...]] = {}
        self.stated_unknown: dict[str, Place] = {}

    def found(self) -> dict[str, Any]:
        """What a section is made with."""
        return {"values": self.values, "lists": self.lists, "stated_unknown": self.stated_unknown}


class _Checker:
    """Walks the data of one file along the declared fields."""

    def __init__(self, file: YamlFile) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def record(self, kind: str) -> _Parts:
        name = self.file.text((kind,)) if isinstance(self.file.data[kind], (str, int, float)) else ""
        parts = _Parts(name, f"{kind} {name}", "")
        self._keys(schema.fields(kind), self.file.data, (), (), parts)
        self._needed(schema.fields(kind), (), parts)
        return parts

    def _keys(self, fields: Fields, data: dict[str, Any], base: YamlPath, section: tuple[str, ...], parts: _Parts) -> None:
        for key, value in data.items():
            path, here = (*base, *section, key), (*section, key)
            if here in fields.paths:
                self._value(fields.paths[here], value, path, parts)
            elif here not in fields.sections:
                self._unknown_key(fields, section, path, value, parts)
            elif isinstance(value, dict):
                self._keys(fields, value, base, here, parts)
            else:
                self._say(path, f"`{key}` is a section, not {_shape(value)}", f"it may hold {_listed(fields.keys_in(here))}")

    def _value(self, field: Field, value: Any, path: YamlPath, parts: _Parts) -> None:
        if value is None:
            may = values.may_be(field) if field.kind != "list" else "write its items, or `[]` when there are none"
            self._say(path, f"`{field.name}` has no value", f"{may}; or leave the line out")
        elif value == schema.UNKNOWN and not field.needed:
            parts.stated_unknown[field.name] = self.file.place(path)
        elif field.kind == "list":
            self._list(field, value, path, parts)
        elif isinstance(value, dict) or (isinstance(value, list) and field.kind not in ("words", "texts")):
            self._say(path, f"`{field.name}` is one value, not {_shape(value)}", values.may_be(field))
        else:
            self._scalar(field, value, path, parts)

    def _scalar(self, field: Field, value: Any, path: YamlPath, parts: _Parts) -> None:
        try:
            if field.kind in ("words", "texts"):
                si, shown, written = values.check_words(field, self._texts(field, value, path))
            else:
                si, shown, written = values.check(field, self.file.text(path))
        except values.Unfit as error:
            self._say(path if error.item is None else (*path, error.item), error.says, error.do)
            return
        parts.values[field.name] = Value(si, shown, self.file.place(path), written)

    def _texts(self, field: Field, value: Any, path: YamlPath) -> list[str]:
        if not isinstance(value, list):
            return [self.file.text(path)]
        for index, item in enumerate(value):
            if item is None or isinstance(item, (dict, list)):
                raise values.Unfit(f"`{field.name}` is a list of words, and {_shape(item)} is none", values.may_be(field), index)
        return [self.file.text((*path, index)) for index in range(len(value))]

    def _list(self, field: Field, value: Any, path: YamlPath, parts: _Parts) -> None:
        assert field.each is not None
        if not isinstance(value, list):
            may = _listed(field.each.keys_in(()))
            self._say(path, f"`{field.name}` is a list, not {_shape(value)}", f"begin each item with `-`; it may hold {may}")
            return
        found: list[Section] = []
        for index, item in enumerate(value):
            section = self._item(field, item, (*path, index), index, parts)
            if section is not None:
                self._not_twice(field, section, found)
                found.append(section)
        parts.lists[field.name] = tuple(found)

    def _item(self, field: Field, item: Any, path: YamlPath, index: int, parts: _Parts) -> Section | None:
        assert field.each is not None
        if not isinstance(item, dict):
            may = _listed(field.each.keys_in(()))
            self._say(path, f"an item of `{field.name}` is a section, not {_shape(item)}", f"it may hold {may}")
            return None
        key = item.get(field.key) if field.key else None
        called = entry_name(field, key) if isinstance(key, (str, int)) else f"{field.name} {index + 1}"
        step = str(key) if isinstance(key, (str, int)) else str(index + 1)
        inner = _Parts(f"{called} of {parts.name}", parts.label, f"{parts.prefix}{field.name}.{step}.")
        self._keys(field.each, item, path, (), inner)
        self._needed(field.each, path, inner)
        return Section(field.each, inner.name, self.file.place(path), inner.label, inner.prefix, **inner.found())

    def _not_twice(self, field: Field, section: Section, found: list[Section]) -> None:
        if not field.unique or section.value_of(field.unique[0]) is None:
            return
        mine = [value.si if (value := section.value_of(name)) else None for name in field.unique]
        for other in found:
            if mine == [value.si if (value := other.value_of(name)) else None for name in field.unique]:
                called = " ".join(str(part) for part in mine if part is not None)
                first = other.place_of(field.unique[0])
                says = f"`{field.name}` lists `{called}` twice (first in line {first.line})"
                self.problems.append(Problem(section.place_of(field.unique[0]), says, "keep one of the two"))
                return

    def _needed(self, fields: Fields, path: YamlPath, parts: _Parts) -> None:
        for field in fields.values():
            stated = field.name in parts.values or field.name in parts.lists
            if field.needed and not stated and (*path, *field.path) not in self.file:
                where = f" of {parts.prefix.rstrip('.')}" if parts.prefix else ""
                self._say(path, f"`{field.name}`{where} is missing: {field.says}", f"add `{field.name}:`")

    def _unknown_key(self, fields: Fields, section: tuple[str, ...], path: YamlPath, value: Any, parts: _Parts) -> None:
        key = str(path[-1])
        inside = ".".join((*parts.prefix.rstrip(".").split("."), *section)).strip(".")
        where = f"`{inside}`" if inside else f"a {parts.label.split()[0]}"
        may = fields.keys_in(section)
        near = nearest(key, may)
        homes = [field.path[:-1] for field in fields.values() if field.path[-1] == key and field.path[:-1] != section]
        if homes:
            do = f"`{key}` belongs in the section `{'.'.join(homes[0])}`" if homes[0] else f"`{key}` stands outside of sections"
        elif near:
            do = f"did you mean `{near}`?"
        elif value is None:
            do = f"a text with a comma in it needs quotes; or else it may hold {_listed(may)}"
        else:
            do = f"it may hold {_listed(may)}"
        self.problems.append(Problem(self.file.key_place(path), f"{where} has no field `{key}`", do))

    def _say(self, path: YamlPath, says: str, do: str) -> None:
        self.problems.append(Problem(self.file.place(path), says, do))


def _shape(value: Any) -> str:
    return _SHAPES.get(type(value), f"`{value}`")


def _listed(keys: list[str]) -> str:
    return ", ".join(f"`{key}`" for key in keys)
