"""Where a mistake in a condition stands in its file, and what is told of it."""

import pytest

from coolcheck.errors import RuleError
from coolcheck.judge.language import ConditionError, Source, nearest, parsed
from coolcheck.place import Place

FOLDED = Source(
    "depth > 40 milimetre and hardens", Place("ours.yaml", 7, 11), "depth > 40\n      milimetre and hardens\n    says: too deep"
)
ANYTHING_BEHIND = "), *, +, -, /, > >= < <= or =, `is none of`, `is not`, `is one of`, and, includes, is, or"


def test_a_mistake_in_the_first_line_of_a_value_stands_behind_its_key():
    problem = FOLDED.problem(8, "no length", "write a unit")

    assert problem.place == Place("ours.yaml", 7, 19)
    assert problem.says == "no length\n    depth > 40\n            ^"
    assert problem.do == "Write a unit."


def test_a_mistake_in_a_further_line_of_a_value_stands_in_that_line():
    problem = FOLDED.problem(11, "no unit")

    assert problem.place == Place("ours.yaml", 8, 7)
    assert problem.says == "no unit\n    milimetre and hardens\n    ^"
    assert FOLDED.problem(21, "no").says == "no\n    milimetre and hardens\n              ^"


@pytest.mark.parametrize(
    ("text", "at", "says"),
    [
        ("hardens & sealed", 8, f"`&` cannot stand here; expected: {ANYTHING_BEHIND}"),
        ("hardens sealed", 8, f"`sealed` cannot stand here; expected: {ANYTHING_BEHIND}"),
        ("(hardens", 8, "the condition ends here; expected: )"),
        ("kind is", 7, 'the condition ends here; expected: a name, words in "quotes"'),
        ("hardens and", 11, "the condition ends here; expected: (, -, a name, a number, not, some, every or no"),
    ],
)
def test_what_can_stand_at_a_place_is_told_in_words(text, at, says):
    with pytest.raises(RuleError) as wrong:
        parsed(Source(text))

    (problem,) = wrong.value.problems
    assert problem.says == f"{says}\n    {text}\n    {' ' * at}^"
    assert problem.place == Place("condition", 1, at + 1)


def test_no_more_than_two_spellings_are_offered_the_nearest_first():
    assert nearest("depht", ["depth", "depths", "dept", "width"]) == "did you mean `dept` or `depth`?"
    assert nearest("depht", ["pressure"]) == nearest("depht", []) == ""


def test_a_mistake_says_itself_and_where_it_is():
    wrong = ConditionError(3, "no unit", "write one")

    assert (str(wrong), wrong.position, wrong.says, wrong.do) == ("no unit", 3, "no unit", "write one")
