"""What each operation needs at its edge beside what the delivery chain brings, and the margin between the two."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TextIO

from coolcheck.known import Evidence, Known, Missing, merged
from coolcheck.process.facts import FACTS
from coolcheck.process.model import Operation, Timeline
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.json import evidence_entry, missing_entry, where
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.rows import OperationRow, operation_row, rounded, tool_name, words
from coolcheck.report.shown import amount, number, origin, question
from coolcheck.report.tables import Column, table

FORM = "coolcheck-demand-1"
# What is compared: its name, the two facts, the unit shown and how much of it one SI unit is.
QUANTITIES = (
    ("pressure", "needed_pressure", "tip_pressure", "bar", 1e-5),
    ("flow", "needed_flow", "tip_flow", "L/min", 6e4),
)
COLUMNS = (
    Column("no", right=True),
    Column("tool"),
    Column("operation", wraps=True),
    Column("fluid", wraps=True),
    Column("bar needed", right=True, wraps=True),
    Column("bar there", right=True, wraps=True),
    Column("L/min needed", right=True, wraps=True),
    Column("L/min there", right=True, wraps=True),
    Column("margin", right=True),
)


@dataclass(frozen=True, slots=True)
class Compared:
    """One quantity of one operation: what is needed and what is there, in `unit`."""

    name: str
    unit: str
    needed: Known[float]
    there: Known[float]

    @property
    def margin(self) -> float | None:
        """How much more is there than needed, as a share of the need; None when either is unknown or nothing is needed."""
        if not (self.needed.is_known and self.there.is_known) or self.needed.value <= 0:
            return None
        return self.there.value / self.needed.value - 1


@dataclass(frozen=True, slots=True)
class Demand:
    """One cutting operation with everything compared."""

    row: OperationRow
    compared: tuple[Compared, ...]

    @property
    def margin(self) -> float | None:
        """The smallest margin; None as long as one of them is unknown: half an answer is not a margin."""
        margins = [one.margin for one in self.compared]
        return min((m for m in margins if m is not None), default=None) if None not in margins else None


def demands(timeline: Timeline) -> Iterator[Demand]:
    """The demand of every operation that cuts, in program order."""
    for operation in timeline.operations:
        if not fact("cuts", operation, timeline).is_no:
            yield Demand(operation_row(operation), tuple(compared(operation, timeline)))


def compared(operation: Operation, timeline: Timeline) -> Iterator[Compared]:
    """Each quantity of one operation, in the unit it is shown in."""
    for name, needed, there, unit, scale in QUANTITIES:
        yield Compared(name, unit, in_unit(needed, operation, timeline, scale), in_unit(there, operation, timeline, scale))


def in_unit(name: str, operation: Operation, timeline: Timeline, scale: float) -> Known[float]:
    """The value of a fact times `scale`."""
    return fact(name, operation, timeline).map(lambda si: float(si) * scale)


def fact(name: str, operation: Operation, timeline: Timeline) -> Known[Any]:
    """A fact of an operation, in SI."""
    return FACTS["operation", name].of(operation, timeline)


def as_text(review: Review, out: TextIO, options: Options) -> None:
    """Writes the table, then the questions whose answers would fill it; with full evidence where each number is from."""
    all_of_it = list(demands(timeline_of(review)))
    out.write(escaped(options.file(review.program)) + "\n")
    rows = [cells(one) for one in all_of_it]
    lines = list(table(COLUMNS, rows, options.width)) if rows else ["no cutting operation was found"]
    lines += question_lines(all_of_it, options)
    if options.is_full:
        lines += evidence_lines(all_of_it, review, options)
    out.writelines(line + "\n" for line in lines)


def as_json(review: Review, out: TextIO, options: Options) -> None:
    """Writes the same as JSON."""
    json.dump(document(review, options), out, ensure_ascii=False, indent=1, allow_nan=False)
    out.write("\n")


def timeline_of(review: Review) -> Timeline:
    """The process behind a review."""
    if review.timeline is None:
        raise ValueError("a review without its timeline cannot say what its operations need")
    return review.timeline


def document(review: Review, options: Options) -> dict[str, Any]:
    """The demand as plain data."""
    entries = [demand_entry(one, options) for one in demands(timeline_of(review))]
    return {"form": FORM, "program": options.file(review.program), "operations": entries}


def demand_entry(demand: Demand, options: Options) -> dict[str, Any]:
    """One operation; margins are shares of the need."""
    return {
        "number": demand.row.number,
        "tool": demand.row.tool,
        "kind": demand.row.kind,
        "where": where(demand.row.where, options),
        "fluid": list(demand.row.fluid),
        "delivered": demand.row.delivered,
        "compared": [compared_entry(one, options) for one in demand.compared],
        "margin": rounded(demand.margin, 4),
    }


def compared_entry(one: Compared, options: Options) -> dict[str, Any]:
    """One quantity with what it rests on."""
    evidence = merged(one.needed.evidence + one.there.evidence)
    return {
        "name": one.name,
        "unit": one.unit,
        "needed": rounded(one.needed.or_else(None), 3),
        "there": rounded(one.there.or_else(None), 3),
        "margin": rounded(one.margin, 4),
        "evidence": [evidence_entry(item, options) for item in evidence],
        "missing": [missing_entry(missing, options) for missing in merged(one.needed.missing + one.there.missing)],
    }


def cells(demand: Demand) -> list[str]:
    """One operation as cells."""
    shown = [f(one) for one in demand.compared for f in (lambda c: c.needed, lambda c: c.there)]
    return [
        str(demand.row.number),
        tool_name(demand.row.tool) or "?",
        words(demand.row.kind),
        "\n".join(words(mode) for mode in demand.row.fluid) or "none",
        *("?" if not known.is_known else number(known.value, 3) for known in shown),
        "?" if demand.margin is None else f"{demand.margin * 100:+.0f} %",
    ]


def question_lines(demands: list[Demand], options: Options) -> Iterator[str]:
    """What nobody has told us yet, each once, with the tools it concerns."""
    asked: dict[Missing, dict[str, None]] = {}
    for demand in demands:
        for one in demand.compared:
            for missing in one.needed.missing + one.there.missing:
                asked.setdefault(missing, {})[tool_name(demand.row.tool)] = None
    if asked:
        yield ""
        yield "? is unknown; what would tell:"
    for missing, tools in asked.items():
        names = ", ".join(name for name in tools if name)
        text = question(missing, options) + (f" for {names}" if names and names not in missing.question else "")
        yield from wrapped(text, options.width, "  - ", "    ")


def evidence_lines(demands: list[Demand], review: Review, options: Options) -> Iterator[str]:
    """Where each number comes from: value, origin, then formula with its source."""
    for demand in demands:
        yield ""
        yield f"{demand.row.number} {demand.row.name}"
        for one in demand.compared:
            for item in merged(one.needed.evidence + one.there.evidence):
                yield from item_lines(item, review, options)


def item_lines(item: Evidence, review: Review, options: Options) -> Iterator[str]:
    """One piece of evidence on a line, its formula below."""
    text = escaped(f"{item.name} = {amount(item)}, {origin(item, review.program, options)}")
    yield from wrapped(text, options.width, "  ", "    ")
    if item.note:
        yield from wrapped(escaped(item.note), options.width, "      ", "      ")
