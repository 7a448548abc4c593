"""What a tool needs to drill its holes in one pass, as numbers: made from the records, used by who plans and by who proves."""

from dataclasses import dataclass

from coolcheck.rewrite.differences import Said

KEEP = 0.01  # share by which a programmed speed or feed may miss the record's and still stays as it is


@dataclass(frozen=True, slots=True)
class SlowEntry:
    """How a long drill enters its pilot. speed in rpm, feed in mm/min, `short_of` the pilot's bottom in mm.

    run_up : time of the spindle from there to the speed it drills at [s], at most what it takes from stand-still. The same bounds
    the time back: a drive brakes no slower than it starts (common practice, no source)
    """

    speed: float
    feed: float
    short_of: float
    run_up: float


@dataclass(frozen=True, slots=True)
class Recipe:
    """One tool in its holder on one machine in one material.

    rpm : spindle speed of the record, within every limit; per_turn : feed [mm]
    on, off : the codes of the through-tool fluid; build_up, decay : their times [s]
    needs_spindle : the machine passes the fluid only while the spindle turns (or nobody knows)
    speed_basis, feed_basis : where the two come from, in words
    entry : for drills that need a pilot; pilots : height of the pilot's bottom by canned-cycle hole [mm]
    """

    tool: int | None
    name: str
    rpm: float
    per_turn: float
    on: Said
    off: Said
    build_up: float
    decay: float
    needs_spindle: bool
    entry: SlowEntry | None = None
    pilots: tuple[tuple[int, float], ...] = ()
    speed_basis: str = "its record"
    feed_basis: str = "its record"

    def pilot_bottom(self, hole: int) -> float | None:
        """Where the pilot of a hole ends [mm], None when it has none."""
        return dict(self.pilots).get(hole)

    def wait(self, speeds_up: bool) -> float:
        """Time from the fluid on in the pilot to the cut [s]: pressure and, where it speeds up, the spindle must be there."""
        return max(self.build_up, self.entry.run_up if self.entry is not None and speeds_up else 0.0)

    def is_near(self, value: float, wanted: float) -> bool:
        """Is a programmed value the record's, within KEEP."""
        return abs(value - wanted) <= KEEP * wanted
