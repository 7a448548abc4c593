"""JSON that may be shown anywhere: what a terminal would obey, or what would turn a line round, is written as an escape."""

import json
from typing import Any, TextIO

from coolcheck.report.cells import is_shown


def dump(data: Any, out: TextIO) -> None:
    """Writes `data` as a file. Letters of every language stay as they are; NaN and infinity are refused: JSON has none."""
    parts = json.JSONEncoder(ensure_ascii=False, indent=1, allow_nan=False).iterencode(data)
    out.writelines(harmless(part) for part in parts)
    out.write("\n")


def line(data: Any) -> str:
    """`data` as one line."""
    return harmless(json.dumps(data, ensure_ascii=False, allow_nan=False)) + "\n"


def harmless(part: str) -> str:
    r"""A piece of JSON text with every such character written as JSON writes it.

    >>> print(harmless('"MIST \x9b31m \u202eFFO"'))
    "MIST \u009b31m \u202eFFO"
    """
    if part.isprintable():
        return part
    return "".join(char if char == "\n" or is_shown(char) else _written(char) for char in part)


def _written(char: str) -> str:
    return json.dumps(char)[1:-1] if char != "\x7f" else "\\u007f"
