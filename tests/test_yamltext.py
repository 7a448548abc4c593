"""What people write into YAML files comes out as they meant it, or is refused at its line and column."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from coolcheck import yamltext
from coolcheck.errors import InputError, RecordError
from coolcheck.place import Place


def problems(text: str | bytes) -> list[str]:
    with pytest.raises(InputError) as caught:
        yamltext.load("x.yaml", text)
    return [f"{p.place}: {p.says}" for p in caught.value.problems]


@pytest.mark.parametrize(
    "text",
    [
        "on",
        "off",
        "yes",
        "no",
        "NO",
        "010",
        "1e3",
        "12:30",
        "2026-01-05",
        "1_000",
        "1,5",
        ".inf",
        ".nan",
        "0x1F",
        "1/4 in",
        "8.5 mm",
        "<<",
        "=",
        "9" * 30,
        "1.0e999",
    ],
)
def test_what_yaml_1_1_would_turn_into_something_else_stays_text(text: str) -> None:
    assert yamltext.load("x.yaml", f"a: {text}\n").data == {"a": text}


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12),
        ("-3", -3),
        ("0", 0),
        ("8.5", 8.5),
        ("-.5", -0.5),
        ("3.", 3.0),
        ("1.0e3", 1000.0),
        ("true", True),
        ("False", False),
        ("null", None),
        ("~", None),
        ("", None),
    ],
)
def test_plain_numbers_truths_and_null_are_resolved(text: str, value: object) -> None:
    found = yamltext.load("x.yaml", f"a: {text}\n").data["a"]

    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize("text", ['"12"', "'true'", '"null"', '""'])
def test_quoted_scalars_are_text(text: str) -> None:
    assert yamltext.load("x.yaml", f"a: {text}\n").data == {"a": text[1:-1]}


def test_keys_are_always_text() -> None:
    assert yamltext.load("x.yaml", "1: a\non: b\nno: {true: c}\n").data == {"1": "a", "on": "b", "no": {"true": "c"}}


def test_every_value_and_key_knows_its_place() -> None:
    file = yamltext.load("tools/T12.yaml", "tool: T12\nfluid: { through: yes, exit diameter: 1.2 mm }\nlist:\n  - a\n  - b\n")

    assert file.place(("fluid", "exit diameter")) == Place("tools/T12.yaml", 2, 39, 2, 45)
    assert file.key_place(("fluid", "exit diameter")) == Place("tools/T12.yaml", 2, 24, 2, 37)
    assert str(file.place(("list", 1))) == "tools/T12.yaml:5:5"
    assert str(file.place(("fluid", "exits"))) == "tools/T12.yaml:2:8"  # nothing there: what would hold it
    assert str(file.place(("nothing",))) == "tools/T12.yaml:1:1"


def test_columns_count_characters_not_bytes() -> None:
    file = yamltext.load("x.yaml", "\ufefftïtle: { ä: b }\n")

    assert file.place(("tïtle", "ä")).column == 13


def test_the_written_form_of_a_number_is_kept() -> None:
    file = yamltext.load("x.yaml", "material: 1.4310\n")

    assert file.data == {"material": 1.431}
    assert file.text(("material",)) == "1.4310"


def test_an_empty_file_holds_nothing() -> None:
    assert yamltext.load("x.yaml", "# only a comment\n").data is None


def test_a_key_given_twice_is_refused_with_both_lines() -> None:
    assert problems("DC: 8 mm\nLU: 1 mm\nDC: 9 mm\n") == ["x.yaml:3:1: the key `DC` stands twice (first in line 1)"]


def test_anchors_aliases_and_tags_are_refused_all_at_once() -> None:
    assert problems("a: &one 1\nb: *one\nc: !!python/object/apply:os.system [ls]\n") == [
        "x.yaml:1:4: the anchor `&one` is not allowed here",
        "x.yaml:2:4: the alias `*one` is not allowed here",
        "x.yaml:3:4: the tag `tag:yaml.org,2002:python/object/apply:os.system` is not allowed here",
    ]


def test_a_bomb_of_aliases_is_refused_at_its_first_line() -> None:
    bomb = "a: &a [x]\n" + "".join(f"{c}: &{c} [{','.join([f'*{b}'] * 9)}]\n" for b, c in zip("abcdefg", "bcdefgh", strict=True))

    assert problems(bomb)[0] == "x.yaml:1:4: the anchor `&a` is not allowed here"


def test_a_list_that_holds_itself_is_refused() -> None:
    assert "x.yaml:1:8: the alias `*a` is not allowed here" in problems("a: &a [*a]\n")


def test_deep_nesting_is_refused() -> None:
    assert "nesting deeper than 40 levels" in problems("[" * 100 + "]" * 100)[0]
    assert "nesting" in problems("[" * 50_000)[0]


def test_a_large_file_is_refused() -> None:
    assert problems(b"# " + b"x" * 1_000_000) == ["x.yaml: this file is larger than 1 MB"]


def test_a_second_document_is_refused() -> None:
    assert problems("a: 1\n---\nb: 2\n") == ["x.yaml:2:1: a second document begins here"]


def test_a_key_that_is_a_list_is_refused() -> None:
    assert problems("? [a]\n: b\n") == ["x.yaml:1:3: a key must be plain text"]


def test_bytes_that_are_no_utf_8_are_refused_where_they_stand() -> None:
    assert problems(b"a: 1\nb: 8\xb5m\n") == ["x.yaml:2:5: this byte (0xB5) is not UTF-8 text"]


def test_control_characters_are_refused_where_they_stand() -> None:
    assert problems("a: 1\nb: \x07\n")[0].startswith("x.yaml:2:4: a character that text may not hold")


def test_broken_yaml_says_where_and_where_the_part_began() -> None:
    assert problems("a: 1\nb: {c: 1\nd: 2\n") == [
        "x.yaml:3:2: this is no YAML: did not find expected ',' or '}' (while parsing a flow mapping that begins in line 2)"
    ]


def test_callers_name_the_error_that_is_raised() -> None:
    with pytest.raises(RecordError):
        yamltext.load("x.yaml", "a: [", RecordError)


def test_a_file_that_is_not_there_is_an_input_error(tmp_path) -> None:
    with pytest.raises(InputError, match="cannot be opened: no such file"):
        yamltext.read(tmp_path / "none.yaml")


@given(st.one_of(st.text(), st.binary(), st.text(alphabet="ab:- \n[]{},&*!?|>'\"#%@`\t0.")))
def test_arbitrary_text_gives_data_or_an_input_error(text: str | bytes) -> None:
    try:
        yamltext.load("x.yaml", text)
    except InputError as error:
        assert all(problem.place.file == "x.yaml" and problem.says for problem in error.problems)


PLAIN = st.recursive(st.text(), lambda part: st.lists(part, max_size=4) | st.dictionaries(st.text(), part, max_size=4))


@given(st.dictionaries(st.text(), PLAIN))
def test_text_data_comes_back_as_another_writer_wrote_it(data: dict[str, object]) -> None:
    written = yaml.safe_dump(data, default_style='"', allow_unicode=False)

    assert yamltext.load("x.yaml", written).data == data
