"""Turns the tree of a condition into terms that can be asked, checking names, dimensions and words on the way."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lark import Token, Tree

from coolcheck.judge import dimensions, units
from coolcheck.judge.dimensions import PLAIN, Dimension
from coolcheck.judge.language import DEEPEST, ConditionError, nearest
from coolcheck.judge.scene import Scene, Value
from coolcheck.judge.sequence import Sequence as Members
from coolcheck.judge.vocabulary import Fact, Vocabulary
from coolcheck.known import Evidence, Known, Missing, combined, every, known, negation, some, unknown
from coolcheck.records.quantity import NotAQuantity

CLOSE = 1e-9  # numbers nearer than this, relative, are the same: 40 mm worked out in metres is still 40 mm


@dataclass(frozen=True, slots=True)
class Limit:
    """A named threshold of a rule: SI value, dimension, and the quantity as the rule file writes it."""

    name: str
    value: float
    dimension: Dimension
    written: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Term:
    """A checked part of a condition: what kind of value it gives, and how."""

    kind: str
    of: Value
    dimension: Dimension = PLAIN
    words: tuple[str, ...] = ()
    name: str = ""


class TermReader:
    """Turns a tree into terms, checking as it goes. `scopes` is the scope a name is looked up in, then those around it."""

    def __init__(self, vocabulary: Vocabulary, limits: Mapping[str, Limit]) -> None:
        self._vocabulary = vocabulary
        self._limits = limits
        self.facts: list[tuple[str, str]] = []
        self.names: dict[str, str] = {}

    def term(self, node: Any, scopes: tuple[str, ...], depth: int) -> Term:
        """The term that a node of the tree stands for."""
        if depth > DEEPEST:
            raise ConditionError(start_of(node), f"more than {DEEPEST} levels inside each other", "make two rules of it")
        return getattr(self, f"_{node.data}")(node, scopes, depth + 1)  # type: ignore[no-any-return]

    # logic

    def _truths(self, nodes: Sequence[Any], scopes: tuple[str, ...], depth: int) -> list[Value]:
        terms = [self.term(node, scopes, depth) for node in nodes]
        for node, term in zip(nodes, terms, strict=True):
            if term.kind != "truth":
                raise ConditionError(start_of(node), f"here something true or false is needed; this is {called(term)}")
        return [term.of for term in terms]

    def _any_of(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        parts = self._truths(node.children, scopes, depth)
        return Term("truth", lambda scene: some(part(scene) for part in parts))

    def _all_of(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        parts = self._truths(node.children, scopes, depth)
        return Term("truth", lambda scene: every(part(scene) for part in parts))

    def _negation(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        (part,) = self._truths(node.children[1:], scopes, depth)
        return Term("truth", lambda scene: negation(part(scene)))

    # tests

    def _comparison(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        left, sign, right = node.children
        one, other = self._numbers((left, right), scopes, depth)
        self._alike(node, one, other)
        compare = _RELATIONS[str(sign)]
        first, second = one.of, other.of
        return Term("truth", lambda scene: combined(compare, first(scene), second(scene)))

    def _is_word(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        return self._word_test(node, scopes, depth, wanted=True)

    def _is_not_word(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        return self._word_test(node, scopes, depth, wanted=False)

    _is_one_of = _is_word
    _is_none_of = _is_not_word

    def _word_test(self, node: Tree[Token], scopes: tuple[str, ...], depth: int, wanted: bool) -> Term:
        subject, _, *listed = node.children
        term = self.term(subject, scopes, depth)
        if term.kind not in ("word", "text"):
            raise ConditionError(start_of(subject), f"only a word can be asked with `is`; this is {called(term)}", _instead(term))
        words = {self._word(item, term) for item in listed}
        of = term.of
        return Term("truth", lambda scene: of(scene).map(lambda value: (value in words) == wanted))

    def _includes(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        subject, _, item = node.children
        term = self.term(subject, scopes, depth)
        if term.kind != "words":
            raise ConditionError(
                start_of(subject), f"only a list of words can include one; this is {called(term)}", _instead(term)
            )
        word = self._word(item, term)
        of = term.of
        return Term("truth", lambda scene: of(scene).map(lambda value: word in value))

    @staticmethod
    def _word(node: Any, term: Term) -> str:
        (token,) = node.children
        word = str(token).strip('"')
        if term.words and word not in term.words:
            do = nearest(word, term.words) or "it can be " + ", ".join(term.words)
            raise ConditionError(start_of(token), f"`{term.name}` is never `{word}`", do)
        return word

    # numbers

    def _numbers(self, nodes: Sequence[Any], scopes: tuple[str, ...], depth: int) -> list[Term]:
        terms = [self.term(node, scopes, depth) for node in nodes]
        for node, term in zip(nodes, terms, strict=True):
            if term.kind != "number":
                raise ConditionError(start_of(node), f"here a number is needed; this is {called(term)}", _instead(term))
        return terms

    @staticmethod
    def _alike(node: Tree[Token], one: Term, other: Term) -> None:
        if one.dimension != other.dimension:
            says = f"{dimensions.shown(one.dimension)} cannot be compared with {dimensions.shown(other.dimension)}"
            at = node.children[-1]
            raise ConditionError(start_of(at), says, "write the unit that belongs there, such as `40 mm` or `20 bar`")

    def _arithmetic(self, node: Tree[Token], scopes: tuple[str, ...], depth: int, sign: str) -> Term:
        one, other = self._numbers(node.children, scopes, depth)
        if sign in "+-":
            self._alike(node, one, other)
            dimension = one.dimension
        else:
            dimension = (dimensions.product if sign == "*" else dimensions.ratio)(one.dimension, other.dimension)
        first, second = one.of, other.of
        if sign == "/":
            return Term("number", lambda scene: _divided(first(scene), second(scene)), dimension)
        work = _ARITHMETIC[sign]
        return Term("number", lambda scene: combined(work, first(scene), second(scene)), dimension)

    def _plus(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        return self._arithmetic(node, scopes, depth, "+")

    def _minus(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        return self._arithmetic(node, scopes, depth, "-")

    def _times(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        return self._arithmetic(node, scopes, depth, "*")

    def _over(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        return self._arithmetic(node, scopes, depth, "/")

    def _opposite(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        (term,) = self._numbers(node.children[1:], scopes, depth)
        of = term.of
        return Term("number", lambda scene: of(scene).map(lambda value: -value), term.dimension)

    def _quantity(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        number, unit = node.children
        try:
            value, dimension = units.quantity(str(number), str(unit) if unit else "")
        except units.UnknownUnit as wrong:
            raise ConditionError(start_of(unit), f"`{unit}` is no unit that is known here", wrong.do) from None
        except NotAQuantity as wrong:
            raise ConditionError(
                start_of(number), f"`{number}` is out of any range", "write a number that the trade uses"
            ) from wrong
        constant = known(value)
        return Term("number", lambda scene: constant, dimension)

    # names

    def _fact(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        token = node.children[0]
        name = str(token)
        if name in self._limits:
            limit = self._limits[name]
            evidence = Evidence(name.replace("_", " "), limit.written, "", None, "rule", limit.says)
            constant = known(limit.value, evidence)
            return Term("number", lambda scene: constant, limit.dimension, (), name)
        for steps, scope in enumerate(scopes):
            fact = self._vocabulary.fact(scope, name)
            if fact:
                self.facts.append((scope, name))
                return Term(fact.kind, _asked(fact, steps), fact.dimension, fact.words, name)
        offered = nearest(name, [*self._limits, *(word for scope in scopes for word in self._vocabulary.names(scope))])
        raise ConditionError(
            start_of(token), f"`{name}` is no fact of scope {scopes[0]} and no limit of this rule",
            offered or f"`coolcheck explain --facts` lists the facts of scope {scopes[0]}",
        )  # fmt: skip

    # quantifiers

    def _quantified(self, node: Tree[Token], scopes: tuple[str, ...], depth: int) -> Term:
        quantifier, first, *rest = node.children
        assert isinstance(first, Tree)
        word = str(first.children[0])
        relation = self._vocabulary.many(scopes[0], word)
        if relation is None:
            words = [
                name for scope, name in self._vocabulary.relations if self._vocabulary.many(scope, name) and scope == scopes[0]
            ]
            says = f"scope {scopes[0]} has no list called `{word}`"
            do = nearest(word, words) or (f"it has {', '.join(words)}" if words else "a condition here has no `some` or `every`")
            raise ConditionError(start_of(first), says, do)
        if rest and quantifier == "every":
            raise ConditionError(start_of(quantifier), "`every` cannot be followed; a sequence is asked with `some` or `no`")
        members = [self._member(item, word, relation.scope, scopes, depth) for item in (first, *rest[1::2])]
        at_once = ["once" in str(token) for token in rest[0::2]]

        def scenes(scene: Scene) -> list[Scene]:
            items = relation.of(scene.item, scene.timeline)
            return [Scene(relation.scope, item, scene.timeline, scene.told, scene) for item in items]

        if quantifier == "every":
            ask = members[0][1]
            return Term("truth", lambda scene: every(ask(inner) for inner in scenes(scene)))
        sequence = Members(tuple(members), tuple(at_once))
        if quantifier == "no":
            return Term("truth", lambda scene: negation(sequence.found(scene, scenes(scene))))
        return Term("truth", lambda scene: sequence.found(scene, scenes(scene)))

    def _member(self, node: Any, word: str, scope: str, scopes: tuple[str, ...], depth: int) -> tuple[str, Value]:
        token, name, inside = node.children
        if str(token) != word:
            raise ConditionError(start_of(token), f"a sequence stays in one list; here `{word}` is needed, not `{token}`")
        (truth,) = self._truths([inside], (scope, *scopes), depth)
        if name:
            if self.names.get(str(name), scope) != scope:
                raise ConditionError(start_of(name), f"`{name}` is used for two kinds of thing")
            self.names[str(name)] = scope
        return (str(name) if name else "", truth)


def start_of(node: Any) -> int:
    while isinstance(node, Tree):
        node = node.children[0]
    return getattr(node, "start_pos", 0)


def called(term: Term) -> str:
    """What a term is, in words."""
    if term.kind == "number":
        return dimensions.shown(term.dimension)
    return {"truth": "true or false", "word": "a word", "words": "a list of words", "text": "a text"}[term.kind]


def _asked(fact: Fact, steps: int) -> Value:
    """How a fact is read from a scene, or from the scene `steps` around it."""

    def ask(scene: Scene) -> Known[Any]:
        for _ in range(steps):
            assert scene.outer is not None
            scene = scene.outer
        return scene.tell(fact)

    return ask


def _instead(term: Term) -> str:
    """How a fact of that kind is asked."""
    name = term.name or "it"
    ways = {
        "truth": f"write `{name}` or `not {name}`",
        "number": f"compare it: `{name} > 1`",
        "word": f"write `{name} is …`",
        "text": f"write `{name} is …`",
        "words": f"write `{name} includes …`",
    }
    return ways[term.kind]


def _more(one: float, other: float) -> bool:
    return one > other and not _same(one, other)


def _same(one: float, other: float) -> bool:
    return one == other or math.isclose(one, other, rel_tol=CLOSE)


def _divided(one: Known[float], other: Known[float]) -> Known[float]:
    """One over the other; unknown when the other is known to be zero."""
    if other.is_known and other.value == 0:
        question = "a number that another is divided by is zero; which of the values shown is wrong?"
        return unknown(Missing("program", "", question), evidence=one.evidence + other.evidence)
    return combined(lambda a, b: a / b, one, other)


_RELATIONS: Mapping[str, Callable[[float, float], bool]] = {
    ">": _more,
    "<": lambda one, other: _more(other, one),
    ">=": lambda one, other: not _more(other, one),
    "<=": lambda one, other: not _more(one, other),
    "=": _same,
}
_ARITHMETIC: Mapping[str, Callable[[float, float], float]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
}
