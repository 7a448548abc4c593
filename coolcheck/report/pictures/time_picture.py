"""Tools as rows over machine time: each operation a strip with its depth above and the fluid at its edge as texture below."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coolcheck.report.drawn import Drawn
from coolcheck.report.pictures.states import STATES, State, fluid_words, state_of
from coolcheck.report.pictures.svg import element, joined, percent, picture
from coolcheck.report.rows import OperationRow, tool_name, words
from coolcheck.report.shown import duration
from coolcheck.report.strips import Strip
from coolcheck.report.timeline import clock

ROW = 50  # pixels a tool takes
TRACE, BAND = (17, 20), (38, 9)  # top and height of the depth trace and of the texture within a row
FOOT = 20  # the axis
WIDTH = 820  # pixels the picture is taken to have when labels are given room
LETTER = 6.3  # pixels of a letter
TICKS = 9
DENSE = 600  # points of a trace, were it as wide as the picture, from which on its line is thin
NICE = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 36000, 86400)


@dataclass(frozen=True)
class Lane:
    """One tool's row: its name, what it does, and the operations in it."""

    name: str
    does: str
    rows: tuple[OperationRow, ...]


@dataclass(frozen=True)
class TimePicture:
    """The picture, the names of its rows for the column beside it, and the states that occur."""

    svg: Markup
    lanes: tuple[Lane, ...]
    states: tuple[State, ...]
    left_out: int
    has_depths: bool


def time_picture(operations: Sequence[OperationRow], drawn: Drawn, prefix: str) -> TimePicture | None:
    """The picture of these operations, None when there is no time to show. `prefix` starts the names that links go to."""
    strips = {strip.operation: strip for strip in drawn.strips}
    shown = [row for row in operations if row.number in strips]
    total = max((strip.start_s + strip.seconds for strip in drawn.strips), default=0.0)
    if not shown or total <= 0:
        return None
    lanes = lanes_of(shown)
    height = len(lanes) * ROW + FOOT
    parts = [
        joined(axis(total, len(lanes) * ROW)),
        *(joined(lane_marks(lane, at, strips, total, prefix)) for at, lane in enumerate(lanes)),
    ]
    names = dict.fromkeys(state_of(row).name for row in shown)
    return TimePicture(
        picture(
            f"{len(lanes)} tools over {duration(total)} of machine time; the table of operations says the same in words",
            *parts, class_="time", width="100%", height=height,
        ),
        lanes,
        tuple(state for name, state in STATES.items() if name in names),
        len(operations) - len(shown),
        any(strip.points for strip in drawn.strips),
    )  # fmt: skip


def lanes_of(operations: Sequence[OperationRow]) -> tuple[Lane, ...]:
    """The operations by tool, tools in the order in which they are first used."""
    by_tool: dict[int | None, list[OperationRow]] = {}
    for row in operations:
        by_tool.setdefault(row.tool, []).append(row)
    return tuple(
        Lane(tool_name(tool) or "no tool", ", ".join(dict.fromkeys(words(row.kind) for row in rows)), tuple(rows))
        for tool, rows in by_tool.items()
    )


def axis(total: float, height: float) -> Iterator[Markup]:
    """Lines at round times with their clock; finer ones that show when the picture is stretched."""
    coarse = step_for(total, TICKS)
    fine = next((step for step in NICE if coarse % step == 0 and total / step <= TICKS * 8), coarse)
    for step, class_ in ((fine, "fine"), (coarse, "tick")):
        count = int(total / step)
        for at in range(count + 1):
            seconds = at * step
            if class_ == "fine" and seconds % coarse == 0:
                continue
            x = percent(seconds / total)
            anchor = "start" if at == 0 else "end" if seconds / total > 0.97 else "middle"
            label = element("text", moment(seconds, total), x=x, y=height + 14, text_anchor=anchor)
            yield element("g", element("line", x1=x, x2=x, y1=0, y2=height), label, class_=class_)


def moment(seconds: float, total: float) -> str:
    """A time on the axis: minutes and seconds, in a longer program hours and minutes.

    >>> moment(75, 900), moment(5400, 9000)
    ('1:15', '1 h 30')
    """
    if total < 3600:
        return clock(seconds)
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes:02d}" if minutes else f"{hours} h"


def step_for(total: float, ticks: int) -> float:
    """The time between ticks: a round one that gives at most so many.

    >>> step_for(124, 9), step_for(7300, 9), step_for(4, 9)
    (15, 900, 1)
    """
    return next((step for step in NICE if total / step <= ticks), NICE[-1] * max(1, int(total / NICE[-1] / ticks) + 1))


def lane_marks(lane: Lane, at: int, strips: dict[int, Strip], total: float, prefix: str) -> Iterator[Markup]:
    """Everything in one tool's row."""
    top = at * ROW
    yield element("line", x1=0, x2="100%", y1=top + ROW, y2=top + ROW, class_="lane")
    taken = -1.0
    for row in lane.rows:
        strip = strips[row.number]
        label, end = label_of(row, strip, total, top, taken)
        taken = max(taken, end)
        bar = joined(strip_marks(row, strip, total, top))
        says = f"{row.number} {row.name}, {duration(strip.seconds)}: {fluid_words(row)}"
        yield element("a", element("title", says), bar, label, href=f"#{prefix}operation-{row.number}", class_="operation")


def label_of(row: OperationRow, strip: Strip, total: float, top: float, taken: float) -> tuple[Markup, float]:
    """What stands over a strip, and where it ends [pixels]: the whole label where there is room, else it waits for a stretch."""
    says = f"{row.number}  {fluid_words(row)}"
    wide = len(says) * LETTER
    left = strip.start_s / total * WIDTH
    turned = left + wide > WIDTH
    start = (strip.start_s + strip.seconds) / total * WIDTH - wide if turned else left
    crowded = start < taken
    x = percent(min(1.0, (strip.start_s + (strip.seconds if turned else 0.0)) / total))
    label = element(
        "text", says, x=x, y=top + 12, text_anchor="end" if turned else "start", class_="label crowded" if crowded else "label"
    )
    return label, taken if crowded else start + wide + LETTER


def strip_marks(row: OperationRow, strip: Strip, total: float, top: float) -> Iterator[Markup]:
    """The frame, the depth over time, and the texture of the fluid."""
    x, width = percent(strip.start_s / total), percent(max(strip.seconds / total, 0.0015))
    yield element("rect", x=x, y=top + TRACE[0], width=width, height=TRACE[1] + BAND[1] + 1, class_="frame")
    if strip.points:
        yield trace(strip, x, width, top + TRACE[0], strip.seconds / total)
    yield element("rect", x=x, y=top + BAND[0], width=width, height=BAND[1], class_=f"band fill-{state_of(row).name}")


def trace(strip: Strip, x: str, width: str, top: float, share: float) -> Markup:
    """Depth over time in a frame of its own, as deep as the operation goes; drawn thinner where it would be all ink."""
    pairs = strip.points.split()
    deepest = max(int(pair.split(",")[1]) for pair in pairs)
    count = len(pairs)
    if not deepest:
        return Markup("")
    long = max(1, round(strip.seconds * 100))
    return element(
        "svg",
        element("polyline", points=f"0,0 {strip.points} {long},0", class_="depth dense" if count > DENSE * share else "depth"),
        x=x, y=top, width=width, height=TRACE[1], viewBox=f"0 0 {long} {round(deepest * 1.08)}", preserveAspectRatio="none",
    )  # fmt: skip
