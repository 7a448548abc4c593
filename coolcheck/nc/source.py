"""The bytes of one program file, cut into blocks at the line ends. Every byte can be given back."""

import hashlib
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from coolcheck.place import LineIndex

LF, CR = 10, 13
_BOMS = {b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}


class Source:
    """A program file. `data` are its bytes as they stand; `text` the bytes that are read.

    The two are the same but for UTF-16 files, which are read as UTF-8 (`is_transcoded`); offsets always count in `text`.
    `starts` and `ends` are the byte offsets of each block, without its line end.
    """

    def __init__(self, data: bytes, name: str) -> None:
        self.data = data
        self.name = name
        self.text = data
        self.is_transcoded = False
        encoding = _BOMS.get(data[:2])
        if encoding is not None:
            self.text = data[2:].decode(encoding, errors="replace").encode("utf-8")
            self.is_transcoded = True
        self.bytes: NDArray[np.uint8] = np.frombuffer(self.text, dtype=np.uint8)
        self.starts, self.ends = block_spans(self.bytes)
        if self.text[:3] == b"\xef\xbb\xbf":  # a byte-order mark is no part of the first block
            self.starts[0] = 3

    def __len__(self) -> int:
        return len(self.starts)

    @cached_property
    def sha256(self) -> str:
        """Hash of the bytes as they stand in the file."""
        return hashlib.sha256(self.data).hexdigest()

    @cached_property
    def lines(self) -> LineIndex:
        """Turns byte offsets of `text` into lines and columns."""
        return LineIndex(self.name, self.starts, self.text)

    def line_end(self, block: int) -> bytes:
        """The bytes between this block and the next: its line end, empty behind the last."""
        after = int(self.starts[block + 1]) if block + 1 < len(self) else len(self.text)
        return self.text[int(self.ends[block]) : after]


def block_spans(data: NDArray[np.uint8]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Where each block starts and ends. LF, CR, CR LF and LF CR each end one block; a file without bytes has one empty block."""
    ends = np.flatnonzero(data == LF)
    returns = np.flatnonzero(data == CR)
    if len(returns) == 0:
        starts = np.concatenate(([0], ends + 1))
    elif len(returns) == len(ends) and bool((returns + 1 == ends).all()):
        starts = np.concatenate(([0], ends + 1))
        ends = returns
    else:
        ends, after = _mixed_ends(data, np.union1d(ends, returns))
        starts = np.concatenate(([0], after))
    ends = np.append(ends, len(data))
    if len(starts) > 1 and starts[-1] == len(data):  # the file ends with a line end: no empty block behind it
        starts, ends = starts[:-1], ends[:-1]
    return starts.astype(np.int64), ends.astype(np.int64)


def _mixed_ends(data: NDArray[np.uint8], marks: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Line ends of a file that mixes them: two different marks side by side are one, taken from the left."""
    pairs = (np.diff(marks) == 1) & (np.diff(data[marks].astype(np.int16)) != 0)
    second = np.zeros(len(marks), dtype=bool)
    # in a run of alternating marks every other one closes a pair; a run breaks where the neighbours are no pair
    at = np.arange(len(marks))
    run_start = np.maximum.accumulate(np.where(np.concatenate(([True], ~pairs)), at, 0))
    second[1:] = pairs & ((at - run_start)[1:] % 2 == 1)
    closes = np.append(second[1:], False)
    first = ~second
    return marks[first], (marks + 1 + closes)[first]
