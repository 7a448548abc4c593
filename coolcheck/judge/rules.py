"""Rules as data: read from `rules/*.yaml` and from a shop's own folders, checked, ready to be judged by.

A rule file has `group`, `rules` (by id) and, in a shop's folder, `change` (by id of a rule that is there already):

    group: ours
    rules:
      flood-on-brass: {scope: operation, level: note, when: …, says: …, asks: …, why: …, do: …, basis: …, mended at: program}
    change:
      deep-hole-with-flood-alone: {level: note, limits: {deep: 4}}
      pecking-costs-minutes: {off: yes, reason: we know, and the order is large}

Shipped conditions are checked when first used (and all of them by the tests); a shop's are checked when loaded. Files are read
anew only when they have changed: a folder of a thousand programs reads its rules once.
"""

from collections.abc import Iterable
from functools import cache, lru_cache
from pathlib import Path

from coolcheck.errors import Problem, RuleError
from coolcheck.judge.rule import Rule
from coolcheck.judge.rulefile import RuleFile
from coolcheck.judge.vocabulary import Vocabulary
from coolcheck.place import Place
from coolcheck.records.inside import kept_inside
from coolcheck.shipped import shipped

Looks = tuple[tuple[str, int, int], ...]  # name, time of change and size of each file


def load_rules(folders: Iterable[Path] = (), vocabulary: Vocabulary | None = None) -> tuple[Rule, ...]:
    """The shipped rules, then those of the shop's folders, with the shop's changes. Raises RuleError with all problems.

    With a vocabulary the conditions of the shop's rules are checked at once.
    """
    own = tuple(folders)
    return _loaded(own, tuple(_looks(folder) for folder in own), vocabulary)


@lru_cache(maxsize=16)
def _loaded(folders: tuple[Path, ...], _looks: tuple[Looks, ...], vocabulary: Vocabulary | None) -> tuple[Rule, ...]:
    """The rules of these folders, read once for as long as their files look as they do."""
    rules = {rule.id: rule for rule in _shipped_rules()}
    problems: list[Problem] = []
    for folder in folders:
        for path in kept_inside(rule_files(folder, problems), folder, "rules", problems):
            try:
                file = RuleFile.read(path, str(path), ships=False)
            except RuleError as wrong:
                problems += wrong.problems
                continue
            _take(file, rules, problems)
    own = [rule for rule in rules.values() if not rule.ships and not rule.off]
    if vocabulary:
        problems += _problems(own, vocabulary)
    if problems:
        raise RuleError(problems)
    return tuple(rules.values())


@cache
def _shipped_rules() -> tuple[Rule, ...]:
    rules: dict[str, Rule] = {}
    problems: list[Problem] = []
    for path in sorted(shipped("rules").glob("*.yaml")):
        _take(RuleFile.read(path, f"rules/{path.name}", ships=True), rules, problems)
    if problems:
        raise RuleError(problems)
    return tuple(rules.values())


def _looks(folder: Path) -> Looks:
    """The rule files of a folder as they look now: another name, time or size means that they are read anew."""
    looks = []
    for path in rule_files(folder, []):
        try:
            stat = path.stat()
        except OSError:
            continue  # reading it says what is wrong
        looks.append((str(path), stat.st_mtime_ns, stat.st_size))
    return tuple(looks)


def check_all(rules: Iterable[Rule], vocabulary: Vocabulary) -> None:
    """Checks every condition and every sentence. Raises RuleError with all problems."""
    problems = _problems(rules, vocabulary)
    if problems:
        raise RuleError(problems)


def _problems(rules: Iterable[Rule], vocabulary: Vocabulary) -> list[Problem]:
    problems: list[Problem] = []
    for rule in rules:
        try:
            if rule.when:
                rule.condition(vocabulary)
        except RuleError as wrong:
            problems += wrong.problems
    return problems


def rule_files(folder: Path, problems: list[Problem]) -> list[Path]:
    """The rule files of a folder; that it is not there is noted in `problems`."""
    if not folder.is_dir():
        problems.append(Problem(Place(str(folder)), "this folder of rules is not there", "mend `rules` in the job file"))
        return []
    return sorted([*folder.glob("*.yaml"), *folder.glob("*.yml")])


def _take(file: RuleFile, rules: dict[str, Rule], problems: list[Problem]) -> None:
    """The rules of a file and its changes, into `rules`."""
    for rule in file.rules():
        if rule.id in rules:
            says = f"the rule `{rule.id}` is there already ({rules[rule.id].place})"
            do = "give it another id"
            if rules[rule.id].ships:
                says = f"`{rule.id}` is a rule that comes with coolcheck ({rules[rule.id].place})"
                do = f"to alter a shipped rule write it under `change:`, such as `change: {{{rule.id}: {{level: note}}}}`"
            problems.append(Problem(rule.place, says, do))
        else:
            rules[rule.id] = rule
    rules.update(file.changed(rules))
    problems += file.problems
