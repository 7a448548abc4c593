"""`coolcheck starting-line`: what is there today is taken as known, so that only what is new fails."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.start import COULD_NOT_RUN, say
from coolcheck.cli.streams import opened
from coolcheck.folder.find import PATTERNS, find_programs
from coolcheck.folder.starting import FILE_NAME, made
from coolcheck.judge.starting_line import read_starting_line
from coolcheck.nc.limits import Limits


@click.group("starting-line")
def command() -> None:
    """Accept today's findings of old programs, so that only new ones fail.

    \b
    Example:
      coolcheck starting-line write posted/
      coolcheck review posted/O1203.nc --starting-line posted/coolcheck-starting-line.json
    """


@command.command("write")
@click.argument("paths", nargs=-1, required=True, metavar="FOLDER|PROGRAM...", type=click.Path(path_type=Path, exists=True))
@click.option("--output", "-o", type=choices.FILE, help=f"The file to write; {FILE_NAME} in the first folder when left out.")
@click.option("--replace", is_flag=True, help="Write over an older starting line; what it newly accepts is told.")
@choices.job
@choices.rules
@choices.today
@choices.dialect
@choices.bounds
def write(
    paths: tuple[Path, ...], output: Path | None, replace: bool, job: Path | None, rules: tuple[Path, ...],
    today: datetime | None, dialect: str | None, limits: Limits,
) -> None:  # fmt: skip
    """Write the starting line of programs, or of all programs in a folder. Keep it beside them, and read it in a diff.

    It knows findings by content: lines may shift and blocks may be renumbered.

    \b
    Example:
      coolcheck starting-line write posted/
    """
    folders = [path for path in paths if path.is_dir()]
    file = output or (folders[0] if folders else Path()) / FILE_NAME
    before = accepted_in(file) if file.exists() else 0
    if file.exists() and not replace:
        raise click.UsageError(f"{file} is there already; with --replace it is written anew")
    settings = choices.settings(job, dialect, limits, rules=rules, today=choices.day(today))
    result = made(programs_in(paths), file, settings)
    with opened(file) as out:
        out.write(result.data.decode("utf-8"))
    for problem in result.problems:
        say(str(problem))
    said = f"{file}: {result.accepted} findings of {result.programs} programs are accepted"
    say(said + (f"; the one before accepted {before}" if before else ""))
    click.get_current_context().exit(COULD_NOT_RUN if result.problems else 0)


def programs_in(paths: tuple[Path, ...]) -> Iterator[Path]:
    """The programs named, and those in the folders named."""
    for path in paths:
        if path.is_dir():
            yield from find_programs(path, PATTERNS).programs
        else:
            yield path


def accepted_in(file: Path) -> int:
    """How many findings a starting line accepts. Raises InputError when it is none: it is not ours to write over."""
    return sum(sum(counts.values()) for counts in read_starting_line(file).programs.values())
