"""What the tests of judging share: a small vocabulary over plain dicts, and ways to ask conditions in it."""

from typing import Any

import pytest

from coolcheck.judge import units
from coolcheck.judge.condition import Condition, condition
from coolcheck.judge.dimensions import PLAIN
from coolcheck.judge.language import Source
from coolcheck.judge.scene import Scene
from coolcheck.judge.terms import Limit
from coolcheck.judge.vocabulary import Fact, Relation, Vocabulary
from coolcheck.known import Known, Missing, Truth, known, unknown
from coolcheck.place import Place

KINDS = ("drill", "peck_drill", "tap", "rough", "finish")
DECLARED = {
    "operation": {
        "name": ("text", ""),
        "kind": ("word", KINDS),
        "depth": ("number", "mm"),
        "diameter": ("number", "mm"),
        "ratio": ("number", ""),
        "pressure": ("number", "bar"),
        "hardens": ("truth", ""),
        "sealed": ("truth", ""),
        "allowed": ("words", ("flood", "mist")),
        "tool.DC": ("number", "mm"),
    },
    "passage": {"wet": ("truth", ""), "kind": ("word", KINDS), "depth": ("number", "mm"), "line": ("number", "")},
}


def small_words() -> Vocabulary:
    """Facts are read from the dicts of the tests; a key that is left out is unknown, and its own name is what is missing."""
    facts = {(scope, name): _fact(scope, name, *how) for scope, names in DECLARED.items() for name, how in names.items()}
    relations = {
        ("operation", "passage"): Relation("passage", False, lambda item, timeline: item.get("passages", [])),
        ("passage", "operation"): Relation("operation", True, lambda item, timeline: [item["operation"]]),
    }
    scopes = {"operation": "what one tool does in one go", "passage": "one engagement"}
    return Vocabulary(facts, relations, scopes, lambda scope, timeline: timeline, _place, lambda *_: ())


def _place(scope: str, item: Any, timeline: Any) -> Place:
    return Place("program.nc", int(item.get("at", 0)))


def _fact(scope: str, name: str, kind: str, how: Any) -> Fact:
    factor, offset, dimension = units.scale(how) if kind == "number" else (1.0, 0.0, PLAIN)
    unit = how if kind == "number" else ""
    words = how if isinstance(how, tuple) else ()

    def of(item: Any, timeline: Any) -> Known[Any]:
        if name in item:
            return known(item[name])
        return unknown(Missing("record", name, f"what is {name}?"))

    return Fact(name, scope, kind, f"the {name}", of, unit, dimension, factor, offset, words, "record", (f"record: {name}",))


WORDS = small_words()


@pytest.fixture(scope="session")
def words() -> Vocabulary:
    """The small vocabulary."""
    return WORDS


@pytest.fixture(scope="session")
def read():
    """Reads a condition of an operation."""

    def reading(text: str, limits: dict[str, Limit] | None = None, scope: str = "operation") -> Condition:
        return condition(Source(text), scope, WORDS, limits or {})

    return reading


@pytest.fixture(scope="session")
def ask(read):
    """Asks a condition of an operation that is given as facts in SI."""

    def asking(text: str, limits: dict[str, Limit] | None = None, **facts: Any) -> Truth:
        return read(text, limits).holds(Scene("operation", facts, None, {}))

    return asking
