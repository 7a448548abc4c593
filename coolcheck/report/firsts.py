"""Which fields to fill in first: those for whose answer most rules wait."""

from collections.abc import Iterator
from dataclasses import dataclass

from coolcheck.judge.merge import question as asked
from coolcheck.known import Missing, merged
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.shown import joined, plural, question

FIRST = 10


@dataclass(frozen=True, slots=True)
class First:
    """A field to fill in: its question, the same of other records and what else is asked of that field, how many rules wait."""

    missing: Missing
    others: tuple[Missing, ...]
    rules: int


def first_fields(review: Review) -> tuple[First, ...]:
    """The fields by how many rules wait for them, then by harm.

    The first question of a finding is the one for which most of its verdicts wait; the findings stand by harm.
    """
    every = merged(missing for finding in review.findings for missing in finding.missing if missing.field)
    found: dict[tuple[str, str], First] = {}
    for finding in review.findings:
        leading = finding.missing[0] if finding.missing else None
        if leading is None or not leading.field or asked(leading) in found:
            continue
        alike = tuple(missing for missing in every if asked(missing) == asked(leading) and missing != leading)
        found[asked(leading)] = First(leading, alike, len(finding.rules))
    return tuple(sorted(found.values(), key=lambda first: -first.rules))


def first_lines(review: Review, options: Options) -> Iterator[str]:
    """The fields to fill in first, for who begins with records: how many rules wait, what is asked, where to write it."""
    firsts = first_fields(review)
    if not firsts:
        return
    fields = {(missing.record, missing.field) for finding in review.findings for missing in finding.missing if missing.field}
    yield ""
    opening = f"{plural(len(fields), 'field')} would decide something. Begin with these; in front, how many rules wait for each:"
    yield from wrapped(opening, options.width)
    for first in firsts[:FIRST]:
        text = f"{question(first.missing, options)}{escaped(more_words(first))}"
        yield from wrapped(text, options.width, f"{first.rules:4}  ", "      ")
    yield "In files that were written just now these fields are marked FIRST."


def more_words(first: First) -> str:
    """What else is asked of that field: "; likewise of T2 and T5", "; and 8 more of it"."""
    records = {missing.record for missing in first.others if missing.record != first.missing.record}
    names = sorted((record.partition(" ")[2] or record for record in records), key=lambda name: (len(name), name))
    told = f"; likewise of {joined(names)}" if names else ""
    more = sum(missing.record == first.missing.record for missing in first.others)
    return told + (f"; and {plural(more, 'more question')} about it" if more else "")
