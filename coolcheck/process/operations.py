"""Operations: what one tool does in one go, with its kind, times, depth, feed, speed, and the fluid commanded and delivered."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.known import Evidence, Known, Missing, Truth, known, merged, unknown
from coolcheck.nc.moves import Floats
from coolcheck.process.clock import FEED_GAP, POSITION_GAP
from coolcheck.process.delivery import DRY_KINDS, Setup, chains, wet
from coolcheck.process.drafts import Draft, Ground, title_of
from coolcheck.process.fluids import CodeBook
from coolcheck.process.holes import Grouped, depth_between, visit_seconds
from coolcheck.process.kinds import Clues, kind_of
from coolcheck.process.model import LIQUID, Chain, Fluid, Operation
from coolcheck.process.sections import Rows
from coolcheck.process.shifts import z_shift
from coolcheck.process.stated import feed_mode
from coolcheck.process.visits import RETRACTS

if TYPE_CHECKING:
    from coolcheck.nc.moves import Event, Execution
    from coolcheck.records.binding import Binding
    from coolcheck.records.record import Record

TAPPING = 84  # the family of tapping cycles
ASSUMED_Z0 = Evidence("top", "Z0", source="assumed", note="no record states the raw face: taken at Z0")


def operations(ground: Ground, made: Sequence[Draft], group: Grouped, engaged: Rows, tops: Floats) -> tuple[Operation, ...]:
    """The operations, numbered from 1 in program order. `engaged` are the feed moves in material, `tops` where it begins."""
    whole, alone = visit_seconds(ground.clock, group.visits)
    found = []
    for index, draft in enumerate(made):
        inside = engaged[slice(*np.searchsorted(engaged, (draft.section.first, draft.section.behind)))]
        maker = _Maker(ground, draft, group, group.of_section(index), whole - alone, inside, float(tops[index]))
        found.append(maker.operation(index + 1))
    return tuple(found)


class _Maker:
    """Works out one operation."""

    def __init__(
        self, ground: Ground, draft: Draft, group: Grouped, visits: Rows, extra: Floats, engaged: Rows, top: float
    ) -> None:
        self.ground, self.draft, self.group, self.visits = ground, draft, group, visits
        self.section = draft.section
        self.extra = extra[visits]
        self.top = top
        self.execution = ground.execution
        self.cuts = ground.cutting[slice(*draft.section.cuts)]
        self.inside = engaged if len(engaged) else self.cuts  # where nothing is known to be in material, all feed moves count
        self.events = self.execution.events[slice(*draft.section.events)]

    def operation(self, number: int) -> Operation:
        """The operation."""
        draft, section = self.draft, self.section
        kind, depth = self._kind(), self._depth()
        states = self._states()
        setup = setup_of(self.ground.binding, draft, depth, in_hole=bool(len(self.visits)))
        made = chains(setup, states)
        first_block, last_block = self._blocks()
        rapid, feed = self._travel()
        return Operation(
            number=number,
            tool=draft.modal.tool,
            tool_record=draft.record,
            holder_record=draft.holder,
            kind=kind.or_else("unknown"),
            kind_known=kind,
            title=title_of(draft.remarks),
            place=self.execution.place(self._block()),
            rows=(section.first, section.behind - 1),
            blocks=(first_block, last_block),
            modal=draft.modal,
            rapid_seconds=rapid,
            feed_seconds=feed,
            dwell_seconds=self._dwells(),
            change_seconds=self._change(),
            start_seconds=self.ground.clock.before(section.first),
            peck_seconds=self._pecking(),
            depth=depth,
            diameter=draft.diameter,
            feed=self._feed(),
            n=self._speed(),
            fluid=states,
            chains=made,
            delivered=delivered(draft.record, states, made) if kind.is_known or draft.cuts else unknown(*kind.missing),
            holes=tuple(dict.fromkeys((self.group.hole[self.visits] + 1).tolist())),
            contours=self._contours(),
        )

    def _kind(self) -> Known[str]:
        draft, visits = self.draft, self.group.visits
        strokes = int(visits.strokes[self.visits].max(initial=1))
        retract = RETRACTS[int(visits.retract[self.visits].max(initial=0))]
        clues = Clues(
            tool=draft.modal.tool,
            record=draft.record,
            remarks=draft.remarks,
            family=self.section.family,
            cuts=draft.cuts,
            sideways=draft.sideways,
            probes=any(event.kind == "probe" for event in self.events),
            washes=self._washes(),
            strokes=strokes,
            retract=retract,
            cycle_evidence=self._cycle_evidence(strokes),
            blind=not draft.cuts and self._is_blind(),
        )
        return kind_of(self.execution, clues)

    def _is_blind(self) -> bool:
        """Does a cycle drill here at a height that nobody knows. Such a hole may have no move: it stands behind the last one."""
        holes, cycles = self.execution.cycle_holes, self.execution.cycles
        rows = np.minimum(holes.first, holes.last)
        here = holes.cycle[(rows >= self.section.first) & (rows < self.section.behind)]
        return any(np.isnan(cycles[at].top) or np.isnan(cycles[at].bottom) for at in np.unique(here).tolist())

    def _cycle_evidence(self, strokes: int) -> tuple[Evidence, ...]:
        if not self.section.family:
            return ()
        hole = int(self.execution.moves.cycle[self.cuts[0]])
        cycle = self.execution.cycles[int(self.execution.cycle_holes.cycle[hole])]
        note = f"{strokes} strokes a hole" if strokes > 1 else "one stroke a hole"
        return (Evidence("cycle", f"G{cycle.code}", place=self.execution.place(cycle.block), source="program", note=note),)

    def _washes(self) -> bool:
        spans = self.ground.fluids.spans
        within = self.ground.fluids.within(self.section.first, max(self.section.first, self.section.behind - 1))
        return any(spans[index].fluid["wash"].is_yes for index in within)

    def _depth(self) -> Known[float]:
        if len(self.visits):
            return self._hole_depth()
        if not self.draft.cuts:
            return unknown(Missing("program", "", f"{self._name()} does not cut here: there is no depth"))
        lowest = float(self.execution.moves.z[self.cuts].min())
        top, shift = self.ground.binding.job.field("top"), z_shift(self.draft.modal.work_offset)
        if top.is_known:
            return depth_between(top.value * 1e3 - shift, lowest, top.evidence)
        if np.isnan(lowest + shift) or lowest + shift < 0:
            return depth_between(-shift, lowest, (ASSUMED_Z0,))
        return unknown(*top.missing)

    def _hole_depth(self) -> Known[float]:
        group = self.group
        depths = group.top[group.hole[self.visits]] - group.visits.bottom[self.visits]
        if np.isnan(depths).any():
            return depth_between(float("nan"), 0.0, ())
        deepest = self.visits[int(np.argmax(depths))]
        hole = group.hole[deepest]
        return depth_between(
            float(group.top[hole]), float(group.visits.bottom[deepest]), group.top_evidence[int(group.top_source[hole])]
        )

    def _states(self) -> tuple[Fluid, ...]:
        """The fluid states while it cuts, each once, in order."""
        table, cuts = self.ground.fluids, self.inside
        if not len(cuts):
            return ()
        found = []
        for index in table.within(int(cuts[0]), int(cuts[-1])):
            start = int(table.rows[index])
            end = int(table.rows[index + 1]) if index + 1 < len(table.rows) else int(cuts[-1]) + 1
            if np.searchsorted(cuts, end) > np.searchsorted(cuts, start):
                found.append(table.spans[index].fluid)
        return merged(found)

    def _blocks(self) -> tuple[int, int]:
        block = self.execution.moves.block
        if self.section.behind > self.section.first:
            return int(block[self.section.first]), int(block[self.section.behind - 1])
        return self._block(), self._block()

    def _block(self) -> int:
        """The block a finding about it points to: its cycle, its first cut, else its tool change or first move."""
        if self.section.family:
            hole = int(self.execution.moves.cycle[self.cuts[0]])
            return int(self.execution.cycle_holes.block[hole])
        if len(self.cuts):
            return int(self.execution.moves.block[self.cuts[0]])
        change = next((event.block for event in self.events if event.kind in ("probe", "tool_change")), None)
        return change if change is not None else int(self.execution.moves.block[self.section.first])

    def _travel(self) -> tuple[Known[float], Known[float]]:
        """Time of its rapids and of its feed moves."""
        rows = slice(self.section.first, self.section.behind)
        seconds, is_rapid = self.ground.clock.seconds[rows], self.ground.clock.is_rapid[rows]
        rapid, feed = float(seconds[is_rapid].sum()), float(seconds[~is_rapid].sum())
        evidence = self.ground.clock.evidence
        rapid_missing = self.ground.clock.rapid_missing or (POSITION_GAP,)
        return (
            unknown(*rapid_missing, evidence=evidence) if np.isnan(rapid) else known(rapid, *evidence),
            unknown(FEED_GAP) if np.isnan(feed) else known(feed, *self.ground.clock.feed_evidence),
        )

    def _dwells(self) -> float:
        return float(sum(event.seconds for event in self.events if event.kind == "dwell"))

    def _change(self) -> Known[float]:
        changes = sum(event.kind == "tool_change" for event in self.events)
        if not changes:
            return known(0.0, Evidence("tool change", "none", source="program"))
        took = self.ground.binding.machine.field("motion.tool change time")
        return took.map(lambda seconds: float(changes * seconds))

    def _pecking(self) -> Known[float]:
        if not (self.group.visits.strokes[self.visits] > 1).any():
            return known(0.0, Evidence("strokes", "one a hole", source="program"))
        total = float(self.extra.sum())
        clock = self.ground.clock
        if np.isnan(total):
            return unknown(*merged((*clock.rapid_missing, *clock.halt_missing, *(() if clock.rapid_missing else (FEED_GAP,)))))
        note = "its time less that of the same holes in one stroke each"
        return known(
            max(0.0, total), Evidence("time pecking", round(total, 2), "s", source="computed", note=note), *clock.evidence
        )

    def _feed(self) -> Known[float]:
        """The feed at which most of the cutting time is spent."""
        if not len(self.cuts):
            return unknown(Missing("program", "", f"{self._name()} does not cut here: there is no feed"))
        feed = self.execution.moves.feed[self.inside]
        starts = np.flatnonzero(np.concatenate([[True], feed[1:] != feed[:-1]]))
        seconds = np.nan_to_num(self.ground.clock.seconds[self.inside])
        values, inverse = np.unique(feed[starts], return_inverse=True)
        weights = np.bincount(inverse, weights=np.add.reduceat(seconds, starts) + 1e-12)
        chosen = float(values[int(np.argmax(weights))])
        if np.isnan(chosen):
            return unknown(FEED_GAP)
        row = int(self.inside[int(np.argmax(feed == chosen))])
        place = self.execution.place(int(self.execution.moves.block[row]))
        mode = feed_mode(self.execution, row)
        return known(chosen / 60e3, Evidence("feed", round(chosen, 4), "mm/min", place, "program"), *mode)

    def _speed(self) -> Known[float]:
        """The spindle speed at which it makes most of its cuts."""
        rows, execution = self.inside, self.execution
        if not len(rows):
            return unknown(Missing("program", "", f"{self._name()} does not cut here: there is no cutting speed"))
        spans = execution.spans
        starts = [span.row for span in spans]
        first, last = bisect_right(starts, int(rows[0])) - 1, bisect_right(starts, int(rows[-1])) - 1
        cuts: dict[tuple[str, float | None], float] = {}
        for index in range(first, last + 1):
            start = max(starts[index], int(rows[0]))
            end = starts[index + 1] if index < last else int(rows[-1]) + 1
            modal = spans[index].modal
            within = rows[slice(*np.searchsorted(rows, (start, end)))]
            took = float(np.nansum(self.ground.clock.seconds[within])) + 1e-9 * len(within)
            cuts[modal.spindle, modal.rpm] = cuts.get((modal.spindle, modal.rpm), 0.0) + took
        (spindle, rpm), _ = max(cuts.items(), key=lambda item: item[1])
        if self.section.family == TAPPING and spindle == "off" and is_rigid(execution, self.ground.book, self.events):
            spindle = "clockwise"  # a rigid tapping cycle turns the spindle itself
        return speed_of(execution, spindle, rpm, int(rows[0]), self._name())

    def _contours(self) -> dict[str, float]:
        """A few measures of the path it cuts: lengths [m], and the top it was measured from [mm]."""
        if not len(self.cuts):
            return {}
        length = self.execution.moves.length[self.cuts]
        sideways = self.ground.sideways[slice(*self.section.cuts)]
        return {
            "length": float(np.nansum(length) * 1e-3),
            "sideways": float(np.nansum(length[sideways]) * 1e-3),
            "top": self.top,
        }

    def _name(self) -> str:
        return "the tool" if self.draft.modal.tool is None else f"T{self.draft.modal.tool}"


def speed_of(execution: "Execution", spindle: str, rpm: float | None, row: int, name: str) -> Known[float]:
    """The spindle speed of a modal state [1/s]; 0 where the spindle stands."""
    index = bisect_left([event.row for event in execution.events], row + 1)
    last = next((e for e in reversed(execution.events[:index]) if e.kind == "spindle"), None)
    place = execution.place(last.block) if last else None
    if spindle == "off":
        return known(0.0, Evidence("spindle", "off", place=place, source="program"))
    if spindle == "unknown":
        return unknown(Missing("program", "", f"does the spindle turn while {name} cuts?"))
    if rpm is None:
        return unknown(
            Missing("program", "S", f"at which speed does the spindle turn while {name} cuts? No S word stands before it")
        )
    return known(rpm / 60.0, Evidence("speed", round(rpm, 3), "rpm", place, "program"))


def is_rigid(execution: "Execution", book: CodeBook, events: Sequence["Event"]) -> bool:
    """Is rigid tapping called among the events: by the dialect's own code, or one that the machine record explains so."""
    codes = execution.program.dialect.meaning.m_codes
    for event in events:
        if event.kind != "m_code":
            continue
        means = book.means(event)
        number = event.code[1:]
        row = codes.get(int(number)) if number.isdigit() else None
        if (means.is_known and means.value == "rigid_tap") or (row is not None and row.does == "rigid_tap"):
            return True
    return False


def setup_of(binding: "Binding", draft: Draft, depth: Known[float], in_hole: bool) -> Setup:
    """The setup for the delivery chain."""
    name = "the tool" if draft.modal.tool is None else f"T{draft.modal.tool}"
    return Setup(binding.machine, draft.holder, draft.record, name, depth, draft.diameter, in_hole)


def setup_for(operation: Operation, binding: "Binding") -> Setup:
    """The setup of an operation for the delivery chain."""
    name = "the tool" if operation.tool is None else f"T{operation.tool}"
    return Setup(
        binding.machine,
        operation.holder_record,
        operation.tool_record,
        name,
        operation.depth,
        operation.diameter,
        bool(operation.holes),
    )


def delivered(tool: "Record", states: Sequence[Fluid], made: Sequence[Chain]) -> Truth:
    """Does some liquid, or the air the tool asks for, reach the edge all along."""
    required = tool.field("fluid.required")
    wanted = [mode for mode in DRY_KINDS if required.is_known and mode in required.value]
    return wet(states, made, (*LIQUID, *wanted))
