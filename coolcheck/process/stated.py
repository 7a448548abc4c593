"""Where the program stated a modal setting that a number rests on and that is easily overlooked: feed mode, work offset."""

from typing import TYPE_CHECKING

from coolcheck.known import Evidence
from coolcheck.place import Place

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.nc.program import Program

MODES = {93: "G93, inverse time", 95: "G95, per turn"}
MOST_BLOCKS = 500  # looked at for the block of a code, backwards from the first move under it


def feed_mode(execution: "Execution", row: int) -> tuple[Evidence, ...]:
    """The feed mode of a move and the block that set it; nothing for feed per minute, which all expect."""
    at = execution.span_at(row)
    mode = execution.spans[at].modal.feed_mode
    if mode not in MODES:
        return ()
    while at and execution.spans[at - 1].modal.feed_mode == mode:
        at -= 1
    return (Evidence("feed mode", MODES[mode], place=_set_before(execution, execution.spans[at].row, mode), source="program"),)


def _set_before(execution: "Execution", row: int, code: int) -> Place | None:
    """The nearest block with that G code, from the block of a move backwards; None where it stands elsewhere."""
    if not len(execution.moves):
        return None
    block = int(execution.moves.block[min(row, len(execution.moves) - 1)])
    for program in (execution.program, *execution.subprograms):
        if block < len(program):
            return _nearest(program, block, code)
        block -= len(program)
    return None


def _nearest(program: "Program", last: int, code: int) -> Place | None:
    for block in range(last, max(-1, last - MOST_BLOCKS), -1):
        if any(word.letter == "G" and word.value == code for word in program.block(block).words):
            return program.place(block)
    return None


def work_offset(execution: "Execution", row: int) -> Evidence:
    """The work offset of a move and the block that set it, as far as one did."""
    events = (event for event in reversed(execution.events) if event.kind == "work_offset" and event.row <= row)
    event = next(events, None)
    name = execution.modal(row).work_offset or (event.code if event else "")
    return Evidence("work offset", name, place=execution.place(event.block) if event else None, source="program")
