"""A record as the rest of coolcheck sees it: fields that are known, with their evidence, or unknown, with what to ask."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from coolcheck.known import Evidence, Known, Missing, known, unknown
from coolcheck.place import Place
from coolcheck.records import schema
from coolcheck.records.schema import Field, Fields


@dataclass(frozen=True, slots=True)
class Value:
    """A checked value: `si` for computing, `shown` in the field's own unit for people, `written` when that differs."""

    si: Any
    shown: object
    place: Place
    written: str = ""


class Section:
    """Named values that belong together: a whole record, or one item of a list in it.

    `name` is how people call it ("T12", "through_tool of Lathe 2"); `place` is where it stands.
    """

    def __init__(
        self,
        fields: Fields,
        name: str,
        place: Place,
        label: str,
        prefix: str = "",
        values: Mapping[str, Value] | None = None,
        lists: Mapping[str, tuple["Section", ...]] | None = None,
        stated_unknown: Mapping[str, Place] | None = None,
        absent: Missing | None = None,
        is_present: bool = True,
    ) -> None:
        self.fields = fields
        self.name = name
        self.place = place
        self.is_present = is_present
        self._label = label
        self._prefix = prefix
        self._values = dict(values or {})
        self._lists = dict(lists or {})
        self._stated_unknown = dict(stated_unknown or {})
        self._absent = absent
        self._known: dict[str, Known[Any]] = {}

    def __repr__(self) -> str:
        return f"<{self._label}{' ' + self._prefix.rstrip('.') if self._prefix else ''}>"

    def field(self, name: str) -> Known[Any]:
        """What the record says of a field, in SI; unknown when it says nothing. Raises LookupError for a field never declared."""
        found = self._known.get(name)
        if found is None:
            found = self._known[name] = self._field(self._declared(name))
        return found

    def has(self, name: str) -> bool:
        """The record says something of this field: a value, or a list even if empty."""
        self._declared(name)
        return name in self._values or name in self._lists

    def entries(self, name: str) -> tuple["Section", ...]:
        """The sections of a list, in the order written; none when the list is left out (see `has`)."""
        self._declared(name)
        return self._lists.get(name, ())

    def entry(self, name: str, key: object) -> "Section":
        """The section of a list that is called `key`; one that knows nothing when the list has none."""
        declared = self._declared(name)
        for section in self.entries(name):
            value = section._values.get(declared.key)
            if value is not None and value.si == key:
                return section
        return self._no_entry(declared, key)

    def value_of(self, name: str) -> Value | None:
        """The value as checked, for those who compare records with each other."""
        return self._values.get(name)

    def place_of(self, name: str) -> Place:
        """Where the value of a field stands, or where the section stands."""
        value = self._values.get(name)
        return value.place if value else self.place

    def unknown_fields(self) -> tuple[Field, ...]:
        """The fields of which it says nothing, in the order declared."""
        return tuple(declared for declared in self.fields.values() if not self.has(declared.name))

    def _declared(self, name: str) -> Field:
        declared = self.fields.get(name)
        if declared is None:
            raise LookupError(f"{self._label} has no field {self._prefix}{name}: it is not declared")
        return declared

    def _field(self, declared: Field) -> Known[Any]:
        if self._absent is not None:
            return unknown(self._absent)
        value = self._values.get(declared.name)
        if value is None:
            return unknown(self._missing(declared))
        evidence = Evidence(
            name=f"{declared.name} of {self.name}",
            value=value.shown,
            unit=declared.pretty_unit,
            place=value.place,
            source="record",
            note=f"written {value.written}" if value.written else "",
        )
        return known(value.si, evidence)

    def _missing(self, declared: Field) -> Missing:
        place = self._stated_unknown.get(declared.name, Place(self.place.file))
        return Missing(self._label, self._prefix + declared.name, declared.question(self.name), place)

    def _no_entry(self, declared: Field, key: object) -> "Section":
        assert declared.each is not None
        return Section(
            fields=declared.each,
            name=f"{entry_name(declared, key)} of {self.name}",
            place=Place(self.place.file),
            label=self._label,
            prefix=f"{self._prefix}{declared.name}.{key}.",
            absent=self._absent,
            is_present=False,
        )


def entry_name(declared: Field, key: object) -> str:
    """How people call a section of a list: by its key, a number with the letter of its field (T12)."""
    is_number = declared.each is not None and bool(declared.key) and declared.each[declared.key].kind == "count"
    return f"{declared.key}{key}" if is_number else str(key)


class Record(Section):
    """One record file, or the place of one that is not there: then every field is unknown, and asks for the record."""

    def __init__(self, kind: str, name: str, file: str, place: Place, **more: Any) -> None:
        super().__init__(schema.fields(kind), name, place, f"{kind} {name}".strip(), **more)
        self.kind = kind
        self.file = file

    @classmethod
    def absent(cls, kind: str, missing: Missing, name: str = "") -> "Record":
        """A record that is not there; `missing` says what would decide it."""
        place = missing.place or Place("")
        return cls(kind, name, place.file, place, absent=missing, is_present=False)


@dataclass
class Shelf:
    """Records by kind and name. `broken` are those whose file cannot be read: the file, by kind and name."""

    records: dict[str, dict[str, Record]] = field(default_factory=lambda: {kind: {} for kind in schema.KINDS})
    broken: dict[tuple[str, str], str] = field(default_factory=dict)

    def get(self, kind: str, name: str) -> Record | None:
        """The record of that kind and name."""
        return self.records[kind].get(name)

    def names(self, kind: str) -> Iterable[str]:
        """The names of all records of a kind."""
        return self.records[kind]

    def all(self) -> tuple[Record, ...]:
        """Every record, by kind and then by name."""
        return tuple(self.records[kind][name] for kind in schema.KINDS for name in sorted(self.records[kind]))
