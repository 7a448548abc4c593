"""`coolcheck records`: check them, print their schemas, start new ones from a program."""

import click

from coolcheck.cli.lazy import lazy_group

COMMANDS = {
    "check": ("coolcheck.cli.records_check", "Check the records and jobs of a folder."),
    "start": ("coolcheck.cli.records_start", "Write a first job folder from what a program tells."),
    "schema": ("coolcheck.cli.records_schema", "Print the JSON Schema of a kind of record."),
}


@click.group("records", cls=lazy_group(COMMANDS))
def command() -> None:
    """Keep the records of machines, holders, tools, materials, fluids and jobs.

    \b
    Example:
      coolcheck records check shop/
    """
