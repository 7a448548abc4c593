"""Dialect records: how one family of controls reads a program. Data in `grammars/dialects/`, never branches in code."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from coolcheck.errors import DialectError, Problem
from coolcheck.nc.macros import Arithmetic
from coolcheck.nc.semantics import Semantics
from coolcheck.place import Place
from coolcheck.shipped import shipped
from coolcheck.yamltext import YamlFile, load

DEFAULT = "word-address-mill"


@dataclass(frozen=True)
class Dialect:
    """One family of controls.

    decimal_point : "as_written", or "least_increment" where a number without a point counts least increments
    increment : the least increment by address letter, mm first, then inch; addresses not named are as written
    o_words : flow control by O-words
    arithmetic, meaning : how it calculates, what its codes do
    """

    name: str
    says: str
    decimal_point: str
    increment: tuple[float, float]
    increment_letters: frozenset[str]
    o_words: bool
    arithmetic: Arithmetic
    meaning: Semantics


def dialect_names() -> tuple[str, ...]:
    """The dialects that ship with coolcheck."""
    return tuple(sorted(path.stem for path in (shipped("grammars") / "dialects").glob("*.yaml")))


@lru_cache(maxsize=16)
def load_dialect(name: str = DEFAULT) -> Dialect:
    """The dialect of that name, or in the YAML file of that path. Raises DialectError."""
    path = Path(name) if name.endswith((".yaml", ".yml")) else shipped("grammars") / "dialects" / f"{name}.yaml"
    try:
        text = path.read_bytes()
    except OSError as fault:
        known = ", ".join(dialect_names())
        raise DialectError(Problem(Place(name), "there is no such dialect", f"name one of: {known}; or a YAML file")) from fault
    return _dialect(load(str(path), text), path.stem)


_KEYS = {"dialect", "says", "like", "decimal point", "increment", "increment letters", "o words", "arithmetic", "meaning"}


def _dialect(file: YamlFile, name: str) -> Dialect:
    data = file.data
    if not isinstance(data, dict):
        raise DialectError(Problem(Place(name), "a dialect record is a list of keys", "see grammars/dialects for examples"))
    unknown = [Problem(file.key_place((key,)), f"a dialect record has no key {key!r}") for key in data if key not in _KEYS]
    if unknown:
        raise DialectError(unknown)
    increment = data.get("increment", [0.001, 0.0001])
    return Dialect(
        name=str(data.get("dialect", name)),
        says=str(data.get("says", "")),
        decimal_point=_one_of(file, "decimal point", data.get("decimal point", "as_written"), ("as_written", "least_increment")),
        increment=(float(increment[0]), float(increment[1])),
        increment_letters=frozenset(str(data.get("increment letters", "")).split()),
        o_words=data.get("o words", False) in (True, "yes"),
        arithmetic=_arithmetic(file, data.get("arithmetic", {})),
        meaning=Semantics.of(
            data.get("meaning", {}), file.place(("meaning",)) if "meaning" in data else Place(file.name), _base(file, data)
        ),
    )


def _base(file: YamlFile, data: dict[str, Any]) -> Semantics | None:
    """The meaning of the shipped dialect that this one is `like`: what its record leaves out is the same there."""
    if "like" not in data:
        return None
    if data["like"] not in dialect_names() or data["like"] == data.get("dialect"):
        known = ", ".join(dialect_names())
        raise DialectError(Problem(file.place(("like",)), f"no shipped dialect is {data['like']!r}", f"name one of: {known}"))
    return load_dialect(str(data["like"])).meaning


def _one_of(file: YamlFile, key: str, value: Any, choices: tuple[str, ...]) -> str:
    if value not in choices:
        raise DialectError(Problem(file.place((key,)), f"{key} is {value!r}", f"write one of: {', '.join(choices)}"))
    return str(value)


def _arithmetic(file: YamlFile, data: dict[str, Any]) -> Arithmetic:
    usual = Arithmetic()
    rows = data.get("precedence")
    return Arithmetic(
        precedence=tuple(tuple(str(o) for o in row) for row in rows) if rows else usual.precedence,
        fix=str(data.get("fix", usual.fix)),
        logic=str(data.get("logic", usual.logic)),
        same_within=float(data.get("same within", usual.same_within)),
    )
