"""The control: position, feed and modal state, and what one block makes of them. Flow and calls are the interpreter's.

What changes with every block (position, motion code, feed) are plain attributes; the slow modal state is a frozen `State`.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from coolcheck.nc import drilling, miscellaneous, motion, settings
from coolcheck.nc.dialect import Dialect
from coolcheck.nc.drilling import Series
from coolcheck.nc.frames import Frame, Point
from coolcheck.nc.limits import Limits
from coolcheck.nc.modal import Code, State, code_table, cycle_of, first_state, shown
from coolcheck.nc.notes import Notes
from coolcheck.nc.recorder import Recorder
from coolcheck.nc.unplaced import INCREMENTAL, Distance
from coolcheck.nc.words import AXES, MOTION_CODES, Increments, Step

NAN = math.nan
RAPID, FEED = 0, 10  # motion codes times ten, as in `Control.motion`
NO_MOTION = -1
LATHE_AXES = {"U": "X", "V": "Y", "W": "Z"}
Rows = list[tuple[int, Code]]
_TAKES_AXES = frozenset(
    {
        "set_data",
        "reference",
        "from_reference",
        "skip",
        "measure",
        "local_shift",
        "preset",
        "not_simulated",
        "lathe",
        "rotation",
        "scaling",
        "mirror",
        "tilted",
        "unknown_axes",
    }
)
# Order of execution inside one block (NISTIR 6556, table 8); units come first, so that F and S are read in them.
_BEFORE_WORDS = ("units", "feed_mode", "spindle_mode")
_AFTER_WORDS = (
    "plane",
    "side",
    "length",
    "offset",
    "polar",
    "path",
    "distance",
    "arc_centre",
    "return_level",
    "scaling",
    "mirror",
    "rotation",
)
_CLAIMS = {
    "dwell": "PXU",
    "offset": "P",
    "set_data": "LPRQ",
    "rotation": "R",
    "scaling": "PIJK",
    "reference": "P",
    "path": "PQR",
    "nothing": "PQRE",
}
_ASSUMED: Mapping[str, tuple[str, str, Mapping[int | None, str]]] = {
    "units": ("assumed-units", "units", {20: "inch (G20)", 21: "millimetre (G21)", None: "unknown"}),
    "distance": ("assumed-distance", "distance", {90: "absolute (G90)", 91: "incremental (G91)"}),
    "feed_mode": ("assumed-feed-mode", "feed_mode", {93: "inverse time", 94: "per minute (G94)", 95: "per revolution (G95)"}),
    "plane": ("assumed-plane", "plane", {17: "XY (G17)", 18: "ZX (G18)", 19: "YZ (G19)"}),
    "return_level": ("assumed-return-level", "return_level", {98: "the initial level (G98)", 99: "R (G99)"}),
}


class Control:
    """A control of one dialect while it runs a program.

    x, y, z : position in program coordinates [mm], NaN where not known; a, b, c : rotary positions [deg]
    motion : the motion code in force, times ten; NO_MOTION before the first
    last_motion : the last of G0 to G3; feed : path feed now in force [mm/min]; word_feed : the F word [mm/min, mm/rev or 1/min]
    block : number of the block being run, counted over all files
    distances : where G90 came after G91, and every G91
    taken : letters of this block that something has used
    """

    def __init__(
        self, dialect: Dialect, recorder: Recorder, notes: Notes, start: Point | None, limits: Limits, codes: frozenset[str]
    ) -> None:
        self.dialect = dialect
        self.meaning = dialect.meaning
        self.limits = limits
        self.recorder = recorder
        self.notes = notes
        self.builder_codes = codes
        self.codes: Mapping[int, Code] = code_table(self.meaning)
        self.x, self.y, self.z = start if start is not None else (NAN, NAN, NAN)
        self.a = self.b = self.c = NAN
        self.motion = NO_MOTION
        self.last_motion = NO_MOTION if self.meaning.motion is None else self.meaning.motion * 10
        self.feed = self.word_feed = NAN
        self.frame: Frame | None = None
        self.series: Series | None = None
        self.offsets: dict[str, Point] = {}
        self.moved_offsets: dict[str, Point] = {}  # how far offsets have changed since the first cut in them
        self.lengths: dict[int, float] = {0: 0.0}
        self.last_length: int | None = None
        self.selected: int | None = None
        self.selected_name = ""
        self.tool_changes = 0
        self.turret_block = -1
        self.polar_point = (NAN, NAN)
        self.is_turning = False
        self.skip_behind: float | None = None
        self.stopped = self.ended = False
        self.block = 0
        self.taken: set[str] = set()
        self._pending = set(_ASSUMED)
        self.distances: list[Distance] = []
        self.increments: Increments | None = None
        if dialect.decimal_point == "least_increment":
            self.increments = Increments(dialect.increment_letters, *dialect.increment)
        self.state = first_state(self.meaning)
        self.set_state(self.state)

    # ------------------------------------------------------------------ state

    def set_modal(self, **changes: Any) -> None:
        """Changes fields of the slow modal state."""
        self.set_state(self.state.with_modal(**changes))

    def set_state(self, state: State) -> None:
        """Makes `state` the slow modal state."""
        self.state = state
        modal = state.modal
        self.scale = NAN if modal.units is None else 25.4 if modal.units == 20 else 1.0
        self.absolute = modal.distance == 90
        self.plane = modal.plane
        if modal.feed_mode == 95:
            self.feed = self.word_feed * modal.rpm if modal.rpm is not None else NAN
        else:
            self.feed = self.word_feed if modal.feed_mode == 94 else NAN
        self.recorder.span(modal)
        self.settle()

    def settle(self) -> None:
        """Works out whether plain motion may take the short way: nothing done to positions, nothing left to note as assumed."""
        self.is_simple = (
            self.frame is None
            and not self.state.polar
            and not self.state.tilted
            and self.state.modal.feed_mode != 93
            and self._pending.isdisjoint(("units", "distance", "feed_mode"))
        )

    @property
    def position(self) -> Point:
        """Where the tool is, in program coordinates [mm]."""
        return (self.x, self.y, self.z)

    @position.setter
    def position(self, point: Point) -> None:
        self.x, self.y, self.z = point

    @property
    def is_inch(self) -> bool:
        """Are lengths in inch?"""
        return self.state.modal.units == 20

    def note(self, name: str, says: str, do: str = "", affects: str = "", key: str = "") -> None:
        """Something to tell about this block; the same `key` is told once."""
        self.notes.add(name, self.block, says, do, affects=affects, key=key)

    def has_stated(self, group: str) -> bool:
        """Has the program stated that modal state itself, before anything rested on it?"""
        return group not in self._pending and _ASSUMED[group][0] not in self.notes

    def assume(self, group: str) -> None:
        """Notes, once, that what the program does here rests on a modal state that it has not stated."""
        if group not in self._pending:
            return
        self._pending.discard(group)
        name, field, words = _ASSUMED[group]
        value = words[getattr(self.state.modal, field)]
        subject = name.removeprefix("assumed-").replace("-", " ")
        says = f"the program does not state its {subject} before this block; {value} is assumed"
        self.note(name, says, "state it at the start of the program", affects="position" if value == "unknown" else "")
        self.settle()

    def lose(self, letters: str) -> None:
        """The position along these axes is no longer known."""
        for letter in letters:
            axis = LATHE_AXES.get(letter, letter).lower()
            if axis in "xyzabc":
                setattr(self, axis, NAN)

    def length(self, step: Step, letter: str) -> float | None:
        """The value of a length word [mm]; None when the block does not have it."""
        value = step.lengths.get(letter)
        return None if value is None else value * self.scale

    # ---------------------------------------------------------------- blocks

    def move(self, step: Step) -> None:
        """Runs a step that holds nothing but motion words (`step.is_motion`): the short way, for most blocks of most programs."""
        code = step.gs[0] if step.gs else self.motion
        if not self.is_simple or (code != RAPID and code != FEED) or self.series is not None:
            if self.is_simple and self.series is not None and not step.gs and self._drill_again(step):
                return
            self.run(step)
            return
        lengths = step.values if self.increments is None else self.increments.resolved(step, self.is_inch)
        f, x, y, z = step.values.get("F"), lengths.get("X"), lengths.get("Y"), lengths.get("Z")
        if (f is not None) + (x is not None) + (y is not None) + (z is not None) != len(lengths):
            self.run(step)
            return
        self.motion = self.last_motion = code
        if f is not None:
            self.set_feed(f, "F" in step.bare)
        if x is None and y is None and z is None:
            return
        end_x, end_y, end_z = start = (self.x, self.y, self.z)
        scale = self.scale
        if self.absolute:
            end_x = end_x if x is None else x * scale
            end_y = end_y if y is None else y * scale
            end_z = end_z if z is None else z * scale
        else:
            end_x = end_x if x is None else end_x + x * scale
            end_y = end_y if y is None else end_y + y * scale
            end_z = end_z if z is None else end_z + z * scale
        if code == RAPID:
            self.recorder.move(0, start, (end_x, end_y, end_z), NAN, self.block)
        else:
            if self.feed != self.feed:
                motion.no_feed(self)
            self.recorder.move(1, start, (end_x, end_y, end_z), self.feed, self.block)
        self.x, self.y, self.z = end_x, end_y, end_z

    def _drill_again(self, step: Step) -> bool:
        """A block of nothing but X and Y in a series of holes."""
        lengths = step.values if self.increments is None else self.increments.resolved(step, self.is_inch)
        x, y = lengths.get("X"), lengths.get("Y")
        if (x is not None) + (y is not None) != len(lengths) or self.recorder.rows > self.limits.max_moves:
            return False
        return drilling.drill_again(self, x, y)

    def run(self, step: Step) -> None:
        """Runs any step: its settings, then its motion, in the order of the control."""
        if self.series is not None:
            self.series.template = None  # whatever this block changes, the next hole is looked at closely
        groups = self._groups(step)
        self.taken = self._claimed(step, groups)
        for group in _BEFORE_WORDS:
            self._apply(step, groups.get(group, []))
        if self.increments is not None:
            step.lengths = self.increments.resolved(step, self.is_inch)
        miscellaneous.words_before_move(self, step)
        once = groups.get("once", [])
        self._apply(step, [row for row in once if row[1].act == "dwell"])
        for group in _AFTER_WORDS:
            self._apply(step, groups.get(group, []))
        self._apply(step, [row for row in once if row[1].act != "dwell"])
        took_axes = "unknown" in groups or any(row.act in _TAKES_AXES for rows in groups.values() for _, row in rows)
        miscellaneous.builder_codes(self, step)
        cycle = motion.move(self, step, [code for code, _ in groups.get("motion", [])], "machine" in groups, took_axes)
        if cycle and not took_axes:
            drilling.drill(self, step, cycle)
        miscellaneous.words_after_move(self, step)
        self.check_moves()

    def check_moves(self) -> None:
        """Stops when the program has made more moves than it may."""
        if self.recorder.rows > self.limits.max_moves:
            self.note(
                "move-bound",
                f"the program makes more than {self.limits.max_moves} moves; the rest is not followed",
                "raise --most-blocks if the program is meant to be so long",
                affects="position time fluid",
            )
            self.stopped = True

    def _claimed(self, step: Step, groups: dict[str, Rows]) -> set[str]:
        """Letters that the G codes of the block will use, so that no M code of the block takes them for its own."""
        claimed: set[str] = set()
        code = groups["motion"][-1][0] if "motion" in groups else self.motion
        if cycle_of(code) and any(letter in step.values for letter in self.meaning.cycle_starts_on):
            claimed |= set("RQPIJKL")
        elif code in (20, 30):
            claimed |= {"R", "I", "J", "K", self.meaning.arc_turns}
        for act, letters in _CLAIMS.items():
            if any(row.act == act for rows in groups.values() for _, row in rows):
                claimed |= set(letters)
        return claimed

    def set_feed(self, value: float, is_bare: bool) -> None:
        """The F word in force. A feed that is not positive is none."""
        if not value > 0:
            value = NAN
        mode = self.state.modal.feed_mode
        if mode == 93:
            self.word_feed = value
            return
        if is_bare:
            value *= self.meaning.bare_feed[(2 if mode == 95 else 0) + (1 if self.is_inch else 0)]
        self.word_feed = value * self.scale
        if mode == 94:
            self.feed = self.word_feed
        else:
            rpm = self.state.modal.rpm
            self.feed = self.word_feed * rpm if rpm is not None else NAN

    def _groups(self, step: Step) -> dict[str, Rows]:
        """The G codes of a block by their modal group, each with its row."""
        groups: dict[str, Rows] = {}
        for code in step.gs:
            row = self.codes.get(code)
            if row is None:
                self._unknown_code(step, code)
                groups.setdefault("unknown", [])
                continue
            if self._is_turning_cycle(step, code):
                row = Code("once", "turning cycle", act="lathe")
            rows = groups.setdefault(row.group, [])
            if self._goes_with_cancel(code, rows):
                rows[:] = [max(rows[-1], (code, row), key=lambda pair: pair[0] != motion.CANCEL)]
                continue
            if rows and row.group != "once":
                before = shown(rows[-1][0])
                says = f"{before} and {shown(code)} stand in one block; {shown(code)} counts"
                self.note("conflicting-codes", says, "leave one of them out", key=f"{before} {code}")
                rows.clear()
            rows.append((code, row))
        return groups

    def _goes_with_cancel(self, code: int, rows: Rows) -> bool:
        """G80 beside G0 to G3: where cycles are a group of their own it only ends the cycle, and the other code moves."""
        both = {code, *(before for before, _ in rows)}
        return (
            self.meaning.cycle_group == "separate"
            and len(both) == 2
            and motion.CANCEL in both
            and not both.isdisjoint(MOTION_CODES)
        )

    def _unknown_code(self, step: Step, code: int) -> None:
        name = shown(code) if code >= 0 else "a G code without a known number"
        axes = "".join(letter for letter in AXES if letter in step.values)
        self.lose(axes)
        self.taken |= set(step.values) - set("FST")
        self.note(
            "unknown-code",
            f"{name} is not known to the dialect {self.dialect.name}",
            "name the dialect of this control in the machine record",
            affects=" ".join(axes.lower()),
            key=name,
        )

    def _is_turning_cycle(self, step: Step, code: int) -> bool:
        """G73, G74 and G76 are milling or turning cycles: their words tell."""
        if not self.meaning.lathe_codes or code not in (730, 740, 760):
            return False
        words = step.values
        if self.is_turning or "U" in words or "W" in words:
            return True
        return code != 730 and self.series is None and ("Z" not in words or "R" not in words)

    def _apply(self, step: Step, rows: Rows) -> None:
        for code, row in rows:
            if row.act:
                settings.ACTS[row.act](self, step, code)
                continue
            if row.field == "feed_mode" and row.value != self.state.modal.feed_mode:
                self.word_feed = NAN  # F means something else now; controls differ in whether a value is kept
            self._pending.discard(row.group)
            if row.field == "distance" and (row.value == INCREMENTAL or row.value != self.state.modal.distance):
                self.distances.append(Distance(self.recorder.rows, self.recorder.holes, self.block, int(row.value)))
            self.set_state(replace(self.state, modal=replace(self.state.modal, **{row.field: row.value})))
