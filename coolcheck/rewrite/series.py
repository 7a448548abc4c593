"""Which word of the program starts the cycle that makes a hole, and which blocks belong to that cycle."""

from collections.abc import Iterable
from dataclasses import dataclass

from coolcheck.nc.blocks import Block, Word
from coolcheck.rewrite.layout import Layout, is_call
from coolcheck.rewrite.refusal import CannotPlan

PECKS = frozenset({73.0, 83.0})
_MOTION = frozenset({0.0, 1.0, 2.0, 3.0, 33.0, 33.1, 80.0, *map(float, range(73, 90))}) - {75.0, 77.0, 78.0, 79.0}
_CYCLE_WORDS = frozenset("QIJKF")
_ENDS = frozenset({2.0, 30.0, 99.0})
OTHER_FILE = "the cycle stands in a file of its own, which other programs may call"
POSITIONS_ELSEWHERE = "the positions of these holes stand in a file of its own, which other programs may call with other cycles"


@dataclass(frozen=True, slots=True)
class Series:
    """One cycle word, the holes that are drilled under it, and the blocks whose words may be the cycle's."""

    block: int
    holes: tuple[int, ...]
    blocks: tuple[int, ...]


def series_of(layout: Layout, holes: Iterable[int]) -> tuple[Series, ...]:
    """The series that make these holes. Raises CannotPlan when a series also makes others, or cannot be told."""
    wanted = set(holes)
    made: dict[int, list[int]] = {}
    known: dict[tuple[int, ...], int] = {}
    starts: dict[int, int] = {}
    table = layout.execution.cycle_holes
    for hole in range(len(table)):
        if layout.execution.cycles[int(table.cycle[hole])].code not in PECKS:
            continue
        stack = (*layout.stack(layout.before_move(int(table.first[hole]))), int(table.block[hole]))
        if stack not in known:
            try:
                known[stack] = _start(layout, stack, starts)
            except CannotPlan:
                if hole in wanted:
                    raise
                known[stack] = -1
        made.setdefault(known[stack], []).append(hole)
    found = []
    for block, all_holes in sorted(made.items()):
        chosen = [hole for hole in all_holes if hole in wanted]
        if chosen and len(chosen) != len(all_holes):
            raise CannotPlan("the same cycle block also drills holes that are not to be converted", block=block)
        if chosen:
            found.append(Series(block, tuple(chosen), _blocks(layout, block, chosen)))
    return tuple(found)


def cycle_word(block: Block) -> Word | None:
    """The word that starts a peck cycle in this block."""
    return next((word for word in block.words if word.letter == "G" and word.value in PECKS), None)


def has_motion_code(block: Block) -> bool:
    """Has the block a code of the motion group: it starts or ends a cycle."""
    return any(word.letter == "G" and word.value in _MOTION for word in block.words)


def _start(layout: Layout, stack: tuple[int, ...], starts: dict[int, int]) -> int:
    """The block whose word starts the cycle that the innermost block of `stack` runs: looked for upwards, then in the caller.

    `starts` remembers what was found for blocks before: a series may have many.
    """
    for block in reversed(stack):
        if not layout.is_own(block):
            says = OTHER_FILE if _has_own_cycle(layout, block) else POSITIONS_ELSEWHERE
            raise CannotPlan(says, "change the cycle by hand, or put the subprogram into the program's own file", block)
        low, _ = layout.routine(block)
        found = next((index for index in range(block, low - 1, -1) if index in starts or _sets_motion(layout, index)), -1)
        if found < 0:
            continue
        start = starts.get(found, found)
        if cycle_word(layout.program.block(start)) is None:
            raise CannotPlan("it cannot be told which word starts the cycle of this hole", block=block)
        starts[block] = start
        return start
    raise CannotPlan("it cannot be told which word starts the cycle of this hole", block=stack[-1])


def _has_own_cycle(layout: Layout, block: int) -> bool:
    """Stands the word that starts the cycle in the other file too, before that block of it."""
    place = layout.execution.place(block)
    other = next((program for program in layout.execution.subprograms if program.source.name == place.file), None)
    if other is None:
        return True
    return any(cycle_word(other.block(index)) is not None for index in range(min(place.line, len(other))))


def _sets_motion(layout: Layout, index: int) -> bool:
    return has_motion_code(layout.program.block(index))


def _blocks(layout: Layout, start: int, holes: Iterable[int]) -> tuple[int, ...]:
    """The start block and every block that makes one of the holes: those ran, so what is changed in them is proved.

    Raises CannotPlan when another block between them has a word of the cycle: whether that one runs cannot be told.
    """
    blocks = {start} | {int(layout.execution.cycle_holes.block[hole]) for hole in holes}
    for block in blocks:
        _refuse_if_called_elsewhere(layout, block)
    _, behind = layout.routine(start)
    for index in range(start + 1, max(block for block in blocks if start <= block < behind)):
        text = layout.program.block(index)
        if has_motion_code(text) or any(word.letter == "M" and word.value in _ENDS for word in text.words):
            break
        is_other = index not in blocks and not is_call(text) and not _is_dwell(text)
        if is_other and any(word.letter in _CYCLE_WORDS for word in text.words):
            raise CannotPlan("a block between the holes has a word of their cycle and makes no hole", block=index)
    return tuple(sorted(index for index in blocks if not is_call(layout.program.block(index))))


def _is_dwell(block: Block) -> bool:
    return any(word.letter == "G" and word.value == 4 for word in block.words)


def _refuse_if_called_elsewhere(layout: Layout, block: int) -> None:
    """A subprogram that a block of this file calls which did not run: what changes there cannot be proved for that call."""
    low, _ = layout.routine(block)
    names = {name for name, index in layout.program.labels().items() if index == low}
    if low == 0 or not names:
        return
    ran = {event.block for event in layout.events if event.kind == "call"}
    for index in layout.calls_in_text:
        word = layout.program.block(index).word("P")
        called = word.value if word is not None else None
        if index not in ran and (called is None or {str(int(called)), str(int(called) % 10000)} & names):
            raise CannotPlan("a call that does not run here leads to the same subprogram", block=index)
