"""Speed and feed of converted holes: each change is told with old and new value, and a person may choose to keep what stands."""

from dataclasses import replace
from pathlib import Path

import pytest
from small_shop import TODAY, binding, rewritten, shop

from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.changes import changes, told
from coolcheck.rewrite.differences import Differences, OnePass
from coolcheck.rewrite.plan import Run, demands_of
from coolcheck.rewrite.prove import first_fault
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.targets import Choice

HEAD = "G21 G17 G90 G94 G40 G49 G80\nT1 M6\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25. M8\n"
TAIL = "G80\nM9\nG91 G28 Z0. M5\nG90\nM30\n"
SLOWER = HEAD.replace("S3180", "S800") + "G99 G83 Z-40. R2. Q5. F160.\nX10.\nX20. F120.\n" + TAIL
RECORD = "its record for steel"


def kept(program: str, folder: Path | None = None) -> Rewrite:
    """The program rewritten where speed and feed are to be kept."""
    where = folder or shop()
    choice = Choice(frozenset({"single_pass"}), frozenset(), keeps=True)
    return rewrite(program.encode(), str(where / "p.nc"), Bench.of(binding(where)), choice, TODAY)


def said(program: str) -> list[str]:
    return [one.says for one in told(rewritten(program.encode(), only=("single_pass",)))]


def test_every_change_of_speed_and_feed_is_told_old_and_new() -> None:
    assert said(SLOWER) == [
        f"spindle speed of T1 from S800 to S3183, {RECORD}",
        f"feed of T1 from F160. to F636., {RECORD}",
        f"feed of T1 from F120. to F636., {RECORD}",
    ]


def test_what_stays_is_not_told() -> None:
    assert said(HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX10.\n" + TAIL) == []


def test_an_inherited_feed_and_a_speed_put_in_around_the_holes_are_told() -> None:
    program = HEAD.replace("S3180", "S1000") + "F100.\nG99 G83 Z-40. R2. Q5.\nG80\nG0 Z5.\nG1 Z1.\nX30.\nG0 Z25.\n" + TAIL

    assert said(program) == [f"spindle speed of T1 from S1000 to S3183, {RECORD}", f"feed of T1 from F100. to F636., {RECORD}"]


def test_a_speed_that_a_limit_holds_down_is_told_as_that() -> None:
    folder = shop(more="note: a slow drill\n")
    drill = folder / "tools/drill.yaml"
    drill.write_text(drill.read_text(encoding="utf-8").replace("top speed: 16000 rpm", "top speed: 2000 rpm"), encoding="utf-8")
    (first, *_) = told(rewritten(SLOWER.encode(), folder, only=("single_pass",)))

    assert first.says == f"spindle speed of T1 from S800 to S2000, the most its limits allow ({RECORD} asks for more)"


def test_a_written_out_hole_tells_its_speed_and_feed_too() -> None:
    program = (
        "G21 G17 G40 G80 G90 G94\nT4 M6\nG0 G54 X0. Y0. S3183 M3\nG43 H4 Z25. M8\nG99 G81 Z-14. R2. F636.\nG80\nG0 Z25. M9\n"
        "T2 M6\nG0 X0. Y0. S2000 M3\nG43 H2 Z25. M8\nG99 G83 Z-100. R2. Q5. F300.\nG80\nG0 Z25. M9\nM30\n"
    )
    drilled = f"spindle speed of T2 from S2000 to S3183, {RECORD}; feed of T2 from F300. to F636., {RECORD}"

    assert said(program) == [drilled]
    reasons = {edit.reason for edit in rewritten(program.encode(), only=("single_pass",)).stages[0].edits}
    assert "spindle speed of T2 from S2000 to S300 on the way into its pilot, its record's entry speed" in reasons


def test_the_changed_blocks_are_shown_old_and_new_with_their_reasons() -> None:
    first, cycle, last, end = changes(rewritten(SLOWER.encode(), only=("single_pass",)))

    assert (first.line, first.before, first.after) == (3, ("G0 G54 X0. Y0. S800 M3",), ("G0 G54 X0. Y0. S3183 M3",))
    assert cycle.line == 5 and cycle.before == ("G99 G83 Z-40. R2. Q5. F160.",)
    assert cycle.after == ("M57", "G4 P1500", "G99 G81 Z-40. R2. F636.")
    assert f"feed of T1 from F160. to F636., {RECORD}" in cycle.reasons and len(cycle.reasons) == 3
    assert (last.before, last.after) == (("X20. F120.",), ("X20. F636.",))
    assert (end.line, end.before, end.after) == (9, (), ("M58", "G4 P1200"))


@pytest.mark.parametrize(
    ("program", "differs"),
    [
        (SLOWER, f"S800 where {RECORD} gives S3183"),
        (HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX20. F500.\n" + TAIL, f"F500. where {RECORD} gives F636."),
        (HEAD + "G99 G83 Z-40. R2. Q5. F700.\n" + TAIL, f"F700. where {RECORD} gives F636."),
        (
            HEAD.replace("S3180", "S800") + "G99 G83 Z-40. R2. Q5. F100.\n" + TAIL,
            f"S800 where {RECORD} gives S3183 and F100. where {RECORD} gives F636.",
        ),
    ],
)
def test_what_is_to_be_kept_and_is_not_the_records_stays_pecked(program: str, differs: str) -> None:
    done = kept(program)
    refusal = done.refusals[0]  # holes of one cycle at two feeds are two operations, and each says why it stays

    assert not done.is_changed and refusal.says == f"T1 keeps its pecks, its speed and its feed, as you asked: {differs}"
    assert "--keep-speed-and-feed" in refusal.do


def test_what_is_kept_and_is_near_the_records_is_converted_as_it_stands() -> None:
    done = kept(HEAD + "G99 G83 Z-40. R2. Q5. F636.\nX10. F634.\n" + TAIL)

    assert done.is_changed and not done.refusals and done.keeps and not list(told(done))
    assert b"S3180" in done.result and b"X10. F634." in done.result


def test_the_proof_demands_the_programmed_values_where_they_are_kept() -> None:
    done = kept(HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL)
    bench = Bench.of(binding(shop()))
    before = Run.of(bench.timeline(bench.run(bench.program(done.original, "p.nc"))))

    def fault(old: bytes, new: bytes, keeps: bool) -> str:
        """Why the proof fails for a result in which one word differs; the difference is declared as a wrong plan would."""
        after = bench.run(bench.program(done.result.replace(old, new), "p.nc"))
        declared = done.stages[0].differences[0][1]
        steps = tuple(replace(s, feed=float(new[1:-1]) if s.act == "feed" else s.feed) for s in declared.holes[0].steps)
        one = OnePass(0, 1, True, steps)
        wrong = replace(declared, holes=(one,)) if isinstance(declared, Differences) else declared
        return first_fault(before.execution, after, wrong, demands_of(before, keeps))

    assert fault(b"F636.", b"F636.", keeps=True) == ""
    assert fault(b"F636.", b"F633.", keeps=False) == ""  # within what the record allows
    assert "which is to be kept" in fault(b"F636.", b"F633.", keeps=True)


def test_time_saved_by_the_feed_is_told_apart_from_time_saved_by_the_pecks() -> None:
    slow, (fast,) = (
        rewritten(SLOWER.encode(), only=("single_pass",)).stages,
        kept(HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL).stages,
    )
    first = slow[0].holes[0]

    # 42 mm at 160 and at 636 mm/min; the pecks themselves cost the same at either feed, but for the little that is fed twice
    assert first.by_feed == pytest.approx(42 * 60 * (1 / 160 - 1 / 636), rel=1e-9)
    assert fast.holes[0].by_feed == 0.0
    rest = first.before - first.after - first.by_feed
    assert rest == pytest.approx(fast.holes[0].before - fast.holes[0].after, abs=8 * 0.254 * 60 / 160)


def test_holes_are_numbered_as_the_list_of_holes_does() -> None:
    spots = "T4 M6\nG0 G54 X50. Y0. S3000 M3\nG43 H4 Z25. M57\nG4 P2000\nG99 G81 Z-5. R2. F600.\nX60.\nG80\nM58\nG4 P2000\nM5\n"
    program = "G21 G17 G90 G94\n" + spots + HEAD.split("\n", 1)[1] + "G99 G83 X60. Z-40. R2. Q5. F636.\nX70.\n" + TAIL
    (stage,) = rewritten(program.encode(), only=("single_pass",)).stages

    assert [one.hole for one in stage.holes] == [2, 3]


def test_a_speed_that_is_stated_once_more_is_told() -> None:
    program = HEAD.replace("S3180", "S800") + "G99 G83 Z-40. R2. Q5. F160.\nG80\nS800\nG99 G83 X9. Z-40. R2. Q5. F160.\n" + TAIL
    (refusal,) = rewritten(program.encode(), only=("single_pass",)).refusals

    assert refusal.says == "T1 keeps its pecks: S800 is stated once more, though that speed holds already"
    assert refusal.where.line == 7 and refusal.do == "take that S word out"
