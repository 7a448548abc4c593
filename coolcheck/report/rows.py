"""Operations and holes as plain rows in the units of the shop floor: small enough to keep, to send and to write as JSON.

None stands for unknown, never for zero. Field names carry their unit; the JSON report uses the same names.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from coolcheck.known import Known, merged
from coolcheck.later import Later
from coolcheck.place import Place
from coolcheck.process.model import MODES, Chain, Fluid, Hole, HoleStep, Operation, Timeline
from coolcheck.process.signals import NOBODY_SAYS
from coolcheck.report.shown import truth


@dataclass(frozen=True, slots=True)
class LinkRow:
    """One link of a delivery chain; `passes` is yes, no or unknown."""

    name: str
    passes: str
    says: str


@dataclass(frozen=True, slots=True)
class ChainRow:
    """A delivery chain, from pump to edge; `weakest` names the first link that is not yes, "" when all are."""

    mode: str
    delivers: str
    result: str
    weakest: str
    links: tuple[LinkRow, ...]


@dataclass(frozen=True, slots=True)
class OperationRow:
    """One operation. Times in seconds, `seconds` being all of it; `fluid` the modes commanded while it cuts.

    unexplained : the codes that make it unknown which modes are commanded, because nobody says what they do
    """

    number: int
    tool: int | None
    kind: str
    title: str
    where: Place
    start_s: float | None
    seconds: float | None
    rapid_s: float | None
    feed_s: float | None
    dwell_s: float | None
    change_s: float | None
    peck_s: float | None
    depth_mm: float | None
    diameter_mm: float | None
    feed_mm_min: float | None
    rpm: float | None
    fluid: tuple[str, ...]
    delivered: str
    chains: tuple[ChainRow, ...]
    holes: tuple[int, ...]
    unexplained: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """As people call it: "T12 peck drill"."""
        return " ".join(part for part in (tool_name(self.tool), words(self.kind)) if part)


@dataclass(frozen=True, slots=True)
class StepRow:
    """What one operation did to one hole; `retract` is none, chip_break or full."""

    operation: int
    tool: int | None
    kind: str
    where: Place
    depth_mm: float | None
    diameter_mm: float | None
    strokes: int
    retract: str
    dwell_s: float | None
    seconds: float | None
    single_pass_s: float | None
    fluid: tuple[str, ...]
    unexplained: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One hole with its history over all tools; position in millimetres at its work offset."""

    number: int
    x_mm: float | None
    y_mm: float | None
    z_mm: float | None
    axis: str
    work_offset: str
    steps: tuple[StepRow, ...]


@dataclass(frozen=True, slots=True)
class Totals:
    """What the whole program comes to."""

    cycle_s: float | None
    cutting_s: float | None
    pecking_s: float | None
    tools: int
    blocks: int
    operations: int
    holes: int


def tool_name(tool: int | None) -> str:
    """The tool as people write it: T12; "" where none is known."""
    return "" if tool is None else f"T{tool}"


def words(name: str) -> str:
    """A name of ours as words: "peck_drill" is "peck drill"."""
    return name.replace("_", " ")


def rounded(value: float | None, digits: int) -> float | None:
    """`value` to so many places behind the point; what is no finite number is unknown."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), digits) + 0.0  # + 0.0: a rounded -0.0 is 0.0


def shown(value: Known[float], scale: float, digits: int) -> float | None:
    """A known value in shop units, None when it is unknown."""
    return rounded(value.value * scale, digits) if value.is_known else None


def fluid_modes(fluids: tuple[Fluid, ...]) -> tuple[str, ...]:
    """The modes commanded in any of the states, in the order of MODES; one that is only possible ends in "?"."""
    names = []
    for mode in MODES:
        answers = [dict(fluid.modes)[mode] for fluid in fluids if mode in dict(fluid.modes)]
        if any(answer.is_yes for answer in answers):
            names.append(mode)
        elif any(not answer.is_known for answer in answers):
            names.append(mode + "?")
    return tuple(names)


def unexplained(fluids: tuple[Fluid, ...]) -> tuple[str, ...]:
    """The codes that nobody explained and that make it unknown whether modes are on."""
    truths = (truth for fluid in fluids for _, truth in fluid.modes if not truth.is_known)
    return merged(item.name for truth in truths for item in truth.evidence if item.value == NOBODY_SAYS)


def operation_row(operation: Operation) -> OperationRow:
    """The row of one operation."""
    rapid, feed = shown(operation.rapid_seconds, 1, 3), shown(operation.feed_seconds, 1, 3)
    change, dwell = shown(operation.change_seconds, 1, 3), rounded(operation.dwell_seconds, 3)
    parts = [part for part in (rapid, feed, change, dwell) if part is not None]
    return OperationRow(
        number=operation.number,
        tool=operation.tool,
        kind=operation.kind,
        title=operation.title,
        where=operation.place,
        start_s=shown(operation.start_seconds, 1, 3),
        seconds=rounded(sum(parts), 3) if len(parts) == 4 else None,
        rapid_s=rapid,
        feed_s=feed,
        dwell_s=dwell,
        change_s=change,
        peck_s=shown(operation.peck_seconds, 1, 3),
        depth_mm=shown(operation.depth, 1e3, 4),
        diameter_mm=shown(operation.diameter, 1e3, 4),
        feed_mm_min=shown(operation.feed, 6e4, 4),
        rpm=shown(operation.n, 60, 1),
        fluid=fluid_modes(operation.fluid),
        delivered=truth(operation.delivered),
        chains=tuple(map(chain_row, operation.chains)),
        holes=operation.holes,
        unexplained=unexplained(operation.fluid),
    )


def chain_row(chain: Chain) -> ChainRow:
    """The row of one delivery chain."""
    links = tuple(LinkRow(link.name, truth(link.passes), link.says) for link in chain.links)
    return ChainRow(chain.mode, truth(chain.delivers), chain.result, chain.weakest.name if chain.weakest else "", links)


class _Shared:
    """What the steps of many holes share, worked out once: the objects are the same ones, see `process.holes`."""

    def __init__(self) -> None:
        self._modes: dict[int, tuple[str, ...]] = {}
        self._unexplained: dict[int, tuple[str, ...]] = {}
        self._lengths: dict[int, float | None] = {}

    def modes(self, fluid: Fluid) -> tuple[str, ...]:
        """The modes commanded in a fluid state."""
        if id(fluid) not in self._modes:
            self._modes[id(fluid)] = fluid_modes((fluid,))
        return self._modes[id(fluid)]

    def unexplained(self, fluid: Fluid) -> tuple[str, ...]:
        """The codes that make a fluid state unknown."""
        if id(fluid) not in self._unexplained:
            self._unexplained[id(fluid)] = unexplained((fluid,))
        return self._unexplained[id(fluid)]

    def length(self, length: Known[float]) -> float | None:
        """A length in mm."""
        if id(length) not in self._lengths:
            self._lengths[id(length)] = shown(length, 1e3, 4)
        return self._lengths[id(length)]


def hole_row(hole: Hole, shared: _Shared) -> HoleRow:
    """The row of one hole."""
    x, y, z = (rounded(at * 1e3, 4) for at in (hole.x, hole.y, hole.z))
    steps = tuple(_step_row(step, shared) for step in hole.steps)
    return HoleRow(hole.number, x, y, z, hole.axis, hole.work_offset, steps)


class HoleRows(Later[HoleRow]):
    """The rows of holes, made when somebody looks: there may be hundred thousands, and a report in text shows none."""

    def __init__(self, holes: Sequence[Hole]) -> None:
        self._holes = holes

    def _make(self) -> tuple[HoleRow, ...]:
        shared = _Shared()
        return tuple(hole_row(hole, shared) for hole in self._holes)

    def __len__(self) -> int:
        return len(self._holes)


def _step_row(step: HoleStep, shared: _Shared) -> StepRow:
    return StepRow(
        operation=step.operation.number,
        tool=step.operation.tool,
        kind=step.operation.kind,
        where=step.place,
        depth_mm=shared.length(step.depth),
        diameter_mm=shared.length(step.diameter),
        strokes=len(step.strokes),
        retract=step.retract,
        dwell_s=rounded(step.dwell, 3),
        seconds=shown(step.seconds, 1, 3),
        single_pass_s=shown(step.single_pass_seconds, 1, 3),
        fluid=shared.modes(step.fluid),
        unexplained=shared.unexplained(step.fluid),
    )


def totals_of(timeline: Timeline) -> Totals:
    """The totals of a program."""
    return Totals(
        cycle_s=shown(timeline.seconds, 1, 3),
        cutting_s=shown(timeline.cutting_seconds, 1, 3),
        pecking_s=shown(timeline.pecking_seconds, 1, 3),
        tools=len({operation.tool for operation in timeline.operations if operation.tool is not None}),
        blocks=len(timeline.execution.program),
        operations=len(timeline.operations),
        holes=len(timeline.holes),
    )
