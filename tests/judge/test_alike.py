"""Holes that are asked about once for all of them: alike in everything that a rule may ask, but their place."""

from datetime import date
from pathlib import Path

import pytest

from coolcheck.judge.process_words import process_words
from tests.judge.cases import Case, timeline_of

WORDS = process_words(date(2026, 2, 1))
HEAD = "G21 G17 G90 G94 G98\nT1 M6\nS3000 M3\nG54 G0 X0 Y0\nG43 H1 Z5.\n"
TAIL = "G0 Z50.\nM30\n"
PLAIN = "G0 Z2.\nG1 Z-10. F300\nG0 Z5.\n"
PECKED = "G0 Z2.\nG1 Z-5. F300\nG0 Z5.\nG0 Z-4.\nG1 Z-10.\nG0 Z5.\n"


def alike(folder: Path, body: str, scope: str = "hole") -> bool:
    """Are the first two holes of a program alike."""
    timeline = timeline_of(Case("", 1, "", "", HEAD + body + TAIL, {}), folder)
    first, second, *_ = timeline.holes
    items = (first, second) if scope == "hole" else (first.steps[0], second.steps[0])
    keys = [WORDS.alike(scope, item, timeline) for item in items]
    assert None not in keys
    return keys[0] == keys[1]


@pytest.mark.parametrize("scope", ["hole", "step"])
@pytest.mark.parametrize(
    ("body", "are_alike"),
    [
        ("G81 X0 Z-10. R2. F300\nX20.\nG80\n", True),
        ("G81 X0 Z-10. R2. F300\nX20. Z-12.\nG80\n", False),
        ("G83 X0 Z-10. R2. Q5. F300\nX20.\nG80\n", True),
        ("G83 X0 Z-10. R2. Q5. F300\nX20. Q2.\nG80\n", False),
        ("G82 X0 Z-10. R2. P100 F300\nX20. P900\nG80\n", False),
        ("G81 X0 Z-10. R2. F300\nM8\nX20.\nG80\n", False),
        (PLAIN + "X20.\n" + PLAIN, True),
        (PECKED + "X20.\n" + PECKED, True),
        (PLAIN + "X20.\n" + PECKED, False),
        (PECKED + "X20.\n" + PECKED.replace("Z-4.", "Z-3."), False),
        (PLAIN + "X20.\n" + PLAIN.replace("Z-10.", "Z-12."), False),
        (PLAIN + "M8\nX20.\n" + PLAIN, False),
        ("G81 X0 Z-10. R2. F300\nS500\nX20.\nG80\n", False),
        (PLAIN + "X20.\nS500\n" + PLAIN, False),
        (PLAIN + "X20.\n" + PLAIN.replace("F300", "F600"), False),
        (PECKED + "X20.\n" + PECKED.replace("G0 Z-4.", "M8\nG0 Z-4."), False),
        (PECKED.replace("G0 Z-4.", "M8\nG0 Z-4.") + "X20.\n" + PECKED, False),
    ],
)
def test_holes_are_alike_when_nothing_but_their_place_differs(tmp_path, scope, body, are_alike):
    assert alike(tmp_path, body, scope) is are_alike


def test_nothing_else_is_taken_for_alike(tmp_path):
    timeline = timeline_of(Case("", 1, "", "", HEAD + PLAIN + TAIL, {}), tmp_path)

    assert WORDS.alike("operation", timeline.operations[0], timeline) is None
    assert WORDS.alike("program", timeline, timeline) is None


OWN = ("name", "number")  # what tells holes apart that are alike


@pytest.mark.parametrize("scope", ["hole", "step"])
@pytest.mark.parametrize(
    "body",
    [
        "G81 X0 Z-10. R2. F300\nX20. Y5.\nG80\n",
        "G83 X0 Z-10. R2. Q3. F300\nX20.\nG80\n",
        PLAIN + "G4 P2000\nX20.\n" + PLAIN,
        PLAIN + "G95\nX20.\n" + PLAIN.replace("F300", "F.1"),
        PLAIN + "G43 H2\nX20.\n" + PLAIN,
        PECKED + "X20.\n" + PECKED,
    ],
)
def test_of_holes_that_are_alike_every_fact_is_the_same(tmp_path, scope, body):
    """Also where the dwell or an offset changes between them: no fact of a hole or of its steps may hang on these alone."""
    timeline = timeline_of(Case("", 1, "", "", HEAD + body + TAIL, {}), tmp_path)
    items = timeline.holes[:2] if scope == "hole" else [hole.steps[0] for hole in timeline.holes[:2]]
    keys = {WORDS.alike(scope, item, timeline) for item in items}
    told = [
        {name: (value.is_known, value.value if value.is_known else value.missing)}
        for item in items
        for (of, name), fact in WORDS.facts.items()
        if of == scope and name not in OWN
        for value in [fact.of(item, timeline)]
    ]

    assert len(items) == 2 and len(keys) == 1
    assert told[: len(told) // 2] == told[len(told) // 2 :]
