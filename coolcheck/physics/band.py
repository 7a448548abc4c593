"""A value that is known only between limits, with who says so."""

from dataclasses import dataclass

from coolcheck.physics.valid import OutOfRange


@dataclass(frozen=True, slots=True)
class Band:
    """A value between limits: never less than `low`, never more than `high`, `likely` if one had to be named. SI units.

    Valid: low <= likely <= high.
    Source: each band carries its own.

    >>> Band(1000.0, 2000.0, 3000.0, "weak secondary source").scaled(0.5).likely
    1000.0
    """

    low: float
    likely: float
    high: float
    source: str

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise OutOfRange("band", (self.low, self.likely, self.high), "low <= likely <= high", self.source)

    def scaled(self, factor: float) -> "Band":
        """The band with all its values times a factor above zero [-]."""
        return Band(self.low * factor, self.likely * factor, self.high * factor, self.source)
