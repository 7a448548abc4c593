"""What the codes of a program do to the fluid, as machine record and dialect tell it: nothing is taken from a number alone."""

from typing import TYPE_CHECKING

from coolcheck.nc.moves import Event
from coolcheck.process.fluids import CodeBook
from coolcheck.rewrite.through_tool import Effects

if TYPE_CHECKING:
    from coolcheck.records.record import Record, Section

_ENDS = frozenset({"tool_change", "stop", "optional_stop", "end"})
_OPENS = frozenset({"pallet_change", "door_open"})


class Codes:
    """The codes of one machine."""

    def __init__(self, machine: "Record") -> None:
        self._book = CodeBook(machine)

    def entry(self, event: Event) -> "Section | None":
        """What the record says of the code of an event."""
        return self._book.entry(event) if event.code else None

    def turns(self, event: Event, way: str) -> frozenset[str]:
        """The modes that the code turns "on" or "off", by the record, else by the dialect's own words."""
        entry = self.entry(event)
        if entry is not None:
            modes = entry.field(way)
            return frozenset(modes.value) if modes.is_known else frozenset()
        return frozenset(part.split()[0].replace("-", "_") for part in event.fluid.split(",") if part.split()[-1:] == [way])

    def is_only_fluid(self, event: Event) -> bool:
        """Does the code certainly concern fluid, and nothing but fluid."""
        if event.kind not in ("fluid", "m_code"):
            return False
        entry = self.entry(event)
        if entry is None:
            return event.kind == "fluid" and event.fluid not in ("", "none", "unknown")
        means = entry.field("means")
        touches = entry.field("on").is_known or entry.field("off").is_known
        return touches and not entry.field("spindle").is_known and (not means.is_known or means.value == "nothing")

    def does_nothing(self, event: Event) -> bool:
        """Does the record say that the code does nothing on this machine."""
        entry = self.entry(event)
        if entry is None:
            return False
        means = entry.field("means")
        touches = any(entry.field(name).is_known for name in ("on", "off", "spindle", "level"))
        return means.is_known and means.value == "nothing" and not touches

    def may_end(self, event: Event, mode: str) -> bool:
        """May the mode end at this event: by its code, by the machine itself, or because nobody knows the code."""
        if event.kind in _ENDS or event.direction == "off" or event.fluid == "unknown":
            return True
        entry = self.entry(event)
        if entry is not None:
            means = entry.field("means")
            return mode in self.turns(event, "off") or (means.is_known and means.value in _OPENS)
        if event.kind == "fluid":
            return bool(self.turns(event, "off") & {"all", mode}) or not event.fluid
        return event.kind == "m_code" and event.fluid == ""

    def effects(self, mode: str = "through_tool") -> Effects:
        """What events do to one mode."""
        return Effects(
            turns_on=lambda event: mode in self.turns(event, "on"),
            turns_off=lambda event: mode in self.turns(event, "off"),
            may_end=lambda event: self.may_end(event, mode),
        )
