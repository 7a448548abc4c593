"""Runs a program as its control would: block after block, through loops and subprograms, within stated bounds.

Opens nothing itself: subprograms in other files come from the `Library` that the caller hands over.
"""

import math
from time import monotonic
from typing import Protocol

import numpy as np

from coolcheck.nc import motion
from coolcheck.nc.blocks import Assign, Comment, Element, Flow, Label, Unread, Word
from coolcheck.nc.branches import FLOW
from coolcheck.nc.bulk import SHORTEST_RUN, Setting
from coolcheck.nc.calls import Call, Unit, macro_arguments, unpacked
from coolcheck.nc.control import Control
from coolcheck.nc.library import Found, Library
from coolcheck.nc.limits import Limits
from coolcheck.nc.macros import Expression, MacroFault, Value
from coolcheck.nc.moves import Execution, Kind
from coolcheck.nc.notes import Notes
from coolcheck.nc.program import Program
from coolcheck.nc.reach import unreached
from coolcheck.nc.recorder import Recorder
from coolcheck.nc.registers import ALARM, STOP, Registers
from coolcheck.nc.variables import MacroVariables
from coolcheck.nc.words import AXES, MOTION_CODES, Step, code_of, step_of
from coolcheck.place import Place

NAN = math.nan
_MACRO_CODES = frozenset({650, 660, 661, 670})
_LONGEST_RUN = 131_072  # blocks worked on at once: bounds the memory of a run
_LOOK_EVERY = 2048  # blocks between looks at the clock


class Search(Protocol):
    """Where subprograms are looked for."""

    def find(self, name: str) -> Found | None:
        """The file of that program, or None."""
        ...


def interpret(
    program: Program,
    *,
    search: Search | None = None,
    start: tuple[float, float, float] | None = None,
    limits: Limits | None = None,
    block_skip: frozenset[int] = frozenset(),
    codes: frozenset[str] = frozenset(),
) -> Execution:
    """The program as the control would run it.

    search : subprograms in other files; start : position before the first block [mm], not known when left out
    block_skip : switches that are on; codes : builder-assigned M codes that a machine record explains, as written ("M88")
    Raises nothing for what stands in a program: that becomes notes.
    """
    return Interpreter(program, search or Library(()), start, limits or Limits(), block_skip, codes).execution()


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
    ) -> None:
        self._program = program
        self._search = search
        self._limits = limits
        self._skip = block_skip
        self.notes = Notes()
        self.recorder = Recorder()
        self.control = Control(program.dialect, self.recorder, self.notes, start, limits, codes)
        self.registers = Registers(self.control)
        self.variables = MacroVariables(program.dialect.meaning, self.registers)
        self.variables.on_unset_name = self._unset_name
        self.unit = Unit(program, 0, block_skip)
        self._units = [self.unit]
        self._found: dict[str, tuple[Unit, int] | None] = {}
        self.call = Call("main", self.unit, self.unit.low)
        self._stack = [self.call]
        self._modal_calls: list[tuple[str, Unit, int, dict[int, Value]]] = []
        self._in_modal = 0
        self.index = self.unit.low
        self._executed = 0
        self._told: set[tuple[str, str]] = set()
        self._seen_label = False
        self._back_jumps: dict[tuple[int, int, int], int] = {}
        self._started = monotonic()

    # ------------------------------------------------------------------- run

    def execution(self) -> Execution:
        """Runs to the end, or to a bound."""
        self._run()
        self._last_notes()
        programs = [unit.program for unit in self._units]
        return Execution(
            program=self._program,
            subprograms=tuple(programs[1:]),
            moves=self.recorder.moves(),
            spans=tuple(self.recorder.spans),
            events=tuple(self.recorder.events),
            cycles=tuple(self.recorder.cycles),
            cycle_holes=self.recorder.cycle_holes(),
            notes=self.notes.finished(self._place),
            ended=self.control.ended,
        )

    def _run(self) -> None:
        control, limits = self.control, self._limits
        next_look = min(_LOOK_EVERY, limits.max_blocks_executed)
        while not control.stopped:
            unit, index = self.unit, self.index
            if index >= unit.end:
                self._run_off_the_end()
                continue
            if self._executed >= next_look:
                if not self._within_bounds():
                    return
                next_look = min(self._executed + _LOOK_EVERY, limits.max_blocks_executed)
            self._executed += 1
            step = unit.steps[index]
            if step.is_motion and (not self._modal_calls or self._in_modal):
                if index >= unit.bulk_from and control.is_simple and (step.gs or control.motion in MOTION_CODES):
                    self._bulk(unit, index)
                    if self.index > index:
                        continue
                unit.visited[index] = 1
                self.index = index + 1
                control.block = unit.first + index
                if step.dynamic:
                    self._evaluate(step)
                control.move(step)
            else:
                unit.visited[index] = 1
                self.index = index + 1
                control.block = unit.first + index
                if step.is_statement:
                    self._statement(step.statements[0], index)
                else:
                    self._block(step)

    def _within_bounds(self) -> bool:
        limits = self._limits
        if self._executed >= limits.max_blocks_executed:
            self.note(
                "loop-bound",
                f"{limits.max_blocks_executed} blocks have run and the program does not end; the rest is not followed",
                "check the loops; raise the bound if the program is meant to run so long",
                affects="position time fluid",
            )
            return False
        if monotonic() - self._started > limits.max_seconds:
            self.note(
                "time-bound",
                f"following the program takes longer than {limits.max_seconds:g} s; the rest is not followed",
                "check the loops; raise the bound if the program is meant to run so long",
                affects="position time fluid",
            )
            return False
        return True

    def _bulk(self, unit: Unit, index: int) -> None:
        """Runs a long stretch of plain motion at once, when there is one and nothing special is on."""
        control = self.control
        end = unit.plain.run_end(index) if len(unit.program) > SHORTEST_RUN else index
        high = min(end, unit.end, index + _LONGEST_RUN)
        setting = self._setting() if high - index >= SHORTEST_RUN else None
        if setting is None:
            unit.bulk_from = max(end, index + 1)
            return
        run = unit.plain.run(index, high, setting)
        if run.high == index:
            unit.bulk_from = index + 1
            return
        feed = np.where(run.feed > 0, run.feed, NAN)
        if control.meaning.helix_feed == "plane" and len(run.arc_rows):
            with np.errstate(invalid="ignore", divide="ignore"):
                feed[run.arc_rows] *= run.arc_length / (run.arc_radius * run.arc_sweep)
        if len(run.arc_rows):
            control.block = unit.first + int(run.block[run.arc_rows[0]])
            control.assume("plane")
        lacking = np.flatnonzero((run.kind != Kind.RAPID) & np.isnan(feed))
        for row in lacking[:1].tolist():
            control.block = unit.first + int(run.block[row])
            motion.no_feed(control)
        self.recorder.run(run, unit.first, feed)
        motion.set_motion(control, run.motion * 10)
        control.position = run.position
        control.feed = run.feed_after if run.feed_after > 0 else NAN
        rpm = control.state.modal.rpm
        control.word_feed = control.feed / rpm if control.state.modal.feed_mode == 95 and rpm else control.feed
        unit.visited[index : run.high] = b"\x01" * (run.high - index)
        self._executed += run.high - index
        self.index = run.high
        if self.recorder.rows > self._limits.max_moves:
            control.run(Step(index))  # notes the bound

    def _setting(self) -> Setting | None:
        """The modal state for a run of plain motion; None when something is on that a run does not know."""
        control, how = self.control, self.control.meaning
        modal = control.state.modal
        per_turn = modal.feed_mode == 95
        increments = control.increments
        plain_feed = how.bare_feed[(2 if per_turn else 0) + (1 if control.is_inch else 0)] == 1.0
        letters_differ = increments is not None and not increments.letters.issuperset("XYZIJK")
        if not plain_feed or letters_differ or (per_turn and not modal.rpm) or control.state.arc_centre != "incremental":
            return None
        worth = 1.0 if increments is None else increments.inch if control.is_inch else increments.millimetre
        return Setting(
            position=control.position,
            motion=control.motion // 10 if control.motion in MOTION_CODES else -1,
            feed=control.feed,
            scale=control.scale,
            increment=control.scale * worth,
            feed_scale=control.scale * (modal.rpm or 1.0) if per_turn else control.scale,
            incremental=not control.absolute,
            plane=control.plane,
            arc_tolerance=how.arc_tolerance_inch * 25.4 if control.is_inch else how.arc_tolerance_mm,
        )

    # ---------------------------------------------------------------- blocks

    def _statement(self, statement: Assign | Flow | Label, index: int) -> None:
        """A block that is one assignment or one flow statement: the short way, for the blocks that loops are made of."""
        if isinstance(statement, Flow):
            FLOW[statement.kind](self, index, statement)
        elif isinstance(statement, Assign):
            variable, value = self._assigned(statement)
            if type(variable) is int and variable < 1000 and variable:
                self.variables.write(variable, value)
            else:
                self._store([statement], [(variable, value)])

    def _block(self, step: Step) -> None:
        """Any block that is more than plain motion: labels, words, assignments, flow, calls, in this order."""
        index = self.index - 1
        if step.is_empty and not step.messages:
            return
        self._tell_reading(step)
        if step.statements and isinstance(step.statements[0], Label) and not self._may_pass(index):
            return
        if step.dynamic or step.values:
            step = self._ready(step)
        pending = [statement for statement in step.statements if isinstance(statement, Assign)]
        values = [self._assigned(assign) for assign in pending]
        rows = self.recorder.rows
        if not _MACRO_CODES.isdisjoint(step.gs):
            self._store(pending, values)
            self._macro_code(step)
            return
        self._store(pending, values)
        if step.gs or step.ms or step.values or step.names:
            self._words(step)
        if self.control.stopped:
            return
        for statement in step.statements:
            if isinstance(statement, Flow):
                if step.skips.get(""):
                    self.may_go_to(index + 1)
                FLOW[statement.kind](self, index, statement)
        self._calls_of(step)
        if self._modal_calls and not self._in_modal and self.recorder.rows > rows:
            self._run_modal_calls()

    def _ready(self, step: Step) -> Step:
        """The step with the values of its expressions, and without those that cast doubt on it."""
        if any(letter in "GM" for letter, _ in step.dynamic):
            step = self._with_codes(step)
        self._evaluate(step)
        if step.doubtful:
            for letter in AXES:
                if letter in step.values:
                    step.values[letter] = NAN
        return step

    def _with_codes(self, step: Step) -> Step:
        """A fresh step whose computed G and M codes are known."""
        fresh = step_of(self.unit.program.block(step.index), self._skip)
        for letter, expression in fresh.dynamic:
            if letter not in "GM":
                continue
            value = self.value_of(expression)
            number = -1 if value is None or value != value else code_of(value * 10 if letter == "G" else value)
            if number < 0:
                self._unknown_value(letter)
                fresh.doubtful = True
            elif letter == "G":
                fresh.gs = (*fresh.gs, number)
            else:
                fresh.ms = (*fresh.ms, number)
        fresh.dynamic = tuple(pair for pair in fresh.dynamic if pair[0] not in "GM")
        return fresh

    def _evaluate(self, step: Step) -> None:
        """Gives the words of a step their values. A vacant one is as if not written; one not known is NaN."""
        values = dict(step.fixed)
        for letter, expression in step.dynamic:
            try:
                value = expression.evaluate(self.variables)
            except MacroFault as fault:
                self._fault(str(fault))
                value = NAN
            if value is not None:
                values[letter] = value
                if value != value:
                    self._unknown_value(letter)
        step.values = step.lengths = values

    def _words(self, step: Step) -> None:
        """The words of a block; a roughing cycle of a lathe passes over the profile it has run by itself."""
        if step.ms:
            known = self.control.meaning.m_codes
            if any(code in known and known[code].does in ("call", "local_call", "return") for code in step.ms):
                step = self._without_call_words(step)
        self.control.run(step)
        behind = self.control.skip_behind
        if behind is not None:
            self.control.skip_behind = None
            target = self.sequence_block(behind)
            if target is not None and target >= self.index:
                self.unit.visited[self.index : target + 1] = b"\x01" * (target + 1 - self.index)
                self.index = target + 1

    def _without_call_words(self, step: Step) -> Step:
        """P, L, Q and H of a call are no business of the control."""
        plain = Step(step.index)
        plain.gs, plain.ms, plain.skips, plain.names, plain.bare = step.gs, step.ms, step.skips, step.names, step.bare
        plain.values = {letter: value for letter, value in step.values.items() if letter not in "PLQH"}
        plain.lengths = plain.fixed = plain.values
        return plain

    # ------------------------------------------------------------- variables

    def value_of(self, expression: Expression | None) -> Value:
        """The value of an expression; NaN, with a note, where the control would stop at it."""
        if expression is None:
            return None
        try:
            return expression.evaluate(self.variables)
        except MacroFault as fault:
            self._fault(str(fault))
            return NAN

    def _assigned(self, assign: Assign) -> tuple[int | str | None, Value]:
        try:
            return assign.target.resolve(self.variables), assign.value.evaluate(self.variables)
        except MacroFault as fault:
            self._fault(str(fault))
        try:
            return assign.target.resolve(self.variables), NAN
        except MacroFault:
            return None, NAN

    def assign(self, assigns: list[Assign]) -> None:
        """Assignments of one block: every value is read before one is written (NISTIR 6556, 3.3.2.1)."""
        self._store(assigns, [self._assigned(assign) for assign in assigns])

    def _store(self, assigns: list[Assign], values: list[tuple[int | str | None, Value]]) -> None:
        for assign, (variable, value) in zip(assigns, values, strict=True):
            if variable is None:
                continue
            if isinstance(variable, int) and variable >= 1000 and self._system(assign, variable, value):
                continue
            try:
                self.variables.write(variable, value)
            except MacroFault as fault:
                self._fault(str(fault))

    def _system(self, assign: Assign, variable: int, value: Value) -> bool:
        """An assignment to a system variable that does something."""
        if self.control.meaning.system_variables == "word_address" and variable in (ALARM, STOP):
            text = " ".join(c.text.strip() for c in self.unit.program.block(self.index - 1).comments)
            self.recorder.event("stop", self.control.block, code=f"#{variable}", value=text)
            if variable == ALARM:
                says = "the program raises an alarm of its own" + (f": {text}" if text else "") + "; it stops here"
                self.note("program-alarm", says, "see what the program checks before it", affects="flow", element=assign)
                self.stop()
            return True
        return self.registers.write(variable, value)

    def _fault(self, says: str) -> None:
        self.note(
            "macro-fault",
            f"the control stops here: {says}",
            "mend the expression",
            affects="flow position",
            key=str(self.control.block),
        )

    def _unknown_value(self, letter: str) -> None:
        self.note(
            "unknown-value",
            f"the value of {letter} depends on a variable that is not known here",
            "give the variable a value in the program",
            affects=letter.lower() if letter in AXES else "",
            key=letter,
        )

    def _unset_name(self, name: str) -> None:
        self.note("unknown-value", f"the variable #<{name}> is read before it is assigned", "assign it", key=name)

    # ------------------------------------------------------------------ jumps

    def jump(self, target: int, *, counts: bool = False) -> None:
        """Goes on at block `target`. A jump back with nothing changed since the last one would never end.

        `counts`: the jump is counted elsewhere.
        """
        if target < self.index:
            self.unit.steps.keeps = True
            key = (self.unit.first, target, len(self._stack))
            same = self._back_jumps.get(key) == self.variables.changes and not self.variables.reads_system
            if same and not counts:
                says = "this loop never ends: nothing that its conditions depend on changes"
                self.note("loop-bound", says, "check the condition", affects="position time fluid")
                self.stop()
            self.variables.reads_system = False
            self._back_jumps[key] = self.variables.changes
        self.index = target

    def may_go_to(self, target: int) -> None:
        """A condition could lead to that block: it is not unreachable, even when it does not run now."""
        self.unit.branches.add(target)

    def sequence_block(self, number: float) -> int | None:
        """The block with that sequence number: in the running program, forward first, then from its start."""
        blocks = self.unit.program.sequence(number)
        start, end = self.call.start, self.unit.region_end(self.call.start)
        inside = [block for block in blocks if start <= block < end] or list(blocks)
        if len(inside) > 1:
            self.note(
                "duplicate-sequence-number",
                f"N{number:g} stands {len(inside)} times; the jump goes to the next one",
                "number the blocks anew",
                key=f"{number:g}",
            )
        return next((block for block in inside if block >= self.index), inside[0] if inside else None)

    def jump_to_sequence(self, number: float) -> None:
        """Goes on at that sequence number; when it is not there the control stops."""
        target = self.sequence_block(number)
        if target is None:
            self.note(
                "missing-target",
                f"a jump to N{number:g}, which is not there",
                f"write N{number:g}, or mend the jump",
                affects="flow",
            )
            self.stop()
            return
        self.jump(target)

    def stop(self) -> None:
        """The program goes no further."""
        self.control.stopped = True

    def _may_pass(self, index: int) -> bool:
        """At a program number: the head of the running program is passed, the head of another one ends the run."""
        if self.unit.is_header(self.call.start, index) or (self.call.kind == "main" and not self._seen_label):
            self._seen_label = True
            return True
        self._run_off_the_end()
        return False

    def _run_off_the_end(self) -> None:
        """Behind the last block of the running program, with nothing that ends it."""
        if self.call.kind == "main":
            if self._executed and not self.control.ended and self.unit.end == len(self.unit.program):
                self.note("no-program-end", "the program stops without M2, M30 or M99", "end it with M30")
            self.stop()
            return
        if self.call.kind != "o":
            self.note(
                "subprogram-without-return",
                f"{self.call.name} ends without M99; it is taken to return here",
                "end it with M99",
                key=self.call.name,
            )
        self.leave()

    # ------------------------------------------------------------------ calls

    def _calls_of(self, step: Step) -> None:
        known = self.control.meaning.m_codes
        for code in step.ms:
            does = known[code].does if code in known else ""
            if does == "call":
                self._subprogram(step, step.values.get("P"), step.names.get("P", ""))
            elif does == "local_call":
                self._local(step)
            elif does == "return":
                self._return(step)

    def _count(self, step: Step, letter: str = "L") -> int:
        value = step.values.get(letter, 1.0)
        if not math.isfinite(value):
            self.note(
                "unknown-value", "how often this program runs is not known; it is followed once", affects="position", key="calls"
            )
            return 1
        return max(round(value), 0)

    def _subprogram(self, step: Step, number: float | None, name: str) -> None:
        """M98: by number, plain or packed with a repeat count."""
        if number is None or not math.isfinite(number):
            self._missing(name or "?")
            return
        whole = round(number)
        known = whole > 9999 and self._find(str(whole), quiet=True) is not None
        target, packed = unpacked(whole, "L" in step.values, self.control.meaning.packed_calls, known)
        repeats = self._count(step) if "L" in step.values else packed
        found = self._find(target)
        if found is None or repeats == 0:
            return
        unit, start = found
        self._enter(Call("sub", unit, start, f"O{target}", self.index, repeats - 1), "M98")
        at = step.values.get("Q", step.values.get("H"))
        if at is not None and math.isfinite(at):
            self.jump_to_sequence(at)

    def _local(self, step: Step) -> None:
        """M97: a subprogram of this file that starts at a sequence number."""
        number = step.values.get("P", NAN)
        target = self.sequence_block(number) if math.isfinite(number) else None
        repeats = self._count(step)
        if target is None:
            self._missing(f"N{number:g}")
        elif repeats:
            self._enter(Call("sub", self.unit, target, f"N{number:g}", self.index, repeats - 1), "M97")

    def _return(self, step: Step) -> None:
        """M99: back to the caller or to its sequence number; the main program would start again, which is its end here."""
        number = step.values.get("P")
        if self.call.kind == "main":
            if number is not None and math.isfinite(number):
                self.jump_to_sequence(number)
                return
            self.note("main-repeats", "M99 in the main program: it starts again from the top; one run is followed")
            self.recorder.event("end", self.control.block, code="M99", after_move=True)
            self.control.ended = True
            self.stop()
            return
        if number is not None and math.isfinite(number):
            self.call.repeats = 0
            self.leave()
            self.jump_to_sequence(number)
        else:
            self.leave()

    def _macro_code(self, step: Step) -> None:
        """G65, G66, G67: words are arguments, not motion."""
        if 670 in step.gs:
            if self._modal_calls:
                self._modal_calls.pop()
            plain = self._without_call_words(step)
            plain.gs = tuple(code for code in step.gs if code != 670)
            if plain.gs or plain.ms or plain.values:
                self.control.run(plain)
            return
        number = step.values.get("P")
        if number is None or not math.isfinite(number):
            self._missing("?")
            return
        found = self._find(str(round(number)))
        if found is None:
            return
        unit, start = found
        arguments = macro_arguments(self._argument_words(step), self.control.meaning.arguments)
        name = f"O{round(number)}"
        if 650 in step.gs:
            repeats = self._count(step)
            if repeats:
                self._enter(Call("macro", unit, start, name, self.index, repeats - 1, own_locals=True), "G65", arguments)
        else:
            self._modal_calls.append((name, unit, start, arguments))

    def _argument_words(self, step: Step) -> list[tuple[str, Value]]:
        """The words of a macro call behind its G code, in order, in program units."""
        words: list[tuple[str, Value]] = []
        increments = self.control.increments
        for word in self.unit.program.block(step.index).words:
            if word.letter in "GNPLO":
                continue
            value = word.value
            if word.expression is not None:
                value = self.value_of(word.expression)
            elif value is not None and not word.has_point and increments is not None and word.letter in increments.letters:
                value *= increments.inch if self.control.is_inch else increments.millimetre
            words.append((word.letter, value))
        return words

    def _run_modal_calls(self) -> None:
        """G66: after a block with motion its macros run, the one called last first."""
        for name, unit, start, arguments in self._modal_calls:
            self._in_modal += 1
            self._enter(Call("modal", unit, start, name, self.index, own_locals=True), "G66", dict(arguments))

    def call_o_word(self, flow: Flow) -> None:
        """`o… call [a] [b]`: arguments become #1, #2 and so on."""
        values = [self.value_of(argument) for argument in flow.arguments]
        found = self._find(flow.name)
        if found is None:
            return
        unit, start = found
        arguments = {number: value for number, value in enumerate(values, 1) if number <= 30}
        body = start + 1 if self._is_sub(unit, start) else start
        self._enter(Call("o", unit, body, f"o{flow.name}", self.index, own_locals=True), "call", arguments)

    def _is_sub(self, unit: Unit, block: int) -> bool:
        return any(isinstance(s, Flow) and s.kind == "sub" for s in unit.steps[block].statements)

    def _find(self, name: str, quiet: bool = False) -> tuple[Unit, int] | None:
        """The program of that number or name: in the running file, in the main file, then where the caller looks."""
        for unit in (self.unit, self._units[0]):
            block = unit.program.labels().get(name)
            if block is not None:
                return unit, block
        if name not in self._found:
            self._found[name] = self._read(name)
        found = self._found[name]
        if found is None and not quiet:
            self._missing(f"O{name}" if name.isdigit() else name)
        return found

    def _read(self, name: str) -> tuple[Unit, int] | None:
        file = self._search.find(name)
        if file is None:
            return None
        for unit in self._units[1:]:
            if unit.program.source.name == file.file:
                return unit, unit.program.labels().get(name, unit.low)
        program = Program.read(file.data, file.file, self._program.dialect)
        last = self._units[-1]
        unit = Unit(program, last.first + len(last.program), self._skip)
        self._units.append(unit)
        return unit, program.labels().get(name, unit.low)

    def _missing(self, name: str) -> None:
        self.note(
            "missing-subprogram",
            f"the program {name} cannot be found: what it does is not known",
            "put it beside this program, or name its folder under `search` in the job file",
            affects="position tool spindle fluid time",
            key=name,
        )
        self.recorder.event("call", self.control.block, code="M98", value=name, fluid="unknown")
        self.control.lose("XYZABC")
        self.control.series = None

    def _enter(self, call: Call, code: str, arguments: dict[int, Value] | None = None) -> None:
        if len(self._stack) > self._limits.max_depth:
            says = f"calls within calls are deeper than {self._limits.max_depth}; the rest is not followed"
            self.note("depth-bound", says, "check for a program that calls itself", affects="position time fluid", key=call.name)
            self.stop()
            return
        self.recorder.event("call", self.control.block, code=code, value=call.name)
        if call.own_locals:
            call.kept_locals, call.kept_names = self.variables.locals, self.variables.names
            self.variables.locals, self.variables.names = dict(arguments or {}), {}
            self.variables.changes += 1
        self._stack.append(call)
        self.call, self.unit, self.index = call, call.unit, call.start
        call.unit.steps.keeps = True

    def leave(self) -> None:
        """Back to the caller, or once more from the start of the running program when it is repeated."""
        call = self.call
        if call.kind == "main":
            self.stop()
            return
        if call.repeats > 0:
            call.repeats -= 1
            self.variables.changes += 1
            self.index = call.start
            return
        self._stack.pop()
        if call.own_locals:
            self.variables.locals, self.variables.names = call.kept_locals, call.kept_names
        if call.kind == "modal":
            self._in_modal -= 1
        self.call = self._stack[-1]
        self.unit, self.index = self.call.unit, call.resume
        self.recorder.event("return", self.control.block, value=call.name)

    # ------------------------------------------------------------------ notes

    def note(
        self, name: str, says: str, do: str = "", *, affects: str = "", key: str = "", element: Element | None = None
    ) -> None:
        """Something to tell about the block being run, or one element of it; the same `key` is told once."""
        span = (element.start, element.end) if element is not None else None
        self.notes.add(name, self.control.block, says, do, affects=affects, key=key, span=span)

    def _tell_reading(self, step: Step) -> None:
        """What could not be read, and what stands twice; once a block, however often it runs."""
        block = self.control.block
        for part, behind in zip(step.unread, (*step.unread, None)[1:], strict=True):
            if isinstance(part, Word) and isinstance(behind, Unread) and part.end == behind.start:
                self._tell_unread(behind, block, part.letter)  # one fault: a number that runs into something else
            else:
                self._tell_unread(part, block)
        for letter in step.repeated:
            says = f"{letter} stands twice in a block; the last one counts"
            self.note("repeated-address", says, "leave one of them out", key=letter)
        for text in step.messages:
            self.recorder.event("message", block, code="MSG", value=text)

    def _tell_unread(self, part: Unread | Word | Comment, block: int, address: str = "") -> None:
        key = f"{block} {part.start}"
        if (name := _READING[type(part)], key) in self._told:
            return
        self._told.add((name, key))
        if isinstance(part, Unread):
            letters = " ".join(c for c in "xyzabcf" if c in (part.text + address).lower())
            text = part.text if len(part.text) <= 40 else part.text[:37] + "..."
            says = f"{text!r} cannot be read; expected: {', '.join(part.expected)}"
            self.note(
                name,
                says,
                "mend it; until the next full position what depends on it is unknown",
                affects=letters,
                key=key,
                element=part,
            )
        elif isinstance(part, Word):
            affects = part.letter.lower() if part.letter in AXES else ""
            self.note(
                name, f"{part.letter} has no number", "write its number, or leave it out", affects=affects, key=key, element=part
            )
        else:
            self.note(name, "this comment is not closed; it ends with its block", "close it with )", key="", element=part)

    def _last_notes(self) -> None:
        control = self.control
        if control.turret_block >= 0 and control.tool_changes == 0:
            control.block = control.turret_block
            control.note(
                "turret-tool-word",
                "T words with three or more digits and no tool change code: this looks like a turret",
                "name a dialect of a turning control; the tool in use is not known here",
                affects="tool",
            )
        for unit in self._units[:1]:
            first, count = unreached(unit)
            if count:
                control.block = unit.first + first
                blocks = "1 block that" if count == 1 else f"{count} blocks that"
                control.note(
                    "unreachable-blocks",
                    f"{blocks} no path of the program reaches, this one first",
                    "take them out, or mend the jump",
                )

    def _place(self, block: int, span: tuple[int, int] | None) -> Place:
        for unit in self._units:
            if block < unit.first + len(unit.program):
                if span is not None:
                    return unit.program.source.lines.place(*span)
                return unit.program.place(block - unit.first)
        raise IndexError("no such block")


_READING = {Unread: "unreadable-block", Word: "address-without-number", Comment: "unclosed-comment"}
