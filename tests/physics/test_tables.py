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


def test_an_unknown_name_is_answered_with_the_names_there_are() -> None:
    with pytest.raises(OutOfRange, match="Ck15"):
        tables.number("tap_catalogue_2021_kc", "material", "Ck99", "kc")


def test_an_empty_cell_has_no_value() -> None:
    with pytest.raises(OutOfRange):
        tables.number("vdi3323_kienzle", "group", "38", "mc")


def test_a_gap_between_ranges_has_no_value() -> None:
    with pytest.raises(OutOfRange, match="200 to 250"):
        tables.of_range("groover_2012_specific_energy", "HB_from", "HB_to", 250.5, "U", material="alloy steel")
