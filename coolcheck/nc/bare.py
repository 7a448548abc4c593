"""Lengths written without a decimal point: one control takes X10 for ten millimetres, another for ten increments."""

import numpy as np

from coolcheck.nc.blocks import Word
from coolcheck.nc.program import Program

LENGTHS = frozenset("XYZUVWIJKR")  # Q, P, L count or are told apart where they are used; zero is zero either way


def bare_lengths(program: Program) -> tuple[int, int]:
    """How many lengths stand without a decimal point in blocks that run, and the first block with one; -1 for none."""
    low, high = program.first_block, program.end_block
    found = _of_shapes(program)
    inside = found[(found >= low) & (found < high)]
    count, first = len(inside), int(inside.min()) if len(inside) else high
    for index in program.unshaped.tolist():
        if low <= index < high:
            words = [word for word in program.block(index).words if _is_bare(word)]
            count += len(words)
            first = min(first, index) if words else first
    return count, first if count else -1


def _of_shapes(program: Program) -> "np.ndarray[tuple[int], np.dtype[np.int64]]":
    """The block of each such length in the blocks that have a shape."""
    found = [np.zeros(0, dtype=np.int64)]
    for number, shape in enumerate(program.shapes):
        slots = [slot for letter, slot in zip(shape.letters, shape.slots, strict=True) if letter in LENGTHS and slot >= 0]
        if not slots or _dwells(shape.letters, shape.fixed):
            continue
        blocks = np.flatnonzero(program.shape_of == number)
        for slot in slots:
            at = program.first_number[blocks] + slot
            found.append(blocks[~program.has_point[at] & (program.numbers[at] != 0)])
    return np.concatenate(found)


def _dwells(letters: tuple[str, ...], fixed: tuple[float, ...]) -> bool:
    """G4 X2 is two seconds."""
    return any(letter == "G" and code == 4 for letter, code in zip(letters, fixed, strict=True))


def _is_bare(word: Word) -> bool:
    return word.letter in LENGTHS and bool(word.value) and not word.has_point
