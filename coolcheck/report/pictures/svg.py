"""The few pieces SVG is put together from: elements, numbers, groups with a title."""

from collections.abc import Iterable

from markupsafe import Markup, escape

from coolcheck.report.cells import escaped


def element(tag: str, *children: str, **attributes: str | float | None) -> Markup:
    """An element with its children. Text and attributes are escaped; markup stays. `class_` and `stroke_width` are written with
    a hyphen or without the trailing underscore; an attribute that is None is left out.

    >>> print(element("text", "a < b", x=1.50, class_="name"))
    <text x="1.5" class="name">a &lt; b</text>
    """
    named = "".join(f' {attribute(name)}="{written(value)}"' for name, value in attributes.items() if value is not None)
    inside = "".join(text(child) for child in children)
    return Markup(f"<{tag}{named}>{inside}</{tag}>" if children else f"<{tag}{named}/>")


def attribute(name: str) -> str:
    """The name of an attribute as SVG has it; those with capitals are written as they are."""
    return name.rstrip("_").replace("_", "-")


def written(value: str | float) -> Markup:
    """The value of an attribute."""
    return text(value) if isinstance(value, str) else Markup(short(value))


def text(child: str) -> Markup:
    """Text with nothing in it that markup, a terminal or an eye could take for something else."""
    return child if isinstance(child, Markup) else escape(escaped(child))


def shown_text(value: object) -> object:
    """What a template writes: text without characters that turn a line round or hide; markup and numbers as they are."""
    return escaped(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def told(sentence: str) -> Markup:
    """A sentence in which what stands in backticks is to be typed.

    >>> print(told("write `sealed: yes` & go"))
    write <code>sealed: yes</code> &amp; go
    """
    parts = sentence.split("`")
    if len(parts) % 2 == 0:  # a backtick that is never closed is only a character
        return text(sentence)
    return joined(element("code", part) if at % 2 else text(part) for at, part in enumerate(parts))


def short(value: float) -> str:
    """A number with at most three places.

    >>> short(3.14159), short(2.0), short(-0.0001)
    ('3.142', '2', '0')
    """
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def percent(share: float) -> str:
    """A share of the width.

    >>> percent(0.125)
    '12.5%'
    """
    return short(share * 100) + "%"


def joined(parts: Iterable[str]) -> Markup:
    """The parts side by side."""
    return Markup("").join(parts)


def picture(title: str, *children: str, class_: str = "", **attributes: str | float | None) -> Markup:
    """A whole picture: `title` is what it says to those who cannot see it."""
    return element("svg", element("title", title), *children, role="img", class_=f"picture {class_}".strip(), **attributes)


def points(pairs: Iterable[tuple[float, float]]) -> str:
    """The points of a polyline."""
    return " ".join(f"{short(x)},{short(y)}" for x, y in pairs)
