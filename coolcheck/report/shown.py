"""Values as people read them: numbers with the digits that mean something, times, truths, places, evidence."""

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

from coolcheck.judge.finding import Finding, Measure
from coolcheck.judge.process_words import process_words
from coolcheck.judge.readiness import Change
from coolcheck.known import Evidence, Known, Missing
from coolcheck.place import Place
from coolcheck.records import schema
from coolcheck.records import units as tabled
from coolcheck.records.quantity import pretty
from coolcheck.report.cells import escaped
from coolcheck.report.options import Options

# what people of inch programs read in place of a metric unit: dimension, unit as the table of units has it, as shown
_INCH = {
    "mm": ("length", "in", "in"),
    "mm/min": ("speed", "in/min", "in/min"),
    "m/min": ("speed", "ft/min", "ft/min"),
    "bar": ("pressure", "psi", "psi"),
    "L/min": ("flow", "gal/min", "US gal/min"),  # the US gallon, 231 cubic inches
}
_INCH_NAMES = frozenset(shown for _, _, shown in _INCH.values())
STATED = 2.5e-6  # from a number of four places: what rounding to a ten-thousandth of a millimetre takes from an inch
_MEASURE = re.compile(  # "8.5 mm", "20 to 40 bar"; not what stands in backticks, which is to be typed
    r"`[^`]*`"
    r"|(?<![\w.])(?P<numbers>[0-9]+(?:\.[0-9]+)?(?: to [0-9]+(?:\.[0-9]+)?)?)"
    r" (?P<unit>mm/min|mm|m/min|bar|L/min)(?![\w/²³])"
)


@dataclass(frozen=True, slots=True)
class Units:
    """The one place where reports for people turn metric values into inch ones."""

    is_inch: bool = False

    def name(self, unit: str) -> str:
        """What stands behind a number whose metric unit is `unit`.

        >>> Units().name("L/min"), Units(is_inch=True).name("L/min"), Units(is_inch=True).name("rpm")
        ('L/min', 'US gal/min', 'rpm')
        """
        return _INCH[unit][2] if self.is_inch and unit in _INCH else pretty(unit)

    def value(self, value: float, unit: str) -> float:
        """`value` in `unit`, in the unit that is shown.

        >>> round(Units(is_inch=True).value(25.4, "mm"), 9), round(Units(is_inch=True).value(70.0, "bar"), 1)
        (1.0, 1015.3)
        """
        if not self.is_inch or unit not in _INCH:
            return value
        dimension, inch, _ = _INCH[unit]
        metric, own = tabled.unit(dimension, unit), tabled.unit(dimension, inch)
        assert metric is not None and own is not None  # a test asks for all of them
        return float(value) * float(metric.factor / own.factor)

    def number(self, value: float | None, unit: str, absent: str = "?") -> str:
        """The number alone, for a column; `absent` where it is unknown."""
        if value is None:
            return absent
        return inch_number(self.value(value, unit), self.name(unit)) if self.is_inch and unit in _INCH else number(value)

    def told(self, value: float | None, unit: str, absent: str = "?") -> str:
        """Number and unit."""
        return absent if value is None else f"{self.number(value, unit)} {self.name(unit)}"

    def sentence(self, text: str, measures: Iterable[Measure] = ()) -> str:
        """A sentence of ours with its measures in these units; `measures` are those that were rounded when it was written.

        >>> Units(is_inch=True).sentence("at 20 to 40 bar T12 drills 25.4 mm deep; write `LU: 40 mm`")
        'at 290.1 to 580.2 psi T12 drills 1 in deep; write `LU: 40 mm`'
        >>> Units(is_inch=True).sentence("T3 goes 17.8 mm deep", [("17.8 mm", 17.78)])
        'T3 goes 0.7 in deep'
        """
        return self.sentences((text,), measures)[0]

    def sentences(self, texts: Iterable[str], measures: Iterable[Measure]) -> tuple[str, ...]:
        """The same for several, whose `measures` stand in the order in which they are told."""
        if not self.is_inch:
            return tuple(texts)
        exact: dict[str, list[float]] = {}
        for written, value in measures:
            exact.setdefault(written, []).append(value)
        return tuple(_MEASURE.sub(lambda found: self._measure(found, exact), text) for text in texts)

    def _measure(self, found: "re.Match[str]", exact: Mapping[str, list[float]]) -> str:
        if found["unit"] is None:
            return found[0]
        values = exact.get(found[0])
        if values:
            return self.told(values.pop(0) if len(values) > 1 else values[0], found["unit"])
        numbers = (self.number(float(each), found["unit"]) for each in found["numbers"].split(" to "))
        return f"{' to '.join(numbers)} {self.name(found['unit'])}"

    def evidence(self, evidence: Evidence) -> Evidence:
        """The same evidence, its value in these units, our words in plain ones."""
        value, name = evidence.value, spoken(evidence.name)
        if isinstance(value, str):
            return replace(evidence, name=name, value=spoken(value))
        if isinstance(value, tuple | list | frozenset | set):
            return replace(evidence, name=name, value=type(value)(spoken(v) if isinstance(v, str) else v for v in value))
        if not self.is_inch or evidence.unit not in _INCH or isinstance(value, bool) or not isinstance(value, int | float):
            return replace(evidence, name=name)
        return replace(evidence, name=name, value=self.value(value, evidence.unit), unit=self.name(evidence.unit))

    def missing(self, missing: Missing) -> Missing:
        """The same question, its measures in these units."""
        return replace(missing, question=self.sentence(missing.question)) if self.is_inch else missing

    def finding(self, finding: Finding) -> Finding:
        """The same finding, as it is told to a person who thinks in these units. A question keeps the words of its answer."""
        says, do = self.sentences((spoken(finding.says), finding.do), finding.measures)
        return replace(
            finding,
            says=says,
            do=do,
            evidence=tuple(map(self.evidence, finding.evidence)),
            missing=tuple(map(self.missing, finding.missing)) if self.is_inch else finding.missing,
        )

    def change(self, change: Change) -> Change:
        """The same change, as it is told to a person who thinks in these units."""
        wrong, says = self.sentences((spoken(change.wrong), change.says), change.measures)
        return replace(change, says=says, wrong=wrong, missing=tuple(map(self.missing, change.missing)))


METRIC = Units()

_JOINED = re.compile(r"`[^`]*`|(?<![\w.])[a-z]+(?:_[a-z]+)+(?![\w.])")


def spoken(text: str) -> str:
    """A text of ours with the words of records and of the process as people say them; what is to be typed stays.

    >>> spoken("kind of T3 end_mill, through_tool; write `kind: end_mill`"), spoken("my_own_name")
    ('kind of T3 end mill, through tool; write `kind: end_mill`', 'my_own_name')
    """
    return _JOINED.sub(lambda found: found[0].replace("_", " ") if found[0] in _our_words() else found[0], text)


@cache
def _our_words() -> frozenset[str]:
    fields = [field for kind in schema.KINDS for field in schema.fields(kind).values()]
    for field in fields:  # it grows by the fields of lists
        fields.extend((field.each or {}).values())
    facts = process_words(date.today()).facts.values()  # the day decides no word
    return frozenset(word for one in fields for word in one.words) | {word for fact in facts for word in fact.words}


def inch_number(value: float, unit: str) -> str:
    """A number in a unit of inch programs. One that has four places or fewer was stated so, by a program or a record.

    >>> [inch_number(value, "in") for value in (0.7000000001, 1.0625, 0.055557, 12.34567)], inch_number(1000 / 3, "psi")
    (['0.7', '1.0625', '0.05556', '12.346'], '333.3')
    """
    if abs(value - round(value, 4)) <= STATED < abs(value):
        return number(round(value, 4), 12)
    return number(value, 5 if unit == "in" and abs(value) >= 10 else 4)


def number(value: float, digits: int = 4) -> str:
    """`value` with at most `digits` significant digits, whole numbers whole, never in powers of ten.

    >>> number(8.5000000001), number(14000.0), number(0.000254), number(1234.56)
    ('8.5', '14000', '0.000254', '1235')
    """
    if not math.isfinite(value):
        return "not a number"
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{min(places, 12)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def value(thing: object) -> str:
    """Any value of a record, program or computation in words.

    >>> value(True), value(("P", "M")), value(12.5), value("8 x 1")
    ('yes', 'P, M', '12.5', '8 x 1')
    """
    if isinstance(thing, bool):
        return "yes" if thing else "no"
    if isinstance(thing, float):
        return number(thing)
    if isinstance(thing, tuple | list | frozenset | set):
        items = sorted(map(value, thing)) if isinstance(thing, frozenset | set) else [value(item) for item in thing]
        return ", ".join(items) or "none"
    return escaped(str(thing))


def duration(seconds: float | None) -> str:
    """A time as a clock on the shop wall would count it.

    >>> duration(4.26), duration(75.2), duration(5025), duration(None)
    ('4.3 s', '1 min 15 s', '1 h 24 min', 'unknown')
    """
    if seconds is None:
        return "unknown"
    if seconds < 59.95:
        return f"{number(round(seconds, 1))} s"
    minutes, rest = divmod(round(seconds), 60)
    if minutes < 60:
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def truth(answer: Known[bool]) -> str:
    """The answer in a word: yes, no or unknown."""
    return value(answer.value) if answer.is_known else "unknown"


def plural(count: int, one: str, many: str = "") -> str:
    """The count with its noun.

    >>> plural(1, "hole"), plural(3, "hole"), plural(2, "pass", "passes")
    ('1 hole', '3 holes', '2 passes')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def joined(parts: Iterable[str]) -> str:
    """The parts in a sentence: "a, b and c"."""
    *first, last = list(parts) or [""]
    return f"{', '.join(first)} and {last}" if first else last


def origin(evidence: Evidence, program: str, options: Options) -> str:
    """Where a piece of evidence comes from: a line of the program, a line of a record, or how it was found."""
    place = evidence.place
    where = ""
    if place is not None:
        inside = options.file(place.file) == options.file(program) and place.line
        where = f"line {place.line}" if inside else options.place(Place(place.file, place.line))
    if evidence.source in ("record", "program"):
        return where or evidence.source
    return ", ".join(part for part in (evidence.source, where) if part)


def amount(evidence: Evidence) -> str:
    """The value of a piece of evidence with its unit."""
    told = value(evidence.value)
    if evidence.unit in _INCH_NAMES and isinstance(evidence.value, float):
        told = inch_number(evidence.value, evidence.unit)
    return " ".join(part for part in (told, pretty(evidence.unit)) if part)


def piece(evidence: Evidence, program: str, options: Options) -> str:
    """A piece of evidence in one phrase: `LU 85 mm (tools/T12.yaml:3)`."""
    return f"{escaped(f'{evidence.name} {amount(evidence)}')} ({origin(evidence, program, options)})"


_SETTINGS = ("feed mode", "work offset")  # told as evidence only where they are not what everybody expects


def telling(evidence: Sequence[Evidence], most: int) -> list[Evidence]:
    """The pieces that tell a person most, in their order: numbers and what can be looked up before what only repeats."""
    ranked = sorted(range(len(evidence)), key=lambda at: (_rank(evidence[at]), at))
    return [evidence[at] for at in sorted(ranked[:most])]


def _rank(evidence: Evidence) -> int:
    """A number can be checked by hand, a place can be looked up; a worked-out yes or no only repeats the sentence above it,
    and so does "kind of face mill 63: face mill". A setting that stands somewhere else in the program is often the cause."""
    if evidence.name.startswith(_SETTINGS):
        return -1
    is_number = isinstance(evidence.value, int | float) and not isinstance(evidence.value, bool)
    repeats = f" {value(evidence.value).replace('_', ' ')} " in f" {evidence.name} "
    if not is_number and (evidence.place is None or repeats):
        return 2
    return 1 if evidence.source == "assumed" else 0


def question(missing: Missing, options: Options) -> str:
    """A question to a person, and where to write the answer: ``is the collet sealed? (`sealed` in holders/a.yaml)``."""
    return f"{escaped(missing.question)}{spot(missing, options)}"


def spot(missing: Missing, options: Options) -> str:
    """Where the answer belongs, in brackets; "" where a whole record is missing, or what no record can tell."""
    if missing.place is not None and missing.place.file:
        where = f"in {options.file(missing.place.file)}"
    else:
        where = f"of {escaped(missing.record)}" if missing.record and missing.field else ""
    name = f"`{missing.field}`" if missing.field else ""
    inside = " ".join(part for part in (name, where) if part)
    return f" ({inside})" if inside else ""


def lines_of(places: Iterable[Place], program: str, options: Options, most: int = 0) -> str:
    """The lines of many places, in order, those in other files with their file: "lines 12, 40, 88 and 3 more"."""
    listed = list(places)
    is_here = {file: options.file(file) == options.file(program) for file in {place.file for place in listed}}
    here = {
        place.line for place in listed if place.line and is_here[place.file]
    }  # line 0, the whole program, is no further place
    other = dict.fromkeys(options.place(Place(place.file, place.line)) for place in listed if not is_here[place.file])
    told: list[int | str] = [*sorted(here), *other]
    left = len(told) - most if most and len(told) > most else 0
    names = list(map(str, told[:most] if left else told))
    word = "" if not here else "line " if len(here) == 1 else "lines "
    return word + joined([*names, *([f"{left} more"] if left else [])])
