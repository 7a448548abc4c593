"""Needed against delivered: one bar for what is there, a post where the need ends; an unknown is a dashed bar that says so."""

from markupsafe import Markup

from coolcheck.report.pictures.svg import element, joined, percent, picture
from coolcheck.report.shown import number

HIGH = 26
ROOM = 0.72  # share of the width that the larger of the two takes; its number stands behind it


def bar(name: str, unit: str, needed: float | None, there: float | None, is_commanded: bool = True) -> Markup:
    """One quantity of one operation; what could be there and is not commanded is an outline."""
    largest = max(needed or 0.0, there or 0.0)
    scale = ROOM / largest if largest > 0 else 0.0
    parts = [element("line", x1=0, x2="100%", y1=HIGH - 3, y2=HIGH - 3, class_="ground")]
    if there is None:
        parts.append(element("rect", x=0, y=4, width=percent(ROOM), height=14, class_="gap"))
        parts.append(element("text", "not known what is there", x=8, y=15))
    else:
        fill = "possible" if not is_commanded else "fill-wet" if needed is None or there >= needed else "fill-shut"
        parts.append(element("rect", x=0, y=4, width=percent(max(there * scale, 0.004)), height=14, class_=f"there {fill}"))
    if needed is not None and needed > 0:
        x = percent(needed * scale)
        parts.append(element("line", x1=x, x2=x, y1=0, y2=HIGH - 3, class_="need"))
    return picture(f"{name}: {words(unit, needed, there)}", joined(parts), class_="bar", width="100%", height=HIGH)


def words(unit: str, needed: float | None, there: float | None) -> str:
    """The same in words: "20 bar needed, 32 there"."""
    need = "need not known" if needed is None else f"{number(needed, 3)} {unit} needed" if needed else "none needed"
    have = "what is there not known" if there is None else f"{number(there, 3)} {unit} there"
    return f"{need}, {have}"


def margin(needed: float | None, there: float | None) -> str:
    """How much more is there than needed: "+60 %", "" where that cannot be said."""
    if needed is None or there is None or needed <= 0:
        return ""
    return f"{(there / needed - 1) * 100:+.0f} %"
