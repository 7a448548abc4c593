"""`coolcheck holes`: every hole with what each tool did to it."""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.streams import opened
from coolcheck.cli.told import process_of
from coolcheck.nc.limits import Limits
from coolcheck.report import holes


@click.command("holes")
@choices.program
@choices.job
@choices.as_json
@choices.output
@click.option("--each", is_flag=True, help="Give every hole a row; without it, holes of the same history share one.")
@choices.units
@choices.dialect
@choices.bounds
@choices.stdin_filename
def command(
    program: str,
    job: Path | None,
    form: str,
    output: Path | None,
    each: bool,
    dialect: str | None,
    stdin_filename: str,
    limits: Limits,
    units: str,
) -> None:
    """Show what each tool does to each hole: depth, strokes, time and fluid of every step.

    \b
    Example:
      coolcheck holes programs/O1203.nc
    """
    review = process_of(program, stdin_filename, choices.settings(job, dialect, limits))
    options = choices.report_options(output=output, units=units)
    with opened(output) as out:
        if form == "json":
            holes.as_json(review, out, options)
        else:
            holes.as_text(review, out, options, each)
