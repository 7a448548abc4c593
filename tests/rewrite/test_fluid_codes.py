"""Mends of fluid codes: each as a small program before and after; what cannot be told is left and said."""

import pytest
from small_shop import changed_lines, rewritten, shop

MILL = "G21 G17 G90 G94\nT3 M6\nG0 G54 X0. Y0. S3000 M3\nG43 H3 Z25.\n"
CUT = "G0 Z2.\nG1 Z-2. F500.\nX50.\nG0 Z25.\n"
END = "M5\nG91 G28 Z0.\nG90\n"


def mended(program: str, mend: str, folder=None):  # type: ignore[no-untyped-def]
    done = rewritten(program.encode(), folder, only=(mend,))
    return *changed_lines(done), done


def test_fluid_goes_off_before_the_tool_changes() -> None:
    gone, come, done = mended(MILL + "M8\n" + CUT + END + "T5 M6\nG0 X0. S3000 M3\nM30\n", "fluid_off_before_change")

    assert (gone, come) == ([], ["M9"])
    lines = done.result.decode().splitlines()
    assert lines.index("M9") == lines.index("M5") - 1


def test_through_tool_fluid_goes_off_with_time_to_run_out() -> None:
    drill = "T1 M6\nG0 X0. Y0. S3180 M3\nG43 H1 Z25. M57\nG4 P1500\nG99 G81 Z-20. R2. F636.\nG80\nG0 Z25.\n"
    gone, come, _ = mended("G21 G17 G90 G94\n" + drill + END + "T3 M6\nM30\n", "fluid_off_before_change")

    assert (gone, come) == ([], ["M58", "G4 P1200"])


def test_both_fluids_go_off() -> None:
    drill = "T1 M6\nG0 X0. Y0. S3180 M3\nG43 H1 Z25. M57\nG4 P1500\nM8\nG99 G81 Z-20. R2. F636.\nG80\nG0 Z25.\n"
    gone, come, _ = mended("G21 G17 G90 G94\n" + drill + END + "T3 M6\nM30\n", "fluid_off_before_change")

    assert (gone, come) == ([], ["M9", "M58", "G4 P1200"])


def test_what_the_next_cut_had_from_before_comes_on_again() -> None:
    second = "T5 M6\nG0 X0. Y0. S3000 M3\nG43 H5 Z25.\n" + CUT + "M9\n" + END + "M30\n"
    gone, come, done = mended(MILL + "M8\n" + CUT + END + second, "fluid_off_before_change")

    assert (gone, come) == ([], ["M9", "M8"])


def test_fluid_goes_off_before_a_stop_and_comes_on_again() -> None:
    gone, come, done = mended(MILL + "M8\n" + CUT + "M0\n" + CUT + "M9\n" + END + "M30\n", "fluid_off_before_change")
    lines = done.result.decode().splitlines()

    assert (gone, come) == ([], ["M9", "M8"])
    assert lines.index("M9") < lines.index("M0") < len(lines) - 1 - lines[::-1].index("M8")


def test_fluid_goes_off_before_the_end_even_where_the_machine_does_it() -> None:
    gone, come, _ = mended(MILL + "M8\n" + CUT + END + "M30\n", "fluid_off_before_change", shop(off="[flood, through_tool]"))

    assert (gone, come) == ([], ["M9"])


def test_fluid_that_comes_too_late_comes_before_the_cut() -> None:
    gone, come, done = mended(MILL + "G0 Z2.\nG1 Z-2. F500.\nX20.\nM8\nX50.\nG0 Z25.\nM9\n" + END + "M30\n", "fluid_before_cut")
    lines = done.result.decode().splitlines()

    assert (gone, come) == ([], ["M8"]) and lines.index("M8") < lines.index("G0 Z2.")


def test_pressure_gets_its_time() -> None:
    drill = "T1 M6\nG0 X0. Y0. S3180 M3\nG43 H1 Z25. M57\nG99 G81 Z-20. R2. F636.\nG80\nM58\nG4 P1200\nG0 Z25.\n"
    gone, come, _ = mended("G21 G17 G90 G94\n" + drill + END + "M30\n", "build_up_dwell")

    assert (gone, come) == ([], ["G4 P1500"])


def test_pressure_that_has_some_time_gets_the_rest() -> None:
    drill = "T1 M6\nG0 X0. Y0. S3180 M3\nG43 H1 Z25.\nM57\nG4 P500\nG99 G81 Z-20. R2. F636.\nG80\nM58\nG4 P1200\nG0 Z25.\n"
    gone, come, _ = mended("G21 G17 G90 G94\n" + drill + END + "M30\n", "build_up_dwell")

    assert (gone, come) == ([], ["G4 P1000"])


ROUGH_AND_FINISH = MILL + CUT + "M8\n" + CUT + "M9\n" + END + "M30\n"


@pytest.mark.parametrize(("history", "gone", "come"), [("wet", [], ["M8"]), ("dry", ["M8"], [])])
def test_one_regime_for_an_edge_as_its_record_says(history: str, gone: list[str], come: list[str]) -> None:
    found_gone, found_come, done = mended(ROUGH_AND_FINISH, "edge_regime", shop(history=history))

    assert (found_gone, found_come) == (gone, come) and not done.refusals


def test_an_interruption_goes_where_the_edge_is_to_stay_wet() -> None:
    program = MILL + "M8\nG0 Z2.\nG1 Z-2. F500.\nX20.\nM9\nX30.\nM8\nX50.\nG0 Z25.\nM9\n" + END + "M30\n"
    gone, come, _ = mended(program, "edge_regime", shop(history="wet"))

    assert (gone, come) == (["M9"], [])


def test_a_regime_that_nobody_states_is_asked_for() -> None:
    program = MILL + "M8\n" + CUT + "M9\n" + CUT + "M8\n" + CUT + "M9\n" + END + "M30\n"
    _, _, done = mended(program, "edge_regime")

    assert not done.is_changed
    assert any("prefers" in missing.field for refusal in done.refusals for missing in refusal.missing)


def test_a_regime_the_job_prefers_is_taken() -> None:
    program = MILL + "M8\n" + CUT + "M9\n" + CUT + "M8\n" + CUT + "M9\n" + END + "M30\n"
    gone, come, _ = mended(program, "edge_regime", shop(more="prefers: dry\n"))

    assert (gone, come) == (["M8", "M8"], [])


def test_fluid_goes_where_the_record_needs_none() -> None:
    start, cut = MILL.replace("T3", "T5").replace("H3", "H5"), CUT.replace("-2.", "-.2")
    program = "(ENGRAVE)\n" + start + "M8\n" + cut + "M9\n" + END + "M30\n"
    gone, come, _ = mended(program, "fluid_off_unneeded", shop(small="yes"))

    assert (gone, come) == (["M8"], [])


def test_codes_of_another_machine_become_those_of_this_one() -> None:
    drill = "T1 M6\nG0 X0. Y0. S3180 M3\nG43 H1 Z25.\nN7 M51\nG4 P1500\nG99 G81 Z-20. R2. F636.\nG80\nM52\nG4 P1200\nG0 Z25.\n"
    gone, come, _ = mended("G21 G17 G90 G94\n" + drill + END + "M30\n", "machine_code")

    assert (gone, come) == (["N7 M51", "M52"], ["N7 M57", "M58"])


def test_codes_that_could_mean_several_fluids_are_left() -> None:
    program = MILL + "M51\n" + CUT + "M52\n" + END + "M30\n"
    _, _, done = mended(program, "machine_code")

    assert not done.is_changed and "cannot be told" in done.refusals[0].says


def test_a_mend_can_be_left_out_by_name_rule_or_tool() -> None:
    program = (MILL + "M8\n" + CUT + END + "M30\n").encode()

    assert rewritten(program).is_changed
    for name in ("fluid_off_before_change", "fluid-on-at-program-end", "T3"):
        assert not rewritten(program, skip=(name,)).is_changed
    for name in ("build_up_dwell", "through-tool-on-too-late", "T1"):
        assert not rewritten(program, only=(name,)).is_changed


def test_a_waived_finding_is_not_mended() -> None:
    waived = shop(more="waivers:\n  - {rule: fluid-on-at-program-end, reason: the operator washes the part, by: shift lead}\n")
    program = (MILL + "M8\n" + CUT + END + "M30\n").encode()

    assert not rewritten(program, waived).is_changed


def test_what_an_optional_stop_leaves_on_goes_off_before_the_change() -> None:
    """Nobody says whether the optional stop is on, so nothing is mended there; the change behind it is not left with it."""
    end = "G0 Z25. M5\nG91 G28 Z0.\nG90\nM1\nT5 M6\nG0 X0. S3000 M3\nM30\n"
    gone, come, done = mended(MILL + "M8\n" + CUT + end, "fluid_off_before_change")

    assert come == ["M9"] and not [refusal for refusal in done.refusals if "did not end it" in refusal.says]


@pytest.mark.parametrize(("time", "is_fine"), [("60 s", True), ("61 s", False)])
def test_a_pressure_that_takes_too_long_is_told(time: str, is_fine: bool) -> None:
    folder = shop(more=f"note: pressure in {time}\n")
    machine = folder / "machines" / "mill.yaml"
    text = machine.read_text(encoding="utf-8").replace("build-up time: 1.5 s", f"build-up time: {time}")
    machine.write_text(text, encoding="utf-8")
    program = (
        "G21 G17 G90 G94\nT1 M6\nG0 G54 X0. Y0. S3183 M3\nG43 H1 Z25. M57\nG81 Z-10. R2. F636.\nG80\nM58\nG4 P2000\nM5\nM30\n"
    )
    done = rewritten(program.encode(), folder, only=("build_up_dwell",))

    assert done.is_changed is is_fine
    assert is_fine or "it would have to wait 61 s" in done.refusals[0].says
