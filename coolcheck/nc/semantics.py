"""What the codes of a dialect do: one row a difference between controls, read from `meaning` in its record."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from coolcheck.errors import DialectError, Problem
from coolcheck.place import Place

DOES = (
    "stop", "optional_stop", "end", "spindle", "spindle_and_fluid", "fluid", "tool_change", "orient", "override", "gear",
    "rigid_tap", "call", "local_call", "return",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Miscellaneous:
    """A row of the M code table. A code without a row is builder-assigned: only a machine record can explain it.

    does : one of DOES
    after_move : takes effect when the motion of its block is done
    spindle : clockwise | counterclockwise | off
    fluid : such as "flood on", "all off"; "" where the code concerns fluid and only a machine record tells which
    """

    code: int
    does: str
    after_move: bool = False
    spindle: str = ""
    fluid: str = ""


@dataclass(frozen=True)
class Semantics:
    """The meaning of codes and words on one family of controls. Lengths in mm unless said otherwise.

    units, plane, distance, feed_mode, return_level, motion : modal state at the start; None: a program must state it
    work_offset : the work offset in force at the start
    cycle_group : canned cycles and G80 are a modal group of their own ("separate") or belong to the "motion" group
    inch_codes, millimetre_codes : G codes that choose the unit
    cycles : G codes of the canned cycles it has
    arc_centre : "incremental" or "absolute" I J K at the start
    arc_tolerance_mm, arc_tolerance_inch : how far start and end radius may differ [mm], [inch]
    arc_tolerance_relative : or this share of the radius, when larger; arc_tolerance_factor : but never more than so many times
    arc_radius_and_centre : "radius" wins over I J K, or both together are an "error"
    arc_turns : the letter of further turns, "" for none
    helix_feed : F is the speed along the "path", or in the "plane" only
    dwell_letters : words of G4 that hold a time; dwell_without_point, dwell_with_point : seconds of one unit
    incremental_base : in G91 the R word of a cycle counts from the "initial" level or the "current" height
    old_level : G98 returns to the level before the "series" of cycle blocks or before this "block"
    sticky : R and Z kept between cycle blocks are a "height", or the "number" as written
    full_retract_to : between full-retract pecks the tool goes to "r", or to the level of G98/G99: "clear"
    peck_clearance : height above the last bottom to which it comes back; chip_break : retract of a chip-break peck
    clearances_are_assumed : both are parameters of the control, so the values here are an assumption
    tap_out, bore_out : tapping and boring cycles feed out to "r", then rapid, or feed all the way to "clear"
    back_bore : G87 words: "shift" (Q, R below Z) or "centre" (I J K)
    peck_words : peck forms it knows: q (one depth), ijk (first, reduction, least), qk (chip break, full retract each K)
    repeat_letters : words that repeat a cycle; cycle_starts_on : words one of which a block must have to run the cycle
    small_pecks : a Q without a point that is deeper than the hole counts increments of so many units (mm, inch); empty: no
    reference_axes : G28 moves the "named" axes or "all"
    tool_change_moves : axes that a tool change moves somewhere
    tool_change_takes : in `M6 T6` the tool of the "block", or the one waiting at the "gate"
    tool_change_stops_spindle, end_turns_off : what these codes do besides; end_turns_off is such as "all off"
    tape_mark_ends : a closing % ends the program as M2 does
    g10_l20 : G10 L20 sets "extended" work offsets or the position "here"
    thread_lead : letter of the lead in G33
    vacant : unassigned variables are vacant; else they are 0
    kept_variables : from this number on common variables outlive the program, so an unassigned one is not known; 0 for none
    local_variables : #1 to this number belong to a call; 0 for none
    system_variables : which layout of system variables: word_address | rs274
    arguments : letter → local variable of a macro call
    packed_calls : M98 P51002 is program 1002 five times
    e_word : "none", "feed", or "rapid_percent"
    scale_without_point : one unit of a G51 factor written without a point
    bare_feed : worth of one F unit without a point: mm/min, inch/min, mm/rev, inch/rev
    lathe_codes : codes of turning cycles are recognised and reported
    m_codes : the table of M codes
    """

    units: int | None
    plane: int | None
    distance: int | None
    feed_mode: int | None
    return_level: int | None
    motion: int | None
    work_offset: str
    cycle_group: str
    inch_codes: tuple[int, ...]
    millimetre_codes: tuple[int, ...]
    cycles: tuple[int, ...]
    arc_centre: str
    arc_tolerance_mm: float
    arc_tolerance_inch: float
    arc_tolerance_relative: float
    arc_tolerance_factor: float
    arc_radius_and_centre: str
    arc_turns: str
    helix_feed: str
    dwell_letters: str
    dwell_without_point: float
    dwell_with_point: float
    incremental_base: str
    old_level: str
    sticky: str
    full_retract_to: str
    peck_clearance: float
    chip_break: float
    clearances_are_assumed: bool
    tap_out: str
    bore_out: str
    back_bore: str
    peck_words: tuple[str, ...]
    repeat_letters: str
    cycle_starts_on: str
    small_pecks: tuple[float, ...]
    reference_axes: str
    tool_change_moves: str
    tool_change_takes: str
    tool_change_stops_spindle: bool
    end_turns_off: str
    tape_mark_ends: bool
    g10_l20: str
    thread_lead: str
    vacant: bool
    kept_variables: int
    local_variables: int
    system_variables: str
    arguments: Mapping[str, int]
    packed_calls: bool
    e_word: str
    scale_without_point: float
    bare_feed: tuple[float, ...]
    lathe_codes: bool
    m_codes: Mapping[int, Miscellaneous] = field(default_factory=dict)

    @classmethod
    def of(cls, mapping: Any, place: Place, base: "Semantics | None" = None) -> "Semantics":
        """The meaning written in a dialect record; what it leaves out is as in `base`. Raises DialectError."""
        problems: list[Problem] = []
        given = _given(cls, mapping, place, problems)
        wanted = {f.name for f in fields(cls)} - set(given) if base is None else set()
        problems += [Problem(place, f"the dialect record does not say {_key(name)!r}") for name in sorted(wanted)]
        if problems:
            raise DialectError(problems)
        if base is None:
            return cls(**given)
        if "m_codes" in given:
            given["m_codes"] = {**base.m_codes, **given["m_codes"]}
        return replace(base, **given)


def _key(name: str) -> str:
    return name.replace("_", " ")


_CHOICES: Mapping[str, tuple[Any, ...]] = {
    "units": (20, 21, None),
    "plane": (17, 18, 19, None),
    "distance": (90, 91, None),
    "feed_mode": (93, 94, 95, None),
    "return_level": (98, 99, None),
    "motion": (0, 1, None),
    "cycle_group": ("separate", "motion"),
    "arc_centre": ("incremental", "absolute"),
    "arc_radius_and_centre": ("radius", "error"),
    "helix_feed": ("path", "plane"),
    "incremental_base": ("initial", "current"),
    "old_level": ("series", "block"),
    "sticky": ("height", "number"),
    "full_retract_to": ("r", "clear"),
    "tap_out": ("r", "clear"),
    "bore_out": ("r", "clear"),
    "back_bore": ("shift", "centre"),
    "reference_axes": ("named", "all"),
    "tool_change_takes": ("block", "gate"),
    "g10_l20": ("extended", "here"),
    "thread_lead": ("K", "F"),
    "system_variables": ("word_address", "rs274"),
    "e_word": ("none", "feed", "rapid_percent"),
}


def _given(cls: type[Semantics], mapping: Any, place: Place, problems: list[Problem]) -> dict[str, Any]:
    if not isinstance(mapping, Mapping):
        problems.append(Problem(place, "`meaning` is a list of keys", "see grammars/dialects for examples"))
        return {}
    known = {_key(f.name): f for f in fields(cls)}
    given: dict[str, Any] = {}
    for key, value in mapping.items():
        if key not in known:
            problems.append(Problem(place, f"a dialect record has no key {key!r} in `meaning`", f"known are: {', '.join(known)}"))
            continue
        name = known[key].name
        try:
            given[name] = _value(name, str(known[key].type).removeprefix("<class '").removesuffix("'>"), value)
        except (TypeError, ValueError) as fault:
            problems.append(Problem(place, f"`meaning`: {key} is {value!r}", str(fault)))
    return given


def _value(name: str, kind: str, value: Any) -> Any:
    """The value as its field holds it. Raises ValueError or TypeError that says what may stand there."""
    if name == "m_codes":
        return {_code(code): _miscellaneous(_code(code), row) for code, row in value.items()}
    if name == "arguments":
        return {str(letter): int(number) for letter, number in value.items()}
    if name in _CHOICES:
        if value not in _CHOICES[name] or isinstance(value, bool):
            raise ValueError("write one of: " + ", ".join("null" if c is None else str(c) for c in _CHOICES[name]))
        return value
    if kind == "bool":
        return _truth(value)
    if kind.startswith("tuple"):
        inner = {"int": int, "float": float}.get(kind[6 : kind.index(",")], str)
        if not isinstance(value, list):
            raise ValueError("write a list in []")
        return tuple(inner(item) for item in value)
    if kind in ("int", "float"):
        if isinstance(value, bool):
            raise ValueError("write a number")
        return int(value) if kind == "int" else float(value)
    return str(value)


def _truth(value: Any) -> bool:
    if value in (True, "yes"):
        return True
    if value in (False, "no"):
        return False
    raise ValueError("write yes or no")


def _code(text: Any) -> int:
    letter, digits = str(text)[:1], str(text)[1:]
    if letter != "M" or not digits.isdigit():
        raise ValueError(f"{text!r} is no M code; write it as M8")
    return int(digits)


def _miscellaneous(code: int, row: Any) -> Miscellaneous:
    if not isinstance(row, Mapping) or row.get("does") not in DOES:
        raise ValueError(f"M{code}: `does` is one of: {', '.join(DOES)}")
    unknown = set(row) - {"does", "after move", "spindle", "fluid"}
    if unknown:
        raise ValueError(f"M{code} has no key {sorted(unknown)[0]!r}")
    return Miscellaneous(
        code, row["does"], _truth(row.get("after move", False)), str(row.get("spindle", "")), str(row.get("fluid", ""))
    )
