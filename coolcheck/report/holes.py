"""The holes of a program as a table: what each tool did to each hole, in how many strokes, with which fluid."""

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import Any, TextIO

from coolcheck.report import jsontext
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.doubts import fluid_legend, told_modes
from coolcheck.report.json import hole_entry
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.report.rows import HoleRow, StepRow, tool_name, words
from coolcheck.report.shown import METRIC, Units, plural
from coolcheck.report.tables import Column, table

FORM = "coolcheck-holes-1"
COLUMNS = (
    Column("hole"),
    Column("at"),
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
    """Writes the table; holes with the same history share their rows unless `each` is asked for."""
    groups = [[hole] for hole in review.holes] if each else alike(review.holes)
    offsets = list(dict.fromkeys(hole.work_offset or "no work offset" for hole in review.holes))
    units = review.units(options)
    rows = [cells for group in groups for cells in group_cells(group, len(offsets) > 1, units)]
    out.write(escaped(options.file(review.program)) + "\n")
    for line in table(COLUMNS, rows, options.width) if rows else ["no hole was found"]:
        out.write(line + "\n")
    if rows:
        told = [plural(len(review.holes), "hole"), plural(len(groups), "history", "histories")]
        told += [offsets[0]] if len(offsets) == 1 else []
        unit = "inch" if units.is_inch else "mm"
        text = f"{', '.join(told)}; dia and deep in {unit}; time at most, with the way from the hole before"
        out.writelines(line + "\n" for line in ["", *wrapped(text, options.width)])
    if rows and review.timeline is not None:
        out.writelines(line + "\n" for line in fluid_legend(review.timeline, options))


def as_json(review: Review, out: TextIO, options: Options) -> None:
    """Writes every hole as JSON."""
    jsontext.dump(document(review, options), out)


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
    """What makes two steps the same to a machinist; the way from the hole before, and so the time, does not."""
    return (step.operation, step.kind, step.depth_mm, step.diameter_mm, step.strokes, step.retract, step.fluid)


def group_cells(group: Sequence[HoleRow], with_offset: bool, units: Units) -> Iterator[list[str]]:
    """A row for each step, with which holes and where at their left."""
    left = [[group_name(group), position(group[0], with_offset, units)]]
    left += [["", f"and {len(group) - 1} more"]] if len(group) > 1 else []
    steps = [step_cells([hole.steps[at] for hole in group], units) for at in range(len(group[0].steps))]
    for names, cells in zip_longest(left, steps):
        yield [*(names or ["", ""]), *(cells or [""] * (len(COLUMNS) - 2))]


def group_name(group: Sequence[HoleRow]) -> str:
    """The numbers of the holes: "3", "3-14", "3 ...": a run is written as one."""
    first, last = group[0].number, group[-1].number
    if len(group) == 1:
        return str(first)
    return f"{first}-{last}" if last - first == len(group) - 1 else f"{first} …"


def position(hole: HoleRow, with_offset: bool, units: Units = METRIC) -> str:
    """Where a hole is, with its work offset where the program uses several."""
    along = zip("XYZ", (hole.x_mm, hole.y_mm, hole.z_mm), strict=True)
    names = [f"{axis}{units.number(at, 'mm')}" for axis, at in along if at is not None and axis != hole.axis.upper()]
    return " ".join([*names, *([hole.work_offset] if with_offset and hole.work_offset else [])])


def step_cells(steps: Sequence[StepRow], units: Units = METRIC) -> list[str]:
    """What one tool did to each of them; they are alike but for the time."""
    step = steps[0]
    known = step.depth_mm is not None and step.diameter_mm
    return [
        tool_name(step.tool) or "?",
        words(step.kind),
        units.number(step.diameter_mm, "mm"),
        units.number(step.depth_mm, "mm"),
        f"{step.depth_mm / step.diameter_mm:.1f}" if known and step.depth_mm and step.diameter_mm else "?",
        stroke_words(step),
        time_words([step.seconds for step in steps]),
        "\n".join(told_modes(step)) or "none",
    ]


def time_words(times: Sequence[float | None]) -> str:
    """How long it takes at most: the holes differ by the way from the one before.

    >>> time_words([1.84, 1.91]), time_words([2.0, None])
    ('1.9 s', '2.0 s')
    """
    known = [time for time in times if time is not None]
    return f"{max(known):.1f} s" if known else "?"


def stroke_words(step: StepRow) -> str:
    """The strokes, marked where chips are only broken or the tool comes out fully."""
    return f"{step.strokes}{ {'full': ' out', 'chip_break': ' short'}.get(step.retract, '') }"
