"""One NC program file, read: its blocks by shape, its labels and sequence numbers."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from coolcheck.nc.blocks import Block, Comment, Element, Flow, Label, Skip, Tape, Unread, Word
from coolcheck.nc.dialect import Dialect
from coolcheck.nc.reader import BlockReader, reader_of, shifted
from coolcheck.nc.shapes import MARK, NO_SHAPE, Shaped, find_shapes
from coolcheck.nc.source import Source
from coolcheck.place import Place

LONGEST_BLOCK = 20_000  # bytes; what is longer is no block that a control takes, and is reported unread


@dataclass(frozen=True)
class Shape:
    """The elements that all blocks of one shape share.

    slots : for each word in order, the index of its number among the block's numbers, or -1 when the number is in the shape
    is_plain : nothing but words, each with a value; then `letters` and `fixed` (the value where the slot is -1) tell all
    """

    text: bytes
    elements: tuple[Element, ...]
    letters: tuple[str, ...]
    slots: tuple[int, ...]
    fixed: tuple[float, ...]
    is_plain: bool


@lru_cache(maxsize=10_000)  # the programs of one post-processor are made of the same shapes
def template(reader: BlockReader, text: bytes) -> Shape | None:
    """The shape as the grammar reads it, or None when a number of it is not exactly the number of one word."""
    elements = reader.parse(text.replace(bytes([MARK]), b"1").decode("latin-1"))
    marks = [at for at, byte in enumerate(text) if byte == MARK]
    words = [e for e in elements if isinstance(e, Word)]
    slots = []
    for word in words:
        inside = [at for at in marks if word.start <= at < word.end]
        if word.value is None and word.expression is None and not inside:
            slots.append(-1)
        elif len(inside) > 1 or (inside and (inside[0] != word.end - 1 or word.expression is not None)):
            return None
        else:
            slots.append(marks.index(inside[0]) if inside else -1)
    if sorted(slot for slot in slots if slot >= 0) != list(range(len(marks))):
        return None
    if not all(isinstance(e, Word) and not e.with_o for e in elements):
        return None
    is_plain = all(word.value is not None for word in words)
    fixed = tuple(np.nan if word.value is None else word.value for word in words)
    return Shape(text, elements, tuple(w.letter for w in words), tuple(slots), fixed, is_plain)


class Program:
    """A program file. `block(i)` gives any block; `shape_of`, `first_number`, `numbers` and `has_point` serve bulk work."""

    def __init__(self, source: Source, dialect: Dialect) -> None:
        self.source = source
        self.dialect = dialect
        self._reader = reader_of(dialect.o_words, dialect.arithmetic)
        shaped = find_shapes(source.bytes, source.starts, source.ends)
        self._shape_numbers(shaped)
        self._cache: dict[int, Block] = {}
        self._by_text: dict[bytes, tuple[Element, ...]] = {}

    @classmethod
    def read(cls, data: bytes, name: str, dialect: Dialect) -> "Program":
        """The program in `data`. Never raises for what stands in it: what cannot be read is an `Unread` element."""
        return cls(Source(data, name), dialect)

    def _shape_numbers(self, shaped: Shaped) -> None:
        """Keeps the shapes that the grammar reads number by number; the blocks of the others are parsed one by one."""
        self.numbers: NDArray[np.float64] = shaped.values
        self.has_point: NDArray[np.bool_] = shaped.has_point
        self.first_number: NDArray[np.int32] = shaped.first
        self.shapes: list[Shape] = []
        renumbered = np.full(len(shaped.texts) + 1, NO_SHAPE, dtype=np.int32)  # the last entry serves NO_SHAPE itself
        for number, text in enumerate(shaped.texts):
            shape = template(self._reader, text)
            if shape is not None:
                renumbered[number] = len(self.shapes)
                self.shapes.append(shape)
        self.shape_of: NDArray[np.int32] = renumbered[shaped.shape]

    def __len__(self) -> int:
        return len(self.source)

    def block(self, index: int) -> Block:
        """The block at `index`, from 0."""
        found = self._cache.get(index)
        if found is not None:
            return found
        start, end = int(self.source.starts[index]), int(self.source.ends[index])
        shape = int(self.shape_of[index])
        if shape != NO_SHAPE:
            return Block(index, start, end, self._filled(self.shapes[shape], index, start))
        block = Block(index, start, end, shifted(self._parsed(self.source.text[start:end]), start))
        self._cache[index] = block
        return block

    def _parsed(self, text: bytes) -> tuple[Element, ...]:
        elements = self._by_text.get(text)
        if elements is None:
            if len(text) > LONGEST_BLOCK:
                return (Unread("", 0, len(text), (f"a block of at most {LONGEST_BLOCK} characters",)),)
            elements = self._by_text[text] = self._reader.parse(text.decode("latin-1"))
        return elements

    def _filled(self, shape: Shape, index: int, start: int) -> tuple[Element, ...]:
        """The shape's words with this block's numbers and offsets."""
        first = int(self.first_number[index])
        words: list[Element] = []
        text, at = self.source.text, start
        grown = start  # offset in the file of offset 0 of the shape, as its numbers grow to their full length
        for word, slot in zip(shape.elements, shape.slots, strict=True):
            assert isinstance(word, Word)
            begin, stop = word.start + grown, word.end + grown
            if slot < 0:
                words.append(Word(word.letter, word.value, None, word.has_point, begin, stop))
                continue
            at = stop - 1  # where the number begins
            while stop < len(text) and text[stop] in b"0123456789.+-":
                stop += 1
            grown += stop - at - 1
            number = first + slot
            words.append(Word(word.letter, float(self.numbers[number]), None, bool(self.has_point[number]), begin, stop))
        return tuple(words)

    def place(self, index: int, element: Element | None = None) -> Place:
        """Where that block, or one element of it, stands."""
        if element is not None:
            return self.source.lines.place(element.start, element.end)
        return self.source.lines.whole(index, int(self.source.ends[index]))

    def text(self, index: int) -> str:
        """The block as written, one character a byte."""
        return self.source.text[int(self.source.starts[index]) : int(self.source.ends[index])].decode("latin-1")

    @cached_property
    def unshaped(self) -> NDArray[np.int64]:
        """The blocks that have no shape: with comments, macros, labels, faults."""
        return np.flatnonzero(self.shape_of == NO_SHAPE)

    def comments(self) -> Iterator[tuple[int, Comment]]:
        """Every comment with the index of its block, in order."""
        for index in self.unshaped.tolist():
            for comment in self.block(index).comments:
                yield index, comment

    def unread(self) -> Iterator[tuple[int, Unread]]:
        """Everything that could not be read, with the index of its block."""
        for index in self.unshaped.tolist():
            for part in self.block(index).unread():
                yield index, part

    @cached_property
    def _tapes(self) -> list[int]:
        """Blocks that hold nothing but a tape mark."""
        marked = []
        for index in self.unshaped.tolist():
            elements = self.block(index).elements
            if elements and isinstance(elements[0], Tape):
                marked.append(index)
        return marked

    @cached_property
    def first_block(self) -> int:
        """The first block that runs: behind the first tape mark when only a leader stands before it."""
        if self._tapes and not any(self._has_words(i) for i in range(self._tapes[0])):
            return self._tapes[0] + 1
        return 0

    @cached_property
    def end_block(self) -> int:
        """Behind the last block that is read: the closing tape mark, or the end of the file."""
        closing = [tape for tape in self._tapes if tape >= self.first_block]
        return closing[0] if closing else len(self)

    def behind_the_end(self) -> int | None:
        """The first block behind the closing tape mark in which something stands that a control would run; None without one."""
        marks = set(self._tapes)
        behind = (index for index in range(self.end_block, len(self)) if index not in marks)
        return next((index for index in behind if self._has_words(index)), None)

    def _has_words(self, index: int) -> bool:
        """Does that block say something a control would run: a word with a value, a label, a statement?"""
        elements = self.block(index).elements
        if any(isinstance(e, Unread) for e in elements):
            return False
        words = [e for e in elements if isinstance(e, Word)]
        says_more = any(not isinstance(e, Word | Comment | Skip) for e in elements)
        return says_more or any(word.value is not None or word.expression is not None for word in words)

    @cached_property
    def _labels(self) -> dict[str, int]:
        found: dict[str, int] = {}
        for index in self.unshaped.tolist():
            block = self.block(index)
            calls = block.word("M") is not None or block.word("G") is not None  # `M98 <NAME>` calls, it names nothing here
            for element in block.elements:
                if (isinstance(element, Label) and not (calls and element.name.startswith("<"))) or (
                    isinstance(element, Flow) and element.kind == "sub"
                ):
                    found.setdefault(element.name, index)
        return found

    def labels(self) -> dict[str, int]:
        """Program numbers and names ("1234", "<name>") and the block where each starts; O-word subs by their name."""
        return self._labels

    @cached_property
    def _sequence(self) -> dict[float, list[int]]:
        numbers: dict[float, list[int]] = {}
        for shape_number, shape in enumerate(self.shapes):
            if "N" not in shape.letters:
                continue
            slot = shape.slots[shape.letters.index("N")]
            blocks = np.flatnonzero(self.shape_of == shape_number)
            values = self.numbers[self.first_number[blocks] + slot]
            for block, value in zip(blocks.tolist(), values.tolist(), strict=True):
                numbers.setdefault(value, []).append(block)
        for index in self.unshaped.tolist():
            word = self.block(index).word("N")
            if word is not None and word.value is not None:
                numbers.setdefault(word.value, []).append(index)
        return numbers

    def sequence(self, number: float) -> tuple[int, ...]:
        """The blocks with that sequence number, in order."""
        return tuple(sorted(self._sequence.get(number, ())))
