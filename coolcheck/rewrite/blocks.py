"""Edits within the text of one block: a word goes, a number changes, blocks come in before or behind it."""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from coolcheck.nc.blocks import Block, Comment, Tape, Word
from coolcheck.nc.program import Program
from coolcheck.rewrite.edit import Edit, ordered
from coolcheck.rewrite.habits import Habits, Numbering, learn

COMMENTS_BETWEEN = 4  # blocks without a word that may stand between an insertion and the block whose number counts


class Pen:
    """Writes edits on one program, in its own hand, for one mend and tool."""

    def __init__(self, program: Program, habits: Habits | None = None, numbering: Numbering | None = None) -> None:
        self.program = program
        self.habits = habits or learn(program)
        self.numbering = numbering or Numbering.of(program)
        self.mend = ""
        self.tool: int | None = None

    def for_mend(self, mend: str, tool: int | None) -> "Pen":
        """The same pen for another mend."""
        pen = Pen(self.program, self.habits, self.numbering)
        pen.mend, pen.tool = mend, tool
        return pen

    def edit(self, start: int, end: int, text: str, reason: str) -> Edit:
        """One edit; `text` holds one character a byte, as programs are read."""
        return Edit(start, end, text.encode("latin-1"), reason, self.mend, self.tool)

    def text(self, start: int, end: int) -> str:
        """A piece of the program, one character a byte."""
        return self.program.source.text[start:end].decode("latin-1")

    # ------------------------------------------------------------------ words

    def written(self, word: Word) -> str:
        """A word as it stands."""
        return self.text(word.start, word.end)

    def recoded(self, word: Word, code: int, reason: str) -> Edit:
        """A G or M word with another code of as many digits, leading zeros and blanks kept."""
        old = self.written(word)
        digits = str(round(word.value or 0))
        at = old.rindex(digits)
        return self.edit(word.start + at, word.start + at + len(digits), str(code), reason)

    def revalued(self, word: Word, value: float, reason: str, digits: int = 4) -> Edit:
        """The word with another value, written as the program writes such words."""
        text = self.habits.word(word.letter, value, digits=digits)
        address = self.written(word)[: len(word.letter)]
        return self.edit(word.start, word.end, address + text[len(word.letter) :], reason)

    def without(self, block: Block, words: Collection[Word], reason: str) -> list[Edit]:
        """The block without some of its words, each with the blanks before it; a block of nothing else goes altogether."""
        elements = sorted(block.elements, key=lambda element: element.start)
        gone = [element in words for element in elements]
        if all(g or (isinstance(e, Word) and e.letter == "N") for g, e in zip(gone, elements, strict=True)):
            return [self.without_block(block, reason)]
        edits: list[Edit] = []
        at = 0
        while at < len(elements):
            if not gone[at]:
                at += 1
                continue
            behind = at
            while behind < len(elements) and gone[behind]:
                behind += 1
            if at:
                start, end = elements[at - 1].end, elements[behind - 1].end
            else:
                start, end = elements[0].start, elements[behind].start
            edits.append(self.edit(start, end, "", reason))
            at = behind
        return edits

    def without_block(self, block: Block, reason: str) -> Edit:
        """The program without that block and its line end."""
        starts = self.program.source.starts
        last = block.index + 1 >= len(starts)
        return self.edit(block.start, len(self.program.source.text) if last else int(starts[block.index + 1]), "", reason)

    def with_word(self, block: Block, text: str, reason: str) -> Edit:
        """The block with one more word, behind its last word and before a comment."""
        at = max((e.end for e in block.elements if not isinstance(e, Comment | Tape)), default=block.start)
        return self.edit(at, at, (self.habits.gap if at > block.start else "") + text, reason)

    # ----------------------------------------------------------------- blocks

    def before(self, index: int, blocks: Sequence[Sequence[str]], reason: str) -> Edit:
        """New blocks before a block; `finished` writes them out."""
        return self._insertion(int(self.program.source.starts[index]), blocks, reason)

    def behind(self, index: int, blocks: Sequence[Sequence[str]], reason: str) -> Edit:
        """New blocks behind a block; `finished` writes them out."""
        source = self.program.source
        at = int(source.starts[index + 1]) if index + 1 < len(source) else len(source.text)
        return self._insertion(at, blocks, reason)

    def _insertion(self, at: int, blocks: Sequence[Sequence[str]], reason: str) -> Edit:
        lines = tuple(self.habits.gap.join(words) for words in blocks)
        return Edit(at, at, b"", reason, self.mend, self.tool, lines)

    def finished(self, edits: Iterable[Edit]) -> tuple[Edit, ...]:
        """The edits in order, new blocks written out: with free sequence numbers where their neighbours have some."""
        found: list[Edit] = []
        together: list[Edit] = []
        for edit in ordered(edits):
            if together and (not edit.lines or edit.start != together[0].start):
                found += self._written_out(together)
                together = []
            if edit.lines:
                together.append(edit)
            else:
                found.append(edit)
        return tuple(found + self._written_out(together))

    def _written_out(self, together: list[Edit]) -> list[Edit]:
        """Insertions at one place, numbered as one row."""
        if not together:
            return []
        source, at = self.program.source, together[0].start
        index = bisect_left(source.starts, at)  # the block before which they stand; behind the last for the end of the file
        count = sum(len(edit.lines) for edit in together)
        numbers = iter(self.numbering.between(self._number_before(index), self._number_from(index), count))
        end = self._line_end(index)
        is_behind_all = index >= len(source) and not source.line_end(len(source) - 1)
        written = []
        for edit in together:
            lines = [self.habits.numbered(line, next(numbers)) for line in edit.lines]
            text = "".join(end + line if is_behind_all else line + end for line in lines)
            written.append(replace(edit, text=text.encode("latin-1")))
        return written

    def _number_before(self, index: int) -> int | None:
        """The sequence number of the nearest block before that holds a word."""
        for at in range(index - 1, max(index - 1 - COMMENTS_BETWEEN, -1), -1):
            if self.program.block(at).words:
                return self._number(at)
        return None

    def _number_from(self, index: int) -> int | None:
        """The sequence number of the nearest block from there on that holds a word."""
        for at in range(index, min(index + COMMENTS_BETWEEN, len(self.program))):
            if self.program.block(at).words:
                return self._number(at)
        return None

    def _number(self, index: int) -> int | None:
        word = self.program.block(index).word("N")
        return int(word.value) if word is not None and word.value is not None and word.value == int(word.value) else None

    def _line_end(self, index: int) -> str:
        source = self.program.source
        for at in (index, index - 1, 0):
            if 0 <= at < len(source) and source.line_end(at):
                return source.line_end(at).decode("latin-1")
        return "\n"
