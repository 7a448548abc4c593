"""What a fact is: a named function from an object of a scope to a value that is known, or says what is missing.

Meaning, unit and kind of every fact stand in `fact_names.yaml`; here is only how each is worked out.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias, TypeVar

from coolcheck.known import Evidence, Known, Missing, Truth, combined, known, unknown
from coolcheck.physics import OutOfRange
from coolcheck.process.model import Timeline

Work: TypeAlias = Callable[[Any, Timeline], Known[Any]]
W = TypeVar("W", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: `of(object, timeline)` gives its value, numbers in SI."""

    scope: str
    name: str
    of: Work


FACTS: dict[tuple[str, str], Fact] = {}


def fact(*scopes: str, name: str = "") -> Callable[[W], W]:
    """Registers a function as the fact of that name (or of its own) in each scope."""

    def register(work: W) -> W:
        for scope in scopes:
            key = scope, name or work.__name__
            if key in FACTS:
                raise ValueError(f"two facts are called {key}")
            FACTS[key] = Fact(scope, key[1], work)
        return work

    return register


def meaningless(says: str) -> Known[Any]:
    """A number that has no meaning for this object; `says` why."""
    return unknown(Missing("program", "", says))


def computed(name: str, value: float, unit: str = "", note: str = "") -> Evidence:
    """Evidence of a computed value, as shown."""
    return Evidence(name, float(f"{value:.6g}"), unit, source="computed", note=note)


def assumed(name: str, value: object, unit: str, note: str) -> Evidence:
    """Evidence of an assumption, said so."""
    return Evidence(name, value, unit, source="assumed", note=note)


def by_formula(name: str, unit: str, scale: float, note: str, work: Callable[..., float], *values: Known[Any]) -> Known[float]:
    """`work` of the values, with its evidence shown in `unit`; unknown with the reason where a formula does not reach."""
    ready: Known[tuple[Any, ...]] = combined(lambda *found: found, *values)
    if not ready.is_known:
        return unknown(*ready.missing, evidence=ready.evidence)
    try:
        value = work(*ready.value)
    except OutOfRange as reason:
        return out_of_range(name, reason, *ready.evidence)
    return known(value, computed(name, value * scale, unit, note), *ready.evidence)


def out_of_range(name: str, reason: OutOfRange, *evidence: Evidence) -> Known[Any]:
    """Unknown, because no formula or table reaches: with the reason."""
    return unknown(Missing("physics", "", f"{name} cannot be computed: {reason}"), evidence=tuple(evidence))


def counted(value: int, name: str, *evidence: Evidence) -> Known[float]:
    """A count."""
    return known(float(value), Evidence(name, value, source="program"), *evidence)


def said(answer: bool, name: str, note: str, source: str = "program", *evidence: Evidence) -> Truth:
    """A truth with why."""
    return known(answer, Evidence(name, "yes" if answer else "no", source=source, note=note), *evidence)
