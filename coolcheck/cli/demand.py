"""`coolcheck demand`: what each operation needs beside what arrives."""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.streams import opened
from coolcheck.cli.told import process_of
from coolcheck.nc.limits import Limits
from coolcheck.report import demand


@click.command("demand")
@choices.program
@choices.job
@choices.as_json
@choices.output
@choices.evidence
@choices.units
@choices.dialect
@choices.bounds
@choices.stdin_filename
def command(
    program: str,
    job: Path | None,
    form: str,
    output: Path | None,
    evidence: str,
    dialect: str | None,
    stdin_filename: str,
    limits: Limits,
    units: str,
) -> None:
    """Show the pressure and flow each operation needs beside what the delivery chain brings, and the margin.

    \b
    Example:
      coolcheck demand programs/O1203.nc --evidence full
    """
    review = process_of(program, stdin_filename, choices.settings(job, dialect, limits))
    with opened(output) as out:
        write = demand.as_json if form == "json" else demand.as_text
        write(review, out, choices.report_options(evidence=evidence, output=output, units=units))
