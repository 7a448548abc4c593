"""Reading: bytes to blocks. The grammar is the authority; shapes and bulk numbers must never say anything else."""

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.nc.blocks import Assign, Comment, Flow, Label, Skip, Unread, Word
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.numbers import decode
from coolcheck.nc.program import Program
from coolcheck.nc.reader import BlockReader, shifted
from tests.strategies import programs


def read(text: str | bytes) -> Program:
    data = text if isinstance(text, bytes) else text.encode("latin-1")
    return Program.read(data, "p.nc", load_dialect())


def values(program: Program, block: int = 0) -> list[tuple[str, float | None]]:
    return [(word.letter, word.value) for word in program.block(block).words]


def given_back(program: Program) -> bytes:
    source = program.source
    lead = source.text[: int(source.starts[0])]
    return lead + b"".join(source.text[source.starts[i] : source.ends[i]] + source.line_end(i) for i in range(len(program)))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("G1X1.Y-.5F100", [("G", 1), ("X", 1), ("Y", -0.5), ("F", 100)]),
        ("N10G90G0X0", [("N", 10), ("G", 90), ("G", 0), ("X", 0)]),
        ("g01x10y5f200", [("G", 1), ("X", 10), ("Y", 5), ("F", 200)]),
        ("G001 M06", [("G", 1), ("M", 6)]),
        ("G0X +0. 12 34Y 7", [("G", 0), ("X", 0.1234), ("Y", 7)]),  # RS274/NGC: blanks within a number have no meaning
        ("G54.1P12", [("G", 54.1), ("P", 12)]),
        ("X50.,R3.", [("X", 50), (",R", 3)]),
        ("X-.5 Y+.5 Z-5.", [("X", -0.5), ("Y", 0.5), ("Z", -5)]),
        ("\x00\x00\x11G1\tX1\x1a", [("G", 1), ("X", 1)]),  # what serial transfer leaves behind
    ],
)
def test_words_are_read_as_the_language_says(text: str, expected: list[tuple[str, float]]) -> None:
    program = read(text)

    assert values(program) == expected
    assert not list(program.unread())


@pytest.mark.parametrize("text", ["X9O.", "GO", "S3OOO", "G8O", "m3O", "X-O.5", "F6OO", "XO"])
def test_the_letter_o_among_digits_takes_the_value_of_its_word(text: str) -> None:
    (word,) = read(text).block(0).words

    assert word.with_o and word.value is None
    assert (word.start, word.end) == (0, len(text))


@pytest.mark.parametrize("text", ["N10O100", "X9 O5", "GOTO10", "N5 #1=ROUND[#2]", "WHILE[#1LT5]DO1", "M30 O1000"])
def test_an_o_that_is_none_among_digits_stays_what_it_is(text: str) -> None:
    program = read(text)

    assert not any(word.with_o for word in program.block(0).words)
    assert not list(program.unread())


def test_a_block_skip_keeps_its_switch_and_its_place() -> None:
    block = read("/2 G43 H6 Z.25 /M8").block(0)

    assert [(type(e).__name__, getattr(e, "switch", None)) for e in block.elements if isinstance(e, Skip)] == [
        ("Skip", 2),
        ("Skip", 1),
    ]
    assert block.elements[-1] == Word("M", 8.0, None, False, 16, 18)


def test_an_unreadable_number_is_reported_at_its_column_and_the_rest_is_read() -> None:
    program = read("N40 G1 X12.5 Y-3..2 F600")
    (index, part), word = next(program.unread()), program.block(0).word("Y")

    assert str(program.place(index, part)) == "p.nc:1:18"
    assert part.text == ".2"
    assert word is not None and word.value is None  # what runs into it is not trusted
    assert values(program)[-1] == ("F", 600)


@pytest.mark.parametrize(
    "text", ["X[#1+", "G1 X[1+2 Y5", "#1=FIX[1,2]", "[" * 70, "X[" + "1+" * 4000 + "1]", "IF[#1EQ", "#", "G" + "[" * 3000]
)
def test_a_broken_expression_is_kept_unread_with_what_was_expected(text: str) -> None:
    parts = [part for _, part in read(text).unread()]

    assert parts and all(part.expected for part in parts)


def test_comments_are_read_with_their_faults() -> None:
    (closed,) = read(b"(caf\xc3\xa9)").block(0).comments
    (opened,) = read("(no end").block(0).comments
    nested = read("(a (b) c)").block(0)

    assert closed.text == "café" and closed.closed
    assert not opened.closed
    assert nested.comments[0].text == "a (b" and any(isinstance(e, Unread) for e in nested.elements)


def test_labels_and_sequence_numbers_are_found() -> None:
    program = read("%\nO0012(MAIN)\nN10 G0 X1\nN20 X2\nN10 (again)\nM30\n:77\nM99\n%\nO99")

    assert program.labels()["12"] == 1 and program.labels()["77"] == 6
    assert program.sequence(10) == (2, 4)
    assert (program.first_block, program.end_block) == (1, 8)


def test_a_leader_is_not_run_but_a_program_before_a_closing_mark_is() -> None:
    assert read("some leader text\n%\nG0X1\n%").first_block == 2
    assert read("G0X1\nM30\n%").first_block == 0
    assert read("G0X1\nM30\n%").end_block == 2


def test_flow_statements_carry_condition_and_target() -> None:
    kinds = {}
    for text in ("IF[#1EQ#0]GOTO10", "WHILE[#1LT10]DO1", "END1", "GOTO 10", "IF[#3 GT 0] THEN #1=2", "#100=[#101+1.]"):
        (element,) = read(text).block(0).elements
        assert isinstance(element, Flow | Assign)
        kinds[text] = getattr(element, "kind", "assign")

    assert list(kinds.values()) == ["if_goto", "while_do", "end", "goto", "if_then", "assign"]


def test_o_words_belong_to_their_own_dialect() -> None:
    program = Program.read(
        b"o<Drill> sub\no100 if [#1 GT 2]\no<drill> call [1] [#2]\nG1 X1\n", "p.ngc", load_dialect("rs274-open")
    )
    flows = [e for i in range(3) for e in program.block(i).elements if isinstance(e, Flow)]

    assert [(f.kind, f.name) for f in flows] == [("sub", "<drill>"), ("if", "100"), ("call", "<drill>")]
    assert len(flows[2].arguments) == 2


@given(programs())
def test_every_byte_can_be_given_back(data: bytes) -> None:
    program = read(data)

    assert given_back(program) == data


@given(st.binary(max_size=400))
def test_arbitrary_bytes_are_read_without_complaint_and_given_back(data: bytes) -> None:
    program = read(data)
    for index in range(len(program)):
        program.block(index)
        program.place(index)
    program.labels(), program.first_block, program.end_block

    assert given_back(program) == program.source.text


@given(programs())
def test_shapes_say_what_the_grammar_says(data: bytes) -> None:
    program = read(data)
    reader = BlockReader(False, load_dialect().arithmetic)
    for index in range(len(program)):
        direct = shifted(reader.parse(program.text(index)), int(program.source.starts[index]))
        assert described(program.block(index).elements) == described(direct)


def described(elements: tuple[object, ...]) -> list[object]:
    """Elements without their closures, so that two readings can be compared."""
    shown: list[object] = []
    for e in elements:
        if isinstance(e, Word):
            shown.append((e.letter, e.value, e.expression and e.expression.text, e.has_point, e.start, e.end, e.text))
        elif isinstance(e, Comment | Label | Skip | Unread):
            shown.append(e)
        else:
            shown.append((type(e).__name__, e.start, e.end))  # type: ignore[attr-defined]
    return shown


@given(st.lists(st.from_regex(r"[+-]?([0-9]{1,9}\.?[0-9]{0,6}|\.[0-9]{1,6})", fullmatch=True), min_size=1, max_size=30))
def test_bulk_numbers_are_the_floats_of_their_text(texts: list[str]) -> None:
    data = np.frombuffer(" ".join(texts).encode(), dtype=np.uint8)
    ends = np.cumsum([len(t) + 1 for t in texts]) - 1
    starts = ends - [len(t) for t in texts]
    found, has_point, plain = decode(data, starts, ends)

    assert plain.all()
    assert found.tolist() == [float(t) for t in texts]
    assert has_point.tolist() == ["." in t for t in texts]


@pytest.mark.parametrize("text", ["1..2", "--1", "1-2", "+", ".", "1.2.3", "12345678901234567890", "-"])
def test_what_is_no_plain_number_is_left_to_the_grammar(text: str) -> None:
    data = np.frombuffer(text.encode(), dtype=np.uint8)
    _, _, plain = decode(data, np.array([0]), np.array([len(text)]))

    assert not plain[0]


@pytest.mark.parametrize("ends", [["\n"], ["\r\n"], ["\r"], ["\n\r"], ["\n", "\r\n", "\r"]])
def test_line_ends_of_every_kind_end_one_block(ends: list[str]) -> None:
    chosen = random.Random(1)
    text = "".join(f"X{i}" + chosen.choice(ends) for i in range(50))
    program = read(text)

    assert [program.text(i) for i in range(len(program)) if program.text(i)] == [f"X{i}" for i in range(50)]


def test_utf_16_files_are_read_and_marked() -> None:
    program = read("\ufeffG1 X5\n(é)".encode("utf-16-le"))

    assert program.source.is_transcoded
    assert values(program) == [("G", 1), ("X", 5)]
    assert program.block(1).comments[0].text == "é"


def test_a_huge_block_is_refused_without_being_parsed() -> None:
    (element,) = read("(" + "A" * 50_000 + ")").block(0).elements

    assert isinstance(element, Unread)


def test_a_block_of_many_words_is_read() -> None:
    text = "".join(f"{letter}{i}" for i, letter in enumerate("ABCDEFHIJKLPQRSTUVWXYZ" * 3))

    assert [v for _, v in values(read(text))] == [float(i) for i in range(66)]
    assert all(not math.isnan(v) for _, v in values(read(text)) if v is not None)
