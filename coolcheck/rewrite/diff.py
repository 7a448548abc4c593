"""A unified diff, byte-exact, that `patch -p1` and `git apply` take; coloured for a terminal only."""

import difflib
from collections.abc import Iterator

_PLAIN_NAME = frozenset(b"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-+=@,/~% ")
_ESCAPES = {ord("\t"): b"\\t", ord("\n"): b"\\n", ord("\r"): b"\\r", ord('"'): b'\\"', ord("\\"): b"\\\\"}
_BOLD, _RED, _GREEN, _CYAN, _PLAIN = "\x1b[1m", "\x1b[31m", "\x1b[32m", "\x1b[36m", "\x1b[0m"


def unified(before: bytes, after: bytes, name: str, context: int = 3) -> bytes:
    """The difference of two versions of the file `name`; nothing when they are the same.

    Lines end at LF alone, as diff tools count them: a CR stays part of its line.
    """
    return b"".join(_lines(_split(before), _split(after), name.replace("\\", "/").encode("utf-8", "surrogateescape"), context))


def _split(data: bytes) -> list[bytes]:
    lines = data.split(b"\n")
    ended = [line + b"\n" for line in lines[:-1]]
    return [*ended, lines[-1]] if lines[-1] else ended


def _lines(before: list[bytes], after: list[bytes], name: bytes, context: int) -> Iterator[bytes]:
    groups = difflib.SequenceMatcher(None, before, after, autojunk=False).get_grouped_opcodes(context)
    for number, group in enumerate(groups):
        if number == 0:
            yield b"--- " + header_name(b"a/" + name) + b"\n"
            yield b"+++ " + header_name(b"b/" + name) + b"\n"
        old_from, old_to, new_from, new_to = group[0][1], group[-1][2], group[0][3], group[-1][4]
        yield b"@@ -%s +%s @@\n" % (_range(old_from, old_to), _range(new_from, new_to))
        for tag, i1, i2, j1, j2 in group:
            if tag == "equal":
                yield from (_marked(b" ", line) for line in before[i1:i2])
            if tag in ("replace", "delete"):
                yield from (_marked(b"-", line) for line in before[i1:i2])
            if tag in ("replace", "insert"):
                yield from (_marked(b"+", line) for line in after[j1:j2])


def _range(first: int, behind: int) -> bytes:
    length = behind - first
    start = first + 1 if length else first
    return b"%d" % start if length == 1 else b"%d,%d" % (start, length)


def _marked(mark: bytes, line: bytes) -> bytes:
    return mark + line if line.endswith(b"\n") else mark + line + b"\n\\ No newline at end of file\n"


def header_name(name: bytes) -> bytes:
    """A file name as it stands behind `---`: quoted as git quotes it when it holds a rare byte, a tab behind a blank.

    >>> header_name(b"a/O1203.nc"), header_name(b"a/deep hole.nc"), header_name(b'a/x"y.nc')
    (b'a/O1203.nc', b'a/deep hole.nc\\t', b'"a/x\\\\"y.nc"')
    """
    if all(byte in _PLAIN_NAME for byte in name):
        return name + b"\t" if b" " in name else name
    quoted = b"".join(_ESCAPES.get(byte) or (bytes([byte]) if 32 <= byte < 127 else b"\\%03o" % byte) for byte in name)
    return b'"' + quoted + b'"'


def for_terminal(diff: bytes, is_coloured: bool) -> str:
    """The diff for a person at a terminal: control characters made visible, colours where they can be shown."""
    shown = []
    for line in _split(diff):
        text = _visible(line.removesuffix(b"\n").decode("utf-8", "replace"))
        shown.append(_coloured(text) if is_coloured else text)
    return "".join(line + "\n" for line in shown)


def _visible(line: str) -> str:
    """Control characters in caret form, marks that turn a line round or hide by number: a program must not steer a terminal."""
    return "".join(
        character if character in "\t " or character.isprintable()
        else "^" + chr(ord(character) ^ 64) if ord(character) < 128
        else f"\\x{ord(character):02x}" if ord(character) < 256 else f"\\u{ord(character):04x}"
        for character in line
    )  # fmt: skip


def _coloured(line: str) -> str:
    for start, colour in (("---", _BOLD), ("+++", _BOLD), ("@@", _CYAN), ("-", _RED), ("+", _GREEN)):
        if line.startswith(start):
            return f"{colour}{line}{_PLAIN}"
    return line
