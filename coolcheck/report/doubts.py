"""Which fluid is commanded, in the few words a table has room for, where a code that nobody explained leaves much open."""

from collections.abc import Iterator

from coolcheck.known import merged
from coolcheck.process.model import Timeline
from coolcheck.report.cells import wrapped
from coolcheck.report.options import Options
from coolcheck.report.rows import ChainRow, OperationRow, StepRow, fluid_modes, words
from coolcheck.report.shown import question

FEW_DOUBTS = 3  # modes that are only possible, and are still named one by one
FEW_QUESTIONS = 3


def told_modes(row: OperationRow | StepRow) -> list[str]:
    """The modes of a row in words. What one unexplained code leaves open, nine modes perhaps, is one word.

    >>> from coolcheck.place import Place
    >>> modes = ("flood", "ring?", "air?", "mist?", "wash?")
    >>> step = StepRow(1, 5, "drill", Place(""), None, None, 1, "none", None, None, None, modes)
    >>> told_modes(step)
    ['flood', 'rest not known']
    """
    if not leaves_much_open(row.fluid):
        return [words(mode) for mode in row.fluid]
    sure = [words(mode) for mode in row.fluid if not mode.endswith("?")]
    rest = "rest not known" if sure else "not known"
    return [*sure, f"{rest}: {', '.join(row.unexplained)}" if row.unexplained else rest]


def leaves_much_open(modes: tuple[str, ...]) -> bool:
    """Are there more modes that are only possible than a table should name."""
    return sum(mode.endswith("?") for mode in modes) > FEW_DOUBTS


def told_chains(row: OperationRow) -> tuple[ChainRow, ...]:
    """The chains of a row that have words of their own, see `told_modes`."""
    is_short = leaves_much_open(row.fluid)
    return tuple(chain for chain in row.chains if not (is_short and f"{chain.mode}?" in row.fluid))


def fluid_legend(timeline: Timeline, options: Options) -> Iterator[str]:
    """What would tell which fluid is commanded, where a table says that it is not known: the first question of each operation."""
    asked = merged(
        next(missing for fluid in operation.fluid for _, truth in fluid.modes for missing in truth.missing)
        for operation in timeline.operations
        if leaves_much_open(fluid_modes(operation.fluid))
    )
    if asked:
        yield ""
        yield "not known is which fluid is commanded; what would tell:"
    for one in asked[:FEW_QUESTIONS]:
        yield from wrapped(question(one, options), options.width, "  - ", "    ")
    if len(asked) > FEW_QUESTIONS:
        yield f"  and {len(asked) - FEW_QUESTIONS} more"
