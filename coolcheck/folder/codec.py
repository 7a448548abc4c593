"""Reviews as JSON and back, so that a cache holds data and nothing that could run. Follows the type hints of the dataclasses."""

import dataclasses
import types
import typing
from collections.abc import Callable, Sequence
from datetime import date
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from coolcheck.errors import Problem
from coolcheck.place import Place
from coolcheck.report.review import Judged, Review

Decoder = Callable[[Any], Any]


class NotAReview(ValueError):
    """The JSON is not what `encoded` gives."""


def encoded(review: Review) -> Any:
    """A review without its timeline as lists, numbers and text."""
    return _encoded(review.plain())


def decoded(data: Any) -> Review:
    """The review that `encoded` gave. Raises NotAReview."""
    review = _read(Review, data)
    assert isinstance(review, Review)
    return review


def encoded_rules(rules: tuple[Judged, ...]) -> Any:
    """The rules of a review alone: most reviews of a folder have the same ones."""
    return _encoded(rules)


def decoded_rules(data: Any) -> tuple[Judged, ...]:
    """The rules that `encoded_rules` gave. Raises NotAReview."""
    rules: tuple[Judged, ...] = _read(tuple[Judged, ...], data)
    return rules


def _encoded(value: Any) -> Any:
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if dataclasses.is_dataclass(value):
        return [_encoded(getattr(value, name)) for name in _names(typing.cast(Any, type(value)))]
    if isinstance(value, Problem):
        return [_encoded(value.place), value.says, value.do]
    if isinstance(value, dict):
        return [[_encoded(key), _encoded(item)] for key, item in value.items()]
    if isinstance(value, tuple | list):
        return [_encoded(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if hasattr(value, "item"):  # a numpy scalar
        return _encoded(value.item())
    return str(value)


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind))


def _read(kind: Any, data: Any) -> Any:
    try:
        return _decoder(kind)(data)
    except (TypeError, KeyError, ValueError, IndexError, AttributeError) as fault:
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
    if origin is Sequence or (origin is tuple and len(inner) == 2 and inner[1] is Ellipsis):
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
        values = list(data)
        for at, decoder in changed:
            values[at] = decoder(values[at])
        return kind(*values)

    return of


def _as_it_is(data: Any) -> Any:
    return data


def _any(data: Any) -> Any:
    """A value of any type: what was a list or a tuple is a tuple."""
    return tuple(map(_any, data)) if isinstance(data, list) else data
