"""Rule files: what ships is complete, what a shop writes is checked where it stands."""

import time
from datetime import date
from pathlib import Path

import pytest

from coolcheck.errors import RuleError
from coolcheck.judge.finding import LEVELS
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import MENDED_AT
from coolcheck.judge.rules import check_all, load_rules
from coolcheck.nc.notes import NOTES

RULES = {rule.id: rule for rule in load_rules()}
WORDS = process_words(date(2026, 1, 1))
RULE = """\
    scope: operation
    level: note
    when: {when}
    says: "{{name}} goes {{depth}} deep"
    asks: "does {{name}} go deep?"
    why: because
    do: look
    basis: common practice, no source
    mended at: program
"""


def shop(folder: Path, text: str) -> list[Path]:
    folder.mkdir(exist_ok=True)
    (folder / "ours.yaml").write_text(text, encoding="utf-8")
    return [folder]


def problem(folder: Path, text: str):
    with pytest.raises(RuleError) as wrong:
        load_rules(shop(folder, text), WORDS)
    assert len(wrong.value.problems) == 1, [str(item) for item in wrong.value.problems]
    return wrong.value.problems[0]


def test_every_shipped_condition_and_sentence_is_sound():
    check_all(RULES.values(), WORDS)


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_every_shipped_rule_is_complete(rule):
    assert rule.level in LEVELS
    assert rule.mended_at in MENDED_AT
    assert rule.why and rule.do.text and rule.basis
    assert rule.why.endswith(".") and rule.do.text.endswith(".")
    assert rule.when is None or (rule.says.text and rule.asks.text.endswith("?"))
    assert not rule.says.text.endswith(".")


def test_the_rule_book_covers_its_groups():
    groups = {rule.group for rule in RULES.values() if rule.when}

    assert groups >= {
        "sequence", "capability", "hydraulics", "thermal", "drilling", "tapping", "finishing", "unattended running", "safety",
        "housekeeping",
    }  # fmt: skip
    assert sum(1 for rule in RULES.values() if rule.when) >= 60


def test_everything_that_reading_notes_has_a_rule():
    assert set(NOTES) <= set(RULES)
    assert {id_ for id_, rule in RULES.items() if rule.group == "reading"} == set(NOTES)


def test_rules_load_fast():
    load_rules()
    best = min(timed() for _ in range(5))

    assert best < 0.06


def timed() -> float:
    start = time.perf_counter()
    load_rules()
    return time.perf_counter() - start


# a shop's own


def test_a_shop_adds_a_rule(tmp_path):
    rules = load_rules(shop(tmp_path, "group: ours\nrules:\n  very-deep:\n" + RULE.format(when="depth > 40 mm")), WORDS)

    own = rules[-1]
    assert (own.id, own.group, own.ships) == ("very-deep", "ours", False)
    assert own.condition(WORDS).facts == (("operation", "depth"),)


def test_a_shop_changes_level_and_limit_and_switches_off(tmp_path):
    text = """\
change:
  deep-hole-with-flood-alone: {level: error, limits: {deep: 4}}
  small-drill-at-low-pressure: {limits: {small: 0.25 in}}
  pecking-costs-minutes: {off: yes, reason: we know}
"""
    rules = {rule.id: rule for rule in load_rules(shop(tmp_path, text), WORDS)}

    assert rules["deep-hole-with-flood-alone"].level == "error"
    assert rules["deep-hole-with-flood-alone"].limits["deep"].value == 4
    assert rules["small-drill-at-low-pressure"].limits["small"].value == pytest.approx(0.00635)
    assert rules["pecking-costs-minutes"].off == "we know"


@pytest.mark.parametrize(
    ("change", "place", "says", "do"),
    [
        (
            "deep-hole-with-flood-alon: {level: note}",
            (2, 3),
            "no rule `deep-hole-with-flood-alon`",
            "`deep-hole-with-flood-alone`",
        ),
        ("pecking-costs-minutes: {off: yes}", (2, 3), "without a reason", "`reason:`"),
        ("pecking-costs-minutes: {off: maybe, reason: x}", (2, 32), "`off` cannot be `maybe`", "`off: yes`"),
        ("pecking-costs-minutes: {level: fatal}", (2, 34), "`level` cannot be `fatal`", "error, warning, note"),
        ("pecking-costs-minutes: {limits: {wort: 10 s}}", (2, 36), "no limit `wort`", "`worth`"),
        ("pecking-costs-minutes: {limits: {worth: 10 mm}}", (2, 43), "`worth` is a time; `10 mm` is a length", "`30 s`"),
        ("pecking-costs-minutes: {limits: {worth: soon}}", (2, 43), "no number with a unit", "`40 mm`"),
        ("pecking-costs-minutes: {limits: {worth: 10 sek}}", (2, 43), "`sek` is no unit", "`sec`"),
        ("pecking-costs-minutes: {when: cuts}", (2, 27), "`when` is no key of the change", "level, limits, off, reason"),
    ],
)
def test_a_faulty_change_is_refused_where_it_stands(tmp_path, change, place, says, do):
    found = problem(tmp_path, f"change:\n  {change}\n")

    assert (found.place.line, found.place.column) == place
    assert says in found.says
    assert do in found.do


@pytest.mark.parametrize(
    ("when", "place", "says"),
    [
        ("depth > 40 brr", (6, 22), "`brr` is no unit"),
        ("cuts and dept > 40 mm", (6, 20), "`dept` is no fact"),
        ('"cuts and dept > 40 mm"', (6, 21), "`dept` is no fact"),
        (">-\n      cuts and\n      dept > 40 mm", (8, 7), "`dept` is no fact"),
        ("cuts and\n      kind is dril", (7, 15), "`kind` is never `dril`"),
        ("cuts and (depth > 1 mm", (6, 33), "the condition ends here"),
    ],
)
def test_a_mistake_in_a_condition_is_shown_in_the_file(tmp_path, when, place, says):
    found = problem(tmp_path, "group: ours\nrules:\n  very-deep:\n" + RULE.format(when=when))

    assert (found.place.line, found.place.column) == place
    assert says in found.says


def test_a_sentence_may_only_tell_what_there_is(tmp_path):
    text = "group: ours\nrules:\n  very-deep:\n" + RULE.format(when="depth > 40 mm").replace("{depth}", "{dept}")
    found = problem(tmp_path, text)

    assert found.place.line == 7
    assert "`{dept}`" in found.says
    assert "`depth`" in found.do


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("rules:\n  Very-Deep:\n" + RULE.format(when="cuts"), "is no id"),
        ("rules:\n  very-deep:\n" + RULE.format(when="cuts").replace("    why: because\n", ""), "lacks `why`"),
        ("rules:\n  very-deep:\n" + RULE.format(when="cuts") + "    wen: cuts\n", "`wen` is no key"),
        ("rules:\n  very-deep:\n" + RULE.format(when="cuts").replace("scope: operation", "scope: operatoin"), "unknown scope"),
        ("rules:\n  very-deep:\n" + RULE.format(when="cuts") + "    at: there\n", "names nothing"),
        ("rules:\n  very-deep:\n" + RULE.format(when="cuts") + "    mends: magic\n", "`mends` cannot be `magic`"),
        ("rules:\n  cut-without-spindle:\n" + RULE.format(when="cuts"), "write it under `change:`"),
        ("rules: [1]\n", "must hold rules by their ids"),
        ("rule: {}\n", "is no key of a rule file"),
        ("", "a rule file has the keys"),
        ("rules: {a: 1\n", "no YAML"),
    ],
)
def test_a_faulty_file_is_refused(tmp_path, text, says):
    found = problem(tmp_path, text)

    assert says in found.says + found.do


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(RuleError, match="not there"):
        load_rules([tmp_path / "nowhere"])


def test_all_problems_are_told_at_once(tmp_path):
    text = "rules:\n  one-thing:\n" + RULE.format(when="dept > 1 mm") + "  other-thing:\n" + RULE.format(when="depth > 1 bar")
    with pytest.raises(RuleError) as wrong:
        load_rules(shop(tmp_path, text), WORDS)

    assert len(wrong.value.problems) == 2
