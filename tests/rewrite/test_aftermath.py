"""A rewrite brings no new harm, and converts no hole of an operation that stays wrong."""

from small_shop import rewritten, shop

PECKS = (
    "G21 G17 G90 G94 G98\nT1 M6 (8. DRILL)\nG0 G54 X0. Y0. S3180 M3\nG43 H1 Z25.\nM8\n"
    "G99 G83 Z-40. R2. Q4. F636.\nX20.\nG80\nM9\nG0 Z25.\nM5\nM30\n"
)


def test_the_plain_case_is_converted() -> None:
    assert rewritten(PECKS.encode()).is_changed


def test_a_spindle_that_turns_backwards_is_not_built_on() -> None:
    done = rewritten(PECKS.replace("M3", "M4").encode(), only=("single_pass",))

    assert not done.is_changed
    assert any(refusal.mend == "single_pass" for refusal in done.refusals)


def test_a_rapid_move_into_the_work_is_not_built_on() -> None:
    assert not rewritten(PECKS.replace("R2.", "R-10.").encode(), only=("single_pass",)).is_changed


def test_without_the_raw_face_no_depth_is_known_and_nothing_is_converted() -> None:
    done = rewritten(PECKS.encode(), shop(top=""), only=("single_pass",))

    assert not done.is_changed
    assert any("raw face" in missing.question for refusal in done.refusals for missing in refusal.missing)
