"""A starting line: what a folder of old programs shows today is taken as known, so that only what is new fails.

The file is JSON, sorted, made to be kept with the programs and read in a diff. It knows findings by content (rule, tool, kind of
operation, text of the block without its number), so it survives lines that shift and blocks that are renumbered. It counts: a
second finding of the same content is new.
"""

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from coolcheck.errors import InputError, Problem
from coolcheck.judge.evaluate import Judgement
from coolcheck.judge.verdict import Verdict
from coolcheck.place import Place

FORM = "coolcheck starting line 1"
MOST_BYTES = 50_000_000


@dataclass(frozen=True)
class StartingLine:
    """For each program, by its name in the folder, how often each fingerprint is taken as known."""

    programs: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    def beyond(self, program: str, judgement: Judgement) -> Judgement:
        """The judgement with what the starting line knows of that program set apart as known."""
        left = Counter(self.programs.get(program, {}))
        new: list[Verdict] = []
        known: list[Verdict] = []
        for verdict in judgement.each():
            if left[verdict.fingerprint] > 0:
                left[verdict.fingerprint] -= 1
                known.append(verdict)
            else:
                new.append(verdict)
        return replace(judgement, verdicts=tuple(new), known=tuple(known))


def starting_line(judgements: Iterable[tuple[str, Judgement]]) -> bytes:
    """The starting-line file of a folder: each program by its name in the folder, with what is found in it today."""
    programs = {name: _entries(judgement) for name, judgement in judgements}
    whole = {"form": FORM, "programs": {name: programs[name] for name in sorted(programs) if programs[name]}}
    return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()


def _entries(judgement: Judgement) -> list[dict[str, Any]]:
    counts: Counter[str] = Counter()
    first: dict[str, Verdict] = {}
    for verdict in judgement.each():
        counts[verdict.fingerprint] += 1
        first.setdefault(verdict.fingerprint, verdict)
    entries = [
        {
            "fingerprint": mark,
            "rule": verdict.rule.id,
            "verdict": verdict.state,
            **{word.replace(" ", "_"): name for word, name in verdict.subject if word in ("tool", "operation kind")},
            "count": counts[mark],
        }
        for mark, verdict in first.items()
    ]
    return sorted(entries, key=lambda entry: (str(entry["rule"]), str(entry.get("tool", "")), str(entry["fingerprint"])))


def read_starting_line(path: Path) -> StartingLine:
    """The starting line in a file. Raises InputError."""
    place = Place(str(path))
    try:
        with path.open("rb") as file:
            text = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise InputError(Problem(place, f"the starting line cannot be read: {(error.strerror or '').lower()}")) from error
    if len(text) > MOST_BYTES:
        raise InputError(Problem(place, f"the starting line is larger than {MOST_BYTES // 1_000_000} MB", "make one a folder"))
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", 0)
        says = f"this is no starting line: {getattr(error, 'msg', 'not JSON')}"
        raise InputError(Problem(Place(str(path), line, getattr(error, "colno", 0)), says, _DO)) from error
    if not isinstance(whole, dict) or whole.get("form") != FORM or not isinstance(whole.get("programs"), dict):
        raise InputError(Problem(place, f"this is no starting line of this version (`form` must be `{FORM}`)", _DO))
    return StartingLine({name: _counts(entries, name, place) for name, entries in whole["programs"].items()})


_DO = "make it anew from the folder"


def _counts(entries: Any, name: str, place: Place) -> dict[str, int]:
    counts: dict[str, int] = {}
    for entry in entries if isinstance(entries, list) else [None]:
        mark = entry.get("fingerprint") if isinstance(entry, dict) else None
        count = entry.get("count") if isinstance(entry, dict) else None
        if not isinstance(mark, str) or not isinstance(count, int) or isinstance(count, bool) or count < 1:
            raise InputError(Problem(place, f"an entry of `{name}` has no fingerprint or no count", _DO))
        counts[mark] = counts.get(mark, 0) + count
    return counts
