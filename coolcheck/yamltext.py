"""YAML that a person wrote, read safely, each value with its place in the file.

Only plain data comes out: dict (keys are always text), list, str, int, float, bool, None. What makes YAML surprising is
off: `on`, `off`, `yes`, `no`, `010`, `1e3`, `12:30` and dates stay text; anchors, aliases, tags, merge keys and a second document
are refused, and so are a key given twice, more than 1 MB and nesting past 40 levels. One pass over the parser's events.
"""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from coolcheck.errors import InputError, Problem
from coolcheck.place import Place

try:
    from yaml import CSafeLoader as _Loader  # some eight times as fast
except ImportError:  # pragma: no cover - a PyYAML built without libyaml
    from yaml import SafeLoader as _Loader  # type: ignore[assignment]

MOST_BYTES = 1_000_000
MOST_DEPTH = 40

_WORDS: dict[str, bool | None] = dict.fromkeys(("", "~", "null", "Null", "NULL"))
_WORDS |= {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})\Z")
_FLOAT = re.compile(r"[-+]?(?:[0-9]+\.[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?\Z")
_STR_TAG = "tag:yaml.org,2002:str"

YamlPath = tuple[str | int, ...]
_Mark = tuple[int, int, int, int]


class YamlFile:
    """The data of one file, and where each of its values and keys stands. A path is a tuple of keys and list positions."""

    __slots__ = ("data", "name", "_keys", "_texts", "_values")

    def __init__(self, name: str) -> None:
        self.name = name
        self.data: Any = None
        self._values: dict[YamlPath, _Mark] = {}
        self._keys: dict[YamlPath, _Mark] = {}
        self._texts: dict[YamlPath, str] = {}

    def place(self, path: YamlPath = ()) -> Place:
        """Where the value at `path` stands; when there is none, where the nearest thing that holds it stands."""
        while path and path not in self._values:
            path = path[:-1]
        return self._place(self._values.get(path, (0, 0, 0, 0)))

    def key_place(self, path: YamlPath) -> Place:
        """Where the key of the value at `path` stands; of a list item, where the item stands."""
        if path in self._keys:
            return self._place(self._keys[path])
        return self.place(path)

    def __contains__(self, path: YamlPath) -> bool:
        """Something stands at `path`."""
        return path in self._values

    def text(self, path: YamlPath) -> str:
        """The scalar at `path` as it is written, quotes off: `1.50` stays "1.50" though its data is 1.5."""
        return self._texts[path]

    def _place(self, mark: _Mark) -> Place:
        return Place(self.name, *mark)


def read(path: Path, raises: type[InputError] = InputError) -> YamlFile:
    """The YAML file at `path`. Raises `raises` when it cannot be opened or read."""
    try:
        with path.open("rb") as file:
            text = file.read(MOST_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise raises(Problem(Place(str(path)), f"this file cannot be opened: {reason}")) from error
    return load(path, text, raises)


def load(name: str | Path, text: str | bytes, raises: type[InputError] = InputError) -> YamlFile:
    """The data of `text` with its places; `name` stands in them as the file. Raises `raises` with all that is wrong."""
    file = YamlFile(str(name))
    source, problem = _decoded(file.name, text)
    if problem:
        raise raises(problem)
    reader = _Reader(file)
    try:
        reader.read(_Loader(source))
    except yaml.MarkedYAMLError as error:
        reader.problems.append(_syntax_problem(file.name, error))
    except yaml.reader.ReaderError as error:
        reader.problems.append(_character_problem(file.name, source, error))
    if reader.problems:
        raise raises(reader.problems)
    return file


class _Stop(Exception):
    """Reading further makes no sense; the problem is already noted."""


class _Reader:
    """Builds plain data from the events of the parser."""

    def __init__(self, file: YamlFile) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def read(self, loader: Any) -> None:
        events = self._events(loader)
        try:
            if isinstance(next(events, None), yaml.DocumentStartEvent):
                self.file.data = self._value(next(events), events, (), 0)
                next(events)  # end of the document
                if (more := next(events, None)) is not None:
                    self._say(more, "a second document begins here", "keep one record or rule file in a file: remove the `---`")
        except _Stop:
            return
        finally:
            loader.dispose()

    def _events(self, loader: Any) -> Iterator[Any]:
        while loader.check_event():
            event = loader.get_event()
            if not isinstance(event, (yaml.StreamStartEvent, yaml.StreamEndEvent)):
                yield event

    def _value(self, event: Any, events: Iterator[Any], path: YamlPath, depth: int) -> Any:
        self._refuse_marks(event)
        if isinstance(event, yaml.ScalarEvent):
            self.file._values[path] = _span(event)
            self.file._texts[path] = event.value
            return _scalar(event)
        start = event.start_mark
        self.file._values[path] = (start.line + 1, start.column + 1, 0, 0)
        if depth >= MOST_DEPTH:
            self._say(event, f"nesting deeper than {MOST_DEPTH} levels", "write it flatter")
            raise _Stop
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(events, path, depth)
        return self._list(events, path, depth) if isinstance(event, yaml.SequenceStartEvent) else None  # an alias: refused

    def _mapping(self, events: Iterator[Any], path: YamlPath, depth: int) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            if not isinstance(event, yaml.ScalarEvent):
                self._refuse_marks(event)
                self._say(event, "a key must be plain text", "put the key and a colon on one line")
                raise _Stop
            self._refuse_marks(event)
            key = event.value
            here = (*path, key)
            if key in found:
                line = self.file._keys[here][0]
                self._say(event, f"the key `{key}` stands twice (first in line {line})", "keep one of the two")
                here = (*path, key, len(self.file._keys))  # read on behind it, but keep the first
                self._value(next(events), events, here, depth + 1)
                continue
            self.file._keys[here] = _span(event)
            found[key] = None
            found[key] = self._value(next(events), events, here, depth + 1)
        return found

    def _list(self, events: Iterator[Any], path: YamlPath, depth: int) -> list[Any]:
        found: list[Any] = []
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            found.append(self._value(event, events, (*path, len(found)), depth + 1))
        return found

    def _refuse_marks(self, event: Any) -> None:
        if isinstance(event, yaml.AliasEvent):
            self._say(event, f"the alias `*{event.anchor}` is not allowed here", "write the value out")
            return
        if event.anchor is not None:
            self._say(event, f"the anchor `&{event.anchor}` is not allowed here", "remove it; quote a text that begins with &")
        if event.tag is not None and event.tag != "!":
            self._say(event, f"the tag `{event.tag}` is not allowed here", "remove it; quote a text that begins with !")

    def _say(self, event: Any, says: str, do: str) -> None:
        mark = event.start_mark
        self.problems.append(Problem(Place(self.file.name, mark.line + 1, mark.column + 1), says, do))


def _span(event: Any) -> _Mark:
    start, end = event.start_mark, event.end_mark
    return (start.line + 1, start.column + 1, end.line + 1, end.column + 1)


def _scalar(event: Any) -> Any:
    """The value of a scalar: plain ones are resolved, quoted and block ones are text."""
    text: str = event.value
    if event.style or not event.implicit[0]:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if _INT.match(text):
        return int(text)
    if _FLOAT.match(text) and math.isfinite(number := float(text)):
        return number
    return text


def _decoded(name: str, text: str | bytes) -> tuple[str, Problem | None]:
    """The text of a file, or what makes it unreadable."""
    if len(text) > MOST_BYTES:
        return "", Problem(Place(name), f"this file is larger than {MOST_BYTES // 1_000_000} MB", "split it")
    raw = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    try:
        return raw.decode("utf-8").removeprefix("\ufeff"), None
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8", "replace")
        says = f"this byte (0x{raw[error.start]:02X}) is not UTF-8 text"
        return "", Problem(_point(name, before), says, "save the file as UTF-8")


def _point(name: str, before: str) -> Place:
    """The place just behind `before`."""
    line_start = before.rfind("\n") + 1
    return Place(name, before.count("\n") + 1, len(before) - line_start + 1)


def _syntax_problem(name: str, error: yaml.MarkedYAMLError) -> Problem:
    mark = error.problem_mark or error.context_mark
    place = Place(name, mark.line + 1, mark.column + 1) if mark else Place(name)
    says = f"this is no YAML: {error.problem or error.context}"
    if error.context and error.problem and error.context_mark and error.context_mark.line != (mark.line if mark else -1):
        says += f" ({error.context} that begins in line {error.context_mark.line + 1})"
    return Problem(place, says, "look at indentation, colons, brackets and quotes; a text with `: ` or ` #` in it needs quotes")


def _character_problem(name: str, source: str, error: yaml.reader.ReaderError) -> Problem:
    at = next((i for i, char in enumerate(source) if _is_control(char)), 0)
    return Problem(_point(name, source[:at]), f"a character that text may not hold ({error.reason})", "remove it")


def _is_control(char: str) -> bool:
    # the characters outside c-printable, YAML 1.2.2, production 1
    code = ord(char)
    return (code < 0x20 and char not in "\t\n\r") or 0x7F <= code < 0xA0 and code != 0x85 or code in (0xFFFE, 0xFFFF)
