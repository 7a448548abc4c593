"""What an interpretation must tell besides its moves: the table of note ids, and the collector that reports each once."""

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from types import MappingProxyType

from coolcheck.nc.moves import Note, Noted
from coolcheck.place import Place

NOTES = MappingProxyType(
    {
        # reading
        "unreadable-block": "part of a block cannot be read",
        "address-without-number": "an address stands without a number",
        "letter-o-for-zero": "the letter O is typed where a digit 0 is meant",
        "unclosed-comment": "a comment is not closed before the end of its block",
        "repeated-address": "one address stands twice in a block; the last one counts",
        "conflicting-codes": "two codes of one modal group, or two that need the same words, stand in one block",
        "unknown-code": "a G code that the dialect record does not know",
        "unknown-word": "a word that nothing in its block uses",
        "builder-m-code": "an M code that only the machine's builder can explain",
        "not-simulated": "a code is recognised, but what it does to the path is not worked out",
        "lathe-code": "a turning cycle or word; turning is recognised, not simulated",
        "turret-tool-word": "a T word of a turret; no tool change code follows it",
        # assumed, because the program does not state it
        "assumed-units": "neither G20 nor G21 is stated before the first length",
        "assumed-distance": "neither G90 nor G91 is stated before the first position",
        "assumed-plane": "no plane is stated before an arc or a canned cycle",
        "assumed-return-level": "neither G98 nor G99 is stated before a canned cycle",
        "assumed-feed-mode": "no feed mode is stated before the first feed move",
        "assumed-motion": "an axis moves before any motion code is stated",
        "assumed-clearance": "the peck clearance is a parameter of the control; the dialect record's value is used",
        "assumed-increments": "a peck depth without a decimal point is read as least increments",
        "assumed-whole-units": "lengths without a decimal point are read as whole units, and nobody says which dialect it is",
        # motion
        "other-length-offset": "the H word names another number than the tool in the spindle",
        "length-offset-without-number": "a length offset is turned on and no H word says which",
        "no-feed": "a feed move runs before its feed is stated",
        "no-spindle-speed": "feed per revolution without a known spindle speed",
        "arc-radius-mismatch": "the end of an arc does not lie on its circle",
        "arc-without-centre": "an arc has neither centre nor radius, or a radius that does not reach its end",
        "incomplete-cycle": "a canned cycle lacks a word it needs",
        "peck-without-depth": "a peck cycle has no peck depth; it is drilled in one stroke",
        "upside-down-cycle": "the bottom of a canned cycle lies above its R plane",
        "position-unknown": "a cut runs in G91 from a height or place that the program does not tell",
        "incremental-left-on": "the G91 of a reference return is still on where the tool is positioned",
        # parametric programs and calls
        "macro-fault": "the control would stop at this expression",
        "unknown-value": "a value depends on a variable that is not known here",
        "undecidable-branch": "a branch depends on a value that is not known here",
        "missing-target": "a jump to a sequence number that is not there",
        "duplicate-sequence-number": "a jump to a sequence number that stands more than once",
        "missing-subprogram": "a called program cannot be found",
        "flow-without-partner": "a flow statement whose other end is missing",
        "program-alarm": "the program raises an alarm of its own and stops",
        "main-repeats": "the main program ends with M99: it starts again from the top",
        "subprogram-alone": "a subprogram by itself: it goes on with what the program that calls it has set",
        "subprogram-without-return": "a subprogram runs into the next program number without M99",
        "no-program-end": "the program stops without M2, M30 or M99",
        "unreachable-blocks": "blocks that no path of the program reaches",
        "code-behind-the-end": "blocks behind the closing tape mark, which ends the program",
        # bounds
        "loop-bound": "a loop does not end within the bound",
        "depth-bound": "calls within calls reach the bound",
        "time-bound": "interpreting the program takes longer than the bound",
        "move-bound": "the program makes more moves than the bound",
    }
)
# What a subprogram has from the program that calls it, so that nothing can be said of it here: modes, feed, heights, variables.
OF_THE_CALLER = frozenset(
    {
        "assumed-units", "assumed-distance", "assumed-plane", "assumed-return-level", "assumed-feed-mode", "assumed-motion",
        "no-feed", "no-spindle-speed", "length-offset-without-number", "incomplete-cycle", "position-unknown", "unknown-word",
        "unknown-value", "undecidable-branch", "macro-fault", "main-repeats",
    }
)  # fmt: skip
# What only the whole run tells: it is about no tool.
OF_THE_PROGRAM = frozenset(
    {"turret-tool-word", "unreachable-blocks", "code-behind-the-end", "assumed-whole-units", "subprogram-alone"}
)
BOUNDS = frozenset({"loop-bound", "depth-bound", "time-bound", "move-bound"})  # what comes behind them is not there at all


@dataclass(slots=True)
class _Entry:
    block: int
    span: tuple[int, int] | None
    says: str
    do: str
    affects: tuple[str, ...]
    count: int = 1
    by_tool: dict[int | None, "_Seen"] = field(default_factory=dict)

    def seen(self, tool: int | None, block: int, span: tuple[int, int] | None) -> None:
        """Once more, with that tool in the spindle."""
        found = self.by_tool.setdefault(tool, _Seen(block, span))
        found.count += 1


@dataclass(slots=True)
class _Seen:
    """Where first, and how often."""

    block: int
    span: tuple[int, int] | None
    count: int = 0


class Notes:
    """Collects notes: the same id with the same key is one note, its place the first, with a count.

    `tool` tells which tool is in the spindle, while the program runs; None where what is noted is noted of the whole program.
    """

    def __init__(self) -> None:
        self._entries: dict[tuple[str, str], _Entry] = {}
        self.tool: Callable[[], int | None] | None = None

    def add(
        self,
        name: str,
        block: int,
        says: str,
        do: str = "",
        *,
        affects: str = "",
        key: str = "",
        span: tuple[int, int] | None = None,
    ) -> None:
        """One more note. `affects` names what is unknown because of it, separated by blanks; `span` are byte offsets."""
        entry = self._entries.get((name, key))
        if entry is None:
            if name not in NOTES:
                raise KeyError(name)
            entry = self._entries[name, key] = _Entry(block, span, says, do, tuple(affects.split()))
        else:
            entry.count += 1
        if self.tool is not None:
            entry.seen(self.tool(), block, span)

    def drop(self, names: Collection[str]) -> None:
        """Forgets the notes of these ids."""
        self._entries = {key: entry for key, entry in self._entries.items() if key[0] not in names}

    def __contains__(self, name: str) -> bool:
        return any(known == name for known, _ in self._entries)

    def finished(self, place: Callable[[int, tuple[int, int] | None], Place]) -> tuple[Note, ...]:
        """All notes in the order in which they came up; `place` gives the place of a block, or of bytes in its file."""
        return tuple(
            Note(
                name,
                place(entry.block, entry.span),
                entry.says,
                entry.do,
                entry.affects,
                entry.count,
                tuple(Noted(tool, place(seen.block, seen.span), seen.count) for tool, seen in entry.by_tool.items()),
            )
            for (name, _), entry in self._entries.items()
        )
