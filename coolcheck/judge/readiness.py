"""May this program run with nobody there: ready, not ready, or cannot tell, and the shortest list that would change it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from coolcheck.judge.finding import LEVELS, Finding, Measure
from coolcheck.judge.rule import MENDED_AT, Rule
from coolcheck.judge.verdict import HOLDS
from coolcheck.known import Missing
from coolcheck.place import Place

ALONE = "subprogram-alone"  # what reading says of a subprogram: its caller is what would tell
READY, NOT_READY, CANNOT_TELL = "ready", "not ready", "cannot tell"
WEIGHTY = ("error", "warning")  # a note never keeps a machine from running alone


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that would change the verdict: what to mend (`rule` holds) or what to answer (`missing`).

    at : where the remedy lies: machine, tool, holder, fluid, program or record
    wrong : what is wrong, of the first finding that this mends; more : how many further findings it mends
    measures : the numbers in `says` and `wrong` before they were rounded
    """

    says: str
    at: str
    place: Place
    rule: str
    missing: tuple[Missing, ...] = ()
    wrong: str = ""
    more: int = 0
    measures: tuple[Measure, ...] = ()


@dataclass(frozen=True, slots=True)
class Readiness:
    """`verdict` is READY, NOT_READY or CANNOT_TELL; `changes` what would change it, hardest first."""

    verdict: str
    changes: tuple[Change, ...] = ()


def readiness(findings: Sequence[Finding], rules: Iterable[Rule], has_cuts: bool = True) -> Readiness:
    """The verdict from all findings that stand: new ones, and those that a starting line takes as known.

    Waived ones do not stand: a person has accepted each of them, with a reason, for this job.

    Anything weighty that holds: not ready, and the list is what must be mended. Else anything weighty undecided, no cut
    found at all, or a subprogram without its caller: cannot tell, and the list is what must be answered. Hardest first: a
    pump, a tool, a word in the program.
    """
    at = {rule.id: rule.mended_at for rule in rules}
    weighty = [finding for finding in findings if finding.level in WEIGHTY]
    holding = [finding for finding in weighty if finding.verdict == HOLDS]
    if holding:
        return Readiness(NOT_READY, tuple(sorted(_mendings(holding, at), key=lambda change: _hardness(change, holding))))
    open_ = [finding for finding in weighty if finding.verdict != HOLDS]
    if open_:
        return Readiness(CANNOT_TELL, tuple(Change(f.missing[0].question, "record", f.where, f.rule, f.missing) for f in open_))
    alone = next((finding for finding in findings if finding.rule == ALONE), None)
    if alone is not None:
        return Readiness(CANNOT_TELL, (Change(alone.do, "program", alone.where, alone.rule),))
    if not has_cuts:
        return Readiness(CANNOT_TELL, ())
    return Readiness(READY)


def _mendings(findings: Iterable[Finding], at: dict[str, str]) -> Iterable[Change]:
    """One change a remedy: the same thing to do about several findings is done once."""
    alike: dict[str, list[Finding]] = {}
    for finding in findings:
        alike.setdefault(finding.do, []).append(finding)
    for do, (first, *others) in alike.items():
        where = at.get(first.rule, "program")
        yield Change(do, where, first.where, first.rule, (), first.says, len(others), first.measures)


def _hardness(change: Change, findings: Sequence[Finding]) -> tuple[int, int, Place]:
    level = next(finding.level for finding in findings if finding.rule == change.rule)
    return (MENDED_AT.index(change.at), LEVELS.index(level), change.place)
