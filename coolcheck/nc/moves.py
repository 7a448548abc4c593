"""What the interpreter gives: moves in columns, modal spans, events, holes by cycle, notes.

A program of a million blocks has a million moves: they live in numpy columns. What is rare is an object with the row
of the first move behind it.
"""

from bisect import bisect_right
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.nc.program import Program

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]


class Kind(IntEnum):
    """What a move is; the value in the `kind` column."""

    RAPID = 0
    FEED = 1
    ARC_CW = 2
    ARC_CCW = 3


@dataclass(frozen=True)
class Moves:
    """Moves in columns of equal length n, in the order they run. A value the program does not tell is NaN.

    x, y, z : end point in program coordinates [mm]; the start of a move is `start`, the end of the one before it
              except where the coordinate system changed between them
    x0, y0, z0 : start point [mm]
    feed : path feed while moving [mm/min]; NaN for rapids and where it is not known
    block : index of the block that made the move (see `Execution.place`)
    cycle : index into `Execution.cycle_holes` when a canned cycle made the move, else -1
    arc : index into `arcs` for arcs, else -1
    seconds : time at programmed feed, without acceleration [s]; NaN for rapids (a machine record gives their rate)
    a, b, c : rotary positions [deg], None when the program has no rotary word
    """

    kind: NDArray[np.uint8]
    x: Floats
    y: Floats
    z: Floats
    x0: Floats
    y0: Floats
    z0: Floats
    feed: Floats
    block: Ints
    cycle: Ints
    arc: Ints
    seconds: Floats
    arcs: "Arcs"
    a: Floats | None = None
    b: Floats | None = None
    c: Floats | None = None

    def __len__(self) -> int:
        return len(self.kind)

    @cached_property
    def length(self) -> Floats:
        """Path length of each move [mm]; arcs along the arc, helices along the helix; NaN where an end is not known."""
        straight = np.sqrt((self.x - self.x0) ** 2 + (self.y - self.y0) ** 2 + (self.z - self.z0) ** 2)
        is_arc = self.arc >= 0
        if is_arc.any():
            straight[is_arc] = self.arcs.length[self.arc[is_arc]]
        return straight


@dataclass(frozen=True)
class Arcs:
    """Arcs in columns. The centre is in program coordinates [mm]; the coordinate normal to the plane is NaN.

    plane : 17, 18 or 19; sweep : angle turned, always positive [rad]; length : along the arc or helix [mm]
    """

    x: Floats
    y: Floats
    z: Floats
    radius: Floats
    sweep: Floats
    length: Floats
    plane: NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Modal:
    """The slow part of the modal state: what stays the same over many moves. None is: not stated and not known.

    `codes` are the M codes commanded so far that may concern fluid, see `Event`; the fluid state itself depends on the machine
    record, so `process` works it out from the events. `tool` is the T number in the spindle; `rpm` the commanded speed.
    """

    tool: int | None = None
    tool_name: str = ""
    spindle: str = "off"  # off | clockwise | counterclockwise | unknown
    rpm: float | None = None
    work_offset: str = ""  # "G54", "G54.1 P3"; "" when none was stated
    plane: int = 17
    feed_mode: int = 94  # 93 inverse time | 94 per minute | 95 per revolution
    units: int | None = None  # 20 | 21 | None when neither program nor dialect says
    distance: int = 90
    return_level: int = 98
    length_offset: str = ""  # "H6"; "" when none is active
    side_compensation: str = ""  # "G41 D3"; "" when none is active


@dataclass(frozen=True, slots=True)
class Span:
    """From `row` (of the moves) on, until the next span, the slow modal state is `modal`."""

    row: int
    modal: Modal


@dataclass(frozen=True, slots=True)
class Event:
    """Something rare that happens before move `row`, in the order of `Execution.events`.

    kind: tool_change | tool_select | spindle | fluid | m_code | dwell | stop | optional_stop | end | work_offset | reference |
          probe | message | call | return
    `code` as the dialect writes it ("M8", "M57", "G4"); `words` the other words that belong to it, e.g. {"P": 3.0};
    `value`: T number, rpm, seconds of a dwell, text of a message.
    `fluid` says, by the dialect's own meaning of the code, e.g. "flood on", "all off"; "" when only a machine record can tell;
    "none" when the dialect knows the code as no matter of fluid; "unknown" where a program that cannot be found is called.
    `direction` of a spindle event: clockwise | counterclockwise | off | unknown.
    `after_move` is True when the block's motion runs first (`M9` in the block of the last cut; dialect's M timing).
    `skipped_by` is the block-skip switch under which this block would be skipped, 0 for none.
    """

    row: int
    kind: str
    block: int
    code: str = ""
    value: Any = None
    words: dict[str, float] = field(default_factory=dict)
    fluid: str = ""
    after_move: bool = False
    skipped_by: int = 0
    seconds: float = 0.0
    direction: str = ""


@dataclass(frozen=True, slots=True)
class Cycle:
    """One set of canned-cycle parameters, in force from its block until one of them changes.

    code : 73, 74, 76, 81 … 89. Heights are along `axis` ("x", "y", "z": the normal of the plane), program coordinates [mm].
    top is the R plane, bottom the programmed bottom; `pecks` the bottoms of the strokes in order, the last is `bottom`
    (one stroke for cycles without pecks); `retract` what lies between: "none", "chip_break" (by `clearance`), "full" (to `top`).
    clearance : chip-break retract, or the height above the last bottom to which a full-retract peck re-enters [mm]
    dwell : at the bottom [s]; feed in mm/min, None if not known; `words` the words of the cycle block as values.
    """

    code: int
    axis: str
    top: float
    bottom: float
    pecks: tuple[float, ...]
    retract: str
    clearance: float
    dwell: float
    feed: float | None
    block: int
    initial: float
    return_level: int
    words: dict[str, float]


@dataclass(frozen=True)
class CycleHoles:
    """Every hole made by a canned cycle, in columns: position in program coordinates [mm], rows of moves, cycle, block.

    first, last : rows of the first move (positioning) and of the last (return); cycle : index into `Execution.cycles`
    """

    x: Floats
    y: Floats
    z: Floats
    first: Ints
    last: Ints
    cycle: Ints
    block: Ints

    def __len__(self) -> int:
        return len(self.x)


@dataclass(frozen=True, slots=True)
class Noted:
    """How often a note came up with one tool in the spindle (None: nobody knows which), and where first."""

    tool: int | None
    place: Place
    count: int = 1


@dataclass(frozen=True, slots=True)
class Note:
    """Something the reader of a program must know: what could not be read, was assumed, or reached a bound.

    `id` is one of `coolcheck.nc.notes.NOTES` (unreadable-block, unknown-word, missing-subprogram, loop-bound ...);
    `affects` names what is unknown because of it ("z", "fluid", "time" ...); `count` how often, the place is the first;
    `by_tool` the same for each tool that was in the spindle then, empty for what is noted of the whole program.
    """

    id: str
    place: Place
    says: str
    do: str = ""
    affects: tuple[str, ...] = ()
    count: int = 1
    by_tool: tuple[Noted, ...] = ()


@dataclass(frozen=True)
class Execution:
    """A program as the control would run it."""

    program: "Program"
    subprograms: tuple["Program", ...]
    moves: Moves
    spans: tuple[Span, ...]
    events: tuple[Event, ...]
    cycles: tuple[Cycle, ...]
    cycle_holes: CycleHoles
    notes: tuple[Note, ...]
    ended: bool  # a program end was reached
    is_subprogram: bool = False  # it ends with M99 and leaves tool and spindle to the program that calls it

    def place(self, block: int) -> Place:
        """Where that block stands; blocks of subprogram files are numbered behind those of the program."""
        found = self._places.get(block)
        if found is None:
            found = self._places[block] = self._place(block)
        return found

    @cached_property
    def _places(self) -> dict[int, Place]:
        return {}  # many things stand in one block, and each is asked for its place

    def _place(self, block: int) -> Place:
        for program in (self.program, *self.subprograms):
            if block < len(program):
                return program.place(block)
            block -= len(program)
        raise IndexError("no such block")

    def modal(self, row: int) -> Modal:
        """The slow modal state under which move `row` runs."""
        return self.spans[self.span_at(row)].modal

    def span_at(self, row: int) -> int:
        """The index of the span that holds at move `row`."""
        return bisect_right(self._span_rows, row) - 1

    @cached_property
    def _span_rows(self) -> list[int]:
        return [span.row for span in self.spans]
