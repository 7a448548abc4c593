"""A second, independent proof. It knows the two traces as plain rows and nothing else: no plan, no declared differences, no code
of the first proof. It finds the holes again in each trace, and what the tool does outside them, and compares.

A hole is found where a tool, without moving sideways, is fed downwards and comes up again. Whatever was drilled must be drilled
the same; what was pecked may be drilled in fewer strokes, and nothing may be reached at rapid that was not open before. A feed
from which the tool goes on down at rapid is no stroke but the way to the hole: like that rapid, it must stay as it was.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import zip_longest
from math import inf
from typing import Any

Row = dict[str, Any]
_SAME = 2e-6  # mm; a trace is rounded to 1e-6
_AXES = ("x", "y", "z")
_NOTHING: dict[str, float] = {}


@dataclass(frozen=True)
class Found:
    """One hole in a trace: where it lies, from what height it is fed, its bottom, the height the tool leaves to, and its strokes.

    dives : rapids that end below the height from which the hole is first fed; blind : those of them that end deeper than
    what was drilled before them
    """

    tool: object
    axis: str
    place: tuple[float, float]
    top: float
    bottom: float
    out: float
    strokes: int
    dives: tuple[float, ...]
    line: int
    blind: tuple[float, ...] = ()


Part = Found | tuple[Any, ...]


def parts(rows: Iterable[Row]) -> Iterator[Part]:
    """A trace taken apart, in order: its holes, and every move, tool change and stop that is part of none."""
    visit: list[Row] = []
    axis = ""
    for row in rows:
        if "to" not in row:
            if row["kind"] in ("tool_change", "stop", "end"):
                yield from _closed(visit, axis)
                visit = []
                yield row["kind"], row.get("tool"), row.get("code")
            continue
        along = _axis(row)
        if along != axis:
            yield from _closed(visit, axis)
            visit, axis = [], along
        if along:
            visit.append(row)
        else:
            yield _plain(row)
    yield from _closed(visit, axis)


def holes(rows: Iterable[Row]) -> list[Found]:
    """The holes of a trace."""
    return [part for part in parts(rows) if isinstance(part, Found)]


def first_disagreement(before: Iterable[Row], after: Iterable[Row]) -> str:
    """What the two traces do not have in common, in one sentence; nothing when they do the same to the work."""
    for old, new in zip_longest(parts(before), parts(after)):
        if isinstance(old, Found) and isinstance(new, Found):
            found = _disagreement(old, new)
            if found:
                return f"hole at {_named(old)} (line {old.line} of the original, line {new.line} of the new program): {found}"
        elif isinstance(old, Found) or isinstance(new, Found) or old is None or new is None or not _alike(old, new):
            return f"{_told(old)} in the original, {_told(new)} in the rewritten program"
    return ""


def _axis(row: Row) -> str:
    """The axis of a straight move along one axis; nothing for any other."""
    if row["kind"] not in ("rapid", "feed"):
        return ""
    moved = [a for a in _AXES if row["from"].get(a) != row["to"].get(a)]
    if len(moved) != 1 or moved[0] not in row["from"] or moved[0] not in row["to"]:
        return ""
    return moved[0]


def _closed(visit: list[Row], axis: str) -> Iterator[Part]:
    """A run of moves along one axis: a hole wherever the tool is fed down and comes up again, else plain moves."""
    at = 0
    while at < len(visit):
        start = _first_stroke(visit, axis, at)
        yield from map(_plain, visit[at:start])
        if start == len(visit):
            return
        top = visit[start]["from"][axis] + _SAME
        # from above the top it goes down once more, and not at rapid back into the open hole: that is another visit
        again = (i for i in range(start + 1, len(visit)) if _falls(visit[i], axis) and visit[i]["from"][axis] > top)
        at = next((i for i in again if visit[i]["kind"] == "feed" or visit[i]["to"][axis] >= top - 2 * _SAME), len(visit))
        out = next((i for i in range(at - 1, start, -1) if visit[i]["kind"] == "rapid" and _rises(visit[i], axis)), start - 1)
        if out > start:
            yield _hole(visit[start : out + 1], axis)
        yield from map(_plain, visit[out + 1 : at])


def _first_stroke(visit: list[Row], axis: str, at: int) -> int:
    """Where the tool is fed down and does not go on down at rapid, from move `at` on; the count of moves where it never is."""
    start = at
    for i, row in enumerate(visit[at:], at):
        if row["kind"] != "feed" or not _falls(row, axis):
            if i > start and _rises(row, axis):
                break
            start = i + 1
    return start


def _falls(row: Row, axis: str) -> bool:
    return bool(row["to"][axis] < row["from"][axis])


def _rises(row: Row, axis: str) -> bool:
    return bool(row["to"][axis] > row["from"][axis])


def _hole(visit: list[Row], axis: str) -> Found:
    first = visit[0]
    top = float(first["from"][axis])
    u, v = (a for a in _AXES if a != axis)
    feeds = [row for row in visit if row["kind"] == "feed"]
    dives, blind, drilled = [], [], inf
    for row in visit:
        to = float(row["to"][axis])
        if row["kind"] == "feed":
            drilled = min(drilled, to)
        elif _falls(row, axis) and to < top - _SAME:
            dives.append(to)
            blind += [to] if to < drilled - _SAME else []
    return Found(
        tool=first.get("tool"),
        axis=axis,
        place=(float(first["from"].get(u, inf)), float(first["from"].get(v, inf))),
        top=top,
        bottom=min(float(row["to"][axis]) for row in feeds),
        out=float(visit[-1]["to"][axis]),
        strokes=len(feeds),
        dives=tuple(dives),
        line=int(first["line"]),
        blind=tuple(blind),
    )


def _disagreement(old: Found, new: Found) -> str:
    if old.tool != new.tool or old.axis != new.axis:
        return "another tool or axis makes it"
    if any(not _near(a, b) for a, b in zip(old.place, new.place, strict=True)):
        return f"it lies at {new.place} instead of {old.place}"
    for name, a, b in (("top", old.top, new.top), ("bottom", old.bottom, new.bottom), ("return level", old.out, new.out)):
        if not _near(a, b):
            return f"its {name} is {b:g} instead of {a:g}"
    if new.strokes > old.strokes:
        return "it takes more strokes than before"
    known = all(any(_near(a, b) for b in old.dives) for a in new.dives)
    same = len(new.dives) == len(old.dives) and all(map(_near, new.dives, old.dives))
    if not known or (new.blind and not same):
        return "the tool goes into it at rapid where it did not before"
    return ""


def _plain(row: Row) -> tuple[Any, ...]:
    """A move outside the holes: how, by which tool, at which feed, where from, where to, round which centre."""
    start, end, centre = row["from"], row["to"], row.get("center", _NOTHING)
    points = tuple(point.get(axis) for point in (start, end, centre) for axis in _AXES)
    return (row["kind"], row.get("tool"), row.get("feed"), *points)


def _near(a: float, b: float) -> bool:
    return a == b or abs(a - b) <= _SAME


def _alike(a: tuple[Any, ...], b: tuple[Any, ...]) -> bool:
    if a == b:
        return True
    return len(a) == len(b) and all(
        x == y or (isinstance(x, float) and isinstance(y, float) and abs(x - y) <= max(_SAME, 1e-6 * abs(x)))
        for x, y in zip(a, b, strict=True)
    )


def _named(hole: Found) -> str:
    u, v = (a.upper() for a in _AXES if a != hole.axis)
    return f"{u}{hole.place[0]:g} {v}{hole.place[1]:g}"


def _told(part: Part | None) -> str:
    if part is None:
        return "nothing"
    if isinstance(part, Found):
        return f"a hole at {_named(part)}"
    if len(part) < 6:
        return f"{str(part[0]).replace('_', ' ')} {part[2] or part[1] or ''}".rstrip()
    words = " ".join(f"{a.upper()}{value:g}" for a, value in zip(_AXES, part[6:9], strict=True) if value is not None)
    return f"{part[0]} to {words or 'an unknown place'}" + (f" at feed {part[2]:g}" if part[2] is not None else "")
