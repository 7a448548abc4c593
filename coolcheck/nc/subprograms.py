"""Calls of a running program: M97, M98, M99, G65, G66, G67 and O-word calls; where the called programs are found."""

import math
from typing import TYPE_CHECKING, Protocol

from coolcheck.nc.blocks import Flow
from coolcheck.nc.calls import Call, Unit, macro_arguments, unpacked
from coolcheck.nc.library import Found
from coolcheck.nc.macros import Value
from coolcheck.nc.program import Program
from coolcheck.nc.words import Step

if TYPE_CHECKING:
    from coolcheck.nc.interpret import Interpreter

NAN = math.nan
MACRO_CODES = frozenset({650, 660, 661, 670})
CALL_WORDS = "PLQH"  # words of a call, no business of the control


class Search(Protocol):
    """Where subprograms are looked for."""

    def find(self, name: str) -> Found | None:
        """The file of that program, or None."""
        ...


class Subprograms:
    """The files of a run, the calls within each other, and the modal macros."""

    def __init__(self, run: "Interpreter", program: Program, search: Search, skip: frozenset[int]) -> None:
        self._run = run
        self._search = search
        self._skip = skip
        self.units = [Unit(program, 0, skip)]
        self.stack = [Call("main", self.units[0], self.units[0].low)]
        self._found: dict[str, tuple[Unit, int] | None] = {}
        self._modal: list[tuple[str, Unit, int, dict[int, Value]]] = []
        self._within_modal = 0
        self.main_returns = False  # the main program ends with M99

    @property
    def current(self) -> Call:
        """The innermost call."""
        return self.stack[-1]

    @property
    def wait_for_motion(self) -> bool:
        """Is a modal macro to run behind the next block that moves? Not inside such a macro."""
        return bool(self._modal) and not self._within_modal

    # ------------------------------------------------------------------ codes

    def take(self, step: Step) -> None:
        """The M codes of a block that call or return."""
        known = self._run.control.meaning.m_codes
        for code in step.ms:
            does = known[code].does if code in known else ""
            if does == "call":
                self._subprogram(step)
            elif does == "local_call":
                self._local(step)
            elif does == "return":
                self._return(step)

    def calls(self, step: Step) -> bool:
        """Does a code of the block call or return?"""
        known = self._run.control.meaning.m_codes
        return any(code in known and known[code].does in ("call", "local_call", "return") for code in step.ms)

    def _count(self, step: Step) -> int:
        value = step.values.get("L", 1.0)
        if not math.isfinite(value):
            says = "how often this program runs is not known; it is followed once"
            self._run.note("unknown-value", says, affects="position", key="calls")
            return 1
        return max(round(value), 0)

    def _subprogram(self, step: Step) -> None:
        """M98: by number, plain or packed with a repeat count."""
        run, number = self._run, step.values.get("P", NAN)
        target, packed = step.names.get("P", ""), 1
        if not target:
            if not math.isfinite(number):
                self._missing("whose number is not known")
                return
            whole = round(number)
            known = whole > 9999 and self._find(str(whole), quiet=True) is not None
            target, packed = unpacked(whole, "L" in step.values, run.control.meaning.packed_calls, known)
        repeats = self._count(step) if "L" in step.values else packed
        found = self._find(target)
        if found is None or repeats == 0:
            return
        unit, start = found
        entered = self._enter(Call("sub", unit, start, _shown(target), run.index, repeats - 1), "M98")
        at = step.values.get("Q", step.values.get("H", NAN))
        if entered and math.isfinite(at):
            run.jump_to_sequence(at)

    def _local(self, step: Step) -> None:
        """M97: a subprogram of this file that starts at a sequence number."""
        run, number = self._run, step.values.get("P", NAN)
        target = run.sequence_block(number) if math.isfinite(number) else None
        repeats = self._count(step)
        if target is None:
            self._missing(f"N{number:g}" if math.isfinite(number) else "whose number is not known")
        elif repeats:
            self._enter(Call("sub", run.unit, target, f"N{number:g}", run.index, repeats - 1), "M97")

    def _return(self, step: Step) -> None:
        """M99: back to the caller or to its sequence number; the main program would start again, which is its end here."""
        run, number = self._run, step.values.get("P", NAN)
        goes = math.isfinite(number)
        if self.current.kind != "main":
            if goes:
                self.current.repeats = 0
            self.leave()
        elif not goes:
            run.note("main-repeats", "M99 in the main program: it starts again from the top; one run is followed")
            run.recorder.event("end", run.control.block, code="M99", after_move=True)
            run.control.ended = self.main_returns = True
            run.stop()
        if goes:
            run.jump_to_sequence(number)

    def macro_code(self, step: Step) -> None:
        """G65, G66, G67: words are arguments, not motion."""
        run = self._run
        if 670 in step.gs:
            if self._modal:
                self._modal.pop()
            plain = without_call_words(step)
            plain.gs = tuple(code for code in step.gs if code not in MACRO_CODES)
            if plain.gs or plain.ms or plain.values:
                run.control.run(plain)
            return
        if 650 in step.gs and "H" in step.values and any(letter == "P" for letter, _ in step.dynamic):
            says = "arithmetic by G65 H is not worked out: the variables it sets are not known here"
            run.note("not-simulated", says, "write it as #… = …", affects="flow position", key="G65 H")
            return
        number = step.values.get("P", NAN)
        if not math.isfinite(number):
            self._missing("whose number is not known")
            return
        found = self._find(str(round(number)))
        if found is None:
            return
        arguments = macro_arguments(self._argument_words(step), run.control.meaning.arguments)
        name = f"O{round(number)}"
        if 650 not in step.gs:
            self._modal.append((name, *found, arguments))
        elif repeats := self._count(step):
            self._enter(Call("macro", *found, name, run.index, repeats - 1, own_locals=True), "G65", arguments)

    def _argument_words(self, step: Step) -> list[tuple[str, Value]]:
        """The words of a macro call behind its G code, in order, in program units."""
        run = self._run
        words: list[tuple[str, Value]] = []
        increments = run.control.increments
        for word in run.unit.program.block(step.index).words:
            if word.letter in "GNPLO":
                continue
            value = word.value
            if word.expression is not None:
                value = run.values.of(word.expression)
            elif value is not None and not word.has_point and increments is not None and word.letter in increments.letters:
                value *= increments.inch if run.control.is_inch else increments.millimetre
            words.append((word.letter, value))
        return words

    def run_modal(self) -> None:
        """G66: after a block with motion its macros run, the one called last first."""
        for name, unit, start, arguments in self._modal:
            if self._enter(Call("modal", unit, start, name, self._run.index, own_locals=True), "G66", dict(arguments)):
                self._within_modal += 1

    def o_word(self, flow: Flow) -> None:
        """`o… call [a] [b]`: arguments become #1, #2 and so on."""
        run = self._run
        values = [run.values.of(argument) for argument in flow.arguments]
        found = self._find(flow.name)
        if found is None:
            return
        unit, start = found
        arguments = {number: value for number, value in enumerate(values, 1) if number <= 30}
        is_sub = any(isinstance(s, Flow) and s.kind == "sub" for s in unit.steps[start].statements)
        self._enter(Call("o", unit, start + is_sub, f"o{flow.name}", run.index, own_locals=True), "call", arguments)

    # ---------------------------------------------------------------- finding

    def _find(self, name: str, quiet: bool = False) -> tuple[Unit, int] | None:
        """The program of that number or name: in the running file, in the main file, then where the caller looks."""
        for unit in (self._run.unit, self.units[0]):
            block = unit.program.labels().get(name)
            if block is not None:
                return unit, block
        if name not in self._found:
            self._found[name] = self._read(name)
        found = self._found[name]
        if found is None and not quiet:
            self._missing(_shown(name))
        return found

    def _read(self, name: str) -> tuple[Unit, int] | None:
        file = self._search.find(name)
        if file is None:
            return None
        for unit in self.units[1:]:
            if unit.program.source.name == file.file:
                return unit, unit.program.labels().get(name, unit.low)
        last = self.units[-1]
        program = Program.read(file.data, file.file, last.program.dialect)
        unit = Unit(program, last.first + len(last.program), self._skip)
        self.units.append(unit)
        return unit, program.labels().get(name, unit.low)

    def _missing(self, name: str) -> None:
        run = self._run
        run.note(
            "missing-subprogram",
            f"the program {name} cannot be found: what it does is not known",
            "put it beside this program, or name its folder under `search` in the job file",
            affects="position tool spindle fluid time",
            key=name,
        )
        run.recorder.event("call", run.control.block, code="M98", value=name, fluid="unknown")
        run.control.lose("XYZABC")
        run.control.series = None

    # ------------------------------------------------------- entering, leaving

    def _enter(self, call: Call, code: str, arguments: dict[int, Value] | None = None) -> bool:
        run = self._run
        if len(self.stack) > run.limits.max_depth:
            says = f"calls within calls are deeper than {run.limits.max_depth}; the rest is not followed"
            run.note("depth-bound", says, "check for a program that calls itself", affects="position time fluid", key=call.name)
            run.stop()
            return False
        run.recorder.event("call", run.control.block, code=code, value=call.name)
        variables = run.values.variables
        if call.own_locals:
            call.kept_locals, call.kept_names = variables.locals, variables.names
            variables.locals, variables.names = dict(arguments or {}), {}
            variables.changes += 1
        self.stack.append(call)
        run.unit, run.index = call.unit, call.start
        call.unit.steps.keeps = True
        return True

    def leave(self) -> None:
        """Back to the caller, or once more from the start of the running program when it is repeated."""
        run, call = self._run, self.current
        variables = run.values.variables
        if call.kind == "main":
            run.stop()
            return
        if call.repeats > 0:
            call.repeats -= 1
            variables.changes += 1
            run.index = call.start
            return
        self.stack.pop()
        if call.own_locals:
            variables.locals, variables.names = call.kept_locals, call.kept_names
        if call.kind == "modal":
            self._within_modal -= 1
        run.unit, run.index = self.current.unit, call.resume
        run.recorder.event("return", run.control.block, value=call.name)


def _shown(name: str) -> str:
    return f"O{name}" if name.isdigit() else name


def without_call_words(step: Step) -> Step:
    """The step without the words of its call."""
    plain = Step(step.index)
    plain.gs, plain.ms, plain.skips, plain.names, plain.bare = step.gs, step.ms, step.skips, step.names, step.bare
    plain.values = {letter: value for letter, value in step.values.items() if letter not in CALL_WORDS}
    plain.lengths = plain.fixed = plain.values
    return plain
