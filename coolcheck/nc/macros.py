"""Expressions of parametric programs, ready to be evaluated.

A value is a float; None is a vacant variable; NaN is a value that exists on the control but is not known here (a system
variable, say), and makes unknown what is computed from it. Expressions are closures over a fixed set of operators: no text
of a program is ever executed.
"""

import math
import operator as python
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import Any, Protocol

Value = float | None
VARIABLES_END = 1_000_000  # no control has a variable with such a number, or behind it


class Variables(Protocol):
    """The variables of a running program. Numbers are the # numbers, names those in angle brackets, lower case."""

    def read(self, variable: int | str) -> Value:
        """The value; None when vacant, NaN when it cannot be known here."""
        ...

    def write(self, variable: int | str, value: Value) -> None:
        """Assign `value`."""
        ...


class MacroFault(Exception):
    """The control would stop at this expression. The message says why."""


Evaluate = Callable[[Variables], Value]


@dataclass(frozen=True, slots=True)
class Expression:
    """An expression. `text` is how it is written, `constant` its value when it has no variable in it."""

    evaluate: Evaluate = field(compare=False)
    text: str
    constant: Value = None


@dataclass(frozen=True, slots=True)
class Target:
    """What an assignment assigns to: a variable, its number perhaps computed."""

    number: Evaluate | None = field(compare=False)
    name: str
    text: str
    fixed: int | None = None  # its number when that is written as digits

    def resolve(self, variables: Variables) -> int | str:
        """The number or the name. Raises MacroFault when the number is no whole number or not known."""
        if self.fixed is not None:
            return self.fixed
        if self.number is None:
            return self.name
        return variable_number(self.number(variables))


@dataclass(frozen=True, slots=True)
class Arithmetic:
    """How one family of controls calculates. Rows of the dialect record.

    precedence : operators from those that bind tightest; within one row from left to right
    fix : "floor" or "toward_zero", for FIX and FUP
    logic : "truth" gives 0 or 1, "bits" works on whole numbers
    same_within : how near two numbers must be to be equal [-]
    """

    precedence: tuple[tuple[str, ...], ...] = (
        ("**",),
        ("*", "/", "MOD", "AND"),
        ("+", "-", "OR", "XOR"),
        ("EQ", "NE", "GT", "GE", "LT", "LE"),
    )
    fix: str = "toward_zero"
    logic: str = "truth"
    same_within: float = 0.0


def variable_number(value: Value) -> int:
    """The number of a variable from a computed value. Raises MacroFault when there is no such number."""
    if value is None or not isfinite(value) or abs(value - round(value)) > 1e-4 or not 0 <= value < VARIABLES_END:
        raise MacroFault(f"there is no variable #{'(vacant)' if value is None else f'{value:g}'}")
    return round(value)


class constant:  # noqa: N801  (makes an `Evaluate`, as the functions beside it do)
    """Always `value`, which a program writes as digits."""

    __slots__ = ("value",)

    def __init__(self, value: float) -> None:
        self.value = value

    def __call__(self, variables: Variables) -> Value:
        return self.value


def numbered(number: Evaluate, fixed: int | None) -> Evaluate:
    """The value of a variable by its number, `fixed` when it is written as digits."""
    if fixed is not None:
        return lambda variables: variables.read(fixed)
    return lambda variables: variables.read(variable_number(number(variables)))


def named(name: str) -> Evaluate:
    """The value of a variable by its name."""
    return lambda variables: variables.read(name)


def negated(operand: Evaluate) -> Evaluate:
    """Minus the operand; vacant counts as zero."""

    def evaluate(variables: Variables) -> Value:
        return -(operand(variables) or 0.0)

    return evaluate


def combined(operands: Sequence[Evaluate], operators: Sequence[str], how: Arithmetic) -> Evaluate:
    """A flat row of operands and operators, ordered as the dialect orders them."""
    values, between = list(operands), [operator.upper() for operator in operators]
    for row in how.precedence:
        at = 0
        while at < len(between):
            if between[at] in row:
                values[at : at + 2] = [_binary(between.pop(at), values[at], values[at + 1], how)]
            else:
                at += 1
    if between:
        raise ValueError(f"the dialect record gives no place to the operator {between[0]}")
    return values[0]


def _binary(operator: str, left: Evaluate, right: Evaluate, how: Arithmetic) -> Evaluate:
    if operator in ("EQ", "NE"):
        return _equality(left, right, how.same_within, operator == "NE")
    work = (_BITS if how.logic == "bits" else _TRUTHS)[operator] if operator in ("AND", "OR", "XOR") else _OPERATORS[operator]

    if isinstance(right, constant) and right.value == right.value:
        return _with_digits(work, left, right.value)

    def evaluate(variables: Variables) -> Value:
        a, b = left(variables) or 0.0, right(variables) or 0.0
        if a != a or b != b:
            return math.nan
        result = work(a, b)
        if isfinite(result):
            return result
        raise MacroFault(_TOO_LARGE)

    return evaluate


def _with_digits(work: Callable[[float, float], float], left: Evaluate, b: float) -> Evaluate:
    """The short way where the right operand is written as digits, as in the counters of most loops."""

    def evaluate(variables: Variables) -> Value:
        a = left(variables) or 0.0
        if a != a:
            return math.nan
        result = work(a, b)
        if isfinite(result):
            return result
        raise MacroFault(_TOO_LARGE)

    return evaluate


def _equality(left: Evaluate, right: Evaluate, within: float, differs: bool) -> Evaluate:
    def evaluate(variables: Variables) -> Value:
        a, b = left(variables), right(variables)
        if a is None or b is None:  # a vacant variable equals only a vacant variable
            return float((a is b) != differs)
        if a != a or b != b:
            return math.nan
        return float((abs(a - b) <= within) != differs)

    return evaluate


_TOO_LARGE = "the result is too large to be a number"


def _divided(a: float, b: float) -> float:
    if b == 0.0:
        raise MacroFault("division by zero")
    return a / b


def _power(a: float, b: float) -> float:
    try:
        result: float = a**b
    except (OverflowError, ZeroDivisionError) as fault:
        raise MacroFault(f"{a:g} to the power {b:g} is no number") from fault
    if isinstance(result, complex):
        raise MacroFault("a negative number to a power that is not whole")
    return result


def _remainder(a: float, b: float) -> float:
    if b == 0.0:
        raise MacroFault("MOD by zero")
    return a % abs(b)


def _whole(value: float) -> int:
    return round(value)


_OPERATORS: Mapping[str, Callable[[float, float], float]] = {
    "+": python.add,
    "-": python.sub,
    "*": python.mul,
    "/": _divided,
    "**": _power,
    "MOD": _remainder,
    "GT": lambda a, b: 1.0 if a > b else 0.0,
    "GE": lambda a, b: 1.0 if a >= b else 0.0,
    "LT": lambda a, b: 1.0 if a < b else 0.0,
    "LE": lambda a, b: 1.0 if a <= b else 0.0,
}
_TRUTHS: Mapping[str, Callable[[float, float], float]] = {
    "AND": lambda a, b: float(bool(a) and bool(b)),
    "OR": lambda a, b: float(bool(a) or bool(b)),
    "XOR": lambda a, b: float(bool(a) != bool(b)),
}
_BITS: Mapping[str, Callable[[float, float], float]] = {
    "AND": lambda a, b: float(_whole(a) & _whole(b)),
    "OR": lambda a, b: float(_whole(a) | _whole(b)),
    "XOR": lambda a, b: float(_whole(a) ^ _whole(b)),
}


def function(name: str, arguments: Sequence[Evaluate], how: Arithmetic) -> Evaluate:
    """A function of its arguments; angles are in degrees. Raises ValueError when it takes another number of them."""
    name = name.upper()
    if name in _FUNCTIONS_OF_TWO and len(arguments) == 2:
        return _of_two(name, _FUNCTIONS_OF_TWO[name], *arguments)
    if len(arguments) != 1:
        raise ValueError(f"{name} does not take {len(arguments)} arguments")
    if name in ("FIX", "FUP"):
        return _of_one(name, _FIX[how.fix, name], *arguments)
    if name in _FUNCTIONS:
        return _of_one(name, _FUNCTIONS[name], *arguments)
    raise ValueError(f"{name} takes two arguments")


def _of_one(name: str, work: Callable[[float], float], argument: Evaluate) -> Evaluate:
    def evaluate(variables: Variables) -> Value:
        value = argument(variables) or 0.0
        if value != value:
            return math.nan
        try:
            result = float(work(value))  # a whole number of Python would grow without end
        except (ValueError, OverflowError) as fault:
            raise MacroFault(f"{name} of {value:g} is no number") from fault
        if isfinite(result):
            return result
        raise MacroFault(_TOO_LARGE)

    return evaluate


def _of_two(name: str, work: Callable[[float, float], float], first: Evaluate, second: Evaluate) -> Evaluate:
    def evaluate(variables: Variables) -> Value:
        a, b = first(variables) or 0.0, second(variables) or 0.0
        if a != a or b != b:
            return math.nan
        try:
            result = float(work(a, b))
        except (ValueError, OverflowError) as fault:
            raise MacroFault(f"{name} of {a:g}, {b:g} is no number") from fault
        if isfinite(result):
            return result
        raise MacroFault(_TOO_LARGE)

    return evaluate


def _round(value: float) -> float:
    return math.copysign(math.floor(abs(value) + 0.5), value)


def _from_bcd(value: float) -> float:
    return float(int(f"{_whole(value):x}"))


def _to_bcd(value: float) -> float:
    return float(int(str(_whole(value)), 16))


_FUNCTIONS: Mapping[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda a: math.degrees(math.acos(a)),
    "ASIN": lambda a: math.degrees(math.asin(a)),
    "ATAN": lambda a: math.degrees(math.atan(a)),
    "COS": lambda a: math.cos(math.radians(a)),
    "EXP": math.exp,
    "LN": math.log,
    "ROUND": _round,
    "SIN": lambda a: math.sin(math.radians(a)),
    "SQRT": math.sqrt,
    "TAN": lambda a: math.tan(math.radians(a)),
    "BIN": _from_bcd,
    "BCD": _to_bcd,
    "ADP": lambda a: a,  # adds a decimal point on the control; the number stays
    "NOT": lambda a: float(not a),
    "EXISTS": lambda a: 1.0,
}
_FUNCTIONS_OF_TWO: Mapping[str, Callable[[float, float], float]] = {
    "ATAN": lambda a, b: math.degrees(math.atan2(a, b)),
    "POW": _power,
}
_FIX: Mapping[tuple[str, str], Callable[[float], Any]] = {
    ("floor", "FIX"): math.floor,
    ("floor", "FUP"): math.ceil,
    ("toward_zero", "FIX"): math.trunc,
    ("toward_zero", "FUP"): lambda a: math.copysign(math.ceil(abs(a)), a),
}
