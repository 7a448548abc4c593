"""Which word of the program starts the cycle that makes a hole, and which blocks belong to that cycle."""

from collections.abc import Iterable
from dataclasses import dataclass

from coolcheck.nc.blocks import Block, Word
from coolcheck.rewrite.layout import Layout
from coolcheck.rewrite.refusal import CannotPlan

PECKS = frozenset({73.0, 83.0})
_MOTION = frozenset({0.0, 1.0, 2.0, 3.0, 33.0, 33.1, 80.0, *map(float, range(73, 90))}) - {75.0, 77.0, 78.0, 79.0}
_CALL_G = frozenset({65.0, 66.0, 66.1})
_CALL_M = frozenset({97.0, 98.0, 99.0})
_ENDS = frozenset({2.0, 30.0, 99.0})
OTHER_FILE = "the cycle stands in a file of its own, which other programs may call"


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
    table = layout.execution.cycle_holes
    for hole in range(len(table)):
        if layout.execution.cycles[int(table.cycle[hole])].code not in PECKS:
            continue
        stack = (*layout.stack(layout.before_move(int(table.first[hole]))), int(table.block[hole]))
        if stack not in known:
            try:
                known[stack] = _start(layout, stack)
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


def is_call(block: Block) -> bool:
    """Do the words of the block belong to a call."""
    return any((w.letter == "G" and w.value in _CALL_G) or (w.letter == "M" and w.value in _CALL_M) for w in block.words)


def cycle_word(block: Block) -> Word | None:
    """The word that starts a peck cycle in this block."""
    return next((word for word in block.words if word.letter == "G" and word.value in PECKS), None)


def has_motion_code(block: Block) -> bool:
    """Has the block a code of the motion group: it starts or ends a cycle."""
    return any(word.letter == "G" and word.value in _MOTION for word in block.words)


def _start(layout: Layout, stack: tuple[int, ...]) -> int:
    """The block whose word starts the cycle that the innermost block of `stack` runs: looked for upwards, then in the caller."""
    for block in reversed(stack):
        if not layout.is_own(block):
            raise CannotPlan(OTHER_FILE, "rewrite that file by hand, or put the subprogram into the program's own file")
        low, _ = layout.routine(block)
        for index in range(block, low - 1, -1):
            text = layout.program.block(index)
            if cycle_word(text) is not None:
                return index
            if has_motion_code(text):
                raise CannotPlan("it cannot be told which word starts the cycle of this hole", block=block)
    raise CannotPlan("it cannot be told which word starts the cycle of this hole", block=stack[-1])


def _blocks(layout: Layout, start: int, holes: Iterable[int]) -> tuple[int, ...]:
    """The start block, those behind it until the cycle ends, and every block that makes one of the holes."""
    _, behind = layout.routine(start)
    blocks = {start}
    for index in range(start + 1, behind):
        text = layout.program.block(index)
        if has_motion_code(text) or any(word.letter == "M" and word.value in _ENDS for word in text.words):
            break
        blocks.add(index)
    blocks |= {int(layout.execution.cycle_holes.block[hole]) for hole in holes}
    return tuple(sorted(index for index in blocks if not is_call(layout.program.block(index))))
