"""What a record may hold: the declarations of `fields/*.yaml`, read once."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from coolcheck import yamltext
from coolcheck.records import quantity, units

KINDS = ("machine", "holder", "tool", "material", "fluid", "job")
FOLDERS = {"machine": "machines", "holder": "holders", "tool": "tools", "material": "materials", "fluid": "fluids"}
PLAIN_KINDS = ("truth", "word", "words", "text", "texts", "count", "number", "date", "list")
UNKNOWN = "unknown"  # may stand for any field that is not needed

_FIELDS = Path(__file__).parent / "fields"
_SECTION = re.compile(r"\.(?=[A-Za-z])")  # `spindle.size` lies in a section, `kc1.1` does not


@dataclass(frozen=True)
class Field:
    """One declared field.

    name : as declared, with a dot where it lies in a section; kind : one of PLAIN_KINDS, or "quantity" of a `dimension`
    unit : in which it is shown; words : what a word may be; over, least, most : range, SI for quantities
    key, unique, each : of a list, the field that names a section, those that may not agree twice, the fields of a section
    kinds : of tools that have it, () for all; given : the field that must not say no for it to matter; aside : decides nothing
    """

    name: str
    kind: str
    says: str
    ask: str = ""
    dimension: str = ""
    unit: str = ""
    iso: str = ""
    needed: bool = False
    words: tuple[str, ...] = ()
    over: float | None = None
    least: float | None = None
    most: float | None = None
    key: str = ""
    unique: tuple[str, ...] = ()
    each: "Fields | None" = None
    kinds: tuple[str, ...] = ()
    given: str = ""
    aside: bool = False

    @cached_property
    def path(self) -> tuple[str, ...]:
        """The keys that lead to it in a file."""
        return path_of(self.name)

    @property
    def pretty_unit(self) -> str:
        """The unit as people print it."""
        return quantity.pretty(self.unit)

    def question(self, name: str) -> str:
        """What to ask a person when the record `name` does not tell it."""
        return (self.ask or f"what is the {self.says} of {{name}}?").replace("{name}", name)


class Fields(Mapping[str, Field]):
    """The fields of a record or section by name, in the order declared; and the sections that hold them."""

    def __init__(self, fields: dict[str, Field]) -> None:
        self._fields = fields
        self.paths = {field.path: field for field in fields.values()}
        self.sections = {path[:-1] for path in self.paths if len(path) > 1}

    def __getitem__(self, name: str) -> Field:
        return self._fields[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._fields)

    def __len__(self) -> int:
        return len(self._fields)

    def keys_in(self, section: tuple[str, ...]) -> list[str]:
        """The keys that may stand in a section; () is the record itself."""
        depth = len(section)
        return list(dict.fromkeys(path[depth] for path in self.paths if path[:depth] == section and len(path) > depth))


def path_of(name: str) -> tuple[str, ...]:
    """The keys that lead to a field.

    >>> path_of("fluid.exit diameter"), path_of("kc1.1")
    (('fluid', 'exit diameter'), ('kc1.1',))
    """
    return tuple(_SECTION.split(name))


@cache
def fields(kind: str) -> Fields:
    """The declared fields of a kind of record."""
    if kind not in KINDS:
        raise LookupError(f"there is no kind of record called {kind!r}")
    return _fields(yamltext.read(_FIELDS / f"{kind}.yaml").data)


def _fields(declared: dict[str, Any]) -> Fields:
    return Fields({name: _field(name, of) for name, of in declared.items()})


def _field(name: str, of: dict[str, Any]) -> Field:
    kind = of["is"] if of["is"] in PLAIN_KINDS else "quantity"
    dimension = of["is"] if kind == "quantity" else ""
    over, least, most = (_limit(of.get(side), dimension) for side in ("over", "least", "most"))
    if dimension and over is None and least is None:
        over, least = units.dimensions()[dimension].over, units.dimensions()[dimension].least
    return Field(
        name=name,
        kind=kind,
        says=of["says"],
        ask=of.get("ask", ""),
        dimension=dimension,
        unit=of.get("unit", ""),
        iso=of.get("iso", ""),
        needed=of.get("needed") == "yes",
        words=tuple(of.get("of", ())),
        over=over,
        least=least,
        most=most,
        key=of.get("key", ""),
        unique=tuple(of.get("unique", (of["key"],) if "key" in of else ())),
        each=_fields(of["each"]) if "each" in of else None,
        kinds=tuple(of.get("for", ())),
        given=of.get("if", ""),
        aside=of.get("aside") == "yes",
    )


def _limit(stated: object, dimension: str) -> float | None:
    if stated is None:
        return None
    return quantity.parse(str(stated), dimension).si if dimension else float(str(stated))
