"""Rule cases: a program, records and what a rule must say of them, as data in tests/rule_cases/*.yaml.

    rule: closed-pull-stud
    programs:
      sound: |            # of every case that names none
        ...
    cases:
      - holds: [5]                              # the lines at which it holds, and nothing is undecided
        with: {holder.pull stud: AF}            # changes of the shop in _shop.yaml
      - does not hold: yes
      - cannot be decided: [holder pull stud]   # what is missing, as kind of record and field
        without: [holder.pull stud]

Paths into the shop begin with machine, holder, material, fluid, job or a T number; entries of lists go by their key.
"""

import copy
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from coolcheck.judge.evaluate import written
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rule import Rule
from coolcheck.judge.rules import load_rules
from coolcheck.judge.scene import Scene
from coolcheck.known import Missing, Truth
from coolcheck.nc.dialect import DEFAULT, load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.program import Program
from coolcheck.process import build
from coolcheck.process.model import Timeline
from coolcheck.records.binding import bind
from coolcheck.records.schema import path_of

FOLDER = Path(__file__).parent.parent / "rule_cases"
TODAY = date(2026, 2, 1)
VERDICTS = ("holds", "does not hold", "cannot be decided")


@dataclass(frozen=True)
class Case:
    """One case of a rule."""

    rule: str
    number: int
    verdict: str
    expected: Any
    program: str
    changes: dict[str, Any] = field(default_factory=dict)
    without: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.rule}-{self.number}-{self.verdict.replace(' ', '_')}"


@dataclass(frozen=True)
class CaseFile:
    """The cases of one rule; `never_undecided` says why none of them cannot be decided, "" when one is."""

    rule: str
    cases: tuple[Case, ...]
    never_undecided: str


@cache
def case_files() -> tuple[CaseFile, ...]:
    """Every case file."""
    return tuple(_file(path) for path in sorted(FOLDER.glob("[!_]*.yaml")))


def _file(path: Path) -> CaseFile:
    written = yaml.safe_load(path.read_text(encoding="utf-8"))
    rule = written["rule"]
    cases = []
    for number, case in enumerate(written["cases"], 1):
        (verdict,) = set(VERDICTS) & set(case)
        assert set(case) <= {verdict, "with", "without", "program"}, f"{path.name}: case {number} has keys that mean nothing"
        program = written["programs"][case.get("program", "sound")]
        cases.append(Case(rule, number, verdict, case[verdict], program, case.get("with", {}), tuple(case.get("without", ()))))
    assert path.stem == rule
    return CaseFile(rule, tuple(cases), written.get("never undecided", ""))


@cache
def _shop() -> Any:
    return yaml.load((FOLDER / "_shop.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)  # every value as written


def shop_of(case: Case) -> dict[str, dict[str, Any]]:
    """The records of a case: `machine`, `material`, `fluid`, `job`, and a tool and a holder for each T number."""
    base = copy.deepcopy(_shop())
    tools = base.pop("tools")
    holder = base.pop("holder")
    records = {**base}
    for name, tool in tools.items():
        records[name] = {"tool": name, "holder": f"holder of {name}", "reviewed": "2026-01-12", **tool}
        records[f"holder of {name}"] = {"holder": f"holder of {name}", **copy.deepcopy(holder)}
    for path, value in case.changes.items():
        _change(records, path, value)
    for path in case.without:
        _change(records, path, None)
    return records


def _change(records: dict[str, dict[str, Any]], path: str, value: Any) -> None:
    name, _, rest = path.partition(".")
    names = [key for key in records if key.startswith("holder of ")] if name == "holder" else [name]
    for key in names:
        if not rest:
            records.pop(key)
        else:
            _set(records[key], list(path_of(rest)), value)


def _set(section: Any, keys: list[str], value: Any) -> None:
    for depth, key in enumerate(keys[:-1]):
        if isinstance(section, list):
            section = next(item for item in section if key in item.values())
        elif key in section:
            section = section[key]
        else:
            section = section.setdefault(key, [] if isinstance(value, list) and depth == len(keys) - 1 else {})
    last = keys[-1]
    if isinstance(section, list):  # a whole entry
        section[:] = [item for item in section if last not in item.values()]
        if value is not None:
            section.append(value)
    elif value is None:
        assert last in section, f"there is no {last} to take out"
        del section[last]
    else:
        section[last] = value


def fields_of(records: dict[str, dict[str, Any]]) -> list[tuple[str | int, ...]]:
    """Every field that a person could leave out, as the keys that lead to it; names and what entries of lists go by stay."""
    found: list[tuple[str | int, ...]] = []

    def walk(section: Any, path: tuple[str | int, ...]) -> None:
        items = section.items() if isinstance(section, dict) else enumerate(section)
        for number, (key, value) in enumerate(items):
            if number == 0 and isinstance(section, dict) and len(path) != 2:
                continue  # the first key of a record, or of an entry of a list, is its name
            if len(path) == 1 and path[0] == "job" and key == "programs":
                continue
            if isinstance(value, dict) or (isinstance(value, list) and value and isinstance(value[0], dict)):
                walk(value, (*path, key))
            elif not isinstance(section, list):
                found.append((*path, key))

    for name, record in records.items():
        walk(record, (name,))
    return found


def leave_out(records: dict[str, dict[str, Any]], path: tuple[str | int, ...]) -> None:
    """Takes a field out."""
    section: Any = records
    for key in path[:-1]:
        section = section[key]
    del section[path[-1]]


def timeline_of(case: Case, folder: Path) -> Timeline:
    """The process of the case's program with the case's records, written to `folder`."""
    return timeline_with(case, shop_of(case), folder)


def timeline_with(case: Case, records: dict[str, dict[str, Any]], folder: Path) -> Timeline:
    """The process of the case's program with those records, written to `folder`."""
    for name, record in records.items():
        if name != "job":
            kind = next(iter(record))
            place = folder / f"{kind}s"
            place.mkdir(exist_ok=True)
            (place / f"{name.replace(' ', '-')}.yaml").write_text(_dumped(record), encoding="utf-8")
    job = records["job"]
    if "tools" not in job:
        job["tools"] = [{"T": name[1:], "tool": name} for name in records if name[0] == "T" and name[1:].isdigit()]
    (folder / "case.job.yaml").write_text(_dumped(job), encoding="utf-8")
    program_file = folder / "program.nc"
    program_file.write_text(case.program, encoding="utf-8")
    binding = bind(program_file, folder / "case.job.yaml")
    program = Program.read(program_file.read_bytes(), "program.nc", load_dialect(binding.dialect_name.or_else(DEFAULT)))
    codes = frozenset(entry.field("code").value for entry in binding.machine.entries("codes"))
    return build(interpret(program, codes=codes), binding)


def _dumped(record: Any) -> str:
    """YAML in which every text stands plain, so that records read numbers and quantities as a person writes them."""
    return "".join(f"{key}: {_plain(value)}\n" for key, value in record.items())


def _plain(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}": {_plain(item)}' for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_plain, value)) + "]"
    text = {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
    return f'"{text}"' if any(mark in text for mark in ',:#{}[]"') else text


@cache
def rule_book() -> dict[str, Rule]:
    """The shipped rules by id."""
    return {rule.id: rule for rule in load_rules()}


def truths(rule: Rule, timeline: Timeline) -> list[tuple[Truth, int]]:
    """What the rule says of each object of its scope, and at which line."""
    words = process_words(TODAY)
    found = []
    for item in words.objects(rule.scope, timeline):
        scene = Scene(rule.scope, item, timeline, {})
        truth = rule.condition(words).holds(scene)
        place = words.place(*scene.met.get(rule.at, (rule.scope, item)), timeline)
        fact = words.fact(rule.scope, rule.at)
        place = (written(fact.of(item, timeline).evidence) if fact else None) or place
        found.append((truth, place.line))
    return found


def asked(missing: Missing) -> str:
    """What is missing, as kind of record and field."""
    return f"{missing.record.split(' ')[0]} {missing.field}".strip()
