"""The words a rule may use: facts, relations and scopes. It is handed to whoever reads or judges rules, never global.

`judge.process_words` makes the one that reviews use; tests make small ones of their own.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from coolcheck.judge.dimensions import PLAIN, Dimension
from coolcheck.known import Known, Missing, unknown
from coolcheck.place import Place

KINDS = ("number", "truth", "word", "words", "text")


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing a rule may ask of an object of `scope`.

    kind : one of KINDS; unit : in which a number is shown, `factor` and `offset` of it to SI: si = shown · factor + offset
    words : what a word fact can be, () when anything; says : its meaning; origin : program | record | computed | physics
    of : its value for an object, in SI; needs : record fields that decide it, for the rule pages
    """

    name: str
    scope: str
    kind: str
    says: str
    of: Callable[[Any, Any], Known[Any]]
    unit: str = ""
    dimension: Dimension = PLAIN
    factor: float = 1.0
    offset: float = 0.0
    words: tuple[str, ...] = ()
    origin: str = "computed"
    needs: tuple[str, ...] = ()

    def shown(self, value: Any) -> Any:
        """`value` as people are shown it: numbers in `unit`, words without underscores."""
        if self.kind == "number":
            return (value - self.offset) / self.factor
        if self.kind == "truth":
            return "yes" if value else "no"
        if self.kind == "words":
            return ", ".join(word.replace("_", " ") for word in value)
        return str(value).replace("_", " ") if self.kind == "word" else value


@dataclass(frozen=True, slots=True)
class Relation:
    """From an object of one scope to objects of `scope`: all of them in order, or `one`."""

    scope: str
    one: bool
    of: Callable[[Any, Any], Iterable[Any]]


@dataclass(frozen=True, eq=False)
class Vocabulary:
    """Facts by (scope, name), relations by (scope, word), what a scope is, and how its objects are found and named.

    Each is equal to itself alone, so that what was read against one can be remembered with it.
    """

    facts: Mapping[tuple[str, str], Fact]
    relations: Mapping[tuple[str, str], Relation]
    scopes: Mapping[str, str]
    objects: Callable[[str, Any], Iterable[Any]]
    place: Callable[[str, Any, Any], Place]
    subject: Callable[[str, Any, Any], tuple[tuple[str, str], ...]]
    alike: Callable[[str, Any, Any], Hashable | None] = lambda scope, item, timeline: (
        None
    )  # objects with one key have equal facts

    def fact(self, scope: str, name: str) -> Fact | None:
        """The fact of that name in that scope; `operation.depth` of a step is the depth of its one operation."""
        fact = self.facts.get((scope, name))
        if fact is not None or "." not in name:
            return fact
        word, rest = name.split(".", 1)
        relation = self.relations.get((scope, word))
        further = self.fact(relation.scope, rest) if relation and relation.one else None
        return _through(relation, further, scope, name) if relation and further else None

    def names(self, scope: str) -> list[str]:
        """Every name that a condition of that scope may use."""
        own = [name for of, name in self.facts if of == scope]
        for (of, word), relation in self.relations.items():
            if of == scope and relation.one:
                own += [f"{word}.{name}" for further, name in self.facts if further == relation.scope]
        return own

    def many(self, scope: str, word: str) -> Relation | None:
        """The relation that a quantifier of that scope may name."""
        relation = self.relations.get((scope, word))
        return relation if relation and not relation.one else None


def _through(relation: Relation, fact: Fact, scope: str, name: str) -> Fact:
    """`fact` of the one object that `relation` leads to."""

    def of(item: Any, timeline: Any) -> Known[Any]:
        for further in relation.of(item, timeline):
            return fact.of(further, timeline)
        return unknown(Missing("program", "", f"there is nothing {name.split('.')[0]} this {scope}"))

    return replace(fact, name=name, scope=scope, of=of)
