"""What a condition is asked about, and the facts that are told of it."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from coolcheck.judge.vocabulary import Fact
from coolcheck.known import Evidence, Known, Missing, unknown


@dataclass(slots=True)
class Scene:
    """What a condition is asked about: an object of a scope, inside its program, and what was met on the way.

    `outer` is the scene a quantifier was asked in; `met` the objects that named members of quantifiers stood for;
    `told` remembers facts already worked out, by scope, name and object.
    """

    scope: str
    item: Any
    timeline: Any
    told: dict[tuple[str, str, int], tuple[Any, Known[Any]]]
    outer: "Scene | None" = None
    met: dict[str, tuple[str, Any]] = field(default_factory=dict)

    def tell(self, fact: Fact) -> Known[Any]:
        """The value of a fact here, with evidence."""
        key = (self.scope, fact.name, id(self.item))
        found = self.told.get(key)
        if found is None:  # the item stays alive with its id
            found = self.told[key] = (self.item, _vouched(fact, fact.of(self.item, self.timeline)))
        return found[1]


def _vouched(fact: Fact, value: Known[Any]) -> Known[Any]:
    """`value` with evidence of its own, and no number that is none."""
    if not value.is_known:
        return value
    if fact.kind == "number" and math.isnan(value.value):
        question = f"what is the {fact.name.replace('_', ' ')} here ({fact.says})? the program does not tell it"
        return unknown(Missing("program", "", question), evidence=value.evidence)
    name = fact.name.replace("_", " ")
    if "." in name or name in [item.name for item in value.evidence]:
        return value
    shown = Evidence(name, fact.shown(value.value), fact.unit, source=_source(fact.origin))
    return Known(value.value, True, (shown, *value.evidence), value.missing)


def _source(origin: str) -> str:
    return "computed" if origin == "physics" else origin


Value = Callable[[Scene], Known[Any]]
