"""What a program and its comments tell of its tools: T numbers, kinds and sizes, each with the comment it stands in."""

from dataclasses import dataclass, field

import numpy as np

from coolcheck.nc.blocks import Comment, Word
from coolcheck.nc.program import Program
from coolcheck.records.tool_comment import ToolTalk, read_comment

_UNITS = {20.0: "in", 21.0: "mm"}
_MOST_T = 99_999_999
_USUAL_M = frozenset((0, 1, 2, 3, 4, 5, 6, 8, 9, 19, 30, 98, 99))  # one meaning nearly everywhere (ISO 6983-1, common practice)
_TABLE, _AT_CHANGE, _BEFORE = 0, 1, 2  # where a comment stands: it names the tool, in the tool's block, in the line before


@dataclass(frozen=True)
class Said:
    """A value and the comment that states it: `line` from 1 and the text; `by_units`: its unit is that of the program."""

    value: str
    line: int
    text: str
    by_units: bool = False


@dataclass
class ProgramTool:
    """One T number: what is said of it, by field; `doubts` by field what is said of it and not believed."""

    number: int
    line: int
    said: dict[str, Said] = field(default_factory=dict)
    doubts: dict[str, list[Said]] = field(default_factory=dict)
    about: Said | None = None


@dataclass(frozen=True)
class ProgramTalk:
    """What a program tells. `unit` is mm, in, or "" where no G20 or G21 stands; codes are builder-assigned M codes by line."""

    unit: str
    unit_line: int
    tools: tuple[ProgramTool, ...]
    codes: tuple[tuple[str, int], ...]
    material: Said | None


def tools_of(program: Program) -> ProgramTalk:
    """What the words and comments of a program tell of its tools."""
    firsts = _first_words(program)
    changes = {number: block for (letter, number), block in firsts.items() if letter == "T" and 0 < number <= _MOST_T}
    units = sorted((block, _UNITS[number]) for (letter, number), block in firsts.items() if letter == "G" and number in _UNITS)
    unit_block, unit = units[0] if units else (-1, "")
    tools = {int(number): ProgramTool(int(number), block + 1) for number, block in changes.items() if number == int(number)}
    material = _hear(program, tools, unit)
    codes = sorted((number, block + 1) for (letter, number), block in firsts.items() if letter == "M" and number not in _USUAL_M)
    ordered = sorted(tools.values(), key=lambda tool: tool.number)
    return ProgramTalk(unit, unit_block + 1, tuple(ordered), tuple((f"M{number:g}", line) for number, line in codes), material)


def _first_words(program: Program) -> dict[tuple[str, float], int]:
    """For each G, M and T word with a number: the block in which it stands first."""
    firsts: dict[tuple[str, float], int] = {}

    def note(letter: str, number: float, block: int) -> None:
        firsts[letter, number] = min(block, firsts.get((letter, number), block))

    for number, shape in enumerate(program.shapes):
        if not set(shape.letters) & {"G", "M", "T"}:
            continue
        rows = np.flatnonzero(program.shape_of == number)
        for letter, slot, fixed in zip(shape.letters, shape.slots, shape.fixed, strict=True):
            if letter not in ("G", "M", "T") or not len(rows):
                continue
            if slot < 0:
                note(letter, fixed, int(rows[0]))
            else:
                values = program.numbers[program.first_number[rows] + slot]
                for value, first in zip(*np.unique(values, return_index=True), strict=True):
                    note(letter, float(value), int(rows[first]))
    for index in program.unshaped.tolist():
        for word in program.block(index).words:
            if word.letter in ("G", "M", "T") and word.value is not None:
                note(word.letter, word.value, index)
    return firsts


def _hear(program: Program, tools: dict[int, ProgramTool], unit: str) -> Said | None:
    """Gives the tools what the comments say of them; returns what one says of the work material."""
    heard: list[tuple[int, int, Said, ToolTalk]] = []  # nearness, T, what
    material = None
    for index, comment in program.comments():
        text = _text(comment)
        talk = read_comment(text)
        said = Said("", index + 1, text)
        number = _tool_of_block(program, index)
        if material is None and text.upper().startswith("MATERIAL"):
            material = Said(text[len("MATERIAL") :].strip(" :=-"), index + 1, text)
        elif talk.tool is not None:
            heard.append((_TABLE, talk.tool, said, talk))
        elif number is not None:
            heard.append((_AT_CHANGE, number, said, talk))
        elif (number := _tool_just_behind(program, index)) is not None:
            heard.append((_BEFORE, number, said, talk))
    heard = sorted((item for item in heard if item[1] in tools), key=lambda item: (item[0], item[2].line))
    for _near, number, said, talk in heard:
        _tell(tools[number], said, talk, unit)
    for _near, number, said, talk in heard:
        _doubt(tools[number], said, talk, unit)
    return material


def _tell(tool: ProgramTool, said: Said, talk: ToolTalk, unit: str) -> None:
    if tool.about is None:
        tool.about = said
    is_its_number = talk.is_its_number(tool.number)
    stated = talk.in_units("")
    for name, value in talk.in_units(unit).items():
        if name == "DC" and is_its_number:
            continue
        here = Said(value, said.line, said.text, by_units=value != stated.get(name) or " " not in value)
        first = tool.said.setdefault(name, here)
        if not _agree(first.value, value) and name != "kind":
            tool.doubts.setdefault(name, [first]).append(here)


def _doubt(tool: ProgramTool, said: Said, talk: ToolTalk, unit: str) -> None:
    """What one comment leaves in doubt, where no other states it clearly."""
    doubts = talk.doubts_in(unit)
    if talk.is_its_number(tool.number):
        doubts = {**doubts, "DC": f"#{tool.number} may be the number of the tool"}
    for name, doubt in doubts.items():
        if name not in tool.said:
            tool.doubts.setdefault(name, []).append(Said(doubt, said.line, said.text))


def _agree(first: str, second: str) -> bool:
    """The same value, or the same thread with and without its pitch (M8X1.25, M8)."""
    return first == second or first.startswith(f"{second}X") or second.startswith(f"{first}X")


def _tool_of_block(program: Program, index: int) -> int | None:
    """The T number of a block that also holds a comment."""
    word = program.block(index).word("T")
    return int(word.value) if word is not None and word.value is not None and 0 < word.value <= _MOST_T else None


def _tool_just_behind(program: Program, index: int) -> int | None:
    """The T number of the block behind a comment that stands alone; other lone comments may stand between."""
    if not _is_alone(program, index):
        return None
    after = index + 1
    while after < len(program) and after < index + 5 and _is_alone(program, after):
        after += 1
    return _tool_of_block(program, after) if after < len(program) else None


def _is_alone(program: Program, index: int) -> bool:
    """Nothing but comments and a sequence number stands in the block."""
    block = program.block(index)
    return bool(block.comments) and all(
        isinstance(part, Comment) or (isinstance(part, Word) and part.letter == "N") for part in block.elements
    )


def _text(comment: Comment) -> str:
    """The comment as people wrote it: UTF-8 where it is, else as Latin-1; without control characters."""
    raw = comment.text.encode("latin-1", "replace")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())
