"""Why something is not rewritten: what is no, what is missing, or what in the program stands in the way."""

from dataclasses import dataclass

from coolcheck.known import Evidence, Missing
from coolcheck.place import Place


@dataclass(frozen=True, slots=True)
class Refusal:
    """One thing that is left as it is.

    where : the block it is about; mend : the rewrite that was asked for; tool : T number
    says : one sentence; missing : what would decide it; evidence : what says no; do : what to do about it
    """

    where: Place
    mend: str
    tool: int | None
    says: str
    missing: tuple[Missing, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    do: str = ""


class CannotPlan(Exception):
    """Raised within planning when the text of a program stands in the way; becomes a Refusal."""

    def __init__(self, says: str, do: str = "", block: int | None = None) -> None:
        super().__init__(says)
        self.says, self.do, self.block = says, do, block
