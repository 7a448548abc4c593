"""The prover against wrong edits: two thousand random corruptions, and none that changes what the program does passes.

A corruption changes the meaning when the corrupted program runs otherwise than the rewritten one: another row in its trace,
another modal state, another note. One that runs the same (a comment, a sequence number, 2. for 2.0) is no wrong edit and is
left out of the count. The bytes are never compared here: it is the proof alone that must see it.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import pytest
from as_declared import as_declared
from made_programs import Form, written
from small_shop import LONG, TODAY, binding, rewritten, shop

from coolcheck.nc.limits import Limits
from coolcheck.nc.moves import Execution
from coolcheck.nc.trace import trace
from coolcheck.records.binding import bind
from coolcheck.rewrite.allowed import Demands
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.differences import Differences, OnePass, Said, Step
from coolcheck.rewrite.edit import Edit, apply
from coolcheck.rewrite.plan import Run, demands_of
from coolcheck.rewrite.prove import first_fault
from coolcheck.rewrite.rewrite import rewrite
from coolcheck.rewrite.targets import Choice

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
SHORT = Limits(max_blocks_executed=5000, max_moves=20_000, max_pecks=500)  # a corrupted loop need not run for long
ENOUGH = 2000  # corruptions that change the meaning, over all cases


@dataclass(frozen=True)
class Case:
    """One proved step of a rewrite, with what its proof needs."""

    bench: Bench
    old: bytes
    new: bytes
    edits: tuple[Edit, ...]
    declared: Differences
    before: Execution
    demands: Demands

    def run(self, data: bytes) -> Execution:
        return self.bench.run(self.bench.program(data, "p.nc"))

    def fault(self, data: bytes, declared: Differences | None = None) -> str:
        return first_fault(self.before, self.run(data), declared or self.declared, self.demands)


def steps(bench: Bench, data: bytes, stages) -> list[Case]:  # type: ignore[no-untyped-def]
    found = []
    for stage in stages:
        run = Run.of(bench.timeline(bench.run(bench.program(data, "p.nc"))))
        new = apply(data, stage.edits)
        found.append(Case(bench, data, new, stage.edits, stage.differences[0][1], run.execution, demands_of(run)))
        data = new
    return found


PLAIN = Form(
    inch=False, incremental=False, return_level=99, per_turn=False, code=83, pecks="q", dwell=True, structure="series",
    speed=1500, near_feed=False, feed_in_cycle=True, fluid="flood", other_cuts=True, gap=" ", lower=False, numbered=True,
    line_end=b"\n",
    holes=((0.0, 0.0, None), (12.0, 4.0, -22.5), (20.0, 0.0, None)), long=False,
)  # fmt: skip
FORMS = (
    PLAIN,
    replace(PLAIN, inch=True, incremental=True, pecks="ijk", structure="sub_many", fluid="none"),
    replace(PLAIN, code=73, return_level=98, structure="while_loop", per_turn=True, other_cuts=False),
    replace(PLAIN, long=True, dwell=False, other_cuts=False, fluid="none"),
)
# A fed approach to a long hole, with a code in its block that acts behind it.
FED = LONG.replace("G43 H2 Z25. M8\n", "G43 H2 Z25. M8\nG1 Z5. F5000.\n").replace("Q5. F636.\n", "Q5. F636. M9\n").encode()


@lru_cache(maxsize=1)
def cases() -> tuple[Case, ...]:
    found: list[Case] = []
    bench = Bench.of(binding(shop()), limits=SHORT)
    for form in FORMS:
        data = written(form)
        found += steps(bench, data, rewritten(data).stages)
    found += steps(bench, FED, rewritten(FED, only=("single_pass",)).stages)
    for name in ("manifold-drill-tap", "deep-hole-plate"):
        path = SAMPLES / "programs" / f"{name}.nc"
        bench = Bench.of(bind(path, SAMPLES / f"{name}.job.yaml"), limits=SHORT)
        done = rewrite(path.read_bytes(), str(path), bench, Choice(), TODAY)
        found += steps(bench, done.original, done.stages)
    return tuple(found)


def meaning(execution: Execution) -> object:
    """All that a program does: its trace without lines, its modal states, its notes."""
    rows = [{key: value for key, value in row.items() if key not in ("n", "line")} for row in trace(execution)]
    notes = sorted((note.id, note.count) for note in execution.notes)
    return rows, [(span.row, span.modal) for span in execution.spans], notes, execution.ended


# ------------------------------------------------------------- corruptions of bytes


def another_byte(case: Case, dice: random.Random) -> bytes:
    at = dice.randrange(len(case.new))
    return case.new[:at] + bytes([dice.choice(b"0123456789.-XYZGMSFPQR \n()")]) + case.new[at + 1 :]


def another_byte_in_an_edit(case: Case, dice: random.Random) -> bytes:
    edit = dice.choice([e for e in case.edits if e.text])
    at = dice.randrange(len(edit.text))
    text = edit.text[:at] + bytes([dice.choice(b"0123456789.-XZGMSFP ")]) + edit.text[at + 1 :]
    return apply(case.old, [replace(edit, text=text) if e == edit else e for e in case.edits])


def a_dropped_edit(case: Case, dice: random.Random) -> bytes:
    gone = dice.choice(case.edits)
    return apply(case.old, [edit for edit in case.edits if edit != gone])


def half_an_edit(case: Case, dice: random.Random) -> bytes:
    edit = dice.choice([e for e in case.edits if e.text])
    cut = dice.randrange(len(edit.text))
    return apply(case.old, [replace(edit, text=edit.text[:cut]) if e == edit else e for e in case.edits])


def swapped_texts(case: Case, dice: random.Random) -> bytes:
    first, second = dice.choice(case.edits), dice.choice(case.edits)
    swap = {first: second.text, second: first.text}
    return apply(case.old, [replace(edit, text=swap.get(edit, edit.text)) for edit in case.edits])


def swapped_blocks(case: Case, dice: random.Random) -> bytes:
    lines = case.new.split(b"\n")
    at = dice.randrange(len(lines) - 1)
    lines[at], lines[at + 1] = lines[at + 1], lines[at]
    return b"\n".join(lines)


def a_moved_block(case: Case, dice: random.Random) -> bytes:
    lines = case.new.split(b"\n")
    line = lines.pop(dice.randrange(len(lines)))
    lines.insert(dice.randrange(len(lines)), line)
    return b"\n".join(lines)


def a_doubled_or_dropped_block(case: Case, dice: random.Random) -> bytes:
    lines = case.new.split(b"\n")
    at = dice.randrange(len(lines))
    return b"\n".join([*lines[:at], *([lines[at]] * dice.choice([0, 2])), *lines[at + 1 :]])


def a_moved_edit(case: Case, dice: random.Random) -> bytes:
    """An inserted block comes in at another line."""
    inserted = [edit for edit in case.edits if edit.start == edit.end]
    if not inserted:
        return another_byte(case, dice)
    edit = dice.choice(inserted)
    starts = [0] + [at + 1 for at, byte in enumerate(case.old) if byte == 10]
    place = dice.choice(starts)
    rest = [e for e in case.edits if e != edit]
    if any(e.start < place < e.end for e in rest):
        return another_byte(case, dice)
    return apply(case.old, [*rest, replace(edit, start=place, end=place)])


def another_number(case: Case, dice: random.Random) -> bytes:
    """A digit of a number grows or shrinks by one."""
    digits = [at for at, byte in enumerate(case.new) if byte in b"0123456789"]
    at = dice.choice(digits)
    digit = (case.new[at] - 48 + dice.choice([1, 9])) % 10 + 48
    return case.new[:at] + bytes([digit]) + case.new[at + 1 :]


BYTES: tuple[Callable[[Case, random.Random], bytes], ...] = (
    another_byte, another_byte_in_an_edit, a_dropped_edit, half_an_edit, swapped_texts, swapped_blocks, a_moved_block,
    a_doubled_or_dropped_block, a_moved_edit, another_number,
)  # fmt: skip


def test_every_case_is_proved_as_it_stands() -> None:
    assert len(cases()) >= 8 and any(case.old == FED for case in cases())
    for case in cases():
        assert case.fault(case.new) == ""


def test_no_corruption_that_changes_the_meaning_passes() -> None:
    dice = random.Random(20260201)
    caught, same, passed = 0, 0, []
    right = [meaning(case.run(case.new)) for case in cases()]
    while caught + len(passed) < ENOUGH:
        number = dice.randrange(len(cases()))
        case = cases()[number]
        corrupt = dice.choice(BYTES)
        data = corrupt(case, dice)
        if data == case.new:
            continue
        execution = case.run(data)
        if meaning(execution) == right[number]:
            same += 1
            continue
        if first_fault(case.before, execution, case.declared, case.demands):
            caught += 1
        else:
            passed.append((corrupt.__name__, number, data))
    assert not passed, passed[:3]
    assert caught >= ENOUGH and same < caught


# --------------------------------------------- a plan that is wrong, and declares what it does


def deeper(one: OnePass) -> OnePass:
    bottom = min(step.to for step in one.steps)
    return replace(one, steps=tuple(replace(s, to=s.to - 1.0) if s.act == "feed" and s.to == bottom else s for s in one.steps))


def higher_out(one: OnePass) -> OnePass:
    return replace(one, steps=tuple(replace(s, to=s.to + 1.0) if s.act == "rapid" else s for s in one.steps))


def faster(one: OnePass) -> OnePass:
    return replace(one, steps=tuple(replace(s, feed=s.feed * 1.5) if s.act == "feed" else s for s in one.steps))


def without_codes(one: OnePass) -> OnePass:
    return replace(one, steps=tuple(step for step in one.steps if step.act != "code"))


def diving(one: OnePass) -> OnePass:
    first = one.steps[0]
    return replace(one, steps=(Step("rapid", first.to + 1.0), *one.steps))


def never_slow(one: OnePass) -> OnePass:
    """Straight out at full speed, as far as it slows down at all."""
    ups = [at for at, step in enumerate(one.steps) if step.act == "rapid"]
    return replace(one, steps=one.steps[: ups[0]] + one.steps[ups[-1] :])


def slow_elsewhere(one: OnePass) -> OnePass:
    """The height where it slows down is another, as far as it slows down at all."""
    ups = [at for at, step in enumerate(one.steps) if step.act == "rapid"]
    return replace(one, steps=tuple(replace(s, to=s.to + 1.0) if at in ups[:-1] else s for at, s in enumerate(one.steps)))


@pytest.mark.parametrize("wrong", [deeper, higher_out, faster, without_codes, diving, never_slow, slow_elsewhere])
def test_a_wrong_hole_is_refused_even_where_it_is_declared(wrong: Callable[[OnePass], OnePass]) -> None:
    for case in cases():
        holes = tuple(wrong(one) for one in case.declared.holes)
        if holes == case.declared.holes:
            continue

        # the program that does exactly what is declared is not made here: what is declared must fail by itself
        assert declared_fault(case, replace(case.declared, holes=holes)), wrong.__name__


def declared_fault(case: Case, declared: Differences) -> str:
    """What the proof says of declared differences, whatever program would run so."""
    from coolcheck.rewrite.allowed import first_forbidden
    from coolcheck.rewrite.expect import NotAllowed, expected

    try:
        expectation = expected(case.before, declared)
    except NotAllowed as fault:
        return str(fault)
    after = as_declared(case.before, expectation)
    return str(first_forbidden(case.before, after, declared, expectation, case.demands) or "")


def drop_codes(case: Case, code: str) -> tuple[bytes, Differences]:
    """The rewrite without its added blocks of one code, in text and in what is declared."""
    edits = []
    for edit in case.edits:
        lines = [line for line in edit.text.split(b"\n") if code.encode() not in line] if edit.start == edit.end else [edit.text]
        edits.append(replace(edit, text=b"\n".join(lines)))
    added = tuple(one for one in case.declared.added if one.said.code != code)
    return apply(case.old, edits), replace(case.declared, added=added)


@pytest.mark.parametrize("code", ["M57", "M58", "G4"])
def test_fluid_codes_and_dwells_left_out_of_plan_and_program_are_missed(code: str) -> None:
    seen = 0
    for case in cases():
        data, declared = drop_codes(case, code)
        in_cycle = [one for one in declared.holes if one.in_cycle]
        if data == case.new or not in_cycle:
            continue
        seen += 1

        assert case.fault(data, declared) != ""
    assert seen >= 2


def test_a_shorter_dwell_in_plan_and_program_is_seen() -> None:
    for case in cases():
        if not any(one.in_cycle for one in case.declared.holes):
            continue
        data = case.new.replace(b"G4 P1500", b"G4 P1400")
        added = tuple(replace(o, said=Said("G4", seconds=1.4)) if o.said.seconds == 1.5 else o for o in case.declared.added)
        if data != case.new:
            assert case.fault(data, replace(case.declared, added=added)) != ""


def test_the_same_rewrite_for_a_tool_without_its_records_is_refused() -> None:
    for case in cases():
        if case.declared.holes:
            nothing = replace(case.demands, recipes={})
            assert "records do not allow" in first_fault(case.before, case.run(case.new), case.declared, nothing)
