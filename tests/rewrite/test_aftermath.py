"""A rewrite brings no new harm, and converts no hole of an operation that stays wrong."""

from pathlib import Path

import pytest
from small_shop import TODAY, binding, rewritten, shop

from coolcheck.judge.process_words import process_words
from coolcheck.judge.rules import load_rules
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.targets import Choice

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


OF_THE_SHOP = """group: of-the-shop
rules:
  shop-says-no:
    scope: operation
    level: {level}
    when: {when}
    says: "{{name}} is not to be drilled so"
    asks: "may {{name}} be drilled so?"
    why: The shop has its reasons.
    do: Ask the shop.
    basis: common practice
    mended at: program
"""


def with_rule(tmp_path: Path, level: str, when: str) -> Rewrite:
    """The plain case with one more rule."""
    (tmp_path / "shop.yaml").write_text(OF_THE_SHOP.format(level=level, when=when), encoding="utf-8")
    where = shop()
    rules = load_rules((tmp_path,), process_words(TODAY))
    choice = Choice(frozenset({"single_pass"}))
    return rewrite(PECKS.encode(), str(where / "p.nc"), Bench.of(binding(where)), choice, TODAY, rules)


@pytest.mark.parametrize(
    ("level", "when", "says"),
    [
        ("error", "drills", "T1 is left as it is while this stands: T1 is not to be drilled so"),
        ("error", "kind is drill and retract is none", "with this mend something new would be wrong: T1 is not to be drilled so"),
        ("warning", "kind is drill and retract is none", ""),
        ("error", "kind is tap", ""),
    ],
)
def test_holes_are_not_converted_where_an_error_stands_or_would_come(tmp_path: Path, level: str, when: str, says: str) -> None:
    done = with_rule(tmp_path, level, when)

    assert done.is_changed == (not says)
    assert [refusal.says.split(" [")[0] for refusal in done.refusals if refusal.mend == "single_pass"] == ([says] if says else [])
