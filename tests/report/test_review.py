from dataclasses import replace

import pytest
from made_reviews import BROKEN, CLEAN, DEEP_PECK, LEFT_ON, ONE_PASS, OPTIONS, REVIEW

from coolcheck.report import FORMATS
from coolcheck.report.options import FAIL_ON
from coolcheck.report.review import counts, exit_code, harm


def options(fail_on, counts_undecided=True):
    return replace(OPTIONS, fail_on=fail_on, counts_undecided=counts_undecided)


@pytest.mark.parametrize("fail_on", FAIL_ON)
def test_a_threshold_includes_every_level_above_it(fail_on):
    counted = [level for level in ("error", "warning", "note") if counts(replace(DEEP_PECK, level=level), options(fail_on))]

    assert counted == ["error", "warning", "note"][: FAIL_ON.index(fail_on) + 1] if fail_on != "never" else counted == []


def test_what_cannot_be_decided_counts_at_its_level_unless_told_otherwise():
    assert counts(ONE_PASS, options("error"))
    assert not counts(ONE_PASS, options("error", counts_undecided=False))
    assert not counts(replace(ONE_PASS, level="warning"), options("error"))


def test_a_program_that_could_not_be_reviewed_is_never_a_success():
    assert exit_code([CLEAN, BROKEN], options("never")) == 2
    assert exit_code([CLEAN], options("note")) == 0
    assert exit_code([], options("note")) == 0


def test_findings_of_several_programs_are_sorted_by_harm():
    assert sorted([LEFT_ON, ONE_PASS, DEEP_PECK], key=harm) == [DEEP_PECK, ONE_PASS, LEFT_ON]


def test_every_format_is_listed_once_under_its_own_name():
    assert {name: form.NAME for name, form in FORMATS.items()} == {name: name for name in FORMATS}
    assert set(FORMATS) >= {"text", "json", "sarif", "junit", "code-quality", "annotations"}


@pytest.mark.parametrize("name", FORMATS)
def test_the_same_reviews_give_the_same_bytes(name):
    import io

    def once():
        out = io.StringIO()
        FORMATS[name].render([REVIEW, BROKEN, CLEAN], out, OPTIONS)
        return out.getvalue()

    assert once() == once()
    assert str(OPTIONS.base) not in once()
