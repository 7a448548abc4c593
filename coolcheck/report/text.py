"""Text for people: a line an editor can jump to, then why, what is missing and what to do.

Complete without colour; the bodies keep to the width. In a pipe the first line of a finding stays whole, so that
a log keeps place, message and rule on one line.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TextIO

from coolcheck.errors import advice
from coolcheck.judge.finding import Finding
from coolcheck.judge.readiness import NOT_READY, READY, Change
from coolcheck.known import Evidence
from coolcheck.place import Place
from coolcheck.report.cells import escaped, pointed_at, wrapped
from coolcheck.report.options import Options
from coolcheck.report.review import CAUTIONS, Review
from coolcheck.report.rows import Totals
from coolcheck.report.shown import amount, duration, joined, lines_of, origin, piece, plural, question, spot, telling

NAME = "text"
FEW_PIECES = 4  # evidence shown when not all is asked for
FEW_QUESTIONS = 3
FEW_CHANGES = 5
FEW_LINES = 8
FEW_SET_ASIDE = 5  # waived or accepted findings named when not all is asked for

INDENT = "    "
LABEL = 9
COLOURS = {"error": "1;31", "warning": "33", "note": "36", "undecided": "35", "label": "2", "good": "32"}
COLOURS |= {"waived": "2", "accepted": "2"}


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes the reviews one after the other, the cautions once, and a last line when there are several."""
    render_changed(reviews, reviews if len(reviews) > 1 else (), out, options)


def render_changed(reviews: Sequence[Review], everything: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes the reviews that are new, the cautions, and a line over `everything` if there is any."""
    for review in reviews:
        for line in review_lines(review, options):
            out.write(line + "\n")
        out.write("\n")
    for line in wrapped("  ".join(CAUTIONS), options.width):
        out.write(paint(line, "label", options) + "\n")
    if everything:
        out.write("\n")
        out.writelines(line + "\n" for line in wrapped(together(everything, options), options.width, rest=INDENT))


def review_lines(review: Review, options: Options) -> Iterator[str]:
    """All lines of one review: findings, then what the program comes to."""
    if not review.is_reviewed:
        yield from problem_lines(review, options)
        return
    review = review.for_people(review.units(options))
    for finding in review.findings:
        yield from finding_lines(finding, review, options)
    yield from waived_lines(review, options)
    yield from known_lines(review, options)
    if review.findings or review.waived or review.known:
        yield ""
    yield from summary_lines(review, options)


def waived_lines(review: Review, options: Options) -> Iterator[str]:
    """What a waiver accepts: it counts nowhere, and stands here with its reason."""
    most = len(review.waived) if options.is_full else FEW_SET_ASIDE
    for waived in review.waived[:most]:
        yield from head_lines(waived.where, "waived", escaped(waived.says), waived.rule, options)
        by = f" ({waived.by})" if waived.by else ""
        until = f", until {waived.until.isoformat()}" if waived.until else ""
        yield from body_lines("because", escaped(f"{waived.reason}{by}{until}"), options)
    yield from more_lines(len(review.waived) - most, "waived", options)


def known_lines(review: Review, options: Options) -> Iterator[str]:
    """What the starting line takes as known: it makes no run fail, and it stands against running unattended."""
    most = len(review.known) if options.is_full else FEW_SET_ASIDE
    for finding in review.known[:most]:
        word = finding.level if finding.verdict == "holds" else "undecided"
        yield from head_lines(finding.where, f"accepted {word}", escaped(finding.says), finding.rule, options)
    yield from more_lines(len(review.known) - most, "accepted by the starting line", options)


def more_lines(left: int, what: str, options: Options) -> Iterator[str]:
    """That a list goes on."""
    if left > 0:
        yield from wrapped(f"and {left} more {what}, with --evidence full", options.width, INDENT, INDENT)


def problem_lines(review: Review, options: Options) -> Iterator[str]:
    """Why a program could not be reviewed."""
    for problem in review.problems:
        first, *excerpt = problem.says.split("\n")
        yield from head_lines(problem.place, "error", escaped(first), "", options)
        yield from map(escaped, excerpt)  # a condition of a rule, with a mark under what is meant
        if problem.do:
            yield from body_lines("do", escaped(problem.do), options)
    yield from head_lines(Place(review.program), "error", "this program was not reviewed", "", options)


def finding_lines(finding: Finding, review: Review, options: Options) -> Iterator[str]:
    """One finding: head, the block it points into, because, missing or do, and with full evidence why and basis."""
    word = finding.level if finding.verdict == "holds" else "undecided"
    yield from head_lines(finding.where, word, escaped(finding.says), finding.rule, options)
    yield from quoted_lines(finding.where, review, options)
    yield from evidence_lines(finding.evidence, review, options)
    yield from missing_lines(finding, options)
    if finding.verdict != "holds":
        yield from body_lines("level", open_level(finding, review), options)
    also = lines_of(finding.also, review.program, options, 0 if options.is_full else FEW_LINES)
    if also:
        yield from body_lines("also", also, options)
    if finding.do and not finding.missing:  # what is missing says already where to write the answer
        yield from body_lines("do", escaped(finding.do), options)
    if options.is_full:
        if len(finding.rules) > 1:
            yield from body_lines("decides", ", ".join(finding.rules), options)
        yield from body_lines("why", escaped(finding.why), options)
        yield from body_lines("basis", escaped(finding.basis), options)


def open_level(finding: Finding, review: Review) -> str:
    """What an undecided finding would be if it held, and that it counts as a note where nobody can answer it."""
    level = next((rule.level for rule in review.rules if rule.id == finding.rule), finding.level)
    return f"{level}, if it holds" if level == finding.level else f"counts as a {finding.level}; {level}, if it holds"


def head_lines(place: Place, word: str, says: str, rule: str, options: Options) -> Iterator[str]:
    """The first line of anything: `file:line:column: level: sentence [rule]`."""
    start = escaped(options.place(place)) + ":"
    tail = f"{says} [{rule}]" if rule else says
    if not options.wraps_heads:
        yield f"{start} {paint(word + ':', word, options)} {tail}"
        return
    first, *rest = wrapped(f"{start} {word}: {tail}", options.width, rest=INDENT)
    yield first.replace(f" {word}:", " " + paint(word + ":", word, options), 1)
    yield from rest


def body_lines(label: str, text: str, options: Options) -> Iterator[str]:
    """A labelled paragraph under a head, wrapped."""
    shown = label.ljust(LABEL) if len(label) < LABEL else f"{label}  "
    first, *rest = wrapped(text, options.width, INDENT + shown, " " * (len(INDENT) + LABEL))
    yield INDENT + paint(shown, "label", options) + first[len(INDENT) + len(shown) :]
    yield from rest


def quoted_lines(place: Place, review: Review, options: Options) -> Iterator[str]:
    """The block itself where the place is inside it, with marks under what is meant."""
    text = review.quotes.get((place.file, place.line))
    if text is None or place.column < 2:
        return
    end = place.end_column if place.end_line in (0, place.line) else 0
    line, marks = pointed_at(text, place.column, end, options.width - len(INDENT))
    yield INDENT + line
    yield INDENT + marks


def evidence_lines(evidence: Sequence[Evidence], review: Review, options: Options) -> Iterator[str]:
    """What a finding rests on: the few pieces that matter in one sentence, or all of them with formula and source."""
    if not evidence:
        return
    if not options.is_full:
        parts = [piece(item, review.program, options) for item in telling(evidence, FEW_PIECES)]
        left = len(evidence) - len(parts)
        parts += [f"{left} more with --evidence full"] if left else []
        yield from body_lines("because", "; ".join(parts), options)
        return
    for at, item in enumerate(evidence):
        text = f"{item.name} = {amount(item)}, {origin(item, review.program, options)}"
        yield from body_lines("" if at else "because", escaped(text), options)
        if item.note:
            lead = " " * (len(INDENT) + LABEL + 2)
            yield from wrapped(escaped(item.note), options.width, lead, lead)


def missing_lines(finding: Finding, options: Options) -> Iterator[str]:
    """The questions whose answers would decide a finding."""
    most = len(finding.missing) if options.is_full else FEW_QUESTIONS
    for at, missing in enumerate(finding.missing[:most]):
        yield from body_lines("" if at else "missing", question(missing, options), options)
    if len(finding.missing) > most:
        left = plural(len(finding.missing) - most, "more question")
        yield from body_lines("", f"{left} with --evidence full", options)


def summary_lines(review: Review, options: Options) -> Iterator[str]:
    """What the program comes to, what it was reviewed with, and whether it may run alone."""
    lead = escaped(options.file(review.program)) + ":"
    first, *rest = wrapped(f"{lead} {verdict_words(review, options)}", options.width, rest=INDENT)
    yield from [first, *rest]
    if review.totals is not None:
        yield from body_lines("time", time_words(review.totals), options)
        yield from body_lines("size", size_words(review.totals), options)
    yield from body_lines("with", "; ".join(bound_words(review)), options)
    yield from readiness_lines(review, options)


def verdict_words(review: Review, options: Options) -> str:
    """How many findings of each kind: "1 error, 2 warnings, 3 undecided (1 could be an error)"."""
    held = Counter(finding.level for finding in review.findings if finding.verdict == "holds")
    parts = [plural(held[level], level) for level in ("error", "warning", "note") if held[level]]
    undecided = [finding for finding in review.findings if finding.verdict != "holds"]
    if undecided:
        worst = sum(finding.level == "error" for finding in undecided)
        could = f" ({worst} could be {'an error' if worst == 1 else 'errors'})" if worst else ""
        counted = "" if options.counts_undecided else ", not counted"
        parts.append(f"{len(undecided)} undecided{could}{counted}")
    if review.waived:
        parts.append(f"{len(review.waived)} waived")
    if review.accepted:
        parts.append(f"{review.accepted} accepted by the starting line")
    return ", ".join(parts) or "nothing found"


def time_words(totals: Totals) -> str:
    """The machine time in one sentence."""
    text = f"{duration(totals.cycle_s)} in all, {duration(totals.cutting_s)} cutting"
    if totals.cycle_s is None and totals.cutting_s is None:
        text = "unknown"
    if totals.pecking_s is None:
        return f"{text}; time lost to pecking unknown"
    return f"{text}; {duration(totals.pecking_s)} lost to pecking" if totals.pecking_s else text


def size_words(totals: Totals) -> str:
    """Counts in one phrase."""
    counted = ((totals.tools, "tool"), (totals.operations, "operation"), (totals.holes, "hole"), (totals.blocks, "block"))
    return ", ".join(plural(count, noun) for count, noun in counted)


def bound_words(review: Review) -> Iterator[str]:
    """The records it was reviewed with; what is not known is said."""
    absent = [bound.kind for bound in review.bound if not bound.name]
    yield from (f"{bound.kind} {escaped(bound.name)}" for bound in review.bound if bound.name)
    if absent:
        yield f"no record of the {joined(absent)}" if len(absent) < len(review.bound) else "no records: the program alone"


def readiness_lines(review: Review, options: Options) -> Iterator[str]:
    """May it run with nobody there, and what would change that."""
    readiness = review.readiness
    if readiness.verdict == READY:
        open_ = any(finding.verdict != "holds" for finding in (*review.findings, *review.known))
        noted = "; what is undecided counts as notes" if open_ else ""
        yield from body_lines("unattended", f"ready to run unattended, for what this review can see{noted}", options)
        return
    if readiness.verdict == NOT_READY:
        opening = f"not ready to run unattended{known_words(review)}; first mend:"
    elif readiness.changes:
        opening = f"cannot tell if it may run unattended{known_words(review)}; what would tell:"
    else:
        opening = "cannot tell if it may run unattended: no cut was found in it"
    yield from body_lines("unattended", opening, options)
    most = len(readiness.changes) if options.is_full else FEW_CHANGES
    lead = INDENT + " " * LABEL
    for at, change in enumerate(readiness.changes[:most], 1):
        yield from wrapped(change_words(change, review, options), options.width, f"{lead}{at}. ", lead + "   ")
    if len(readiness.changes) > most:
        yield f"{lead}and {len(readiness.changes) - most} more"


def known_words(review: Review) -> str:
    """How many of the findings against it are accepted by the starting line: " (5 accepted)"; "" for none."""
    count = len(review.known_against)
    return f" ({count} accepted)" if count else ""


def change_words(change: Change, review: Review, options: Options) -> str:
    """One thing that would change it: what is wrong, what to do, place and rule, for the list stands apart from the findings."""
    where = spot(change.missing[0], options) if change.missing else ""
    if where:
        return escaped(change.says) + where
    told = [part for part in (lines_of([change.place], review.program, options), change.rule) if part]
    says = " ".join(part for part in (wrong_words(change), change.says) if part)
    return f"{escaped(says.rstrip('.'))} ({', '.join(told)})"


def wrong_words(change: Change) -> str:
    """What is wrong, as a sentence; "" where the change is an answer to a question."""
    return advice(f"{change.wrong} (and {change.more} more like it)" if change.more else change.wrong)


def together(reviews: Sequence[Review], options: Options) -> str:
    """The last line over many programs."""
    unread = sum(not review.is_reviewed for review in reviews)
    failing = sum(bool(review.failing(options)) for review in reviews)
    parts = [plural(len(reviews), "program"), f"{failing} with findings that count"]
    parts += [f"{unread} not reviewed"] if unread else []
    verdicts = Counter(review.readiness.verdict for review in reviews)
    return ", ".join(parts + [f"{count} {verdict}" for verdict, count in sorted(verdicts.items())])


def paint(text: str, name: str, options: Options) -> str:
    """`text` in the colour of that name, where colour may be used."""
    return f"\x1b[{COLOURS[name.partition(' ')[0]]}m{text}\x1b[0m" if options.is_coloured else text


def plain_line(finding: Finding, options: Options) -> str:
    """The head of a finding alone, for lists and logs."""
    word = finding.level if finding.verdict == "holds" else "undecided"
    return f"{escaped(options.place(finding.where))}: {word}: {escaped(finding.says)} [{finding.rule}]"
