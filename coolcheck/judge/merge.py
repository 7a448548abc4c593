"""One cause, one finding: what holds is told once a rule and tool, what cannot be decided once a missing field."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from coolcheck.errors import advice
from coolcheck.judge.finding import LEVELS, Finding
from coolcheck.judge.rule import MENDED_AT
from coolcheck.judge.template import with_tools
from coolcheck.judge.verdict import HOLDS, UNDECIDED, Verdict
from coolcheck.known import Missing, merged
from coolcheck.place import Place

_INDEX = re.compile(r"(?<=\.)\d+(?=\.|$)")

PROGRAM = "program"
NO_RECORDS = (PROGRAM, "physics")  # what a `Missing` may name that is no record file

Question = tuple[str, str]  # kind of record, and field of it: `holder`, `sealed`


def findings_of(verdicts: Sequence[Verdict]) -> tuple[Finding, ...]:
    """The findings of a program, most harmful first: by level, what holds before what is undecided, then by place."""
    holding = [_held(group) for group in _by_rule_and_tool(verdict for verdict in verdicts if verdict.state == HOLDS)]
    undecided = _asked([verdict for verdict in verdicts if verdict.state == UNDECIDED])
    return tuple(sorted([*holding, *undecided], key=_harm))


def _harm(finding: Finding) -> tuple[int, bool, Place, str]:
    return (LEVELS.index(finding.level), finding.verdict != HOLDS, finding.where, finding.rule)


# what holds


def _by_rule_and_tool(verdicts: Iterable[Verdict]) -> Iterable[list[Verdict]]:
    groups: dict[tuple[str, ...], list[Verdict]] = {}
    for verdict in verdicts:
        place = verdict.about("tool") if verdict.rule.together == "tool" else ""
        is_note = verdict.times > 0
        is_of_something = not is_note and (verdict.subject or verdict.count > 1)
        sentence = verdict.pattern if is_note else verdict.says
        key = (verdict.rule.id, place) if is_of_something else (verdict.rule.id, "", sentence)
        groups.setdefault(key, []).append(verdict)
    return groups.values()


def _held(group: list[Verdict]) -> Finding:
    first = group[0]
    return Finding(
        rule=first.rule.id,
        level=first.rule.level,
        verdict=HOLDS,
        where=first.where,
        says=often(_told(first.pattern or first.says, group), sum(verdict.times for verdict in group)),
        why=first.rule.why,
        do=advice(_told(first.do, group)),
        basis=first.rule.basis,
        evidence=first.evidence,
        also=_places(group),
        subject=_subject(group),
        mends=first.rule.mends,
        group=first.rule.group,
        fingerprint=first.fingerprint,
        measures=first.measures,
    )


def often(says: str, times: int) -> str:
    """What the reader of a program noted, with how often."""
    return f"{says} ({times} times)" if times > 1 else says


def _places(group: Iterable[Verdict]) -> tuple[Place, ...]:
    """Every place but the first, each once."""
    first, *more = group
    return merged(place for verdict in (first, *more) for place in verdict.places)[1:] if more else first.also


def _told(sentence: str, group: Iterable[Verdict]) -> str:
    """The sentence with every tool of the group in it."""
    return with_tools(sentence, merged(verdict.about("tool") for verdict in group))


def _subject(group: Sequence[Verdict]) -> tuple[tuple[str, str], ...]:
    """What all of them are about."""
    shared = set(group[0].subject).intersection(*(verdict.subject for verdict in group))
    return tuple(part for part in group[0].subject if part in shared)


# what cannot be decided


def question(missing: Missing) -> Question:
    """What is asked, whichever tool or holder it is asked of: `holder of T1` and `holder of T2` are one question."""
    return (missing.record.partition(" ")[0], _INDEX.sub("*", missing.field))


def _asked(verdicts: list[Verdict]) -> Iterable[Finding]:
    """As few findings as there must be answers: a verdict goes with the question that most verdicts wait for.

    Whatever else it waits for is told where it is told by no finding of its own, so every missing field stands somewhere.
    """
    verdicts = _without_absent(verdicts)
    left = [(verdict, {question(missing) for missing in verdict.missing}) for verdict in verdicts]
    groups: list[tuple[Question, list[Verdict]]] = []
    while left:
        waiting: Counter[Question] = Counter()
        for verdict, questions in left:
            waiting.update(dict.fromkeys(questions, verdict.count))
        most = min(waiting, key=lambda asked: (-waiting[asked], asked))
        groups.append((most, [verdict for verdict, questions in left if most in questions]))
        left = [(verdict, questions) for verdict, questions in left if most not in questions]
    own = {asked for asked, _ in groups}
    for asked, group in groups:
        yield _open(asked, group, own)
        own |= {question(missing) for verdict in group for missing in verdict.missing}


def _without_absent(verdicts: list[Verdict]) -> list[Verdict]:
    """The verdicts with one question for a record that is not there at all, in place of one for each of its fields."""
    asked = (missing for verdict in verdicts for missing in verdict.missing)
    absent = {missing.record: missing for missing in asked if not missing.field and missing.record not in NO_RECORDS}
    return [
        replace(verdict, missing=merged(absent.get(missing.record, missing) for missing in verdict.missing))
        if any(missing.record in absent for missing in verdict.missing)
        else verdict
        for verdict in verdicts
    ]


def _open(asked: Question, group: list[Verdict], own: set[Question]) -> Finding:
    group = sorted(group, key=_tells_most)
    first = group[0]
    missing = merged(missing for verdict in group for missing in verdict.missing)
    told = [item for item in missing if question(item) == asked] + [item for item in missing if question(item) not in own]
    return Finding(
        rule=first.rule.id,
        level="note" if all(_is_ours(item) for item in told) else first.rule.level,
        verdict=UNDECIDED,
        where=first.where,
        says=_told(first.pattern or first.says, group),
        why=first.rule.why,
        do=advice(_answer(told)),
        basis=first.rule.basis,
        evidence=first.evidence,
        missing=tuple(told),
        also=_places(group),
        subject=_subject(group),
        mends=first.rule.mends,
        group=first.rule.group,
        fingerprint=first.fingerprint,
        rules=merged(verdict.rule.id for verdict in group),
        measures=first.measures,
    )


def _tells_most(verdict: Verdict) -> tuple[int, bool, int]:
    """Whose question stands for all that wait for one answer: the most harmful, and of those what the program shows already."""
    rule = verdict.rule
    return LEVELS.index(rule.level), not verdict.is_met, MENDED_AT.index(rule.mended_at)


def _is_ours(missing: Missing) -> bool:
    """Nobody can answer it: no formula or table reaches there."""
    return missing.record == "physics"


def _answer(missing: Sequence[Missing]) -> str:
    """Where the answer belongs."""
    first = missing[0]
    if _is_ours(first):
        return "Decide it by the tool maker's instructions: what is published does not reach this case."
    more = f"; {len(missing) - 1} more are asked below" if len(missing) > 1 else ""
    if first.record == PROGRAM and not first.field:
        return f"Look yourself, no record answers it; then mend the program, or waive this{more}."
    if first.place and first.field:
        return f"write `{first.field}` in {first.place.file}{more}"
    return (
        f"{first.question.rstrip('?')}? name the record in the job file{more}" if not first.field else f"{first.question}{more}"
    )
