"""Checks one value against its declared field."""

import datetime
import re
from collections.abc import Callable
from typing import Any

from coolcheck.records import quantity, units
from coolcheck.records.quantity import NotAQuantity, nearest
from coolcheck.records.schema import Field

MOST_TEXT = 2_000
_ANSWERS = {"yes": True, "true": True, "no": False, "false": False}
_COUNT = re.compile(r"[+-]?\d{1,9}\Z")
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})\Z")


class Unfit(ValueError):  # noqa: N818 - says what the value is
    """A value that its field does not allow: `says` what is wrong, `do` what may stand there, `item` where in a list."""

    def __init__(self, says: str, do: str, item: int | None = None) -> None:
        super().__init__(says)
        self.says = says
        self.do = do
        self.item = item


Checked = tuple[Any, object, str]  # SI value, value as shown, as written where that differs


def check(field: Field, text: str) -> Checked:
    """The value that the scalar `text` states for `field`. Raises Unfit."""
    return _CHECKS[field.kind](field, text)


def check_words(field: Field, texts: list[str]) -> Checked:
    """The value of a field that takes several words or texts."""
    for index, text in enumerate(texts):
        try:
            _word(field, text) if field.kind == "words" else _text(field, text)
        except Unfit as error:
            raise Unfit(error.says, error.do, index) from error
        if text in texts[:index]:
            raise Unfit(f"`{field.name}` names `{text}` twice", "keep one of the two", index)
    return tuple(texts), ", ".join(texts) or "none", ""


def may_be(field: Field) -> str:
    """What may stand there, for a person.

    >>> may_be(Field("sealed", "truth", "sealed"))
    'it may be `yes`, `no` or `unknown`'
    """
    if field.kind == "quantity":
        unit = units.dimensions()[field.dimension].usual[0]
        return f"write a number and a unit, such as `1 {quantity.pretty(unit)}`, or `unknown`"
    if field.kind == "truth":
        return "it may be `yes`, `no` or `unknown`"
    if field.words:
        return "it may be " + ", ".join(f"`{word}`" for word in field.words) + " or `unknown`"
    plain = {"count": "write a whole number", "number": "write a number", "date": "write a date as 2026-01-31"}
    return plain.get(field.kind, "write a text")


def _truth(field: Field, text: str) -> Checked:
    answer = _ANSWERS.get(text.casefold())
    if answer is None:
        raise Unfit(f"`{text}` is no answer to `{field.name}`", may_be(field))
    return answer, "yes" if answer else "no", ""


def _word(field: Field, text: str) -> Checked:
    if text not in field.words:
        near = nearest(text, field.words)
        hint = f"did you mean `{near}`? " if near else ""
        raise Unfit(f"`{field.name}` cannot be `{text}`", hint + may_be(field))
    return text, text, ""


def _text(field: Field, text: str) -> Checked:
    if not text.strip():
        raise Unfit(f"`{field.name}` is empty", f"write a text ({field.says}), or leave the line out")
    if len(text) > MOST_TEXT:
        raise Unfit(f"`{field.name}` is longer than {MOST_TEXT} characters", "shorten it")
    return text, text, ""


def _count(field: Field, text: str) -> Checked:
    if not _COUNT.match(text):
        raise Unfit(f"`{field.name}` is a whole number, not `{text}`", may_be(field))
    _in_range(field, int(text), text)
    return int(text), int(text), ""


def _number(field: Field, text: str) -> Checked:
    try:
        value = quantity.number(text)
    except NotAQuantity as error:
        raise Unfit(f"`{field.name}`: {error.says}", error.do) from error
    _in_range(field, value, text)
    return value, value, ""


def _quantity(field: Field, text: str) -> Checked:
    try:
        found = quantity.parse(text, field.dimension)
    except NotAQuantity as error:
        raise Unfit(f"`{field.name}`: {error.says}", error.do) from error
    _in_range(field, found.si, text)
    is_own_unit = units.spelled(found.unit) in (units.spelled(field.unit), units.spelled(field.pretty_unit))
    shown = float(f"{found.number:.12g}") if is_own_unit else quantity.shown(found.si, field.dimension, field.unit)
    return found.si, shown, "" if is_own_unit else text


def _date(field: Field, text: str) -> Checked:
    found = _DATE.match(text)
    try:
        date = datetime.date(*(int(part) for part in found.groups())) if found else None
    except ValueError:
        date = None
    if date is None:
        raise Unfit(f"`{field.name}` is a date, not `{text}`", may_be(field))
    return date, date.isoformat(), ""


def _in_range(field: Field, value: float, text: str) -> None:
    if field.over is not None and value <= field.over:
        raise Unfit(f"`{field.name}` must be more than {_limit(field, field.over)}, not `{text}`", "correct the number")
    if field.least is not None and value < field.least:
        raise Unfit(f"`{field.name}` must be {_limit(field, field.least)} or more, not `{text}`", "correct the number")
    if field.most is not None and value > field.most:
        raise Unfit(f"`{field.name}` must be {_limit(field, field.most)} or less, not `{text}`", "correct the number or its unit")


def _limit(field: Field, si: float) -> str:
    if field.kind != "quantity":
        return f"{si:g}"
    return f"{quantity.shown(si, field.dimension, field.unit):g} {field.pretty_unit}"


_CHECKS: dict[str, Callable[[Field, str], Checked]] = {
    "truth": _truth,
    "word": _word,
    "text": _text,
    "count": _count,
    "number": _number,
    "quantity": _quantity,
    "date": _date,
}
