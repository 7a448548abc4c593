from hypothesis import given
from hypothesis import strategies as st

from coolcheck.report.cells import escaped, fitted, padded, pointed_at, width, wrapped


@given(st.text())
def test_no_text_of_a_program_reaches_a_terminal_as_a_control_character(text):
    shown = escaped(text)

    assert not any(ord(char) < 32 or 127 <= ord(char) < 160 or char in "\u202e\u2028\u200e" for char in shown)


def test_wide_and_combining_characters_are_counted_as_a_terminal_counts_them():
    assert width("深い穴") == 6
    assert width("e\u0301") == 1
    assert width("ｱ") == 1  # half-width katakana, as old controls write it


@given(st.text(st.characters(categories=["L", "N", "Zs", "So", "Mn"])), st.integers(2, 40))
def test_a_padded_cell_has_exactly_its_width(text, columns):
    assert width(padded(text, columns)) == columns


@given(st.text(st.characters(categories=["L", "N", "Zs", "So"])), st.integers(12, 60))
def test_wrapped_lines_keep_to_the_width_and_lose_nothing(text, columns):
    lines = wrapped(text, columns, "    ", "  ")

    assert all(width(line) <= columns for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_what_is_too_long_is_cut_with_a_mark():
    assert fitted("深い穴あけ", 7) == "深い穴…"


def test_the_mark_stands_under_what_is_meant_behind_wide_characters_and_tabs():
    line, marks = pointed_at("\t(穴) M57", 6, 9, 60)

    assert line == "\\t(穴) M57"
    assert marks.index("^") == line.index("M57") + 1  # one character before it is two columns wide
    assert marks.count("^") == 3


def test_a_long_line_is_cut_around_the_mark():
    line, marks = pointed_at("X1." * 4000, 9001, 9004, 70)

    assert width(line) <= 70
    assert line[marks.index("^") :].startswith("X1.")
