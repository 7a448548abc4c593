"""Rule pages, the list of rules and the list of facts: text made from the rule files, so that it is never out of date."""

from collections.abc import Iterable, Sequence
from textwrap import fill

from coolcheck.judge.finding import LEVELS
from coolcheck.judge.language import nearest
from coolcheck.judge.rule import MENDS, Rule
from coolcheck.judge.vocabulary import Fact, Vocabulary
from coolcheck.nc.notes import NOTES, OF_THE_PROGRAM
from coolcheck.records.quantity import pretty

WIDTH = 80
TOOLLESS = ("program", "hole", "stop")  # scopes of what belongs to no one tool
_ORIGIN = {
    "program": "from the program",
    "record": "from a record",
    "computed": "worked out from program and records",
    "physics": "computed by a published formula",
}


def rule_page(rule: Rule, vocabulary: Vocabulary) -> str:
    """The page of one rule, in Markdown that reads well as plain text."""
    parts = [f"# {rule.id}", f"{rule.group}, {rule.level}" + (f" (switched off: {rule.off})" if rule.off else "")]
    parts += ["## What it finds", _wrapped(_sentence(rule))]
    parts += ["## Why it matters", _wrapped(rule.why), "## What to do", _wrapped(rule.do.page())]
    if rule.mends:
        parts.append(_wrapped(f"`coolcheck rewrite` {MENDS[rule.mends]}, where that can be proved."))
    if rule.when:
        parts += ["## When it holds", _condition(rule), *_limits(rule)]
        parts += ["## What decides it", "\n".join(_deciding(rule, vocabulary))]
        parts += [
            "When one of these is unknown and the others do not settle it, the review asks:",
            _wrapped(_asked(rule)),
            _wrapped(_open(rule)),
        ]
    parts += ["## Basis", _wrapped(rule.basis)]
    parts += ["## How to change it", *_changing(rule)]
    parts += ["## How to accept one finding", *_accepting(rule)] if rule.when or rule.id in NOTES else []
    return "\n\n".join(parts) + "\n"


def _changing(rule: Rule) -> Iterable[str]:
    """How a shop alters it: level, limits, or off with a reason."""
    yield _wrapped("In a YAML file of a folder of your own, named by `rules:` in the job or by `--rules`:")
    other = "note" if rule.level != "note" else "warning"
    yield f"    change:\n      {rule.id}: {{level: {other}}}"
    limits = ", ".join(f"{limit.name}: {limit.written}" for limit in rule.limits.values())
    able = f"It may also say `limits: {{{limits}}}`, with your own values, and" if limits else "It may also say"
    yield _wrapped(f"{able} `off: yes` with a `reason:`.")


def _accepting(rule: Rule) -> Iterable[str]:
    """How to waive it, and what a waiver speaks of."""
    yield _wrapped("In a comment of the program, or under `waivers:` of the job:")
    name = rule.id.upper()
    if rule.scope in TOOLLESS or rule.id in OF_THE_PROGRAM:
        yield f"    (ALLOW {name} IN PROGRAM BECAUSE … UNTIL 2030-12-31)"
        yield _wrapped(
            "It is about no tool, so that FOR T12 accepts nothing of it: with IN PROGRAM the waiver speaks of the whole program. "
            "UNTIL may be left out, the reason may not. A waived finding is listed, counts for nothing, and does not stand "
            "against running unattended."
        )
        return
    yield f"    (ALLOW {name} FOR T12 BECAUSE … UNTIL 2030-12-31)\n    (ALLOW {name} - … - UNTIL 2030-12-31)"
    yield _wrapped(
        "With FOR it speaks of that tool, with IN PROGRAM of the whole program. With neither it speaks, before the first cut of "
        "a tool, of all that the tool does until the next tool change; between two cuts of one tool, or inside an operation, of "
        "that one operation. UNTIL may be left out, the reason may not. A waived finding is listed, counts for nothing, and does "
        "not stand against running unattended."
    )


def _sentence(rule: Rule) -> str:
    """What it finds; what the reader of programs notes says so itself."""
    said = NOTES.get(rule.id) or rule.says.page()
    return said[0].upper() + said[1:] + "."


def _asked(rule: Rule) -> str:
    asked = rule.asks.page()
    return asked[0].upper() + asked[1:]


def _open(rule: Rule) -> str:
    """What counts as long as it is undecided, and what stands against running unattended."""
    if rule.level == "note":
        return "As long as it is undecided it counts as a note, and does not stand against running unattended."
    return (
        f"As long as it is undecided it counts as {_A[rule.level]} and stands against running unattended. Where no field of a "
        "record is missing, and a formula, a table or the cutting data of the tool does not reach this case, it counts as a "
        "note, which does not."
    )


_A = {"error": "an error", "warning": "a warning"}


def _wrapped(text: str) -> str:
    return fill(text, WIDTH, break_long_words=False, break_on_hyphens=False)


def _condition(rule: Rule) -> str:
    """The condition as an indented block, one `and` of the outermost level a line."""
    assert rule.when is not None
    text = f"for each {rule.scope}: {' '.join(rule.when.text.split())}"
    return "\n".join("    " + line for line in fill(text, WIDTH - 4, break_long_words=False, break_on_hyphens=False).split("\n"))


def _limits(rule: Rule) -> Iterable[str]:
    if rule.limits:
        yield "\n".join(_wrapped(f"- {limit.name} = {pretty(limit.written)}: {limit.says}") for limit in rule.limits.values())


def deciding_fields(rule: Rule, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The record fields that decide it, as "holder: sealed"; each once, in order."""
    facts = (vocabulary.fact(scope, name) for scope, name in rule.condition(vocabulary).facts)
    return tuple(dict.fromkeys(need for fact in facts if fact for need in fact.needs))


def _deciding(rule: Rule, vocabulary: Vocabulary) -> Iterable[str]:
    for scope, name in rule.condition(vocabulary).facts:
        fact = vocabulary.fact(scope, name)
        if fact:
            unit = f" [{pretty(fact.unit)}]" if fact.unit else ""
            yield fill(
                f"- {name}{unit}: {fact.says} ({_ORIGIN[fact.origin]})", WIDTH, subsequent_indent="  ", break_on_hyphens=False
            )
    fields = deciding_fields(rule, vocabulary)
    if fields:
        yield fill("- record fields: " + "; ".join(fields), WIDTH, subsequent_indent="  ", break_on_hyphens=False)


def rule_list(rules: Sequence[Rule]) -> str:
    """Every rule in a line of its own, by group."""
    width = max(len(rule.id) for rule in rules) + 2
    lines: list[str] = []
    for group in dict.fromkeys(rule.group for rule in rules):
        lines += ["", group.upper()] if lines else [group.upper()]
        for rule in sorted((rule for rule in rules if rule.group == group), key=lambda rule: (LEVELS.index(rule.level), rule.id)):
            off = f"  off: {rule.off}" if rule.off else ""
            lines.append(f"  {rule.id:<{width}}{rule.level}{off}")
    return "\n".join(lines) + "\n"


def fact_list(vocabulary: Vocabulary, scope: str = "") -> str:
    """Every fact a rule may ask for, by scope: name, unit, meaning, origin. The fields of records stand once, at the end."""
    parts = []
    for name, says in vocabulary.scopes.items():
        if scope in ("", name):
            own = [fact for (of, _), fact in vocabulary.facts.items() if of == name and "." not in fact.name]
            words = [word for of, word in vocabulary.relations if of == name and vocabulary.many(name, word)]
            lists = [f"  some / every / no: {', '.join(words)}"] if words else []
            parts.append("\n".join([f"{name.upper()}: {says}", *map(_fact_line, own), *lists]))
    fields = {fact.name: fact for fact in vocabulary.facts.values() if "." in fact.name}
    if not scope:
        parts.append("\n".join(["FIELDS OF RECORDS, in every scope that has the record", *map(_fact_line, fields.values())]))
    return "\n\n".join(parts) + "\n"


def _fact_line(fact: Fact) -> str:
    what = {"number": pretty(fact.unit) or "number", "truth": "yes or no", "text": "text"}.get(fact.kind, "")
    what = what or ("one of " if fact.kind == "word" else "some of ") + (", ".join(fact.words) or "words")
    text = f"{fact.name} ({what}): {fact.says}; {_ORIGIN[fact.origin]}"
    return fill(text, WIDTH, initial_indent="  ", subsequent_indent="      ", break_on_hyphens=False, break_long_words=False)


def rule_named(name: str, rules: Sequence[Rule]) -> Rule | str:
    """The rule of that id, or a sentence that offers the nearest."""
    by_id = {rule.id: rule for rule in rules}
    found = by_id.get(name.strip().lower())
    return found or f"there is no rule `{name}`; {nearest(name.lower(), by_id) or '`coolcheck explain --all` lists them'}"
