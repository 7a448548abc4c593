"""What a comment of a program says of a tool, as fields of a tool record. Language: grammars/tool_comment.lark."""

import csv
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path

from lark import Lark, Token, Tree

from coolcheck.shipped import shipped

MOST_TEXT = 400  # characters; a longer comment is no tool description

_KINDS = {"tap_drill": "drill", "mill_drill": "chamfer_mill"}  # the others are named as the records name them
_POINTED = ("drill", "gun_drill", "spot_drill", "centre_drill", "step_drill", "chamfer_mill")  # their angle is the point angle
_THREADED = ("tap", "form_tap", "thread_mill")
_INCH_DEN = (2, 4, 8, 16, 32, 64)  # denominators of inch fractions; 5/3 is none
_GAPS = ("flutes", "substrate", "INSERTS", "THROUGH", "ratio", "angle")  # may stand between the size and the kind


@dataclass
class ToolTalk:
    """What one comment says: the T number it names, and field values as a record would have them.

    `diameter` waits for the units of the program when the comment states none; `doubts` are things said that are not believed.
    """

    tool: int | None = None
    fields: dict[str, str] = field(default_factory=dict)
    diameter: Fraction | None = None
    doubts: list[str] = field(default_factory=list)

    def in_units(self, unit: str) -> dict[str, str]:
        """The fields, numbers without a unit taken as `unit` (mm or in)."""
        found = dict(self.fields)
        if self.diameter is not None and "DC" not in found:
            found = {"DC": _plain(self.diameter), **found}
        return {name: f"{value} {unit}".strip() if _is_bare(name, value) else value for name, value in found.items()}


Item = Tree[Token] | Token


def read_comment(text: str) -> ToolTalk:
    """What `text` says of a tool. Never raises: any text is a comment.

    >>> talk = read_comment("T5 D=8.5 CARBIDE DRILL 5XD COOLANT THRU")
    >>> talk.tool, sorted(talk.in_units("mm").items())[:3]
    (5, [('DC', '8.5 mm'), ('ULDR', '5'), ('fluid.through', 'yes')])
    >>> sorted(read_comment("3/8-16 TAP").in_units("in").items())
    [('DC', '3/8 in'), ('TDZ', '3/8-16'), ('TP', '1/16 in'), ('kind', 'tap')]
    """
    talk = ToolTalk()
    items: list[Item] = list(_parser().parse(text[:MOST_TEXT]).children)
    for item in items:
        name = _name(item)
        if name in _TELLS:
            _TELLS[name](talk, item)
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


def _first(talk: ToolTalk, name: str, value: str) -> None:
    """The first thing said counts; another value is a doubt."""
    if talk.fields.setdefault(name, value) != value:
        talk.doubts.append(f"{name}: {value}")


def _tool(talk: ToolTalk, item: Item) -> None:
    number = int("".join(char for char in _parts(item)["TOOL_NUMBER"] if char.isdecimal()))
    talk.tool = number if talk.tool is None else talk.tool


def _diameter(talk: ToolTalk, item: Item) -> None:
    parts = _parts(item)
    inch = parts.get("FRACTION") or parts.get("MIXED")
    if inch:
        _inch_fraction(talk, inch)
    elif "MM" in parts or "INCH" in parts:
        _length(talk, item)
    elif (value := _positive(parts["NUMBER"])) is not None:
        talk.diameter = value


def _length(talk: ToolTalk, item: Item) -> None:
    parts = _parts(item)
    value = _positive(parts["NUMBER"])
    if value is not None:
        _first(talk, "DC", f"{_plain(value)} {'mm' if 'MM' in parts else 'in'}")


def _fraction(talk: ToolTalk, item: Item) -> None:
    parts = _parts(item)
    _inch_fraction(talk, parts.get("FRACTION") or parts["MIXED"])


def _inch_fraction(talk: ToolTalk, text: str) -> None:
    bottom = int(text.rpartition("/")[2])
    if bottom in _INCH_DEN and not text.startswith("0"):
        _first(talk, "DC", f"{text.replace('-', ' ')} in")


def _corner(talk: ToolTalk, item: Item) -> None:
    value = Fraction(_parts(item)["NUMBER"])
    if value >= 0:
        talk.fields.setdefault("RE", _plain(value))


def _angle(talk: ToolTalk, item: Item) -> None:
    value = _positive(_parts(item)["NUMBER"])
    if value is not None and value <= 180:
        _first(talk, "SIG", f"{_plain(value)} deg")


def _metric_thread(talk: ToolTalk, item: Item) -> None:
    numbers = [str(token) for token in item.children if isinstance(token, Token) and token.type == "NUMBER"]  # type: ignore[union-attr]
    values = [_positive(number) for number in numbers]
    if all(value is not None for value in values):
        _first(talk, "TDZ", "M" + "X".join(_plain(value) for value in values if value is not None))


def _inch_thread(talk: ToolTalk, item: Item) -> None:
    _first(talk, "TDZ", _parts(item)["INCH_THREAD"])


def _drill_size(talk: ToolTalk, item: Item) -> None:
    name = "".join(next(iter(_parts(item).values())).upper().replace("LETTER", "").replace("NO", "").split()).strip("#.")
    size = _drill_sizes().get(name.lstrip("0"))
    if size is not None:
        _first(talk, "DC", f"{size} in")


def _flutes(talk: ToolTalk, item: Item) -> None:
    value = _positive(_parts(item)["NUMBER"])
    if value is not None and value.denominator == 1 and value <= 30:
        _first(talk, "NOF", str(value))


def _ratio(talk: ToolTalk, item: Item) -> None:
    value = _positive(_parts(item)["NUMBER"])
    if value is not None:
        _first(talk, "ULDR", _plain(value))


def _kind(talk: ToolTalk, item: Item) -> None:
    name = next(iter(_parts(item))).lower()
    kind = _KINDS.get(name, name)
    if "kind" not in talk.fields:
        talk.fields["kind"] = kind


def _substrate(talk: ToolTalk, item: Item) -> None:
    name = next(iter(_parts(item)))
    _first(talk, "substrate", name if name in ("CBN", "PCD", "HSS") else name.lower())


def _through(talk: ToolTalk, _item: Item) -> None:
    talk.fields["fluid.through"] = "yes"


def _inserts(talk: ToolTalk, _item: Item) -> None:
    talk.fields["insert"] = "yes"


def _kind_decides(talk: ToolTalk, items: list[Item]) -> None:
    """What holds only for some kinds: threads, point angles, and a number beside the kind, which is the diameter."""
    kind = talk.fields.get("kind", "")
    if kind in _THREADED:
        _thread(talk)
    else:
        talk.fields.pop("TDZ", None)
    if kind not in _POINTED:
        talk.fields.pop("SIG", None)
    if kind == "indexable_drill":
        talk.fields["insert"] = "yes"
    if talk.diameter is None and "DC" not in talk.fields and kind:
        talk.diameter = _beside_kind(items)


def _thread(talk: ToolTalk) -> None:
    """Diameter and pitch that a thread size states."""
    size = talk.fields.get("TDZ", "")
    if size.startswith("M"):
        diameter, _, pitch = size[1:].partition("X")
        talk.fields["DC"] = f"{diameter} mm"
        if pitch:
            talk.fields["TP"] = f"{pitch} mm"
    elif size:
        diameter, _, per_inch = size.rpartition("-")
        # number sizes: 0.060 in + 0.013 in a number (ASME B1.1)
        number = diameter.lstrip("#")
        talk.fields["DC"] = f"{diameter} in" if "/" in diameter else f"{0.060 + 0.013 * int(number):.3f} in"
        if int(per_inch):
            talk.fields["TP"] = f"1/{int(per_inch)} in"


def _beside_kind(items: list[Item]) -> Fraction | None:
    """The number that stands just before the kind, or else just behind it."""
    said = [item for item in items if _name(item) not in _GAPS]
    at = next(index for index, item in enumerate(said) if _name(item) == "kind")
    for beside in (at - 1, at + 1):
        if 0 <= beside < len(said) and _name(said[beside]) == "size":
            return _positive(_parts(said[beside])["NUMBER"])
    return None


def _positive(number: str) -> Fraction | None:
    value = Fraction(number.rstrip("."))
    return value if 0 < value < 10_000 else None


def _is_bare(name: str, value: str) -> bool:
    """A length to which the comment gives no unit."""
    return name in ("DC", "RE") and " " not in value


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
    "length": _length,
    "fraction": _fraction,
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
