"""What a report needs of one program: plain, small, sorted. Only pictures of the process need the timeline itself."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from coolcheck.errors import Problem
from coolcheck.judge.finding import LEVELS, Finding, Measure
from coolcheck.judge.readiness import CANNOT_TELL, WEIGHTY, Readiness
from coolcheck.known import Missing
from coolcheck.nc.moves import Note
from coolcheck.place import Place
from coolcheck.process.model import Timeline
from coolcheck.report.drawn import Drawn, drawn_of
from coolcheck.report.options import Options
from coolcheck.report.rows import HoleRow, HoleRows, OperationRow, Totals, operation_row, totals_of
from coolcheck.report.shown import Units, spoken

CAUTIONS = (
    "This review is advice. A person qualified for this machine decides; the machine builder's and the tool maker's "
    "instructions and local codes come first.",
    "It sees the program and the records, not the machine: a blocked nozzle, a worn seal or a wrong tool in the pocket "
    "does not show here.",
)


@dataclass(frozen=True, slots=True)
class Question:
    """Something nobody has told us: what is missing, and the rules that wait for it, most harmful first."""

    missing: Missing
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bound:
    """A record the program was reviewed with: its kind, its name, its file; both "" where none is known."""

    kind: str
    name: str
    file: str


@dataclass(frozen=True, slots=True)
class Judged:
    """A rule this program was held against, whether it found something or not."""

    id: str
    level: str
    why: str
    do: str
    basis: str
    group: str = ""


@dataclass(frozen=True, slots=True)
class Waived:
    """Something that holds or is open and that somebody accepts, with the reason; `until` None has no end."""

    rule: str
    where: Place
    says: str
    reason: str
    by: str
    until: date | None
    measures: tuple[Measure, ...] = ()


@dataclass(frozen=True, slots=True)
class Fix:
    """A change that would mend the finding with this fingerprint: stretches of the program and the text to stand there."""

    fingerprint: str
    says: str
    edits: tuple[tuple[Place, str], ...]


@dataclass(frozen=True)
class Review:
    """One program as reviewed. `problems` is why it could not be; then `is_reviewed` is false and the rest is empty.

    readiness : may it run with nobody there; waived : what a waiver accepts; neither is among `findings`
    known : findings that the starting line takes as known: they make no run fail and stand against running unattended;
    accepted : how many verdicts those are
    unit : mm or inch, as the program states first; mm where it states neither
    quotes : lines of the program that a finding points into, by (file, line)
    drawn : what pictures need beyond the tables
    timeline : the process itself; None in a review that came out of a cache or from another computer
    """

    program: str
    sha256: str = ""
    findings: tuple[Finding, ...] = ()
    notes: tuple[Note, ...] = ()
    problems: tuple[Problem, ...] = ()
    totals: Totals | None = None
    operations: tuple[OperationRow, ...] = ()
    holes: Sequence[HoleRow] = ()
    bound: tuple[Bound, ...] = ()
    rules: tuple[Judged, ...] = ()
    quotes: dict[tuple[str, int], str] = field(default_factory=dict)
    fixes: tuple[Fix, ...] = ()
    readiness: Readiness = Readiness(CANNOT_TELL)
    waived: tuple[Waived, ...] = ()
    accepted: int = 0
    known: tuple[Finding, ...] = ()
    unit: str = "mm"
    drawn: Drawn = Drawn()
    timeline: Timeline | None = None

    @property
    def is_reviewed(self) -> bool:
        """Could the program be read and judged."""
        return not self.problems

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """Everything that would decide something, each once, what waits longest for it first."""
        waiting: dict[Missing, list[str]] = {}
        for finding in (*self.findings, *self.known):
            for missing in finding.missing:
                waiting.setdefault(missing, []).extend(finding.rules or (finding.rule,))
        return tuple(Question(missing, tuple(dict.fromkeys(rules))) for missing, rules in waiting.items())

    @property
    def known_against(self) -> tuple[Finding, ...]:
        """What the starting line takes as known and stands against running unattended."""
        return tuple(finding for finding in self.known if finding.level in WEIGHTY)

    def plain(self) -> "Review":
        """The same without the timeline: what may be kept in a cache or sent to another process."""
        return replace(self, holes=tuple(self.holes), timeline=None)

    def units(self, options: Options) -> Units:
        """The units in which people read it."""
        return Units(is_inch=(self.unit if options.units == "program" else options.units) == "inch")

    def for_people(self, units: Units) -> "Review":
        """The same review told in these units and in plain words; rows keep their units, which stand in their names."""
        return replace(
            self,
            findings=tuple(map(units.finding, self.findings)),
            known=tuple(map(units.finding, self.known)),
            waived=tuple(replace(one, says=units.sentence(spoken(one.says), one.measures)) for one in self.waived),
            readiness=replace(self.readiness, changes=tuple(map(units.change, self.readiness.changes))),
        )

    def failing(self, options: Options) -> tuple[Finding, ...]:
        """The findings that count: at or above the threshold, what cannot be decided among them unless told otherwise."""
        return tuple(finding for finding in self.findings if counts(finding, options))


def review_of(
    timeline: Timeline,
    findings: Iterable[Finding] = (),
    *,
    rules: tuple[Judged, ...] = (),
    readiness: Readiness = Readiness(CANNOT_TELL),  # noqa: B008  (frozen)
    waived: tuple[Waived, ...] = (),
    quotes: dict[tuple[str, int], str] | None = None,
    accepted: int = 0,
    known: tuple[Finding, ...] = (),
) -> Review:
    """The review of a program from its timeline and its findings, which the judge has sorted by harm."""
    findings = tuple(findings)
    return Review(
        program=timeline.execution.program.source.name,
        sha256=timeline.execution.program.source.sha256,
        findings=findings,
        notes=timeline.execution.notes,
        totals=totals_of(timeline),
        operations=tuple(map(operation_row, timeline.operations)),
        holes=HoleRows(timeline.holes),
        bound=bound_of(timeline),
        rules=rules,
        readiness=readiness,
        waived=waived,
        quotes=quotes or {},
        accepted=accepted,
        known=known,
        unit=unit_of(timeline),
        drawn=drawn_of(timeline, findings),
        timeline=timeline,
    )


def unit_of(timeline: Timeline) -> str:
    """The unit that the program states first."""
    stated = (span.modal.units for span in timeline.execution.spans)
    return "inch" if next(filter(None, stated), 21) == 20 else "mm"


def bound_of(timeline: Timeline) -> tuple[Bound, ...]:
    """The job, machine, material and fluid the program is bound to."""
    binding = timeline.binding
    records = (binding.job, binding.machine, binding.material, binding.fluid)
    return tuple(
        Bound(record.kind, record.name if record.is_present else "", str(record.file) if record.is_present else "")
        for record in records
    )


def harm(finding: Finding) -> tuple[int, bool]:
    """Sorts the findings of several programs by harm: by level, what holds before what cannot be decided."""
    return LEVELS.index(finding.level), finding.verdict != "holds"


def counts(finding: Finding, options: Options) -> bool:
    """Does this finding make the run fail."""
    if options.fail_on == "never" or (finding.verdict != "holds" and not options.counts_undecided):
        return False
    return LEVELS.index(finding.level) <= LEVELS.index(options.fail_on)


def exit_code(reviews: Iterable[Review], options: Options) -> int:
    """0 nothing that counts, 1 some finding counts, 2 some program could not be reviewed: the highest of them."""
    return max((2 if not r.is_reviewed else 1 if r.failing(options) else 0 for r in reviews), default=0)
