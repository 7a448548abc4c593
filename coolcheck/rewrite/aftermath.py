"""What a review says before and after: a rewrite must not bring new harm, nor build on an operation that is wrong."""

from collections.abc import Iterable, Sequence
from datetime import date

from coolcheck.judge.evaluate import judge
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.verdict import HOLDS, Verdict
from coolcheck.process.model import Timeline
from coolcheck.rewrite.refusal import Refusal

HARMFUL = ("error", "warning")  # a note is no harm


def harms(timeline: Timeline, rules: Sequence[Rule], today: date) -> tuple[Verdict, ...]:
    """Every verdict of harm, certain or open, waived ones left out."""
    judged = judge(timeline, [rule for rule in rules if rule.level in HARMFUL], today, notes=(), vocabulary=process_words(today))
    return tuple(judged.each())


def still_wrong(after: Iterable[Verdict]) -> tuple[Verdict, ...]:
    """The certain errors of the new program: holes of such a tool are not converted while they stand."""
    return tuple(verdict for verdict in after if verdict.state == HOLDS and verdict.rule.level == "error")


def awakened(before: Iterable[Verdict], after: Iterable[Verdict]) -> tuple[Verdict, ...]:
    """What is said of the new program, by rule and tool, and was not said of the old one; an open question counts as said."""
    known = {(verdict.rule.id, verdict.about("tool")) for verdict in before if verdict.state == HOLDS}
    asked = {(verdict.rule.id, verdict.about("tool")) for verdict in before if verdict.state != HOLDS}
    return tuple(
        verdict
        for verdict in after
        if (key := (verdict.rule.id, verdict.about("tool"))) not in known and (verdict.state == HOLDS or key not in asked)
    )


def stands_in_the_way(verdict: Verdict, refused: Refusal) -> Refusal:
    """Why holes are not converted: something is wrong with the operation as it is."""
    says = f"{verdict.about('tool') or 'this tool'} is left as it is while this stands: {verdict.says} [{verdict.rule.id}]"
    return Refusal(refused.where, refused.mend, refused.tool, says, (), verdict.evidence, verdict.do)


def would_bring(verdict: Verdict, refused: Refusal) -> Refusal:
    """Why a mend is left: with it, something new would be wrong or open."""
    what = "would be wrong" if verdict.state == HOLDS else "would be open"
    says = f"with this mend something new {what}: {verdict.says} [{verdict.rule.id}]"
    return Refusal(refused.where, refused.mend, refused.tool, says, verdict.missing, verdict.evidence, verdict.do)
