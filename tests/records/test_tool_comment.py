"""What people and posts write of tools in comments is read as they mean it; what is not said is not made up.

The shapes are those that programs of open controllers, posts and public parsers show; the words are our own.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coolcheck.records import quantity, schema, values
from coolcheck.records.tool_comment import read_comment

SAID = {
    "T1 D=10. CR=0. - ZMIN=-5. - flat end mill": (1, {"DC": "10 mm", "RE": "0 mm", "kind": "end_mill"}),
    "T2  D=0.5 CR=0. TAPER=118deg - ZMIN=-1. - DRILL": (2, {"DC": "0.5 mm", "RE": "0 mm", "SIG": "118 deg", "kind": "drill"}),
    "#3 D=6. - ZMIN=-1. - BALL END MILL": (3, {"DC": "6 mm", "kind": "ball_mill"}),
    "1/16 FLAT ENDMILL TOOL - 1 DIA. OFF. - 1 LEN. - 1 DIA. - .0625": (1, {"DC": "1/16 in", "kind": "end_mill"}),
    'TOOL - 6 2" FACE MILL DIA. OFF. - 6 LEN. - 6 DIA. - 2. ': (6, {"DC": "2 in", "kind": "face_mill"}),
    "TOOL - 7 DIA. OFF. - 7 LEN. - 7 DIA. - .375": (7, {"DC": "0.375 mm"}),
    "NO. 32 DRILL": (None, {"DC": "0.1160 in", "kind": "drill"}),
    "#43 DRILL": (None, {"DC": "0.0890 in", "kind": "drill"}),
    "letter F drill hss": (None, {"DC": "0.257 in", "kind": "drill", "substrate": "HSS"}),
    "1/4X90 MILL DRILL": (None, {"DC": "1/4 in", "kind": "chamfer_mill"}),
    "1/4 COUNTERSINK 82 DEGREE": (None, {"DC": "1/4 in", "kind": "chamfer_mill", "SIG": "82 deg"}),
    "1/2X60 CRB DOVETAIL": (None, {"DC": "1/2 in", "substrate": "hardmetal"}),
    "3/8-16 TAP": (None, {"DC": "3/8 in", "TDZ": "3/8-16", "TP": "1/16 in", "kind": "tap"}),
    "#10-32 TAP": (None, {"DC": "0.190 in", "TDZ": "#10-32", "TP": "1/32 in", "kind": "tap"}),
    "M8X1.25 TAP": (None, {"DC": "8 mm", "TDZ": "M8X1.25", "TP": "1.25 mm", "kind": "tap"}),
    "M6X1 FORM TAP": (None, {"DC": "6 mm", "TDZ": "M6X1", "TP": "1 mm", "kind": "form_tap"}),
    "TAP M10": (None, {"DC": "10 mm", "TDZ": "M10", "kind": "tap"}),
    "8.5MM TAP DRILL": (None, {"DC": "8.5 mm", "kind": "drill"}),
    "T1 1/4 inch flat endmill": (1, {"DC": "1/4 in", "kind": "end_mill"}),
    "1/2 SPOT DRILL": (None, {"DC": "1/2 in", "kind": "spot_drill"}),
    "1-1/4 END MILL": (None, {"DC": "1 1/4 in", "kind": "end_mill"}),
    "T5 D=8.5 CARBIDE DRILL 5XD COOLANT THRU": (
        5,
        {"DC": "8.5 mm", "ULDR": "5", "fluid.through": "yes", "kind": "drill", "substrate": "hardmetal"},
    ),
    " T2 | 12. 3 FLUTE END MILL FOR ALUMINIUM | H2 ": (2, {"DC": "12 mm", "NOF": "3", "kind": "end_mill"}),
    "3F 10MM CRB END MILL": (None, {"DC": "10 mm", "NOF": "3", "kind": "end_mill", "substrate": "hardmetal"}),
    "T30 | CERAMIC END MILL 12. R1.": (30, {"DC": "12 mm", "RE": "1 mm", "kind": "end_mill", "substrate": "ceramic"}),
    "FACE MILL 63 WITH INSERTS - ROUGH": (None, {"DC": "63 mm", "insert": "yes", "kind": "face_mill"}),
    "DRILL 8.5 FOR M10": (None, {"DC": "8.5 mm", "kind": "drill"}),
    "DEEP DRILL 8.0 X 112": (None, {"DC": "8 mm", "kind": "drill"}),
    "12. THREAD MILL": (None, {"DC": "12 mm", "kind": "thread_mill"}),
    "1/2 DRILL THRU": (None, {"DC": "1/2 in", "kind": "drill"}),  # a hole through the part, not fluid through the tool
    "GUN DRILL 6. TSC": (None, {"DC": "6 mm", "fluid.through": "yes", "kind": "gun_drill"}),
    "PROBE": (None, {"kind": "probe"}),
    "DATE=DD-MM-YY - 30-06-05 TIME=HH:MM - 19:37": (None, {}),
    "M6 T2": (2, {}),
    "T2 D6.8 CARBIDE DRILL 5XD COOLANT THRU": (
        2,
        {"DC": "6.8 mm", "ULDR": "5", "fluid.through": "yes", "kind": "drill", "substrate": "hardmetal"},
    ),
    "T6 D4.2 HSS-E": (6, {"DC": "4.2 mm", "substrate": "HSS"}),
    "Ø 6.8 DRILL": (None, {"DC": "6.8 mm", "kind": "drill"}),
    "D12 DRILL 10XD": (None, {"DC": "12 mm", "ULDR": "10", "kind": "drill"}),
    "6.8 DIA. 2 FLUTE EM": (None, {"DC": "6.8 mm", "NOF": "2", "kind": "end_mill"}),
    "D20 ENDMILL": (None, {"DC": "20 mm", "kind": "end_mill"}),
    "12H7 REAMER": (None, {"DC": "12 mm", "kind": "reamer"}),
    "1-8 TAP": (None, {"DC": "1 in", "TDZ": "1-8", "TP": "1/8 in", "kind": "tap"}),
    "1 1/4-7 TAP": (None, {"DC": "1 1/4 in", "TDZ": "1 1/4-7", "TP": "1/7 in", "kind": "tap"}),
    "THREAD MILL D6 M8X1.25": (None, {"DC": "6 mm", "TDZ": "M8X1.25", "TP": "1.25 mm", "kind": "thread_mill"}),
    "M8 THREAD MILL": (None, {"TDZ": "M8", "kind": "thread_mill"}),  # a thread mill is narrower than its thread
    "T1 A MAKER PART-NO-77 D=10. - END MILL": (1, {"DC": "10 mm", "kind": "end_mill"}),
    "HOLDER DIA: 2.5": (None, {}),
    "Cutter Diameter: 6.": (None, {"DC": "6 mm"}),
    "begin operation: Drilling006": (None, {"kind": "drill"}),
    "DRILL 4 HOLES 25 DEEP": (None, {"kind": "drill"}),
    "OP 10 DRILL": (None, {"kind": "drill"}),
    "machine units: in/min": (None, {}),
    "2D POCKET1": (None, {}),
    "DATE - NOV. 15 2019": (None, {}),
    "MACHINE GROUP-1": (None, {}),
    "T1 S1200 F100 DRILL": (1, {"kind": "drill"}),
    "FINISH POCKET WALL": (None, {}),
    "ROUGH 20 PARTS": (None, {}),  # a number that stands beside no kind is no diameter
    "5/3 DRILL": (None, {"kind": "drill"}),  # no inch fraction
}


@pytest.mark.parametrize("text", SAID)
def test_a_comment_says(text: str) -> None:
    talk = read_comment(text)

    assert (talk.tool, dict(sorted(talk.in_units("mm").items()))) == (SAID[text][0], dict(sorted(SAID[text][1].items())))


def test_a_number_without_a_unit_takes_that_of_the_program() -> None:
    assert read_comment("0.3125 DRILL").in_units("in")["DC"] == "0.3125 in"
    assert read_comment("0.3125 DRILL").in_units("")["DC"] == "0.3125"  # neither G20 nor G21: nobody knows


DOUBTS = {
    "10MM 3/8 END MILL": "10 mm or 3/8 in",
    "D6.8 M8 TAP": "6.8 mm or 8 mm",
    "DRILL 6,8": "6,8 is no plain number",
    "D6,8 DRILL": "6,8 may be a number with a decimal comma",
    "10X72 END MILL": "10 and 72 stand beside each other",
    "T1 H1 D1 END MILL 10.": "D1 may be the number of an offset",
    "T6 D6 DRILL": "D6 may be the number of an offset",
    "1/4 NPT TAP": "the size of such a thread is not its diameter",
    "118 DRILL": "118 may be an angle",
    "DRILL 2": "2 may be a count",
    "END MILL D20 HOLE": "diameter 20 may be of something else",
    "10 DIA 3 END MILL": "which is the diameter, 10 or 3?",
    "25 DEEP 8 DRILL": "which is the diameter, 25 or 8?",
    "X10. REAMER 1.4301": "1.4301 may be the number of a material",
    "84 #7 DRILL": "#7 is no size where another number stands",
    "20 DRILL 6.8": "which is the diameter, 20 or 6.8?",
    "DRILL 30 SOMETHING": "30 stands beside `SOMETHING` and may mean something else",
}


@pytest.mark.parametrize("text", DOUBTS)
def test_what_may_mean_something_else_is_a_doubt_and_no_diameter(text: str) -> None:
    talk = read_comment(text)

    assert talk.doubts_in("mm")["DC"] == DOUBTS[text]
    assert "DC" not in talk.in_units("mm")


KINDS = ("DRILL", "END MILL", "ENDMILL", "EM", "REAMER", "FACE MILL", "SPOT DRILL", "BALL MILL", "SPOT", "drill")
STATED = (
    "{d}", "D{d}", "D {d}", "D={d}", "D = {d}", "Ø{d}", "Ø {d}", "DIA {d}", "DIA. {d}", "DIA={d}", "DIAMETER {d}", "{d} DIA",
    "{d} DIA.", "{d}MM", "{d} MM", "D{d}MM", 'Ø{d}"', '{d}"', "{d}X80", "{d} X 80.",
)  # fmt: skip
AROUND = (
    "", "T7", "T07 -", "TOOL 7", "TOOL NO. 7", "#7", "H7", "T7 H7", "OP 10", "OP10", "N10", "STEP 3", "4X", "4 HOLES", "25 DEEP",
    "L80", "L 80.", "DEPTH 25", "Z-25.", "5XD", "10 XD", "118DEG", "3 FLUTE", "4FL", "HSS-E", "CARBIDE", "FOR M8",
    "FOR 10.5 BOLT", "S1200", "F0.15", "FEED 0.15", "70 BAR", "R0.5", "H7 FIT", "HOLDER DIA 40", "SHANK 12", "2 OF 3", "ROUGH", "-",
    "X10. Y20.", "IN STEEL", "1.4301", "42CRMO4", "6061-T6", "STOCK 0.3", "12.5 LONG",
)  # fmt: skip
NUMBERS = st.one_of(
    st.integers(1, 99).map(str),
    st.decimals("0.1", "99.9", places=1).map(str),
    st.decimals("0.001", "9.999", places=3).map(str),
    st.integers(1, 99).map("{}.".format),
    st.integers(1, 999).map(".{:03d}".format),
)


@settings(max_examples=1000)
@given(NUMBERS, st.sampled_from(STATED), st.sampled_from(KINDS), *[st.sampled_from(AROUND)] * 3, st.booleans())
def test_a_diameter_is_read_as_stated_or_not_at_all(
    size: str, stated: str, kind: str, first: str, between: str, last: str, is_behind: bool
) -> None:
    said = stated.format(d=size)
    text = " ".join(part for part in ((first, kind, said) if is_behind else (first, said, between, kind)) + (last,) if part)

    found = read_comment(text).in_units("mm").get("DC")

    unit = "in" if '"' in stated else "mm"
    assert found in (None, f"{float(size):.10g} {unit}"), text


@given(
    st.integers(1, 20),
    st.sampled_from(("{d}MM DRILL", "D{d}.5 DRILL", "Ø{d}.5 EM", "DRILL {d}.5", "{d}.5 DRILL")),
    st.text(max_size=12),
)
def test_no_text_behind_makes_it_another_number(size: int, template: str, behind: str) -> None:
    found = read_comment(f"{template.format(d=size)} {behind}").in_units("mm").get("DC")

    assert found in (None, f"{size}{'' if 'MM' in template else '.5'} mm")


@given(
    st.one_of(
        st.text(max_size=80),
        st.lists(st.sampled_from([*'TM#D=/.-X* 0123456789"', "TOOL", "DRILL", "TAP", " ", "DEG", "MM", "NO."])).map("".join),
    )
)
def test_any_comment_gives_values_that_a_record_takes(text: str) -> None:
    for name, value in read_comment(text).in_units("mm").items():
        field = schema.fields("tool")[name]
        try:
            values.check(field, value)
        except values.Unfit as error:  # a diameter of 9 m is said and believed by nobody: the range check tells
            assert "must be" in error.says


def test_sizes_of_number_and_letter_drills_fall_in_order() -> None:
    # ASME B94.11M: number sizes fall from 1 to 60, letter sizes rise from A to Z; 7, 25, 29, 36, F are the usual tap drills of
    # 1/4-20, 10-24, 8-32, 6-32 and 5/16-18 (tap drill charts)
    from coolcheck.records.tool_comment import _drill_sizes

    sizes = {name: float(size) for name, size in _drill_sizes().items()}
    numbers = [sizes[str(number)] for number in range(1, 61)]
    letters = [sizes[letter] for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]

    assert numbers == sorted(numbers, reverse=True) and letters == sorted(letters) and letters[0] > numbers[0]
    assert [sizes[name] for name in ("7", "25", "29", "36", "F")] == [0.2010, 0.1495, 0.1360, 0.1065, 0.257]
    assert quantity.parse(f"{sizes['E']} in", "length").si == pytest.approx(0.25 * 0.0254)
