"""Fixes that a review carries are the rewrites that are proved, and nothing else."""

from datetime import date
from pathlib import Path

from coolcheck.folder.fixes import with_fixes
from coolcheck.folder.one import Settings, review_file
from coolcheck.place import Place
from coolcheck.rewrite.desk import at_desk

ROOT = Path(__file__).resolve().parents[2]
SETTINGS = Settings(today=date(2026, 11, 25), base=ROOT)


def applied(text: str, edits: tuple[tuple[Place, str], ...]) -> str:
    """The text with the edits made, from the last to the first, as a reader of the format would."""
    lines = text.splitlines(keepends=True)
    for place, new in sorted(edits, key=lambda edit: edit[0], reverse=True):
        assert (place.column, place.end_column) == (1, 1)
        lines[place.line - 1 : place.end_line - 1] = new.splitlines(keepends=True)
    return "".join(lines)


def test_a_fix_makes_what_the_rewrite_of_that_rule_makes(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(ROOT)
    path = Path("samples/programs/deep-hole-plate.nc")
    review = with_fixes(review_file(path, SETTINGS), SETTINGS)
    fixes = {fix.fingerprint: fix for fix in review.fixes}
    mended = [finding for finding in review.findings if finding.fingerprint in fixes]

    assert "deep-peck-with-capable-drill" in {finding.rule for finding in mended}
    for finding in mended:
        tool = dict(finding.subject).get("tool")
        only = [finding.rule, *([tool] if tool else [])]
        expected = at_desk(path, None, "", only, [], SETTINGS.today).done.result
        assert applied(path.read_text(), fixes[finding.fingerprint].edits).encode() == expected


def test_what_is_refused_has_no_fix(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(ROOT)
    settings = Settings(today=SETTINGS.today, base=ROOT, job=Path("samples/manifold-drill-tap-no-pump.job.yaml"))
    review = with_fixes(review_file(Path("samples/programs/manifold-drill-tap.nc"), settings), settings)

    assert not [f for f in review.fixes if "pecks" in f.says or "one pass" in f.says]


def test_a_review_that_failed_stays_as_it_is() -> None:
    review = review_file(ROOT / "no-such-program.nc", SETTINGS)

    assert with_fixes(review, SETTINGS) is review
