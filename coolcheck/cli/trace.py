"""`coolcheck trace`: every interpreted move and event, for people who debug and for tests from outside."""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.streams import opened, program_bytes
from coolcheck.cli.told import tell_bounds
from coolcheck.folder.one import trace_bytes, trace_file
from coolcheck.nc.limits import Limits
from coolcheck.report import jsontext


@click.command("trace")
@choices.program
@click.option("--units", type=click.Choice(["mm", "inch"]), default="mm", show_default=True, help="Units of lengths and feeds.")
@choices.job
@choices.output
@choices.dialect
@choices.bounds
@choices.stdin_filename
def command(
    program: str, units: str, job: Path | None, output: Path | None, dialect: str | None, stdin_filename: str, limits: Limits
) -> None:
    """Write one JSON object a line for every move and event as the control would run them; cycles are expanded.

    Lengths in --units, feeds in units a minute, rpm, seconds. Keys that do not apply, or are not known, are left out.

    \b
    Example:
      coolcheck trace programs/O1203.nc --units inch
    """
    settings = choices.settings(job, dialect, limits)
    if program == "-":
        lines, notes = trace_bytes(program_bytes(), stdin_filename, units, settings)
    else:
        lines, notes = trace_file(Path(program), units, settings)
    tell_bounds(notes)
    with opened(output) as out:
        for line in lines:
            out.write(jsontext.line(line))
