"""Which blocks no path of a program reaches. A path may go either way at a condition, whichever way it went this time."""

from coolcheck.nc.blocks import Flow, Label
from coolcheck.nc.calls import Unit
from coolcheck.nc.words import Step

_LEAVES = frozenset({"goto", "return", "endsub", "continue", "break"})
_MOST = 200_000  # blocks looked at; a longer tail is counted as it stands


def unreached(unit: Unit) -> tuple[int, int]:
    """The first block that is never reached, and how many there are; count 0 when all are."""
    dead = _unvisited(unit)
    if not dead:
        return 0, 0
    open_ends = [block for block in unit.branches if unit.low <= block < unit.end]
    reached: set[int] = set()
    while open_ends:
        block = open_ends.pop()
        while block in dead and block not in reached:
            reached.add(block)
            step = unit.steps[block]
            open_ends += _targets(unit, step, block)
            if _leaves(unit, step):
                break
            block += 1
    left = [block for block in sorted(dead - reached) if not _says_nothing(unit.steps[block])]
    return (left[0], len(left)) if left else (0, 0)


def _unvisited(unit: Unit) -> set[int]:
    found: set[int] = set()
    at = unit.visited.find(0, unit.low, unit.end)
    while at >= 0 and len(found) < _MOST:
        found.add(at)
        at = unit.visited.find(0, at + 1, unit.end)
    return found


def _says_nothing(step: Step) -> bool:
    return (
        step.is_empty
        or all(isinstance(s, Label) for s in step.statements)
        and not (step.gs or step.ms or step.values or step.dynamic)
    )


def _targets(unit: Unit, step: Step, block: int) -> list[int]:
    """Where the flow statements of a block could lead, besides the next block."""
    targets: list[int] = []
    for statement in step.statements:
        if not isinstance(statement, Flow):
            continue
        if statement.kind in ("goto", "if_goto") and statement.label is not None and statement.label.constant is not None:
            targets += unit.program.sequence(statement.label.constant)
        elif statement.kind == "while_do" and statement.label is not None:
            end = unit.partners.loop_end(block, statement.label.constant)
            targets += [end + 1] if end is not None else []
        elif statement.kind in ("if", "elseif", "while", "repeat"):
            found = unit.partners.next_of(block, statement.name, ("elseif", "else", "endif", "endwhile", "endrepeat"))
            targets += [found[0], found[0] + 1] if found is not None else []
    return targets


def _leaves(unit: Unit, step: Step) -> bool:
    """Does nothing run on from this block to the next? A block that may be skipped lets it."""
    if step.skips:
        return False
    known = unit.program.dialect.meaning.m_codes
    ends = any(code in known and known[code].does in ("end", "return") for code in step.ms)
    return ends or any(isinstance(s, Flow) and s.kind in _LEAVES for s in step.statements)
