"""Checks records together with the rules that their jobs name: a waiver may name no rule that is not there."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from coolcheck.errors import InputError, Problem
from coolcheck.judge.language import nearest
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rules import load_rules
from coolcheck.records.binding import folders_of
from coolcheck.records.check import Checkup, check
from coolcheck.records.record import Record

ALL = "`coolcheck explain --all` lists the rules"


def checkup(folder: Path, rules: Sequence[Path] = (), today: date | None = None) -> Checkup:
    """All that is wrong in the records and jobs of a folder and in the rules that its jobs name.

    rules : folders with rules of one's own that no job names
    """
    found = check(folder)
    jobs = [unknowns.record for unknowns in found.records if unknowns.record.kind == "job"]
    problems = [problem for job in jobs for problem in _of_rules(job, rules, today or date.today())]
    ordered = sorted(dict.fromkeys([*found.problems, *problems]), key=lambda problem: problem.place)
    return replace(found, problems=tuple(ordered))


def _of_rules(job: Record, more: Sequence[Path], today: date) -> Iterator[Problem]:
    """What is wrong in the rules of a job, or else in its waivers."""
    try:
        rules = load_rules((*folders_of(job, "rules", []), *more), process_words(today))
    except InputError as wrong:
        yield from wrong.problems
        return
    ids = [rule.id for rule in rules]
    for waiver in job.entries("waivers"):
        named = waiver.value_of("rule")
        if named is not None and named.si not in ids:
            yield Problem(named.place, f"there is no rule `{named.si}`", nearest(named.si, ids) or ALL)
