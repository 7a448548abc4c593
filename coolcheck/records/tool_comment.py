"""What a comment of a program says of a tool, as fields of a tool record. Language: grammars/tool_comment.lark."""

import csv
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path

from lark import Lark, Token, Tree

from coolcheck.shipped import shipped

MOST_TEXT = 400  # characters; a longer comment is no tool description

_KINDS = {"tap_drill": "drill", "mill_drill": "chamfer_mill"}  # the others are named as the records name them
_POINTED = ("drill", "gun_drill", "spot_drill", "centre_drill", "step_drill", "chamfer_mill")  # their angle is the point angle
_THREADED = ("tap", "form_tap", "thread_mill")
_DEEPER_THAN_WIDE = ("drill", "gun_drill")  # what they make
_INCH_DEN = (2, 4, 8, 16, 32, 64)  # denominators of inch fractions; 5/3 is none
_ANGLES = (60, 82, 90, 100, 118, 120, 130, 135, 140, 142, 145)  # usual point angles: a bare 118 beside a drill may be one
_GAPS = ("flutes", "substrate", "INSERTS", "THROUGH", "ratio", "angle", "TOLERANCE")  # may stand between size and kind
_IN = Fraction(254, 10)
_SAME = Fraction(1, 100)  # mm; .2656 and 17/64 are one size
# threads an inch of the number sizes and of one inch (ASME B1.1, from memory): 10-32 is a number size, 1-8 is one inch
_NUMBER_SIZES = {
    0: (80,), 1: (64, 72), 2: (56, 64), 3: (48, 56), 4: (40, 48), 5: (40, 44), 6: (32, 40), 8: (32, 36), 10: (24, 32),
    12: (24, 28, 32),
}  # fmt: skip
_ONE_INCH = (8, 12, 14, 20)


@dataclass(frozen=True)
class Size:
    """A diameter that a comment states: `unit` mm, in or "" where the comment has none; `written` as a record has it."""

    value: Fraction
    unit: str
    written: str

    def in_mm(self, program: str) -> Fraction:
        """In millimetres, a size without a unit in the unit of the program."""
        return self.value * (_IN if (self.unit or program) == "in" else 1)

    def is_like(self, other: "Size", program: str) -> bool:
        """The same size; a number without a unit also agrees with the number of the other (2" and DIA. - 2.)."""
        units = {program, other.unit} if not self.unit else {program, self.unit} if not other.unit else {program}
        return any(abs(self.in_mm(unit) - other.in_mm(unit)) <= _SAME for unit in units)

    def told(self, program: str) -> str:
        """With its unit, or that of the program."""
        return f"{self.written} {self.unit or program}".strip()


@dataclass
class ToolTalk:
    """What one comment says: the T number it names, and field values as a record would have them.

    `sizes` are the diameters it states; `number_drill` is the number of a size like #7, which may be a tool number as well;
    `doubts` are by field what may be meant and is not believed.
    """

    tool: int | None = None
    said: dict[str, list[str]] = field(default_factory=dict)
    sizes: list[Size] = field(default_factory=list)
    number_drill: int | None = None
    doubts: dict[str, str] = field(default_factory=dict)

    def is_its_number(self, tool: int | None) -> bool:
        """May the #7 that it takes for a size be the number of that tool."""
        return self.tool is None and self.number_drill is not None and self.number_drill == tool

    def in_units(self, unit: str) -> dict[str, str]:
        """The fields that are stated without a doubt, numbers without a unit taken as `unit` (mm or in)."""
        found = {name: values[0] for name, values in self.said.items() if len(values) == 1 and name not in self.doubts}
        if self.sizes and "DC" not in self.doubts and not self._rivals(unit):
            best = next((size for size in self.sizes if size.unit), self.sizes[0])
            found = {"DC": best.told(unit), **found}
        return {name: f"{value} {unit}".strip() if _is_bare(name, value) else value for name, value in found.items()}

    def doubts_in(self, unit: str) -> dict[str, str]:
        """By field, what is said and not believed: two values for one thing, or a number that may mean something else."""
        rivals = {name: " or ".join(values) for name, values in self.said.items() if len(values) > 1}
        if sizes := self._rivals(unit):
            rivals["DC"] = " or ".join(dict.fromkeys(size.told(unit) for size in sizes))
        return {**self.doubts, **rivals}

    def _rivals(self, unit: str) -> list[Size]:
        is_one = all(one.is_like(other, unit) for one in self.sizes for other in self.sizes)
        return [] if is_one else self.sizes


Item = Tree[Token] | Token


@lru_cache(maxsize=10_000)  # programs of one folder say the same of the same tools
def read_comment(text: str) -> ToolTalk:
    """What `text` says of a tool, to look at and not to change: it is shared. Never raises: any text is a comment.

    >>> talk = read_comment("T5 D8.5 CARBIDE DRILL 5XD COOLANT THRU")
    >>> talk.tool, sorted(talk.in_units("mm").items())[:3]
    (5, [('DC', '8.5 mm'), ('ULDR', '5'), ('fluid.through', 'yes')])
    >>> sorted(read_comment("3/8-16 TAP").in_units("in").items())
    [('DC', '3/8 in'), ('TDZ', '3/8-16'), ('TP', '1/16 in'), ('kind', 'tap')]
    >>> read_comment("4X 6.8 X 80 DRILL").doubts_in("mm")
    {'DC': '4 and 6.8 and 80 stand beside each other'}
    """
    talk = ToolTalk()
    items = list(_parser().parse(text[:MOST_TEXT]).children)
    for item in items:
        name = _name(item)
        if name in _TELLS:
            _TELLS[name](talk, item)
    _marked_offset(talk, items)
    _kind_decides(talk, items)
    return talk


@cache
def _parser() -> Lark:
    return Lark((shipped("grammars") / "tool_comment.lark").read_text(encoding="utf-8"), parser="lalr", lexer="basic")


def _name(item: Item) -> str:
    return str(item.data) if isinstance(item, Tree) else item.type


def _parts(item: Item) -> dict[str, str]:
    """The tokens of an item by name; of several alike the last."""
    return {token.type: str(token) for token in item.children if isinstance(token, Token)} if isinstance(item, Tree) else {}


def _say(talk: ToolTalk, name: str, value: str) -> None:
    values = talk.said.setdefault(name, [])
    if value not in values:
        values.append(value)


def _tool(talk: ToolTalk, item: Item) -> None:
    number = int("".join(char for char in _parts(item)["TOOL_NUMBER"] if char.isdecimal()))
    talk.tool = number if talk.tool is None else talk.tool


def _amounts(item: Item) -> Iterable[Tree[Token]]:
    return (part for part in item.children if isinstance(part, Tree)) if isinstance(item, Tree) else ()


def _diameter(talk: ToolTalk, item: Item) -> None:
    for amount in _amounts(item):
        _size(talk, amount)


def _amount(talk: ToolTalk, item: Item) -> None:
    """A number with a unit, and a fraction, are the diameter wherever they stand; a bare number only beside the kind."""
    if _parts(item).keys() - {"NUMBER", "COMMA"}:
        _size(talk, item)


def _size(talk: ToolTalk, amount: Item) -> None:
    parts = _parts(amount)
    if "COMMA" in parts:
        talk.doubts["DC"] = f"{parts['COMMA']} may be a number with a decimal comma"
        return
    fraction = parts.get("FRACTION") or parts.get("MIXED")
    value = _inches(fraction) if fraction else _positive(parts["NUMBER"])
    if value is not None:
        unit = "in" if fraction or "INCH" in parts else "mm" if "MM" in parts else ""
        talk.sizes.append(Size(value, unit, fraction.replace("-", " ") if fraction else _plain(value)))


def _inches(text: str) -> Fraction | None:
    """What an inch fraction is worth; None for what is none, such as 5/3."""
    whole, _, part = text.replace("-", " ").rpartition(" ")
    top, _, bottom = part.partition("/")
    if int(bottom) not in _INCH_DEN or part.startswith("0") or (whole and int(top) >= int(bottom)):
        return None
    return Fraction(int(whole or 0)) + Fraction(int(top), int(bottom))


def _between(talk: ToolTalk, item: Item) -> None:
    numbers = [" ".join(_parts(amount).values()) for amount in _amounts(item)]
    talk.doubts["DC"] = f"which is the diameter, {' or '.join(numbers)}?"


def _other_diameter(talk: ToolTalk, item: Item) -> None:
    numbers = " ".join(value for amount in _amounts(item) for value in _parts(amount).values())
    talk.doubts["DC"] = f"diameter {numbers} may be of something else"


def _corner(talk: ToolTalk, item: Item) -> None:
    value = Fraction(_parts(item).get("NUMBER", "-1").rstrip("."))
    if value >= 0:
        _say(talk, "RE", _plain(value))


def _angle(talk: ToolTalk, item: Item) -> None:
    parts = _parts(item)
    number = parts.get("NUMBER") or parts.get("ANGLE", "0").upper().rstrip("DEGRS° ")
    value = _positive(number)
    if value is not None and value <= 180:
        _say(talk, "SIG", f"{_plain(value)} deg")


def _metric_thread(talk: ToolTalk, item: Item) -> None:
    numbers = "".join(_parts(item)["METRIC"][1:].upper().split()).replace("*", "X").split("X")
    values = [_positive(number) for number in numbers]
    if all(value is not None for value in values):
        _say(talk, "TDZ", "M" + "X".join(_plain(value) for value in values if value is not None))


def _inch_thread(talk: ToolTalk, item: Item) -> None:
    _say(talk, "TDZ", _parts(item)["INCH_THREAD"])


def _drill_size(talk: ToolTalk, item: Item) -> None:
    name = "".join(next(iter(_parts(item).values())).upper().replace("LETTER", "").replace("NO", "").split()).strip("#.")
    size = _drill_sizes().get(name.lstrip("0"))
    if size is not None:
        talk.sizes.append(Size(Fraction(size), "in", size))
        talk.number_drill = int(name) if name.isdecimal() else talk.number_drill


def _flutes(talk: ToolTalk, item: Item) -> None:
    count = int("".join(char for char in _parts(item)["FLUTES"] if char.isdecimal()))
    if 0 < count <= 30:
        _say(talk, "NOF", str(count))


def _ratio(talk: ToolTalk, item: Item) -> None:
    value = _positive(_parts(item)["RATIO"].upper().rstrip("XD- "))
    if value is not None:
        _say(talk, "ULDR", _plain(value))


def _kind(talk: ToolTalk, item: Item) -> None:
    name = next(iter(_parts(item))).lower()
    talk.said.setdefault("kind", [_KINDS.get(name, name)])  # the first: a tap drill for a tap is a drill


def _substrate(talk: ToolTalk, item: Item) -> None:
    name = next(iter(_parts(item)))
    _say(talk, "substrate", name if name in ("CBN", "PCD", "HSS") else name.lower())


def _through(talk: ToolTalk, _item: Item) -> None:
    talk.said["fluid.through"] = ["yes"]


def _inserts(talk: ToolTalk, _item: Item) -> None:
    talk.said["insert"] = ["yes"]


def _marked_offset(talk: ToolTalk, items: list[Item]) -> None:
    """D12 without a point may be an offset number: beside H12, or as D12 of T12."""
    marks = [
        _parts(amount) for item in items if _name(item) == "diameter" and "D_MARK" in _parts(item) for amount in _amounts(item)
    ]
    numbers = [parts["NUMBER"] for parts in marks if set(parts) == {"NUMBER"} and parts["NUMBER"].isdecimal()]
    has_offset = any(_name(item) == "LENGTH_OFFSET" for item in items)
    for number in numbers:
        if has_offset or int(number) == talk.tool:
            talk.doubts["DC"] = f"D{number} may be the number of an offset"


def _kind_decides(talk: ToolTalk, items: list[Item]) -> None:
    """What holds only for some kinds: threads, point angles, and a number beside the kind, which is the diameter."""
    kind = talk.said.get("kind", [""])[0]
    if kind in _DEEPER_THAN_WIDE:
        _drilled_deep(talk, items)
    if kind in _THREADED:
        _thread(talk, kind, any(_name(item) == "NOMINAL" for item in items))
    else:
        talk.said.pop("TDZ", None)
    if kind not in _POINTED:
        talk.said.pop("SIG", None)
    if kind == "indexable_drill":
        talk.said["insert"] = ["yes"]
    if talk.number_drill is not None and any(_is_bare_amount(item) for item in items):
        talk.doubts["DC"] = f"#{talk.number_drill} is no size where another number stands"
    if kind and not talk.sizes and "DC" not in talk.doubts:
        _beside_kind(talk, kind, items)


def _drilled_deep(talk: ToolTalk, items: list[Item]) -> None:
    """DRILL 8.5 DEEP 40: the first number, just behind a kind that drills deep, is the diameter where the other is larger."""
    said = [item for item in items if _name(item) not in _GAPS]
    for before, item in zip(said, said[1:], strict=False):
        if _name(before) != "kind" or _name(item) != "crossed" or "DEEP" not in _parts(item):
            continue
        amounts = list(_amounts(item))
        numbers = [_positive(_parts(amount).get("NUMBER", "0")) for amount in amounts]
        if len(numbers) == 2 and all(numbers) and numbers[0] < numbers[1]:  # type: ignore[operator]
            talk.doubts.pop("DC", None)
            _size(talk, amounts[0])


def _thread(talk: ToolTalk, kind: str, is_nominal: bool) -> None:
    """Diameter and pitch that a thread size states. A thread mill is narrower than its thread."""
    sizes = talk.said.get("TDZ", [])
    if is_nominal:
        talk.doubts["DC"] = "the size of such a thread is not its diameter"
    if len(sizes) != 1:
        return
    diameter, pitch = _metric(sizes[0]) if sizes[0].startswith("M") else _inch(sizes[0])
    if diameter is None:
        talk.doubts["TDZ"] = f"{sizes[0]} is no thread size of ASME B1.1"
        return
    if kind != "thread_mill":
        talk.sizes.append(diameter)
    if pitch:
        _say(talk, "TP", pitch)


def _metric(size: str) -> tuple[Size | None, str]:
    diameter, _, pitch = size[1:].partition("X")
    return Size(Fraction(diameter), "mm", diameter), f"{pitch} mm" if pitch else ""


def _inch(size: str) -> tuple[Size | None, str]:
    """Diameter and pitch of 3/8-16, of the number size 10-32 (0.060 in + 0.013 in a number, ASME B1.1), of one inch 1-8."""
    name, _, threads = size.rpartition("-")
    per_inch = Fraction(threads)
    if not 4 <= per_inch <= 80:
        return None, ""
    pitch = f"1/{threads} in" if per_inch.denominator == 1 else f"{float(1 / per_inch):.6g} in"
    if "/" in name:
        value = _inches(name)
        return (None, "") if value is None else (Size(value, "in", name.replace("-", " ")), pitch)
    number = int(name.lstrip("#"))
    if per_inch in _NUMBER_SIZES.get(number, ()):
        value = Fraction(60 + 13 * number, 1000)
        return Size(value, "in", f"{float(value):.3f}"), pitch
    is_inch = name == "1" and per_inch in _ONE_INCH
    return (Size(Fraction(1), "in", "1"), pitch) if is_inch else (None, "")


def _beside_kind(talk: ToolTalk, kind: str, items: list[Item]) -> None:
    """The bare number just before the kind or just behind it; a doubt where it may count or measure something else."""
    said = [item for item in items if _name(item) not in _GAPS]
    at = next(index for index, item in enumerate(said) if _name(item) == "kind")
    before, behind = _numbers(said[:at][::-1]), _numbers(said[at + 1 :])
    if before and behind:
        talk.doubts["DC"] = f"which is the diameter, {before[0][0]} or {behind[0][0]}?"
        return
    found = before or behind
    if not found:
        return
    text = found[0][0]
    if len(found) > 1 and (before or "." not in text):  # 8.0 X 112 behind the kind: diameter and length
        talk.doubts["DC"] = f"{' and '.join(number for number, _ in (found[::-1] if before else found))} stand beside each other"
        return
    value = _positive(text) if "," not in text else None
    if value is None:
        talk.doubts["DC"] = f"{text} is no plain number"
    elif found[0][1] and "." not in text:
        talk.doubts["DC"] = f"{text} stands beside `{found[0][1]}` and may mean something else"
    elif len(text.partition(".")[2]) == 4 and value >= 1:
        talk.doubts["DC"] = f"{text} may be the number of a material"
    elif value in _ANGLES and kind in _POINTED:
        talk.doubts["DC"] = f"{text} may be an angle"
    elif behind and value <= 3 and "." not in text:
        talk.doubts["DC"] = f"{text} may be a count"
    else:
        talk.sizes.append(Size(value, "", _plain(value)))


def _numbers(items: list[Item]) -> list[tuple[str, str]]:
    """The bare numbers that follow at once, joined by X, from the kind outwards, each with the word next to it."""
    found: list[tuple[str, str]] = []
    is_open = False  # an X whose other side is not met yet
    for at, item in enumerate(items):
        if _is_bare_amount(item):
            beyond = items[at + 1] if at + 1 < len(items) else None
            word = str(beyond) if isinstance(beyond, Token) and beyond.type == "WORD" and beyond.upper() not in _LINKS else ""
            found.append(("".join(_parts(item).values()), word))
            is_open = False
        elif _name(item) == "BY" and found:
            is_open = True
        else:
            break
    return [*found, ("another number", "")] if is_open else found


def _is_bare_amount(item: Item) -> bool:
    return _name(item) == "amount" and not _parts(item).keys() - {"NUMBER", "COMMA"}


_LINKS = ("WITH", "W")  # words behind a size that give the number no other meaning


def _positive(number: str) -> Fraction | None:
    value = Fraction(number.rstrip("."))
    return value if 0 < value < 10_000 else None


def _is_bare(name: str, value: str) -> bool:
    """A length to which the comment gives no unit."""
    return name == "RE" and " " not in value


def _plain(value: Fraction) -> str:
    """A number as people write it: 8.5, 12, 0.3125."""
    return f"{float(value):.10g}"


@cache
def _drill_sizes() -> dict[str, str]:
    with (Path(__file__).parent / "drill_sizes.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["name"]: f"0{row['inch']}" for row in rows}


_TELLS: dict[str, Callable[[ToolTalk, Item], None]] = {
    "tool": _tool,
    "diameter": _diameter,
    "amount": _amount,
    "between": _between,
    "crossed": _between,
    "other_diameter": _other_diameter,
    "corner": _corner,
    "taper": _angle,
    "angle": _angle,
    "metric_thread": _metric_thread,
    "inch_thread": _inch_thread,
    "drill_size": _drill_size,
    "flutes": _flutes,
    "ratio": _ratio,
    "kind": _kind,
    "substrate": _substrate,
    "THROUGH": _through,
    "INSERTS": _inserts,
}
