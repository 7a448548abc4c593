"""A condition of a rule: checked against the vocabulary when read, evaluated to yes, no or unknown.

Checked: every name is a fact of the scope or a limit of the rule, both sides of a comparison have one dimension, a word is one
that the fact can have. Evaluated by strong Kleene logic with `coolcheck.known`, so filling in an unknown never changes a
verdict; for that reason the language cannot ask whether a thing is known.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from coolcheck.errors import RuleError
from coolcheck.judge.language import ConditionError, Source, parsed
from coolcheck.judge.scene import Scene, Value
from coolcheck.judge.terms import Limit, TermReader, called, start_of
from coolcheck.judge.vocabulary import Vocabulary
from coolcheck.known import Truth


@dataclass(frozen=True)
class Condition:
    """A checked condition. `facts` are those it uses, as (scope, name); `names` the members it names, with their scope."""

    text: str
    scope: str
    facts: tuple[tuple[str, str], ...]
    names: Mapping[str, str]
    _truth: Value

    def holds(self, scene: Scene) -> Truth:
        """Yes, no or unknown, with evidence and what is missing."""
        return self._truth(scene)


def condition(source: Source, scope: str, vocabulary: Vocabulary, limits: Mapping[str, Limit]) -> Condition:
    """The condition in `source`, checked. Raises RuleError that points into the rule file and into the condition."""
    tree = parsed(source)
    reader = TermReader(vocabulary, limits)
    try:
        term = reader.term(tree.children[0], (scope,), 0)
        if term.kind != "truth":
            raise ConditionError(start_of(tree.children[0]), f"a condition must be true or false; this is {called(term)}")
    except ConditionError as wrong:
        raise RuleError(source.problem(wrong.position, wrong.says, wrong.do)) from None
    return Condition(source.text, scope, tuple(dict.fromkeys(reader.facts)), reader.names, term.of)
