"""`coolcheck folder`: a CAM output folder in one go."""

import sys
from collections.abc import Iterable, Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.start import say
from coolcheck.cli.streams import opened
from coolcheck.folder.cache import Cache, cache_file
from coolcheck.folder.find import PATTERNS, find_programs
from coolcheck.folder.many import Done, review_many, sorted_by_name
from coolcheck.folder.one import Settings
from coolcheck.folder.watch import changed_programs
from coolcheck.nc.limits import Limits
from coolcheck.report import FORMATS, html
from coolcheck.report.options import Options
from coolcheck.report.review import Review, exit_code


@click.command("folder")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option(
    "--pattern",
    "patterns",
    multiple=True,
    help=f"Name of the files that are programs; can be given again.  [{' '.join(PATTERNS)}]",
)
@choices.job
@click.option(
    "--format", "form", type=click.Choice(list(FORMATS)), default="summary", show_default=True, help="How to write the reviews."
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path),
    help="Write to this file instead of stdout. With --format html, a name that does not end in .html is a folder: an index "
    "and a page for each program.",
)
@choices.fail_on
@choices.undecided
@choices.evidence
@choices.rules
@choices.starting_line
@click.option(
    "--workers",
    default="0",
    help="Processes to work with; 0 is one a core. tcp://HOST:PORT is a dask scheduler.",
    show_default=True,
)
@click.option("--cache/--no-cache", "is_cached", default=True, help="Remember reviews, so that unchanged programs cost nothing.")
@click.option("--watch", is_flag=True, help="Stay, and review what is posted into the folder until interrupted.")
@choices.today
@choices.units
@choices.dialect
@choices.bounds
@choices.color
def command(
    folder: Path, patterns: tuple[str, ...], job: Path | None, form: str, output: Path | None, fail_on: str, undecided: str,
    evidence: str, rules: tuple[Path, ...], starting_line: Path | None, workers: str, is_cached: bool, watch: bool,
    today: datetime | None, dialect: str | None, color: str, limits: Limits, units: str,
) -> None:  # fmt: skip
    """Review every program in a folder, worst first.

    An ignore file .coolcheckignore leaves out what it names. Exit code 0: nothing that counts; 1: findings that count; 2: some
    program could not be reviewed.

    \b
    Example:
      coolcheck folder posted/ --format sarif --output review.sarif
    """
    pages = is_folder(form, output)
    settings = choices.settings(job, dialect, limits, rules=rules, today=choices.day(today), starting_line=starting_line)
    options = choices.report_options(
        evidence=evidence, color=color, fail_on=fail_on, undecided=undecided, output=output, units=units
    )
    cache = Cache(cache_file() if is_cached else None, say)
    named = patterns or PATTERNS
    try:
        with pool(workers) as (count, executor):
            if watch:
                watched(folder, named, settings, options, cache)
            reviews = sorted_by_name(shown(folder, named, settings, cache, count, executor))
    finally:
        cache.close()
    if form == "sarif":
        reviews = choices.fixed(reviews, settings)
    if pages and output is not None:
        html.write_folder(reviews, output, options)
    else:
        with opened(output) as out:
            FORMATS[form].render(reviews, out, options)
    click.get_current_context().exit(exit_code(reviews, options))


def is_folder(form: str, output: Path | None) -> bool:
    """Is the output a folder of pages. Raises a usage error where a folder is named and the format is one file."""
    if output is None or str(output) == "-":
        return False
    if form != html.NAME:
        if output.is_dir():
            raise click.BadParameter(f"{output} is a folder; --format {form} writes one file", param_hint="--output")
        return False
    return output.is_dir() or not (output.exists() or output.suffix.lower() in (".html", ".htm"))


def shown(
    folder: Path, patterns: tuple[str, ...], settings: Settings, cache: Cache, workers: int, executor: Executor | None
) -> Iterable[Done]:
    """The reviewed programs of the folder, with a progress bar on a terminal; folders that cannot be read are told."""
    found = find_programs(folder, patterns)
    for problem in found.problems:
        say(str(problem))
    if not found.programs:
        say(f"no program in {folder} matches {' '.join(patterns)}")
    work = review_many(found.programs, settings, cache, workers, executor)
    with click.progressbar(
        work, length=len(found.programs), label="reviewing", file=sys.stderr, hidden=not sys.stderr.isatty()
    ) as bar:
        yield from bar


def watched(folder: Path, patterns: tuple[str, ...], settings: Settings, options: Options, cache: Cache) -> None:
    """Reviews what is posted, as text, until interrupted."""
    say(f"watching {folder}; stop with Ctrl-C")
    for programs in changed_programs(folder, patterns):
        reviews: list[Review] = sorted_by_name(review_many(programs, settings, cache, workers=1)) if programs else []
        if reviews:
            FORMATS["text"].render(reviews, sys.stdout, options)
            sys.stdout.flush()


@contextmanager
def pool(workers: str) -> Iterator[tuple[int, Executor | None]]:
    """How many local processes, or the executor of a dask scheduler. Raises a usage error for anything else."""
    if workers.isdigit():
        yield int(workers), None
        return
    if "://" not in workers:
        raise click.BadParameter("give a number of processes, or tcp://HOST:PORT of a dask scheduler", param_hint="--workers")
    try:
        from distributed import Client  # an optional extra: pip install 'coolcheck[dask]'
    except ImportError as fault:
        raise click.UsageError("--workers with an address needs the extra `dask`: pip install 'coolcheck[dask]'") from fault
    with Client(workers) as client:
        yield 0, client.get_executor()
