"""One review as a sheet shows it: every picture made, every text worded, nothing left for a template to work out."""

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cached_property

from coolcheck.judge.finding import LEVELS, Finding
from coolcheck.judge.readiness import CANNOT_TELL, NOT_READY, READY, Change
from coolcheck.known import Missing
from coolcheck.place import Place
from coolcheck.report.doubts import leaves_much_open, told_chains, told_modes
from coolcheck.report.drawn import Need
from coolcheck.report.excerpts import Excerpt
from coolcheck.report.holes import stroke_words, time_words
from coolcheck.report.options import Options
from coolcheck.report.pictures import bars, icons
from coolcheck.report.pictures.heat import Heats, heats
from coolcheck.report.pictures.plan import History, Plan, histories_of, plans, slenderness, without_place
from coolcheck.report.pictures.section import section
from coolcheck.report.pictures.states import State, chain_state, commanded, fluid_words, state_of
from coolcheck.report.pictures.time_picture import TimePicture, time_picture
from coolcheck.report.review import Review
from coolcheck.report.rows import ChainRow, OperationRow, StepRow, tool_name, words
from coolcheck.report.shown import METRIC, Units, duration, lines_of, piece, plural, spot
from coolcheck.report.text import known_words, size_words, verdict_words, wrong_words
from coolcheck.report.text import time_words as clock_words
from coolcheck.report.views import (
    BarView,
    Cell,
    ChainView,
    FindingView,
    HistoryView,
    Line,
    LinkView,
    Listing,
    OperationView,
    Questions,
    StepView,
    Todo,
)

FEW_PIECES = 6
FEW_LINES = 10
MOST_OPERATIONS = 250
MOST_HISTORIES = 24
MOST_REASONS = 4
NOT_READ = "not read"
VERDICTS = {
    NOT_READY: "Not ready to run unattended",
    CANNOT_TELL: "Cannot tell if it may run unattended",
    READY: "Ready to run unattended, for what this review can see",
    NOT_READ: "This program was not reviewed",
}
FIRST = {NOT_READY: "Mend first", CANNOT_TELL: "Answer first", READY: "", NOT_READ: "Why"}
NOT_SAID = "nobody has told whether it is commanded"
PASSES = {"yes": "passes", "no": "stops here", "unknown": "not known"}


class Sheet:
    """One review. `prefix` starts every name that a link goes to, so that many sheets stand in one file."""

    def __init__(self, review: Review, options: Options, prefix: str = "") -> None:
        self.units = review.units(options)
        self.review = review = review.for_people(self.units)
        self.options = options
        self.prefix = prefix
        self.name = options.file(review.program)
        self.verdict = review.readiness.verdict if review.is_reviewed else NOT_READ
        self.headline = VERDICTS[self.verdict] + (known_words(review) if self.verdict in (NOT_READY, CANNOT_TELL) else "")
        self.first_words = FIRST[self.verdict]
        self.counts = verdict_words(review, options) if review.is_reviewed else ""
        self.icon = icons.verdict(self.verdict)

    @cached_property
    def tally(self) -> tuple[int, ...]:
        """How many errors, warnings, notes and undecided ones."""
        held = [finding.level if finding.verdict == "holds" else "undecided" for finding in self.review.findings]
        return tuple(held.count(word) for word in (*LEVELS, "undecided"))

    @property
    def machine_time(self) -> str:
        """The machine time of the program."""
        return duration(self.review.totals.cycle_s) if self.review.totals is not None else "not known"

    @property
    def cells(self) -> Iterator[Cell]:
        """The head of the sheet: what was reviewed with what."""
        for bound in self.review.bound:
            yield Cell(bound.kind, bound.name or "no record", self.options.file(bound.file) if bound.file else "")
        totals = self.review.totals
        if totals is not None:
            yield Cell("machine time", duration(totals.cycle_s), clock_words(totals).partition(" in all, ")[2])
            yield Cell("size", plural(totals.tools, "tool"), size_words(totals).partition(", ")[2])

    @cached_property
    def first(self) -> tuple[Todo, ...]:
        """What to do first, hardest first."""
        if not self.review.is_reviewed:
            return tuple(
                Todo(f"{problem.says}. {problem.do}" if problem.do else problem.says, self.options.place(problem.place))
                for problem in self.review.problems
            )
        return tuple(map(self._todo, self.review.readiness.changes))

    def _todo(self, change: Change) -> Todo:
        where = spot(change.missing[0], self.options).strip(" ()") if change.missing else ""
        says = change.says[:1].upper() + change.says[1:]
        return Todo(says, where or self._lines([change.place]), self.anchor(change.place), wrong_words(change))

    @cached_property
    def time(self) -> TimePicture | None:
        """Tools over machine time."""
        return time_picture(self.review.operations, self.review.drawn, self.prefix)

    @property
    def clock_missing(self) -> tuple[str, ...]:
        """What would make the machine time known."""
        return tuple(f"{missing.question}{spot(missing, self.options)}" for missing in self.review.drawn.clock_missing)

    @cached_property
    def findings(self) -> tuple[FindingView, ...]:
        """Everything found, most harmful first."""
        return tuple(map(self._finding, self.review.findings))

    @cached_property
    def known(self) -> tuple[FindingView, ...]:
        """What the starting line takes as known."""
        return tuple(map(self._finding, self.review.known))

    def _finding(self, finding: Finding) -> FindingView:
        few = len(finding.evidence) if self.options.is_full else FEW_PIECES
        return FindingView(
            finding=finding,
            word=finding.level if finding.verdict == "holds" else "undecided",
            where=self._lines([finding.where]) or self.options.place(finding.where),
            link=self.anchor(finding.where),
            quote=self.review.quotes.get((finding.where.file, finding.where.line), "").strip(),
            because=tuple(piece(item, self.review.program, self.options) for item in finding.evidence[:few]),
            left_out=max(0, len(finding.evidence) - few),
            also=self._lines(finding.also) if finding.also else "",
            missing=tuple((self.reason(missing), asks(missing)) for missing in finding.missing),
        )

    def _lines(self, places: Iterable[Place]) -> str:
        return lines_of(places, self.review.program, self.options, FEW_LINES)

    @cached_property
    def operations(self) -> tuple[OperationView, ...]:
        """The operations, as far as a page can hold them; the one that most needs a look is chosen."""
        marks: dict[str, int] = {}
        for finding in self.review.findings:
            operation = dict(finding.subject).get("operation", "")
            marks[operation] = marks.get(operation, 0) + 1
        rows = self.review.operations[:MOST_OPERATIONS]
        chosen = min(rows, key=lambda row: trouble(row, marks.get(str(row.number), 0)), default=None)
        needs = {need.operation: need for need in self.review.drawn.needs}
        return tuple(self._operation(row, needs.get(row.number), marks.get(str(row.number), 0), row is chosen) for row in rows)

    def _operation(self, row: OperationRow, need: Need | None, marks: int, is_chosen: bool) -> OperationView:
        return OperationView(
            row=row,
            state=state_of(row),
            fluid=fluid_words(row),
            figures=tuple(figures(row, self.units)),
            chains=tuple(chain_view(chain) for chain in told_chains(row) if chain in commanded(row)),
            bars=tuple(bar_views(row, need, self.units)) if need is not None else (),
            reasons=tuple(self._reasons(need)) if need is not None else (),
            marks=marks,
            link=self.anchor(row.where),
            is_chosen=is_chosen,
            rest=told_modes(row)[-1] if leaves_much_open(row.fluid) else "",
        )

    def _reasons(self, need: Need) -> Iterator[str]:
        for missing in need.missing[:MOST_REASONS]:
            yield self.reason(missing)
        if len(need.missing) > MOST_REASONS:
            yield f"and {len(need.missing) - MOST_REASONS} more"

    @cached_property
    def _histories(self) -> tuple[History, ...]:
        return histories_of(self.review.holes)

    @cached_property
    def histories(self) -> tuple[HistoryView, ...]:
        """Holes by history, slenderest first, those whose strokes are known with a section."""
        state = {row.number: state_of(row) for row in self.review.operations}
        fluid = {row.number: fluid_words(row) for row in self.review.operations}
        drawn = {one.hole for one in self.review.drawn.bottoms}
        return tuple(
            HistoryView(
                history.letter,
                which(history, self.units),
                tuple(step_view(history, at, state, fluid, self.units) for at in range(len(history.steps))),
                section(history, self.review.drawn.bottoms, state, self.units)
                if drawn & {hole.number for hole in history.holes}
                else None,
            )
            for history in self._histories[:MOST_HISTORIES]
        )

    @property
    def without_place(self) -> int:
        """How many holes are in no plan."""
        return without_place(self._histories)

    @property
    def histories_left_out(self) -> int:
        """How many histories are not listed."""
        return max(0, len(self._histories) - MOST_HISTORIES)

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        """The holes in plan."""
        return plans(self._histories, self.review.operations, self.units)

    @cached_property
    def heats(self) -> Heats:
        """Edge temperatures."""
        return heats(self.review.drawn, self.review.operations)

    def reason(self, missing: Missing) -> str:
        """What is missing: a question with where its answer goes, or the reason why there is no number."""
        return f"{missing.question}{spot(missing, self.options) if asks(missing) else ''}"

    @cached_property
    def questions(self) -> tuple[Questions, ...]:
        """The missing fields of records, by the record that would hold the answer."""
        by_record: dict[tuple[str, str], list[tuple[str, str, str]]] = {}
        for question in self.review.questions:
            missing = question.missing
            if not asks(missing):
                continue
            file = self.options.file(missing.place.file) if missing.place is not None else ""
            rules = ", ".join(question.rules)
            by_record.setdefault((missing.record or "program", file), []).append((missing.question, missing.field, rules))
        return tuple(Questions(record, file, tuple(items)) for (record, file), items in by_record.items())

    @cached_property
    def _anchors(self) -> dict[tuple[str, int], str]:
        files = list(dict.fromkeys(excerpt.file for excerpt in self.review.drawn.excerpts))
        return {
            (excerpt.file, line): f"{self.prefix}line-{files.index(excerpt.file) + 1}-{line}"
            for excerpt in self.review.drawn.excerpts
            for line in range(excerpt.first, excerpt.first + excerpt.text.count("\n") + 1)
        }

    def anchor(self, place: Place) -> str:
        """The name of a line in the listing; "" where it is not shown."""
        return self._anchors.get((place.file, place.line), "")

    @cached_property
    def listings(self) -> tuple[Listing, ...]:
        """The program, and subprograms in files of their own, with what was found at their lines."""
        marks: dict[tuple[str, int], list[FindingView]] = {}
        again: dict[tuple[str, int], Counter[str]] = {}
        for view in self.findings:
            first = view.finding.where
            marks.setdefault((first.file, first.line), []).append(view)
            for file, line in {(place.file, place.line) for place in view.finding.also} - {(first.file, first.line)}:
                again.setdefault((file, line), Counter())[view.where] += 1
        by_file: dict[str, list[Excerpt]] = {}
        for excerpt in self.review.drawn.excerpts:
            by_file.setdefault(excerpt.file, []).append(excerpt)
        return tuple(self._listing(file, excerpts, marks, again) for file, excerpts in by_file.items())

    def _listing(
        self,
        file: str,
        excerpts: list[Excerpt],
        marks: dict[tuple[str, int], list[FindingView]],
        again: dict[tuple[str, int], Counter[str]],
    ) -> Listing:
        lines: list[Line] = []
        last = 0
        for excerpt in excerpts:
            for at, text in enumerate(excerpt.text.split("\n"), excerpt.first):
                found = tuple(marks.get((file, at), ()))
                as_in = tuple(f"{plural(count, 'finding')} as in {where}" for where, count in again.get((file, at), {}).items())
                lines.append(Line(at, self._anchors[file, at], text, found, as_in, at - last - 1))
                last = at
        return Listing(self.options.file(file), tuple(lines), excerpts[-1].lines - last)


TROUBLE = ("shut", "unknown", "partly", "dry", "wet", "mist", "idle")  # which operation to show first


def trouble(row: OperationRow, marks: int) -> tuple[int, int, int]:
    """How much an operation needs a look: by its fluid, by what was found, by how long its chain is."""
    return TROUBLE.index(state_of(row).name), -marks, -max((len(chain.links) for chain in row.chains), default=0)


def asks(missing: Missing) -> bool:
    """Is this a question that somebody can answer, or the reason why there is no number."""
    return bool(missing.field) or missing.question.endswith("?")


def figures(row: OperationRow, units: Units = METRIC) -> Iterator[tuple[str, str]]:
    """The numbers of an operation; what is not known says so."""
    told = (
        ("depth", row.depth_mm, "mm"),
        ("diameter", row.diameter_mm, "mm"),
        ("feed", row.feed_mm_min, "mm/min"),
        ("speed", row.rpm, "rpm"),
    )
    for name, value, unit in told:
        yield name, units.told(value, unit, absent="not known")
    yield "time", duration(row.seconds)
    if row.peck_s != 0:
        yield "lost to pecking", duration(row.peck_s)
    if row.holes:
        yield "holes", str(len(row.holes))


def chain_view(chain: ChainRow) -> ChainView:
    """A delivery chain, each link before the weak one, the weak one itself, or beyond it."""
    weak = next((at for at, link in enumerate(chain.links) if link.passes != "yes"), len(chain.links))
    links = tuple(
        LinkView(
            words(link.name),
            icons.link(link.name),
            icons.flag(link.passes),
            PASSES[link.passes] if link.passes != "no" or at == weak else "stops as well",
            link.says,
            "before" if at < weak else "weak" if at == weak else "beyond",
        )
        for at, link in enumerate(chain.links)
    )
    state = chain_state(chain)
    says = NOT_SAID if chain.weakest == "commanded" and chain.links[0].passes == "unknown" else state.says
    return ChainView(words(chain.mode), says, state, words(chain.result), links)


def bar_views(row: OperationRow, need: Need, units: Units = METRIC) -> Iterator[BarView]:
    """Pressure and flow of one operation, as far as either side is known."""
    is_commanded = any(mode.startswith("through_tool") for mode in row.fluid)
    pairs = (("pressure", "bar", need.needed_bar, need.there_bar), ("flow", "L/min", need.needed_l_min, need.there_l_min))
    for name, metric, *sides in pairs:
        needed, there = (None if side is None else units.value(side, metric) for side in sides)
        unit = units.name(metric)
        if needed is None and there is None:
            continue
        note = "" if is_commanded or there is None else "through the tool, were it commanded"
        svg = bars.bar(name, unit, needed, there, is_commanded)
        yield BarView(name, svg, bars.words(unit, needed, there), bars.margin(needed, there) if is_commanded else "", note)


def which(history: History, units: Units = METRIC) -> str:
    """Which holes: how many, and where the first is."""
    first = history.holes[0]
    along = zip("XYZ", (first.x_mm, first.y_mm, first.z_mm), strict=True)
    where = " ".join(f"{axis}{units.number(at, 'mm')}" for axis, at in along if at is not None and axis != first.axis.upper())
    name = f"hole {first.number} at {where}" if where else f"hole {first.number}"
    return name if len(history.holes) == 1 else f"{plural(len(history.holes), 'hole')}, first {name}"


def step_view(history: History, at: int, state: dict[int, State], fluid: dict[int, str], units: Units) -> StepView:
    """One step of a history as cells; "?" is not known."""
    step: StepRow = history.steps[at]
    ratio = slenderness(step)
    return StepView(
        tool=tool_name(step.tool) or "?",
        kind=words(step.kind),
        size=units.number(step.diameter_mm, "mm"),
        depth=units.number(step.depth_mm, "mm"),
        ratio=f"{ratio:.1f}" if ratio else "?",
        strokes=stroke_words(step),
        time=time_words([hole.steps[at].seconds for hole in history.holes]),
        state=state[step.operation],
        fluid=fluid[step.operation],
    )
