"""Any program, however odd, has a process; and time never runs backwards in it."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coolcheck.known import Known
from coolcheck.nc.moves import Kind
from coolcheck.process import facts

LINES = (
    "G21", "G20", "G90", "G91", "G94", "G95", "G98", "G99", "G80", "T1 M6", "T2 M6", "T3 M6", "T4 M6", "T5 M6", "T6 M6", "M6",
    "T9", "S1000 M3", "S500 M4", "M5", "M8", "M9", "M57", "M57 P3", "M58", "M54", "M77", "M31", "M0", "M1", "M30", "M98 P1",
    "M99", "G4 P500", "G4", "G54", "G55", "G28 G91 Z0", "G53 G0 Z0", "G17", "G18", "G19", "G41 D1", "G40", "G43 H1 Z5.",
    "G0 X0 Y0", "G0 Z5.", "G0 Z-3.", "X10.", "Y-10.", "X#1", "Z#2", "G1 Z-5. F200", "G1 X20. F500", "G1 X20. Y5. Z-1.", "G1",
    "G2 X5. Y5. I2. J2.", "G3 X0 Y0 R7.", "G3 X10. Y0 Z-4. I-10. J0", "G3 I3.", "G2 X1. R0.",
    "G81 Z-10. R2. F100", "G82 Z-10. R2. P300 F100", "G83 Z-30. R2. Q5. F100", "G73 Z-30. R2. Q5. F100", "G83 Z-30. R2. Q0",
    "G84 Z-10. R2. F1500", "G85 X5. Z-10. R2. F100", "G86 Z-9. R1.", "G87 Z-9. R-11. Q1.", "G76 Z-9. R1. Q0.5",
    "G83 Z5. R-9. Q2.",
    "(ROUGH)", "(FINISH)", "(DRILL 8.5)", "(begin operation: x)", "(T2 D=8. DRILL)", "(", "/M8", "G31 Z-4. F50", "A90.",
    "M29 S300", "G1 X..3", "M..8", "%", "O1", "GOTO 9999", "#1=5", "?", "N10", "G68 X0 Y0 R30.", "G51 P2.", "G93",
    "G1 X3. F2.",
)  # fmt: skip


def _look_at(timeline: Any) -> None:
    for (scope, name), entry in facts.FACTS.items():
        if "." in name:
            continue
        for item in list(facts.objects(scope, timeline))[:12]:
            value = entry.of(item, timeline)
            assert isinstance(value, Known) and (value.is_known or value.missing), (scope, name)


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(LINES), max_size=30))
def test_any_program_has_a_process(bench: Any, lines: list[str]) -> None:
    timeline = bench.timeline("\n".join(lines) + "\n")

    _look_at(timeline)
    rows = [row for operation in timeline.operations for row in range(operation.rows[0], operation.rows[1] + 1)]
    assert rows == list(range(len(timeline.execution.moves)))  # every move belongs to one operation, in order


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(LINES), max_size=30))
def test_so_it_has_without_records(bench: Any, lines: list[str]) -> None:
    _look_at(bench.bare("\n".join(lines) + "\n"))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(LINES), max_size=30))
def test_time_never_runs_backwards(bench: Any, lines: list[str]) -> None:
    timeline = bench.timeline("\n".join(lines) + "\n")
    starts = [operation.start_seconds.value for operation in timeline.operations if operation.start_seconds.is_known]

    assert starts == sorted(starts)
    for hole in timeline.holes:
        for step in hole.steps:
            if step.seconds.is_known and step.single_pass_seconds.is_known and len(step.strokes) == 1:
                assert step.seconds.value == pytest.approx(step.single_pass_seconds.value)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(LINES), max_size=30))
def test_what_is_engaged_are_feed_moves_and_passages_lie_in_their_operation(bench: Any, lines: list[str]) -> None:
    timeline = bench.timeline("\n".join(lines) + "\n")

    assert (timeline.execution.moves.kind[timeline.engaged] != Kind.RAPID).all()
    for edge in timeline.edges:
        for passage in edge.passages:
            first, last = passage.operation.rows
            assert first <= passage.rows[0] <= passage.rows[1] <= last
