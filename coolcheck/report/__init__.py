"""Takes reviews, gives text, a summary, HTML, JSON, SARIF, JUnit XML, code quality and annotations: one module a format.

Each format has `NAME` and `render(reviews, out, options)`. None knows a rule. Must not import rewrite, folder or cli.
"""

from collections.abc import Sequence
from typing import Protocol, TextIO

from coolcheck.report import annotations, code_quality, html, json, junit, sarif, summary, text
from coolcheck.report.options import Options
from coolcheck.report.review import Review


class Format(Protocol):
    """A way to write reviews."""

    NAME: str

    def render(self, reviews: Sequence[Review], out: TextIO, options: Options) -> None:
        """Writes `reviews` to `out`."""


_ALL: tuple[Format, ...] = (text, summary, html, json, sarif, junit, code_quality, annotations)
FORMATS: dict[str, Format] = {form.NAME: form for form in _ALL}
