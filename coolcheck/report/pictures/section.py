"""A hole from the side, to scale: each tool's depth and diameter, where each stroke ends, and depth over diameter beside it."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from coolcheck.report.drawn import Bottoms
from coolcheck.report.pictures.plan import History, slenderness
from coolcheck.report.pictures.states import STATES, State
from coolcheck.report.pictures.svg import element, joined, picture, points, short
from coolcheck.report.rows import StepRow, tool_name, words
from coolcheck.report.shown import METRIC, Units, plural

WIDE, HIGH = 262.0, 310.0
TOP, FOOT = 34.0, 20.0
MIDDLE = 70.0
MOST_WIDE = 96.0
CALLOUT = 27.0  # height of the two lines that name a depth
LEAST_WIDE = 20.0  # a slender hole is still drawn this wide; then it is said
POINT = 0.3  # height of a drawn drill point over its diameter: between 118 and 140 degrees, a picture only
POINTED = ("drill", "peck_drill", "chip_break_drill", "gun_drill", "spot", "chamfer")
MOST_TICKS = 60


def section(history: History, bottoms: Sequence[Bottoms], state: dict[int, State], units: Units = METRIC) -> Markup | None:
    """The section of one hole of a history; None where no depth is known."""
    steps = [step for step in history.steps if step.depth_mm and step.diameter_mm]
    if not steps:
        return None
    deepest = max(step.depth_mm or 0.0 for step in steps)
    widest = max(step.diameter_mm or 0.0 for step in steps)
    down = min((HIGH - TOP - FOOT) / deepest, MOST_WIDE / widest)
    across = max(down, LEAST_WIDE / widest)
    high = max(TOP + deepest * down + FOOT, TOP + CALLOUT * len(steps) + FOOT)
    mine = [one for one in bottoms if one.hole == history.holes[0].number]
    strokes = {one.step: [int(depth) / 100 for depth in one.depths.split()] for one in mine}
    order = sorted(steps, key=lambda step: -(step.diameter_mm or 0.0))
    parts = [
        element("rect", x=1, y=TOP, width=MIDDLE * 2 - 2, height=high - TOP - 2, class_="stock"),
        *(bore(step, units, down, across, state.get(step.operation, STATES["unknown"])) for step in order),
        element("line", x1=MIDDLE, x2=MIDDLE, y1=TOP - 12, y2=high - 4, class_="axis"),
        joined(stroke_ticks(history, strokes, down, across)),
        joined(callouts(history, units, down, high)),
    ]
    scale = "to scale" if across == down else "drawn wider than it is"
    says = f"section of history {history.letter}, {scale}: " + "; ".join(step_words(step, units) for step in history.steps)
    most = max(map(len, strokes.values()), default=0)
    head = element("text", history.letter, x=4, y=21, class_="letter")
    note = element("text", f"{scale}, {plural(most, 'stroke')}" if most > 1 else scale, x=28, y=20, class_="size")
    size = f"0 0 {short(WIDE)} {short(high)}"
    return picture(says, head, note, *parts, class_="section", viewBox=size, width=WIDE, height=high)


def step_words(step: StepRow, units: Units = METRIC) -> str:
    """What one tool does to the hole, in words."""
    size = f" {units.told(step.diameter_mm, 'mm')}" if step.diameter_mm else ""
    deep = f" to {units.told(step.depth_mm, 'mm')}" if step.depth_mm else ""
    return f"{tool_name(step.tool)} {words(step.kind)}{size}{deep}, {plural(step.strokes, 'stroke')}"


def bore(step: StepRow, units: Units, down: float, across: float, fluid: State) -> Markup:
    """What one tool leaves, with the texture of its fluid."""
    depth, half = (step.depth_mm or 0.0) * down, (step.diameter_mm or 0.0) / 2 * across
    if step.kind in ("spot", "chamfer"):
        half = min(half, depth / down * across)  # only the tip of the cone goes in; at 90 degrees as wide as deep
        shape = [(MIDDLE - half, TOP), (MIDDLE, TOP + depth), (MIDDLE + half, TOP)]
    else:
        point = min(depth, half * 2 * POINT) if step.kind in POINTED else 0.0
        shape = [(MIDDLE - half, TOP), (MIDDLE - half, TOP + depth - point), (MIDDLE, TOP + depth),
                 (MIDDLE + half, TOP + depth - point), (MIDDLE + half, TOP)]  # fmt: skip
    class_ = "thread" if step.kind in ("tap", "thread_mill") else f"bore fill-{fluid.name}"
    return element("polygon", element("title", step_words(step, units)), points=points(shape), class_=class_)


def stroke_ticks(history: History, strokes: dict[int, list[float]], down: float, across: float) -> Iterator[Markup]:
    """A tick where each stroke of the step with most strokes ends."""
    step, depths = max(strokes.items(), key=lambda pair: len(pair[1]), default=(0, []))
    if len(depths) < 2:
        return
    half = (history.steps[step].diameter_mm or 0.0) / 2 * across
    for depth in [depth for depth in depths if depth > 0][:: max(1, len(depths) // MOST_TICKS)]:
        y = TOP + depth * down
        yield element("line", x1=MIDDLE - half - 9, x2=MIDDLE - half - 1, y1=y, y2=y, class_="stroke")


def callouts(history: History, units: Units, down: float, high: float) -> Iterator[Markup]:
    """At the right the depth of each step with its tool, moved apart where they would overlap."""
    known = sorted((step for step in history.steps if step.depth_mm), key=lambda step: step.depth_mm or 0.0)
    lowest = TOP - 20.0
    spots: list[tuple[StepRow, float]] = []
    for step in known:
        lowest = max(lowest + CALLOUT, TOP + (step.depth_mm or 0.0) * down)
        spots.append((step, lowest))
    ceiling = high - 16  # what stands too low moves up, and what it meets above it
    for step, y in reversed(spots):
        level = TOP + (step.depth_mm or 0.0) * down
        y = min(y, ceiling)
        ceiling = y - CALLOUT
        yield element("path", d=f"M{short(MIDDLE)} {short(level)}H{short(MIDDLE * 2 + 2)}L{short(MIDDLE * 2 + 12)} {short(y)}",
                      class_="leader")  # fmt: skip
        ratio = f" · {slenderness(step):.1f}×D" if slenderness(step) else ""
        yield element("text", f"{tool_name(step.tool)} {words(step.kind)}", x=MIDDLE * 2 + 15, y=y + 1, class_="name")
        yield element("text", f"{units.told(step.depth_mm or 0.0, 'mm')}{ratio}", x=MIDDLE * 2 + 15, y=y + 13, class_="size")
