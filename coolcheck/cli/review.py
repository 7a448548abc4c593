"""`coolcheck review`: programs from their bytes to their findings."""

from datetime import datetime
from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.streams import opened, program_bytes
from coolcheck.folder.one import review_bytes, review_file
from coolcheck.nc.limits import Limits
from coolcheck.report import FORMATS
from coolcheck.report.review import exit_code


@click.command("review")
@click.argument("programs", nargs=-1, required=True, metavar="PROGRAM...")
@choices.job
@click.option(
    "--format", "form", type=click.Choice(list(FORMATS)), default="text", show_default=True, help="How to write the reviews."
)
@choices.output
@choices.fail_on
@choices.undecided
@choices.evidence
@choices.rules
@choices.starting_line
@choices.today
@choices.units
@choices.dialect
@choices.bounds
@choices.stdin_filename
@choices.color
def command(
    programs: tuple[str, ...], job: Path | None, form: str, output: Path | None, fail_on: str, undecided: str, evidence: str,
    rules: tuple[Path, ...], starting_line: Path | None, today: datetime | None, dialect: str | None, stdin_filename: str,
    color: str, limits: Limits, units: str,
) -> None:  # fmt: skip
    """Review programs: what fluid each edge really gets, and what to change.

    PROGRAM is a file; - is stdin. Exit code 0: nothing that counts; 1: findings at or above --fail-on, or questions of that
    level that nobody has answered; 2: a program could not be reviewed.

    \b
    Example:
      coolcheck review programs/O1203.nc --job plate.job.yaml --evidence full
    """
    how = choices.settings(job, dialect, limits, rules=rules, today=choices.day(today), starting_line=starting_line)
    reviews = [
        review_bytes(program_bytes(), stdin_filename, how) if program == "-" else review_file(Path(program), how)
        for program in programs
    ]
    if form == "sarif":
        reviews = choices.fixed(reviews, how)
    options = choices.report_options(
        evidence=evidence, color=color, fail_on=fail_on, undecided=undecided, output=output, units=units
    )
    with opened(output) as out:
        FORMATS[form].render(reviews, out, options)
    click.get_current_context().exit(exit_code(reviews, options))
