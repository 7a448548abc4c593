"""The preparatory functions (G codes) as a table, and the modal state they change.

A code is written times ten, as it is read: G54.1 is 541. Group numbers follow RS274/NGC (NISTIR 6556, table 4) with the
additions of word-address controls; a block may hold one code of a group.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from coolcheck.nc.moves import Modal
from coolcheck.nc.semantics import Semantics


@dataclass(frozen=True, slots=True)
class Code:
    """A row of the table. `field` of the state becomes `value`; a code without a field does what `act` names, once."""

    group: str
    name: str
    field: str = ""
    value: Any = None
    act: str = ""
    clause: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """The slow modal state, frozen: what seldom changes. Position, motion code and feed belong to the control itself.

    modal : the part that everyone may see
    arc_centre : incremental | absolute; spindle_mode : 96 | 97; polar, tilted : G16, a tilted plane (G68.2) active
    shift : G52 [mm]; preset : G92 [mm] (stored value); preset_on : the stored value counts
    length_value : active tool length offset [mm], NaN when not known
    path : exact stop or continuous, as written; coordinates : the work offset without shifts
    """

    modal: Modal
    arc_centre: str = "incremental"
    spindle_mode: int = 97
    polar: bool = False
    tilted: bool = False
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    preset: tuple[float, float, float] = (0.0, 0.0, 0.0)
    preset_on: bool = True
    length_value: float = 0.0
    path: str = ""
    coordinates: str = ""

    def with_modal(self, **changes: Any) -> "State":
        """The same with other fields of `modal`."""
        return replace(self, modal=replace(self.modal, **changes))


_NGC = "NISTIR 6556 3.5"
_WA = "common word-address practice, no source"

# Fields of State.modal, changed by a code that stands for itself.
_SIMPLE = {
    170: Code("plane", "XY plane", "plane", 17, clause=_NGC),
    180: Code("plane", "ZX plane", "plane", 18, clause=_NGC),
    190: Code("plane", "YZ plane", "plane", 19, clause=_NGC),
    900: Code("distance", "absolute", "distance", 90, clause=_NGC),
    910: Code("distance", "incremental", "distance", 91, clause=_NGC),
    930: Code("feed_mode", "inverse time", "feed_mode", 93, clause=_NGC),
    940: Code("feed_mode", "feed per minute", "feed_mode", 94, clause=_NGC),
    950: Code("feed_mode", "feed per revolution", "feed_mode", 95, clause="open controller documentation"),
    980: Code("return_level", "return to the initial level", "return_level", 98, clause=_NGC),
    990: Code("return_level", "return to R", "return_level", 99, clause=_NGC),
}

# Codes that act through a function of `coolcheck.nc.settings` or `coolcheck.nc.control`, by the name in `act`.
_ACTING = {
    0: Code("motion", "rapid", clause=_NGC),
    10: Code("motion", "feed along a line", clause=_NGC),
    20: Code("motion", "arc clockwise", clause=_NGC),
    30: Code("motion", "arc counterclockwise", clause=_NGC),
    330: Code("motion", "thread", clause=_NGC),
    331: Code("motion", "rigid tap", clause="open controller documentation"),
    800: Code("motion", "cancel cycle", clause=_NGC),
    382: Code("motion", "probe", clause=_NGC),
    383: Code("motion", "probe", clause="open controller documentation"),
    384: Code("motion", "probe", clause="open controller documentation"),
    385: Code("motion", "probe", clause="open controller documentation"),
    40: Code("once", "dwell", act="dwell", clause=_NGC),
    100: Code("once", "set data", act="set_data", clause=_NGC),
    270: Code("once", "check reference return", act="reference", clause=_WA),
    280: Code("once", "return to reference", act="reference", clause=_NGC),
    290: Code("once", "return from reference", act="from_reference", clause=_WA),
    300: Code("once", "return to second reference", act="reference", clause=_NGC),
    310: Code("once", "skip", act="skip", clause=_WA),
    370: Code("once", "measure tool length", act="measure", clause=_WA),
    520: Code("once", "local shift", act="local_shift", clause=_WA),
    530: Code("machine", "machine coordinates", clause=_NGC),
    650: Code("once", "macro call", act="macro_call", clause=_WA),
    920: Code("once", "preset position", act="preset", clause=_NGC),
    921: Code("once", "cancel preset", act="preset_off", clause=_NGC),
    922: Code("once", "suspend preset", act="preset_off", clause=_NGC),
    923: Code("once", "restore preset", act="preset_off", clause=_NGC),
    660: Code("macro", "modal macro call", act="macro_call", clause=_WA),
    661: Code("macro", "modal macro call in every block", act="macro_call", clause=_WA),
    670: Code("macro", "cancel modal macro call", act="macro_cancel", clause=_WA),
    400: Code("side", "side compensation off", act="side", clause=_NGC),
    410: Code("side", "side compensation left", act="side", clause=_NGC),
    420: Code("side", "side compensation right", act="side", clause=_NGC),
    411: Code("side", "side compensation left", act="side", clause="open controller documentation"),
    421: Code("side", "side compensation right", act="side", clause="open controller documentation"),
    430: Code("length", "length offset plus", act="length", clause=_NGC),
    431: Code("length", "length offset by words", act="length", clause="open controller documentation"),
    432: Code("length", "further length offset", act="length", clause="open controller documentation"),
    434: Code("length", "tool centre point control", act="length", clause=_WA),
    440: Code("length", "length offset minus", act="length", clause=_WA),
    490: Code("length", "length offset off", act="length", clause=_NGC),
    540: Code("offset", "work offset", act="offset", clause=_NGC),
    541: Code("offset", "further work offset", act="offset", clause=_WA),
    550: Code("offset", "work offset", act="offset", clause=_NGC),
    560: Code("offset", "work offset", act="offset", clause=_NGC),
    570: Code("offset", "work offset", act="offset", clause=_NGC),
    580: Code("offset", "work offset", act="offset", clause=_NGC),
    590: Code("offset", "work offset", act="offset", clause=_NGC),
    591: Code("offset", "work offset", act="offset", clause=_NGC),
    592: Code("offset", "work offset", act="offset", clause=_NGC),
    593: Code("offset", "work offset", act="offset", clause=_NGC),
    1540: Code("offset", "further work offset", act="offset", clause=_WA),
    150: Code("polar", "polar coordinates off", act="polar", clause=_WA),
    160: Code("polar", "polar coordinates", act="polar", clause=_WA),
    500: Code("scaling", "scaling off", act="scaling", clause=_WA),
    510: Code("scaling", "scaling", act="scaling", clause=_WA),
    501: Code("mirror", "mirror off", act="mirror", clause=_WA),
    511: Code("mirror", "mirror", act="mirror", clause=_WA),
    680: Code("rotation", "rotation", act="rotation", clause=_WA),
    690: Code("rotation", "rotation off", act="rotation", clause=_WA),
    682: Code("rotation", "tilted plane", act="tilted", clause=_WA),
    684: Code("rotation", "tilted plane", act="tilted", clause=_WA),
    901: Code("arc_centre", "absolute arc centres", act="arc_centre", clause="open controller documentation"),
    911: Code("arc_centre", "incremental arc centres", act="arc_centre", clause="open controller documentation"),
    960: Code("spindle_mode", "constant surface speed", act="spindle_mode", clause="open controller documentation"),
    970: Code("spindle_mode", "spindle speed", act="spindle_mode", clause="open controller documentation"),
    90: Code("once", "exact stop", act="nothing", clause=_WA),
    610: Code("path", "exact stop", act="path", clause=_NGC),
    611: Code("path", "exact stop", act="path", clause=_NGC),
    620: Code("path", "corner override", act="path", clause=_WA),
    630: Code("path", "tapping", act="path", clause=_WA),
    640: Code("path", "continuous", act="path", clause=_NGC),
    531: Code("once", "turn to the tilted plane", act="unknown_axes", clause=_WA),
}

# Known to move nothing that a review follows: look-ahead, stroke limits, smoothing, spindle supervision, diameter input off.
_QUIET = {
    50: "cutting mode select",
    51: "high-speed mode",
    54: "smooth interpolation",
    70: "diameter mode",
    80: "radius mode",
    81: "look-ahead",
    110: "data entry off",
    220: "stroke check on",
    230: "stroke check off",
    250: "spindle supervision off",
    260: "spindle supervision on",
    1030: "look-ahead limit",
    1870: "accuracy control",
}

# Recognised; the path they make is not worked out, so the axes of their block become unknown.
_NOT_SIMULATED = {
    21: "involute or spiral",
    31: "involute or spiral",
    52: "spline",
    53: "spline block end",
    55: "spline",
    60: "single direction",
    61: "spline",
    62: "spline",
    71: "cylindrical interpolation",
    120: "circular pocket clockwise",
    130: "circular pocket counterclockwise",
    121: "polar interpolation",
    131: "polar interpolation off",
    340: "variable thread",
    350: "circle of holes",
    360: "arc of holes",
    450: "offset increase",
    460: "offset decrease",
    470: "offset double increase",
    480: "offset double decrease",
    600: "single direction",
    171: "UV plane",
    181: "WU plane",
    191: "VW plane",
    332: "spindle-synchronised motion",
}

LATHE_CYCLES = frozenset({700, 710, 720, 750, 780})  # always; 73, 74 and 76 by their words
_FURTHER_OFFSETS = range(110, 130)  # G110 to G129: G154 P1 to P20 on the controls that have them


def code_table(meaning: Semantics) -> Mapping[int, Code]:
    """The G codes that a dialect knows."""
    table = {**_SIMPLE, **_ACTING}
    for code, name in _QUIET.items():
        table[code] = Code("once", name, act="nothing", clause=_WA)
    for code, name in _NOT_SIMULATED.items():
        table[code] = Code("once", name, act="not_simulated", clause=_WA)
    if meaning.lathe_codes:
        for code in LATHE_CYCLES:
            table[code] = Code("once", "turning cycle", act="lathe", clause=_WA)
    for number in _FURTHER_OFFSETS:
        table[number * 10] = Code("offset", "further work offset", act="offset", clause=_WA)
    for number in meaning.cycles:
        table[number * 10] = Code("motion", f"canned cycle G{number}", clause=_NGC)
    for rigid, cycle in ((842, 84), (843, 74)):  # rigid tapping, right and left hand
        if cycle in meaning.cycles:
            table[rigid] = Code("motion", f"canned cycle G{cycle}", clause=_WA)
    for number in meaning.inch_codes:
        table[number * 10] = Code("units", "inch", "units", 20, clause=_NGC)
    for number in meaning.millimetre_codes:
        table[number * 10] = Code("units", "millimetre", "units", 21, clause=_NGC)
    return MappingProxyType(table)


CYCLE_OF = {842: 84, 843: 74}  # G codes that are another one's cycle


def cycle_of(motion: int) -> int:
    """The number of the canned cycle that a motion code is, 0 when it is none."""
    if motion in CYCLE_OF:
        return CYCLE_OF[motion]
    return motion // 10 if 730 <= motion <= 890 and motion % 10 == 0 and motion != 800 else 0


def shown(code: int) -> str:
    """A G code as it is written: 541 is "G54.1"."""
    return f"G{code // 10}.{code % 10}" if code % 10 else f"G{code // 10}"


def first_state(meaning: Semantics) -> State:
    """The state at the start of a program."""
    modal = Modal(
        plane=meaning.plane or 17,
        feed_mode=meaning.feed_mode or 94,
        units=meaning.units,
        distance=meaning.distance or 90,
        return_level=meaning.return_level or 98,
    )
    return State(modal=modal, arc_centre=meaning.arc_centre)
