"""`coolcheck records schema`: what an editor needs to complete and check records while they are written."""

import json

import click

from coolcheck.records.json_schema import json_schema
from coolcheck.records.schema import KINDS


@click.command("schema")
@click.argument("kind", type=click.Choice(KINDS))
def command(kind: str) -> None:
    """Print the JSON Schema of a kind of record, for editors that complete and check YAML by one.

    \b
    Example:
      coolcheck records schema tool > tool.schema.json
    """
    click.echo(json.dumps(json_schema(kind), indent=1, ensure_ascii=False))
