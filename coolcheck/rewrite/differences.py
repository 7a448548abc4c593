"""What a rewrite declares to change in the execution of a program, as data: the only differences that a proof may find.

Whoever plans a rewrite declares them; the proof does not believe them. It works out what the original with exactly these
differences would do, compares that with what the new program does, and judges each difference by itself.
Heights are along the tool axis in program coordinates [mm], feeds mm/min, times s, as executions have them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

_PARTS = ("holes", "added", "removed", "changed", "speeds")
FEED, RAPID, CODE = "feed", "rapid", "code"


@dataclass(frozen=True, slots=True)
class Said:
    """A code as an event has it. `value` is the speed of a spindle event [rpm], `seconds` the time of a dwell."""

    code: str
    words: tuple[tuple[str, float], ...] = ()
    value: float | None = None
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """One thing the tool does in a hole: `feed` or `rapid` to the height `to`, or a `code` said on the way."""

    act: str
    to: float = 0.0
    feed: float = 0.0
    said: Said | None = None


@dataclass(frozen=True, slots=True)
class OnePass:
    """Hole `hole` (its index among the canned-cycle holes of the original) is drilled by `steps`, from its R plane on.

    `in_cycle` : a canned cycle still makes it; else plain moves do
    """

    hole: int
    tool: int | None
    in_cycle: bool
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Added:
    """A code comes in before event `before` of the original (their count: behind the last), while `row` is the next move."""

    before: int
    row: int
    said: Said
    mend: str
    tool: int | None = None


@dataclass(frozen=True, slots=True)
class Removed:
    """Event `event` of the original, which said `code`, is gone."""

    event: int
    code: str
    mend: str
    tool: int | None = None


@dataclass(frozen=True, slots=True)
class Changed:
    """Event `event` of the original says something else."""

    event: int
    was: str
    said: Said
    mend: str
    tool: int | None = None


@dataclass(frozen=True, slots=True)
class Speed:
    """The commanded spindle speed is `rpm` where it was `was`: from event `event` and move `row` of the original on, until
    before event `until_event` and move `until_row`."""

    event: int
    row: int
    until_event: int
    until_row: int
    was: float
    rpm: float
    tool: int | None = None


@dataclass(frozen=True)
class Differences:
    """Everything that is declared for one rewrite, under one setting of the block-skip switches."""

    holes: tuple[OnePass, ...] = ()
    added: tuple[Added, ...] = ()
    removed: tuple[Removed, ...] = ()
    changed: tuple[Changed, ...] = ()
    speeds: tuple[Speed, ...] = ()

    def __add__(self, other: "Differences") -> "Differences":
        return Differences(
            tuple(sorted(self.holes + other.holes, key=lambda one: one.hole)),
            tuple(sorted(self.added + other.added, key=lambda one: (one.before, one.row))),
            tuple(sorted(self.removed + other.removed, key=lambda one: one.event)),
            tuple(sorted(self.changed + other.changed, key=lambda one: one.event)),
            tuple(sorted(self.speeds + other.speeds, key=lambda one: (one.event, one.row))),
        )

    @property
    def is_empty(self) -> bool:
        """Nothing is to change."""
        return not (self.holes or self.added or self.removed or self.changed or self.speeds)

    def as_data(self) -> dict[str, Any]:
        """Plain data for a certificate."""
        return {name: [_plain(asdict(one)) for one in getattr(self, name)] for name in _PARTS}

    @classmethod
    def of_data(cls, data: Mapping[str, Any]) -> "Differences":
        """From plain data. Raises KeyError, TypeError or ValueError when it is not of that form."""
        return cls(
            holes=tuple(_hole(one) for one in data["holes"]),
            added=tuple(
                Added(int(one["before"]), int(one["row"]), _said(one["said"]), str(one["mend"]), _tool(one))
                for one in data["added"]
            ),
            removed=tuple(Removed(int(one["event"]), str(one["code"]), str(one["mend"]), _tool(one)) for one in data["removed"]),
            changed=tuple(
                Changed(int(one["event"]), str(one["was"]), _said(one["said"]), str(one["mend"]), _tool(one))
                for one in data["changed"]
            ),
            speeds=tuple(
                Speed(
                    int(one["event"]), int(one["row"]), int(one["until_event"]), int(one["until_row"]), float(one["was"]),
                    float(one["rpm"]), _tool(one),
                )
                for one in data["speeds"]
            ),
        )  # fmt: skip


def joined(parts: Iterable[Differences]) -> Differences:
    """All of them together."""
    whole = Differences()
    for part in parts:
        whole = whole + part
    return whole


def _plain(value: Any) -> Any:
    """Tuples as lists, the words of a code as an object."""
    if isinstance(value, dict):
        return {key: dict(item) if key == "words" else _plain(item) for key, item in value.items() if item is not None}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def _tool(data: Mapping[str, Any]) -> int | None:
    return int(data["tool"]) if "tool" in data else None


def _said(data: Mapping[str, Any]) -> Said:
    words = tuple((str(letter), float(value)) for letter, value in data.get("words", {}).items())
    value = data.get("value")
    return Said(str(data["code"]), words, None if value is None else float(value), float(data.get("seconds", 0.0)))


def _hole(data: Mapping[str, Any]) -> OnePass:
    steps = tuple(
        Step(str(s["act"]), float(s.get("to", 0.0)), float(s.get("feed", 0.0)), _said(s["said"]) if "said" in s else None)
        for s in data["steps"]
    )
    return OnePass(int(data["hole"]), _tool(data), bool(data["in_cycle"]), steps)
