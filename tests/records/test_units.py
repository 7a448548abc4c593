"""The shipped table of units says what pint says; texts become SI and come back."""

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolcheck.records import quantity, schema, units

TABLE = [(dimension, spelling) for dimension in units.dimensions() for spelling in units.spellings(dimension)]


def test_every_row_of_the_table_agrees_with_pint() -> None:
    # source: the open unit library pint, the authority the table is made from; here through its ordinary floats
    import pint

    registry = pint.UnitRegistry()
    checked = 0
    for dimension, spelling, name, _, _ in units.factors_by_pint():
        unit = units.unit(dimension, spelling)
        assert unit is not None
        for number in (1.0, 20.0, 350.0):
            by_pint = registry.Quantity(number, name).to(units.dimensions()[dimension].si).magnitude
            ours = float(number * float(unit.factor) + float(unit.offset))
            assert math.isclose(ours, by_pint, rel_tol=1e-12), spelling
        checked += 1
    assert checked == len(TABLE) > 200


def test_the_factors_are_the_exact_definitions() -> None:
    # NIST Special Publication 811 (2008), appendix B: in, lb, gal, psi, standard gravity are exact (psi from lb, g, in)
    assert quantity.parse("1 in", "length").si == 0.0254
    assert quantity.parse("1 gal/min", "flow").si == pytest.approx(3.785411784e-3 / 60, rel=1e-15)
    assert quantity.parse("1 psi", "pressure").si == pytest.approx(0.45359237 * 9.80665 / 0.0254**2, rel=1e-15)
    assert quantity.parse("32 °F", "temperature").si == pytest.approx(273.15, rel=1e-15)
    assert quantity.parse("60 rpm", "rotation").si == 1.0
    assert quantity.parse("180 deg", "angle").si == math.pi


@given(st.sampled_from(TABLE), st.floats(min_value=1e-6, max_value=1e9))
def test_a_quantity_goes_to_si_and_comes_back(unit: tuple[str, str], number: float) -> None:
    dimension, spelling = unit
    written = float(f"{number:.9g}")

    si = quantity.parse(f"{written!r} {spelling}", dimension).si

    assert quantity.shown(si, dimension, spelling) == pytest.approx(written, rel=1e-11)


@pytest.mark.parametrize(
    ("text", "si"),
    [
        ("8.5 mm", 0.0085),
        ("8.5mm", 0.0085),
        (".5 mm", 0.0005),
        ("0.335 in", 0.008509),
        ("1/4 in", 0.00635),
        ('1/4"', 0.00635),
        ("1 1/4 in", 0.03175),
        ("1-1/4 in", 0.03175),
        ("8.5e0 mm", 0.0085),
        ("12 µm", 12e-6),
        ("12 μm", 12e-6),
        ("85 MM", 0.085),
        ("+8.5 mm", 0.0085),
        ("3 furlong", 603.504),
    ],
)
def test_lengths_may_be_written_in_many_ways(text: str, si: float) -> None:
    assert quantity.parse(text, "length").si == pytest.approx(si, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("300 psi", "pressure", 2068427.19),
        ("70 °C", "temperature", 343.15),
        ("70 C", "temperature", 343.15),
        ("6 %", "fraction", 0.06),
        ("140 deg", "angle", 2.44346),
        ("20 L/min", "flow", 20e-3 / 60),
        ("20 l/min", "flow", 20e-3 / 60),
        ("12000 rpm", "rotation", 200.0),
        ("12000 1/min", "rotation", 200.0),
        ("12000/min", "rotation", 200.0),
        ("4.08 kJ/(kg K)", "specific_heat", 4080.0),
        ("1.2 mm²/s", "kinematic_viscosity", 1.2e-6),
        ("1.2 mm2/s", "kinematic_viscosity", 1.2e-6),
        ("300 sfm", "speed", 1.524),
        ("42 W/(m·K)", "conductivity", 42.0),
        ("60 Nm", "torque", 60.0),
        ("850 kg/m^3", "density", 850.0),
        ("0.5 g", "acceleration", 4.903325),
    ],
)
def test_the_trades_spellings_are_known(text: str, dimension: str, si: float) -> None:
    assert quantity.parse(text, dimension).si == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "dimension", "says", "do"),
    [
        ("8.5", "length", "`8.5` has no unit; a length needs one", "write the unit behind it: `mm`, `in`, `m` or `µm`"),
        ("8.5 bar", "length", "`bar` is a unit of pressure; a length is needed here", "write it in `mm`, `in`, `m` or `µm`"),
        ("8.5 mmm", "length", "`mmm` is no unit of length", "did you mean `mm`? it may be `mm`, `in`, `m` or `µm`"),
        ("8.5 Mm", "length", "`Mm` is no unit of length", "did you mean `mm`? it may be `mm`, `in`, `m` or `µm`"),
        ("20 mPa", "pressure", "`mPa` is no unit of pressure", "did you mean `MPa`? it may be `bar`, `psi`, `MPa` or `N/mm²`"),
        ("8,5 mm", "length", "`8,5 mm` has a decimal comma", "write a decimal point"),
        ("inf mm", "length", "`inf mm` is no length", "write a number and a unit: `mm`, `in`, `m` or `µm`"),
        ("nan mm", "length", "`nan mm` is no length", "write a number and a unit: `mm`, `in`, `m` or `µm`"),
        ("1e400 mm", "length", "`1e400 mm` is out of any range", "write a number that the trade uses"),
        ("1/0 in", "length", "`1/0 in` divides by zero", "write a fraction such as 1/4"),
        ("6", "fraction", "`6` has no unit; a share needs one", "write the unit behind it: `%`"),
        ("0.2 kHz", "rotation", "`kHz` is no unit of rotational speed", "did you mean `Hz`? it may be `rpm` or `rev/s`"),
        ("20 foo/bar", "flow", "`foo/bar` is no unit of flow", "it may be `L/min`, `gpm` or `m³/h`"),
    ],
)
def test_what_is_no_quantity_is_refused_with_what_may_stand_there(text: str, dimension: str, says: str, do: str) -> None:
    with pytest.raises(quantity.NotAQuantity) as caught:
        quantity.parse(text, dimension)

    assert (caught.value.says, caught.value.do) == (says, do)


@given(st.text(max_size=60), st.sampled_from(sorted(units.dimensions())))
def test_any_text_is_a_quantity_or_is_refused(text: str, dimension: str) -> None:
    try:
        si = quantity.parse(text, dimension).si
    except quantity.NotAQuantity as error:
        assert error.says and error.do
    else:
        assert math.isfinite(si)


@given(st.text(alphabet="mMinbarpsikgKL/s*()°C%23²³-+ .eE", max_size=12))
def test_any_unit_of_length_is_known_or_refused(text: str) -> None:
    try:
        assert math.isfinite(quantity.parse(f"1 {text}", "length").si)
    except quantity.NotAQuantity as error:
        assert error.do


def test_every_declared_unit_is_in_the_table() -> None:
    def all_fields(fields: schema.Fields) -> list[schema.Field]:
        return [field for each in fields.values() for field in (each, *(all_fields(each.each) if each.each else ()))]

    declared = {
        (f.dimension, units.spelled(f.unit)) for kind in schema.KINDS for f in all_fields(schema.fields(kind)) if f.dimension
    }

    assert declared <= set(TABLE) and len(declared) > 15


def test_reading_records_imports_nothing_heavy() -> None:
    heavy = "pint", "jsonschema", "numpy", "lark", "jinja2", "hypothesis"
    program = f"import sys, coolcheck.records.check; print([m for m in {heavy!r} if m in sys.modules])"

    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("text", ["0", "0.0", "-0", "+0."])
def test_zero_of_a_length_needs_no_unit(text: str) -> None:
    found = quantity.parse(text, "length")

    assert (found.si, found.unit) == (0.0, "mm")


@pytest.mark.parametrize(("text", "dimension"), [("0", "temperature"), ("0.1", "length"), ("1", "time")])
def test_what_is_not_zero_in_every_unit_needs_one(text: str, dimension: str) -> None:
    with pytest.raises(quantity.NotAQuantity, match="has no unit"):
        quantity.parse(text, dimension)
