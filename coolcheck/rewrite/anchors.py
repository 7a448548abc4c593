"""Where new blocks may be put in so that they run exactly when they are meant to."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from coolcheck.nc.blocks import Flow
from coolcheck.rewrite.blocks import Pen
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.layout import Layout, Position, is_call
from coolcheck.rewrite.refusal import CannotPlan

Fits = Callable[[Position], bool]


@dataclass(frozen=True, slots=True)
class Anchor:
    """A place in the text, before or behind `block`, and every moment at which what is put there will run."""

    block: int
    is_behind: bool
    moments: tuple[Position, ...]

    def insertion(self, pen: Pen, blocks: Sequence[Sequence[str]], reason: str) -> Edit:
        """New blocks there."""
        return pen.behind(self.block, blocks, reason) if self.is_behind else pen.before(self.block, blocks, reason)


def anchor(layout: Layout, moment: Position, fits: Fits, *, in_time: bool = False) -> Anchor:
    """An anchor whose blocks run around that moment and, each time they run, at a moment that `fits`.

    in_time : they must not run later than that moment for the first time

    Behind a block that ends a cycle comes first: nothing is put into a cycle that is still active. Then outer blocks are tried,
    the place behind the last block, and blocks that run more than once. Raises CannotPlan.
    """
    item = layout.next_item(moment)
    if item is None:
        raise CannotPlan("nothing comes behind the place where a block is to be put in")
    stack = (*layout.stack(item[1]), item[0])
    tried = [
        *_behind_cancel(layout, item[0]),
        *_outer(layout, stack, once=True),
        *_block_before(layout, moment),
        *_outer(layout, stack, once=False),
    ]
    if in_time:
        tried = [found for found in tried if found.moments and found.moments[0] <= moment]
    return _first_fit(layout, tried, fits, item[0])


def _first_fit(layout: Layout, tried: Sequence[Anchor], fits: Fits, block: int) -> Anchor:
    for anchor in tried:
        if anchor.moments and all(fits(moment) for moment in anchor.moments):
            return anchor
    where = block if layout.is_own(block) else None
    says = "there is no place for a new block that runs each time it is needed, and only then"
    do = "let a rapid move (G0) in a block that runs once lead there: new blocks come in only where the tool is clear of the work"
    raise CannotPlan(says, do, where)


def _behind_cancel(layout: Layout, block: int) -> Iterator[Anchor]:
    """Behind a block with G80 that also says or moves something, when it runs once and the next block in the text runs next."""
    if not layout.is_own(block) or layout.is_repeated(block) or len(layout.stays(block)) != 1:
        return
    text = layout.program.block(block)
    is_cancel = any(word.letter == "G" and word.value == 80 for word in text.words)
    leads_away = is_call(text) or any(isinstance(element, Flow) for element in text.elements)
    if is_cancel and not leads_away and block + 1 < len(layout.program) and block + 1 not in layout.jump_targets:
        yield Anchor(block, True, (layout.stays(block)[0].end,))


def _outer(layout: Layout, stack: tuple[int, ...], once: bool) -> Iterator[Anchor]:
    """Before the block that moves or calls, the outermost first."""
    for block in stack:
        if not layout.is_own(block) or block in layout.jump_targets:
            continue
        stays = layout.stays(block)
        is_once = len(stays) == 1 and not layout.is_repeated(block)
        if once and is_once or not once and not is_once:
            yield Anchor(block, False, tuple(stay.start for stay in stays))


def _block_before(layout: Layout, moment: Position) -> Iterator[Anchor]:
    """Behind the last block that moved or said something, when it runs once and the next block in the text runs next."""
    block = layout.last_item_block(moment)
    if block is None or not layout.is_own(block) or layout.is_repeated(block) or layout.stack(moment):
        return
    stays = layout.stays(block)
    leads_away = any(isinstance(element, Flow) for element in layout.program.block(block).elements)
    if len(stays) == 1 and not leads_away and block + 1 < len(layout.program) and block + 1 not in layout.jump_targets:
        yield Anchor(block, True, (stays[0].end,))
