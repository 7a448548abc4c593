"""Why something is not rewritten: what is no, what is missing, or what in the program stands in the way."""

from dataclasses import dataclass

from coolcheck.errors import advice
from coolcheck.known import Evidence, Missing
from coolcheck.place import Place

MOST_EVIDENCE = 5  # pieces shown; the certificate and the review have them all


@dataclass(frozen=True, slots=True)
class Refusal:
    """One thing that is left as it is.

    where : the block it is about; mend : the rewrite that was asked for; tool : T number
    says : one sentence; missing : what would decide it; evidence : what says no; do : what to do about it
    is_certain : something is a known no, whatever the answers to what is missing may be
    """

    where: Place
    mend: str
    tool: int | None
    says: str
    missing: tuple[Missing, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    do: str = ""
    is_certain: bool = False


def told(refusal: Refusal) -> str:
    """A refusal for people: what stays, why, what is missing; behind a known no, the questions are only counted."""
    lines = [f"{refusal.where}: left: {refusal.says}" + (f" [{refusal.mend}]" if refusal.mend else "")]
    for evidence in refusal.evidence[:MOST_EVIDENCE]:
        where = f" ({evidence.place})" if evidence.place else ""
        value = f"{_value(evidence.value)} {evidence.unit}".rstrip()
        lines.append(f"    because  {evidence.name}: {value}{where}")
    for missing in () if refusal.is_certain else refusal.missing:
        field = f" (`{missing.field}` of {missing.record}" if missing.field else f" ({missing.record}"
        place = f", {missing.place})" if missing.place and missing.place.file else ")"
        lines.append(f"    missing  {missing.question}{field}{place}")
    if refusal.is_certain and refusal.missing:
        count = len(refusal.missing)
        lines.append(f"    then     {count} more {'question' if count == 1 else 'questions'} would follow")
    if refusal.do:
        lines.append(f"    do       {advice(refusal.do)}")
    return "\n".join(_printable(line) for line in lines)


def _value(value: object) -> object:
    if isinstance(value, float):
        return str(value).removesuffix(".0")
    return "yes" if value is True else "no" if value is False else value


def _printable(line: str) -> str:
    """What a program or record holds must not steer a terminal."""
    return "".join(character if character.isprintable() else "?" for character in line)


class CannotPlan(Exception):
    """Raised within planning when the text of a program stands in the way; becomes a Refusal."""

    def __init__(self, says: str, do: str = "", block: int | None = None) -> None:
        super().__init__(says)
        self.says, self.do, self.block = says, do, block
