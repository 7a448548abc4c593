"""What a block is made of. A `Block` is read-only and can say where each of its parts stands in the file."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from coolcheck.nc.macros import Expression, Target


@dataclass(frozen=True, slots=True)
class Word:
    """An address and its value. `start` and `end` are byte offsets in the file.

    Exactly one of `value` and `expression` is given; neither is for an address without a number (`stray`).
    `has_point` says whether the number was written with a decimal point: the dialect decides what that means.
    Letters are upper case; `,R` and `,C` keep their comma. `text` is the name in `T="NAME"`, without the quotes.
    `with_o` says that the letter O stands among the digits: the word has no value then.
    """

    letter: str
    value: float | None
    expression: Expression | None
    has_point: bool
    start: int
    end: int
    text: str = ""
    with_o: bool = False


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment, its text without the marks. `closed` is False when the block ended before the closing mark."""

    text: str
    start: int
    end: int
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Skip:
    """Optional block skip. It covers what stands behind it in the block; `switch` is 1 where no number is written."""

    switch: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Tape:
    """A `%` and what stands behind it on its line: rewind or end of tape."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Output:
    """A macro output statement (DPRNT and the like): it moves nothing."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Label:
    """A program number or name: `O1234` and `:1234` give "1234" (leading zeros gone), `<NAME>` gives "<name>"."""

    name: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Assign:
    """`#n = expression`."""

    target: Target
    value: Expression
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Flow:
    """A flow statement.

    `kind`: goto, if_goto, if_then, while_do, do, end (number in `label`); in O-word dialects sub, endsub, call, return, if,
    elseif, else, endif, while, endwhile, do_while, repeat, endrepeat, break, continue (O name in `name`).
    `condition` is the tested or counted expression, `label` the GOTO target or DO number, `arguments` those of a call,
    `then` the assignment behind THEN.
    """

    kind: str
    start: int
    end: int
    name: str = ""
    condition: Expression | None = None
    label: Expression | None = None
    arguments: tuple[Expression, ...] = ()
    then: Assign | None = None


@dataclass(frozen=True, slots=True)
class Unread:
    """Bytes that the grammar does not know; `expected` lists what could have stood there. They are kept, not guessed at."""

    text: str
    start: int
    end: int
    expected: tuple[str, ...]


Element: TypeAlias = Word | Comment | Skip | Tape | Label | Assign | Flow | Output | Unread


@dataclass(frozen=True, slots=True)
class Block:
    """One block: what stands from one end of block to the next. `start` and `end` (before the line end) are byte offsets."""

    index: int
    start: int
    end: int
    elements: tuple[Element, ...]

    @property
    def words(self) -> tuple[Word, ...]:
        """Its words in the order written, the sequence number too."""
        return tuple(e for e in self.elements if isinstance(e, Word))

    def word(self, letter: str) -> Word | None:
        """The last word of that address, or None."""
        found = None
        for element in self.elements:
            if isinstance(element, Word) and element.letter == letter:
                found = element
        return found

    @property
    def comments(self) -> tuple[Comment, ...]:
        """Its comments in the order written."""
        return tuple(e for e in self.elements if isinstance(e, Comment))

    def unread(self) -> Iterator[Unread]:
        """The parts that could not be read."""
        return (e for e in self.elements if isinstance(e, Unread))
