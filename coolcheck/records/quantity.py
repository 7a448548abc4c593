"""A number with its unit, as a person writes it, becomes an SI float; and back."""

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from coolcheck.records import units

# 8.5   .5   1e-3   1/4   1 1/4   1-1/4 ; not the 1 of `1/min`
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)(?:(?:(?P<whole>\d{1,9})(?:[ ]+|-))?(?P<top>\d{1,9})/(?P<bottom>\d{1,9})"
    r"|(?P<decimal>(?:\d{1,40}(?:\.\d{0,40})?|\.\d{1,40})(?:[eE][+-]?\d{1,4})?))"
)
_SHOWN = (("**2", "²"), ("**3", "³"), ("*", "·"), ("degC", "°C"), ("degF", "°F"), ("deg", "°"), ("percent", "%"), ("um", "µm"))


class NotAQuantity(ValueError):  # noqa: N818 - says what the text is
    """A text that is no quantity of the wanted dimension: `says` what is wrong, `do` what to write."""

    def __init__(self, says: str, do: str) -> None:
        super().__init__(says)
        self.says = says
        self.do = do


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity as read: its SI value, and the number and unit as written."""

    si: float
    number: float
    unit: str


def parse(text: str, dimension: str) -> Quantity:
    """The quantity that `text` states. Raises NotAQuantity.

    >>> parse("8.5 mm", "length").si
    0.0085
    >>> parse("1 1/4 in", "length").si
    0.03175

    Zero is the same in every unit of a length: it needs none. Of a temperature it is not.

    >>> parse("0", "length").si
    0.0
    """
    number, unit_text = _split(text, dimension)
    factors = units.unit(dimension, unit_text)
    if factors is None:
        raise NotAQuantity(*_no_such_unit(unit_text, dimension))
    return Quantity(float(number * factors.factor + factors.offset), float(number), unit_text)


def number(text: str) -> float:
    """The plain number that `text` states, without a unit. Raises NotAQuantity."""
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        raise NotAQuantity(f"`{text}` is no number", "write a plain number such as 0.25")
    return float(_value(found, text))


@cache
def shown(si: float, dimension: str, unit: str) -> float:
    """An SI value in `unit`, rounded to what a person wrote (12 digits).

    >>> shown(0.0085, "length", "mm")
    8.5
    """
    factors = units.unit(dimension, unit)
    if factors is None:
        raise LookupError(f"{unit!r} is no unit of {dimension}")
    exact = (Fraction(si) - factors.offset) / factors.factor
    return float(f"{float(exact):.12g}")


def pretty(unit: str) -> str:
    """A unit as people print it.

    >>> pretty("J/(kg*K)"), pretty("mm**2/s"), pretty("degC"), pretty("percent")
    ('J/(kg·K)', 'mm²/s', '°C', '%')
    """
    for plain, sign in _SHOWN:
        unit = unit.replace(plain, sign)
    return unit


def _split(text: str, dimension: str) -> tuple[Fraction, str]:
    kind = units.dimensions()[dimension]
    found = _NUMBER.match(text.strip())
    if found is None:
        raise NotAQuantity(f"`{text}` is no {dimension.replace('_', ' ')}", f"write a number and a unit: {_examples(dimension)}")
    rest = text.strip()[found.end() :].strip()
    if not rest:
        value = _value(found, text)
        if value == 0 and units.zero_needs_no_unit(dimension):
            return value, kind.usual[0]
        raise NotAQuantity(f"`{text}` has no unit; {kind.says} needs one", f"write the unit behind it: {_examples(dimension)}")
    if re.match(r",\d", rest):
        raise NotAQuantity(f"`{text}` has a decimal comma", "write a decimal point")
    return _value(found, text), rest


def _value(found: re.Match[str], text: str) -> Fraction:
    """The matched number, exactly; floats first, so that an exponent cannot make it huge."""
    sign = -1 if found["sign"] == "-" else 1
    if found["decimal"]:
        rough = float(found["decimal"])
        if not (rough == 0 or 1e-300 < rough < 1e300):
            raise NotAQuantity(f"`{text}` is out of any range", "write a number that the trade uses")
        return sign * Fraction(found["decimal"])
    if int(found["bottom"]) == 0:
        raise NotAQuantity(f"`{text}` divides by zero", "write a fraction such as 1/4")
    return sign * (int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"])))


def _examples(dimension: str) -> str:
    """`mm`, `in` or `m`: the units to offer."""
    usual = [f"`{pretty(unit)}`" for unit in units.dimensions()[dimension].usual]
    return usual[0] if len(usual) == 1 else ", ".join(usual[:-1]) + f" or {usual[-1]}"


def _no_such_unit(text: str, dimension: str) -> tuple[str, str]:
    name = units.spelled(text)
    wanted = units.dimensions()[dimension].says
    others = units.tabled(name)
    near = "" if others else nearest(name, units.spellings(dimension))
    if not others and not near:
        others = units.dimensions_of(text)
    if others:
        other = _bare(units.dimensions()[others[0]].says)
        return f"`{text}` is a unit of {other}; {wanted} is needed here", f"write it in {_examples(dimension)}"
    hint = f"did you mean `{pretty(near)}`? " if near else ""
    return f"`{text}` is no unit of {_bare(wanted)}", f"{hint}it may be {_examples(dimension)}"


def _bare(says: str) -> str:
    return says.removeprefix("a ").removeprefix("an ")


def nearest(word: str, words: Iterable[str]) -> str:
    """The nearest known spelling, or "" when none is near.

    >>> nearest("frm", ("form", "size")), nearest("xyz", ("form", "size"))
    ('form', '')
    """
    by_case: dict[str, str] = {}
    for known in words:
        by_case.setdefault(known.casefold(), known)
    if word.casefold() in by_case:
        return by_case[word.casefold()]
    cutoff = 0.6 if len(word) > 3 else 0.5  # one letter of two is enough
    near = difflib.get_close_matches(word.casefold(), list(by_case), n=1, cutoff=cutoff)
    return by_case[near[0]] if near else ""
