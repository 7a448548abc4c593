"""What is to be mended: what the rules of a review say of a program, each with the place in its run."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from coolcheck.judge.evaluate import judge
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.verdict import HOLDS, Verdict
from coolcheck.known import Evidence, Missing
from coolcheck.place import Place
from coolcheck.process.model import Operation, Timeline
from coolcheck.rewrite.edit import MENDS

Key = tuple[str, str, int | None]  # mend, rule, tool
_PAUSES = frozenset({"tool_change", "stop", "optional_stop", "end"})


@dataclass(frozen=True, slots=True)
class Choice:
    """What a person wants, by names: of a mend, of a rule, or of a tool ("T5"). Nothing in `only` means everything.

    keeps : holes whose programmed speed or feed is not their tool record's stay pecked, all others keep theirs
    """

    only: frozenset[str] = frozenset()
    skip: frozenset[str] = frozenset()
    keeps: bool = False

    def takes(self, mend: str, rule: str, tool: int | None) -> bool:
        """Is that wanted."""
        names = {mend, mend.replace("_", "-"), rule, f"T{tool}"}
        tools = {name for name in self.only if name[:1] == "T" and name[1:].isdigit()}
        kinds = self.only - tools
        wanted = (not tools or f"T{tool}" in tools) and (not kinds or bool(names & kinds))
        return wanted and not names & self.skip


@dataclass(frozen=True, slots=True)
class Target:
    """One thing to mend. operations : what it is about; pauses : indices of the tool changes and stops it is about.

    holds : it is certain; else `missing` says what would decide it
    """

    mend: str
    rule: str
    tool: int | None
    where: Place
    says: str
    holds: bool
    operations: tuple[Operation, ...]
    pauses: tuple[int, ...]
    missing: tuple[Missing, ...] = ()
    evidence: tuple[Evidence, ...] = ()

    @property
    def key(self) -> Key:
        """What it is called when it is mended, found again, or left altogether."""
        return self.mend, self.rule, self.tool


def targets(timeline: Timeline, rules: Sequence[Rule], today: date, choice: Choice) -> tuple[Target, ...]:
    """What the rules find that a rewrite could mend, and a person wants mended; waived findings are none."""
    mending = [rule for rule in rules if rule.mends in MENDS]
    judgement = judge(timeline, mending, today, notes=(), vocabulary=process_words(today))
    return tuple(target for verdict in judgement.each() for target in _target(verdict, timeline, choice))


def _target(verdict: Verdict, timeline: Timeline, choice: Choice) -> Iterator[Target]:
    rule = verdict.rule
    if rule.mends not in MENDS:
        return  # what is said of the waivers themselves
    tool = _tool(verdict.about("tool"))
    number = verdict.about("operation")
    operations = tuple(
        one for one in timeline.operations if (str(one.number) == number if number else one.tool == tool and tool is not None)
    )
    pauses = _pauses(verdict, timeline) if rule.scope in ("change", "stop") else ()
    if rule.scope in ("change", "stop") and pauses:
        tool = _tool_before(timeline, pauses[0])  # the fluid is that of the tool that goes
    if choice.takes(rule.mends, rule.id, tool):
        yield Target(
            rule.mends, rule.id, tool, verdict.where, verdict.says, verdict.state == HOLDS, operations, pauses,
            verdict.missing, verdict.evidence,
        )  # fmt: skip


def _tool(name: str) -> int | None:
    return int(name[1:]) if name[:1] == "T" and name[1:].isdigit() else None


def _tool_before(timeline: Timeline, event: int) -> int | None:
    row = timeline.execution.events[event].row
    return timeline.execution.modal(row - 1).tool if row else timeline.execution.modal(0).tool


def _pauses(verdict: Verdict, timeline: Timeline) -> tuple[int, ...]:
    execution = timeline.execution
    return tuple(
        index
        for index, event in enumerate(execution.events)
        if event.kind in _PAUSES and execution.place(event.block) == verdict.where
    )
