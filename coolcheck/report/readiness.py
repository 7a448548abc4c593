"""May this program run with nobody there: ready, not ready, or cannot tell, and the shortest list that would change it."""

from collections.abc import Iterable
from dataclasses import dataclass

from coolcheck.judge.finding import Finding
from coolcheck.known import Missing
from coolcheck.nc.moves import Note
from coolcheck.place import Place

WEIGHTY = ("error", "warning")  # a note never keeps a machine from running alone


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that would change the verdict: what to mend and where, or what to answer. `rule` is "" for neither."""

    says: str
    place: Place | None = None
    rule: str = ""
    missing: Missing | None = None


@dataclass(frozen=True, slots=True)
class Readiness:
    """`verdict` is "ready", "not ready" or "cannot tell"; `steps` what would change it, hardest first."""

    verdict: str
    steps: tuple[Step, ...] = ()


def readiness_of(
    findings: Iterable[Finding], notes: Iterable[Note], has_operations: bool, is_reviewed: bool
) -> Readiness:
    """The verdict from findings that are sorted by harm already.

    Anything weighty that holds: not ready. Else anything weighty undecided, or a part of the program that could not be
    followed, or a program in which no cut was found: cannot tell.
    """
    if not is_reviewed:
        return Readiness("cannot tell", (Step("let the program be read and reviewed"),))
    weighty = [finding for finding in findings if finding.level in WEIGHTY]
    against = [finding for finding in weighty if finding.verdict == "holds"]
    steps = [Step(_for_tool(finding), finding.where, finding.rule) for finding in against]
    steps += _answers(finding for finding in weighty if finding.verdict != "holds")
    steps += [Step(note.do or note.says, note.place, note.id) for note in notes if note.affects]
    if not has_operations:
        steps.append(Step("no cutting operation was found in this program"))
    if against:
        return Readiness("not ready", tuple(steps))
    return Readiness("cannot tell", tuple(steps)) if steps else Readiness("ready")


def _for_tool(finding: Finding) -> str:
    """What to do, with the tool it is about in front: the list stands apart from the findings."""
    tool = dict(finding.subject).get("tool", "")
    return finding.do if not tool or tool in finding.do else f"{tool}: {finding.do}"


def _answers(undecided: Iterable[Finding]) -> list[Step]:
    """The questions behind undecided findings, each once; one answer that serves many findings comes first."""
    waiting: dict[Missing, list[Finding]] = {}
    for finding in undecided:
        for missing in finding.missing:
            waiting.setdefault(missing, []).append(finding)
    order = sorted(waiting, key=lambda missing: -len(waiting[missing]))  # stable: harm decides among equals
    return [Step(missing.question, missing.place, waiting[missing][0].rule, missing) for missing in order]
