"""Sentences with facts in them: "{name} pecks {strokes} times to {depth}"."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from coolcheck.errors import Problem
from coolcheck.judge.condition import Condition
from coolcheck.judge.finding import Measure
from coolcheck.judge.language import nearest
from coolcheck.judge.scene import Scene
from coolcheck.judge.terms import Limit
from coolcheck.judge.vocabulary import Fact, Vocabulary
from coolcheck.known import Evidence, Known
from coolcheck.place import Place
from coolcheck.records.quantity import pretty

_HOLE = re.compile(r"\{([^{}]*)\}")
TOOLS = "tools"  # {tools}: every tool that the finding tells of
LINE = "line"  # {line}, {roughing.line}: the line of the program


class Template:
    """A sentence of a rule. `place` is where it stands in the rule file."""

    def __init__(self, text: str, place: Place | None = None) -> None:
        self.text = text
        self.place = place or Place("rules")

    def __repr__(self) -> str:
        return f"Template({self.text!r})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Template) and self.text == other.text

    def __hash__(self) -> int:
        return hash(self.text)

    def names(self) -> list[str]:
        """What stands in the braces, in order."""
        return _HOLE.findall(self.text)

    def problems(self, condition: Condition, limits: Mapping[str, Limit], vocabulary: Vocabulary) -> list[Problem]:
        """What stands in braces and is nothing that can be told."""
        wrong = [name for name in self.names() if not _is_known(name, condition, limits, vocabulary)]
        says = f"is no fact of scope {condition.scope} and no limit of this rule"
        return [Problem(self.place, f"`{{{name}}}` {says}", self._offer(name, condition, limits, vocabulary)) for name in wrong]

    @staticmethod
    def _offer(name: str, condition: Condition, limits: Mapping[str, Limit], vocabulary: Vocabulary) -> str:
        known = [*limits, *vocabulary.names(condition.scope), *condition.names, TOOLS, LINE]
        return nearest(name, known) or f"`coolcheck explain --facts` lists the facts of scope {condition.scope}"

    def told(self, scene: Scene, limits: Mapping[str, Limit], vocabulary: Vocabulary) -> str:
        """The sentence about what `scene` shows. `{tools}` stays, for `with_tools`: only a finding knows them all."""
        return _HOLE.sub(lambda found: _said(found[1], scene, limits, vocabulary), self.text)

    def evidence(self, scene: Scene, vocabulary: Vocabulary) -> tuple[Evidence, ...]:
        """What the values in the sentence rest on: the few numbers that matter, in the order they are told."""
        told = (_found(name, scene, vocabulary) for name in self.names())
        return tuple(item for _, value in filter(None, told) if value.is_known for item in value.evidence)

    def measures(self, scene: Scene, vocabulary: Vocabulary) -> tuple[Measure, ...]:
        """The numbers of the sentence before they were rounded, in the order they are told, for who tells them in other units."""
        told = (_found(name, scene, vocabulary) for name in self.names())
        known = ((fact, value.value) for fact, value in filter(None, told) if fact.kind == "number" and value.is_known)
        return tuple((shown(fact, value), float(fact.shown(value))) for fact, value in known)

    def page(self) -> str:
        """The sentence as a rule page shows it: facts in angle brackets."""
        return _HOLE.sub(lambda found: "‹" + found[1].replace("_", " ") + "›", self.text)


def _is_known(name: str, condition: Condition, limits: Mapping[str, Limit], vocabulary: Vocabulary) -> bool:
    if name in (TOOLS, LINE) or name in limits or vocabulary.fact(condition.scope, name):
        return True
    member, _, rest = name.partition(".")
    scope = condition.names.get(member)
    return scope is not None and (rest == LINE or vocabulary.fact(scope, rest) is not None)


def _found(name: str, scene: Scene, vocabulary: Vocabulary) -> tuple[Fact, Known[Any]] | None:
    """The fact and value behind a name in braces; None for a limit, a line, a title, and a member that was not met."""
    member, _, rest = name.partition(".")
    if member in scene.met:
        scope, item = scene.met[member]
        return _found(rest, Scene(scope, item, scene.timeline, scene.told), vocabulary)
    fact = vocabulary.fact(scene.scope, name)
    return None if fact is None or fact.kind == "text" else (fact, scene.tell(fact))


def _said(name: str, scene: Scene, limits: Mapping[str, Limit], vocabulary: Vocabulary) -> str:
    if name == TOOLS:
        return "{tools}"
    if name in limits:
        return limits[name].written
    member, _, rest = name.partition(".")
    if member in scene.met:
        scope, item = scene.met[member]
        return _said(rest, Scene(scope, item, scene.timeline, scene.told), limits, vocabulary)
    if name == LINE:
        return str(vocabulary.place(scene.scope, scene.item, scene.timeline).line)
    fact = vocabulary.fact(scene.scope, name)
    if fact is None:  # a member that was not met: the condition was decided, or left open, without it
        return f"the {rest or name}".replace("_", " ")
    value = scene.tell(fact)
    if not value.is_known:
        return f"an unknown {fact.name.rpartition('.')[2]}".replace("_", " ")
    return shown(fact, value.value)


def with_tools(sentence: str, tools: Iterable[str]) -> str:
    """The sentence with these tools where it says `{tools}`.

    >>> with_tools("the change to {tools}", ["T12", "T3"]), with_tools("the change to {tools}", [""])
    ('the change to T3, T12', 'the change to a tool')
    """
    named = sorted(filter(None, tools), key=lambda name: (len(name), name))
    return sentence.replace("{" + TOOLS + "}", ", ".join(named) or "a tool")


def shown(fact: Fact, value: Any) -> str:
    """A value of a fact as a sentence has it: "32 bar", "peck drill"."""
    told = fact.shown(value)
    if fact.kind != "number":
        return str(told)
    unit = pretty(fact.unit)
    return f"{digits(float(told))} {unit}".strip()


def digits(number: float) -> str:
    """A number as people say it, three digits or the whole part.

    >>> digits(3055.4), digits(8.5), digits(12.34), digits(0.01234)
    ('3055', '8.5', '12.3', '0.0123')
    """
    if abs(number) >= 100:
        return f"{number:.0f}"
    return f"{number:.3g}"
