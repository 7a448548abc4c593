"""The proof asks all its questions, believes none of the answers of another, and says which one failed."""

from dataclasses import replace
from functools import cache

import pytest
from small_shop import binding, rewritten, shop

from coolcheck.errors import RewriteRefused
from coolcheck.nc.moves import Execution
from coolcheck.rewrite import prove as proving
from coolcheck.rewrite.allowed import Demands
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.compare import Mismatch
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.plan import Run, demands_of
from coolcheck.rewrite.prove import Proof, ProofFailed, first_fault, prove

PROGRAM = b"""G21 G17 G40 G80 G90 G94
/2 M1
T1 M6
G0 G54 X0. Y0. S3183 M3
G43 H1 Z25. M57
G4 P2000
G99 G83 X0. Y0. Z-30. R2. Q5. F636.
X12.
G80
M58
G4 P1500
G0 Z50. M5
T3 M6
G0 X50. S2000 M3
G43 H3 Z25. M8
G1 Z-1. F500.
X80.
G0 Z25. M9
G4 P100
M30
"""


@cache
def case() -> tuple[Execution, Execution, Differences, Demands]:
    """Original, rewritten, what is declared, what the records ask."""
    done = rewritten(PROGRAM)
    (stage,) = done.stages
    bench = Bench.of(binding(shop()))
    before = Run.of(bench.timeline(bench.run(bench.program(done.original, "p.nc"))))
    return before.execution, bench.run(bench.program(done.result, "p.nc")), stage.differences[0][1], demands_of(before)


def test_a_proof_counts_what_it_compared() -> None:
    before, after, declared, demands = case()

    proof = prove(before, after, declared, demands, frozenset({2, 1}))
    assert first_fault(before, after, declared, demands) == ""
    assert proof == Proof((1, 2), len(after.moves), len(after.events), 2, 2)
    assert len({len(before.moves), len(after.moves), len(after.events), 2}) == 4  # so that no count can stand for another


def test_a_proof_that_fails_says_so_and_is_a_refusal() -> None:
    before, after, _, demands = case()
    fault = first_fault(before, after, Differences(), demands)

    assert fault.startswith("move ")
    with pytest.raises(ProofFailed) as failed:
        prove(before, after, Differences(), demands, frozenset())
    assert str(failed.value) == f"the rewritten program is not proved, and nothing was written: {fault}"
    assert isinstance(failed.value, RewriteRefused)
    assert failed.value.found == fault


def test_what_cannot_be_is_told_before_anything_is_compared() -> None:
    before, after, declared, demands = case()

    assert first_fault(before, after, replace(declared, holes=declared.holes * 2), demands) == "a hole is declared twice"
    assert (
        first_fault(before, after, replace(declared, holes=(replace(declared.holes[0], hole=9),)), demands)
        == "there is no hole 9"
    )


def test_what_the_records_do_not_allow_is_told() -> None:
    before, after, declared, demands = case()

    assert "the records do not allow this tool" in first_fault(before, after, declared, replace(demands, recipes={}))


def test_a_fluid_that_is_wrong_is_told() -> None:
    before, after, declared, demands = case()
    slow = {hole: replace(recipe, build_up=9.0) for hole, recipe in demands.recipes.items()}

    assert "the fluid has no time to build up its pressure" in first_fault(
        before, after, declared, replace(demands, recipes=slow)
    )


@pytest.mark.parametrize("question", ["first_mismatch", "first_forbidden", "first_wrong_fluid"])
def test_each_question_is_asked_of_these_programs_and_its_answer_counts(question: str, monkeypatch: pytest.MonkeyPatch) -> None:
    before, after, declared, demands = case()
    asked: list[tuple[object, ...]] = []

    def answer(*about: object) -> Mismatch:
        asked.append(about)
        return Mismatch(f"no, says {question}")

    monkeypatch.setattr(proving, question, answer)
    expectation = proving.expected(before, declared)

    assert first_fault(before, after, declared, demands) == f"no, says {question}"
    (about,) = asked
    assert about[:2] == (before, after)
    if question != "first_mismatch":
        assert about[2:] == (declared, about[3], demands)
    assert about[-1 if question == "first_mismatch" else 3].events == expectation.events  # type: ignore[attr-defined]


def test_the_first_answer_that_is_no_is_the_one_that_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    before, after, declared, demands = case()
    for name in ("first_wrong_fluid", "first_forbidden", "first_mismatch"):
        monkeypatch.setattr(proving, name, lambda *about, name=name: Mismatch(name))

        assert first_fault(before, after, declared, demands) == name


def test_the_second_look_has_the_last_word(monkeypatch: pytest.MonkeyPatch) -> None:
    before, after, declared, demands = case()
    seen: list[list[object]] = []

    def look(old: object, new: object) -> str:
        seen.append([len(list(old)), len(list(new))])  # type: ignore[call-overload]
        return "they differ"

    monkeypatch.setattr(proving, "first_disagreement", look)

    assert first_fault(before, after, declared, demands) == "the second look at the traces disagrees: they differ"
    assert seen == [[len(list(proving.trace(before))), len(list(proving.trace(after)))]]
    assert seen[0][0] > seen[0][1]
