"""Feed moves above the raw face, beside canned cycles: they join the operation there, and where anything is in doubt they do not."""

from collections.abc import Callable
from typing import Any

import pytest

HEAD = "G21 G17 G90 G94 G99\nT2 M6\nS3000 M3\nG54 G0 X0 Y0\nG43 H2 Z50.\nM57\n"
CYCLE = ("G81 Z-20. R2. F600", "G80")
FED = "G1 Z5. F5000."


def kinds(bench: Any, *lines: str) -> list[str]:
    return [operation.kind for operation in bench.timeline(HEAD + "\n".join(lines) + "\nM30\n").operations]


@pytest.mark.parametrize(
    "lines",
    [
        (FED, *CYCLE),
        (*CYCLE, "G1 Z50. F5000."),
        (*CYCLE, "G1 Z30. F5000.", "X40.", FED, "G81 X40. Z-20. R2. F600", "G80"),
        (FED, "M1", *CYCLE),
        ("(DRILL THE PLATE)", FED, *CYCLE),
        (FED, "(DRILL THE PLATE)", *CYCLE),
    ],
    ids=["before", "behind", "between", "with a stop behind it", "under the title", "with the title behind it"],
)
def test_a_feed_move_in_the_air_is_no_operation_of_its_own(bench: Any, lines: tuple[str, ...]) -> None:
    assert kinds(bench, *lines) == ["drill"]


def test_feed_and_depth_are_those_of_the_cycle(bench: Any) -> None:
    operation = bench.timeline(HEAD + "\n".join((FED, *CYCLE)) + "\nM30\n").operations[0]

    assert operation.feed.value * 60e3 == pytest.approx(600)
    assert operation.depth.value == pytest.approx(0.020)
    assert operation.place.line == 8


@pytest.mark.parametrize(
    "lines",
    [
        ("G1 Z-1. F5000.", "Z5.", *CYCLE),
        ("G2 X10. Y0 I5. J0 F5000.", *CYCLE),
        ("A90.", FED, *CYCLE),
        ("G52 Z-6.", FED, *CYCLE),
        (*CYCLE, "G52 Z#500", FED, *CYCLE),
        ("(CHAMFER ALL EDGES)", FED, "(DRILL THE PLATE)", *CYCLE),
        ("G18", FED, "G81 Y-20. R2. F600", "G80"),
    ],
    ids=["into the face", "an arc", "turned over", "shifted down", "shifted by nobody knows how much", "named", "cycle along Y"],
)
def test_what_may_cut_stays_an_operation(bench: Any, lines: tuple[str, ...]) -> None:
    assert len(kinds(bench, *lines)) > 1


def test_without_a_face_z0_and_the_r_plane_must_lie_below(bench: Any) -> None:
    bench.drop("job", "top")

    assert kinds(bench, FED, *CYCLE) == ["drill"]
    assert len(kinds(bench, FED, "G81 Z-20. R10. F600", "G80")) == 2
    assert len(kinds(bench, FED, "G81 Z1. R2. F600", "G80")) == 2


def test_a_tool_that_stays_in_the_air_enters_nothing(bench: Any, ask: Callable[..., Any]) -> None:
    timeline = bench.timeline(HEAD + FED + "\nM30\n")

    assert len(timeline.operations) == 1
    assert ask(timeline, "operation", "enters_material").is_no
    assert ask(bench.timeline(HEAD + "G1 Z-5. F600.\nM30\n"), "operation", "enters_material").is_yes
