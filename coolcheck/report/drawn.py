"""What the pictures of a report need of a process beyond its tables: small enough to keep, so that a review out of a cache looks
the same. Curves are text ("seconds,depth" pairs), since a cache holds thousands of them and decodes text for nothing.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from coolcheck.judge.finding import Finding
from coolcheck.known import Known, Missing, merged
from coolcheck.nc.moves import Floats, Note
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.process.edge_heat import rises_after
from coolcheck.process.facts import FACTS
from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import Edge, HoleStep, Operation, Passage, Timeline
from coolcheck.process.quench import quenches
from coolcheck.report.rows import rounded, shown
from coolcheck.report.shown import truth

MOST_POINTS = 2000  # of all strips of a program together
FEWEST_POINTS = 60  # of one strip, however many there are
MOST_STRIPS = 400
MOST_STROKES = 200  # bottoms told of one step of a hole
MOST_SECTIONS = 4  # holes shown from the side
MOST_PASSAGES = 120  # of one edge
COOLING = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)  # moments of an idle time, squared: closer where it cools fast
AFTERWARDS = 20.0  # seconds for which an edge is drawn cooling when it cuts no more
QUENCHED = "edge above room when fluid comes"  # evidence of a quench that tells the temperature
MOST_LINES = 400  # of the program, around what was found
WHOLE = 120  # a program of so many lines is shown whole
CONTEXT = 2  # lines before and behind a marked one
MOST_PLACES = 12  # of one finding
LONGEST = 400  # characters of a line


@dataclass(frozen=True, slots=True)
class Strip:
    """One operation over machine time. `points` are "hundredths of a second,hundredths of a millimetre" from its start and from
    the top, "" where depths are not known; `start_s` counts known times only, see `Drawn.is_clocked`.
    """

    operation: int
    start_s: float
    seconds: float
    points: str


@dataclass(frozen=True, slots=True)
class Cut:
    """A passage of an edge on the axis of the strips; `wet`: is fluid at it (yes, no, unknown, or partly: it comes and goes).

    heat : "hundredths of a second,kelvin above room" from its start, to where the next passage begins; "" where not computed
    came_s, quench_k, stress : when fluid comes onto the hot edge, how far above room it then is, stress over strength;
        None is no quench, or not known, as `is_quenched` tells
    """

    operation: int
    start_s: float
    end_s: float
    wet: str
    heat: str
    is_quenched: bool
    came_s: float | None
    quench_k: float | None
    stress: float | None
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True)
class EdgeRow:
    """An edge over the program's time; `left_out` counts passages that are not listed."""

    name: str
    cuts: tuple[Cut, ...]
    left_out: int


@dataclass(frozen=True, slots=True)
class Need:
    """What one operation needs at its edge beside what is there; None is unknown, `missing` what would tell."""

    operation: int
    needed_bar: float | None
    there_bar: float | None
    needed_l_min: float | None
    there_l_min: float | None
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True)
class Bottoms:
    """How deep each stroke of one step goes into one hole: hundredths of a millimetre, parted by blanks."""

    hole: int
    step: int
    depths: str


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Lines of a file of `lines` lines, from line `first` on, parted by line feeds."""

    file: str
    lines: int
    first: int
    text: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """`is_clocked` is false where some time is unknown: then strips stand side by side with only their known times."""

    is_clocked: bool = True
    clock_missing: tuple[Missing, ...] = ()
    strips: tuple[Strip, ...] = ()
    edges: tuple[EdgeRow, ...] = ()
    needs: tuple[Need, ...] = ()
    bottoms: tuple[Bottoms, ...] = ()
    excerpts: tuple[Excerpt, ...] = ()
    marks_left_out: int = 0


def drawn_of(timeline: Timeline, findings: Sequence[Finding]) -> Drawn:
    """Everything pictures need of this process."""
    excerpts, left_out = excerpts_of(timeline, findings)
    axis = Axis(timeline)
    return Drawn(
        is_clocked=timeline.seconds.is_known,
        clock_missing=timeline.seconds.missing,
        strips=tuple(strips(timeline, axis)),
        edges=tuple(edge_row(edge, axis, timeline) for edge in timeline.edges),
        needs=tuple(needs(timeline)),
        bottoms=tuple(bottoms(timeline)),
        excerpts=excerpts,
        marks_left_out=left_out,
    )


# --- strips: depth over time ---------------------------------------------------------------------------------------------


class Axis:
    """Machine time as the pictures have it: unknown times count nothing, so that there is an axis at all."""

    def __init__(self, timeline: Timeline) -> None:
        self._sums = timeline.clock.sums
        self._halts = np.concatenate([[0.0], np.nancumsum(np.array(timeline.clock.halt_seconds, dtype=float))])
        self._rows = np.array(timeline.clock.halt_rows, dtype=np.int64)
        self.total = float(self._sums[-1] + self._halts[-1])

    def before(self, row: int) -> float:
        """When all before a move is done, its own halts still to come."""
        return float(self._sums[row] + self._halts[np.searchsorted(self._rows, row, side="left")])

    def begin(self, row: int) -> float:
        """When a move sets off."""
        return float(self._sums[row] + self._halts[np.searchsorted(self._rows, row, side="right")])

    def end(self, row: int) -> float:
        """When a move has ended."""
        return float(self.ends(np.array([row]))[0])

    def ends(self, rows: NDArray[np.int64]) -> Floats:
        """When each of these moves has ended."""
        ended: Floats = self._sums[rows + 1] + self._halts[np.searchsorted(self._rows, rows, side="right")]
        return ended


def strips(timeline: Timeline, axis: Axis) -> Iterator[Strip]:
    """A strip for each operation, as finely drawn as their number allows."""
    operations = timeline.operations[:MOST_STRIPS]
    most = max(FEWEST_POINTS, MOST_POINTS // max(1, len(operations)))
    for operation in operations:
        first, last = operation.rows
        inside = np.arange(first, last + 1)
        begin, ends = axis.before(first), axis.ends(inside)
        seconds = max(0.0, float(ends[-1]) - begin) if len(ends) else 0.0
        curve = depth_curve(timeline, operation, inside, ends - begin, most)
        yield Strip(operation.number, round(begin, 3), round(seconds, 3), curve)


def depth_curve(timeline: Timeline, operation: Operation, rows: NDArray[np.int64], times: Floats, most: int) -> str:
    """The depth at the end of each move, what is above the part drawn at its top; "" where the top is not known."""
    top = operation.contours.get("top", float("nan"))
    if not np.isfinite(top) or operation.modal.plane != 17 or operation.kind in WITHOUT_CUT:
        return ""
    depths = np.maximum(0.0, top - timeline.execution.moves.z[rows])
    is_known = np.isfinite(depths)
    kept = extremes(times[is_known], depths[is_known], most)
    pairs = np.rint(np.stack([times[is_known][kept], depths[is_known][kept]], axis=1) * 100).astype(np.int64)
    return " ".join(f"{time},{depth}" for time, depth in pairs.tolist())


def extremes(times: Floats, values: Floats, most: int) -> NDArray[np.int64]:
    """Which of many points to draw: in each of equal stretches of time the lowest and the highest, and both ends.

    >>> extremes(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 5.0, 1.0, 2.0]), most=10).tolist()
    [0, 1, 2, 3]
    """
    count = len(times)
    if count <= most:
        return np.arange(count)
    span = max(float(times[-1] - times[0]), 1e-9)
    stretch = np.minimum(((times - times[0]) / span * (most // 2)).astype(np.int64), most // 2 - 1)
    order = np.lexsort((values, stretch))
    borders = np.flatnonzero(np.diff(stretch[order])) + 1
    lowest = order[np.concatenate([[0], borders])]
    highest = order[np.concatenate([borders, [count]]) - 1]
    return np.unique(np.concatenate([[0], lowest, highest, [count - 1]]))


# --- edges, needs, holes from the side -----------------------------------------------------------------------------------


def edge_row(edge: Edge, axis: "Axis", timeline: Timeline) -> EdgeRow:
    """The row of one edge."""
    passages = edge.passages[:MOST_PASSAGES]
    met = {id(passage): ratio for passage, ratio in quenches(edge, timeline)}
    cuts = []
    for at, passage in enumerate(passages):
        following = passages[at + 1] if at + 1 < len(passages) else None
        until = axis.begin(following.rows[0]) if following else min(axis.total, axis.end(passage.rows[1]) + AFTERWARDS)
        cuts.append(cut(passage, until, met.get(id(passage)), axis, timeline))
    return EdgeRow(edge.name, tuple(cuts), len(edge.passages) - len(passages))


def cut(passage: Passage, until: float, ratio: Known[float] | None, axis: "Axis", timeline: Timeline) -> Cut:
    """One passage, with its heat until the moment `until` and the quench it meets."""
    start, end = axis.begin(passage.rows[0]), axis.end(passage.rows[1])
    came = axis.begin(passage.changes[0].row) if passage.changes and ratio is not None else start
    if came > start:  # fluid comes in its middle: from there on nothing is computed
        end = until = came
    idle = [share**2 * max(0.0, until - end) for share in COOLING]
    comes_and_goes = bool(passage.changes) and not passage.wet.is_yes
    is_cold = passage.wet.is_yes or (comes_and_goes and came <= start)
    rises = None if is_cold else rises_after(passage, idle, timeline)
    left = next((item.value for item in ratio.evidence if item.name == QUENCHED), None) if ratio is not None else None
    return Cut(
        operation=passage.operation.number,
        start_s=round(start, 3),
        end_s=round(axis.end(passage.rows[1]), 3),
        wet="partly" if comes_and_goes else truth(passage.wet),
        heat=heat_curve(end - start, idle, rises.value) if rises is not None and rises.is_known else "",
        is_quenched=ratio is not None,
        came_s=round(came, 3) if ratio is not None else None,
        quench_k=rounded(left, 1) if isinstance(left, float | int) else None,
        stress=shown(ratio, 1, 3) if ratio is not None else None,
        missing=merged((*(rises.missing if rises is not None else ()), *(ratio.missing if ratio is not None else ()))),
    )


def heat_curve(cutting: float, idle: Sequence[float], rises: Sequence[float]) -> str:
    """At the interface temperature while it cuts, then cooling."""
    hot = [(0.0, rises[0]), *((cutting + after, rise) for after, rise in zip(idle, rises, strict=True))]
    return " ".join(f"{round(seconds * 100)},{round(kelvin)}" for seconds, kelvin in hot)


def needs(timeline: Timeline) -> Iterator[Need]:
    """What each cutting operation needs and gets."""
    for operation in timeline.operations:
        if operation.kind in WITHOUT_CUT:
            continue
        names = ("needed_pressure", "tip_pressure", "needed_flow", "tip_flow")
        values: list[Known[float]] = [FACTS["operation", name].of(operation, timeline) for name in names]
        needed_bar, there_bar, needed_flow, there_flow = (
            shown(value, scale, 3) for value, scale in zip(values, (1e-5, 1e-5, 6e4, 6e4), strict=True)
        )
        missing = merged(missing for value in values for missing in value.missing)
        yield Need(operation.number, needed_bar, there_bar, needed_flow, there_flow, missing)


def bottoms(timeline: Timeline) -> Iterator[Bottoms]:
    """The strokes of the deepest holes, one hole of each history."""
    for hole in deepest([hole.steps for hole in timeline.holes]):
        for order, step in enumerate(timeline.holes[hole].steps):
            told = (stroke.end for stroke in step.strokes[:MOST_STROKES] if isfinite(stroke.end))  # NaN: not known
            ends = sorted({round(end * 1e5) for end in told})
            yield Bottoms(timeline.holes[hole].number, order, " ".join(map(str, ends)))


def deepest(histories: Sequence[Sequence[HoleStep]]) -> list[int]:
    """Which holes are the deepest over their diameter, one of each history."""
    found: dict[tuple[object, ...], tuple[float, int]] = {}
    for index, steps in enumerate(histories):
        key = tuple((step.operation.number, step.depth.or_else(None), len(step.strokes)) for step in steps)
        if key not in found:
            found[key] = (slenderness(steps), index)
    ordered = sorted(found.values(), key=lambda pair: (-pair[0], pair[1]))
    return [index for _, index in ordered[:MOST_SECTIONS]]


def slenderness(steps: Iterable[HoleStep]) -> float:
    """The greatest depth over diameter of any step that tells both."""
    return max((s.depth.value / s.diameter.value for s in steps if s.depth.is_known and s.diameter.or_else(0.0) > 0), default=0.0)


# --- the program around what was found -----------------------------------------------------------------------------------


def excerpts_of(timeline: Timeline, findings: Iterable[Finding]) -> tuple[tuple[Excerpt, ...], int]:
    """The lines around every finding and note, a short program whole; and how many marked lines found no room."""
    execution = timeline.execution
    programs = {program.source.name: program for program in (execution.program, *execution.subprograms)}
    wanted: dict[str, set[int]] = {name: set() for name in programs}
    if len(execution.program) <= WHOLE:
        wanted[execution.program.source.name] = set(range(1, len(execution.program) + 1))
    left_out = 0
    for place in merged(marked_places(findings, execution.notes)):
        program = programs.get(place.file)
        if program is None or not 0 < place.line <= len(program) or place.line in wanted[place.file]:
            continue
        if sum(map(len, wanted.values())) >= MOST_LINES:
            left_out += 1
            continue
        wanted[place.file].update(range(max(1, place.line - CONTEXT), min(len(program), place.line + CONTEXT) + 1))
    found = [excerpt for name, lines in wanted.items() for excerpt in runs_of(programs[name], sorted(lines))]
    return tuple(found), left_out


def marked_places(findings: Iterable[Finding], notes: Iterable[Note]) -> Iterator[Place]:
    """Where findings and notes point, most harmful first: as lines."""
    for finding in findings:
        for place in (finding.where, *finding.also[: MOST_PLACES - 1]):
            yield Place(place.file, place.line)
    yield from (Place(note.place.file, note.place.line) for note in notes)


def runs_of(program: Program, lines: Sequence[int]) -> Iterator[Excerpt]:
    """The wanted lines of a program as runs without a gap."""
    start = 0
    for at in range(1, len(lines) + 1):
        if at == len(lines) or lines[at] != lines[at - 1] + 1:
            text = "\n".join(line_text(program, line) for line in lines[start:at])
            yield Excerpt(program.source.name, len(program), lines[start], text)
            start = at


def line_text(program: Program, line: int) -> str:
    """A line as an editor shows it: UTF-8 where it is, else one character a byte; a very long one is cut."""
    source = program.source
    raw = bytes(source.text[int(source.starts[line - 1]) : int(source.ends[line - 1])])
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    text = text.replace("\n", " ").replace("\r", " ")
    return text if len(text) <= LONGEST else text[:LONGEST] + "…"
