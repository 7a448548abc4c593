"""Findings that somebody accepts: in the job record, or in a comment of the program.

    (ALLOW DEEP-PECK-WITH-CAPABLE-DRILL BECAUSE CHIPS ARE LONG HERE UNTIL 2030-12-31)
    (ALLOW FLUID-STATE-NOT-STATED FOR T12 BECAUSE THE OPERATOR SETS IT)
    (ALLOW TOOL-CHANGE-WITHOUT-FLUID-OFF IN PROGRAM BECAUSE THE MACHINE DOES IT)

    (ALLOW DEEP-PECK-WITH-CAPABLE-DRILL - CHIPS ARE LONG HERE - UNTIL 2030-12-31)

Before the first cut of a tool such a comment speaks of all that the tool does until the next tool change; between two cuts of the
same tool, or inside an operation, of that one operation; with FOR of one tool, with IN PROGRAM of the whole program. Capitals do
not matter; a colon or a dash between blanks may stand for BECAUSE. It needs a reason.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fnmatch import fnmatch
from pathlib import PurePath
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.judge.language import nearest
from coolcheck.judge.rule import Rule
from coolcheck.judge.verdict import HOLDS, Verdict, fingerprint
from coolcheck.nc.moves import Kind
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.process.model import Operation, Timeline
    from coolcheck.records.record import Section

_ALLOW = re.compile(r"\s*ALLOW\b(?!\s+FOR\b)", re.I)
_RULE = re.compile(r"\s*ALLOW\s+(?P<rule>[A-Z0-9]+(?:-[A-Z0-9]+)+)(?![A-Z0-9-])", re.I)
_OF = re.compile(r"\s+FOR\s+T\s*0*(?P<tool>\d+)\b|\s+(?P<all>IN\s+PROGRAM)\b|", re.I)
_BECAUSE = re.compile(r"\s*(?:BECAUSE\b|:)|\s+-(?=\s|$)", re.I)
_UNTIL = re.compile(r"(?:^|[\s,-]+)UNTIL\b\s*(?P<until>.*?)[\s.]*$", re.I)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class Waiver:
    """An accepted finding. "" in tool, operation and hole is any; `lines` are those a comment speaks of, None for all.

    is_ours : it speaks of this program only, so that it must accept something here
    """

    rule: str
    reason: str
    place: Place
    until: date | None = None
    tool: str = ""
    operation: str = ""
    hole: str = ""
    by: str = ""
    lines: tuple[int, int] | None = None
    is_ours: bool = True

    def accepts(self, verdict: Verdict) -> bool:
        """Does it speak of this verdict."""
        if verdict.rule.id != self.rule:
            return False
        named = ((self.tool, "tool"), (self.hole, "hole"))
        if any(wanted and not _same(wanted, verdict.about(word)) for wanted, word in named):
            return False
        if self.operation and not any(_same(self.operation, verdict.about(word)) for word in ("operation", "operation kind")):
            return False
        return self.lines is None or self.lines[0] <= verdict.where.line <= self.lines[1]


def _same(wanted: str, found: str) -> bool:
    """Names as people write them: T012 is T12, `x10. y20` is `X10 Y20`."""
    return _plain(wanted) == _plain(found)


def _plain(name: str) -> str:
    name = re.sub(r"(?<=\d)\.0*(?!\d)", "", name.upper().replace("_", " "))
    return re.sub(r"\s+", "", re.sub(r"^T?0*(?=\d)", "T", name) if re.fullmatch(r"\s*T?\s*\d+\s*", name) else name)


@dataclass(frozen=True, slots=True)
class Unread:
    """A comment or an entry that wants to be a waiver and is none; `says` why."""

    place: Place
    says: str


def waivers_of(timeline: "Timeline", rules: Sequence[Rule]) -> tuple[list[Waiver], list[Unread]]:
    """The waivers of a program, from its job record and from its comments, and what was meant to be one."""
    found: list[Waiver] = []
    unread: list[Unread] = []
    binding = timeline.binding
    name = PurePath(binding.program_file).name
    alone = len(binding.job.field("programs").or_else(())) == 1
    for section in binding.waivers:
        pattern = section.field("program").or_else("")
        if not pattern or fnmatch(name, pattern) or fnmatch(binding.program_file, pattern):
            found.append(_of_record(section, bool(pattern) or alone))
    program = timeline.execution.program
    for block, comment in program.comments():
        if _ALLOW.match(comment.text):
            read = _of_comment(comment.text, program.place(block), block, timeline)
            (found if isinstance(read, Waiver) else unread).append(read)  # type: ignore[arg-type]
    return found, unread


def _of_record(section: "Section", is_ours: bool) -> Waiver:
    def text(name: str) -> str:
        return str(section.field(name).or_else(""))

    until: date | None = section.field("until").or_else(None)
    return Waiver(
        rule=text("rule"),
        reason=text("reason"),
        place=section.place,
        until=until,
        tool=text("tool"),
        operation=text("operation"),
        hole=text("hole"),
        by=text("by"),
        is_ours=is_ours,
    )


def _of_comment(text: str, place: Place, block: int, timeline: "Timeline") -> Waiver | Unread:
    """The waiver that a comment is, or which part of it cannot be read."""
    named = _RULE.match(text)
    if named is None:
        return Unread(place, "this comment begins like a waiver, and no rule id stands behind ALLOW")
    rule = named["rule"].lower()
    of = _OF.match(text, named.end())
    assert of is not None  # it may be empty
    because = _BECAUSE.match(text, of.end())
    rest = text[of.end() :].strip()
    if because is None and rest:
        return Unread(place, f"`{rest}` of the waiver of {rule} cannot be read: BECAUSE and the reason belong there")
    reason, until = _ending(text[because.end() :]) if because else ("", None)
    if not reason.strip(" .,-"):
        return Unread(place, f"the waiver of {rule} gives no reason")
    if until is not None and not _DATE.fullmatch(until):
        return Unread(place, f"the waiver of {rule} ends `UNTIL {until}`, which is no date like 2030-12-31")
    try:
        day = date.fromisoformat(until) if until else None
    except ValueError:
        return Unread(place, f"the waiver of {rule} ends on {until}, which is no day")
    tool = f"T{of['tool']}" if of["tool"] else ""
    lines = None if tool or of["all"] else _lines(block, place, timeline)
    return Waiver(rule, reason.strip(), place, day, tool, lines=lines)


def _ending(text: str) -> tuple[str, str | None]:
    """The reason, and what stands behind UNTIL at its end: digits, or nothing at all; "until the pump is mended" is reason."""
    ending = _UNTIL.search(text)
    if ending is None or not (ending["until"] == "" or ending["until"][0].isdigit()):
        return text, None
    return text[: ending.start()], ending["until"]


def _lines(block: int, place: Place, timeline: "Timeline") -> tuple[int, int]:
    """The lines a comment in that block speaks of: an operation, or before the first cut of a tool all that the tool does."""
    length = len(timeline.execution.program)
    changes = [0, *(event.block for event in timeline.execution.events if event.kind == "tool_change" and event.block < length)]
    seen = -1  # the tool change before the operation that was looked at last
    for operation in timeline.operations:
        first_cut, last_cut = _cuts(operation, timeline)
        change = max((at for at in changes if at <= first_cut), default=0)
        if block <= last_cut < length:
            if change != seen and block <= first_cut:  # at the head of a tool
                behind = min((at for at in changes if at > last_cut), default=length)
                return (min(place.line, change + 1), behind)
            return (min(place.line, first_cut + 1), max(last_cut, operation.blocks[1]) + 1)
        seen = change
    return (place.line, length)


def _cuts(operation: "Operation", timeline: "Timeline") -> tuple[int, int]:
    """The blocks of its first and of its last feed move; of the operation where it has none."""
    moves = timeline.execution.moves
    first, last = operation.rows
    rows = first + np.flatnonzero(moves.kind[first : last + 1] != Kind.RAPID)
    return (int(moves.block[rows[0]]), int(moves.block[rows[-1]])) if len(rows) else operation.blocks


def waived(
    verdicts: Iterable[Verdict], read: tuple[list[Waiver], list[Unread]], rules: Sequence[Rule], today: date
) -> tuple[list[Verdict], tuple[tuple[Verdict, Waiver], ...], list[Verdict]]:
    """The verdicts that count, those that are accepted and by which waiver, and what is to be said about the waivers."""
    waivers, unread = read
    kept: list[Verdict] = []
    accepted: list[tuple[Verdict, Waiver]] = []
    used: set[Waiver] = set()
    for verdict in _asunder(verdicts, {waiver.rule for waiver in waivers}):
        speaking = [waiver for waiver in waivers if waiver.accepts(verdict)]
        used.update(speaking)
        valid = next((waiver for waiver in speaking if not _is_over(waiver, today)), None)
        if valid:
            accepted.append((verdict, valid))
        else:
            kept.append(verdict)
    return kept, tuple(accepted), list(_about(waivers, unread, used, rules, today))


def _asunder(verdicts: Iterable[Verdict], rules: set[str]) -> Iterator[Verdict]:
    """The verdicts, those of these rules one for each object: a waiver can speak of a single hole."""
    for verdict in verdicts:
        yield from verdict.each() if verdict.rule.id in rules else (verdict,)


def _is_over(waiver: Waiver, today: date) -> bool:
    return waiver.until is not None and waiver.until < today


def _about(
    waivers: Iterable[Waiver], unread: Iterable[Unread], used: set[Waiver], rules: Sequence[Rule], today: date
) -> Iterable[Verdict]:
    by_id = {rule.id: rule for rule in rules}
    for wrong in unread:
        yield from _said(by_id, "unreadable-waiver", wrong.place, wrong.says)
    for waiver in waivers:
        if waiver.rule not in by_id:
            says = f"there is no rule {waiver.rule}; {nearest(waiver.rule, by_id)}".rstrip("; ")
            yield from _said(by_id, "waiver-of-unknown-rule", waiver.place, says)
        elif _is_over(waiver, today):
            yield from _said(
                by_id, "expired-waiver", waiver.place, f"the waiver of {waiver.rule} ended on {waiver.until} ({waiver.reason})"
            )
        elif waiver not in used and waiver.is_ours and not by_id[waiver.rule].off:
            yield from _said(
                by_id, "unused-waiver", waiver.place, f"the waiver of {waiver.rule} accepts nothing here ({waiver.reason})"
            )


def _said(by_id: dict[str, Rule], id_: str, place: Place, says: str) -> Iterable[Verdict]:
    rule = by_id.get(id_)
    if rule and not rule.off:
        yield Verdict(rule, HOLDS, place, says, rule.do.text, fingerprint=fingerprint(id_, HOLDS, (), says))
