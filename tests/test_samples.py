"""What the review of each sample program must say, and what it must not: the shop's own list, apart from the golden files."""

from datetime import date
from pathlib import Path

import pytest

from coolcheck.folder.one import Settings, review_file
from coolcheck.report.review import Review

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "samples"

# program → (line, rule) that must be told; "?" in front marks an open question
MUST = {
    "manifold-drill-tap": {
        (32, "deep-peck-with-capable-drill"),  # T5: everything known, and pecked with flood
        (44, "?fluid-holes-not-used"),  # T6: nobody has looked at its collet
        (81, "fluid-stopped-in-the-holder"),  # T10: a tapping chuck without a passage
    },
    "aluminium-pocket": {
        (25, "aluminium-at-speed-with-dry-moments"),  # M9 and M8 in the middle of the pocket
        (79, "one-stroke-too-deep-for-flood"),  # 4.4 diameters on a machine that is only prepared
    },
    "steel-face-finish": {
        (27, "dry-rough-then-wet-finish"),
        (44, "fluid-switched-in-the-cut"),
    },
    "deep-hole-plate": {
        (27, "deep-peck-with-capable-drill"),
        (27, "full-speed-into-the-pilot"),
    },
    "bolt-circle-macro": {(48, "chips-not-cleared-before-tap")},
    "hand-written-messy": {
        (16, "other-length-offset"),
        (18, "dry-drilling"),
        (19, "unreadable-block"),
        (22, "builder-m-code"),
        (27, "?fluid-the-machine-has-not"),
        (33, "missing-subprogram"),
        (37, "unreachable-blocks"),
    },
    "nickel-ring": {
        (13, "liquid-on-ceramic-or-cbn"),
        (24, "dwell-in-hardening-material"),
        (24, "full-retract-pecks-in-hardening-material"),
        (37, "tap-in-hole-pecked-with-flood"),
        (49, "fluid-after-the-edge-cuts"),
    },
    "clean-bracket": set(),
}


def reviewed(program: str, job: str = "") -> Review:
    settings = Settings(today=date(2026, 11, 25), base=ROOT, job=SAMPLES / f"{job}.job.yaml" if job else None)
    return review_file(SAMPLES / "programs" / f"{program}.nc", settings)


def told(review: Review) -> set[tuple[int, str]]:
    return {(f.where.line, f.rule if f.verdict == "holds" else f"?{f.rule}") for f in review.findings}


@pytest.mark.parametrize("program", sorted(MUST))
def test_each_sample_is_told_what_it_must_be_told(program: str) -> None:
    assert MUST[program] <= told(reviewed(program))


def test_every_sample_program_is_in_the_list() -> None:
    assert set(MUST) == {path.stem for path in (SAMPLES / "programs").glob("*.nc")}


def test_the_clean_program_passes() -> None:
    review = reviewed("clean-bracket")

    assert review.findings == ()
    assert review.readiness.verdict == "ready"


def test_no_sample_but_the_clean_ones_is_ready_by_silence() -> None:
    verdicts = {program: reviewed(program).readiness.verdict for program in MUST}

    assert {program for program, verdict in verdicts.items() if verdict == "ready"} == {"clean-bracket", "bolt-circle-macro"}


def test_without_the_pump_no_drill_is_called_capable() -> None:
    for job in ("manifold-drill-tap-no-pump", "deep-hole-plate-no-pump"):
        review = reviewed(job.removesuffix("-no-pump"), job)
        assert not {rule for _, rule in told(review)} & {"deep-peck-with-capable-drill", "?deep-peck-with-capable-drill"}
        assert "fluid-only-prepared" in {rule for _, rule in told(review)}


def test_behind_a_closed_pull_stud_no_drill_is_called_capable() -> None:
    found = told(reviewed("manifold-drill-tap", "manifold-drill-tap-closed-stud"))

    assert (32, "deep-peck-with-capable-drill") not in found
    assert (32, "?deep-peck-with-capable-drill") not in found  # that is known, and it is no


@pytest.mark.parametrize("program", sorted(MUST))
def test_no_finding_is_told_twice(program: str) -> None:
    findings = reviewed(program).findings

    assert len({(f.rule, f.where, f.says) for f in findings}) == len(findings)
