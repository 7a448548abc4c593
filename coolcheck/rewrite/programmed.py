"""Speed and feed as the program states them, beside those of the tool record: what changes is told, old and new."""

from collections.abc import Iterator, Sequence

from coolcheck.nc.moves import Execution
from coolcheck.rewrite.draft import Draft
from coolcheck.rewrite.fluid_words import feed_number, feed_of_number
from coolcheck.rewrite.recipe import Recipe


def feed_word_there(execution: Execution, row: int) -> float:
    """The F word in force at a feed move, as the program states it."""
    return round(float(execution.moves.feed[row]) / feed_of_number(execution, row, 1.0, execution.modal(row).rpm or 1.0), 6)


def speed_change(recipe: Recipe, was: float, rpm: float) -> str:
    """Which spindle speed becomes which."""
    return f"spindle speed of {recipe.name} from S{was:g} to S{rpm:g}, {recipe.speed_basis}"


def feed_change(recipe: Recipe, was: str, now: str) -> str:
    """Which feed becomes which, each as the program writes it."""
    return f"feed of {recipe.name} from {was} to {now}, {recipe.feed_basis}"


def off_the_record(draft: Draft, holes: Sequence[int], recipe: Recipe) -> Iterator[tuple[int, str]]:
    """Holes whose programmed speed or feed is not that of the record, each with what differs."""
    layout, execution = draft.layout, draft.layout.execution
    for hole in holes:
        row = layout.next_cut(int(execution.cycle_holes.first[hole]))
        modal = execution.modal(row)
        rpm = float(int(recipe.rpm + 1e-6))
        if modal.rpm is None or not modal.rpm:
            yield hole, "the programmed spindle speed is not known"
            continue
        parts = []
        if not recipe.is_near(modal.rpm, recipe.rpm):
            parts.append(f"S{modal.rpm:g} where {recipe.speed_basis} gives S{rpm:g}")
        if not recipe.is_near(float(execution.moves.feed[row]) / modal.rpm, recipe.per_turn):
            speed = modal.rpm if not parts else rpm
            old = draft.pen.habits.word("F", feed_word_there(execution, row), digits=6)
            new = draft.pen.habits.word("F", feed_number(execution, row, recipe.per_turn, speed))
            if old != new or not parts:  # the same F word at another speed: the speed is told already
                parts.append(f"{old} where {recipe.feed_basis} gives {new}")
        if parts:
            yield hole, " and ".join(parts)
