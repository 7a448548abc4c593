"""Runs a program as its control would: block after block, through loops and subprograms, within stated bounds.

Opens nothing itself: subprograms in other files come from the `Library` that the caller hands over.
"""

import math
from bisect import bisect_right
from functools import partial
from time import monotonic

from coolcheck.nc.bare import bare_lengths
from coolcheck.nc.blocks import Assign, Block, Element, Flow, Label
from coolcheck.nc.branches import FLOW
from coolcheck.nc.control import Control
from coolcheck.nc.evaluation import Evaluation
from coolcheck.nc.library import Library
from coolcheck.nc.limits import Limits
from coolcheck.nc.longruns import run_ahead
from coolcheck.nc.moves import Execution, Moves
from coolcheck.nc.notes import OF_THE_CALLER, Notes
from coolcheck.nc.program import Program
from coolcheck.nc.reach import unreached
from coolcheck.nc.readnotes import ReadingNotes
from coolcheck.nc.recorder import Recorder
from coolcheck.nc.subprograms import MACRO_CODES, Search, Subprograms, without_call_words
from coolcheck.nc.unplaced import Ran
from coolcheck.nc.words import AXES, MOTION_CODES, Step, step_of
from coolcheck.place import Place

NAN = math.nan
_LOOK_EVERY = 2048  # blocks between looks at the clock


def interpret(
    program: Program,
    *,
    search: Search | None = None,
    start: tuple[float, float, float] | None = None,
    limits: Limits | None = None,
    block_skip: frozenset[int] = frozenset(),
    codes: frozenset[str] = frozenset(),
    dialect_is_assumed: bool = False,
) -> Execution:
    """The program as the control would run it.

    search : subprograms in other files; start : position before the first block [mm], not known when left out
    block_skip : switches that are on; codes : builder-assigned M codes that a machine record explains, as written ("M57")
    dialect_is_assumed : nobody has said which dialect the control reads
    Raises nothing for what stands in a program: that becomes notes.
    """
    run = Interpreter(program, search or Library(()), start, limits or Limits(), block_skip, codes, dialect_is_assumed)
    try:
        return run.execution()
    finally:
        vars(run).clear()  # its parts know it, and it knows the program: without this, the collector alone could let go of both


class Interpreter:
    """One run of one program. `unit` and `index` are the file and the block that comes next."""

    def __init__(
        self,
        program: Program,
        search: Search,
        start: tuple[float, float, float] | None,
        limits: Limits,
        block_skip: frozenset[int],
        codes: frozenset[str],
        dialect_is_assumed: bool = False,
    ) -> None:
        self.limits = limits
        self.notes = Notes()
        self.recorder = Recorder()
        self.control = Control(program.dialect, self.recorder, self.notes, start, limits, codes)
        self.values = Evaluation(self)
        self.calls = Subprograms(self, program, search, block_skip)
        self.unit = self.calls.units[0]
        self.index = self.unit.low
        self._reading = ReadingNotes(self.notes)
        self._skip = block_skip
        self._dialect_is_assumed = dialect_is_assumed
        self._main_label = -1
        self._is_through = False
        self._back_jumps: dict[tuple[int, int, int], int] = {}
        self._started = monotonic()

    # ------------------------------------------------------------------- run

    def execution(self) -> Execution:
        """Runs to the end, or to a bound."""
        self.notes.tool = lambda: self.control.state.modal.tool
        self._run()
        moves = self.recorder.moves()
        self._note_unplaced(moves)
        self.notes.tool = None  # what only the whole run tells is noted of no tool
        self._last_notes()
        is_subprogram = self.calls.main_returns and self._leaves_all_to_its_caller()
        if is_subprogram:
            self.notes.drop(OF_THE_CALLER)
            says = "this is a subprogram: it is reviewed through the program that calls it"
            self.notes.add("subprogram-alone", self.calls.units[0].low, says, "review the program that calls it")
        main, *others = (unit.program for unit in self.calls.units)
        return Execution(
            program=main,
            subprograms=tuple(others),
            moves=moves,
            spans=tuple(self.recorder.spans),
            events=tuple(self.recorder.events),
            cycles=tuple(self.recorder.cycles),
            cycle_holes=self.recorder.cycle_holes(),
            notes=self.notes.finished(self._place),
            ended=self.control.ended,
            is_subprogram=is_subprogram,
        )

    def _leaves_all_to_its_caller(self) -> bool:
        """Does it bring no tool, and start no spindle or state no units?"""
        events = self.recorder.events
        brings_tool = any(event.kind in ("tool_change", "tool_select") for event in events)
        starts = any(event.kind == "spindle" and event.direction in ("clockwise", "counterclockwise") for event in events)
        return not brings_tool and not (starts and self.control.has_stated("units"))

    def _run(self) -> None:
        control, calls = self.control, self.calls
        executed = next_look = 0
        while not control.stopped:
            unit, index = self.unit, self.index
            if index >= unit.end:
                self._run_off_the_end()
                continue
            if executed >= next_look:
                if not self._within_bounds(executed):
                    return
                next_look = min(executed + _LOOK_EVERY, self.limits.max_blocks_executed)
            executed += 1
            step = unit.steps.kept.get(index) or unit.steps[index]
            is_motion = step.is_motion and not calls.wait_for_motion
            if is_motion and index >= unit.bulk_from and control.is_simple and (step.gs or control.motion in MOTION_CODES):
                self.index = run_ahead(control, unit, index)
                if self.index > index:
                    executed += self.index - index - 1
                    continue
            unit.visited[index] = 1
            self.index = index + 1
            control.block = unit.first + index
            if is_motion:
                if step.dynamic:
                    self.values.fill(step)
                control.move(step)
            elif step.is_statement:
                self._statement(step.statements[0], index)
            else:
                self._block(step)

    def _within_bounds(self, executed: int) -> bool:
        limits = self.limits
        self.recorder.compact()
        if executed >= limits.max_blocks_executed:
            name, says = "loop-bound", f"{limits.max_blocks_executed} blocks have run and the program does not end"
            option = "--most-blocks"
        elif monotonic() - self._started > limits.max_seconds / 2:
            name, says = "time-bound", f"following the program takes longer than {limits.max_seconds / 2:g} s"
            option = "--most-seconds"
        else:
            return True
        do = f"check the loops; raise {option} if the program is meant to run so long"
        self.note(name, f"{says}; the rest is not followed", do, affects="position time fluid")
        return False

    # ---------------------------------------------------------------- blocks

    def _statement(self, statement: Assign | Flow | Label, index: int) -> None:
        """A block that is one assignment or one flow statement: the short way, for the blocks that loops are made of."""
        if isinstance(statement, Assign):
            self.values.assign_one(statement)
        elif isinstance(statement, Flow):
            FLOW[statement.kind](self, index, statement)

    def _block(self, step: Step) -> None:
        """Any block that is more than plain motion: label, words and assignments, flow, calls, in this order."""
        index = self.index - 1
        if step.is_empty and not step.messages:
            return
        self._reading.tell(step, self.control.block)
        for text in step.messages:
            self.recorder.event("message", self.control.block, code="MSG", value=text)
        if step.statements and isinstance(step.statements[0], Label) and not self._may_pass(index):
            return
        if step.dynamic or step.fixed:
            step = self._ready(step)
        self._assignments(step)
        rows = self.recorder.rows
        if not MACRO_CODES.isdisjoint(step.gs):
            self.calls.macro_code(step)
            return
        if step.gs or step.ms or step.values or step.names:
            self._words(step)
        if self.control.stopped:
            return
        for statement in step.statements:
            if isinstance(statement, Flow):
                if step.skips.get(""):
                    self.may_go_to(index + 1)
                FLOW[statement.kind](self, index, statement)
        self.calls.take(step)
        if self.calls.wait_for_motion and self.recorder.rows > rows:
            self.calls.run_modal()

    def _ready(self, step: Step) -> Step:
        """The step with the values of its expressions, and without those that cast doubt on it."""
        if any(letter in "GM" for letter, _ in step.dynamic):
            step = step_of(self.unit.program.block(step.index), self._skip)
            self.values.fill_codes(step)
        self.values.fill(step)
        if step.doubtful:
            step.values.update((letter, NAN) for letter in AXES if letter in step.values)
        return step

    def _assignments(self, step: Step) -> None:
        assigns = [statement for statement in step.statements if isinstance(statement, Assign)]
        if assigns:
            self.values.assign(assigns)

    def _words(self, step: Step) -> None:
        """The words of a block; a roughing cycle of a lathe passes over the profile it has run by itself."""
        self.control.run(without_call_words(step) if step.ms and self.calls.calls(step) else step)
        behind = self.control.skip_behind
        if behind is not None:
            self.control.skip_behind = None
            target = self.sequence_block(behind)
            if target is not None and target >= self.index:
                self.unit.visited[self.index : target + 1] = b"\x01" * (target + 1 - self.index)
                self.index = target + 1

    # ------------------------------------------------------------------ jumps

    def jump(self, target: int, *, counts: bool = False) -> None:
        """Goes on at block `target`. A jump back with nothing changed since the last one would never end.

        `counts`: the jump is counted elsewhere.
        """
        variables = self.values.variables
        if target < self.index:
            self.unit.steps.keeps = True
            key = (self.unit.first, target, len(self.calls.stack))
            if self._back_jumps.get(key) == variables.changes and not variables.reads_system and not counts:
                says = "this loop never ends: nothing that its conditions depend on changes"
                self.note("loop-bound", says, "check the condition", affects="position time fluid")
                self.stop()
            variables.reads_system = False
            self._back_jumps[key] = variables.changes
        self.index = target

    def may_go_to(self, *targets: int) -> None:
        """A condition could lead to these blocks: they are not unreachable, even when they do not run now."""
        self.unit.branches.update(targets)

    def sequence_block(self, number: float) -> int | None:
        """The block with that sequence number: in the running program, forward first, then from its start."""
        blocks = self.unit.program.sequence(number)
        start = self.calls.current.start
        end = self.unit.region_end(start)
        inside = [block for block in blocks if start <= block < end] or list(blocks)
        if len(inside) > 1:
            says = f"N{number:g} stands {len(inside)} times; the jump goes to the next one"
            self.note("duplicate-sequence-number", says, "number the blocks anew", key=f"{number:g}")
        return next((block for block in inside if block >= self.index), inside[0] if inside else None)

    def jump_to_sequence(self, number: float) -> None:
        """Goes on at that sequence number; when it is not there the control stops."""
        target = self.sequence_block(number)
        if target is None:
            says = f"a jump to N{number:g}, which is not there"
            self.note("missing-target", says, f"write N{number:g}, or mend the jump", affects="flow")
            self.stop()
        else:
            self.jump(target)

    def stop(self) -> None:
        """The program goes no further."""
        self.control.stopped = True

    def _may_pass(self, index: int) -> bool:
        """At a program number: the head of the running program is passed, the head of another one ends the run."""
        call = self.calls.current
        is_own = call.kind == "main" and self._main_label in (-1, index)
        if is_own or self.unit.is_header(call.start, index):
            self._main_label = index if is_own else self._main_label
            return True
        self._run_off_the_end()
        return False

    def _run_off_the_end(self) -> None:
        """Behind the last block of the running program, with nothing that ends it."""
        call = self.calls.current
        if call.kind == "main":
            at_tape_mark = self.unit.end < len(self.unit.program)
            if (self.recorder.rows or self.recorder.events) and not (at_tape_mark and self.control.meaning.tape_mark_ends):
                self.note("no-program-end", "the program stops without M2, M30 or M99", "end it with M30")
            self._is_through = True
            self.stop()
            return
        if call.kind != "o":
            says = f"{call.name} ends without M99; it is taken to return here"
            self.note("subprogram-without-return", says, "end it with M99", key=call.name)
        self.calls.leave()

    # ------------------------------------------------------------------ notes

    def note(
        self, name: str, says: str, do: str = "", *, affects: str = "", key: str = "", element: Element | None = None
    ) -> None:
        """Something to tell about the block being run, or one element of it; the same `key` is told once."""
        span = (element.start, element.end) if element is not None else None
        self.notes.add(name, self.control.block, says, do, affects=affects, key=key, span=span)

    def _last_notes(self) -> None:
        """What only the whole run tells."""
        control = self.control
        if control.turret_block >= 0 and control.tool_changes == 0:
            control.block = control.turret_block
            says = "T words with three or more digits and no tool change code: this looks like a turret"
            do = "turning is not simulated, and no dialect changes that: review it by hand; the tool in use is not known here"
            control.note("turret-tool-word", says, do, affects="tool")
        if control.ended or self._is_through:  # behind a bound or an alarm nobody knows what would run
            first, count = unreached(self.calls.units[0])
            if count:
                control.block = first
                blocks = "1 block that" if count == 1 else f"{count} blocks that"
                says = f"{blocks} no path of the program reaches, this one first"
                control.note("unreachable-blocks", says, "take them out, or mend the jump")

        if self._dialect_is_assumed and control.dialect.decimal_point == "as_written":
            self._assume_whole_units()

        behind = self.calls.units[0].program.behind_the_end()
        if behind is not None:
            control.block = behind
            says = "code stands behind the % that ends the program: it does not run, nor is it reviewed"
            control.note("code-behind-the-end", says, "take it out, or give it a file of its own")

    def _note_unplaced(self, moves: Moves) -> None:
        """Notes cuts at a height or place that nobody knows, and a G91 left on, each about the tool that was in the spindle."""
        recorder, spans = self.recorder, self.recorder.spans
        distances = self.control.distances
        ran = Ran(moves, recorder.cycles, recorder.cycle_holes(), recorder.events, distances, self._text, self._line)
        for found in ran.found():
            at = max(0, bisect_right(spans, found.row, key=lambda span: span.row) - 1)
            self.notes.tool = partial(getattr, spans[at].modal, "tool") if spans else None
            self.notes.add(found.name, found.block, found.says, found.do, affects=found.affects, key=str(found.block))

    def _text(self, block: int) -> Block:
        unit = next(unit for unit in self.calls.units if block < unit.first + len(unit.program))
        return unit.program.block(block - unit.first)

    def _line(self, block: int) -> int:
        return self._place(block, None).line

    def _assume_whole_units(self) -> None:
        """Lengths without a decimal point mean something else on a control of another dialect."""
        count, first = bare_lengths(self.calls.units[0].program)
        if count:
            unit = "inches" if self.control.is_inch else "millimetres"
            many = "1 length is" if count == 1 else f"{count} lengths are"
            says = f"{many} written without a decimal point, here first, and read as whole {unit}; no record names the dialect"
            do = "name the dialect in the machine record, or write the decimal points"
            self.notes.add("assumed-whole-units", first, says, do)

    def _place(self, block: int, span: tuple[int, int] | None) -> Place:
        for unit in self.calls.units:
            if block < unit.first + len(unit.program):
                if span is not None:
                    return unit.program.source.lines.place(*span)
                return unit.program.place(block - unit.first)
        raise IndexError("no such block")
