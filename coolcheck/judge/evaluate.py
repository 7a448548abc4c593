"""Asks every rule of every object of its scope, and takes over what the reader of the program noted."""

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

from coolcheck.judge.finding import Finding
from coolcheck.judge.merge import findings_of, often
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.scene import Scene
from coolcheck.judge.template import Template, with_tools
from coolcheck.judge.verdict import HOLDS, UNDECIDED, Blocks, Verdict, fingerprint
from coolcheck.judge.vocabulary import Vocabulary
from coolcheck.judge.waivers import Waiver, waived, waivers_of
from coolcheck.known import Evidence, Known, Truth, merged
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.nc.moves import Note
    from coolcheck.process.model import Timeline

_UNLISTED = Rule("unlisted", "reading", "note", "warning", "", Template(""), "", "program", Place("rules"))


@dataclass(frozen=True)
class Judgement:
    """What rules and reading say of one program.

    verdicts : what holds or cannot be decided, and is not accepted by a waiver, once for objects that are alike
    waived : what is accepted, with its waiver
    known : what a starting line takes as known: it makes no run fail, and stands against running unattended all the same
    """

    verdicts: tuple[Verdict, ...]
    waived: tuple[tuple[Verdict, Waiver], ...] = ()
    known: tuple[Verdict, ...] = ()

    @property
    def accepted(self) -> int:
        """How many verdicts a starting line takes as known."""
        return sum(verdict.count for verdict in self.known)

    def each(self) -> Iterator[Verdict]:
        """The verdicts, one for each object."""
        for verdict in self.verdicts:
            yield from verdict.each()

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """One finding a cause, most harmful first."""
        return findings_of(self.verdicts)

    @cached_property
    def known_findings(self) -> tuple[Finding, ...]:
        """What a starting line takes as known, one finding a cause."""
        return findings_of(self.known)


def judge(
    timeline: "Timeline",
    rules: Sequence[Rule],
    today: date,
    *,
    notes: "Iterable[Note] | None" = None,
    vocabulary: Vocabulary | None = None,
) -> Judgement:
    """The judgement of a program by these rules; what its waivers accept is set apart. Rules that are off are not asked.

    Of a subprogram by itself only what reading noted is told: tool, speed, fluid and heights are those of its caller.
    """
    is_alone = timeline.execution.is_subprogram
    asking = _Asking(timeline, vocabulary or process_words(today), Blocks(timeline))
    asked = [] if is_alone else [rule for rule in rules if rule.when and not rule.off]
    verdicts = [verdict for rule in asked for verdict in asking.verdicts(rule)]
    verdicts += _noted(timeline.execution.notes if notes is None else notes, rules, asking.blocks)
    kept, accepted, about = waived(verdicts, waivers_of(timeline, rules), rules, today)
    about = [verdict for verdict in about if not is_alone or verdict.rule.id != "unused-waiver"]
    return Judgement((*kept, *about), accepted)


@dataclass
class _Group:
    """Objects of a scope of which every fact is the same, with what is worked out of all of them once."""

    scope: str
    items: list[Any]
    words: Vocabulary
    timeline: "Timeline"

    @cached_property
    def places(self) -> list[Place]:
        """Where each of them stands."""
        return [self.words.place(self.scope, item, self.timeline) for item in self.items]

    @cached_property
    def subject(self) -> tuple[tuple[str, str], ...]:
        """What all of them are about."""
        shared = self.subject_of(0)
        for at in range(1, len(self.items)):
            if not any(word in _OWN for word, _ in shared):
                break
            other = self.subject_of(at)
            shared = tuple(part for part in shared if part in other)
        return shared

    def subject_of(self, at: int) -> tuple[tuple[str, str], ...]:
        """What one of them is about."""
        return self.words.subject(self.scope, self.items[at], self.timeline)


_OWN = ("hole",)  # what a subject can name that objects with equal facts need not share


@dataclass
class _Asking:
    """What asking many rules of one program shares: the objects of each scope in groups of like ones, and facts already told."""

    timeline: "Timeline"
    words: Vocabulary
    blocks: Blocks
    told: dict[tuple[str, str, int], tuple[Any, Known[Any]]] = field(default_factory=dict)
    _groups: dict[str, list[_Group]] = field(default_factory=dict)

    def groups(self, scope: str) -> list[_Group]:
        """The objects of a scope; those of which every fact is the same stand together and need asking once."""
        if scope not in self._groups:
            found: dict[Hashable, list[Any]] = {}
            for number, item in enumerate(self.words.objects(scope, self.timeline)):
                key = self.words.alike(scope, item, self.timeline)
                found.setdefault(number if key is None else ("alike", key), []).append(item)
            self._groups[scope] = [_Group(scope, items, self.words, self.timeline) for items in found.values()]
        return self._groups[scope]

    def verdicts(self, rule: Rule) -> Iterable[Verdict]:
        """Where the rule holds or cannot be decided."""
        groups = self.groups(rule.scope)
        if not groups:
            return
        condition = rule.condition(self.words)
        for group in groups:
            scene = Scene(rule.scope, group.items[0], self.timeline, self.told)
            truth = condition.holds(scene)
            if not truth.is_no:
                yield self._verdict(rule, truth, scene, group)

    def _verdict(self, rule: Rule, truth: Truth, scene: Scene, group: _Group) -> Verdict:
        """The verdict of the like objects: what is said is the same, where it stands is not."""
        state = HOLDS if truth.is_known else UNDECIDED
        sentence = rule.says if truth.is_known else rule.asks
        pattern, remedy = (text.told(scene, rule.limits, self.words) for text in (sentence, rule.do))
        evidence = merged((*sentence.evidence(scene, self.words), *truth.evidence))
        measures = (*sentence.measures(scene, self.words), *rule.do.measures(scene, self.words))
        places = self._places(rule, scene, group)
        is_met = rule.at in scene.met

        def of(at: int) -> Verdict:
            subject = group.subject_of(at)
            mark = fingerprint(rule.id, state, subject, self.blocks.text(places[at]))
            tools = [dict(subject).get("tool", "")]
            says, do = with_tools(pattern, tools), with_tools(remedy, tools)
            return Verdict(rule, state, places[at], says, do, evidence, truth.missing, subject, mark, pattern, measures, is_met)

        if len(places) == 1:
            return of(0)
        also = merged(places)[1:]
        return replace(of(0), subject=group.subject, count=len(places), also=also, alone=of)

    def _places(self, rule: Rule, scene: Scene, group: _Group) -> list[Place]:
        """Where a verdict on each of the like objects points: what `at` names may be a fact, whose block it is then."""
        fact = self.words.fact(rule.scope, rule.at)
        if fact is not None:
            told = [fact.of(item, self.timeline).evidence for item in group.items]
            return [written(evidence) or place for evidence, place in zip(told, group.places, strict=True)]
        if rule.at not in scene.met:
            return group.places
        return [self.words.place(*self._pointed(rule, scene, item), self.timeline) for item in group.items]

    def _pointed(self, rule: Rule, scene: Scene, item: Any) -> tuple[str, Any]:
        """What the finding points at: the member that `at` names, or the one in its place in an object like the one asked."""
        met = scene.met[rule.at]
        if item is scene.item:
            return met
        for (scope, _), relation in self.words.relations.items():
            if scope == rule.scope and relation.scope == met[0]:
                asked, like = (list(relation.of(owner, self.timeline)) for owner in (scene.item, item))
                at = next((number for number, member in enumerate(asked) if member is met[1]), len(like))
                if at < len(like):
                    return met[0], like[at]
        return rule.scope, item


def written(evidence: Sequence[Evidence]) -> Place | None:
    """The block of the program that the evidence names first; None without one."""
    return next((item.place for item in evidence if item.source == "program" and item.place is not None), None)


def _noted(notes: "Iterable[Note]", rules: Sequence[Rule], blocks: Blocks) -> Iterable[Verdict]:
    """What the reader of the program noted, with level and advice from the rule of that id."""
    by_id = {rule.id: rule for rule in rules}
    for note in notes:
        rule = by_id.get(note.id) or replace(_UNLISTED, id=note.id)
        if not rule.off:
            yield _of_note(note, rule, blocks)


def _of_note(note: "Note", rule: Rule, blocks: Blocks) -> Verdict:
    """The verdict of a note: about the tool in the spindle; one that came up with several is one for each, when somebody asks."""
    do = note.do or rule.do.text

    def told(place: Place, count: int, subject: tuple[tuple[str, str], ...]) -> Verdict:
        says = often(note.says, count)
        mark = fingerprint(rule.id, HOLDS, (), blocks.text(place))
        return Verdict(rule, HOLDS, place, says, do, subject=subject, fingerprint=mark, pattern=note.says, times=count)

    def of(at: int) -> Verdict:
        noted = note.by_tool[at]
        return told(noted.place, noted.count, (("tool", f"T{noted.tool}"),) if noted.tool is not None else ())

    if len(note.by_tool) < 2:
        return told(note.place, note.count, of(0).subject if note.by_tool else ())
    also = merged(noted.place for noted in note.by_tool if noted.place != note.place)
    return replace(told(note.place, note.count, ()), count=len(note.by_tool), also=also, alone=of)
