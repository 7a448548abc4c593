"""What the docs show is what the program does."""

import re
import shlex
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from coolcheck.cli.start import cli
from coolcheck.folder.one import Settings, review_file
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rules import load_rules
from tests.docs import PAGES, ROOT, current

SHELL = re.compile(r"```sh\n(.*?)```", re.DOTALL)


@pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_output_shown_is_current(path: Path) -> None:
    page = path.read_text(encoding="utf-8")

    assert current(page) == page, "run: python tests/docs.py"


@pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_command_shown_exists_with_its_options(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    lines = [line for block in SHELL.findall(page) for line in block.splitlines()]
    lines += re.findall(r"`(coolcheck [a-z][^`]*)`", page)
    for line in lines:
        command = re.split(r"&&|[|<>]|  +#", line)[-1] if "coolcheck" in re.split(r"&&", line)[-1] else line
        words = [word for word in shlex.split(command, comments=True) if word != "…"]
        if not words or not words[0].endswith("coolcheck"):
            continue
        known, options = cli, [word for word in words[1:] if word.startswith("--")]
        with cli.make_context("coolcheck", [], resilient_parsing=True) as context:
            for word in words[1:]:
                found = known.get_command(context, word.rstrip(",")) if hasattr(known, "get_command") else None
                if found is None:
                    break
                known = found
        taken = {option for parameter in known.params for option in (*parameter.opts, *parameter.secondary_opts)}
        assert known is not cli or options in (["--version"], ["--help"]), line
        assert set(options) <= taken | {"--help"}, line


def test_the_rule_file_in_the_guide_is_one(tmp_path: Path) -> None:
    page = (ROOT / "samples" / "guides" / "review.md").read_text(encoding="utf-8")
    (example,) = [block for block in re.findall(r"```yaml\n(.*?)```", page, re.DOTALL) if block.startswith("group:")]
    (tmp_path / "own.yaml").write_text(example, encoding="utf-8")
    rules = {rule.id: rule for rule in load_rules((tmp_path,), process_words(date(2026, 11, 25)))}

    assert rules["small-drill-without-high-pressure"].level == "note"
    assert rules["wet-rough-milling-of-steel"].off
    assert rules["pecking-costs-minutes"].level == "warning"


def test_the_waiver_in_the_guide_waives(tmp_path: Path) -> None:
    page = (ROOT / "samples" / "guides" / "review.md").read_text(encoding="utf-8")
    (comment,) = re.findall(r"^\(ALLOW .*\)$", page, re.MULTILINE)
    program = (ROOT / "samples" / "programs" / "steel-face-finish.nc").read_text(encoding="utf-8")
    path = tmp_path / "steel-face-finish.nc"
    path.write_text(program.replace("N33 ", f"{comment}\nN33 "), encoding="utf-8")
    job = ROOT / "samples" / "steel-face-finish.job.yaml"
    found = {f.rule for f in review_file(path, Settings(job=job, today=date(2026, 11, 25), base=ROOT)).findings}

    assert "dry-rough-then-wet-finish" in found
    assert "wet-rough-milling-of-steel" not in found


def test_help_of_every_command_shows_one_real_call() -> None:
    runner = CliRunner()
    listed = runner.invoke(cli, ["--help"]).output.split("Commands:")[1]
    names = re.findall(r"^  ([a-z][a-z-]+) ", listed, re.MULTILINE)

    assert len(names) >= 10
    for name in names:
        text = runner.invoke(cli, [name, "--help"]).output
        assert f"coolcheck {name}" in text.split("Options:")[0] or "Commands:" in text, name
