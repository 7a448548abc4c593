"""Flutes against depth, standard drill lengths, and the tolerances holes are made to."""

from typing import NamedTuple

from coolcheck.physics.cutting import drill_point_length
from coolcheck.physics.tables import number, of_range, table
from coolcheck.physics.valid import OutOfRange, not_negative, positive

_RESERVE = 1.5  # D of flute above the hole for chips to leave, from memory


class Limits(NamedTuple):
    """Least and most diameter that a tolerance class allows [m]."""

    least: float
    most: float


def flute_length_needed(depth: float, DC: float, SIG: float, chip_room: float | None = None) -> float:
    """Length of chip flute that a hole needs: its depth, the point, and room for chips to leave above it.

    depth : depth of the hole at full diameter, from the highest face around it [m]
    DC : cutting diameter [m]
    SIG : point angle [rad]
    chip_room : flute to stay above the hole, from the tool record; 1.5 D when left out [m]
    returns : length of chip flute LCF [m]

    Valid: twist drills; straight and gun drills by their maker.
    Source: geometry; 1.5 D of room is from memory, 1.2 to 1.35 D lie between flute and usable length in DIN 6539 as printed.

    >>> from math import radians
    >>> round(flute_length_needed(depth=0.060, DC=0.010, SIG=radians(118)) * 1000, 1)    # mm
    78.0
    """
    room = _RESERVE * positive("diameter DC [m]", DC) if chip_room is None else not_negative("chip room [m]", chip_room)
    return not_negative("depth [m]", depth) + drill_point_length(DC, SIG) + room


def depth_within_flutes(LCF: float, DC: float, SIG: float, chip_room: float | None = None) -> float:
    """Deepest hole, at full diameter, whose chips can still leave the flutes.

    LCF : length of the chip flute [m]
    DC : cutting diameter [m]
    SIG : point angle [rad]
    chip_room : flute to stay above the hole, from the tool record; 1.5 D when left out [m]
    returns : depth of the hole at full diameter, 0 when the flutes are too short for any [m]

    Valid: as `flute_length_needed`, of which it is the other way round.
    Source: geometry; 1.5 D of room is from memory.

    >>> from math import radians
    >>> round(depth_within_flutes(LCF=0.078, DC=0.010, SIG=radians(118)) * 1000, 1)    # mm
    60.0
    """
    return max(0.0, not_negative("flute length LCF [m]", LCF) - flute_length_needed(0.0, DC, SIG, chip_room))


def jobber_flute_length(DC: float) -> float:
    """Flute length of a jobber drill.

    DC : cutting diameter, one of the table [m]
    returns : length of the chip flute [m]

    Valid: the few diameters of the table; nothing between them is guessed.
    Source: DIN 338 (ISO 235), from memory (tables/din338_lengths.csv).

    >>> jobber_flute_length(0.010)
    0.087
    """
    return number("din338_lengths", "D_mm", f"{positive('diameter DC [m]', DC) * 1000:.6g}", "flute_mm") / 1000


def hardmetal_flute_length(DC: float, series: str) -> float:
    """Flute length of a standard hardmetal drill.

    DC : cutting diameter [m]
    series : K (short, about 3 D) or L (long, about 5 D) [word]
    returns : length of the chip flute [m]

    Valid: up to 16 mm; longer series are each maker's own.
    Source: DIN 6537, from memory (tables/din6537_lengths.csv).

    >>> hardmetal_flute_length(0.0085, "L")
    0.061
    """
    size = round(positive("diameter DC [m]", DC) * 1000, 9)
    for row in table("din6537_lengths"):
        if series in ("K", "L") and size <= float(row["to_mm"]):
            return float(row[f"{series}_flute"]) / 1000
    raise OutOfRange("hardmetal drill", f"{size:g} mm, series {series}", "up to 16 mm, series K and L", "DIN 6537, from memory")


def tolerance(size: float, grade: str) -> float:
    """Width of a standard tolerance.

    size : nominal size [m]
    grade : IT6 to IT13 [word]
    returns : width of the tolerance [m]

    Valid: above 0 up to 50 mm.
    Source: ISO 286, as printed in a cutting tool maker's catalogue, 2020-21, p. 1052 (tables/iso286_tolerances.csv).

    >>> round(tolerance(0.0085, "IT9") * 1e6)    # um
    36
    """
    if grade not in {f"IT{i}" for i in range(6, 14)}:
        raise OutOfRange("tolerance grade", grade, "IT6 .. IT13", "ISO 286")
    return of_range("iso286_tolerances", "above", "to", positive("size [m]", size) * 1000, grade) / 1e6


def pilot_limits(DC: float, grade: str = "IT9") -> Limits:
    """Least and most diameter of a pilot hole in the F class, such as F9 for long hardmetal drills.

    DC : cutting diameter of the long drill [m]
    grade : IT6 to IT13 [word]
    returns : least and most diameter of the pilot [m]

    Valid: above 0 up to 50 mm; not for gun drills, whose pilot tolerance no page gave.
    Source: ISO 286; the widths as printed in a catalogue of 2020-21, p. 1052, the deviation of F holes from memory.

    >>> [round(d * 1000, 3) for d in pilot_limits(0.0085)]    # mm
    [8.513, 8.549]
    """
    above = of_range("iso286_tolerances", "above", "to", positive("diameter DC [m]", DC) * 1000, "F") / 1e6
    return Limits(DC + above, DC + above + tolerance(DC, grade))


def hole_grades(process: str) -> tuple[int, int]:
    """Finest and coarsest tolerance grade that a process of making holes reaches.

    process : twist drill, precision twist drill, solid drill in steel, hardmetal drill, reamed, precision reamed, bored [word]
    returns : finest and coarsest IT grade [-]

    Valid: weak sources that differ by a grade.
    Source: tables/hole_quality.csv, each row with its own source.

    >>> hole_grades("reamed")
    (8, 9)
    """
    file = "hole_quality"
    return int(number(file, "process", process, "finest")), int(number(file, "process", process, "coarsest"))
