import io
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as profile
from hypothesis import strategies as st

from coolcheck.errors import InputError
from coolcheck.folder.one import Settings, name_beside, process_file, review_bytes, review_file
from coolcheck.report import FORMATS
from coolcheck.report.options import Options

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
DAY = date(2026, 1, 15)


def settings(**more):
    return Settings(today=DAY, base=SAMPLES, **more)


@pytest.fixture(autouse=True)
def in_the_samples(monkeypatch):
    monkeypatch.chdir(SAMPLES)


def test_a_program_is_reviewed_with_the_records_its_job_names():
    review = review_file(SAMPLES / "programs/deep-hole-plate.nc", settings())

    assert review.is_reviewed
    assert review.program == "programs/deep-hole-plate.nc"
    assert [bound.name for bound in review.bound] == ["cooling plate OP30", "Halden 4", "C45 annealed", "emulsion 8 %"]
    assert len(review.holes) == 6
    assert "deep-peck-with-capable-drill" in {finding.rule for finding in review.findings}


def test_the_review_of_bytes_under_a_name_is_that_of_the_file():
    data = (SAMPLES / "programs/manifold-drill-tap.nc").read_bytes()

    from_file = review_file(Path("programs/manifold-drill-tap.nc"), settings())
    from_bytes = review_bytes(data, "programs/manifold-drill-tap.nc", settings())

    assert from_bytes.findings == from_file.findings
    assert from_bytes.sha256 == from_file.sha256


@pytest.mark.parametrize(("name", "dialect"), [("-", ""), ("-", "word-address-mill"), ("programs/deep-hole-plate.nc", "")])
def test_whole_units_are_an_assumption_where_nobody_names_the_dialect(name, dialect):
    data = b"G21 G17 G90 G94 G98\nT5 M6\nG54 G0 X10 Y10 S3000 M3\nG43 H5 Z50 M8\nG81 Z-40 R2 F600\nG80\nM9\nM30\n"

    found = {finding.rule for finding in review_bytes(data, name, settings(dialect=dialect)).findings}

    assert ("assumed-whole-units" in found) is (name == "-" and not dialect)


def test_another_job_gives_another_review():
    without_pump = settings(job=Path("deep-hole-plate-no-pump.job.yaml"))

    rules = {finding.rule for finding in review_file(Path("programs/deep-hole-plate.nc"), without_pump).findings}

    assert "deep-peck-with-capable-drill" not in rules
    assert rules


def test_every_finding_that_points_into_the_program_can_quote_its_line():
    review = review_file(Path("programs/hand-written-messy.nc"), settings())
    lines = (SAMPLES / "programs/hand-written-messy.nc").read_text().splitlines()

    inside = [f.where for f in review.findings if f.where.file == review.program and f.where.line]
    assert inside
    assert all(review.quotes[place.file, place.line] == lines[place.line - 1] for place in inside)


@pytest.mark.parametrize("name", ["programs/nowhere.nc", "programs"])
def test_what_cannot_be_read_is_a_review_that_says_why(name):
    review = review_file(Path(name), settings())

    assert not review.is_reviewed
    assert review.problems[0].place.file == name
    assert review.readiness.verdict == "cannot tell"


def test_a_dialect_that_is_not_there_is_told():
    review = review_file(Path("programs/clean-bracket.nc"), settings(dialect="nowhere-mill"))

    assert "there is no such dialect" in review.problems[0].says


def test_a_process_alone_cannot_be_had_from_a_file_that_is_not_there():
    with pytest.raises(InputError, match="cannot be read"):
        process_file(Path("programs/nowhere.nc"), settings())


def test_a_program_without_name_and_job_has_no_records():
    review = review_bytes(b"%\nG21 G90\nT1 M6\nM30\n%\n", "", settings())

    assert review.is_reviewed
    assert [bound.name for bound in review.bound] == ["", "", "", ""]


def test_a_starting_line_names_programs_as_seen_from_beside_it():
    assert name_beside("programs/a.nc", Path("programs/line.json")) == "a.nc"
    assert name_beside("programs/a.nc", Path("line.json")) == "programs/a.nc"


BLOCKS = sorted({line for path in (SAMPLES / "programs").glob("*.nc") for line in path.read_bytes().splitlines(keepends=True)})


@profile(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=200) | st.lists(st.sampled_from(BLOCKS) | st.binary(max_size=12), max_size=40).map(b"".join))
def test_whatever_the_bytes_there_is_a_review_in_every_format(data):
    review = review_bytes(data, "programs/deep-hole-plate.nc", settings())

    assert review.is_reviewed, review.problems
    for form in FORMATS.values():
        out = io.StringIO()
        form.render([review], out, Options(base=SAMPLES, evidence="full"))
        assert out.getvalue()
