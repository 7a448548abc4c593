"""How the text of a program and its run belong together: when a block runs, who called it, and where a block may be put in."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from coolcheck.nc.blocks import Block, Flow, Label
from coolcheck.nc.moves import Event, Execution, Kind

_LOOPS = {"while_do": "end", "do": "end"}
_O_STARTS = frozenset({"while", "do_while", "repeat"})
_JUMPS = frozenset({"goto", "if_goto"})
_CALLS = frozenset({("G", 65.0), ("G", 66.0), ("G", 66.1), ("M", 97.0), ("M", 98.0)})
_CALLS_AND_RETURNS = _CALLS | {("M", 99.0)}
_STAYS_HERE = frozenset({97, 99})  # M97 P and M99 P name a block of this file


@dataclass(frozen=True, slots=True, order=True)
class Position:
    """A moment of the run: before event `event` (their count: behind the last), while move `row` comes next."""

    event: int
    row: int


@dataclass(frozen=True, slots=True)
class Stay:
    """One run of a block, with everything it calls: from `start` to `end`."""

    start: Position
    end: Position


class Layout:
    """A run of a program, seen from its text. Blocks are those of the program's own file unless said otherwise."""

    def __init__(self, execution: Execution) -> None:
        self.execution = execution
        self.program = execution.program
        self.events = execution.events
        self._event_rows = [event.row for event in self.events]
        self._stays: dict[int, tuple[Stay, ...]] = {}

    def before_move(self, row: int) -> Position:
        """The moment right before a move."""
        return Position(bisect_right(self._event_rows, row), row)

    def after_move(self, row: int) -> Position:
        """The moment right after a move."""
        return Position(bisect_right(self._event_rows, row), row + 1)

    def before_event_at(self, row: int) -> int:
        """The first event that lies before no earlier move than `row`."""
        return bisect_left(self._event_rows, row)

    def before_event(self, index: int) -> Position:
        """The moment right before an event."""
        return Position(index, self.events[index].row)

    def after_event(self, index: int) -> Position:
        """The moment right after an event."""
        return Position(index + 1, self.events[index].row)

    def after_hole(self, hole: int) -> Position:
        """The moment when a canned-cycle hole is done, with what its block says at its end."""
        holes = self.execution.cycle_holes
        row, block = int(holes.last[hole]) + 1, int(holes.block[hole])
        event = bisect_right(self._event_rows, row - 1)
        while event < len(self.events) and self._event_rows[event] == row and self.events[event].block == block:
            event += 1
        return Position(event, row)

    @property
    def end(self) -> Position:
        """The end of the run."""
        return Position(len(self.events), len(self.execution.moves))

    # ------------------------------------------------------------------ calls

    @cached_property
    def _calls(self) -> list[tuple[int, int, int]]:
        """Every call: index of its event, index behind its return, and how deep it lies."""
        found: list[tuple[int, int, int]] = []
        open_calls: list[int] = []
        for index, event in enumerate(self.events):
            if event.kind == "call":
                open_calls.append(index)
            elif event.kind == "return" and open_calls:
                start = open_calls.pop()
                found.append((start, index + 1, len(open_calls)))
        found += [(start, len(self.events), depth) for depth, start in enumerate(open_calls)]
        return sorted(found)

    def stack(self, position: Position) -> tuple[int, ...]:
        """The blocks of the calls that are open at that moment, the outermost first."""
        inside = [(depth, start) for start, behind, depth in self._calls if start < position.event < behind]
        return tuple(self.events[start].block for _, start in sorted(inside))

    # ------------------------------------------------------------------- runs

    def stays(self, block: int) -> tuple[Stay, ...]:
        """The runs of a block that moves, says or calls something, in order; runs that follow each other at once are one."""
        if block not in self._stays:
            self._stays[block] = tuple(_merged(sorted(self._pieces(block), key=lambda stay: stay.start)))
        return self._stays[block]

    def _pieces(self, block: int) -> Iterator[Stay]:
        for row in np.flatnonzero(self.execution.moves.block == block).tolist():
            yield Stay(self.before_move(row), self.after_move(row))
        returns = {start: behind for start, behind, _ in self._calls}
        for index, event in enumerate(self.events):
            if event.block != block or event.kind == "return":
                continue
            behind = returns.get(index)
            end = self.after_event(index) if behind is None else Position(behind, self._row_behind(behind))
            yield Stay(self.before_event(index), end)

    def _row_behind(self, behind: int) -> int:
        """The next move when the event before `behind` has just happened."""
        return self.events[behind - 1].row if behind <= len(self.events) and behind > 0 else 0

    def stay_at(self, block: int, position: Position) -> Stay | None:
        """The run of a block that holds that moment."""
        return next((stay for stay in self.stays(block) if stay.start <= position <= stay.end), None)

    def block_at(self, row: int) -> int:
        """The block that makes a move."""
        return int(self.execution.moves.block[row])

    def next_item(self, position: Position) -> tuple[int, Position] | None:
        """The next block that moves or says something, and the moment before it; returns of calls are passed over."""
        event, row = position.event, position.row
        while event < len(self.events) and self._event_rows[event] <= row and self.events[event].kind == "return":
            event += 1
        if event < len(self.events) and self._event_rows[event] <= row:
            return self.events[event].block, Position(event, row)
        if row < len(self.execution.moves):
            return self.block_at(row), Position(event, row)
        return None

    def clear_of(self, cut: int, before: Position) -> Position:
        """The moment when the tool is out of a cut: behind the whole of a hole, else behind the rapid that follows, if it does.

        Never later than `before`.
        """
        moves = self.execution.moves
        if cut < 0:
            return before
        if moves.cycle[cut] >= 0:
            return min(self.after_hole(int(moves.cycle[cut])), before)
        if cut + 1 < before.row and moves.kind[cut + 1] == Kind.RAPID:
            return min(self.after_move(cut + 1), before)
        return before

    def is_out(self, row: int) -> bool:
        """Is the tool out of the material behind a move: a rapid, or the last move of a canned cycle."""
        moves, holes = self.execution.moves, self.execution.cycle_holes
        hole = int(moves.cycle[row])
        return bool(moves.kind[row] == Kind.RAPID) or (hole >= 0 and int(holes.last[hole]) == row)

    def may_wait(self, moment: Position) -> bool:
        """Is the tool certainly out of the material at a moment: it may wait there."""
        return moment.row == 0 or self.is_out(moment.row - 1)

    def may_switch(self, moment: Position) -> bool:
        """Is the edge certainly not in the middle of a cut at a moment: fluid may be switched there."""
        moves = self.execution.moves
        return self.may_wait(moment) or moment.row >= len(moves) or bool(moves.kind[moment.row] == Kind.RAPID)

    def last_item_block(self, position: Position) -> int | None:
        """The last block that moved or said something before that moment; returns of calls are passed over."""
        event, row = position.event, position.row
        while event > 0 and self._event_rows[event - 1] >= row and self.events[event - 1].kind == "return":
            event -= 1
        if event > 0 and self._event_rows[event - 1] >= row:
            return self.events[event - 1].block
        return self.block_at(row - 1) if row > 0 else None

    def between(self, start: Position, end: Position) -> tuple[Event, ...]:
        """The events from one moment to another."""
        return self.events[start.event : end.event]

    def next_cut(self, row: int) -> int:
        """The first move from `row` on that is no rapid; the count of moves when there is none."""
        at = bisect_left(self._cuts, row)
        return self._cuts[at] if at < len(self._cuts) else len(self.execution.moves)

    def last_cut(self, row: int) -> int:
        """The last move before `row` that is no rapid; -1 when there is none."""
        at = bisect_left(self._cuts, row)
        return self._cuts[at - 1] if at else -1

    @cached_property
    def _cuts(self) -> list[int]:
        cuts: list[int] = np.flatnonzero(self.execution.moves.kind != 0).tolist()
        return cuts

    # ------------------------------------------------------------------- text

    def is_own(self, block: int) -> bool:
        """Does the block stand in the program's own file."""
        return 0 <= block < len(self.program)

    @cached_property
    def _statements(self) -> list[tuple[int, Flow]]:
        return [
            (index, element)
            for index in self.program.unshaped.tolist()
            for element in self.program.block(index).elements
            if isinstance(element, Flow)
        ]

    @cached_property
    def jump_targets(self) -> frozenset[int]:
        """Blocks to which a jump leads; every numbered block when a jump's target is computed."""
        targets: set[int] = set()
        for _, flow in self._statements:
            if flow.kind in _JUMPS and flow.label is not None:
                targets |= self._blocks_numbered(flow.label.constant)
        for index in self.program.unshaped.tolist():
            block = self.program.block(index)
            if any(word.letter == "M" and word.value in _STAYS_HERE for word in block.words):
                targets |= self._targets_of_call(block)
        for number, shape in enumerate(self.program.shapes):
            if any(letter == "M" and value in _STAYS_HERE for letter, value in zip(shape.letters, shape.fixed, strict=True)):
                for index in np.flatnonzero(self.program.shape_of == number).tolist():
                    targets |= self._targets_of_call(self.program.block(index))
        return frozenset(targets)

    def _targets_of_call(self, block: Block) -> set[int]:
        word = block.word("P")
        if word is None:
            return set()
        return self._blocks_numbered(word.value if word.value is not None else None)

    def _blocks_numbered(self, number: float | None) -> set[int]:
        if number is not None:
            return set(self.program.sequence(number))
        return {index for index in range(len(self.program)) if self.program.block(index).word("N") is not None}

    @cached_property
    def _loops(self) -> list[tuple[int, int]]:
        """First and last block of every stretch that may run more than once in one call."""
        loops: list[tuple[int, int]] = []
        for at, flow in self._statements:
            if flow.kind in _LOOPS:
                number = flow.label.constant if flow.label else None
                ends = [e for e, f in self._statements if e > at and f.kind == "end" and f.label and f.label.constant == number]
                loops.append((at, ends[0] if ends else len(self.program)))
            elif flow.kind in _O_STARTS:
                ends = [e for e, f in self._statements if e > at and f.name == flow.name and f.kind.startswith(("end", "while"))]
                loops.append((at, ends[0] if ends else len(self.program)))
            elif flow.kind in _JUMPS:
                targets = self._blocks_numbered(flow.label.constant if flow.label else None)
                loops += [(target, at) for target in targets if target <= at]
        return loops

    def is_repeated(self, block: int) -> bool:
        """May a block run more than once in one run of its program or subprogram: does it lie in a loop."""
        return any(low <= block <= high for low, high in self._loops)

    @cached_property
    def calls_in_text(self) -> tuple[int, ...]:
        """Every block that calls a subprogram or macro by its number, whether it runs or not."""
        shaped = [
            np.flatnonzero(self.program.shape_of == number)
            for number, shape in enumerate(self.program.shapes)
            if any((letter, code) in _CALLS for letter, code in zip(shape.letters, shape.fixed, strict=True))
        ]
        found = [index for indices in shaped for index in indices.tolist()]
        return tuple(sorted(found + [i for i in self.program.unshaped.tolist() if is_call(self.program.block(i), returns=False)]))

    @cached_property
    def routine_starts(self) -> tuple[int, ...]:
        """Blocks at which a program or subprogram begins."""
        starts = {0}
        for index in self.program.unshaped.tolist():
            for element in self.program.block(index).elements:
                if isinstance(element, Label) or (isinstance(element, Flow) and element.kind == "sub"):
                    starts.add(index)
        return tuple(sorted(starts))

    def routine(self, block: int) -> tuple[int, int]:
        """First block, and the one behind the last, of the program or subprogram in which a block stands."""
        at = bisect_right(self.routine_starts, block)
        behind = self.routine_starts[at] if at < len(self.routine_starts) else len(self.program)
        return self.routine_starts[at - 1], behind


def is_call(block: Block, returns: bool = True) -> bool:
    """Do the words of the block belong to a call, or to a return from one."""
    return any((word.letter, word.value) in (_CALLS_AND_RETURNS if returns else _CALLS) for word in block.words)


def _merged(stays: list[Stay]) -> Iterator[Stay]:
    """Stays that touch become one."""
    current: Stay | None = None
    for stay in stays:
        if current is None:
            current = stay
        elif stay.start <= current.end:
            current = Stay(current.start, max(current.end, stay.end))
        else:
            yield current
            current = stay
    if current is not None:
        yield current
