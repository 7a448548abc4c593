"""Edits: bytes outside them stay, overlapping ones are refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from moved_bytes import moved

from coolcheck.rewrite.edit import Edit, OverlappingEdits, apply


def edit(start: int, end: int, text: bytes = b"") -> Edit:
    return Edit(start, end, text, "because", "single_pass")


@st.composite
def sources_with_edits(draw: st.DrawFn) -> tuple[bytes, list[Edit]]:
    source = draw(st.binary(max_size=60))
    cuts = sorted(draw(st.lists(st.integers(0, len(source)), max_size=8)))
    pairs = list(zip(cuts[::2], cuts[1::2], strict=False))
    edits = [edit(start, end, draw(st.binary(max_size=5))) for start, end in pairs]
    return source, draw(st.permutations(edits))


@given(sources_with_edits())
def test_every_byte_outside_the_edits_stays(case: tuple[bytes, list[Edit]]) -> None:
    source, edits = case
    unique = list(dict.fromkeys(edits))
    if len({(e.start, e.end) for e in unique if e.start != e.end}) < sum(e.start != e.end for e in unique):
        return  # two different texts for one span are refused, see below

    after = apply(source, edits)
    edited = {at for e in edits for at in range(e.start, e.end)}

    assert all(after[moved(unique, at)] == byte for at, byte in enumerate(source) if at not in edited)
    assert len(after) == len(source) + sum(len(e.text) - (e.end - e.start) for e in unique)


def test_insertions_at_one_place_keep_their_order() -> None:
    assert apply(b"AB", [edit(1, 1, b"x"), edit(1, 1, b"y")]) == b"AxyB"


def test_an_edit_given_twice_is_made_once() -> None:
    assert apply(b"AB", [edit(0, 1, b"x"), edit(0, 1, b"x")]) == b"xB"


def test_an_insertion_before_a_replaced_span_comes_first() -> None:
    assert apply(b"AB", [edit(1, 2, b"y"), edit(1, 1, b"x")]) == b"Axy"


@pytest.mark.parametrize("edits", [[edit(0, 2), edit(1, 3)], [edit(1, 2, b"x"), edit(1, 2, b"y")], [edit(2, 9)], [edit(2, 1)]])
def test_edits_that_overlap_or_lie_outside_are_refused(edits: list[Edit]) -> None:
    with pytest.raises(OverlappingEdits):
        apply(b"ABC", edits)
