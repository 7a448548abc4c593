"""`coolcheck schema`: the published form of what coolcheck writes."""

import json
from typing import Any

import click

from coolcheck.report.json import schema
from coolcheck.rewrite.certificate import schema as certificate_schema

SCHEMAS = {"review": schema, "certificate": certificate_schema}


@click.command("schema")
@click.argument("report", type=click.Choice(list(SCHEMAS)))
def command(report: str) -> None:
    """Print the JSON Schema of a report, so that programs can rely on it.

    \b
    Example:
      coolcheck schema review > review.schema.json
    """
    written: dict[str, Any] = SCHEMAS[report]()
    click.echo(json.dumps(written, indent=1, ensure_ascii=False))
