"""One rule file, read and checked key by key: its rules, and the changes it makes to rules that are there already."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from coolcheck import yamltext
from coolcheck.errors import Problem, RuleError
from coolcheck.judge import units
from coolcheck.judge.dimensions import shown
from coolcheck.judge.finding import LEVELS
from coolcheck.judge.language import Source, nearest
from coolcheck.judge.rule import MENDED_AT, MENDS, TOGETHER, Rule
from coolcheck.judge.template import Template
from coolcheck.judge.terms import Limit
from coolcheck.place import Place

_TEXTS = ("scope", "level", "when", "at", "says", "asks", "why", "do", "basis", "mends", "mended at", "together")
_KEYS = (*_TEXTS, "limits")
_NEEDED = ("scope", "level", "when", "says", "asks", "why", "do", "basis", "mended at")
_NEEDED_OF_NOTES = ("scope", "level", "why", "do", "basis", "mended at")
_WORDS: Mapping[str, tuple[str, ...]] = {"level": LEVELS, "mended at": MENDED_AT, "together": TOGETHER, "mends": tuple(MENDS)}
_CHANGES = ("level", "limits", "off", "reason")


class RuleFile:
    """A rule file. What is wrong in it is collected in `problems`; what is right can be used."""

    def __init__(self, name: str, text: bytes, ships: bool) -> None:
        self.problems: list[Problem] = []
        self._ships = ships
        self._lines = text.decode("utf-8", "replace").removeprefix("\ufeff").split("\n")
        self._yaml = yamltext.load(name, text, RuleError)
        whole = self._yaml.data if isinstance(self._yaml.data, dict) else {}
        if not whole:
            self._say((), "a rule file has the keys `group`, `rules` and `change`", "write `rules:` and the ids below it")
        for key in whole:
            if key not in ("group", "rules", "change"):
                self._say(
                    (key,), f"`{key}` is no key of a rule file", nearest(key, ("group", "rules", "change")) or "remove it", True
                )
        self.group = str(whole.get("group", "ours"))
        self._rules = self._section(whole, "rules")
        self._changes = self._section(whole, "change")
        if ships and self._changes:
            self._say(("change",), "shipped rules are not changed by shipped rules", "change the rule itself", True)

    @classmethod
    def read(cls, path: Path, name: str, ships: bool) -> "RuleFile":
        """The rule file at `path`, called `name` in messages. Raises RuleError when it cannot be read or is no YAML."""
        try:
            with path.open("rb") as file:
                text = file.read(yamltext.MOST_BYTES + 1)
        except OSError as error:
            raise RuleError(Problem(Place(name), f"this file cannot be read: {error.strerror}")) from error
        return cls(name, text, ships)

    def _section(self, whole: dict[str, Any], key: str) -> dict[str, Any]:
        section = whole.get(key)
        if section is None:
            return {}
        if isinstance(section, dict):
            return section
        self._say((key,), f"`{key}` must hold rules by their ids", "write the id, a colon, and its keys below it")
        return {}

    # rules

    def rules(self) -> Iterable[Rule]:
        """The rules of the file that are complete."""
        for id_ in self._rules:
            rule = self._rule(id_, self._rules[id_])
            if rule:
                yield rule

    def _rule(self, id_: str, keys: Any) -> Rule | None:
        path = ("rules", id_)
        before = len(self.problems)
        if not all(part.isalnum() for part in id_.split("-")) or id_ != id_.lower():
            self._say(path, f"`{id_}` is no id", "name what is wrong, in plain lower-case words joined by hyphens", True)
        if not isinstance(keys, dict):
            self._say(path, f"the rule `{id_}` must have keys", f"it needs {', '.join(_NEEDED)}", True)
            return None
        self._check_keys(path, keys, _KEYS, f"the rule `{id_}`")
        texts = {key: self._text(path, keys, key) for key in _TEXTS}
        needed = _NEEDED_OF_NOTES if texts["scope"] == "note" else _NEEDED
        for key in needed:
            if not texts[key] and key not in keys:
                self._say(path, f"the rule `{id_}` lacks `{key}`", f"a rule needs {', '.join(needed)}", True)
        for key, allowed in _WORDS.items():
            self._one_of(path, keys, key, allowed)
        limits = self._limits(path, keys)
        if len(self.problems) > before:
            return None
        place = self._yaml.key_place(path)
        return Rule(
            id_, self.group, texts["scope"], texts["level"], texts["why"], self._template(path, texts, "do"), texts["basis"],
            texts["mended at"], place, self._source(path, texts["when"]) if texts["when"] else None,
            self._template(path, texts, "says"), self._template(path, texts, "asks"), limits, texts["at"],
            texts["together"] or "tool", texts["mends"], ships=self._ships,
        )  # fmt: skip

    def _check_keys(self, path: tuple[str, ...], keys: Mapping[str, Any], allowed: tuple[str, ...], owner: str) -> None:
        for key in keys:
            if key not in allowed:
                self._say(
                    (*path, key),
                    f"`{key}` is no key of {owner}",
                    nearest(key, allowed) or f"it may have {', '.join(allowed)}",
                    True,
                )

    def _text(self, path: tuple[str, ...], keys: Mapping[str, Any], key: str) -> str:
        value = keys.get(key)
        if value is None and key not in keys:
            return ""
        if isinstance(value, (dict, list)) or value is None or value == "":
            self._say(
                (*path, key), f"`{key}` must be a text", 'write it in "quotes" where it holds a colon or begins with a bracket'
            )
            return ""
        return str(value).strip()

    def _one_of(self, path: tuple[str, ...], keys: Mapping[str, Any], key: str, allowed: tuple[str, ...]) -> None:
        value = keys.get(key)
        if value is not None and value not in allowed:
            self._say(
                (*path, key), f"`{key}` cannot be `{value}`", nearest(str(value), allowed) or f"it can be {', '.join(allowed)}"
            )

    def _template(self, path: tuple[str, ...], texts: Mapping[str, str], key: str) -> Template:
        return Template(texts[key], self._yaml.place((*path, key)))

    def _source(self, path: tuple[str, ...], text: str) -> Source:
        """The condition with what the person wrote: a block scalar begins on the line below its `>` or `|`."""
        place = self._yaml.place((*path, "when"))
        first = self._lines[place.line - 1][place.column - 1 :]
        if first.startswith((">", "|")):
            rows = self._lines[place.line :]
            return Source(text, replace(place, line=place.line + 1, column=1), "\n".join(rows[:40]))
        if first.startswith(("'", '"')):
            place, first = replace(place, column=place.column + 1), first[1:]
        return Source(text, place, "\n".join([first, *self._lines[place.line : place.line + 40]]))

    # limits

    def _limits(self, path: tuple[str, ...], keys: Mapping[str, Any]) -> dict[str, Limit]:
        limits = keys.get("limits")
        if limits is None:
            return {}
        here = (*path, "limits")
        if not isinstance(limits, dict):
            self._say(here, "`limits` must hold named values", "write `deep: {value: 5, says: depth over diameter …}`")
            return {}
        found = {}
        for name, entry in limits.items():
            if not isinstance(entry, dict) or "value" not in entry or "says" not in entry:
                self._say(
                    (*here, name), f"the limit `{name}` needs `value` and `says`", "write `{value: 5 mm, says: what it limits}`"
                )
                continue
            self._check_keys((*here, name), entry, ("value", "says"), f"the limit `{name}`")
            limit = self._limit((*here, name, "value"), name, entry["value"], str(entry["says"]))
            if limit:
                found[name] = limit
        return found

    def _limit(self, path: tuple[str, ...], name: str, value: Any, says: str) -> Limit | None:
        written = str(value)
        number, _, unit = written.partition(" ")
        try:
            float(number)
            si, dimension = units.quantity(number, unit.strip())
        except units.UnknownUnit as wrong:
            self._say(path, str(wrong), wrong.do)
            return None
        except ValueError:
            self._say(path, f"`{written}` is no number with a unit", "write a number, a blank and a unit: `40 mm`")
            return None
        return Limit(name, si, dimension, written, says)

    # changes

    def changed(self, rules: Mapping[str, Rule]) -> dict[str, Rule]:
        """The rules that this file changes, as changed."""
        found = {}
        for id_, keys in self._changes.items():
            path = ("change", id_)
            if id_ not in rules:
                self._say(
                    path, f"there is no rule `{id_}`", nearest(id_, rules) or "`coolcheck explain --all` lists the rules", True
                )
            elif not isinstance(keys, dict) or not keys:
                self._say(path, f"the change of `{id_}` must have keys", f"it may have {', '.join(_CHANGES)}", True)
            else:
                found[id_] = self._changed(path, rules[id_], keys)
        return found

    def _changed(self, path: tuple[str, ...], rule: Rule, keys: Mapping[str, Any]) -> Rule:
        self._check_keys(path, keys, _CHANGES, f"the change of `{rule.id}`")
        self._one_of(path, keys, "level", LEVELS)
        if keys.get("level") in LEVELS:
            rule = replace(rule, level=keys["level"])
        if "off" in keys:
            rule = self._switched(path, rule, keys)
        limits = keys.get("limits", {})
        if not isinstance(limits, dict):
            self._say((*path, "limits"), "`limits` must hold named values", "write `limits: {deep: 4}`")
            return rule
        new = dict(rule.limits)
        for name, value in limits.items():
            self._change_limit((*path, "limits", name), rule, new, name, value)
        return replace(rule, limits=new, _read={})

    def _switched(self, path: tuple[str, ...], rule: Rule, keys: Mapping[str, Any]) -> Rule:
        if keys["off"] not in ("yes", "no", True, False):
            self._say((*path, "off"), f"`off` cannot be `{keys['off']}`", "write `off: yes`")
            return rule
        if keys["off"] in ("no", False):
            return replace(rule, off="")
        reason = keys.get("reason")
        if not isinstance(reason, str) or not reason.strip():
            self._say(path, f"`{rule.id}` is switched off without a reason", "write `reason:` beside `off: yes`", True)
            return rule
        return replace(rule, off=reason.strip())

    def _change_limit(self, path: tuple[str, ...], rule: Rule, limits: dict[str, Limit], name: str, value: Any) -> None:
        old = rule.limits.get(name)
        if old is None:
            do = nearest(name, rule.limits) or (f"it has {', '.join(rule.limits)}" if rule.limits else "it has none")
            self._say(path, f"`{rule.id}` has no limit `{name}`", do, True)
            return
        new = self._limit(path, name, value, old.says)
        if new and new.dimension != old.dimension:
            self._say(
                path,
                f"`{name}` is {shown(old.dimension)}; `{new.written}` is {shown(new.dimension)}",
                f"write it like `{old.written}`",
            )
        elif new:
            limits[name] = new

    def _say(self, path: tuple[str, ...], says: str, do: str, at_key: bool = False) -> None:
        place = self._yaml.key_place(path) if at_key else self._yaml.place(path)
        self.problems.append(Problem(replace(place, end_line=0, end_column=0), says, do))
