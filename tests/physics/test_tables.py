"""The tables: read as printed, nothing extended, nothing guessed."""

from pathlib import Path

import pytest

from coolcheck.physics import OutOfRange, tables

NAMES = sorted(path.stem for path in (Path(tables.__file__).with_name("tables")).glob("*.csv"))


@pytest.mark.parametrize("name", NAMES)
def test_a_table_has_as_many_cells_in_each_row_as_columns(name: str) -> None:
    rows = tables.table(name)

    assert rows
    assert all(None not in row and None not in row.values() for row in rows)


@pytest.mark.parametrize("name", NAMES)
def test_no_table_names_two_rows_alike(name: str) -> None:
    rows = [tuple(row.items()) for row in tables.table(name)]

    assert len(set(rows)) == len(rows)


def test_a_value_between_two_rows_lies_on_the_line_between_them() -> None:
    low, high = (tables.between("groover_2012_chip_thickness", "h_mm", h, "factor") for h in (0.50, 0.63))

    assert tables.between("groover_2012_chip_thickness", "h_mm", 0.565, "factor") == pytest.approx((low + high) / 2)


@pytest.mark.parametrize("h", [0.1, 1.3, float("nan")])
def test_beyond_the_rows_there_is_no_value(h: float) -> None:
    with pytest.raises(OutOfRange, match="Groover"):
        tables.between("groover_2012_chip_thickness", "h_mm", h, "factor")


def test_what_a_table_does_not_hold_is_told_with_what_it_holds_and_where_it_was_printed() -> None:
    with pytest.raises(OutOfRange) as between:
        tables.between("groover_2012_chip_thickness", "h_mm", 1.5, "factor")
    with pytest.raises(OutOfRange) as named:
        tables.of_range("groover_2012_specific_energy", "HB_from", "HB_to", 250.5, "U", material="alloy steel")
    with pytest.raises(OutOfRange) as bare:
        tables.of_range("iso286_tolerances", "above", "to", 51.0, "IT7")

    assert str(between.value).startswith("h_mm = 1.5 lies outside 0.125 .. 1.25 (")
    for reason, start, table in (
        (named, "alloy steel: HB_from .. HB_to = 250.5 lies outside", "groover_2012_specific_energy"),
        (bare, "IT7: above .. to = 51 lies outside", "iso286_tolerances"),
    ):
        assert str(reason.value).startswith(start)
        assert str(reason.value).endswith(f"({tables.source(table)})")
    assert " lies outside 0 to 3, 3 to 6, 6 to 10, " in str(bare.value)


def test_the_lower_bound_of_the_first_range_is_inside_and_where_two_meet_the_first_counts() -> None:
    rows = tables.table("iso286_tolerances")

    assert tables.of_range("iso286_tolerances", "above", "to", 0.0, "IT7") == float(rows[0]["IT7"])
    assert tables.of_range("iso286_tolerances", "above", "to", 3.0, "IT7") == float(rows[0]["IT7"])


def test_an_unknown_name_is_answered_with_the_names_there_are() -> None:
    with pytest.raises(OutOfRange, match="Ck15"):
        tables.number("tap_catalogue_2021_kc", "material", "Ck99", "kc")


def test_an_empty_cell_has_no_value() -> None:
    with pytest.raises(OutOfRange):
        tables.number("vdi3323_kienzle", "group", "38", "mc")


def test_a_gap_between_ranges_has_no_value() -> None:
    with pytest.raises(OutOfRange, match="200 to 250"):
        tables.of_range("groover_2012_specific_energy", "HB_from", "HB_to", 250.5, "U", material="alloy steel")
