"""What is said of a mend that could not be proved: nothing of it is written, and a person is told what to do."""

from coolcheck.errors import RewriteRefused
from coolcheck.known import Evidence
from coolcheck.place import Place
from coolcheck.rewrite.prove import ProofFailed
from coolcheck.rewrite.refusal import Refusal
from coolcheck.rewrite.targets import Key


class OtherEdits(RewriteRefused):
    """With other block-skip switches on, a mend would ask for other edits: one text cannot serve both."""

    def __init__(self, skip: frozenset[int]) -> None:
        on = " and ".join(f"switch {switch}" for switch in sorted(skip))
        self.when = f"with block-skip {on} on" if skip else "with all block-skip switches off"
        super().__init__(f"{self.when}, other edits would be needed")


def not_proved(fault: RewriteRefused, place: Place, key: Key) -> Refusal:
    """Why a mend is left although everything that it takes is known."""
    mend, _, tool = key
    is_pecking = mend == "single_pass"
    what = f"{'the tool' if tool is None else f'T{tool}'} keeps its pecks" if is_pecking else "this stays as it is"
    if isinstance(fault, OtherEdits):
        says = f"{what}: {fault.when}, the same change would not do"
        return Refusal(place, mend, tool, says, do="take the `/` off the blocks of this tool, or change them by hand")
    name = mend if tool is None else f"T{tool}"
    by_hand = "keep its pecks" if is_pecking else "mend it by hand"
    do = f"{by_hand} (`--skip {name}` leaves it out), and report this program with its records: the fault is in coolcheck"
    found = fault.found if isinstance(fault, ProofFailed) else str(fault)
    evidence = Evidence("first difference", found, source="computed")
    says = f"{what}: it could not be proved that the changed program does the same, so nothing of this change is written"
    return Refusal(place, mend, tool, says, (), (evidence,), do)
