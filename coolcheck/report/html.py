"""HTML for people: one file that needs nothing beside it, opens without a network, and prints as a sheet for the setup folder.

Comments of NC programs are hostile input: everything is escaped, and a content security policy lets run only the script and the
style of this file, known by their hashes.
"""

import os
import re
import tempfile
from base64 import b64encode
from collections.abc import Sequence
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from coolcheck.report.options import Options
from coolcheck.report.review import CAUTIONS, Review
from coolcheck.report.summary import worst_first

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

NAME = "html"
INDEX = "index.html"
TEMPLATES = Path(__file__).parent / "templates"
PLAIN = re.compile(r"[^A-Za-z0-9._-]+")


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes one page: the sheet of a program, or an index, worst first, with the sheet of each below."""
    # jinja2 takes some 60 ms, and the sheet imports markupsafe: only this format pays for them
    from coolcheck.report.sheet import Sheet

    ordered = worst_first(reviews)
    alone = len(ordered) == 1
    sheets = [Sheet(review, options, "" if alone else f"p{at}-") for at, review in enumerate(ordered, 1)]
    links = [] if alone else [f"#{sheet.prefix}sheet" for sheet in sheets]
    title = sheets[0].name if alone else f"{len(sheets)} programs reviewed"
    write_page(out, title=title, sheets=sheets, rows=list(zip(sheets, links, strict=False)), back="")


def write_folder(reviews: Sequence[Review], directory: Path, options: Options) -> None:
    """Writes `index.html` and a page for each program into a folder, which is made where it is not there."""
    from coolcheck.report.sheet import Sheet  # see render

    directory.mkdir(parents=True, exist_ok=True)
    sheets = [Sheet(review, options) for review in worst_first(reviews)]
    names = page_names([sheet.name for sheet in sheets])
    for sheet, name in zip(sheets, names, strict=True):
        with replaced(directory / name) as out:
            write_page(out, title=sheet.name, sheets=[sheet], rows=[], back=INDEX)
    with replaced(directory / INDEX) as out:
        write_page(out, title=f"{len(sheets)} programs reviewed", sheets=[], rows=list(zip(sheets, names, strict=True)), back="")


def page_names(programs: Sequence[str]) -> list[str]:
    """A file name for each program, none twice, the same whatever computer they are made on.

    >>> page_names(["a/O1.nc", "b c/O1.nc", "b_c/O1.nc", "index"])
    ['a_O1.nc.html', 'b_c_O1.nc.html', 'b_c_O1.nc-2.html', 'index-2.html']
    """
    taken = {INDEX}
    names = []
    for program in programs:
        stem = PLAIN.sub("_", program).lstrip("._")[-150:] or "program"
        name, count = f"{stem}.html", 2
        while name.lower() in taken:
            name, count = f"{stem}-{count}.html", count + 1
        taken.add(name.lower())
        names.append(name)
    return names


class replaced:  # noqa: N801  (used as a verb, in a with statement)
    """A text file that is there whole or not at all."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> TextIO:
        handle, self._name = tempfile.mkstemp(dir=self._path.parent, prefix=f".{self._path.name}.")
        self._file: TextIO = open(handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n")  # noqa: SIM115
        return self._file

    def __exit__(self, kind: object, fault: object, trace: object) -> None:
        self._file.close()
        if kind is not None:
            Path(self._name).unlink(missing_ok=True)
            return
        os.chmod(self._name, 0o644)
        os.replace(self._name, self._path)


def write_page(out: TextIO, **values: Any) -> None:
    """Writes a page from the template."""
    style, script = text("style.css"), text("script.js")
    page = environment().get_template("page.html.jinja")
    out.writelines(page.stream(**values, policy=policy(style, script), style=safe(style), script=safe(script), cautions=CAUTIONS))


def policy(style: str, script: str) -> str:
    """The content security policy: nothing from anywhere, this style, this script."""
    return (
        f"default-src 'none'; style-src '{fingerprint(style)}'; script-src '{fingerprint(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def fingerprint(code: str) -> str:
    """The hash by which a policy knows an inline style or script."""
    return "sha256-" + b64encode(sha256(code.encode("utf-8")).digest()).decode("ascii")


@lru_cache(maxsize=8)
def text(name: str) -> str:
    """A file beside the templates."""
    return (TEMPLATES / name).read_text(encoding="utf-8")


def safe(code: str) -> "Markup":
    """Code of ours that goes into the page as it is."""
    from markupsafe import Markup  # see render

    return Markup(code)


@lru_cache(maxsize=1)
def environment() -> "Environment":
    """The templates: everything escaped, a name that is not there is a fault."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # see render

    from coolcheck.report.pictures.states import swatch, textures
    from coolcheck.report.pictures.svg import shown_text, told

    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=shown_text,
    )
    made.filters["told"] = told
    made.globals.update(textures=textures, swatch=swatch)
    return made
