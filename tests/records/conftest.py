"""A small shop written into a temporary folder."""

from collections.abc import Callable
from pathlib import Path

import pytest

from coolcheck.errors import Problem
from coolcheck.records.load import read_records
from coolcheck.records.record import Record

Write = Callable[[str, str], Path]


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Write:
    """Writes a file of the shop; the shop is the current folder, so that places read as people see them."""
    monkeypatch.chdir(tmp_path)

    def put(name: str, text: str) -> Path:
        path = Path(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    return put


@pytest.fixture
def tool(write: Write) -> Callable[[str], Record]:
    """The tool record that a text makes; it must be right."""

    def read(text: str) -> Record:
        write("tools/t.yaml", text)
        shelf, problems = read_records([Path()])
        assert problems == []
        return next(iter(shelf.records["tool"].values()))

    return read


@pytest.fixture
def wrong(write: Write) -> Callable[..., list[Problem]]:
    """The problems of one record file, given its folder and text."""

    def read(text: str, name: str = "tools/t.yaml") -> list[Problem]:
        write(name, text)
        return read_records([Path()])[1]

    return read
