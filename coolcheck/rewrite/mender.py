"""What every mend of fluid codes needs: the run, the meaning of its codes, and how to take a code out or put one in."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from coolcheck.known import Known, Missing
from coolcheck.nc.blocks import Block, Word
from coolcheck.nc.moves import Event, Kind
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.moments import first_cut, last_cut
from coolcheck.rewrite.allowed import LONGEST_DWELL
from coolcheck.rewrite.anchors import anchor
from coolcheck.rewrite.codes import Codes
from coolcheck.rewrite.differences import Differences, Removed, Said
from coolcheck.rewrite.draft import Draft, spindle_changes, stops_between
from coolcheck.rewrite.fluid_words import code_words, dwell
from coolcheck.rewrite.layout import Position
from coolcheck.rewrite.machine_codes import code_that
from coolcheck.rewrite.refusal import CannotPlan

AIR = ("air", "through_air")
ENOUGH = 1e-6  # s


class NotKnown(CannotPlan):
    """Something that the records do not say stands in the way."""

    def __init__(self, says: str, missing: tuple[Missing, ...]) -> None:
        super().__init__(says)
        self.missing = missing


@dataclass
class Mender:
    """Plans mends on one run of a program. `pauses` : the tool changes and stops that this mend is about, by their events."""

    draft: Draft
    timeline: Timeline
    codes: Codes
    pauses: frozenset[int] = frozenset()

    @property
    def events(self) -> tuple[Event, ...]:
        """The events of the run."""
        return self.draft.layout.events

    def supply(self, mode: str, field: str) -> Known[float]:
        """A time of a supply of the machine."""
        time: Known[float] = self.timeline.binding.machine.entry("supplies", mode).field(field)
        return time

    def needed(self, value: Known[float], says: str) -> float:
        """The time to wait [s], which must be known, and one that a program may wait."""
        if not value.is_known:
            raise NotKnown(says, value.missing)
        refuse_long_wait(value.value)
        return value.value

    def words_of(self, index: int) -> Said:
        """What an event says."""
        event = self.events[index]
        return Said(event.code, tuple(event.words.items()))

    def remove(self, index: int, reason: str) -> None:
        """Takes a code out of the program: its word, or its whole block when it says nothing else."""
        event = self.events[index]
        if not self.codes.is_only_fluid(event):
            raise CannotPlan(f"{event.code} does more than turn fluid on or off", block=self._own(event.block))
        block, words = self.words(event)
        self.draft.add(
            self.draft.pen.without(block, words, reason),
            Differences(removed=(Removed(index, event.code, self.draft.pen.mend, self.draft.pen.tool),)),
        )

    def words(self, event: Event) -> tuple[Block, list[Word]]:
        """The block and the words that say a code. Raises CannotPlan when they cannot be changed alone."""
        layout = self.draft.layout
        if not layout.is_own(event.block) or len(layout.stays(event.block)) != 1 or layout.is_repeated(event.block):
            raise CannotPlan(f"the block that says {event.code} runs more than once", block=self._own(event.block))
        block = layout.program.block(event.block)
        found = [word for word in block.words if word.letter == "M" and word.value == float(event.code[1:])]
        if len(found) != 1:
            raise CannotPlan(f"it cannot be told which word says {event.code}", block=event.block)
        if any(word.letter == "N" for word in block.words) and event.block in layout.jump_targets and len(block.words) <= 2:
            raise CannotPlan("a jump leads to this block: it cannot go", block=event.block)
        return block, found + [word for word in block.words if word.letter in event.words]

    def _own(self, block: int) -> int | None:
        return block if self.draft.layout.is_own(block) else None

    def on_codes(self, modes: Iterable[str]) -> list[Said]:
        """Codes that turn the modes on: the ones the program itself has used for them, else those of the machine record."""
        found: list[Said] = []
        for mode in modes:
            used = [i for i, e in enumerate(self.events) if mode in self.codes.turns(e, "on") and self.codes.is_only_fluid(e)]
            if used:
                found.append(self.words_of(used[-1]))
                continue
            code = code_that(self.timeline.binding.machine, "on", [mode])
            if not code.is_known:
                raise NotKnown(f"the code that turns on {mode.replace('_', ' ')} is not known", code.missing)
            found.append(code.value)
        return list(dict.fromkeys(found))

    def insert(self, moment: Position, fits: Callable[[Position], bool], says: Sequence[Said | float], reason: str) -> None:
        """Codes, and dwells as numbers of seconds, put in at that moment."""
        layout = self.draft.layout
        is_safe = layout.may_wait if any(isinstance(s, float) for s in says) else layout.may_switch
        place = anchor(layout, moment, lambda found: is_safe(found) and fits(found))
        blocks = [dwell(self.draft.pen, s) if isinstance(s, float) else (code_words(self.draft.pen, s), s) for s in says]
        self.draft.insert(place, blocks, reason)

    def approach(self, cut: int) -> Position:
        """The moment before the rapid that leads to a cut; right before the cut when something is said in between."""
        layout = self.draft.layout
        leads = cut > 0 and layout.execution.moves.kind[cut - 1] == Kind.RAPID
        is_quiet = leads and layout.before_move(cut - 1).event == layout.before_move(cut).event
        return layout.before_move(cut - 1 if is_quiet else cut)

    def cuts(self, operation: Operation) -> tuple[int, int] | None:
        """First and last cut of an operation in material, from the first feed move of its hole on; None without one."""
        first, last = first_cut(operation, self.timeline), last_cut(operation, self.timeline)
        if first is None or last is None:
            return None
        layout = self.draft.layout
        return layout.next_cut(layout.last_cut(first) + 1), last

    def change_before(self, row: int) -> int:
        """The tool change before a move, -1 when there is none."""
        events = range(self.draft.layout.before_move(row).event)
        return max((i for i in events if self.events[i].kind == "tool_change"), default=-1)

    def end_of_block(self, index: int) -> Position:
        """The moment when the block of an event is done."""
        layout = self.draft.layout
        stay = layout.stay_at(self.events[index].block, layout.after_event(index))
        return stay.end if stay is not None else layout.after_event(index)

    def with_build_up(self, codes: Sequence[Said], modes: Collection[str]) -> list[Said | float]:
        """The codes, and behind them the time for the pressure of through-tool fluid."""
        says: list[Said | float] = list(codes)
        if "through_tool" in modes:
            says.append(self.needed(self.supply("through_tool", "build-up time"), "the build-up time is not known"))
        return says

    def is_fitted(self, mode: str) -> bool:
        """Is the pump for a mode there for certain."""
        fitted = self.timeline.binding.machine.entry("supplies", mode).field("fitted")
        return fitted.is_known and fitted.value == "yes"

    def leads_to(self, cut: int, modes: Collection[str]) -> Callable[[Position], bool]:
        """Fits a moment from which that cut comes next, the spindle runs, and the modes are not touched in between."""
        layout = self.draft.layout

        def fits(moment: Position) -> bool:
            if layout.next_cut(moment.row) != cut:
                return False
            events = layout.between(moment, layout.before_move(cut))
            ends = any(self.codes.may_end(event, mode) for event in events for mode in modes)
            return not ends and not spindle_changes(events)

        return fits

    def behind_cut(self, cut: int, pause: int) -> Callable[[Position], bool]:
        """Fits a moment behind that cut and its way out, and not behind that pause."""
        layout = self.draft.layout

        def fits(moment: Position) -> bool:
            out = layout.last_cut(moment.row)
            clear = moment.row == 0 or layout.is_out(moment.row - 1) or moment.event == pause
            before = layout.after_move(cut) if cut >= 0 else Position(0, 0)
            return out == cut and clear and moment.event <= pause and not stops_between(layout, before, moment)

        return fits


def refuse_long_wait(seconds: float) -> None:
    """Raises CannotPlan for a time that no program should wait."""
    if seconds > LONGEST_DWELL:
        do = "see in the machine record whether build-up time, decay time and start time are right, and in which unit"
        raise CannotPlan(f"it would have to wait {seconds:g} s, and a rewrite puts in no more than {LONGEST_DWELL:g} s", do)
