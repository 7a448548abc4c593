"""Asks every rule of every object of its scope, and takes over what the reader of the program noted."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

from coolcheck.judge.condition import Scene
from coolcheck.judge.finding import Finding
from coolcheck.judge.merge import findings_of
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.template import Template
from coolcheck.judge.verdict import HOLDS, UNDECIDED, Blocks, Verdict, fingerprint
from coolcheck.judge.vocabulary import Vocabulary
from coolcheck.judge.waivers import Waiver, waived, waivers_of
from coolcheck.known import Known, Truth
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.nc.moves import Note
    from coolcheck.process.model import Timeline

_UNLISTED = Rule("unlisted", "reading", "note", "warning", "", Template(""), "", "program", Place("rules"))


@dataclass(frozen=True)
class Judgement:
    """What rules and reading say of one program.

    verdicts : what holds or cannot be decided, and is not accepted by a waiver; waived : what is, with its waiver
    accepted : how many verdicts a starting line has taken out
    """

    verdicts: tuple[Verdict, ...]
    waived: tuple[tuple[Verdict, Waiver], ...] = ()
    accepted: int = 0

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """One finding a cause, most harmful first."""
        return findings_of(self.verdicts)


def judge(
    timeline: "Timeline",
    rules: Sequence[Rule],
    today: date,
    *,
    notes: "Iterable[Note] | None" = None,
    vocabulary: Vocabulary | None = None,
) -> Judgement:
    """The judgement of a program by these rules; what its waivers accept is set apart. Rules that are off are not asked."""
    words = vocabulary or process_words(today)
    blocks = Blocks(timeline)
    told: dict[tuple[str, str, int], tuple[Any, Known[Any]]] = {}
    verdicts: list[Verdict] = []
    for rule in rules:
        if rule.when and not rule.off:
            verdicts += _verdicts(rule, timeline, words, blocks, told)
    verdicts += _noted(timeline.execution.notes if notes is None else notes, rules, blocks)
    kept, accepted, about = waived(verdicts, waivers_of(timeline, rules), rules, today)
    return Judgement((*kept, *about), accepted)


def verdict_of(rule: Rule, item: Any, timeline: "Timeline", vocabulary: Vocabulary) -> Truth:
    """Does the rule hold for one object: yes, no or unknown."""
    return rule.condition(vocabulary).holds(Scene(rule.scope, item, timeline, {}))


def _verdicts(
    rule: Rule, timeline: "Timeline", words: Vocabulary, blocks: Blocks, told: dict[tuple[str, str, int], tuple[Any, Known[Any]]]
) -> Iterable[Verdict]:
    condition = rule.condition(words)
    alike: dict[Hashable, tuple[Truth, Scene]] = {}  # objects of which every fact is the same need asking once
    for item in words.objects(rule.scope, timeline):
        key = words.alike(rule.scope, item, timeline)
        truth, scene = alike.get(key, (None, None)) if key is not None else (None, None)
        if truth is None or scene is None:
            scene = Scene(rule.scope, item, timeline, told)
            truth = condition.holds(scene)
            if key is not None:
                alike[key] = (truth, scene)
        if not truth.is_no:
            yield _verdict(rule, truth, scene, item, words, blocks)


def _verdict(rule: Rule, truth: Truth, scene: Scene, item: Any, words: Vocabulary, blocks: Blocks) -> Verdict:
    at = scene.met.get(rule.at, (rule.scope, item)) if scene.item is item else (rule.scope, item)
    place = words.place(*at, scene.timeline)
    subject = words.subject(rule.scope, item, scene.timeline)
    state = HOLDS if truth.is_known else UNDECIDED
    sentence = rule.says if truth.is_known else rule.asks
    return Verdict(
        rule=rule,
        state=state,
        where=place,
        says=sentence.told(scene, rule.limits, words),
        do=rule.do.told(scene, rule.limits, words),
        evidence=truth.evidence,
        missing=truth.missing,
        subject=subject,
        fingerprint=fingerprint(rule.id, state, subject, blocks.text(place)),
    )


def _noted(notes: "Iterable[Note]", rules: Sequence[Rule], blocks: Blocks) -> Iterable[Verdict]:
    """What the reader of the program noted, with level and advice from the rule of that id."""
    by_id = {rule.id: rule for rule in rules}
    for note in notes:
        rule = by_id.get(note.id) or replace(_UNLISTED, id=note.id)
        if not rule.off:
            says = note.says + (f" ({note.count} times)" if note.count > 1 else "")
            mark = fingerprint(rule.id, HOLDS, (), blocks.text(note.place))
            yield Verdict(rule, HOLDS, note.place, says, note.do or rule.do.text, fingerprint=mark)
