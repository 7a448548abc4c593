"""The certificate as a page that a person reads and ticks: Markdown, made from the data of the certificate and nothing else."""

from collections.abc import Iterator, Mapping
from typing import Any

Data = Mapping[str, Any]


def page(data: Data) -> str:
    """The whole page."""
    return "\n".join(_lines(data)) + "\n"


def _lines(data: Data) -> Iterator[str]:
    yield f"# Rewrite of {_plain(data['original']['file'])}"
    yield ""
    yield f"{_plain(data['rewritten']['file'])} does the same as {_plain(data['original']['file'])}, but for what stands here."
    yield "It is a proposal: a qualified person decides whether it runs."
    yield ""
    yield from _before_the_first_run(data)
    yield from _changes(data)
    yield from _times(data["time"])
    yield from _why(data["preconditions"])
    yield from _left(data["left"])
    yield from _proof(data)
    yield from _files(data)


def _before_the_first_run(data: Data) -> Iterator[str]:
    yield "## Before the first run"
    yield ""
    for caution in data["cautions"]:
        yield f"- [{'x' if caution['done'] else ' '}] {_plain(caution['says'])}"
    yield ""
    yield "Name: ____________________  Date: ____________________"
    yield ""


def _changes(data: Data) -> Iterator[str]:
    yield "## What changes"
    yield ""
    if data["speed_and_feed"] == "record":
        yield "Converted holes take speed and feed of their tool record; each change of them stands here, old and new."
    else:
        yield "Converted holes keep the speed and feed of the program."
    yield "Tick each block when it was compared. Lines are those of the original."
    yield ""
    for change in data["changes"]:
        yield f"- [ ] {_where(change)}"
        yield from (f"  - old: {_plain(text)}" for text in change["before"])
        yield from (f"  - new: {_plain(text)}" for text in change["after"])
        yield from (f"  - why: {_plain(reason)}" for reason in change["reasons"])
    yield ""


def _where(change: Data) -> str:
    if not change["before"]:
        return f"line {change['line']}: comes in before it"
    return f"line {change['line']}" if change["after"] else f"line {change['line']}: goes"


def _times(time: Data) -> Iterator[str]:
    yield "## Time"
    yield ""
    yield "| what | before [s] | after [s] | saved [s] | by another speed and feed [s] | by no pecks, less dwells [s] |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: |"
    yield _row("program", time["program"])
    for hole in time["holes"]:
        number = "a hole" if hole["hole"] is None else f"hole {hole['hole']}"
        yield _row(f"{number}, T{hole['tool']} ({hole['place']})", hole)
    yield ""
    yield "Holes are numbered as `coolcheck holes` does."
    yield ""


def _row(name: str, times: Data) -> str:
    columns = ("before", "after", "saved", "by_feed", "by_pecks")
    return f"| {name} | " + " | ".join(_number(times[key]) for key in columns) + " |"


def _number(value: float | None) -> str:
    return "not known" if value is None else f"{value:.2f}"


def _why(preconditions: list[Data]) -> Iterator[str]:
    for found in preconditions:
        yield f"## Why T{found['tool']} may drill in one pass ({_plain(found['place'])})"
        yield ""
        for condition in found["conditions"]:
            yield f"- {_plain(condition['says'])}"
            yield from (f"  - {_evidence(one)}" for one in condition["evidence"])
        yield ""


def _evidence(one: Data) -> str:
    value = "yes" if one["value"] is True else "no" if one["value"] is False else one["value"]
    where = f", {one['place']}" if one["place"] else f", {one['source']}"
    note = f" ({one['note']})" if one["note"] else ""
    return _plain(f"{one['name']}: {value} {one['unit']}".rstrip() + where + note)


def _left(left: list[Data]) -> Iterator[str]:
    if not left:
        return
    yield "## What stays as it is"
    yield ""
    for one in left:
        yield f"- {_plain(one['place'])}: {_plain(one['says'])}"
        yield from (f"  - missing: {_plain(m['question'])} (`{m['field']}` of {_plain(m['record'])})" for m in one["missing"])
    yield ""


def _proof(data: Data) -> Iterator[str]:
    yield "## What was proved"
    yield ""
    yield "Both programs were run from end to end and compared, move by move, code by code, hole by hole; then a second time,"
    yield "by another way that knows only the two traces. `coolcheck verify` does it again."
    yield ""
    for stage in data["stages"]:
        for run in stage["runs"]:
            proof, skip = run["proof"], ", ".join(map(str, run["block_skip"])) or "none"
            yield (
                f"- {stage['mend'].replace('_', ' ')}, block-skip switches on: {skip}: {proof['moves']} moves, "
                f"{proof['events']} codes and dwells, {proof['holes']} runs of canned cycles (one tool in one hole) compared, "
                f"{proof['converted']} of these converted"
            )
    yield ""


def _files(data: Data) -> Iterator[str]:
    yield "## Files"
    yield ""
    yield "| file | SHA-256 |"
    yield "| --- | --- |"
    for one in (data["original"], data["rewritten"], *data["subprograms"], *data["records"]):
        yield f"| {_plain(one['file'])} | `{one['sha256']}` |"
    yield ""
    made = f"Made by coolcheck {data['coolcheck']}, dialect {data['dialect']['name']}"
    yield made + (f", on {data['date']}." if data["date"] else ".")


def _plain(text: object) -> str:
    """Text that stays text: what comes from programs and records must not become marks, links or HTML."""
    shown = "".join(character if character.isprintable() else "?" for character in str(text))
    for mark in "\\`*_[]<>|#":
        shown = shown.replace(mark, "\\" + mark)
    return shown
