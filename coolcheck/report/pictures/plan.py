"""Plan view of holes, to scale: each with the letter of its history, and the fluid of its deepest step as texture."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coolcheck.report.holes import alike
from coolcheck.report.pictures.states import STATES, State, state_of
from coolcheck.report.pictures.svg import element, joined, picture, short
from coolcheck.report.rows import HoleRow, OperationRow, StepRow
from coolcheck.report.shown import METRIC, Units, plural

WIDE, HIGH = 500.0, 360.0  # the most a plan takes
MARGIN = 62.0
LEAST_RADIUS, MOST_RADIUS = 5.5, 26.0
MOST_HOLES = 700  # marks in a plan; more are thinned out
FEW = 90  # holes up to which each carries its letter
ACROSS = {"x": ("y", "z"), "y": ("x", "z"), "z": ("x", "y")}  # the axes seen when looking along the hole


@dataclass(frozen=True)
class History:
    """Holes with the same history: its letter, the holes, and the step that goes deepest."""

    letter: str
    holes: tuple[HoleRow, ...]

    @property
    def steps(self) -> tuple[StepRow, ...]:
        """What was done to each of them, in order."""
        return self.holes[0].steps

    @property
    def deepest(self) -> StepRow:
        """The step with the greatest depth over diameter, else the deepest, else the first."""
        return max(self.steps, key=lambda step: (slenderness(step), step.depth_mm or 0.0))


@dataclass(frozen=True)
class Plan:
    """One picture: the holes of one work offset seen along their axis. `left_out` lie too close to others to be drawn."""

    title: str
    svg: Markup
    left_out: int


def slenderness(step: StepRow) -> float:
    """Depth over diameter, 0 where either is unknown."""
    return step.depth_mm / step.diameter_mm if step.depth_mm and step.diameter_mm else 0.0


def histories_of(holes: Sequence[HoleRow]) -> tuple[History, ...]:
    """The holes by history, the slenderest first."""
    groups = sorted(alike([hole for hole in holes if hole.steps]), key=lambda group: -max(map(slenderness, group[0].steps)))
    return tuple(History(letters(at), tuple(group)) for at, group in enumerate(groups))


def letters(at: int) -> str:
    """A, B, … Z, AA, AB, …

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    name = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        name = chr(65 + rest) + name
    return name


def plans(histories: Sequence[History], operations: Sequence[OperationRow], units: Units = METRIC) -> tuple[Plan, ...]:
    """A plan for each work offset and direction of holes."""
    views: dict[tuple[str, str], list[tuple[History, HoleRow]]] = {}
    for history in histories:
        for hole in history.holes:
            if all(place(hole, axis) is not None for axis in ACROSS.get(hole.axis, ())):
                views.setdefault((hole.work_offset, hole.axis), []).append((history, hole))
    state = {row.number: state_of(row) for row in operations}
    return tuple(plan(offset, axis, seen, state, units) for (offset, axis), seen in views.items() if axis in ACROSS)


def without_place(histories: Sequence[History]) -> int:
    """How many holes are in no plan, since it is not known where they are."""
    return sum(
        any(place(hole, axis) is None for axis in ACROSS.get(hole.axis, "?")) for history in histories for hole in history.holes
    )


def place(hole: HoleRow, axis: str) -> float | None:
    """Where a hole is along an axis."""
    return {"x": hole.x_mm, "y": hole.y_mm, "z": hole.z_mm}.get(axis)


def at(hole: HoleRow, axis: str) -> float:
    """Where a hole is that is in a plan."""
    return place(hole, axis) or 0.0


def plan(offset: str, axis: str, seen: list[tuple[History, HoleRow]], state: dict[int, State], units: Units) -> Plan:
    """One plan, with the same scale both ways."""
    across, up = ACROSS[axis]
    marks = sorted(seen, key=lambda pair: (at(pair[1], across), at(pair[1], up)))
    left, right = at(marks[0][1], across), at(marks[-1][1], across)
    ups = [at(hole, up) for _, hole in marks]
    low, high = min(ups), max(ups)
    scale = min((WIDE - 2 * MARGIN) / max(right - left, 1e-9), (HIGH - 2 * MARGIN) / max(high - low, 1e-9), 12.0)
    wide, tall = (right - left) * scale + 2 * MARGIN, (high - low) * scale + 2 * MARGIN
    kept = thinned(marks, across, up, scale) if len(marks) > MOST_HOLES else marks
    body = [
        mark(history, hole, MARGIN + (at(hole, across) - left) * scale, tall - MARGIN - (at(hole, up) - low) * scale, scale,
             state, len(kept) <= FEW, units)
        for history, hole in kept
    ]  # fmt: skip
    title = f"{offset or 'no work offset'}, seen along {axis.upper()}"
    says = (
        f"plan of {plural(len(marks), 'hole')}, {title}, from {span(left, right, across, units)} and {span(low, high, up, units)}"
    )
    edges = joined(rulers(left, right, low, high, across, up, scale, wide, tall, units))
    svg = picture(says, edges, *body, class_="plan", viewBox=f"0 0 {short(wide)} {short(tall)}", width=wide, height=tall)
    return Plan(title, svg, len(marks) - len(kept))


def span(low: float, high: float, axis: str, units: Units = METRIC) -> str:
    """From where to where along an axis."""
    return f"{axis.upper()} {units.number(low, 'mm')} to {units.told(high, 'mm')}"


def thinned(marks: list[tuple[History, HoleRow]], across: str, up: str, scale: float) -> list[tuple[History, HoleRow]]:
    """One hole of each history in each small square of the picture, the squares as large as they must be."""
    side = LEAST_RADIUS
    while True:
        squares: dict[tuple[int, int, str], tuple[History, HoleRow]] = {}
        for history, hole in marks:
            key = (int(at(hole, across) * scale // side), int(at(hole, up) * scale // side), history.letter)
            squares.setdefault(key, (history, hole))
        if len(squares) <= MOST_HOLES or side > WIDE:
            return list(squares.values())[:MOST_HOLES]
        side *= 1.5


def mark(
    history: History, hole: HoleRow, x: float, y: float, scale: float, state: dict[int, State], with_letter: bool, units: Units
) -> Markup:
    """One hole: a circle of its diameter where that can be seen, with its letter."""
    step = history.deepest
    size = max((s.diameter_mm or 0.0 for s in history.steps if s.kind not in ("spot", "chamfer")), default=0.0)
    radius = min(MOST_RADIUS, max(LEAST_RADIUS, size / 2 * scale))
    fluid = state.get(step.operation, STATES["unknown"])
    where = " ".join(f"{axis.upper()}{units.number(at(hole, axis), 'mm')}" for axis in ACROSS[hole.axis])
    says = f"hole {hole.number} at {where}: history {history.letter}, {fluid.word}"
    parts = [element("circle", cx=x, cy=y, r=radius, class_=f"hole fill-{fluid.name}")]
    if with_letter:
        if radius > 9:
            parts.append(element("circle", cx=x, cy=y, r=7.5, class_="halo"))
            parts.append(element("text", history.letter, x=x, y=y + 4, text_anchor="middle"))
        else:
            parts.append(element("text", history.letter, x=x + radius + 2, y=y + 4))
    return element("g", element("title", says), *parts)


def rulers(
    left: float,
    right: float,
    low: float,
    high: float,
    across: str,
    up: str,
    scale: float,
    wide: float,
    tall: float,
    units: Units,
) -> Iterator[Markup]:
    """Where the outermost holes are, along both edges."""
    yield element("rect", x=0.5, y=0.5, width=wide - 1, height=tall - 1, class_="sheet")
    for value in dict.fromkeys((left, right)):
        x = MARGIN + (value - left) * scale
        yield element("line", x1=x, x2=x, y1=0, y2=8, class_="ruler")
        yield element("text", f"{across.upper()}{units.number(value, 'mm')}", x=x, y=20, text_anchor="middle", class_="size")
    for value in dict.fromkeys((low, high)):
        y = tall - MARGIN - (value - low) * scale
        yield element("line", x1=0, x2=8, y1=y, y2=y, class_="ruler")
        yield element("text", f"{up.upper()}{units.number(value, 'mm')}", x=10, y=y + 4, class_="size")
