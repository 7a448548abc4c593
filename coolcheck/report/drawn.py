"""What the pictures of a report need of a process beyond its tables: small enough to keep, so that a review out of a cache looks
the same. Curves are text ("seconds,depth" pairs), since a cache holds thousands of them and decodes text for nothing.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from coolcheck.judge.finding import Finding
from coolcheck.known import Known, Missing, merged
from coolcheck.process.edge_heat import rises_after
from coolcheck.process.facts import FACTS
from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import Edge, HoleStep, Passage, Timeline
from coolcheck.process.quench import quenches
from coolcheck.report.excerpts import Excerpt, excerpts_of
from coolcheck.report.rows import rounded, shown
from coolcheck.report.shown import truth
from coolcheck.report.strips import Axis, Strip, strips

MOST_STROKES = 200  # bottoms told of one step of a hole
MOST_SECTIONS = 4  # holes shown from the side
MOST_PASSAGES = 120  # of one edge
COOLING = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)  # moments of an idle time, squared: closer where it cools fast
AFTERWARDS = 20.0  # seconds for which an edge is drawn cooling when it cuts no more
QUENCHED = "edge above room when fluid comes"  # evidence of a quench that tells the temperature


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
class Drawn:
    """`is_clocked` is false where some time is unknown: then strips stand side by side with only their known times."""

    is_clocked: bool = True
    clock_missing: tuple[Missing, ...] = ()
    strips: Sequence[Strip] = ()
    edges: Sequence[EdgeRow] = ()
    needs: Sequence[Need] = ()
    bottoms: Sequence[Bottoms] = ()
    excerpts: Sequence[Excerpt] = ()
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


def edge_row(edge: Edge, axis: Axis, timeline: Timeline) -> EdgeRow:
    """The row of one edge."""
    passages = edge.passages[:MOST_PASSAGES]
    met = {id(passage): ratio for passage, ratio in quenches(edge, timeline)}
    cuts = []
    for at, passage in enumerate(passages):
        following = passages[at + 1] if at + 1 < len(passages) else None
        until = axis.begin(following.rows[0]) if following else min(axis.total, axis.end(passage.rows[1]) + AFTERWARDS)
        cuts.append(cut(passage, until, met.get(id(passage)), axis, timeline))
    return EdgeRow(edge.name, tuple(cuts), len(edge.passages) - len(passages))


def cut(passage: Passage, until: float, ratio: Known[float] | None, axis: Axis, timeline: Timeline) -> Cut:
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
