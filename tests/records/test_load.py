"""A record is read with its places, or refused with all its mistakes at once, each with what may stand there."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coolcheck import yamltext
from coolcheck.errors import InputError, RecordError, advice
from coolcheck.records import load_records, read_records
from coolcheck.records import schema as record_schema
from coolcheck.records.load import read_record
from coolcheck.records.walk import record_of

MISTAKES = yamltext.read(Path(__file__).parent / "mistakes.yaml").data


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda mistake: mistake["text"].strip())
def test_a_mistake_is_told_with_place_and_remedy(wrong, mistake: dict[str, str]) -> None:
    expected = f"tools/t.yaml:{mistake['says']}\n    do       {advice(mistake['do'])}"

    assert [str(problem) for problem in wrong(f"tool: T12\n{mistake['text']}")] == [expected]


def test_a_text_cut_by_a_comma_is_explained(wrong) -> None:
    text = "machine: m\ncodes:\n  - {code: M57, says: fluid on, full pressure}\n"

    assert "text with a comma in it needs quotes" in wrong(text, "machines/m.yaml")[0].do


@pytest.mark.parametrize(
    ("text", "says", "do"),
    [
        ("", "this file is empty", "A record begins with one of `machine:`"),
        ("- a\n", "this is no record", "A record begins with one of `machine:`"),
        ("tol: T1\n", "a record does not begin with `tol`", "Did you mean `tool:`?"),
        ("DC: 8 mm\ntool: T1\n", "a record does not begin with `DC`", "Move the line `tool:` to the top"),
        ("tool: [a]\n", "`tool` is one value, not a list", "Write a text"),
    ],
)
def test_a_file_that_is_no_record_says_how_one_begins(wrong, text: str, says: str, do: str) -> None:
    problem = wrong(text)[0]

    assert (problem.says, problem.do[: len(do)]) == (says, do)


def test_all_mistakes_of_a_folder_come_at_once_in_order(write) -> None:
    write("tools/b.yaml", "tool: T2\nDC: 8\nLU: 9\n")
    write("holders/a.yaml", "holder: h\nsealed: maybe\n")
    write("tools/a.yaml", "tool: T1\nDC: x\n")

    with pytest.raises(RecordError) as caught:
        load_records(Path())

    assert [str(problem.place) for problem in caught.value.problems] == [
        "holders/a.yaml:2:9",
        "tools/a.yaml:2:5",
        "tools/b.yaml:2:5",
        "tools/b.yaml:3:5",
    ]


def test_two_records_of_one_name_are_refused_with_both_places(write) -> None:
    write("tools/a.yaml", "tool: T1\n")
    write("tools/b.yaml", "tool: T1\n")

    problems = read_records([Path()])[1]

    assert [str(p) for p in problems] == [
        "tools/b.yaml:1:7: error: there are two records of the tool `T1` (the other is tools/a.yaml:1:7)\n"
        "    do       Give one of them another name, or remove it."
    ]


def test_records_may_lie_in_folders_below(write) -> None:
    write("tools/drills/long/a.yaml", "tool: T1\n")
    write("tools/b.yml", "tool: T2\n")
    write("tools/notes.txt", "no record")

    assert sorted(load_records(Path()).names("tool")) == ["T1", "T2"]


def test_a_file_that_changes_is_read_again(write) -> None:
    path = write("tools/a.yaml", "tool: T1\nDC: 8 mm\n")
    first, _ = read_record(path)
    write("tools/a.yaml", "tool: T1\nDC: 10.5 mm\n")
    second, _ = read_record(path)

    assert first is not None and second is not None
    assert (first.field("DC").value, second.field("DC").value) == (0.008, 0.0105)
    assert read_record(path)[0] is second  # and only then


def test_a_file_that_is_not_there_is_a_problem_not_a_traceback() -> None:
    record, problems = read_record(Path("nowhere/t.yaml"))

    assert record is None
    assert "cannot be opened" in problems[0].says


def read_text(text: str) -> None:
    """Reads a text as a record would be; a mistake is fine, anything else is a fault."""
    try:
        file = yamltext.load("t.yaml", text)
    except InputError:
        return
    record, problems = record_of(file)
    assert record is not None or problems
    for problem in problems:
        assert problem.place.file == "t.yaml" and problem.says and problem.do


@given(st.one_of(st.text(), st.text(alphabet="tool: \nDCmfluid{}[],-0.5&*!")))
def test_arbitrary_text_gives_no_traceback(text: str) -> None:
    read_text(text)
    read_text(f"tool: T1\n{text}")


KEYS = [key for kind in record_schema.KINDS for key in record_schema.fields(kind).keys_in(())]
SCALARS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        [
            "8.5 mm",
            "yes",
            "no",
            "unknown",
            "1/0 in",
            "-3 mm",
            "1e999 bar",
            "2026-02-30",
            "~",
            "4",
            ".5",
            "flood",
            "1e9999999 mm",
            "0x1F",
        ]
    ),
)
DATA = st.recursive(
    SCALARS,
    lambda part: st.lists(part, max_size=3) | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=8), part, max_size=4),
    max_leaves=12,
)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(record_schema.KINDS), st.dictionaries(st.sampled_from(KEYS), DATA, max_size=6))
def test_any_data_under_any_field_gives_no_traceback(kind: str, data: dict) -> None:
    import yaml

    read_text(f"{kind}: x\n" + yaml.safe_dump(data, allow_unicode=False) if data else f"{kind}: x\n")


@pytest.mark.parametrize(
    "text",
    [
        "a: &a [x]\n" + "".join(f"{c}: &{c} [{','.join([f'*{b}'] * 9)}]\n" for b, c in zip("abcdefgh", "bcdefghi", strict=True)),
        "tool: T1\nfluid: &f {a: *f}\n",
        "[" * 30_000,
        "tool: " + "{a: " * 5_000,
        "tool: !!python/object/new:os.system [echo]\n",
        "<<: {tool: x}\n",
        "? {a: b}\n: c\n",
        "tool: T1\nDC: 1e999999999 mm\n",
        "tool: " + "x" * 5_000,
        "tool: T1\n---\ntool: T2\n",
    ],
)
def test_attacks_are_refused(text: str) -> None:
    read_text(text)

    with pytest.raises(InputError):  # nothing of it is taken for a record
        _, problems = record_of(yamltext.load("t.yaml", text))
        raise InputError(list(problems))
