"""A first job folder says what the program says, where it says it, and nothing more."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coolcheck import yamltext
from coolcheck.known import Missing
from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.records import bind, schema
from coolcheck.records.check import check
from coolcheck.records.start import marks_of, start, write, write_again
from coolcheck.records.template import Filled, template
from coolcheck.records.walk import record_of

SAMPLES = Path(__file__).parents[2] / "samples" / "programs"


def program(text: str | bytes, name: str = "O1203.nc") -> Program:
    return Program.read(text if isinstance(text, bytes) else text.encode("utf-8"), name, load_dialect())


def said(text: str) -> list[str]:
    """The lines of a record that are no comments."""
    return [line.rstrip() for line in text.splitlines() if not line.lstrip().startswith("#")]


PLATE = """%
O1203 (PLATE)
(MATERIAL 42CRMO4 STOCK 120)
(T12 8.5 DRILL COOLANT THRU)
G21 G90
(DRILL 8.5 FOR M10)
N10 T12 M6
M57
N20 T3 M6 (M10X1.5 TAP)
T5
M6
M30
"""


def test_a_tool_is_started_from_its_comment_with_line_and_text() -> None:
    files = start(program(PLATE))

    assert said(files["tools/T12.yaml"]) == [
        "tool: T12                         # T word in line 7",
        'description: "T12 8.5 DRILL COOLANT THRU"  # the comment in line 4',
        'kind: drill                       # from the comment in line 4: "(T12 8.5 DRILL COOLANT THRU)"',
        'DC: 8.5 mm                        # from the comment in line 4: "(T12 8.5 DRILL COOLANT THRU)"; G21 in line 5',
        "fluid:",
        '  through: yes                    # from the comment in line 4: "(T12 8.5 DRILL COOLANT THRU)"',
    ]
    assert "  # exits:                        # number of fluid exits" in files["tools/T12.yaml"]
    assert "# TDZ:" not in files["tools/T12.yaml"]  # a drill cuts no thread


def test_what_is_to_be_filled_in_first_is_marked_where_it_belongs(tmp_path) -> None:
    asked = [
        Missing("tool T5", "DC", "?", Place(str(tmp_path / "tools/T5.yaml"))),
        Missing("machine m", "supplies.flood.fitted", "?", Place(str(tmp_path / "machines/this-machine.yaml"))),
        Missing("holder h", "sealed", "?", Place(str(tmp_path.parent / "holders/first-holder.yaml"))),
        Missing("machine", "codes", "?"),
    ]
    files = start(program(PLATE), tmp_path, marks_of(asked, tmp_path))
    marked = {
        name: [line for line in text.splitlines() if ": FIRST" in line or "# FIRST" in line] for name, text in files.items()
    }

    assert [line[:7] for line in marked.pop("tools/T5.yaml")] == ["# DC:  "]
    assert [line[:11] for line in marked.pop("machines/this-machine.yaml")] == ["# supplies:"]
    assert not any(marked.values())
    assert "# Begin with what is marked FIRST: it decides most in a review of O1203.nc." in files["tools/T5.yaml"]
    assert "FIRST" not in files["holders/first-holder.yaml"]


def test_only_what_was_written_just_now_is_written_again(tmp_path) -> None:
    kept = tmp_path / "tools/T5.yaml"
    kept.parent.mkdir()
    kept.write_text("tool: T5\n")
    written, _ = write(start(program(PLATE)), tmp_path)
    write_again(dict.fromkeys(start(program(PLATE)), "new\n"), tmp_path, written)

    assert kept.read_text() == "tool: T5\n"
    assert (tmp_path / "tools/T3.yaml").read_text() == "new\n"


def test_a_comment_in_the_block_of_a_tool_change_is_of_that_tool() -> None:
    assert (
        'TP: 1.5 mm                        # from the comment in line 9: "(M10X1.5 TAP)"'
        in start(program(PLATE))["tools/T3.yaml"]
    )


def test_a_tool_of_which_nothing_is_said_knows_its_number_only() -> None:
    assert said(start(program(PLATE))["tools/T5.yaml"]) == ["tool: T5                          # T word in line 10"]


def test_the_job_names_program_and_tools() -> None:
    job = yamltext.load("x", start(program(PLATE))["O1203.job.yaml"]).data

    assert job["programs"] == ["O1203.nc"]
    assert job["tools"] == [{"T": 3, "tool": "T3"}, {"T": 5, "tool": "T5"}, {"T": 12, "tool": "T12"}]


def test_machine_and_material_get_what_the_program_says_of_them() -> None:
    files = start(program(PLATE))

    assert "# - {code: M57, says: } first in line 8" in files["machines/this-machine.yaml"]
    assert 'note: "42CRMO4 STOCK 120"         # from the comment in line 3' in files["materials/this-material.yaml"]


def test_without_g20_or_g21_a_bare_number_is_no_diameter() -> None:
    text = start(program("T1 M6 (8.5 DRILL)\n"))["tools/T1.yaml"]

    assert (
        "DC: unknown                       # 8.5 in mm or inch? The program states neither G20 nor G21; "
        'from the comment in line 1: "(8.5 DRILL)"'
    ) in text


def test_where_comments_disagree_the_value_is_unknown_and_its_line_tells_both() -> None:
    text = start(program("G21\n(T1 D=8. DRILL)\n(DRILL 8.5)\nT1 M6\n"))["tools/T1.yaml"]

    assert (
        'DC: unknown                       # in doubt: 8 mm from the comment in line 2: "(T1 D=8. DRILL)"; '
        '8.5 mm from the comment in line 3: "(DRILL 8.5)"'
    ) in text


def test_a_clear_comment_goes_before_one_that_may_mean_something_else() -> None:
    tool = start(program("G21\n(T5 D8.5 DRILL)\nT5 M6 (DRILL 40 DEEP 8.5)\nM30"))["tools/T5.yaml"]

    assert "DC: 8.5 mm " in tool and "in doubt" not in tool


def test_a_diameter_may_stand_before_the_depth_of_its_hole() -> None:
    assert "DC: 8.5 mm " in start(program("G21\nT5 M6 (DRILL 8.5 DEEP 40)\nM30"))["tools/T5.yaml"]


def test_a_size_like_7_may_be_the_number_of_the_tool() -> None:
    assert "DC: unknown" in start(program("G20\n(#7 DRILL)\nT7 M6\n"))["tools/T7.yaml"]
    assert "DC: 0.2010 in" in start(program("G20\n(#7 DRILL)\nT3 M6\n"))["tools/T3.yaml"]


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.nc")), ids=lambda path: path.stem)
def test_what_is_started_from_a_sample_is_right_and_binds(path: Path, tmp_path: Path) -> None:
    files = start(program(path.read_bytes(), str(path)), tmp_path)
    written, kept = write(files, tmp_path)

    job = next(tmp_path.glob("*.job.yaml"))
    assert (len(written), kept) == (len(files), [])
    assert check(tmp_path).problems == ()
    assert bind(path, job).tools and all(tool.field("DC").is_known for tool in bind(path, job).tools.values())


def test_the_job_names_the_program_from_where_the_job_lies(tmp_path: Path) -> None:
    source = tmp_path / "nc" / "a[1].nc"
    source.parent.mkdir()
    source.write_text("T1 M6\n")
    write(start(program("T1 M6\n", str(source)), tmp_path), tmp_path)

    assert bind(source).job.name == "a-1"


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "tools").mkdir()
    (tmp_path / "tools" / "T1.yaml").write_text("tool: mine\n")

    written, kept = write(start(program("T1 M6\nT2 M6\n")), tmp_path)

    assert kept == [tmp_path / "tools" / "T1.yaml"]
    assert (tmp_path / "tools" / "T1.yaml").read_text() == "tool: mine\n"
    assert tmp_path / "tools" / "T2.yaml" in written


@pytest.mark.parametrize("kind", schema.KINDS)
def test_every_line_of_a_template_is_a_field_once_its_mark_is_taken_away(kind: str) -> None:
    text = template(kind, [], {kind: Filled("x", "")})
    uncommented = "\n".join(
        line.removeprefix("# ").removeprefix("#") if line.startswith("#") else line for line in text.splitlines()
    )

    _, problems = record_of(yamltext.load("x", uncommented))

    # every field is there, and lacks only its value
    assert [problem for problem in problems if not problem.says.endswith("` has no value")] == []
    assert len(problems) >= len(schema.fields(kind)) - 1


EVIL = [
    '"\ntool: T9\ncoating: bad\n#',
    "x\r\ncoating: bad",
    "\u2028coating: bad",
    "\x85coating: bad",
    "{coating: bad}",
    "T1 \\",
    "' \" # : - ? & * ! |",
    "\ufeff",
    "%YAML",
]


@pytest.mark.parametrize("text", EVIL)
def test_no_comment_can_write_fields(text: str) -> None:
    inside = text.replace("\n", " ").replace("\r", " ")  # a line end would end the comment of a program
    for data in (
        f"(T1 {inside})\nT1 M6\n".encode(),
        f"(T1 {inside})\nT1 M6\n".encode("utf-8", "replace"),
        f"; T1 {inside}\nT1 M6\n".encode(),
    ):
        record, problems = record_of(yamltext.load("x", start(program(data))["tools/T1.yaml"]))

        assert problems == ()
        assert record is not None and record.name == "T1"
        assert not record.field("coating").is_known


@settings(suppress_health_check=[HealthCheck.too_slow], max_examples=60)
@given(st.binary(max_size=120), st.text(max_size=60), st.text(min_size=1, max_size=12))
def test_any_program_gives_right_records(noise: bytes, comment: str, name: str) -> None:
    data = b"G21 T7 M6 (" + comment.encode("utf-8", "replace") + b")\n" + noise + b"\nT7 M6\n"
    files = start(program(data, name))

    for path, text in files.items():
        assert all(char.isalnum() or char in "-_./" for char in path) and ".." not in path and not path.startswith("/")
        record, problems = record_of(yamltext.load(path, text))
        assert record is not None
        assert [problem for problem in problems if "must be" not in problem.says] == []  # only a size out of range may be told
