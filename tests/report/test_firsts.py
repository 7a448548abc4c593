"""Which fields to fill in first: those for which most rules wait, one line for the same field of several records."""

from dataclasses import replace

from made_reviews import ONE_PASS, OPTIONS, REVIEW, SEALED

from coolcheck.known import Missing
from coolcheck.place import Place
from coolcheck.report.firsts import first_fields, first_lines

CODES = Missing("machine", "codes", "what does M57 do on this machine?", Place("machines/m.yaml"))
OTHER = replace(CODES, question="what does M29 do on this machine?")
NOBODY = Missing("physics", "", "no heat model for this kind of work")


def holder(name):
    return replace(SEALED, record=f"holder {name}", place=Place(f"holders/{name}.yaml"))


def asking(rules, *missing):
    return replace(ONE_PASS, missing=missing, rules=tuple(f"rule-{at}" for at in range(rules)))


def told(*findings):
    return " ".join(" ".join(first_lines(replace(REVIEW, findings=findings), OPTIONS)).split())


def test_the_field_for_which_most_rules_wait_is_first():
    findings = (asking(1, SEALED), asking(7, CODES, SEALED))

    assert [(first.missing, first.rules) for first in first_fields(replace(REVIEW, findings=findings))] == [
        (CODES, 7),
        (SEALED, 1),
    ]
    assert told(*findings).startswith(
        "2 fields would decide something. Begin with these; in front, how many rules wait for each: "
        "7 what does M57 do on this machine? (`codes` in machines/m.yaml) 1 is the collet sealed"
    )


def test_the_same_field_of_several_records_is_one_line():
    shown = told(asking(3, holder("collet-10"), holder("collet-9"), holder("chuck")))

    assert "(`sealed` in holders/collet-10.yaml); likewise of chuck and collet-9 In files" in shown


def test_several_questions_about_one_field_are_counted():
    assert "(`codes` in machines/m.yaml); and 1 more question about it" in told(asking(3, CODES, OTHER))


def test_what_nobody_can_answer_and_a_program_without_questions_have_no_list():
    assert told(asking(1, NOBODY)) == "" and told() == ""
