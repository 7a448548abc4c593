"""Text for a terminal: nothing from a program reaches it as a control character, and columns count as it counts them."""

import re
import unicodedata
from collections.abc import Iterator

_WORD = re.compile("(?:`[^`]*`|[^ ])+")  # what stands in backticks is to be typed: it is not parted
_SHORT = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}
_ZERO_WIDTH = ("Mn", "Me", "Cf")  # marks that combine with the character before them, and format characters


def escaped(text: str) -> str:
    """`text` with every character that a terminal would obey or hide written out.

    Comments of NC programs are hostile input: an escape sequence can rewrite the screen, a direction mark can turn a
    line round.

    >>> escaped("PUMP \\x1b[2JOFF")
    'PUMP \\\\x1b[2JOFF'
    """
    if text.isprintable():
        return text
    return "".join(char if is_shown(char) else _written_out(char) for char in text)


def is_shown(char: str) -> bool:
    """Does this character stand for itself, neither obeyed nor hidden."""
    return char.isprintable() or unicodedata.category(char) == "Zs"


def _written_out(char: str) -> str:
    code = ord(char)
    if char in _SHORT:
        return _SHORT[char]
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def width(text: str) -> int:
    """How many columns `text` takes: two for wide characters, none for combining ones.

    >>> width("孔 8.5")
    6
    """
    if text.isascii():
        return len(text)
    return sum(_char_width(char) for char in text)


def _char_width(char: str) -> int:
    if unicodedata.category(char) in _ZERO_WIDTH:
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def fitted(text: str, columns: int) -> str:
    """`text` in at most `columns`, cut with `…` where it is longer.

    >>> fitted("chip-break drilling", 10)
    'chip-brea…'
    """
    if width(text) <= columns:
        return text
    kept, used = [], 0
    for char in text:
        used += _char_width(char)
        if used > columns - 1:
            break
        kept.append(char)
    return "".join(kept) + "…"


def padded(text: str, columns: int, right: bool = False) -> str:
    """`text` cut or filled with spaces to exactly `columns`; `right` puts it at the right edge."""
    text = fitted(text, columns)
    fill = " " * (columns - width(text))
    return fill + text if right else text + fill


def wrapped(text: str, columns: int, first: str = "", rest: str = "") -> list[str]:
    """`text` in lines of at most `columns`, the first behind `first`, the others behind `rest`.

    Breaks at spaces; a word that is too long for a line of its own (a path) stays whole where it can, so that it can
    be copied, as does what stands in backticks; only one longer than a whole line is broken.
    """
    lines, line, is_empty = [], first, True
    for word in _words(text, columns - max(width(first), width(rest))):
        if not is_empty and width(line) + 1 + width(word) > columns:
            lines.append(line)
            line, is_empty = rest, True
        line += word if is_empty else " " + word
        is_empty = False
    return [*lines, line.rstrip()]


def _words(text: str, columns: int) -> Iterator[str]:
    for word in _WORD.findall(text):
        while width(word) > max(columns, 8):
            piece = fitted(word, max(columns, 8) + 1)[:-1] or word[0]
            yield piece
            word = word[len(piece) :]
        yield word


def pointed_at(line: str, column: int, end_column: int, columns: int) -> tuple[str, str]:
    """A line of a program with the marks below it that point at `column` (from 1); a long line is cut around it.

    >>> print(*pointed_at("N40 G1 X12.5 Y-3..2 F600", 18, 0, 60), sep="\\n")
    N40 G1 X12.5 Y-3..2 F600
                     ^
    """
    start = max(0, column - 1)
    stop = max(start + 1, end_column - 1) if end_column else start + 1
    left = max(0, start - columns // 2) if len(line) > columns else 0
    lead = ("…" if left else "") + escaped(line[left:start])
    shown = fitted(lead + escaped(line[start : left + 2 * columns]), columns)
    marks = max(1, min(width(escaped(line[start:stop])), columns - width(lead)))
    return shown, " " * width(lead) + "^" * marks
