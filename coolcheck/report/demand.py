"""What each operation needs at its edge beside what the delivery chain brings, and the margin between the two."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TextIO

from coolcheck.known import Evidence, Known, Missing, Truth, merged
from coolcheck.process.facts import FACTS
from coolcheck.process.model import Operation, Timeline
from coolcheck.report import jsontext
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.doubts import fluid_legend, told_modes
from coolcheck.report.json import evidence_entry, missing_entry, where
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.rows import OperationRow, operation_row, rounded, tool_name, words
from coolcheck.report.shown import METRIC, Units, amount, joined, number, origin, question, truth
from coolcheck.report.tables import Column, table

FORM = "coolcheck-demand-1"
# What is compared: its name, the two facts, the unit shown and how much of it one SI unit is.
QUANTITIES = (
    ("pressure", "needed_pressure", "tip_pressure", "bar", 1e-5),
    ("flow", "needed_flow", "tip_flow", "L/min", 6e4),
)


def columns(units: Units) -> list[Column]:
    """The columns of the table, with their units."""
    names = (f"{word} {units.name(unit).removeprefix('US ')}" for _, _, _, unit, _ in QUANTITIES for word in ("need", "has"))
    return [
        Column("no", right=True),
        Column("tool"),
        Column("operation", wraps=True),
        Column("fluid", wraps=True),
        *(Column(name, right=True) for name in names),
        Column("margin", right=True),
    ]


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
    """One cutting operation with everything compared.

    is_commanded : is through-tool fluid commanded; where it is not, what is there is what would be there if it were
    """

    row: OperationRow
    is_commanded: Truth
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
            commanded = fact("through_tool_commanded", operation, timeline)
            yield Demand(operation_row(operation), commanded, tuple(compared(operation, timeline)))


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
    """Writes the table, then what its signs stand for; with full evidence where each number is from."""
    all_of_it = list(demands(timeline_of(review)))
    out.write(escaped(options.file(review.program)) + "\n")
    units = review.units(options)
    rows = [cells(one, units) for one in all_of_it]
    lines = list(table(columns(units), rows, options.width)) if rows else ["no cutting operation was found"]
    lines += ["", "gal is the US gallon"] if rows and units.is_inch else []
    lines += map(units.sentence, legend(all_of_it, options))
    lines += fluid_legend(timeline_of(review), options)
    if options.is_full:
        lines += evidence_lines(all_of_it, review, options)
    out.writelines(line + "\n" for line in lines)


def as_json(review: Review, out: TextIO, options: Options) -> None:
    """Writes the same as JSON."""
    jsontext.dump(document(review, options), out)


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
        "through_tool_commanded": truth(demand.is_commanded),
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


def cells(demand: Demand, units: Units = METRIC) -> list[str]:
    """One operation as cells; what would only be there if it were commanded stands in brackets."""
    open_, close = ("", "") if not demand.is_commanded.is_no else ("(", ")")
    cells = []
    for one in demand.compared:
        there = shown(one.there, one.unit, units)
        cells += [shown(one.needed, one.unit, units), f"{open_}{there}{close}" if one.there.is_known else there]
    margin = "" if demand.margin is None else f"{open_}{demand.margin * 100:+.0f} %{close}"
    fluid = "\n".join(told_modes(demand.row)) or "none"
    return [str(demand.row.number), tool_name(demand.row.tool) or "?", words(demand.row.kind), fluid, *cells, margin]


def shown(known: Known[float], unit: str, units: Units) -> str:
    """A number; `?` where an answer would give one, `-` where there is none to be had."""
    if known.is_known:
        return number(units.value(known.value, unit), 3)
    return "?" if any(is_question(missing) for missing in known.missing) else "-"


def is_question(missing: Missing) -> bool:
    """Does it ask a person something; else it says why there is no such number."""
    return missing.question.rstrip().endswith("?")


def legend(demands: list[Demand], options: Options) -> Iterator[str]:
    """What the signs of the table stand for: each question and each reason once, with the tools it concerns."""
    if any(demand.is_commanded.is_no and any(one.there.is_known for one in demand.compared) for demand in demands):
        yield ""
        yield "( ) would be there if through-tool fluid were commanded"
    asked: dict[Missing, dict[str, None]] = {}
    for demand in demands:
        for one in demand.compared:
            for missing in one.needed.missing + one.there.missing:
                asked.setdefault(missing, {})[tool_name(demand.row.tool)] = None
    for sign, title, wanted in (("?", "is unknown; what would tell:", True), ("-", "there is no such number:", False)):
        chosen = [missing for missing in asked if is_question(missing) is wanted]
        if chosen:
            yield ""
            yield f"{sign} {title}"
        for missing in chosen:
            names = [name for name in asked[missing] if name and name not in missing.question]
            text = question(missing, options) + (f" for {joined(names)}" if names else "")
            yield from wrapped(text, options.width, "  - ", "    ")


def evidence_lines(demands: list[Demand], review: Review, options: Options) -> Iterator[str]:
    """Where each number comes from: value, origin, then formula with its source."""
    units = review.units(options)
    for demand in demands:
        yield ""
        yield f"{demand.row.number} {demand.row.name}"
        for item in merged(item for one in demand.compared for item in one.needed.evidence + one.there.evidence):
            yield from item_lines(units.evidence(item), review, options)


def item_lines(item: Evidence, review: Review, options: Options) -> Iterator[str]:
    """One piece of evidence on a line, its formula below."""
    text = escaped(f"{item.name} = {amount(item)}, {origin(item, review.program, options)}")
    yield from wrapped(text, options.width, "  ", "    ")
    if item.note:
        yield from wrapped(escaped(item.note), options.width, "      ", "      ")
