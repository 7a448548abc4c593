"""The variables of a running program: local, common, named, and the system variables that a program can be followed through.

NaN is a value that the control has and we do not know; None is vacant.
"""

from collections.abc import Callable
from math import inf, nan
from typing import Protocol, TypeVar

from coolcheck.nc.macros import MacroFault, Value
from coolcheck.nc.semantics import Semantics

Key = TypeVar("Key", int, str)
COMMON_END = 1000  # word-address controls: #100 to #999 are common, system variables begin behind
NGC_SYSTEM = 5061  # RS274/NGC, table 2: parameters with a meaning begin here
NGC_LAST = 5413


class Registers(Protocol):
    """What the control tells through system variables, in the units of the program; NaN where not known."""

    def system_value(self, number: int) -> Value:
        """The value of a system variable."""
        ...


class MacroVariables:
    """All variables. `locals` are those of the running call, `names` its named ones; `changes` counts real changes."""

    def __init__(self, meaning: Semantics, registers: Registers) -> None:
        self._last_local = meaning.local_variables
        self._kept_from = meaning.kept_variables or inf
        self._empty: Value = None if meaning.vacant else 0.0
        self._system_from = COMMON_END if meaning.system_variables == "word_address" else NGC_SYSTEM
        self._is_ngc = meaning.system_variables == "rs274"
        self._registers = registers
        self._common: dict[int, Value] = {}
        self._global_names: dict[str, Value] = {}
        self.locals: dict[int, Value] = {}
        self.names: dict[str, Value] = {}
        self.changes = 0
        self.reads_system = False
        self.on_unset_name: Callable[[str], None] = lambda name: None

    def read(self, variable: int | str) -> Value:
        """The value of a variable by number or name."""
        if isinstance(variable, str):
            return self._named(variable)
        if variable <= self._last_local:
            return self.locals.get(variable, self._empty) if variable else self._empty
        if variable < self._system_from or variable in self._common:
            return self._common.get(variable, self._empty if variable < self._kept_from else nan)
        self.reads_system = True
        return self._registers.system_value(variable)

    def _named(self, name: str) -> Value:
        names = self._global_names if name.startswith("_") else self.names
        if name in names:
            return names[name]
        if not name.startswith("_"):
            self.on_unset_name(name)
        return nan  # a predefined name of the control, or one that is not set: not known here

    def write(self, variable: int | str, value: Value) -> None:
        """Assigns; #0 cannot be written."""
        if isinstance(variable, str):
            self._put(self._global_names if variable.startswith("_") else self.names, variable, value)
        elif variable == 0:
            raise MacroFault("#0 cannot be assigned")
        elif variable <= self._last_local:
            self._put(self.locals, variable, value)
        else:
            if self._is_ngc and variable > NGC_LAST:
                raise MacroFault(f"there is no variable #{variable}")
            self._put(self._common, variable, value)

    def _put(self, table: dict[Key, Value], key: Key, value: Value) -> None:
        if table.get(key, nan) != value:
            self.changes += 1
        table[key] = value
