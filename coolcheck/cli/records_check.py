"""`coolcheck records check`: all that is wrong in records, and what they leave unknown."""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.streams import opened
from coolcheck.folder.checkup import checkup
from coolcheck.report import records


@click.command("check")
@click.argument("folder", type=choices.FOLDER)
@click.option("--questions", is_flag=True, help="Ask for every unknown field in a sentence, not only name the first few.")
@choices.rules
@choices.output
def command(folder: Path, questions: bool, rules: tuple[Path, ...], output: Path | None) -> None:
    """Check the records of a folder: machines/, holders/, tools/, materials/, fluids/ and *.job.yaml, and the rules they name.

    Exit code 0: no mistake; 1: mistakes, each told with file, line and column. Unknown fields are no mistakes.

    \b
    Example:
      coolcheck records check shop/ --questions
    """
    found = checkup(folder, rules)
    with opened(output) as out:
        records.as_text(found, out, choices.report_options(evidence="full" if questions else "short", output=output))
    click.get_current_context().exit(1 if found.problems else 0)
