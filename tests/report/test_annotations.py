import io
from dataclasses import replace

from made_reviews import BROKEN, DEEP_PECK, LEFT_ON, OPTIONS, REVIEW

from coolcheck.place import Place
from coolcheck.report import annotations


def lines(*reviews):
    out = io.StringIO()
    annotations.render(reviews, out, OPTIONS)
    return out.getvalue().splitlines()


def commands(*reviews):
    return [line for line in lines(*reviews) if line.startswith("::")]


def test_a_finding_becomes_a_command_at_its_place():
    assert commands(REVIEW)[0] == (
        "::error file=programs/O1203.nc,line=214,col=1,endColumn=12,title=deep-peck-with-capable-drill"
        "::T12 pecks 14 times where its record allows one pass. drill in one stroke"
    )


def test_what_cannot_be_decided_is_a_warning_and_says_so():
    start = "::warning file=programs/O1203.nc,line=230,col=1,title=one-pass-not-proved (cannot be decided)::"

    assert commands(REVIEW)[1].startswith(start)


def test_columns_are_left_out_where_a_finding_runs_over_lines():
    over = replace(DEEP_PECK, where=Place("O1.nc", 3, 2, 5, 4))

    assert commands(replace(REVIEW, findings=(over,)))[0].startswith("::error file=O1.nc,line=3,endLine=5,title=")


def test_text_is_escaped_as_the_runner_reads_it():
    odd = replace(LEFT_ON, says="100 %\r\n::error::x", where=Place("a,b:c%.nc", 1))

    start = "::notice file=a%2Cb%3Ac%25.nc,line=1,title=fluid-on-at-tool-change::100 %25%0D%0A::error::x"
    assert commands(replace(REVIEW, findings=(odd,)))[0].startswith(start)


def test_no_more_are_set_than_are_shown_and_the_worst_come_first():
    many = replace(REVIEW, findings=(LEFT_ON,) * 12 + (DEEP_PECK,) * 12)

    shown = commands(many)

    assert sum(line.startswith("::error") for line in shown) == 10
    assert sum(line.startswith("::notice") for line in shown) == 10
    assert shown[0].startswith("::error")
    assert shown[-1] == "::notice title=coolcheck::5 more findings are not shown as annotations; the list below has all"


def test_the_plain_list_holds_every_finding_and_starts_no_command():
    hostile = replace(LEFT_ON, where=Place("::set-output name=x::y", 1), says="a\n::error::b")
    listed = [line for line in lines(replace(REVIEW, findings=(*REVIEW.findings, hostile)), BROKEN) if not line.startswith("::")]

    assert len(listed) == 5
    assert listed[-1].startswith(".::set-output")
    assert not any(line.lstrip().startswith("::") for line in listed)
