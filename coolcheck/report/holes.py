"""The holes of a program as a table: what each tool did to each hole, in how many strokes, with which fluid."""

import json
from collections.abc import Iterator, Sequence
from typing import Any, TextIO

from coolcheck.report.cells import escaped
from coolcheck.report.json import hole_entry
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.rows import HoleRow, StepRow, tool_name, words
from coolcheck.report.shown import number, plural
from coolcheck.report.tables import Column, table

FORM = "coolcheck-holes-1"
COLUMNS = (
    Column("hole"),
    Column("at", wraps=True),
    Column("tool"),
    Column("operation", wraps=True),
    Column("dia", right=True),
    Column("deep", right=True),
    Column("xD", right=True),
    Column("strokes", right=True),
    Column("time", right=True),
    Column("fluid", wraps=True),
)


def as_text(review: Review, out: TextIO, options: Options, each: bool = False) -> None:
    """Writes the table; holes with the same history share a row unless `each` is asked for."""
    groups = [[hole] for hole in review.holes] if each else alike(review.holes)
    rows = [cells for group in groups for cells in group_cells(group)]
    out.write(escaped(options.file(review.program)) + "\n")
    for line in table(COLUMNS, rows, options.width) if rows else ["no hole was found"]:
        out.write(line + "\n")
    if rows:
        out.write(f"\n{plural(len(review.holes), 'hole')}, {plural(len(groups), 'history', 'histories')}; dia, deep in mm\n")


def as_json(review: Review, out: TextIO, options: Options) -> None:
    """Writes every hole as JSON."""
    json.dump(document(review, options), out, ensure_ascii=False, indent=1, allow_nan=False)
    out.write("\n")


def document(review: Review, options: Options) -> dict[str, Any]:
    """The holes as plain data, in the form they have in a review."""
    holes = [hole_entry(hole, options) for hole in review.holes]
    return {"form": FORM, "program": options.file(review.program), "holes": holes}


def alike(holes: Sequence[HoleRow]) -> list[list[HoleRow]]:
    """The holes in groups of the same history: same operations, sizes, strokes and fluid."""
    groups: dict[object, list[HoleRow]] = {}
    for hole in holes:
        history = tuple(step_key(step) for step in hole.steps)
        groups.setdefault((hole.work_offset, hole.axis, history), []).append(hole)
    return list(groups.values())


def step_key(step: StepRow) -> tuple[object, ...]:
    """What makes two steps the same to a machinist; the last digits of a time do not."""
    shape = (step.operation, step.kind, step.depth_mm, step.diameter_mm, step.strokes, step.retract, step.fluid)
    return (*shape, None if step.seconds is None else round(step.seconds, 1))


def group_cells(group: Sequence[HoleRow]) -> Iterator[list[str]]:
    """A row for each step; the first says which holes and where."""
    first = group[0]
    for at, step in enumerate(first.steps):
        yield [group_name(group) if not at else "", position(group) if not at else "", *step_cells(step)]


def group_name(group: Sequence[HoleRow]) -> str:
    """The numbers of the holes: "3", "3-14", "3 ...": a run is written as one."""
    first, last = group[0].number, group[-1].number
    if len(group) == 1:
        return str(first)
    return f"{first}-{last}" if last - first == len(group) - 1 else f"{first} …"


def position(group: Sequence[HoleRow]) -> str:
    """Where the first is, and how many more there are."""
    first = group[0]
    names = [f"{axis}{number(at)}" for axis, at in zip("XYZ", (first.x_mm, first.y_mm, first.z_mm), strict=True)
             if at is not None and axis != first.axis.upper()]  # fmt: skip
    where = " ".join([*names, *([first.work_offset] if first.work_offset else [])])
    return where if len(group) == 1 else f"{where}\nand {len(group) - 1} more"


def step_cells(step: StepRow) -> list[str]:
    """What one tool did to it."""
    known = step.depth_mm is not None and step.diameter_mm
    return [
        tool_name(step.tool) or "?",
        words(step.kind),
        "?" if step.diameter_mm is None else number(step.diameter_mm),
        "?" if step.depth_mm is None else number(step.depth_mm),
        f"{step.depth_mm / step.diameter_mm:.1f}" if known and step.depth_mm and step.diameter_mm else "?",
        stroke_words(step),
        "?" if step.seconds is None else f"{step.seconds:.1f} s",
        "\n".join(words(mode) for mode in step.fluid) or "none",
    ]


def stroke_words(step: StepRow) -> str:
    """The strokes, marked where chips are only broken or the tool comes out fully."""
    return f"{step.strokes}{ {'full': ' out', 'chip_break': ' short'}.get(step.retract, '') }"
