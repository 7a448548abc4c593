"""`coolcheck timeline`: the operations of a program over time."""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.streams import opened
from coolcheck.cli.told import process_of
from coolcheck.nc.limits import Limits
from coolcheck.report import timeline


@click.command("timeline")
@choices.program
@choices.job
@choices.as_json
@choices.output
@choices.units
@choices.dialect
@choices.bounds
@choices.stdin_filename
def command(
    program: str,
    job: Path | None,
    form: str,
    output: Path | None,
    dialect: str | None,
    stdin_filename: str,
    limits: Limits,
    units: str,
) -> None:
    """Show the operations of a program: when each starts, how long it takes, what fluid its edge gets.

    \b
    Example:
      coolcheck timeline programs/O1203.nc
    """
    review = process_of(program, stdin_filename, choices.settings(job, dialect, limits))
    with opened(output) as out:
        write = timeline.as_json if form == "json" else timeline.as_text
        write(review, out, choices.report_options(output=output, units=units))
