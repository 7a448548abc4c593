"""Notes on what could not be read: each fault once, however often its block runs."""

from coolcheck.nc.blocks import Comment, Unread, Word
from coolcheck.nc.notes import Notes
from coolcheck.nc.words import AXES, Step

_NAMES = {Unread: "unreadable-block", Word: "address-without-number", Comment: "unclosed-comment"}
_LONGEST = 40  # characters of the text that are shown


class ReadingNotes:
    """Tells the reading faults of steps as they come up."""

    def __init__(self, notes: Notes) -> None:
        self._notes = notes
        self._told: set[tuple[int, int]] = set()

    def tell(self, step: Step, block: int) -> None:
        """What is wrong with the block `block`, as far as reading goes."""
        for part, behind in zip(step.unread, (*step.unread, None)[1:], strict=True):
            if (block, part.start) in self._told:
                continue
            self._told.add((block, part.start))
            if isinstance(part, Unread):
                self._unread(part, block, "")
            elif isinstance(part, Comment):
                self._add(part, block, "this comment is not closed; it ends with its block", "close it with )", "", "")
            elif isinstance(behind, Unread) and part.end == behind.start:
                self._told.add((block, behind.start))  # one fault: a number that runs into something else
                self._unread(behind, block, part.letter)
            elif part.with_o:
                self._letter_o(part, block)
            else:
                affects = part.letter.lower() if part.letter in AXES else ""
                self._add(
                    part, block, f"{part.letter} has no number", "write its number, or leave it out", affects, f"{part.start}"
                )
        for letter in step.repeated:
            says = f"{letter} stands twice in a block; the last one counts"
            self._notes.add("repeated-address", block, says, "leave one of them out", key=letter)

    def _letter_o(self, word: Word, block: int) -> None:
        affects = word.letter.lower() if word.letter in AXES else ""
        says = f"the letter O stands among the digits of {word.letter}, where a zero is meant"
        span = (word.start, word.end)
        do = "write the digit 0"
        self._notes.add("letter-o-for-zero", block, says, do, affects=affects, key=f"{block} {word.start}", span=span)

    def _unread(self, part: Unread, block: int, address: str) -> None:
        affects = " ".join(letter for letter in "xyzabcf" if letter in (part.text + address).lower())
        text = part.text if len(part.text) <= _LONGEST else part.text[: _LONGEST - 3] + "..."
        if not text:
            affects = "position tool fluid"
        says = f"{repr(text) if text else 'this block'} cannot be read; expected: {', '.join(part.expected)}"
        do = "mend it; until the next full position what depends on it is unknown"
        self._add(part, block, says, do, affects, f"{part.start}")

    def _add(self, part: Unread | Word | Comment, block: int, says: str, do: str, affects: str, key: str) -> None:
        key = f"{block} {key}" if key else ""
        self._notes.add(_NAMES[type(part)], block, says, do, affects=affects, key=key, span=(part.start, part.end))
