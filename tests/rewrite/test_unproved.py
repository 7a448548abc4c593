"""A mend that cannot be proved is left with its reason and what to do; the others go ahead, and nothing unproved is written."""

import pytest
from small_shop import rewritten

from coolcheck.nc.moves import Execution
from coolcheck.rewrite import rewrite as work
from coolcheck.rewrite.allowed import Demands
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.prove import Proof, ProofFailed, prove

TWO = (
    "G21 G17 G90 G94\nT1 M6\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25. M8\nG99 G83 Z-40. R2. Q5. F636.\nG80\nM9\nM5\n"
    "T4 M6\nG0 X50. Y0. S3180 M3\nG43 H4 Z25. M8\nG99 G83 X50. Z-20. R2. Q5. F636.\nG80\nM9\nM5\nM30\n"
)


def failing(monkeypatch: pytest.MonkeyPatch, *tools: int, together: bool = False) -> None:
    """Lets the proof fail for each of these tools, or only where all of them are converted."""

    def proved(a: Execution, b: Execution, declared: Differences, demands: Demands, skip: frozenset[int]) -> Proof:
        found = {one.tool for one in declared.holes} & set(tools)
        if found and (not together or found == set(tools)):
            raise ProofFailed("M9 where G4 is declared (original p.nc:7:1, rewritten p.nc:9:1)")
        return prove(a, b, declared, demands, skip)

    monkeypatch.setattr(work, "prove", proved)


def test_an_unproved_tool_does_not_take_the_rest_away(monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, 1)
    done = rewritten(TWO.encode(), only=("single_pass",))
    (refusal,) = done.refusals

    assert b"G83 Z-40. R2. Q5. F636." in done.result and b"G81 X50." in done.result
    assert (refusal.tool, refusal.where.line) == (1, 5) and "could not be proved" in refusal.says
    assert "keep its pecks" in refusal.do and "`--skip T1`" in refusal.do and "report" in refusal.do
    assert refusal.evidence[0].value == "M9 where G4 is declared (original p.nc:7:1, rewritten p.nc:9:1)"
    assert [proof.converted for stage in done.stages for proof in stage.proofs] == [1]


def test_what_is_proved_alone_but_not_together_is_made_as_far_as_it_is_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, 1, 4, together=True)
    done = rewritten(TWO.encode(), only=("single_pass",))

    assert b"G81 Z-40." in done.result and b"G83 X50." in done.result
    assert [refusal.tool for refusal in done.refusals] == [4]


def test_where_nothing_is_proved_nothing_is_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, 1, 4)
    done = rewritten(TWO.encode(), only=("single_pass",))

    assert not done.is_changed and not done.stages and [refusal.tool for refusal in done.refusals] == [1, 4]


def test_an_unproved_fluid_mend_leaves_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    def proved(a: Execution, b: Execution, declared: Differences, demands: Demands, skip: frozenset[int]) -> Proof:
        if any(one.mend == "fluid_off_before_change" for one in declared.added):
            raise ProofFailed("something differs")
        return prove(a, b, declared, demands, skip)

    monkeypatch.setattr(work, "prove", proved)
    done = rewritten(TWO.replace("M9\nM5\nT4", "M5\nT4").encode())
    unproved = [refusal for refusal in done.refusals if "could not be proved" in refusal.says]

    assert b"G81 Z-40." in done.result and b"G81 X50." in done.result
    assert {(one.mend, one.says.split(":")[0]) for one in unproved} == {("fluid_off_before_change", "this stays as it is")}
    assert all("mend it by hand" in one.do for one in unproved)
