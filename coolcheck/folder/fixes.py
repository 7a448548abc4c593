"""The changes that would mend the findings of a review, each proved by itself, for formats that carry fixes."""

from collections.abc import Iterator
from dataclasses import replace
from difflib import SequenceMatcher

from coolcheck.errors import CoolcheckError
from coolcheck.folder.one import STDIN, Settings
from coolcheck.judge.finding import Finding
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rules import load_rules
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.records.binding import bind
from coolcheck.report.review import Fix, Review
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.targets import Choice


def with_fixes(review: Review, settings: Settings) -> Review:
    """The review with a fix for every finding that a proved rewrite mends; what is refused or not proved has none."""
    if not review.is_reviewed or review.program == STDIN:
        return review
    try:
        return replace(review, fixes=tuple(_fixes(review, settings)))
    except UnicodeDecodeError:  # a fix is text; lines in another encoding could not be put back byte for byte
        return review


def _fixes(review: Review, settings: Settings) -> Iterator[Fix]:
    path = settings.base / review.program
    binding = bind(path, settings.job)
    bench = Bench.of(binding, settings.dialect)
    rules = load_rules((*binding.rules_folders, *settings.rules), process_words(settings.today))
    data = path.read_bytes()
    done: dict[tuple[str, str], Rewrite | None] = {}
    for finding in review.findings:
        tool = dict(finding.subject).get("tool", "")
        if not finding.mends or finding.verdict != "holds" or not finding.fingerprint:
            continue
        key = (finding.rule, tool)
        if key not in done:
            choice = Choice(frozenset({finding.rule, tool} - {""}))
            try:
                done[key] = rewrite(data, review.program, bench, choice, settings.today, rules)
            except CoolcheckError:
                done[key] = None  # not proved: no fix is offered, and the finding stands as it is
        made = done[key]
        if made is not None and made.is_changed:
            yield _fix(finding, made, bench)


def _fix(finding: Finding, made: Rewrite, bench: Bench) -> Fix:
    before, after = bench.program(made.original, made.name), bench.program(made.result, made.name)
    reasons = tuple(dict.fromkeys(edit.reason for stage in made.stages for edit in stage.edits))
    return Fix(finding.fingerprint, "; ".join(reasons), tuple(_edits(before, after)))


def _edits(before: Program, after: Program) -> Iterator[tuple[Place, str]]:
    """Whole lines to replace, each with its place in the unedited program and the text to stand there."""
    old, new = _lines(before), _lines(after)
    for what, low, high, start, stop in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what == "equal":
            continue
        yield Place(before.source.name, low + 1, 1, high + 1, 1), "".join(new[start:stop])


def _lines(program: Program) -> list[str]:
    """The lines with their line ends, as text that an editor would show."""
    source = program.source
    raw = (source.text[source.starts[i] : source.ends[i]] + source.line_end(i) for i in range(len(program)))
    return [line.decode("utf-8") for line in raw]
