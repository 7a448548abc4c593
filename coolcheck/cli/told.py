"""A program as a process, for the commands that show one without judging it."""

from pathlib import Path

from coolcheck.cli.streams import program_bytes
from coolcheck.folder.one import Settings, process_bytes, process_file
from coolcheck.report.review import Review


def process_of(program: str, stdin_filename: str, settings: Settings) -> Review:
    """The program as a review without findings; `-` is stdin. Raises InputError when it cannot be read."""
    if program == "-":
        return process_bytes(program_bytes(), stdin_filename, settings)
    return process_file(Path(program), settings)
