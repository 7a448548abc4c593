"""The objects that rules speak about: few, frozen, each able to say where it comes from. SI units."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from coolcheck.known import Known, Truth, every, merged, no, unknown, yes
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event, Execution, Modal
    from coolcheck.process.clock import Clock
    from coolcheck.process.sections import Rows
    from coolcheck.records.binding import Binding
    from coolcheck.records.record import Record

MODES = ("flood", "ring", "nozzle", "through_tool", "air", "through_air", "mist", "minimum_quantity", "wash")
WETTING = ("delivered", "partial_leak")  # outcomes of a chain in which fluid comes out at the edge
OUTSIDE_REACH = ("shank_spray", "holder_jets")  # outcomes in which it runs down the shank, and reaches as far as a flood
BLOCKING = ("commanded", "machine", "spindle", "pull_stud", "holder")  # a no of these links lets nothing by at all
STREAMS = ("flood", "ring", "nozzle", "through_tool")  # liquid in a stream: what wets and quenches an edge
LIQUID = ("flood", "ring", "nozzle", "through_tool", "mist", "minimum_quantity")


@dataclass(frozen=True, slots=True)
class Fluid:
    """The fluid commanded at one moment: for each mode of MODES yes, no or unknown, and the pressure level if one is chosen.

    `place` is the block that last changed it. Unknown codes make unknown only the modes they could concern.
    """

    modes: tuple[tuple[str, Truth], ...]
    level: str = ""
    place: Place | None = None

    def __getitem__(self, mode: str) -> Truth:
        return next(truth for name, truth in self.modes if name == mode)


@dataclass(frozen=True, slots=True)
class FluidSpan:
    """From move `row` on the fluid state is `fluid`; `event` is the index of the event that made it, -1 for the start."""

    row: int
    fluid: Fluid
    event: int


@dataclass(frozen=True, slots=True)
class Link:
    """One link of the delivery chain. name: commanded | machine | spindle | pull_stud | holder | clamping | tool | reach."""

    name: str
    passes: Truth
    says: str


@dataclass(frozen=True, slots=True)
class Chain:
    """How fluid of one mode travels from the pump to the edge, link by link.

    delivers : yes only when every link is yes; `weakest` the first link that is not yes, None when all are
    result : a word for the outcome: delivered | no_supply | prepared_only | closed_pull_stud | wrong_form | blocked_in_holder |
             blocked_at_tool | shank_spray | partial_leak | holder_jets | starved_by_depth | not_commanded | unknown
    """

    mode: str
    links: tuple[Link, ...]
    delivers: Truth
    result: str

    @property
    def weakest(self) -> Link | None:
        """The first link that is not a known yes."""
        return next((link for link in self.links if not link.passes.is_yes), None)

    def link(self, name: str) -> Link | None:
        """The link of that name, None when this chain has none."""
        return next((link for link in self.links if link.name == name), None)

    @property
    def wets(self) -> Truth:
        """Does any of it reach the edge. A leaking collet still lets fluid through the tool, a spray along the shank reaches as
        far as a flood does: neither is the whole chain, both wet the edge."""
        evidence = merged(e for link in self.links for e in link.passes.evidence)
        if self.result in WETTING:
            return yes(*evidence)
        if self.result in OUTSIDE_REACH:
            reach = self.link("reach")
            return reach.passes if reach else every(link.passes for link in self.links)
        if self.result != "unknown":
            return no(*(self.weakest.passes.evidence if self.weakest else evidence))
        blocked = next((link for link in self.links if link.name in BLOCKING and link.passes.is_no), None)
        if blocked is not None:
            return no(*blocked.passes.evidence)
        tool = self.link("tool")
        open_links = [link for link in self.links if not link.passes.is_yes]
        if tool is not None and tool.passes.is_yes and all(link.name == "clamping" for link in open_links):
            return yes(*evidence)  # sealed or leaking: fluid comes out of the tool either way
        missing = merged(m for link in self.links for m in link.passes.missing)
        return unknown(*missing, evidence=evidence)


@dataclass(frozen=True, slots=True)
class Stroke:
    """One feed stroke into a hole and its retract. Depths along the tool axis from the top of the hole, positive [m]."""

    start: float
    end: float
    retract_to: float
    row: int


@dataclass(frozen=True, slots=True, eq=False)
class HoleStep:
    """What one operation did to one hole. There may be hundred thousands of them: what many share is shared.

    kind : kind of the operation; tool : T number; depth : from the top of the hole to the deepest point of the tool [m]
    diameter : cutting diameter [m]; strokes : feed strokes in order; retract : none | chip_break | full
    dwell : at the bottom [s]; seconds : machine time from first to last move [s]; fluid : commanded while it cuts
    hole, order : number of its hole and its index among the steps of that hole
    """

    operation: "Operation"
    execution: "Execution" = field(repr=False)
    block: int
    hole: int
    order: int
    depth: Known[float]
    diameter: Known[float]
    strokes: Sequence[Stroke]
    retract: str
    dwell: float
    rows: tuple[int, int]
    seconds: Known[float]
    single_pass_seconds: Known[float]
    fluid: Fluid
    cycle: int = -1

    @property
    def place(self) -> Place:
        """The block that makes it."""
        return self.execution.place(self.block)


@dataclass(frozen=True)
class Hole:
    """One hole as a history over all tools of the program. Position in program coordinates [m] at its work offset."""

    number: int
    x: float
    y: float
    z: float
    axis: str
    work_offset: str
    steps: tuple[HoleStep, ...]

    @property
    def name(self) -> str:
        """As a waiver and a table name it, in mm; the two axes across the hole."""
        across = {"x": "YZ", "y": "XZ", "z": "XY"}[self.axis]
        return " ".join(letter + _place_text(getattr(self, letter.lower())) for letter in across)


def _place_text(metres: float) -> str:
    """A place in mm without noise behind the fourth decimal; "?" where it is not known."""
    return "?" if metres != metres else f"{round(metres * 1e3, 4) + 0.0:.10g}"


@dataclass(frozen=True)
class Passage:
    """One engagement of an edge: from entering material to leaving it.

    wet : did liquid reach the edge all along (the chain's verdict, not only the command); commanded_wet : was it commanded
    all along. Engagements of one operation that follow each other under one fluid state are one passage: `count` says how many.
    An engagement in which the fluid changed is a passage of its own, and `changes` holds those events.
    """

    operation: "Operation"
    rows: tuple[int, int]
    start: Known[float]
    seconds: Known[float]
    wet: Truth
    commanded_wet: Truth
    changes: tuple["Event", ...] = ()
    count: int = 1


@dataclass(frozen=True)
class Edge:
    """One physical edge over the program's time: all its passages in order."""

    tool: int
    name: str
    record: "Record"
    passages: tuple[Passage, ...]


@dataclass(frozen=True)
class Operation:
    """What one tool does in one go; a next hole under another fluid, speed or feed begins another one.

    kind : drill | peck_drill | chip_break_drill | gun_drill | spot | ream | bore | tap | thread_mill | chamfer | face | rough |
           finish | mill | engrave | probe | wash | idle | unknown; `kind_known` carries the evidence for it
    rows : first and last row of its moves; number from 1 in program order
    times in s, depth in m below the top of what it enters, speeds in 1/s (rpm / 60) and m/s
    """

    number: int
    tool: int | None
    tool_record: "Record"
    holder_record: "Record"
    kind: str
    kind_known: Known[str]
    title: str
    place: Place
    rows: tuple[int, int]
    blocks: tuple[int, int]
    modal: "Modal"
    rapid_seconds: Known[float]
    feed_seconds: Known[float]
    dwell_seconds: float
    change_seconds: Known[float]
    start_seconds: Known[float]
    peck_seconds: Known[float]  # time more than the same holes in one pass
    depth: Known[float]
    diameter: Known[float]
    feed: Known[float]  # path feed [m/s], the most used one
    n: Known[float]  # spindle speed [1/s]
    fluid: tuple[Fluid, ...]  # states commanded while it cuts, in order, each once
    chains: tuple[Chain, ...]  # one for each mode commanded while it cuts
    delivered: Truth  # does some liquid, or the air it needs, reach the edge
    holes: tuple[int, ...]  # numbers of the holes it works on
    contours: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Timeline:
    """A program with its records, as a process."""

    execution: "Execution"
    binding: "Binding"
    fluids: tuple[FluidSpan, ...]
    operations: tuple[Operation, ...]
    holes: tuple[Hole, ...]
    edges: tuple[Edge, ...]
    seconds: Known[float]
    cutting_seconds: Known[float]
    pecking_seconds: Known[float]
    changes: tuple["Event", ...]
    clock: "Clock" = field(repr=False)
    engaged: "Rows" = field(repr=False)  # rows of the feed moves in material
    memory: dict[object, Any] = field(default_factory=dict, repr=False, compare=False)  # what facts have worked out once
