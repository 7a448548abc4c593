"""A second, independent proof. It knows the two traces as plain rows and nothing else: no plan, no declared differences, no code
of the first proof. It finds the holes again in each trace, and what the tool does outside them, and compares.

A hole is found where a tool, without moving sideways, is fed downwards and comes up again. Whatever was drilled must be drilled
the same; what was pecked may be drilled in fewer strokes, and nothing may be reached at rapid that was not open before.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

Row = dict[str, Any]
_SAME = 2e-6  # mm; a trace is rounded to 1e-6
_AXES = ("x", "y", "z")
_FEEDS = ("feed", "arc_cw", "arc_ccw")


@dataclass(frozen=True)
class Found:
    """One hole in a trace: where it lies, from what height it is fed, its bottom, the height the tool leaves to, and its strokes.

    dives : rapids that end below the height from which the hole is first fed
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


@dataclass
class Looked:
    """A trace taken apart: its holes in order, and every move that is part of none, in order, with the holes between them."""

    holes: list[Found] = field(default_factory=list)
    others: list[tuple[Any, ...]] = field(default_factory=list)
    changes: list[tuple[Any, ...]] = field(default_factory=list)


def look(rows: Iterable[Row]) -> Looked:
    """Takes a trace apart."""
    looked = Looked()
    visit: list[Row] = []
    axis = ""
    for row in rows:
        if "to" not in row:
            if row["kind"] in ("tool_change", "stop", "end"):
                _close(looked, visit, axis)
                visit, axis = [], ""
                looked.changes.append((row["kind"], row.get("tool"), row.get("code"), len(looked.holes)))
            continue
        along = _axis(row)
        if along and (not axis or along == axis):
            axis = axis or along
            visit.append(row)
            continue
        _close(looked, visit, axis)
        visit, axis = ([row], along) if along else ([], "")
        if not along:
            looked.others.append(_plain(row, len(looked.holes)))
    _close(looked, visit, axis)
    return looked


def first_disagreement(before: Iterable[Row], after: Iterable[Row]) -> str:
    """What the two traces do not have in common, in one sentence; nothing when they do the same to the work."""
    old, new = look(before), look(after)
    for a, b in zip(old.holes, new.holes, strict=False):
        found = _disagreement(a, b)
        if found:
            return f"hole at {_named(a)} (line {a.line} of the original, line {b.line} of the rewritten program): {found}"
    if len(old.holes) != len(new.holes):
        return f"the original makes {len(old.holes)} holes, the rewritten program {len(new.holes)}"
    for c, d in zip(old.others, new.others, strict=False):
        if not _alike(c, d):
            return f"a move outside the holes differs: {_told(c)} in the original, {_told(d)} in the rewritten program"
    if len(old.others) != len(new.others):
        return f"there are {len(old.others)} moves outside the holes in the original, {len(new.others)} in the rewritten program"
    if old.changes != new.changes:
        return "tool changes and stops do not lie between the same holes"
    return ""


def _axis(row: Row) -> str:
    """The axis of a straight move along one axis; nothing for any other."""
    if row["kind"] not in ("rapid", "feed"):
        return ""
    moved = [a for a in _AXES if row["from"].get(a) != row["to"].get(a)]
    if len(moved) != 1 or moved[0] not in row["from"] or moved[0] not in row["to"]:
        return ""
    return moved[0]


def _close(looked: Looked, visit: list[Row], axis: str) -> None:
    """Ends a run of moves along one axis: a hole wherever the tool is fed down and comes up again, else plain moves."""
    at = 0
    while at < len(visit):
        start = next((i for i in range(at, len(visit)) if visit[i]["kind"] == "feed" and _falls(visit[i], axis)), len(visit))
        looked.others.extend(_plain(row, len(looked.holes)) for row in visit[at:start])
        if start == len(visit):
            return
        top = visit[start]["from"][axis] + _SAME
        again = (i for i in range(start + 1, len(visit)) if _falls(visit[i], axis) and visit[i]["from"][axis] > top)
        at = next(again, len(visit))  # from above the top it goes down once more: that is another visit
        out = next((i for i in range(at - 1, start, -1) if visit[i]["kind"] == "rapid" and _rises(visit[i], axis)), start - 1)
        if out > start:
            looked.holes.append(_hole(visit[start : out + 1], axis))
        looked.others.extend(_plain(row, len(looked.holes)) for row in visit[out + 1 : at])


def _falls(row: Row, axis: str) -> bool:
    return bool(row["to"][axis] < row["from"][axis])


def _rises(row: Row, axis: str) -> bool:
    return bool(row["to"][axis] > row["from"][axis])


def _hole(visit: list[Row], axis: str) -> Found:
    first = visit[0]
    top = float(first["from"][axis])
    u, v = (a for a in _AXES if a != axis)
    feeds = [row for row in visit if row["kind"] == "feed"]
    dives = [float(r["to"][axis]) for r in visit if r["kind"] == "rapid" and _falls(r, axis) and r["to"][axis] < top - _SAME]
    return Found(
        tool=first.get("tool"),
        axis=axis,
        place=(float(first["from"].get(u, float("inf"))), float(first["from"].get(v, float("inf")))),
        top=top,
        bottom=min(float(row["to"][axis]) for row in feeds),
        out=float(visit[-1]["to"][axis]),
        strokes=len(feeds),
        dives=tuple(dives),
        line=int(first["line"]),
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
    same = len(new.dives) == len(old.dives) and all(_near(a, b) for a, b in zip(old.dives, new.dives, strict=True))
    if new.dives and not same:
        return "the tool goes into it at rapid where it did not before"
    return ""


def _plain(row: Row, hole: int) -> tuple[Any, ...]:
    """A move outside the holes: where from, where to, how, by which tool, and behind which hole."""
    points = tuple(row[end].get(a) for end in ("from", "to") for a in _AXES)
    centre = tuple(row.get("center", {}).get(a) for a in _AXES)
    return (row["kind"], row.get("tool"), hole, row.get("feed"), *points, *centre)


def _near(a: float, b: float) -> bool:
    return a == b or abs(a - b) <= _SAME


def _alike(a: tuple[Any, ...], b: tuple[Any, ...]) -> bool:
    return all(
        x == y or (isinstance(x, float) and isinstance(y, float) and abs(x - y) <= max(_SAME, 1e-6 * abs(x)))
        for x, y in zip(a, b, strict=True)
    )


def _named(hole: Found) -> str:
    u, v = (a.upper() for a in _AXES if a != hole.axis)
    return f"{u}{hole.place[0]:g} {v}{hole.place[1]:g}"


def _told(move: tuple[Any, ...]) -> str:
    words = " ".join(f"{a.upper()}{value:g}" for a, value in zip(_AXES, move[7:10], strict=True) if value is not None)
    return f"{move[0]} to {words or 'an unknown place'}" + (f" at feed {move[3]:g}" if move[3] is not None else "")


def counts(rows: Iterable[Row]) -> Iterator[tuple[str, int]]:
    """How much was looked at, for a certificate."""
    looked = look(rows)
    yield "holes", len(looked.holes)
    yield "other moves", len(looked.others)
