"""`coolcheck records start`: a first job folder from what a program and its comments tell."""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.start import say, show
from coolcheck.folder.one import program_bytes, review_file
from coolcheck.nc.dialect import DEFAULT, load_dialect
from coolcheck.nc.program import Program
from coolcheck.records.job import SUFFIX
from coolcheck.records.start import marks_of, start, write, write_again
from coolcheck.report.firsts import FIRST, first_fields, first_lines


@click.command("start")
@choices.program
@click.option(
    "--output", "-o", type=click.Path(path_type=Path, file_okay=False), help="Folder to write into; else that of the program."
)
@choices.dialect
def command(program: str, output: Path | None, dialect: str | None) -> None:
    """Write a first job file, tool records and empty machine, material and fluid records for a program.

    Every value says where it came from; the rest is left to fill in. At the end stands which fields would decide most in a
    review of the program; in the files they are marked FIRST. Nothing that is there already is overwritten.

    \b
    Example:
      coolcheck records start programs/O1203.nc --output shop/
    """
    path = Path(program)
    folder = output or path.parent
    read = Program.read(program_bytes(path, program), program, load_dialect(dialect or DEFAULT))
    written, kept = write(start(read, folder), folder)
    job = next(path for path in (*written, *kept) if path.name.endswith(SUFFIX))
    review = review_file(path, choices.settings(job, dialect))
    first = [missing for one in first_fields(review)[:FIRST] for missing in (one.missing, *one.others)]
    write_again(start(read, folder, marks_of(first, folder)), folder, written)
    for file in written:
        show(file.as_posix())
    for file in kept:
        say(f"{file.as_posix()}: kept, it was there already")
    for line in first_lines(review, choices.report_options()):
        say(line)
