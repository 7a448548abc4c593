"""A finding: one cause, with every place it shows in."""

from collections.abc import Sequence
from dataclasses import dataclass

from coolcheck.known import Evidence, Missing
from coolcheck.place import Place

LEVELS = ("error", "warning", "note")  # SARIF's levels, most harmful first

Measure = tuple[str, float]  # a number as a sentence tells it, "17.8 mm", and the number itself in that unit


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a person should know, and what to do about it.

    rule : id of the rule; level : error | warning | note; verdict : "holds" | "undecided"
    where : the first place; also : the other places of the same cause, in order
    says : one sentence; why, do, basis : from the rule; evidence : what it rests on; missing : what would decide it
    subject : what it is about, in words a waiver can name: {"tool": "T12", "operation": "3", "hole": "X10 Y20"}
    mends : name of the rewrite that would mend it, "" for none
    rules : of an undecided one, every rule that the same answers would decide, most harmful first
    measures : the numbers in `says` and `do` before they were rounded, for who tells them in other units
    """

    rule: str
    level: str
    verdict: str
    where: Place
    says: str
    why: str
    do: str
    basis: str
    evidence: Sequence[Evidence] = ()
    missing: tuple[Missing, ...] = ()
    also: Sequence[Place] = ()
    subject: tuple[tuple[str, str], ...] = ()
    mends: str = ""
    group: str = ""
    fingerprint: str = ""
    rules: tuple[str, ...] = ()
    measures: tuple[Measure, ...] = ()
