"""Takes reviews, gives text, a summary, HTML, JSON, SARIF, JUnit XML, code quality and annotations: one module a format.

Each format has `NAME` and `render(reviews, out, options)`. None knows a rule. Must not import rewrite, folder or cli.
"""

from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from typing import Protocol, TextIO, cast

from coolcheck.report.options import Options
from coolcheck.report.review import Review


class Format(Protocol):
    """A way to write reviews."""

    NAME: str

    def render(self, reviews: Sequence[Review], out: TextIO, options: Options) -> None:
        """Writes `reviews` to `out`."""


class _Formats(Mapping[str, Format]):
    """The formats by name. A module is imported when it is asked for: a review as text loads no other format."""

    def __init__(self, *names: str) -> None:
        self._names = names

    def __getitem__(self, name: str) -> Format:
        if name not in self._names:
            raise KeyError(name)
        return cast(Format, import_module(f"coolcheck.report.{name.replace('-', '_')}"))

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


FORMATS = _Formats("text", "summary", "html", "json", "sarif", "junit", "code-quality", "annotations")
