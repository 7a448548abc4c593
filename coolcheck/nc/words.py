"""What one block asks of the control, as numbers: its G and M codes and the values of its other words.

Blocks of one shape share their plan, so a plain motion block costs one slice of the program's number column.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from coolcheck.nc.blocks import Assign, Block, Comment, Element, Flow, Label, Skip, Unread, Word
from coolcheck.nc.macros import Expression
from coolcheck.nc.program import Program, Shape
from coolcheck.nc.shapes import NO_SHAPE

AXES = "XYZABCUVW"
MOTION_LETTERS = frozenset("XYZFIJKR")
FOREIGN = 3  # letters without a number in a block that show that it is another language
MOTION_CODES = frozenset((0, 10, 20, 30))
_NO_LETTERS: frozenset[str] = frozenset()


def code_of(value: float) -> int:
    """A G or M number as it is looked up: times ten for G. -1 when it is no code."""
    return round(value) if math.isfinite(value) and abs(value) < 1e6 else -1


class Step:
    """One block, ready to be run.

    index : of the block in its program; gs : G codes times ten; ms : M codes
    values : the other words as written, NaN where a value is not known; lengths : the same with least increments resolved
    bare : letters whose number has no decimal point
    dynamic : words whose value is an expression; statements : assignments, flow, labels in the order written
    unread : parts that cannot be read; doubtful : the meaning of the block as a whole is not sure because of them
    skips : block-skip switch over a letter ("M8" for an M code), where one is written
    is_motion : nothing but motion words; is_statement : nothing but one assignment or flow statement; both take a short way
    """

    __slots__ = (
        "index", "gs", "ms", "values", "lengths", "bare", "dynamic", "fixed", "statements", "unread", "doubtful", "skips",
        "is_motion", "is_statement", "repeated", "messages", "names",
    )  # fmt: skip

    def __init__(self, index: int) -> None:
        self.index = index
        self.gs: tuple[int, ...] = ()
        self.ms: tuple[int, ...] = ()
        self.values: dict[str, float] = {}
        self.lengths: dict[str, float] = self.values
        self.bare: frozenset[str] = _NO_LETTERS
        self.dynamic: tuple[tuple[str, Expression], ...] = ()
        self.fixed: Mapping[str, float] = self.values
        self.statements: tuple[Assign | Flow | Label, ...] = ()
        self.unread: tuple[Unread | Word | Comment, ...] = ()
        self.doubtful = False
        self.skips: Mapping[str, int] = {}
        self.is_motion = False
        self.is_statement = False
        self.repeated: tuple[str, ...] = ()
        self.messages: tuple[str, ...] = ()
        self.names: Mapping[str, str] = {}

    @property
    def is_empty(self) -> bool:
        """Is there nothing to run?"""
        return not (self.gs or self.ms or self.values or self.dynamic or self.statements or self.unread or self.names)

    def names_axis(self) -> bool:
        """Does it hold an axis word?"""
        return any(letter in self.values for letter in AXES)


@dataclass(frozen=True, slots=True)
class Increments:
    """The decimal-point rule: letters that count least increments when written without a point."""

    letters: frozenset[str]
    millimetre: float
    inch: float

    def resolved(self, step: Step, inch: bool) -> dict[str, float]:
        """The values of a step with increments turned into units."""
        worth = self.inch if inch else self.millimetre
        letters = step.bare & self.letters
        return {letter: value * worth if letter in letters else value for letter, value in step.values.items()}


@dataclass(frozen=True, slots=True)
class Plan:
    """What all blocks of one shape have in common: codes, and which number belongs to which letter."""

    gs: tuple[int, ...]
    ms: tuple[int, ...]
    letters: tuple[tuple[str, int], ...]
    count: int
    is_motion: bool
    repeated: tuple[str, ...]


def plan_of(shape: Shape) -> Plan | None:
    """The plan of a shape; None when a word of it lacks its number, or a code hangs on a number that is not fixed."""
    gs: list[int] = []
    ms: list[int] = []
    letters: dict[str, int] = {}
    repeated: list[str] = []
    if not shape.is_plain:
        return None
    for letter, slot, fixed in zip(shape.letters, shape.slots, shape.fixed, strict=True):
        if letter in "GM":
            if slot >= 0:
                return None
            (gs if letter == "G" else ms).append(code_of(fixed * 10 if letter == "G" else fixed))
        elif slot < 0:
            return None
        elif letter != "N":
            if letter in letters:
                repeated.append(letter)
            letters[letter] = slot
    plain = not ms and not repeated and len(gs) <= 1 and MOTION_CODES.issuperset(gs) and MOTION_LETTERS.issuperset(letters)
    return Plan(tuple(gs), tuple(ms), tuple(letters.items()), sum(s >= 0 for s in shape.slots), plain, tuple(repeated))


class Steps:
    """The steps of one program file. Steps of blocks that come again, in loops and subprograms, are in `kept`."""

    KEPT = 100_000

    def __init__(self, program: Program, skip: frozenset[int], increments: bool) -> None:
        self._program = program
        self._skip = skip
        self._increments = increments  # only then a motion block needs to know which numbers have a point
        self._plans = [plan_of(shape) for shape in program.shapes]
        self.kept: dict[int, Step] = {}
        self.keeps = False  # set when blocks are known to come again

    def __getitem__(self, index: int) -> Step:
        found = self.kept.get(index)
        if found is not None:
            return found
        shape = int(self._program.shape_of[index])
        plan = self._plans[shape] if shape != NO_SHAPE else None
        step = self._planned(index, plan) if plan is not None else step_of(self._program.block(index), self._skip)
        if self.keeps and len(self.kept) < self.KEPT:
            self.kept[index] = step
        return step

    def _planned(self, index: int, plan: Plan) -> Step:
        step = Step(index)
        step.gs, step.ms, step.is_motion, step.repeated = plan.gs, plan.ms, plan.is_motion, plan.repeated
        first = int(self._program.first_number[index])
        numbers = self._program.numbers[first : first + plan.count].tolist()
        step.values = step.lengths = step.fixed = {letter: numbers[slot] for letter, slot in plan.letters}
        if self._increments or not plan.is_motion:
            points = self._program.has_point[first : first + plan.count].tolist()
            step.bare = frozenset(letter for letter, slot in plan.letters if not points[slot])
        return step


def step_of(block: Block, skip: frozenset[int]) -> Step:
    """The step of any block. What stands behind a block skip whose switch is in `skip` is left out."""
    step = Step(block.index)
    reader = _Elements(step, skip)
    for element in block.elements:
        if not reader.take(element):
            break
    reader.close()
    return step


class _Elements:
    """Takes the elements of one block into its step."""

    def __init__(self, step: Step, skip: frozenset[int]) -> None:
        self._step = step
        self._skip = skip
        self._gs: list[int] = []
        self._ms: list[int] = []
        self._values: dict[str, float] = {}
        self._bare: set[str] = set()
        self._dynamic: list[tuple[str, Expression]] = []
        self._statements: list[Assign | Flow | Label] = []
        self._unread: list[Unread | Word | Comment] = []
        self._skips: dict[str, int] = {}
        self._repeated: list[str] = []
        self._messages: list[str] = []
        self._names: dict[str, str] = {}
        self._switch = 0
        self._stray_end = -1

    def take(self, element: Element) -> bool:
        """Takes one element; False when the rest of the block is skipped."""
        if isinstance(element, Word):
            self._word(element)
        elif isinstance(element, Comment):
            self._comment(element)
        elif isinstance(element, Skip):
            self._switch = element.switch
            return element.switch not in self._skip
        elif isinstance(element, Assign | Flow | Label):
            self._statements.append(element)
            if self._switch:
                self._skips.setdefault("", self._switch)
        elif isinstance(element, Unread):
            self._unread_part(element)
        return True  # macro output statements move nothing

    def _word(self, word: Word) -> None:
        letter = word.letter
        if letter == "N":
            return
        if word.value is None and word.expression is None:
            self._stray(word)
            return
        if letter in "GM":
            self._code(word)
            return
        if letter in self._values or any(letter == known for known, _ in self._dynamic):
            self._repeated.append(letter)
        if word.value is None:
            assert word.expression is not None
            self._values.pop(letter, None)
            self._dynamic.append((letter, word.expression))
        else:
            self._dynamic = [pair for pair in self._dynamic if pair[0] != letter]
            self._values[letter] = word.value
            if word.has_point:
                self._bare.discard(letter)
            else:
                self._bare.add(letter)
        if self._switch:
            self._skips[letter] = self._switch

    def _code(self, word: Word) -> None:
        if word.value is None:
            assert word.expression is not None
            if word.expression.constant is None:
                self._dynamic.append((word.letter, word.expression))
                return
        value = word.value if word.value is not None else word.expression.constant  # type: ignore[union-attr]
        assert value is not None
        if word.letter == "G":
            self._gs.append(code_of(value * 10))
        else:
            self._ms.append(code_of(value))
            if self._switch:
                self._skips[f"M{self._ms[-1]}"] = self._switch

    def _stray(self, word: Word) -> None:
        if word.text:
            self._names[word.letter] = word.text
            return
        self._unread.append(word)
        self._stray_end = word.end
        if word.letter in "GM":
            self._step.doubtful |= word.letter == "G"
        else:
            self._values[word.letter] = math.nan

    def _comment(self, comment: Comment) -> None:
        if not comment.closed:
            self._unread.append(comment)
        text = comment.text.lstrip()
        if text[:4].upper() == "MSG,":
            self._messages.append(text[4:].strip())

    def _unread_part(self, part: Unread) -> None:
        """Which addresses it makes unknown. Without a letter, and not the tail of one, it casts doubt on the whole block."""
        self._unread.append(part)
        letters = {character for character in part.text.upper() if character.isalpha() and character.isascii()}
        follows_stray = part.start == self._stray_end
        for letter in letters & set(AXES + "IJKRFSTQP"):
            self._values[letter] = math.nan
        harmless = part.text.strip() in (")", "")
        if not harmless and (letters - set(AXES + "IJKRFSTQPN") or not (letters or follows_stray)):
            self._step.doubtful = True

    def _forget(self, strays: list[Word]) -> None:
        """A block in another language: it may have moved anything, and no number in it can be trusted."""
        texts = ("a word-address block: a letter and a number for each word",)
        self._unread = [Unread("", strays[0].start, strays[-1].end, texts)]
        self._values = {"X": math.nan, "Y": math.nan, "Z": math.nan}
        self._dynamic, self._repeated, self._names = [], [], {}
        self._step.doubtful = True

    def close(self) -> None:
        """Hands over what was taken."""
        step = self._step
        step.gs, step.ms = tuple(self._gs), tuple(self._ms)
        strays = [part for part in self._unread if isinstance(part, Word)]
        if sum(not word.with_o for word in strays) >= FOREIGN:
            self._forget(strays)
            step.gs = step.ms = ()
        for label in [s for s in self._statements if isinstance(s, Label) and s.name.startswith("<")]:
            if step.gs or step.ms:  # `M98 <NAME>`: the name of what is called, not of this program
                self._names["P"] = label.name
                self._statements.remove(label)
        step.values = step.lengths = step.fixed = self._values
        step.bare = frozenset(self._bare)
        step.dynamic = tuple(self._dynamic)
        step.statements, step.unread = tuple(self._statements), tuple(self._unread)
        step.skips, step.repeated, step.names = self._skips, tuple(self._repeated), self._names
        step.messages = tuple(self._messages)
        says_words = step.gs or step.ms or step.values or step.dynamic or step.unread or step.messages or step.names
        step.is_statement = (
            not says_words and len(step.statements) == 1 and not isinstance(step.statements[0], Label) and not step.skips
        )
        letters = {letter for letter, _ in step.dynamic}
        step.is_motion = (
            not (step.ms or step.statements or step.unread or step.repeated or step.messages or step.names)
            and len(step.gs) <= 1
            and MOTION_CODES.issuperset(step.gs)
            and MOTION_LETTERS.issuperset(step.values)
            and MOTION_LETTERS.issuperset(letters)
            and bool(step.gs or step.values or step.dynamic)
        )
