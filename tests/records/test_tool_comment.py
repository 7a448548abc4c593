"""What people and posts write of tools in comments is read as they mean it; what is not said is not made up.

The shapes are those that programs of open controllers, posts and public parsers show; the words are our own.
"""

import pytest
from hypothesis import given
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


def test_two_sizes_in_one_comment_are_a_doubt() -> None:
    assert read_comment("10MM 3/8 END MILL").doubts == ["DC: 3/8 in"]


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
