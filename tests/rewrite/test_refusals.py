"""A refusal says what failed, in the words of the trade, and never tells a requirement as if it held."""

from pathlib import Path
from shutil import copytree
from tempfile import mkdtemp

import pytest
from small_shop import binding, changed_lines, rewritten, shop

from coolcheck.known import Missing, unknown, yes
from coolcheck.known import no as not_so
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.plan import Run, plan
from coolcheck.rewrite.preconditions import _asked
from coolcheck.rewrite.refusal import Refusal, told
from coolcheck.rewrite.targets import Choice, Target

HEAD = "G21 G17 G90 G94 G40 G49 G80\nT1 M6\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25. M8\n"
TAIL = "G80\nM9\nG91 G28 Z0. M5\nG90\nM30\n"
ASKED = Missing("job", "", "is it so?")
PECKS = HEAD + "G99 G83 Z-40. R2. Q5. F636.\n" + TAIL


def with_record(record: str, old: str, new: str) -> Path:
    """A shop of its own with one line of a record changed."""
    folder = Path(mkdtemp(prefix="shop-"))
    copytree(shop(), folder, dirs_exist_ok=True)
    text = (folder / record).read_text(encoding="utf-8")
    assert old in text
    (folder / record).write_text(text.replace(old, new), encoding="utf-8")
    return folder


def left(program: str, folder: Path | None = None) -> Refusal:
    """The one refusal of a program of which nothing is converted."""
    done = rewritten(program.encode(), folder, only=("single_pass",))
    (refusal,) = done.refusals
    assert not done.is_changed
    return refusal


def test_a_material_whose_chips_burn_is_told_as_one() -> None:
    says = left(PECKS, with_record("materials/steel.yaml", "reactive: no", "reactive: yes")).says

    assert says == "T1 keeps its pecks: fine chips of steel burn"


def test_a_stroke_below_the_raw_face_is_told_as_one() -> None:
    says = left(PECKS.replace("R2.", "R-10.")).says

    assert "begins below the raw face" in says and "above the raw face" not in says


def test_a_tool_that_is_no_drill_is_told_as_none() -> None:
    says = left(PECKS, with_record("tools/drill.yaml", "kind: drill", "kind: reamer")).says

    assert "T1 is a reamer, no drill" in says


def test_a_spindle_that_turns_against_the_drill_is_told_so() -> None:
    folder = with_record("tools/drill.yaml", "kind: drill", "kind: drill\nhand: right")
    says = left(PECKS.replace("M3\n", "M4\n"), folder).says

    assert "the spindle turns against the way T1 cuts" in says


def test_a_spindle_that_stands_is_told_so() -> None:
    says = left(PECKS.replace(" M3\n", "\n")).says

    assert "the spindle does not turn while it drills" in says


@pytest.mark.parametrize(("truth", "says"), [(yes(), "holds"), (not_so(), "fails"), (unknown(ASKED), "nobody knows")])
def test_a_condition_has_a_sentence_for_each_answer(truth, says: str) -> None:  # type: ignore[no-untyped-def]
    assert _asked("name", truth, "holds", "fails", "nobody knows").says == says


def test_behind_a_known_no_the_open_questions_are_only_counted() -> None:
    refusal = left(PECKS, shop(fitted="no", sealed="unknown", confirmed=False))
    lines = told(refusal).splitlines()

    assert len(refusal.missing) > 1
    assert not any(line.startswith("    missing") for line in lines)
    assert f"    then     {len(refusal.missing)} more questions would follow" in lines


def test_without_a_known_no_every_question_is_asked() -> None:
    refusal = left(PECKS, shop(sealed="unknown", confirmed=False))
    lines = told(refusal).splitlines()

    assert sum(line.startswith("    missing") for line in lines) == len(refusal.missing) > 1
    assert not any("would follow" in line for line in lines)


AIR = Missing("program", "", "T5 does not cut here")
TIME = Missing("machine mill", "supplies.build-up time", "how long does the pressure take?")
SPEED = Missing("program", "S", "at which speed does the spindle turn while T5 cuts? No S word stands before it")
RANGE = Missing("physics", "", "the formula holds for drills from 3 mm on")


@pytest.mark.parametrize(
    ("missing", "asked", "do"),
    [
        ((AIR,), None, ""),
        ((AIR, TIME), (TIME,), "answer the questions in the records and run again"),
        ((SPEED,), (SPEED,), "answer the questions in the records and run again"),
        ((RANGE,), (RANGE,), "no record decides this: look at it by hand"),
        ((AIR, RANGE), (RANGE,), "no record decides this: look at it by hand"),
        ((), (), "no record decides this: look at it by hand"),
    ],
)
def test_only_what_can_be_answered_is_asked(missing: tuple[Missing, ...], asked: tuple[Missing, ...] | None, do: str) -> None:
    bench = Bench.of(binding(shop()))
    run = Run.of(bench.timeline(bench.run(bench.program(b"G21 G90 G94\nT5 M6\nM30\n", "p.nc"))))
    says = "has the pressure reached the tip?"
    target = Target("build_up_dwell", "through-tool-on-too-late", 5, run.execution.place(1), says, False, (), (), missing)
    refusals = plan("build_up_dwell", run, [target], Choice()).refusals

    expected = [] if asked is None else [(asked, do)]
    assert [(refusal.missing, refusal.do) for refusal in refusals] == expected


@pytest.mark.parametrize(
    ("end", "before"), [("M30\n", "the end of the program"), ("M0\nM30\n", "the stop M0"), ("T3 M6\nM30\n", "the tool change")]
)
@pytest.mark.parametrize(
    ("on", "says"), [("M8", "through-tool fluid off behind the holes of T1, and time"), ("M57", "time for the")]
)
def test_the_reason_names_what_the_fluid_must_have_run_out_before(end: str, before: str, on: str, says: str) -> None:
    off = "M58\n" if on == "M57" else ""
    head = f"G21 G17 G90 G94 G40 G49 G80\nT1 M6\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25. {on}\n"
    program = head + f"G99 G83 Z-40. R2. Q5. F636.\nG80\n{off}M9\nG91 G28 Z0. M5\nG90\n" + end
    done = rewritten(program.encode(), only=("single_pass",))
    (reason,) = [edit.reason for edit in done.stages[0].edits if b"G4 P1200" in edit.text]

    assert "G4 P1200" in changed_lines(done)[1]
    assert reason.startswith(says) and reason.endswith(f"to run out before {before}")
