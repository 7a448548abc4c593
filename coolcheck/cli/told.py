"""A program as a process, for the commands that show one without judging it."""

from collections.abc import Iterable
from pathlib import Path

from coolcheck.cli.start import say
from coolcheck.cli.streams import program_bytes
from coolcheck.errors import advice
from coolcheck.folder.one import Settings, process_bytes, process_file
from coolcheck.nc.moves import Note
from coolcheck.nc.notes import BOUNDS
from coolcheck.report.review import Review


def process_of(program: str, stdin_filename: str, settings: Settings) -> Review:
    """The program as a review without findings; `-` is stdin. Raises InputError when it cannot be read."""
    is_stdin = program == "-"
    review = process_bytes(program_bytes(), stdin_filename, settings) if is_stdin else process_file(Path(program), settings)
    tell_bounds(review.notes)
    return review


def tell_bounds(notes: Iterable[Note]) -> None:
    """Says on stderr that what is shown is not the whole program, where a bound ended the run."""
    for note in notes:
        if note.id in BOUNDS:
            say(f"{note.place}: warning: {note.says}\n    do       {advice(note.do)}")
