"""Whatever the form of a program: the holes before and after are the same, and so is everything else."""

from collections import Counter
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from made_programs import Form, forms, written
from moved_bytes import moved
from small_shop import TODAY, binding, rewritten, shop

from coolcheck.judge.evaluate import judge
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rules import load_rules
from coolcheck.nc.moves import Execution, Kind
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.targets import Choice

SLOW = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def run(data: bytes) -> Execution:
    bench = Bench.of(binding(shop()))
    return bench.run(bench.program(data, "p.nc"))


def holes(execution: Execution) -> Counter[tuple[Any, ...]]:
    """Place, deepest point and level of departure of every visit of a tool to a place, told from the moves alone."""
    found: Counter[tuple[Any, ...]] = Counter()
    moves = execution.moves
    lowest, top, cut = 0.0, 0.0, False
    for row in range(len(moves)):
        sideways = abs(moves.x[row] - moves.x0[row]) > 1e-6 or abs(moves.y[row] - moves.y0[row]) > 1e-6
        if sideways or moves.z[row] != moves.z[row]:
            cut = False
            continue
        if moves.kind[row] == Kind.FEED and not cut:
            cut, lowest, top = True, moves.z[row], moves.z0[row]
        lowest = min(lowest, moves.z[row])
        leaves = row + 1 == len(moves) or not (moves.x[row + 1] == moves.x[row] and moves.y[row + 1] == moves.y[row])
        if cut and leaves:
            key = (moves.x[row], moves.y[row], lowest, top, moves.z[row])
            found[(execution.modal(row).tool, *(round(float(value), 4) + 0.0 for value in key))] += 1
    return found


def outside(execution: Execution) -> list[tuple[Any, ...]]:
    """Every move sideways, in order."""
    moves = execution.moves
    rows = [r for r in range(len(moves)) if abs(moves.x[r] - moves.x0[r]) > 1e-6 or abs(moves.y[r] - moves.y0[r]) > 1e-6]
    return [(int(moves.kind[r]), *(f"{v[r]:.4f}" for v in (moves.x, moves.y, moves.z, moves.feed))) for r in rows]


def strokes(execution: Execution) -> int:
    """Strokes of the tools that drill the holes to be converted."""
    return sum(len(execution.cycles[c].pecks) for c in execution.cycle_holes.cycle.tolist())


@given(forms())
@SLOW
def test_holes_are_the_same_and_all_else_is_equal(form: Form) -> None:
    data = written(form)
    done = rewritten(data, only=("single_pass",))
    before, after = run(data), run(done.result)

    assert done.is_changed and not done.refusals, done.refusals
    assert holes(before) == holes(after)
    assert outside(before) == outside(after)
    assert strokes(after) == len(after.cycle_holes) == len(before.cycle_holes)
    assert before.ended and after.ended


@given(forms(long=True))
@SLOW
def test_holes_of_long_drills_are_the_same_too(form: Form) -> None:
    data = written(form)
    done = rewritten(data, only=("single_pass",))
    if not done.is_changed:
        reasons = ("differ each time", "other cuts of the tool", "no place", "does not suit")
        assert any(text in refusal.says for refusal in done.refusals for text in reasons), done.refusals
        return
    before, after = run(data), run(done.result)

    assert not done.refusals
    assert holes(before) == holes(after)
    assert outside(before) == outside(after)
    assert all(len(after.cycles[c].pecks) == 1 for c in after.cycle_holes.cycle.tolist())


@given(forms())
@settings(SLOW, max_examples=40)
def test_a_second_rewrite_changes_nothing_and_a_review_finds_nothing_to_mend(form: Form) -> None:
    done = rewritten(written(form))
    again = rewritten(done.result)
    mending = [rule for rule in load_rules((), process_words(TODAY)) if rule.mends]
    left = {(v.rule.id, v.about("tool")) for v in judge(done.after, mending, TODAY, notes=()).verdicts}
    refused = {refusal.mend for refusal in done.refusals}

    assert again.result == done.result
    assert all(next(rule.mends for rule in mending if rule.id == name) in refused for name, _ in left), (left, refused)


@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_every_byte_outside_the_edits_stays(end: bytes) -> None:
    body = b"G83 Z-40. R2. Q5. F636.\nX10. (caf\xe9 \xff)\n;\xc3\xbc\nG80\n(M57 here)\n".replace(b"\n", end)
    head = b"%\nO1 (x)\n\nG21 G90 G94 G17 G99\nT1 M6\nG0 X0. Y0. S3180 M3\nG43 H1 Z25.\n".replace(b"\n", end)
    tail = b"G0 Z25.\nM5\nM30\n%\ntrailing \x00 text".replace(b"\n", end)
    done = rewritten(head + body + tail, only=("single_pass",))
    old, new = done.original, done.result
    (stage,) = done.stages
    edited = {at for edit in stage.edits for at in range(edit.start, edit.end)}

    assert all(new[moved(stage.edits, at)] == byte for at, byte in enumerate(old) if at not in edited)


@given(forms())
@settings(SLOW, max_examples=40)
def test_where_speed_and_feed_are_kept_every_hole_is_drilled_as_programmed(form: Form) -> None:
    bench = Bench.of(binding(shop()))
    done = rewrite(written(form), str(shop() / "p.nc"), bench, Choice(frozenset({"single_pass"}), keeps=True), TODAY)
    speeds = [{execution.modal(first).rpm for first in execution.cycle_holes.first.tolist()} for execution in both(done)]
    feeds = [{round(feed, 6) for feed in execution.moves.feed.tolist() if feed == feed} for execution in both(done)]

    assert done.is_changed or any("as you asked" in refusal.says for refusal in done.refusals)
    assert speeds[0] == speeds[1] and feeds[0] == feeds[1]


def both(done: Rewrite) -> tuple[Execution, Execution]:
    return done.before.execution, done.after.execution
