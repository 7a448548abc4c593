"""`coolcheck folder`: a CAM output folder in one go."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.start import COULD_NOT_RUN, say
from coolcheck.cli.streams import opened
from coolcheck.errors import Problem
from coolcheck.folder.cache import Cache, cache_file
from coolcheck.folder.find import PATTERNS, Found, find_programs
from coolcheck.folder.many import Done, review_many, sorted_by_name
from coolcheck.folder.one import Settings
from coolcheck.folder.watch import Seen, changed_programs
from coolcheck.nc.limits import Limits
from coolcheck.place import Place
from coolcheck.report import FORMATS, html, summary, text
from coolcheck.report.options import Options
from coolcheck.report.review import Review, exit_code

FIRST_ANSWER = 1  # the look that finds what was there: it takes two to see that nobody writes any more


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
@click.option(
    "--watch",
    is_flag=True,
    help="Stay, and review what is posted into the folder until interrupted: first the table, then the text of what has changed.",
)
@click.option("--may-be-empty", is_flag=True, help="Let a folder in which no program is found pass; else its exit code is 2.")
@choices.today
@choices.units
@choices.dialect
@choices.bounds
@choices.color
def command(
    folder: Path, patterns: tuple[str, ...], job: Path | None, form: str, output: Path | None, fail_on: str, undecided: str,
    evidence: str, rules: tuple[Path, ...], starting_line: Path | None, workers: str, is_cached: bool, watch: bool,
    may_be_empty: bool, today: datetime | None, dialect: str | None, color: str, limits: Limits, units: str,
) -> None:  # fmt: skip
    """Review every program in a folder, worst first.

    An ignore file .coolcheckignore leaves out what it names. Exit code 0: nothing that counts; 1: findings that count; 2: some
    program could not be reviewed, some folder not be read, or there was no program at all.

    \b
    Example:
      coolcheck folder posted/ --format sarif --output review.sarif
    """
    if watch and (output is not None or form not in (summary.NAME, text.NAME)):
        raise click.UsageError("--watch writes for people, to stdout; leave out --format and --output")
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
            found = find_programs(folder, named)
            reviews = sorted_by_name(shown(found.programs, settings, cache, count, executor))
    finally:
        cache.close()
    if form == "sarif":
        reviews = choices.fixed(reviews, settings)
    if pages and output is not None:
        html.write_folder(reviews, output, options)
    else:
        with opened(output) as out:
            FORMATS[form].render(reviews, out, options)
    could_look = told(found, folder, named, may_be_empty)
    click.get_current_context().exit(exit_code(reviews, options) if could_look else COULD_NOT_RUN)


def told(found: Found, folder: Path, patterns: tuple[str, ...], may_be_empty: bool) -> bool:
    """Says what could not be looked into, and that there is nothing where something is awaited; true where all is well."""
    problems = list(found.problems)
    if not (found.programs or may_be_empty):
        says = f"no program was found here: no file name matches {' '.join(patterns)}, or an ignore file leaves all of them out"
        problems.append(Problem(Place(str(folder)), says, "name the files with --pattern, or let it pass with --may-be-empty"))
    for problem in problems:
        say(str(problem))
    return not problems


def is_folder(form: str, output: Path | None) -> bool:
    """Is the output a folder of pages. Raises a usage error where a folder is named and the format is one file."""
    if output is None or str(output) == "-":
        return False
    if form != html.NAME:
        if output.is_dir():
            raise click.BadParameter(f"{output} is a folder; --format {form} writes one file", param_hint="--output")
        return False
    return output.is_dir() or not (output.exists() or output.suffix.lower() in (".html", ".htm"))


def shown(programs: Sequence[Path], settings: Settings, cache: Cache, workers: int, executor: Executor | None) -> Iterable[Done]:
    """The reviewed programs, with a progress bar on a terminal."""
    work = review_many(programs, settings, cache, workers, executor)
    with click.progressbar(work, length=len(programs), label="reviewing", file=sys.stderr, hidden=not sys.stderr.isatty()) as bar:
        yield from bar


def watched(folder: Path, patterns: tuple[str, ...], settings: Settings, options: Options, cache: Cache) -> None:
    """Shows the table of what is there, then the text of what is posted with a line over all, until interrupted."""
    say(f"watching {folder}; stop with Ctrl-C")
    known: dict[Path, Seen] = {}
    latest: dict[Path, Review] = {}
    for look, programs in enumerate(changed_programs(folder, patterns, known)):
        if not programs:
            continue
        done = {one.path: one.review for one in review_many(programs, settings, cache, workers=1)}
        latest = {path: review for path, review in (latest | done).items() if path in known}
        if look == FIRST_ANSWER:
            summary.render(list(latest.values()), sys.stdout, options)
        else:
            sys.stdout.write("\n")
            changed = sorted(done.values(), key=lambda review: review.program)
            text.render_changed(changed, list(latest.values()), sys.stdout, options)
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
