"""The operations of a program as a table: when each starts, how long it takes, and what fluid its edge really gets."""

from collections.abc import Iterator
from typing import Any, TextIO

from coolcheck.report import jsontext
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.doubts import fluid_legend, leaves_much_open, told_chains, told_modes
from coolcheck.report.json import operation_entry
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.rows import OperationRow, Totals, tool_name, words
from coolcheck.report.shown import METRIC, Units, question
from coolcheck.report.tables import Column, table
from coolcheck.report.text import size_words, time_words

FORM = "coolcheck-timeline-1"
COLUMNS = (
    Column("no", right=True),
    Column("line", right=True),
    Column("tool"),
    Column("operation", wraps=True),
    Column("start", right=True),
    Column("time", right=True),
    Column("pecking", right=True),
    Column("deep mm", right=True),
    Column("fluid at the edge", wraps=True),
)
DEEP = 7  # the column with a unit in its name


def as_text(review: Review, out: TextIO, options: Options) -> None:
    """Writes the table."""
    units = review.units(options)
    rows = [cells(row, units) for row in review.operations]
    columns = [*COLUMNS[:DEEP], Column(f"deep {units.name('mm')}", right=True), *COLUMNS[DEEP + 1 :]]
    out.write(escaped(options.file(review.program)) + "\n")
    for line in table(columns, rows, options.width) if rows else ["no operation was found"]:
        out.write(line + "\n")
    if review.totals is not None:
        out.write(f"\n{time_words(review.totals)}\n{size_words(review.totals)}\n")
    out.writelines(line + "\n" for line in legend(review, options))


def as_json(review: Review, out: TextIO, options: Options) -> None:
    """Writes the same as JSON."""
    jsontext.dump(document(review, options), out)


def document(review: Review, options: Options) -> dict[str, Any]:
    """The operations as plain data, in the form they have in a review."""
    totals: Totals | None = review.totals
    return {
        "form": FORM,
        "program": options.file(review.program),
        "cycle_s": totals.cycle_s if totals else None,
        "cutting_s": totals.cutting_s if totals else None,
        "pecking_s": totals.pecking_s if totals else None,
        "operations": [operation_entry(row, options) for row in review.operations],
    }


def cells(row: OperationRow, units: Units = METRIC) -> list[str]:
    """One operation as cells; `?` is unknown, an empty cell does not apply."""
    name = words(row.kind) + (f" ({escaped(row.title)})" if row.title else "")
    return [
        str(row.number),
        str(row.where.line),
        tool_name(row.tool) or "?",
        name,
        clock(row.start_s),
        span(row.seconds),
        span(row.peck_s) if row.peck_s != 0 else "",
        units.number(row.depth_mm, "mm"),
        fluid_words(row),
    ]


def fluid_words(row: OperationRow) -> str:
    """The delivery in a few words: each mode commanded, whether it arrives, and where it stops."""
    if not row.chains and not row.fluid and row.delivered == "unknown":
        return "?"  # nobody knows where it cuts
    if not row.chains:
        return "none commanded" if not row.fluid else ", ".join(told_modes(row))
    parts = []
    for chain in told_chains(row):
        stop = f", {words(chain.weakest)}" if chain.weakest else ""
        parts.append(f"{words(chain.mode)}: {chain.delivers}{stop}")
    return "\n".join([*parts, told_modes(row)[-1]] if leaves_much_open(row.fluid) else parts)


def clock(seconds: float | None) -> str:
    """A moment as minutes and seconds, `7:05`; `?` when it is unknown.

    >>> clock(425.3), clock(4.26), clock(None)
    ('7:05', '0:04', '?')
    """
    if seconds is None:
        return "?"
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def span(seconds: float | None) -> str:
    """A length of time: below a minute in seconds with a tenth, above as a clock.

    >>> span(4.26), span(425.3), span(None)
    ('4.3 s', '7:05', '?')
    """
    return f"{seconds:.1f} s" if seconds is not None and seconds < 59.95 else clock(seconds)


def legend(review: Review, options: Options) -> Iterator[str]:
    """What would make the times and the fluid known, where they are not."""
    missing = review.timeline.seconds.missing if review.timeline is not None else ()
    if missing:
        yield ""
        yield "? is unknown; what would tell the times:"
    for one in missing:
        yield from wrapped(question(one, options), options.width, "  - ", "    ")
    if review.timeline is not None:
        yield from fluid_legend(review.timeline, options)
