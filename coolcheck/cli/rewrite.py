"""`coolcheck rewrite`: peck cycles to one pass and mended fluid codes, as a diff or as a file with its certificate."""

import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import click

from coolcheck.cli import choices
from coolcheck.cli.start import say
from coolcheck.cli.streams import is_coloured
from coolcheck.folder.bounds import bounded
from coolcheck.known import Evidence
from coolcheck.nc.limits import Limits
from coolcheck.report.review import unit_of
from coolcheck.report.shown import Units, number, spoken
from coolcheck.rewrite.changes import told as speeds_and_feeds
from coolcheck.rewrite.desk import Desk, at_desk, put
from coolcheck.rewrite.diff import for_terminal
from coolcheck.rewrite.refusal import told


@click.command("rewrite")
@click.argument("program", type=choices.FILE)
@choices.job
@choices.dialect
@click.option("--output", "-o", type=choices.FILE, help="Write the rewritten program to this new file.")
@click.option("--in-place", is_flag=True, help="Put it in place of PROGRAM; the original is kept beside it.")
@click.option("--only", multiple=True, metavar="NAME", help="Only this mend, rule or tool (T5); may be repeated.")
@click.option("--skip", multiple=True, metavar="NAME", help="Leave out this mend, rule or tool; may be repeated.")
@click.option(
    "--keep-speed-and-feed", "keeps", is_flag=True,
    help="Convert only holes that are programmed at speed and feed of their tool's record; leave the others. "
    "Without it, S and F become the record's, faster or slower, and each change is told.",
)  # fmt: skip
@choices.rules
@choices.units
@click.option(
    "--date", "today", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD",
    help="The day that stands in the certificate, and on which waivers are judged; without it the certificate has none.",
)  # fmt: skip
@choices.bounds
@choices.color
def command(
    program: Path, job: Path | None, dialect: str | None, output: Path | None, in_place: bool, only: tuple[str, ...],
    skip: tuple[str, ...], keeps: bool, rules: tuple[Path, ...], units: str, today: Any, color: str, limits: Limits,
) -> int:  # fmt: skip
    """Convert peck cycles to one pass and mend fluid codes, where everything it takes is known and the result is proved.

    Without --output or --in-place the change is shown as a diff that `patch -p1` and `git apply` take, and nothing is written.
    With them a certificate and a readable page are written beside the program. What stays as it is, and why, is said on stderr.

    Converted holes take spindle speed and feed of their tool's record for this material, for a stroke without pecks is proved
    with those. Every such change is said on stderr, old and new value; --keep-speed-and-feed leaves such holes as they are.

    \b
    Example:
      coolcheck rewrite programs/O1203.nc --output programs/O1203-one-pass.nc

    Exit codes: 0 nothing is left to do, 1 something would change, or stays though it should not, 2 could not run.
    """
    if output is not None and in_place:
        raise click.UsageError("--output and --in-place exclude each other")
    day = choices.day(today)
    with bounded(limits):
        desk = at_desk(program, job, dialect or "", only, skip, day or date.today(), rules, limits, keeps)
    for line in _said(desk, units):
        click.echo(line, err=True)
    if output is None and not in_place:
        _show(desk.diff, color)
        return int(desk.done.is_changed or bool(desk.done.refusals))
    _write(desk, output, day)
    return int(bool(desk.done.refusals))


def _said(desk: Desk, units: str) -> Iterator[str]:
    """What a person must hear of besides the change itself: other speeds and feeds, and what stays as it is."""
    shown = Units(is_inch=(unit_of(desk.done.before) if units == "program" else units) == "inch")
    changed = list(speeds_and_feeds(desk.done))
    for one in changed:
        count = f" ({one.count} blocks)" if one.count > 1 else ""
        yield f"{one.where}: changed: {one.says}{count} [{one.mend}]"
    if changed:
        yield "    do       " + "Know why the old values stood there, or leave such holes as they are with --keep-speed-and-feed."
    for refusal in desk.done.refusals:
        yield told(
            replace(
                refusal,
                says=shown.sentence(spoken(refusal.says)),
                evidence=tuple(map(_rounded, map(shown.evidence, refusal.evidence))),
                missing=tuple(map(shown.missing, refusal.missing)),
            )
        )


def _rounded(evidence: Evidence) -> Evidence:
    """A computed or converted number with the digits that mean something."""
    value = evidence.value
    return replace(evidence, value=float(number(value))) if isinstance(value, float) else evidence


def _show(diff: bytes, color: str) -> None:
    """The diff: byte for byte into a pipe or file, readable on a terminal."""
    coloured = is_coloured(color, sys.stdout)
    if coloured or sys.stdout.isatty():
        click.echo(for_terminal(diff, coloured), nl=False, color=coloured)
    else:
        sys.stdout.buffer.write(diff)


def _write(desk: Desk, output: Path | None, day: date | None) -> None:
    if not desk.done.is_changed:
        say(f"{desk.original.given}: nothing is rewritten, nothing was written")
        return
    paper = put(desk, output, day)
    kept = f"; the original is kept as {paper.kept.name}" if paper.kept else ""
    say(f"{paper.program}: written and proved{kept}")
    say(f"{paper.page}: read and tick this before the first run")
