"""A rule file that is wrong: each mistake is told where it stands, with what stands there and what may."""

from dataclasses import replace
from pathlib import Path

import pytest

from coolcheck import yamltext
from coolcheck.errors import RuleError
from coolcheck.judge.rulefile import RuleFile
from coolcheck.judge.rules import check_all, load_rules
from coolcheck.judge.scene import Scene
from coolcheck.judge.template import Template
from coolcheck.judge.terms import Limit
from coolcheck.place import Place
from tests.judge.conftest import WORDS as SMALL
from tests.judge.test_rules import WORDS, shop

RULE = """\
rules:
  very-deep:
    scope: operation
    level: note
    when: depth > 40 mm
    says: "{name} goes {depth} deep"
    asks: "does {name} go deep?"
    why: because
    do: look
    basis: common practice, no source
    mended at: program
"""
COSTS = "change:\n  pecking-costs-minutes: "
NEEDED = "scope, level, when, says, asks, why, do, basis, mended at"


def told(text: str, folder: Path) -> tuple[tuple[int, int], str, str]:
    with pytest.raises(RuleError) as wrong:
        load_rules(shop(folder, text), WORDS)
    (problem,) = wrong.value.problems
    assert problem.place.file.endswith("ours.yaml") and not problem.place.end_line
    return (problem.place.line, problem.place.column), problem.says, problem.do


@pytest.mark.parametrize(
    ("text", "place", "says", "do"),
    [
        ("", (0, 0), "a rule file has the keys `group`, `rules` and `change`", "Write `rules:` and the ids below it."),
        ("rule: {}\n", (1, 1), "`rule` is no key of a rule file", "Did you mean `rules`?"),
        ("zzz: {}\n", (1, 1), "`zzz` is no key of a rule file", "Remove it."),
        ("rules: [1]\n", (1, 8), "`rules` must hold rules by their ids", "Write the id, a colon, and its keys below it."),
        ("change: 4\n", (1, 9), "`change` must hold rules by their ids", "Write the id, a colon, and its keys below it."),
        ("rules:\n  very-deep: 4\n", (2, 3), "the rule `very-deep` must have keys", f"It needs {NEEDED}."),
    ],
)
def test_a_file_of_another_form_is_refused(text, place, says, do, tmp_path):
    assert told(text, tmp_path) == (place, says, do)


NO_ID = "Name what is wrong, in plain lower-case words joined by hyphens."
NO_TEXT = 'Write it in "quotes" where it holds a colon or begins with a bracket.'
NO_LIMIT = "Write `{value: 5 mm, says: what it limits}`."


@pytest.mark.parametrize(
    ("old", "new", "place", "says", "do"),
    [
        ("very-deep", "Very-Deep", (2, 3), "`Very-Deep` is no id", NO_ID),
        ("very-deep", "very_deep", (2, 3), "`very_deep` is no id", NO_ID),
        ("    why: because\n", "", (2, 3), "the rule `very-deep` lacks `why`", f"A rule needs {NEEDED}."),
        ("why: because", "why: ", (8, 9), "`why` must be a text", NO_TEXT),
        ("why: because", 'why: ""', (8, 10), "`why` must be a text", NO_TEXT),
        ("why: because", "why: [a]", (8, 10), "`why` must be a text", NO_TEXT),
        ("why: because", "why: {a: b}", (8, 10), "`why` must be a text", NO_TEXT),
        ("    why", "    wyh: because\n    why", (8, 5), "`wyh` is no key of the rule `very-deep`", "Did you mean `why`?"),
        ("level: note", "level: bad", (4, 12), "`level` cannot be `bad`", "It can be error, warning, note."),
        ("level: note", "level: notes", (4, 12), "`level` cannot be `notes`", "Did you mean `note`?"),
        ("do: look", "do: look\n    limits: 4", (10, 13), "`limits` must hold named values", "Write `deep: {value: 5, says: depth over diameter …}`."),
        ("do: look", "do: look\n    limits: {deep: 4}", (10, 20), "the limit `deep` needs `value` and `says`", NO_LIMIT),
        ("do: look", "do: look\n    limits: {deep: {value: 4}}", (10, 20), "the limit `deep` needs `value` and `says`", NO_LIMIT),
        ("do: look", "do: look\n    limits: {deep: {says: x}}", (10, 20), "the limit `deep` needs `value` and `says`", NO_LIMIT),
        ("do: look", "do: look\n    limits: {deep: {value: 4, says: x, zz: y}}", (10, 40), "`zz` is no key of the limit `deep`", "It may have value, says."),
        ("do: look", "do: look\n    limits: {deep: {value: nan, says: x}}", (10, 28), "`nan` is no number with a unit", "Write a number, a blank and a unit: `40 mm`."),
        ("do: look", "do: look\n    limits: {deep: {value: 4 mmm, says: x}}", (10, 28), "`mmm` is no unit that is known here", "Did you mean `mm`?"),
    ],
)  # fmt: skip
def test_a_rule_that_is_not_complete_and_right_is_refused(old, new, place, says, do, tmp_path):
    assert told(RULE.replace(old, new, 1), tmp_path) == (place, says, do)


@pytest.mark.parametrize(
    ("keys", "place", "says", "do"),
    [
        ("4", (2, 3), "the change of `pecking-costs-minutes` must have keys", "It may have level, limits, off, reason."),
        ("{}", (2, 3), "the change of `pecking-costs-minutes` must have keys", "It may have level, limits, off, reason."),
        ("{zzzz: 4}", (2, 27), "`zzzz` is no key of the change of `pecking-costs-minutes`", "It may have level, limits, off, reason."),
        ("{limits: 4}", (2, 35), "`limits` must hold named values", "Write `limits: {deep: 4}`."),
        ("{limits: {zz: 3}}", (2, 36), "`pecking-costs-minutes` has no limit `zz`", "It has worth."),
        ("{off: 3}", (2, 32), "`off` cannot be `3`", "Write `off: yes`."),
        ("{off: yes, reason: '  '}", (2, 3), "`pecking-costs-minutes` is switched off without a reason", "Write `reason:` beside `off: yes`."),
        ("{off: yes, reason: 4}", (2, 3), "`pecking-costs-minutes` is switched off without a reason", "Write `reason:` beside `off: yes`."),
        ("{limits: {worth: 10 mm}}", (2, 43), "`worth` is a time; `10 mm` is a length", "Write it like `30 s`."),
    ],
)  # fmt: skip
def test_a_change_that_cannot_be_made_is_refused(keys, place, says, do, tmp_path):
    assert told(COSTS + keys + "\n", tmp_path) == (place, says, do)


def test_a_change_of_what_is_not_there_is_refused(tmp_path):
    nowhere = told("change:\n  zzzzzz: {level: note}\n", tmp_path / "a")
    limitless = told("change:\n  cut-without-spindle: {limits: {zz: 3}}\n", tmp_path / "b")

    assert nowhere == ((2, 3), "there is no rule `zzzzzz`", "`coolcheck explain --all` lists the rules.")
    assert limitless == ((2, 34), "`cut-without-spindle` has no limit `zz`", "It has none.")


def test_what_is_right_in_a_change_is_made_and_all_else_stays(tmp_path):
    before = {rule.id: rule for rule in load_rules()}["pecking-costs-minutes"]

    def changed(keys: str):
        return {rule.id: rule for rule in load_rules(shop(tmp_path / keys[1:4], COSTS + keys + "\n"), WORDS)}[before.id]

    assert changed("{level: error}").level == "error" and before.level != "error"
    for off in ("no", "false"):
        assert changed(f"{{off: {off}}}").off == ""
    assert changed("{off: true, reason: ' ours '}").off == "ours"
    worth = changed("{limits: {worth: 2 min}}").limits["worth"]
    assert worth == Limit("worth", pytest.approx(120.0), before.limits["worth"].dimension, "2 min", before.limits["worth"].says)


def test_a_rule_has_all_that_is_written_of_it(tmp_path):
    text = (
        "group: ours\n"
        + RULE
        + "    at: name\n    together: program\n    mends: single_pass\n    limits: {far: {value: 2 m, says: a way}}\n"
    )
    file = RuleFile("ours.yaml", text.encode(), ships=False)
    (rule,) = file.rules()

    assert not file.problems
    assert (rule.id, rule.group, rule.scope, rule.level, rule.why, rule.basis) == (
        "very-deep", "ours", "operation", "note", "because", "common practice, no source",
    )  # fmt: skip
    assert (rule.mended_at, rule.at, rule.together, rule.mends, rule.ships) == (
        "program",
        "name",
        "program",
        "single_pass",
        False,
    )
    assert (rule.do, rule.says, rule.asks) == (
        Template("look"), Template("{name} goes {depth} deep"), Template("does {name} go deep?"),
    )  # fmt: skip
    assert (rule.place.file, rule.place.line, rule.place.column) == ("ours.yaml", 3, 3)
    assert (rule.do.place.line, rule.do.place.column) == (10, 9)
    assert rule.limits == {"far": Limit("far", 2.0, (1, 0, 0, 0), "2 m", "a way")}


def test_a_rule_that_says_no_more_is_told_for_each_tool_of_our_group(tmp_path):
    (rule,) = RuleFile("ours.yaml", RULE.encode(), ships=False).rules()

    assert (rule.group, rule.together, rule.at, rule.mends, rule.off) == ("ours", "tool", "", "", "")


def test_a_note_needs_no_condition(tmp_path):
    keys = ("when", "says", "asks")
    note = "".join(line for line in RULE.splitlines(True) if line.strip().split(":")[0] not in keys).replace("operation", "note")
    file = RuleFile("ours.yaml", note.encode(), ships=True)
    (rule,) = file.rules()

    assert (rule.scope, rule.when, rule.says, rule.ships) == ("note", None, Template(""), True)
    bare = RuleFile("ours.yaml", note.replace("    why: because\n", "").encode(), ships=True)
    assert list(bare.rules()) == []
    assert bare.problems[0].do == "A rule needs scope, level, why, do, basis, mended at."


def test_shipped_rules_do_not_change_shipped_rules():
    file = RuleFile("ours.yaml", (COSTS + "{level: note}\n").encode(), ships=True)

    (problem,) = file.problems
    assert (problem.place, problem.says, problem.do) == (
        Place("ours.yaml", 1, 1), "shipped rules are not changed by shipped rules", "Change the rule itself.",
    )  # fmt: skip


def test_a_file_that_cannot_be_read_or_is_too_long_is_refused_by_its_name(tmp_path):
    with pytest.raises(RuleError) as nothing:
        RuleFile.read(tmp_path / "none.yaml", "none.yaml", ships=False)
    (problem,) = nothing.value.problems
    assert (problem.place.file, problem.says) == ("none.yaml", "this file cannot be read: No such file or directory")

    (tmp_path / "long.yaml").write_bytes(b"#" * (yamltext.MOST_BYTES + 1))
    with pytest.raises(RuleError) as long:
        RuleFile.read(tmp_path / "long.yaml", "long.yaml", ships=False)
    assert long.value.problems[0].place.file == "long.yaml"


def test_a_folder_of_rules_that_is_not_there_is_told_with_what_to_mend(tmp_path):
    with pytest.raises(RuleError) as wrong:
        load_rules([tmp_path / "nowhere"])

    (problem,) = wrong.value.problems
    assert (problem.place.file, problem.says, problem.do) == (
        str(tmp_path / "nowhere"), "this folder of rules is not there", "Mend `rules` in the job file.",
    )  # fmt: skip


def test_an_id_that_is_there_already_is_refused_and_says_where(tmp_path):
    (tmp_path / "a.yaml").write_text(RULE)
    (tmp_path / "b.yaml").write_text("group: b\n" + RULE)
    with pytest.raises(RuleError) as twice:
        load_rules([tmp_path])
    (problem,) = twice.value.problems
    assert (problem.place.file, problem.place.line) == (str(tmp_path / "b.yaml"), 3)
    assert problem.says == f"the rule `very-deep` is there already ({tmp_path / 'a.yaml'}:2:3)"
    assert problem.do == "Give it another id."


def test_the_id_of_a_shipped_rule_is_refused_and_says_how_to_alter_that(tmp_path):
    shipped = next(rule for rule in load_rules() if rule.id == "cut-without-spindle")
    with pytest.raises(RuleError) as twice:
        load_rules(shop(tmp_path, RULE.replace("very-deep", "cut-without-spindle")))

    (problem,) = twice.value.problems
    assert problem.says == f"`cut-without-spindle` is a rule that comes with coolcheck ({shipped.place})"
    assert (
        problem.do == "To alter a shipped rule write it under `change:`, such as `change: {cut-without-spindle: {level: note}}`."
    )


@pytest.mark.parametrize(
    ("when", "place", "shown"),
    [
        ("|\n      dept > 40 mm\n      and hardens", (6, 7), "dept > 40 mm\n    ^"),
        (">\n      hardens and\n      dept > 40 mm", (7, 7), "dept > 40 mm\n    ^"),
        ('"dept > 40 mm"', (5, 12), 'dept > 40 mm"\n    ^'),
        ("'hardens and dept > 40 mm'", (5, 24), "hardens and dept > 40 mm'\n                ^"),
        ("hardens and\n      dept > 40 mm", (6, 7), "dept > 40 mm\n    ^"),
    ],
)
def test_a_mistake_stands_where_it_was_written_whatever_the_form_of_the_text(when, place, shown):
    (rule,) = RuleFile("ours.yaml", RULE.replace("depth > 40 mm", when).encode(), ships=False).rules()
    with pytest.raises(RuleError) as wrong:
        rule.condition(SMALL)

    (problem,) = wrong.value.problems
    assert (problem.place.line, problem.place.column) == place
    assert problem.says.split("\n", 1)[1] == f"    {shown}"


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_a_mark_at_the_start_of_a_file_moves_nothing(mark):
    keys = "{scope: operation, level: note, when: dept > 1, says: a, asks: b, why: c, do: d, basis: e, mended at: program}"
    (rule,) = RuleFile("ours.yaml", mark + f"{{rules: {{very-deep: {keys}}}}}".encode(), ships=False).rules()
    with pytest.raises(RuleError) as wrong:
        rule.condition(SMALL)

    (problem,) = wrong.value.problems
    assert (problem.place.line, problem.place.column) == (1, 59)
    assert problem.says.split("\n")[1].startswith("    dept > 1,")


def test_a_file_that_is_no_text_is_refused():
    with pytest.raises(RuleError, match="is not UTF-8 text"):
        RuleFile("ours.yaml", b"rules:\n  a: \xff\n", ships=False)


def test_every_limit_that_is_wrong_is_told_and_every_other_one_taken():
    limits = "    limits: {far: {value: 2 m}, wide: {says: a width}, high: {value: 3, says: a height}}\n"
    file = RuleFile("ours.yaml", (RULE + limits).encode(), ships=False)

    assert list(file.rules()) == []
    assert [problem.says for problem in file.problems] == [
        "the limit `far` needs `value` and `says`",
        "the limit `wide` needs `value` and `says`",
    ]


def test_a_changed_limit_counts_although_the_rule_was_read_before():
    text = RULE.replace("40 mm", "far") + "    limits: {far: {value: 40 mm, says: a depth}}\n"
    (rule,) = RuleFile("ours.yaml", text.encode(), ships=False).rules()
    deep = Scene("operation", {"depth": 0.03}, None, {})
    before = rule.condition(SMALL).holds(deep)
    changed = RuleFile("more.yaml", b"change:\n  very-deep: {limits: {far: 20 mm}}\n", ships=False).changed({rule.id: rule})

    assert before.is_no
    assert changed[rule.id].condition(SMALL).holds(deep).is_yes
    assert rule.condition(SMALL).holds(deep).is_no


def test_a_rule_that_was_switched_off_can_be_switched_on():
    (rule,) = RuleFile("ours.yaml", RULE.encode(), ships=False).rules()
    on = RuleFile("more.yaml", b"change:\n  very-deep: {off: no}\n", ships=False)

    assert on.changed({rule.id: replace(rule, off="we know")})[rule.id].off == ""
    assert on.problems == []


def test_rule_files_are_read_anew_when_they_change(tmp_path):
    def ids():
        return [rule.id for rule in load_rules([tmp_path]) if not rule.ships]

    (tmp_path / "a.yaml").write_text(RULE)
    assert ids() == ["very-deep"]
    (tmp_path / "a.yaml").write_text(RULE.replace("very-deep", "still-deeper"))
    assert ids() == ["still-deeper"]
    (tmp_path / "b.yml").write_text(RULE)
    assert ids() == ["still-deeper", "very-deep"]


def test_all_conditions_of_rules_are_checked_at_once():
    rules = RuleFile("ours.yaml", RULE.replace("depth > 40 mm", "dept > 40 mm").encode(), ships=False).rules()

    with pytest.raises(RuleError) as wrong:
        check_all(rules, WORDS)
    (problem,) = wrong.value.problems
    assert (problem.place.line, problem.place.column) == (5, 11)


def test_sentences_are_the_same_by_what_they_say():
    assert Template("a {b}", Place("x", 1)) == Template("a {b}", Place("y", 2)) != Template("a {c}")
    assert len({Template("a"), Template("a"), Template("b")}) == 2
    assert Template("a") != "a"
    assert Template("a").place == Place("rules")
