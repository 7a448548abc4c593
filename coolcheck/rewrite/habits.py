"""How a program is written: blanks, case, decimals, code digits, N numbers. Inserted blocks are written the same way."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

import numpy as np

from coolcheck.nc.blocks import Block, Flow, Word
from coolcheck.nc.program import Program

LOOKED_AT = 4000  # blocks that are enough to know a hand by
_CODES = frozenset("GM")
_WHOLE = frozenset("GMNSTDHOLP")  # addresses that hold whole numbers by nature, or a time that has a form of its own
_CALLS = frozenset({97, 98, 99})  # M codes whose P names a program or a block
_JUMPS = frozenset({"goto", "if_goto"})

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Habits:
    """The hand of one program.

    gap : between two words; lower : letters in lower case
    point : how a whole length or feed is written: "10." | "10.0" | "10"; decimals : digits that are always written, 0 for none
    leading_zero : 0.5 rather than .5; code_digits : digits of a G and an M code at least
    number_gap : between the N number and the first word; number_width : digits of N at least
    must_point : addresses whose number without a point means something else in this dialect
    """

    gap: str = " "
    lower: bool = False
    point: str = "10."
    decimals: int = 0
    leading_zero: bool = False
    code_digits: tuple[int, int] = (1, 1)
    number_gap: str = " "
    number_width: int = 1
    must_point: frozenset[str] = frozenset()

    def word(self, letter: str, value: float, *, digits: int = 4) -> str:
        """An address with a value, as this program writes it; `digits` behind the point at most."""
        address = letter.lower() if self.lower else letter
        if letter in _CODES:
            return address + self._code(letter, value)
        if letter in _WHOLE and value == round(value):
            return address + str(round(value))
        return address + self.number(letter, value, digits)

    def number(self, letter: str, value: float, digits: int = 4) -> str:
        """A length or feed.

        >>> Habits().number("Z", -42.0), Habits().number("R", 0.5), Habits(decimals=3).number("X", 1.25)
        ('-42.', '.5', '1.250')
        """
        text = plain_decimal(value, max(digits, self.decimals))
        whole, _, fraction = text.partition(".")
        if self.decimals:
            fraction = fraction.ljust(self.decimals, "0")
        elif not fraction:
            return whole + {"10.": ".", "10.0": ".0"}.get(self.point, "." if letter in self.must_point else "")
        if whole in ("0", "-0") and not self.leading_zero:
            whole = whole.removesuffix("0")
        return f"{whole}.{fraction}"

    def _code(self, letter: str, value: float) -> str:
        least = self.code_digits[0 if letter == "G" else 1]
        return plain_decimal(value, 1) if value != round(value) else str(round(value)).zfill(least)

    def block(self, words: Sequence[str], number: int | None = None) -> str:
        """Words put together to a block, with a sequence number when one is given."""
        return self.numbered(self.gap.join(words), number)

    def numbered(self, text: str, number: int | None) -> str:
        """A block with a sequence number before it, when one is given."""
        if number is None:
            return text
        return f"{'n' if self.lower else 'N'}{str(number).zfill(self.number_width)}{self.number_gap}{text}"


def plain_decimal(value: float, digits: int) -> str:
    """The number without exponent and without zeros at its end.

    >>> plain_decimal(-0.00001, 3), plain_decimal(1e-5, 6), plain_decimal(120.0, 3)
    ('0', '0.00001', '120')
    """
    number = Decimal(repr(value)).quantize(Decimal(1).scaleb(-digits)).normalize()
    text = f"{number:f}"
    return "0" if text in ("-0", "0") else text


def learn(program: Program) -> Habits:
    """The habits of a program, each by majority of what stands in it."""
    seen = _Seen(program)
    dialect = program.dialect
    bare = any(factor != 1 for factor in dialect.meaning.bare_feed)
    must = (dialect.increment_letters if dialect.decimal_point == "least_increment" else frozenset()) | (
        frozenset("F") if bare else frozenset()
    )
    return Habits(
        gap=_most(seen.gaps, " "),
        lower=_most(seen.lower, False),
        point=_most(seen.points, "10."),
        decimals=seen.fixed_decimals(),
        leading_zero=_most(seen.leading_zero, False),
        code_digits=(2 if _most(seen.g_padded, False) else 1, 2 if _most(seen.m_padded, False) else 1),
        number_gap=_most(seen.number_gaps, _most(seen.gaps, " ")),
        number_width=_most(seen.number_widths, 1),
        must_point=must,
    )


def _most(counted: "Counter[T]", otherwise: T) -> T:
    return counted.most_common(1)[0][0] if counted else otherwise


class _Seen:
    """What was counted in the first blocks of a program."""

    def __init__(self, program: Program) -> None:
        self.gaps: Counter[str] = Counter()
        self.lower: Counter[bool] = Counter()
        self.points: Counter[str] = Counter()
        self.leading_zero: Counter[bool] = Counter()
        self.g_padded: Counter[bool] = Counter()
        self.m_padded: Counter[bool] = Counter()
        self.number_gaps: Counter[str] = Counter()
        self.number_widths: Counter[int] = Counter()
        self.fractions: Counter[int] = Counter()
        self._text = program.source.text
        for index in range(min(len(program), LOOKED_AT)):
            self._look(program.block(index))

    def _look(self, block: Block) -> None:
        words = block.words
        for word in words:
            if word.value is not None:
                self._look_at(word)
        for word, behind in zip(words, words[1:], strict=False):
            between = self._text[word.end : behind.start].decode("latin-1")
            if between.strip(" "):
                continue  # a comment or a tab stands between
            (self.number_gaps if word.letter == "N" else self.gaps)[between[:1]] += 1

    def _look_at(self, word: Word) -> None:
        text = self._text[word.start : word.end].decode("latin-1")
        digits = text[1:].strip().lstrip("+-")
        self.lower[text[0].islower()] += 1
        if word.letter in _CODES:
            if word.value is not None and word.value < 10:
                (self.g_padded if word.letter == "G" else self.m_padded)[digits.startswith("0") and len(digits) > 1] += 1
        elif word.letter == "N":
            self.number_widths[len(digits) if digits.startswith("0") else 1] += 1
        elif word.letter not in _WHOLE:
            self._look_at_number(digits)

    def _look_at_number(self, digits: str) -> None:
        whole, point, fraction = digits.partition(".")
        if point:
            self.fractions[len(fraction)] += 1
        if not fraction or not fraction.strip("0"):
            self.points["10" if not point else ("10.0" if fraction else "10.")] += 1
        if point and fraction.strip("0") and whole in ("", "0"):
            self.leading_zero[whole == "0"] += 1

    def fixed_decimals(self) -> int:
        """Digits behind the point when every number has the same count of them, and some end in a zero."""
        if len(self.fractions) != 1 or self.points.get("10.0", 0) == 0 or self.points.get("10", 0):
            return 0
        return next(iter(self.fractions))


@dataclass(frozen=True)
class Numbering:
    """Which sequence numbers are free. `is_computed`: some jump's target is computed, so no new number may come in."""

    taken: frozenset[int]
    is_computed: bool

    @classmethod
    def of(cls, program: Program) -> "Numbering":
        """The numbers in use, and those that a jump or a call could name although no block has them."""
        taken = _shaped_numbers(program)
        computed = False
        for index in program.unshaped.tolist():
            block = program.block(index)
            for target, is_jump in _targets(block):
                if target is not None:
                    taken.add(round(target))
                else:
                    computed |= is_jump
        return cls(frozenset(taken), computed)

    def between(self, low: int | None, high: int | None, count: int) -> tuple[int | None, ...]:
        """`count` free numbers between two neighbours, spread evenly; none at all when they do not fit."""
        nothing: tuple[int | None, ...] = (None,) * count
        if low is None or high is None or self.is_computed or high - low <= count:
            return nothing
        wanted = [low + round((high - low) * (at + 1) / (count + 1)) for at in range(count)]
        if len(set(wanted)) == count and all(low < n < high and n not in self.taken for n in wanted):
            return tuple(wanted)
        free = [n for n in range(low + 1, high) if n not in self.taken] if high - low < 100_000 else []
        return tuple(free[:count]) if len(free) >= count else nothing


def _shaped_numbers(program: Program) -> set[int]:
    """N, P and Q of the blocks that have a shape, in bulk: P and Q name blocks in some calls, so they are left alone too."""
    taken: set[int] = set()
    for number, shape in enumerate(program.shapes):
        for letter, slot, fixed in zip(shape.letters, shape.slots, shape.fixed, strict=True):
            if letter in "NPQ":
                blocks = np.flatnonzero(program.shape_of == number)
                values = program.numbers[program.first_number[blocks] + slot] if slot >= 0 else np.array([fixed])
                taken.update(np.unique(values[np.isfinite(values)]).astype(np.int64).tolist())
    return taken


def _targets(block: Block) -> list[tuple[float | None, bool]]:
    """Numbers that a block has or names; None where it is computed, and whether a jump could go there."""
    calls = any(word.letter == "M" and word.value in _CALLS for word in block.words)
    found: list[tuple[float | None, bool]] = [
        (word.value, calls) for word in block.words if word.letter in "NPQ" and (word.value is not None or word.expression)
    ]
    flows = (element for element in block.elements if isinstance(element, Flow) and element.kind in _JUMPS)
    return found + [(flow.label.constant if flow.label else None, True) for flow in flows]
