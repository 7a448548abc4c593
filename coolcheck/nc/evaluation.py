"""The variables of a run at work: values of expressions and words, and assignments. What a control would stop at is noted."""

import math
from typing import TYPE_CHECKING

from coolcheck.nc.blocks import Assign
from coolcheck.nc.macros import Expression, MacroFault, Value
from coolcheck.nc.reader import MOST_DIGITS
from coolcheck.nc.registers import ALARM, STOP, Registers
from coolcheck.nc.variables import MacroVariables
from coolcheck.nc.words import AXES, Step, code_of

if TYPE_CHECKING:
    from coolcheck.nc.interpret import Interpreter

NAN = math.nan
MOST = 10.0**MOST_DIGITS  # a word may be computed no larger than it may be written
_FIRST_SYSTEM = 1000  # no control has system variables below


class Evaluation:
    """Evaluates for one run. Unknown values are NaN."""

    def __init__(self, run: "Interpreter") -> None:
        self._run = run
        self._registers = Registers(run.control)
        self.variables = MacroVariables(run.control.meaning, self._registers)
        self.variables.on_unset_name = self._unset_name

    def of(self, expression: Expression | None) -> Value:
        """The value of an expression; NaN, with a note, where the control would stop at it."""
        if expression is None:
            return None
        try:
            return expression.evaluate(self.variables)
        except MacroFault as fault:
            self._fault(str(fault))
            return NAN

    # ------------------------------------------------------------------ words

    def fill(self, step: Step) -> None:
        """Gives the words of a step their values. A vacant one is as if not written; one not known is NaN."""
        values, variables = dict(step.fixed), self.variables
        for letter, expression in step.dynamic:
            try:
                value = expression.evaluate(variables)
            except MacroFault as fault:
                self._fault(str(fault))
                value = NAN
            if value is None:
                continue
            if -MOST < value < MOST:
                values[letter] = value
                continue
            if value == value:
                self._fault(f"{letter} is {value:g}, which no machine can do")
            else:
                self._unknown(letter)
            values[letter] = NAN
        step.values = step.lengths = values

    def fill_codes(self, step: Step) -> None:
        """Gives a step, which must be no one else's, its computed G and M codes. One not known makes the block doubtful."""
        for letter, expression in step.dynamic:
            if letter not in "GM":
                continue
            value = self.of(expression)
            number = -1 if value is None or value != value else code_of(value * 10 if letter == "G" else value)
            if number < 0:
                self._unknown(letter)
                step.doubtful = True
            elif letter == "G":
                step.gs = (*step.gs, number)
            else:
                step.ms = (*step.ms, number)
        step.dynamic = tuple(pair for pair in step.dynamic if pair[0] not in "GM")

    # ------------------------------------------------------------ assignments

    def assign(self, assigns: list[Assign]) -> None:
        """Assignments of one block: every value is read before one is written (NISTIR 6556, 3.3.2.1)."""
        self.store(assigns, self.read(assigns))

    def read(self, assigns: list[Assign]) -> list[tuple[int | str | None, Value]]:
        """The variable and the value of each assignment; None for a variable that does not exist."""
        return [self._read(assign) for assign in assigns]

    def assign_one(self, assign: Assign) -> None:
        """The only assignment of a block: the short way."""
        try:
            variable = assign.target.resolve(self.variables)
            if type(variable) is int and 0 < variable < _FIRST_SYSTEM:
                self.variables.write(variable, assign.value.evaluate(self.variables))
                return
        except MacroFault:
            pass  # told below
        self.assign([assign])

    def _read(self, assign: Assign) -> tuple[int | str | None, Value]:
        try:
            return assign.target.resolve(self.variables), assign.value.evaluate(self.variables)
        except MacroFault as fault:
            self._fault(str(fault))
        try:
            return assign.target.resolve(self.variables), NAN
        except MacroFault:
            return None, NAN

    def store(self, assigns: list[Assign], values: list[tuple[int | str | None, Value]]) -> None:
        """Writes what `read` gave."""
        for assign, (variable, value) in zip(assigns, values, strict=True):
            if variable is None:
                continue
            if isinstance(variable, int) and variable >= _FIRST_SYSTEM and self._system(assign, variable, value):
                continue
            try:
                self.variables.write(variable, value)
            except MacroFault as fault:
                self._fault(str(fault))

    def _system(self, assign: Assign, variable: int, value: Value) -> bool:
        """An assignment to a system variable that does something."""
        run = self._run
        if run.control.meaning.system_variables == "word_address" and variable in (ALARM, STOP):
            text = " ".join(c.text.strip() for c in run.unit.program.block(run.index - 1).comments)
            run.recorder.event("stop", run.control.block, code=f"#{variable}", value=text)
            if variable == ALARM:
                says = "the program raises an alarm of its own" + (f": {text}" if text else "") + "; it stops here"
                run.note("program-alarm", says, "see what the program checks before it", affects="flow", element=assign)
                run.stop()
            return True
        return self._registers.write(variable, value)

    # ------------------------------------------------------------------ notes

    def _fault(self, says: str) -> None:
        key = str(self._run.control.block)
        self._run.note("macro-fault", f"the control stops here: {says}", "mend the expression", affects="flow position", key=key)

    def _unknown(self, letter: str) -> None:
        says = f"the value of {letter} depends on a variable that is not known here"
        affects = letter.lower() if letter in AXES else ""
        self._run.note("unknown-value", says, "give the variable a value in the program", affects=affects, key=letter)

    def _unset_name(self, name: str) -> None:
        self._run.note("unknown-value", f"the variable #<{name}> is read before it is assigned", "assign it", key=name)
