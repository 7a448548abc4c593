"""The objects that rules speak about: few, frozen, each able to say where it comes from. SI units."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from coolcheck.known import Known, Truth
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event, Execution, Modal
    from coolcheck.records.binding import Binding
    from coolcheck.records.record import Record

MODES = ("flood", "ring", "nozzle", "through_tool", "air", "through_air", "mist", "minimum_quantity", "wash")
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
        return dict(self.modes)[mode]


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


@dataclass(frozen=True, slots=True)
class Stroke:
    """One feed stroke into a hole and its retract. Depths along the tool axis from the top of the hole, positive [m]."""

    start: float
    end: float
    retract_to: float
    row: int


@dataclass(frozen=True)
class HoleStep:
    """What one operation did to one hole.

    kind : kind of the operation; tool : T number; depth : from the top of the hole to the deepest point of the tool [m]
    diameter : cutting diameter [m]; strokes : feed strokes in order; retract : none | chip_break | full
    dwell : at the bottom [s]; seconds : machine time from first to last move [s]; fluid : commanded while it cuts
    """

    operation: "Operation"
    place: Place
    depth: Known[float]
    diameter: Known[float]
    strokes: tuple[Stroke, ...]
    retract: str
    dwell: float
    rows: tuple[int, int]
    seconds: Known[float]
    single_pass_seconds: Known[float]
    fluid: Fluid
    cycle: int = -1


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
        """As a waiver and a table name it, in mm."""
        return f"X{self.x * 1e3:g} Y{self.y * 1e3:g}"


@dataclass(frozen=True)
class Passage:
    """One engagement of an edge: from entering material to leaving it.

    wet : did liquid reach the edge (the chain's verdict, not only the command); regime of the operation it belongs to
    """

    operation: "Operation"
    rows: tuple[int, int]
    start: Known[float]
    seconds: Known[float]
    wet: Truth
    commanded_wet: Truth
    changes: tuple["Event", ...] = ()  # fluid events while the edge was cutting


@dataclass(frozen=True)
class Edge:
    """One physical edge over the program's time: all its passages in order."""

    tool: int
    name: str
    record: "Record"
    passages: tuple[Passage, ...]


@dataclass(frozen=True)
class Operation:
    """What one tool does in one go.

    kind : drill | peck_drill | chip_break_drill | gun_drill | spot | ream | bore | tap | thread_mill | chamfer | face | rough | finish |
           mill | engrave | probe | wash | idle | unknown; `kind_known` carries the evidence for it
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
