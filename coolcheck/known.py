"""Yes, no, unknown: values that carry their evidence, and strong Kleene logic over them. Written once, here.

A `Known[T]` either has a value, with the evidence for it, or has none and says what would decide it.
A `Known[bool]` is a three-valued truth. Nobody else in the project tests `is None`.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import chain
from typing import Any, Generic, TypeVar

from coolcheck.place import Place

T = TypeVar("T")
U = TypeVar("U")


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing a value rests on: its name, its value as shown to people, and where it comes from.

    `value` is in `unit` (display unit, "" for none). `source` says how it is known: "program", "record", "computed",
    "assumed" or "comment". `note` holds the formula with its published source, or the text of the assumption.
    """

    name: str
    value: object
    unit: str = ""
    place: Place | None = None
    source: str = "record"
    note: str = ""

    def __hash__(self) -> int:
        return hash((self.name, self.value))  # tells most apart; evidence is gathered and made unique all the time


@dataclass(frozen=True, slots=True)
class Missing:
    """What would decide: a field of a record, or a thing the program would have to say.

    `record` is the kind and name ("tool T12", "machine"), `field` its key as written in YAML ("" when the record itself
    is missing), `question` a sentence a machinist can answer, `place` the file in which to write it when there is one.
    """

    record: str
    field: str
    question: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Known(Generic[T]):
    """A value with its evidence, or no value with what is missing. Make one with `known`, `unknown`, `yes`, `no`."""

    _value: T | None
    is_known: bool
    evidence: tuple[Evidence, ...] = ()
    missing: tuple[Missing, ...] = ()

    @property
    def value(self) -> T:
        """The value. Raises ValueError when it is not known: ask `is_known` first."""
        if not self.is_known:
            raise ValueError("the value is not known: " + "; ".join(m.question for m in self.missing))
        return self._value  # type: ignore[return-value]

    @property
    def is_yes(self) -> bool:
        """Known, and true."""
        return self.is_known and bool(self._value)

    @property
    def is_no(self) -> bool:
        """Known, and not true."""
        return self.is_known and not self._value

    def or_else(self, other: U) -> T | U:
        """The value, or `other` when it is not known. Only for showing a thing, never for deciding one."""
        return self._value if self.is_known else other  # type: ignore[return-value]

    def map(self, change: Callable[[T], U], *evidence: Evidence) -> "Known[U]":
        """`change` of the value with the same evidence and more; unknown stays unknown."""
        if not self.is_known:
            return Known(None, False, self.evidence, self.missing)
        return Known(change(self.value), True, self.evidence + evidence)

    def because(self, *evidence: Evidence) -> "Known[T]":
        """The same with more evidence."""
        return Known(self._value, self.is_known, merged(self.evidence + evidence), self.missing)


Truth = Known[bool]


def merged(items: Iterable[Any]) -> tuple[Any, ...]:
    """`items` in their order, each once."""
    found = tuple(items)
    return found if len(found) < 2 else tuple(dict.fromkeys(found))


def known(value: T, *evidence: Evidence) -> Known[T]:
    """`value`, resting on `evidence`."""
    return Known(value, True, evidence)


def unknown(*missing: Missing, evidence: tuple[Evidence, ...] = ()) -> Known[Any]:
    """No value; `missing` is what would decide it. At least one is needed: an unknown that cannot say why is a fault."""
    if not missing:
        raise ValueError("an unknown must say what would decide it")
    return Known(None, False, evidence, merged(missing))


def yes(*evidence: Evidence) -> Truth:
    """True, resting on `evidence`."""
    return Known(True, True, evidence)


def no(*evidence: Evidence) -> Truth:
    """False, resting on `evidence`."""
    return Known(False, True, evidence)


def negation(truth: Truth) -> Truth:
    """Kleene not."""
    return truth.map(lambda value: not value)


def every(truths: Iterable[Truth]) -> Truth:
    """Kleene and over any number: no as soon as one is no, unknown if none is no and one is unknown, else yes.

    A `no` carries the evidence of the first no; an unknown carries the missing of all unknowns.
    """
    evidence: list[Evidence] = []
    missing: list[Missing] = []
    for truth in truths:
        if truth.is_known and not truth._value:
            return truth
        evidence += truth.evidence
        missing += truth.missing
    if missing:
        return Known(None, False, merged(evidence), merged(missing))
    return Known(True, True, merged(evidence))


def some(truths: Iterable[Truth]) -> Truth:
    """Kleene or over any number: yes as soon as one is yes, unknown if none is yes and one is unknown, else no."""
    evidence: list[Evidence] = []
    missing: list[Missing] = []
    for truth in truths:
        if truth.is_known and truth._value:
            return truth
        evidence += truth.evidence
        missing += truth.missing
    if missing:
        return Known(None, False, merged(evidence), merged(missing))
    return Known(False, True, merged(evidence))


def combined(change: Callable[..., U], *values: Known[Any], because: Evidence | None = None) -> Known[U]:
    """`change` of all the values, or unknown with everything that is missing among them."""
    resting = [value.evidence for value in values if value.evidence]
    evidence = resting[0] if len(resting) == 1 else merged(chain.from_iterable(resting))
    for value in values:
        if not value.is_known:
            return Known(None, False, evidence, merged(missing for value in values for missing in value.missing))
    return Known(change(*[value.value for value in values]), True, (*evidence, because) if because else evidence)
