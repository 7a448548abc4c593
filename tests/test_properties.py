"""Properties of the whole, on few inputs; tests/deep asks the same of many."""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests import properties
from tests.strategies import Case, damaged, damaged_programs, whole_programs

seeds = st.integers(0, 2**32)


@settings(max_examples=40)
@given(st.one_of(whole_programs(), damaged_programs()))
def test_any_program_is_read_without_loss_and_runs_within_bounds(case: Case) -> None:
    properties.is_read_without_loss(case.main, case.dialect)
    properties.runs_within_bounds(case)


@settings(max_examples=12)
@given(st.one_of(whole_programs(), damaged_programs()))
def test_any_program_is_reviewed_in_every_format(case: Case) -> None:
    properties.is_reviewed_whole(case)


@settings(max_examples=20)
@given(damaged_programs())
def test_any_program_begins_right_records(case: Case) -> None:
    properties.starts_right_records(case.main, case.dialect)


@settings(max_examples=8)
@given(st.sampled_from(["deep-hole-plate", "manifold-drill-tap", "nickel-ring"]), seeds)
def test_a_rewrite_of_anything_is_refused_or_proved(sample: str, seed: int) -> None:
    data = (properties.SAMPLES / f"programs/{sample}.nc").read_bytes()

    properties.is_refused_or_proved(damaged(data, seed), sample)
