"""Options that several commands share, each with its help, and what they make."""

import sys
from collections.abc import Callable, Sequence
from datetime import date
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import click

from coolcheck.cli.streams import is_coloured, text_width
from coolcheck.folder.one import Settings
from coolcheck.nc.limits import Limits
from coolcheck.report.options import FAIL_ON, UNITS, Options
from coolcheck.report.review import Review

Command = TypeVar("Command", bound=Callable[..., Any])
FILE = click.Path(path_type=Path, dir_okay=False)
FOLDER = click.Path(path_type=Path, file_okay=False, exists=True)

program = click.argument("program", metavar="PROGRAM")
job = click.option("--job", type=FILE, help="Job file; without it, the *.job.yaml found upward that names the program.")
dialect = click.option("--dialect", metavar="NAME", help="Dialect record, by name or file; else the job or machine says it.")
output = click.option("--output", "-o", type=FILE, help="Write to this file instead of stdout; it is there whole or not at all.")
as_json = click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="How to write it."
)
rules = click.option(
    "--rules", type=FOLDER, multiple=True, help="Folder with rules of your own, read after the shipped ones; may be repeated."
)
stdin_filename = click.option(
    "--stdin-filename", metavar="PATH", default="", help="What the program on stdin (-) is called; its job is looked for there."
)
color = click.option(
    "--color", type=click.Choice(["auto", "always", "never"]), default="auto", show_default=True,
    help="Colour; auto heeds NO_COLOR, FORCE_COLOR, CLICOLOR_FORCE, then asks whether stdout is a terminal.",
)  # fmt: skip
evidence = click.option(
    "--evidence", type=click.Choice(["short", "full"]), default="short", show_default=True,
    help="Show the few pieces that matter, or all of them with inputs, formula and source.",
)  # fmt: skip
units = click.option(
    "--units", type=click.Choice(UNITS), default="program", show_default=True,
    help="Units of lengths, feeds, pressures and flows for people: those the program states, or mm, or inch. JSON stays metric.",
)  # fmt: skip
fail_on = click.option(
    "--fail-on", type=click.Choice(FAIL_ON), default="warning", show_default=True,
    help="The least level of a finding that makes the exit code 1.",
)  # fmt: skip
undecided = click.option(
    "--undecided", type=click.Choice(["count", "ignore"]), default="count", show_default=True,
    help="Whether what cannot be decided counts at the level of its rule; it is shown either way.",
)  # fmt: skip
starting_line = click.option(
    "--starting-line", type=FILE,
    help="File of findings accepted earlier: only new ones fail; known ones still stand against running unattended.",
)  # fmt: skip
today = click.option(
    "--date", "today", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD",
    help="The day on which waivers are judged; today when left out.",
)  # fmt: skip


def bounds(command: Command) -> Command:
    """The options that bound what one program may cost; the command gets them together, as `limits`."""
    usual = Limits()

    @wraps(command)
    def bounded(*args: Any, most_blocks: int, most_seconds: float, most_megabytes: float, **more: Any) -> Any:
        limits = Limits(
            max_blocks_executed=most_blocks, max_moves=most_blocks, max_seconds=most_seconds, max_megabytes=most_megabytes
        )
        return command(*args, limits=limits, **more)

    for name, kind, value, says in reversed((
        ("--most-blocks", click.IntRange(1), usual.max_blocks_executed,
         "Blocks to follow in one program, those of loops and subprograms counted each time; and moves."),
        ("--most-seconds", click.FloatRange(0, min_open=True), usual.max_seconds,
         "Time to spend on one program; half of it for following it."),
        ("--most-megabytes", click.FloatRange(1), usual.max_megabytes, "Memory to spend on one program (Linux)."),
    )):  # fmt: skip
        bounded = click.option(name, type=kind, default=value, show_default=True, help=says)(bounded)
    return cast(Command, bounded)


def settings(job: Path | None = None, dialect: str | None = None, limits: Limits | None = None, **more: Any) -> Settings:
    """The settings of a review from the options given."""
    given = {name: value for name, value in more.items() if value not in (None, ())}
    return Settings(job=job, dialect=dialect or "", limits=limits or Limits(), **given)


def day(today: Any) -> date | None:
    """The date of an option, None when it was not given."""
    return today.date() if today is not None else None


def report_options(
    *, evidence: str = "short", color: str = "never", fail_on: str = "warning", undecided: str = "count",
    output: Path | None = None, units: str = "program",
) -> Options:  # fmt: skip
    """The options of a report; a file is written as a pipe would be."""
    is_file = output is not None and str(output) != "-"
    on_terminal = sys.stdout.isatty() and not is_file
    return Options(
        evidence=evidence,
        is_coloured=color == "always" if is_file else is_coloured(color, sys.stdout),
        width=80 if is_file else text_width(sys.stdout),
        wraps_heads=on_terminal,
        fail_on=fail_on,
        counts_undecided=undecided == "count",
        units=units,
    )


def fixed(reviews: Sequence[Review], how: Settings) -> list[Review]:
    """The reviews with the fixes that rewriting proves; only a format that carries fixes pays for them."""
    from coolcheck.folder.fixes import with_fixes  # brings the whole rewriter along

    return [with_fixes(review, how) for review in reviews]
