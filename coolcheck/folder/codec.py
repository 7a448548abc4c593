"""Reviews as JSON and back, so that a cache holds data and nothing that could run. Follows the type hints of the dataclasses."""

import dataclasses
import json
import types
import typing
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import cache, lru_cache, partial
from operator import attrgetter
from typing import Any, Union, get_args, get_origin, get_type_hints
from zlib import compress, decompress

from coolcheck.errors import Problem
from coolcheck.later import Later
from coolcheck.place import Place
from coolcheck.report.review import Judged, Review
from coolcheck.report.rows import HoleRow

QUICK = 1  # level of compression; holes are so much alike that more gains little


class NotAReview(ValueError):
    """The JSON is not what `encoded` gives."""


@dataclasses.dataclass(frozen=True)
class Packed:
    """A review without its timeline, ready to be sent to another process and to be kept.

    The rules stand apart: they are most of a review, and the same for a whole folder. The holes do, too: few formats look at
    them, and they are compressed.
    """

    text: str
    rules: str
    holes: bytes

    @classmethod
    def of(cls, review: Review) -> "Packed":
        """This review, packed."""
        text = _text(dataclasses.replace(review, timeline=None, rules=(), holes=()))
        return cls(text, _encoded_rules(review.rules), PackedHoles.of(review.holes).packed)

    def unpacked(self) -> Review:
        """The review; its holes are looked at when somebody asks. Raises NotAReview."""
        review: Review = _read(Review, self.text)
        return dataclasses.replace(review, rules=_decoded_rules(self.rules), holes=PackedHoles(self.holes))


@lru_cache(maxsize=8)
def _encoded_rules(rules: tuple[Judged, ...]) -> str:
    return _text(rules)


@lru_cache(maxsize=8)
def _decoded_rules(text: str) -> tuple[Judged, ...]:
    rules: tuple[Judged, ...] = _read(tuple[Judged, ...], text)
    return rules


class Listed(Later[Any]):
    """Items as JSON until somebody looks: a finding rests on much and may stand at hundreds of places, a summary shows none."""

    def __init__(self, decoder: "Decoder", text: str) -> None:
        self._decoder = decoder
        self._text = text

    def _make(self) -> tuple[Any, ...]:
        return tuple(map(self._decoder, json.loads(self._text)))


class PackedHoles(Later[HoleRow]):
    """The rows of holes as compressed JSON until somebody looks: most formats show none, and a program may have thousands."""

    def __init__(self, packed: bytes) -> None:
        self.packed = packed

    @classmethod
    def of(cls, rows: Sequence[HoleRow]) -> "PackedHoles":
        """These rows."""
        return rows if isinstance(rows, cls) else cls(compress(_text(tuple(rows)).encode(), QUICK))

    def _make(self) -> tuple[HoleRow, ...]:
        rows: tuple[HoleRow, ...] = _read(tuple[HoleRow, ...], decompress(self.packed).decode())
        return rows


def _text(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"), default=_plain)


def _plain(value: Any) -> Any:
    """What JSON has for a value it does not know: a list for a dataclass, for a mapping in it, and for rows."""
    values = _values(typing.cast(Any, type(value)))
    if values is not None:
        return values(value)
    if isinstance(value, Problem):
        return value.place, value.says, value.do
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Sequence):
        return tuple(value)
    return value.item() if hasattr(value, "item") else str(value)  # a number of numpy, or what only is to be shown


@cache
def _values(kind: Any) -> Callable[[Any], Sequence[Any]] | None:
    """What gives the values of the fields of a dataclass; None for what is none."""
    is_dataclass: bool = dataclasses.is_dataclass(kind)  # in two steps: a narrowed type is of no use below
    if not is_dataclass:
        return None
    names = _names(kind)
    of = attrgetter(*names) if len(names) > 1 else lambda value: (getattr(value, names[0]),)
    later = [get_origin(hint) is Sequence for hint in map(get_type_hints(kind).get, names)]
    if not any(later) and not any(get_origin(hint) is dict for hint in get_type_hints(kind).values()):
        return of
    return lambda value: [_written(item, as_text) for item, as_text in zip(of(value), later, strict=True)]


def _written(item: Any, as_text: bool) -> Any:
    """A field as JSON takes it: what is read only when somebody looks is JSON in a text."""
    if as_text:
        return _text(tuple(item))
    return tuple(item.items()) if isinstance(item, Mapping) else item


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind))


# --- and back


Decoder = Callable[[Any], Any]


def _read(kind: Any, text: str) -> Any:
    try:
        return _decoder(kind)(json.loads(text))
    except (TypeError, KeyError, ValueError, IndexError, AttributeError, RecursionError) as fault:
        raise NotAReview(str(fault)) from fault


@cache
def _decoder(kind: Any) -> Decoder:
    """What turns JSON into a value of that type; made once a type, as there are millions of values."""
    if isinstance(kind, type) and dataclasses.is_dataclass(kind):
        return _of_fields(kind)
    if kind is Problem:
        place = _decoder(Place)
        return lambda data: Problem(place(data[0]), data[1], data[2])
    if kind is date:
        return date.fromisoformat
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        (only,) = (_decoder(option) for option in inner if option is not type(None))
        return only if only is _as_it_is else lambda data: None if data is None else only(data)
    if origin is dict:
        key, value = map(_decoder, inner)
        return lambda data: {key(one): value(other) for one, other in data}
    if origin is Sequence:
        return partial(Listed, _decoder(inner[0]))
    if origin is tuple and len(inner) == 2 and inner[1] is Ellipsis:
        item = _decoder(inner[0])
        return tuple if item is _as_it_is else lambda data: tuple(map(item, data))
    if origin is tuple:
        items = tuple(map(_decoder, inner))
        return lambda data: tuple(item(one) for item, one in zip(items, data, strict=True))
    return _any if kind in (object, typing.Any) else _as_it_is


def _of_fields(kind: Any) -> Decoder:
    """The decoder of a dataclass: most fields are text and numbers and stay as they are."""
    hints = get_type_hints(kind)
    kinds = [hints[name] if name != "timeline" else object for name in _names(kind)]  # there is never a timeline
    count = len(kinds)
    changed = [(at, decoder) for at, decoder in enumerate(map(_decoder, kinds)) if decoder is not _as_it_is]

    def of(data: list[Any]) -> Any:
        if len(data) != count:
            raise NotAReview(f"{kind.__name__} has other fields")
        for at, decoder in changed:
            data[at] = decoder(data[at])
        return kind(*data)

    return of


def _as_it_is(data: Any) -> Any:
    return data


def _any(data: Any) -> Any:
    """A value of any type: what was a list or a tuple is a tuple."""
    return tuple(map(_any, data)) if isinstance(data, list) else data
