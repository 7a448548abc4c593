"""The proof: both programs are run, and nothing may differ but what is declared, allowed, and did happen.

Four questions, asked one after another: can the declared differences be at all (expect)? does the new program run exactly so
(compare)? may a rewrite make each of them (allowed)? is the fluid right at every cut and stop (fluid_proof)? Then a second look
at the bare traces, which knows nothing of all that (second_look).
"""

from dataclasses import dataclass

from coolcheck.errors import RewriteRefused
from coolcheck.nc.moves import Execution
from coolcheck.nc.trace import trace
from coolcheck.rewrite.allowed import Demands, first_forbidden
from coolcheck.rewrite.compare import Mismatch, first_mismatch
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.expect import NotAllowed, expected
from coolcheck.rewrite.fluid_proof import first_wrong_fluid
from coolcheck.rewrite.second_look import first_disagreement


class ProofFailed(RewriteRefused):
    """The new program is not proved, and nothing may be written; `found` says where the first difference lies."""

    def __init__(self, found: str) -> None:
        super().__init__(f"the rewritten program is not proved, and nothing was written: {found}")
        self.found = found


@dataclass(frozen=True, slots=True)
class Proof:
    """What was proved under one setting of the block-skip switches: how many moves, events and holes were compared."""

    block_skip: tuple[int, ...]
    moves: int
    events: int
    holes: int
    converted: int


def prove(before: Execution, after: Execution, declared: Differences, demands: Demands, block_skip: frozenset[int]) -> Proof:
    """The proof that `after` is `before` with the declared differences. Raises ProofFailed."""
    found = first_fault(before, after, declared, demands)
    if found:
        raise ProofFailed(found)
    return Proof(
        block_skip=tuple(sorted(block_skip)),
        moves=len(after.moves),
        events=len(after.events),
        holes=len(before.cycle_holes),
        converted=len(declared.holes),
    )


def first_fault(before: Execution, after: Execution, declared: Differences, demands: Demands) -> str:
    """Why the proof fails, or nothing."""
    try:
        expectation = expected(before, declared)
    except NotAllowed as fault:
        return str(fault)
    found: Mismatch | None = first_mismatch(before, after, expectation)
    if found is None:
        found = first_forbidden(before, after, declared, expectation, demands)
    if found is None:
        found = first_wrong_fluid(before, after, declared, expectation, demands)
    if found is not None:
        return str(found)
    disagreement = first_disagreement(trace(before), trace(after))
    return f"the second look at the traces disagrees: {disagreement}" if disagreement else ""
