"""Codes and dwells as blocks of a program, and as the events that they make."""

import math

import numpy as np

from coolcheck.nc.moves import Execution
from coolcheck.nc.program import Program
from coolcheck.rewrite.blocks import Pen
from coolcheck.rewrite.differences import Said


def code_words(pen: Pen, said: Said) -> list[str]:
    """The words of a code: `M57 P1`."""
    first = pen.habits.word("M", float(said.code[1:]))
    return [first, *(pen.habits.word(letter, value) for letter, value in said.words)]


def dwell(pen: Pen, seconds: float) -> tuple[list[str], Said]:
    """A dwell of at least that long, in the form of the program or, when it has none, of the dialect; as words and as event."""
    how = pen.program.dialect.meaning
    letter, has_point = _form(pen)
    worth = how.dwell_with_point if has_point else how.dwell_without_point
    count = _rounded_up(seconds / worth, 0 if not has_point and worth < 1 else 2)
    text = f"{count:g}" if not has_point else (f"{count:g}." if count == int(count) else f"{count:g}")
    if not has_point and count != int(count):
        worth = how.dwell_with_point  # it is written with a point after all
        count = _rounded_up(seconds / worth, 2)
        text = f"{count:g}"
    address = letter.lower() if pen.habits.lower else letter
    return [pen.habits.word("G", 4), address + text], Said("G4", seconds=float(text) * worth)


def _rounded_up(value: float, digits: int) -> float:
    factor = 10**digits
    return float(math.ceil(round(value * factor, 6)) / factor)


def _form(pen: Pen) -> tuple[str, bool]:
    """The letter of a dwell and whether its number has a point, as the first dwell of the program has it."""
    how = pen.program.dialect.meaning
    letters = how.dwell_letters.replace(" ", "")
    for index in _dwell_blocks(pen.program):
        block = pen.program.block(index)
        word = next((w for w in block.words if w.letter in letters and w.value is not None), None)
        if word is not None:
            return word.letter, word.has_point
    return letters[0], how.dwell_without_point == how.dwell_with_point and pen.habits.point != "10"


def _dwell_blocks(program: Program) -> list[int]:
    """Blocks with a G4, those with a shape looked for by their shape."""
    found = [
        int(np.argmax(program.shape_of == number))
        for number, shape in enumerate(program.shapes)
        if ("G", 4.0) in zip(shape.letters, shape.fixed, strict=True)
    ]
    plain = (program.block(index) for index in program.unshaped.tolist())
    return sorted(found + [block.index for block in plain if any(w.letter == "G" and w.value == 4 for w in block.words)])


def feed_number(execution: Execution, row: int, per_turn: float, rpm: float) -> float:
    """The F word for a feed per turn at that speed, in the unit and feed mode in force at a move; never more than asked for."""
    modal = execution.modal(row)
    scale = 25.4 if modal.units == 20 else 1.0
    if modal.feed_mode == 95:
        step = 1e-4 if scale != 1.0 else 1e-3
        return round(int(per_turn / scale / step + 1e-6) * step, 4)
    value = per_turn * rpm / scale
    step = (0.1 if value >= 10 else 0.01) if scale != 1.0 else (1.0 if value >= 10 else 0.1)
    return round(int(value / step + 1e-6) * step, 4)


def feed_of_number(execution: Execution, row: int, number: float, rpm: float) -> float:
    """The path feed [mm/min] of an F word there, at that speed."""
    modal = execution.modal(row)
    scale = 25.4 if modal.units == 20 else 1.0
    return number * scale * (rpm if modal.feed_mode == 95 else 1.0)
