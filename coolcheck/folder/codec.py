"""Reviews as JSON and back, so that a cache holds data and nothing that could run. Follows the type hints of the dataclasses."""

import dataclasses
import types
import typing
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from coolcheck.errors import Problem
from coolcheck.place import Place
from coolcheck.report.review import Review


class NotAReview(ValueError):
    """The JSON is not what `encoded` gives."""


def encoded(review: Review) -> Any:
    """A review without its timeline as lists, numbers and text."""
    return _encoded(review.plain())


def decoded(data: Any) -> Review:
    """The review that `encoded` gave. Raises NotAReview."""
    try:
        review = _decoded(data, Review)
    except (TypeError, KeyError, ValueError, IndexError, AttributeError) as fault:
        raise NotAReview(str(fault)) from fault
    assert isinstance(review, Review)
    return review


def _encoded(value: Any) -> Any:
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if dataclasses.is_dataclass(value):
        return [_encoded(getattr(value, field.name)) for field in dataclasses.fields(value)]
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


def _decoded(data: Any, kind: Any) -> Any:
    if isinstance(kind, type) and dataclasses.is_dataclass(kind):
        hints = _hints(kind)
        if len(data) != len(hints):
            raise NotAReview(f"{kind} has other fields")
        return kind(**{name: _decoded(item, hint) for (name, hint), item in zip(hints.items(), data, strict=True)})
    if kind is Problem:
        place, says, do = data
        return Problem(_decoded(place, Place), says, do)
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        (only,) = (option for option in inner if option is not type(None))
        return None if data is None else _decoded(data, only)
    if origin is dict:
        return {_decoded(key, inner[0]): _decoded(item, inner[1]) for key, item in data}
    if origin is Sequence or (origin is tuple and len(inner) == 2 and inner[1] is Ellipsis):
        return tuple(_decoded(item, inner[0]) for item in data)
    if origin is tuple:
        return tuple(_decoded(item, one) for item, one in zip(data, inner, strict=True))
    if kind in (object, typing.Any) and isinstance(data, list):
        return tuple(_decoded(item, object) for item in data)
    return data


@lru_cache(maxsize=64)
def _hints(kind: type[Any]) -> dict[str, Any]:
    """The types of the fields, in order; the timeline is never there."""
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] if field.name != "timeline" else object for field in dataclasses.fields(kind)}
