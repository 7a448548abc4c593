"""Declared differences as plain data: what a certificate holds is what was declared, no less and nothing else."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.rewrite.differences import Added, Changed, Differences, OnePass, Removed, Said, Speed, Step, joined

numbers = st.floats(-1e6, 1e6)
counts = st.integers(-1, 10_000)
names = st.text(min_size=1, max_size=8)
tools = st.one_of(st.none(), st.integers(0, 999))
words = st.lists(st.tuples(st.sampled_from("PQRSX"), numbers), max_size=3, unique_by=lambda word: word[0]).map(tuple)
said = st.builds(Said, names, words, st.one_of(st.none(), numbers), numbers)
steps = st.lists(
    st.builds(Step, st.sampled_from(["feed", "rapid", "code"]), numbers, numbers, st.one_of(st.none(), said)), max_size=3
).map(tuple)
differences = st.builds(
    Differences,
    st.lists(st.builds(OnePass, counts, tools, st.booleans(), steps), max_size=3).map(tuple),
    st.lists(st.builds(Added, counts, counts, said, names, tools), max_size=3).map(tuple),
    st.lists(st.builds(Removed, counts, names, names, tools), max_size=3).map(tuple),
    st.lists(st.builds(Changed, counts, names, said, names, tools), max_size=3).map(tuple),
    st.lists(st.builds(Speed, counts, counts, counts, counts, numbers, numbers, tools), max_size=3).map(tuple),
)
ALL = Differences(
    (
        OnePass(
            4, 5, True, (Step("feed", -20.5, 300.0), Step("code", said=Said("M3", (("S", 900.0),), 900.0)), Step("rapid", 2.0))
        ),
    ),
    (
        Added(7, 30, Said("M57", (("P", 2.0),)), "fluid_before_cut", 5),
        Added(7, 29, Said("G4", (), None, 1.5), "build_up_dwell", 6),
    ),
    (Removed(9, "M8", "fluid_off_unneeded", 5),),
    (Changed(11, "M51", Said("M57"), "machine_code", 5),),
    (Speed(1, 2, 3, 4, 800.0, 1200.0, 5),),
)


@given(differences)
def test_what_is_written_is_read_again(declared: Differences) -> None:
    assert Differences.of_data(json.loads(json.dumps(declared.as_data(), allow_nan=False))) == declared


def test_the_form_is_the_published_one() -> None:
    assert ALL.as_data() == {
        "holes": [
            {
                "hole": 4, "tool": 5, "in_cycle": True,
                "steps": [
                    {"act": "feed", "to": -20.5, "feed": 300.0},
                    {"act": "code", "to": 0.0, "feed": 0.0, "said": {"code": "M3", "words": {"S": 900.0}, "value": 900.0, "seconds": 0.0}},
                    {"act": "rapid", "to": 2.0, "feed": 0.0},
                ],
            }
        ],
        "added": [
            {"before": 7, "row": 30, "said": {"code": "M57", "words": {"P": 2.0}, "seconds": 0.0}, "mend": "fluid_before_cut", "tool": 5},
            {"before": 7, "row": 29, "said": {"code": "G4", "words": {}, "seconds": 1.5}, "mend": "build_up_dwell", "tool": 6},
        ],
        "removed": [{"event": 9, "code": "M8", "mend": "fluid_off_unneeded", "tool": 5}],
        "changed": [{"event": 11, "was": "M51", "said": {"code": "M57", "words": {}, "seconds": 0.0}, "mend": "machine_code", "tool": 5}],
        "speeds": [{"event": 1, "row": 2, "until_event": 3, "until_row": 4, "was": 800.0, "rpm": 1200.0, "tool": 5}],
    }  # fmt: skip


def test_what_may_be_left_out_has_its_usual_value() -> None:
    data = {name: [] for name in ("added", "removed", "changed", "speeds")}
    data["holes"] = [{"hole": 1, "in_cycle": False, "steps": [{"act": "code", "said": {"code": "M9"}}, {"act": "rapid"}]}]

    (hole,) = Differences.of_data(data).holes
    assert hole == OnePass(1, None, False, (Step("code", 0.0, 0.0, Said("M9", (), None, 0.0)), Step("rapid", 0.0, 0.0, None)))


@pytest.mark.parametrize("part", ["holes", "added", "removed", "changed", "speeds"])
def test_a_part_that_is_missing_is_no_empty_part(part: str) -> None:
    data = ALL.as_data()
    del data[part]

    with pytest.raises(KeyError):
        Differences.of_data(data)


@pytest.mark.parametrize("part", ["holes", "added", "removed", "changed", "speeds"])
def test_every_needed_key_is_asked_for(part: str) -> None:
    optional = {"tool"}
    for key in set(ALL.as_data()[part][0]) - optional:
        data = ALL.as_data()
        del data[part][0][key]
        with pytest.raises(KeyError):
            Differences.of_data(data)


@pytest.mark.parametrize("part", ["holes", "added", "removed", "changed", "speeds"])
def test_one_difference_of_any_kind_is_not_nothing(part: str) -> None:
    assert not replace(Differences(), **{part: getattr(ALL, part)}).is_empty
    assert Differences().is_empty


def test_together_they_stand_in_the_order_of_the_program() -> None:
    first = replace(ALL, holes=(replace(ALL.holes[0], hole=9),), removed=(replace(ALL.removed[0], event=99),))
    first = replace(
        first, changed=(replace(ALL.changed[0], event=99),), speeds=(Speed(1, 9, 3, 4, 1.0, 2.0), Speed(7, 0, 8, 8, 1.0, 2.0))
    )
    whole = joined([first, ALL, Differences()])

    assert [one.hole for one in whole.holes] == [4, 9]
    assert [(one.before, one.row) for one in whole.added] == [(7, 29), (7, 29), (7, 30), (7, 30)]
    assert [one.event for one in whole.removed] == [9, 99]
    assert [one.event for one in whole.changed] == [11, 99]
    assert [(one.event, one.row) for one in whole.speeds] == [(1, 2), (1, 9), (7, 0)]
    assert joined([]) == Differences()
