"""What the comments of a program say of its operations and tools: titles, classes of work, tool kinds, diameters.

Comments are what people and CAM posts write; what is read from them is evidence of source "comment", weaker than a record. Sizes,
threads and T numbers are read by the one reader of tool comments, `records.tool_comment`; here stand only the words for work.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from coolcheck.place import Place
from coolcheck.records import quantity
from coolcheck.records.quantity import NotAQuantity
from coolcheck.records.tool_comment import read_comment

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution

# Words of the trade and the kind of operation they tell, first match wins: a TAP DRILL is a drill, a SPOT DRILL a spot,
# a THREAD MILL no tap.
KIND_WORDS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(rf"\b(?:{words})\d*\b", re.I))
    for kind, words in (
        ("probe", r"PROB(?:E|ING)|MEASUR(?:E|ING)|INSPECT(?:ION)?|TOOL ?SET(?:TER|TING)?"),
        ("wash", r"WASH(?:[ -]?DOWN)?|SHOWER|CHIP ?CLEAR(?:ING)?|CLEAN ?UP CHIPS"),
        ("thread_mill", r"THREAD[ -]?MILL(?:ING)?|THRD[ -]?MILL"),
        ("drill", r"TAP[ -]?DRILL"),
        ("tap", r"(?:FORM|ROLL|COLD|RIGID|SPIRAL)?[ -]?TAP(?:PING)?"),
        ("gun_drill", r"GUN[ -]?DRILL(?:ING)?"),
        ("spot", r"SPOT(?:TING|[ -]?DRILL(?:ING)?)?|(?:CENTER|CENTRE|CTR)[ -]?DRILL(?:ING)?|CENTERDRILL|CENTREDRILL"),
        ("chamfer", r"C'?SINK|COUNTERSINK(?:ING)?|CSK|CHAMFER(?:ING)?|CHAM|DEBURR(?:ING)?|MILL[ -]DRILL"),
        ("ream", r"REAM(?:ER|ING)?"),
        ("bore", r"(?:BACK ?)?BOR(?:E|ING)"),
        ("engrave", r"ENGRAV(?:E|ER|ING)"),
        ("drill", r"(?:PECK|DEEP|INSERT|INDEXABLE|TWIST|PILOT)?[ -]?DRILL(?:ING|S)?"),
        ("face", r"FAC(?:E|ING)(?:[ -]?MILL(?:ING)?)?"),
        (
            "mill",
            r"END ?MILL(?:ING)?|E\.?M\.?|SHELL(?: ?MILL)?|BALL|BULL(?:NOSE)?|FLAT|POCKET(?:ING)?\d*|CONTOUR(?:ING)?\d*"
            r"|PROFILE\d*|SLOT(?:TING)?\d*|ADAPTIVE\d*|MILL(?:ING)?",
        ),
    )
)
ROUGH = re.compile(r"\b(?:SEMI[ -]?)?ROUGH(?:ING)?\b|\bRUF\b|\bRGH\b", re.I)
FINISH = re.compile(r"\b(?:SEMI[ -]?)?FINI?SH(?:ING)?\b|\bFIN\b", re.I)
BEGIN = re.compile(r"^\s*begin operation\s*:\s*(.*\S)", re.I)
TOOL_LINE = re.compile(
    r"^\s*(?:(?:T|#|TOOL *-? *#?)\s*(\d+)\b|S(\d+) D=)|\bTOOL *- *(\d+)|^\s*M0?6 *T(\d+)|^\s*T(\d+) *M0?6", re.I
)
HEADER = re.compile(
    r"^\s*(?:DATE\b|TIME\b|PROGRAM\b|MACHINE\b|POST\b|EXPORTED\b|UNITS?\b|MATERIAL\b|STOCK\b|FINISH operation|BEGIN TOOL ?CHANGE"
    r"|OUTPUT\b|FILE\b|PART\b|CUSTOMER\b|REV\b|DRAWING\b|O\d+\b|USING\b|HOLDER\b|CUTTER DIA|SETUP\b|WCS\b|VER(?:SION)?\b|%)",
    re.I,
)
MOST_DIAMETER = 0.5  # m; a larger number in a comment is no cutting diameter
UNITS = {20: "in", 21: "mm"}  # of numbers to which a comment gives none


@dataclass(frozen=True, slots=True)
class Remark:
    """One comment: its block, its text, and what it is: "operation" (may name what follows), "tool", "header"."""

    block: int
    text: str
    is_: str
    tool: int | None
    kind: str
    stage: str  # "rough", "finish" or ""
    alone: bool  # nothing else stands in its block
    names: bool  # it names work: by a word of the trade, or as the begin of an operation


@lru_cache(maxsize=10_000)  # programs of one folder say the same
def kind_in(text: str) -> str:
    """The kind of operation a text names, "" for none.

    >>> kind_in("8.5MM TAP DRILL"), kind_in("M8X1.25 TAP"), kind_in("1/2 SPOT DRILL"), kind_in("PART 12")
    ('drill', 'tap', 'spot', '')
    """
    return next((kind for kind, words in KIND_WORDS if words.search(text)), "")


@lru_cache(maxsize=10_000)
def stage_in(text: str) -> str:
    """ "rough" or "finish" where a text names one of them; "" for neither or both."""
    rough, finish = ROUGH.search(text), FINISH.search(text)
    return "" if bool(rough) == bool(finish) else ("rough" if rough else "finish")


def remarks(execution: "Execution") -> tuple[Remark, ...]:
    """Every comment of the program and its subprograms, in block order."""
    found = []
    offset = 0
    for program in (execution.program, *execution.subprograms):
        for block, comment in program.comments():
            text = " ".join(comment.text.split())
            if text:
                found.append(_remark(offset + block, text, not program.block(block).words))
        offset += len(program)
    return tuple(found)


def _remark(block: int, text: str, alone: bool) -> Remark:
    begin = BEGIN.match(text)
    if begin:
        title = begin.group(1)
        return Remark(block, title, "operation", None, kind_in(title), stage_in(title), alone, True)
    number = read_comment(text).tool if TOOL_LINE.search(text) else None  # #7 DRILL begins like a tool line and is a size
    what = "tool" if number is not None else "header" if HEADER.match(text) else "operation"
    kind, stage = kind_in(text), stage_in(text)
    return Remark(block, text, what, number, kind, stage, alone, bool(kind or stage))


def diameter_in(text: str, units: int | None, tool: int | None = None) -> float | None:
    """The cutting diameter that a text states [m], None when it states none, or may mean something else by the number.

    `units` 20 or 21 for numbers without a unit; `tool` is the T number that it is said of: #7 may be the number of T7.

    >>> diameter_in("T1 D=10. CR=0. - ZMIN=-5. - flat end mill", 21), diameter_in("M8X1.25 TAP", 21)
    (0.01, 0.008)
    >>> round(diameter_in("1/4 DRILL", 20), 6), round(diameter_in("#7 DRILL", 20), 7), diameter_in("#7 DRILL", 20, 7)
    (0.00635, 0.0051054, None)
    """
    talk = read_comment(text)
    if talk.is_its_number(tool):
        return None
    value = _length(talk.in_units(UNITS.get(units or 0, "")).get("DC"))
    return value if value is not None and value <= MOST_DIAMETER else None


def pitch_in(text: str) -> float | None:
    """The thread pitch that a text states [m], None when it states none.

    >>> pitch_in("M8X1.25 TAP"), round(pitch_in("T3 - 5/16-18 TAP"), 6)
    (0.00125, 0.001411)
    """
    return _length(read_comment(text).in_units("").get("TP"))


def _length(text: str | None) -> float | None:
    """A length as a comment states it [m]; None for a number without a unit in a program that states none."""
    try:
        return None if text is None else quantity.parse(text, "length").si
    except NotAQuantity:
        return None


def place_of(execution: "Execution", remark: Remark) -> Place:
    """Where the remark stands."""
    return execution.place(remark.block)
