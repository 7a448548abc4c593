"""What the comments of a program say of its operations and tools: titles, classes of work, tool kinds, diameters.

Comments are what people and CAM posts write; what is read from them is evidence of source "comment", weaker than a record.
"""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from coolcheck.place import Place

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
NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
DIAMETERS = (
    (re.compile(rf"\bD=\s*{NUMBER}", re.I), "units"),
    (re.compile(rf"\bDIA\.?\s*-\s*{NUMBER}", re.I), "units"),
    (re.compile(rf"\bDIA(?:METER)?\.?\s*[:=]?\s*{NUMBER}", re.I), "units"),
    (re.compile(rf"{NUMBER}\s*MM\b", re.I), "mm"),
    (re.compile(rf'{NUMBER}\s*(?:"|IN\b|INCH\b)', re.I), "inch"),
    (re.compile(r"\b(\d+)[ -](\d+)/(\d+)(?!\d)", re.I), "mixed"),
    (re.compile(r"(?<![\d.-])(\d+)/(\d+)(?![\d-])", re.I), "fraction"),
    (
        re.compile(
            rf"(?<![\w.]){NUMBER}(?=\s*(?:DIA\b|DRILL|REAM|SPOT|TAP[ -]?DRILL|END ?MILL|E\.?M\.?\b|FACE|BALL|FLAT|BORE))", re.I
        ),
        "units",
    ),
)
METRIC_THREAD = re.compile(rf"\bM{NUMBER}\s*[X*]\s*{NUMBER}", re.I)
INCH_THREAD = re.compile(r"(?<![\d.])(?:(\d+)/(\d+)|#?(\d{1,2}))\s*-\s*(\d{1,2})(?:\s*(?:UN[CF]?|TPI))?(?!\d)", re.I)
INCH = 25.4
MOST_DIAMETER = 500.0  # mm; a larger number in a comment is no cutting diameter


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


def kind_in(text: str) -> str:
    """The kind of operation a text names, "" for none.

    >>> kind_in("8.5MM TAP DRILL"), kind_in("M8X1.25 TAP"), kind_in("1/2 SPOT DRILL"), kind_in("PART 12")
    ('drill', 'tap', 'spot', '')
    """
    return next((kind for kind, words in KIND_WORDS if words.search(text)), "")


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
    tool = TOOL_LINE.search(text)
    number = next((int(group) for group in tool.groups() if group), None) if tool else None
    what = "tool" if tool else "header" if HEADER.match(text) else "operation"
    kind, stage = kind_in(text), stage_in(text)
    return Remark(block, text, what, number, kind, stage, alone, bool(kind or stage))


def diameter_in(text: str, units: int | None) -> float | None:
    """The cutting diameter that a text states [m], None when it states none. `units` 20 or 21 for numbers without a unit.

    >>> diameter_in("T1 D=10. CR=0. - ZMIN=-5. - flat end mill", 21), diameter_in("M8X1.25 TAP", 21)
    (0.01, 0.008)
    >>> round(diameter_in("1/4 DRILL", 20), 6), diameter_in("NO. 32 DRILL", 20)
    (0.00635, None)
    """
    thread = METRIC_THREAD.search(text)
    if thread:
        return float(thread.group(1)) * 1e-3
    inch = INCH_THREAD.search(text) if kind_in(text) in ("tap", "thread_mill") else None
    if inch:
        size = float(inch.group(1)) / float(inch.group(2)) if inch.group(1) and float(inch.group(2)) else None
        # number sizes: 0.060 in + 0.013 in a number, ASME B1.1
        value = size if size is not None else 0.060 + 0.013 * float(inch.group(3) or 0)
        return value * INCH * 1e-3
    for pattern, unit in DIAMETERS:
        match = pattern.search(text)
        if match and not _is_number_drill(text):
            return _length(tuple(float(g) for g in match.groups()), unit, units)
    return None


def _is_number_drill(text: str) -> bool:
    return bool(re.search(r"(?:\bNO\.?\s*|#)\d+\s*DRILL", text, re.I)) and "D=" not in text.upper() and "DIA" not in text.upper()


def _length(numbers: tuple[float, ...], unit: str, units: int | None) -> float | None:
    if unit == "mixed":
        value = (numbers[0] + numbers[1] / numbers[2]) * INCH if numbers[2] else 0.0
    elif unit == "fraction":
        value = numbers[0] / numbers[1] * INCH if numbers[1] else 0.0
    elif unit == "units":
        if units is None:
            return None
        value = numbers[0] * (INCH if units == 20 else 1.0)
    else:
        value = numbers[0] * (INCH if unit == "inch" else 1.0)
    return value * 1e-3 if 0 < value <= MOST_DIAMETER else None


def pitch_in(text: str) -> float | None:
    """The thread pitch that a text states [m], None when it states none.

    >>> pitch_in("M8X1.25 TAP"), round(pitch_in("1/4-20 TAP"), 6)
    (0.00125, 0.00127)
    """
    metric = METRIC_THREAD.search(text)
    if metric:
        return float(metric.group(2)) * 1e-3
    inch = INCH_THREAD.search(text) if kind_in(text) in ("tap", "thread_mill") else None
    if inch and float(inch.group(4)) > 0:
        return INCH * 1e-3 / float(inch.group(4))
    return None


def place_of(execution: "Execution", remark: Remark) -> Place:
    """Where the remark stands."""
    return execution.place(remark.block)
