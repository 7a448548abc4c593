"""Many programs on one screen: the worst first, one line each, then the questions whose answers would help most."""

from collections import Counter
from collections.abc import Sequence
from typing import TextIO

from coolcheck.judge.readiness import ALONE, CANNOT_TELL
from coolcheck.known import Missing
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.tables import Column, table

NAME = "summary"
MOST_QUESTIONS = 8
_SUBPROGRAM = "subprogram"  # reviewed through the program that calls it
_ORDER = {"not ready": 1, "cannot tell": 2, "ready": 3, _SUBPROGRAM: 4}
_ACCEPTED = Column("accepted", right=True)
_COLUMNS = (
    Column("program", wraps=True),
    Column("unattended"),
    Column("error", right=True),
    Column("warning", right=True),
    Column("note", right=True),
    Column("open", right=True),
    Column("minutes", right=True),
)


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes `reviews` to `out`, worst first: what could not be read, what is not ready, what cannot be told, what is ready."""
    ordered = worst_first(reviews)
    if ordered:
        folder = common_folder([review.program for review in ordered])
        if folder:
            out.write(f"in {escaped(folder)}\n")
        has_accepted = any(review.accepted for review in ordered)
        columns = (*_COLUMNS[:-1], _ACCEPTED, _COLUMNS[-1]) if has_accepted else _COLUMNS
        for line in table(columns, [_row(review, folder, has_accepted) for review in ordered], options.width):
            out.write(line + "\n")
        out.write("\n")
    for review in ordered:
        for problem in review.problems:
            out.write(f"{escaped(str(problem))}\n")
    for line in _questions(reviews, options.width):
        out.write(line + "\n")
    counts = Counter(_verdict(review) if review.is_reviewed else "could not be reviewed" for review in reviews)
    told = ", ".join(f"{count} {what}" for what, count in sorted(counts.items(), key=lambda item: _ORDER.get(item[0], 0)))
    out.write(f"{len(reviews)} {'program' if len(reviews) == 1 else 'programs'}{': ' if told else ''}{told}\n")


def worst_first(reviews: Sequence[Review]) -> list[Review]:
    """The reviews by harm: what could not be read, what is not ready, what cannot be told, what is ready; then by name."""
    return sorted(reviews, key=_badness)


def _badness(review: Review) -> tuple[int, int, int, str]:
    count = _counts(review)
    return (_ORDER[_verdict(review)] if review.is_reviewed else 0, -count["error"], -count["warning"], review.program)


def _verdict(review: Review) -> str:
    """May it run with nobody there; of a subprogram in which nothing stands against it, that it is one."""
    readiness = review.readiness
    is_alone = readiness.verdict == CANNOT_TELL and any(change.rule == ALONE for change in readiness.changes)
    return _SUBPROGRAM if is_alone else readiness.verdict


def _counts(review: Review) -> Counter[str]:
    return Counter(finding.level if finding.verdict == "holds" else "open" for finding in review.findings)


def common_folder(programs: Sequence[str]) -> str:
    """The folder that all programs lie in, with its slash; "" where they have none in common.

    >>> common_folder(["posted/a/O1.nc", "posted/O2.nc"])
    'posted/'
    """
    folders = [program.split("/")[:-1] for program in programs]
    shared = []
    for parts in zip(*folders, strict=False):
        if len(set(parts)) > 1:
            break
        shared.append(parts[0])
    return "/".join(shared) + "/" if shared else ""


def _row(review: Review, folder: str, has_accepted: bool) -> list[str]:
    count = _counts(review)
    seconds = review.totals.cycle_s if review.totals else None
    verdict = _verdict(review) if review.is_reviewed else "not read"
    numbers = [str(count[level]) if review.is_reviewed else "" for level in ("error", "warning", "note", "open")]
    numbers += [str(review.accepted)] if has_accepted else []
    return [escaped(review.program.removeprefix(folder)), verdict, *numbers, f"{seconds / 60:.1f}" if seconds is not None else ""]


def _questions(reviews: Sequence[Review], columns: int) -> list[str]:
    """What is missing in most programs, first."""
    open_ones = (question.missing for review in reviews for question in review.questions)
    asked: Counter[Missing] = Counter(missing for missing in open_ones if missing.field or missing.question.endswith("?"))
    if not asked:
        return []
    lines = ["what would decide most:"]
    ordered = sorted(asked.items(), key=lambda item: (-item[1], item[0].record, item[0].field, item[0].question))
    for missing, count in ordered[:MOST_QUESTIONS]:
        programs = f"{count} {'program' if count == 1 else 'programs'}"
        field = f" (`{missing.field}` of {missing.record})" if missing.field else f" ({missing.record})"
        lines += wrapped(escaped(f"{missing.question}{field}: {programs}"), columns, "  - ", "    ")
    if len(ordered) > MOST_QUESTIONS:
        lines.append(
            f"  and {len(ordered) - MOST_QUESTIONS} more questions; `coolcheck review PROGRAM` asks those of one program"
        )
    return [*lines, ""]
