"""Edge temperature over machine time: dry cuts as a curve, wet ones as texture, quenches marked where fluid comes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coolcheck.known import Missing, merged
from coolcheck.report.drawn import Cut, Drawn, EdgeRow
from coolcheck.report.pictures.states import STATES, state_of
from coolcheck.report.pictures.svg import element, joined, percent, picture
from coolcheck.report.pictures.time_picture import WIDTH, axis
from coolcheck.report.rows import OperationRow
from coolcheck.report.shown import duration, number

MOST_EDGES = 40
HIGH = 76
CURVE, BAND = (18, 44), (64, 9)  # top and height of the curve and of the texture
FOOT = 20
FILL = {"yes": "wet", "no": "dry", "unknown": "unknown", "partly": "partly"}
LETTER = 6.3


@dataclass(frozen=True)
class HeatPicture:
    """One edge: its picture, what its quenches say, and what would tell what is not drawn."""

    name: str
    svg: Markup
    quenches: tuple[str, ...]
    missing: tuple[Missing, ...]
    left_out: int


@dataclass(frozen=True)
class Heats:
    """The pictures of the edges that cut dry or are quenched, the names of those wet throughout, and of those not drawn."""

    pictures: tuple[HeatPicture, ...]
    wet: tuple[str, ...]
    left_out: tuple[str, ...]


def heats(drawn: Drawn, operations: Sequence[OperationRow]) -> Heats:
    """All edges on one scale of time and temperature."""
    state = {row.number: state_of(row).name for row in operations}
    total = max((strip.start_s + strip.seconds for strip in drawn.strips), default=0.0)
    total = max([total, *(cut.end_s for edge in drawn.edges for cut in edge.cuts)])
    all_dry = [edge for edge in drawn.edges if any(cut.wet != "yes" or cut.is_quenched for cut in edge.cuts)]
    dry = sorted(all_dry, key=lambda edge: not any(cut.is_quenched for cut in edge.cuts))[:MOST_EDGES]
    hottest = max((rise for edge in dry for cut in edge.cuts for _, rise in pairs(cut)), default=0)
    pictures = tuple(heat_picture(edge, total, hottest, state, edge is dry[-1]) for edge in dry) if total > 0 else ()
    wet = tuple(edge.name for edge in drawn.edges if edge not in all_dry)
    return Heats(pictures, wet, tuple(edge.name for edge in all_dry if edge not in dry))


def pairs(cut: Cut) -> list[tuple[int, int]]:
    """Time and rise of the curve of a passage: hundredths of a second from its start, kelvin."""
    return [(int(time), int(rise)) for time, rise in (pair.split(",") for pair in cut.heat.split())]


def heat_picture(edge: EdgeRow, total: float, hottest: int, state: dict[int, str], has_clock: bool) -> HeatPicture:
    """One edge over the time of the whole program; the last one carries the clock."""
    missing = merged(missing for cut in edge.cuts for missing in cut.missing)
    quenches = tuple(quench_words(cut) for cut in edge.cuts if cut.is_quenched)
    peak = max((rise for cut in edge.cuts for _, rise in pairs(cut)), default=0)
    hot = f"up to {peak} K above room" if peak else "temperature not computed"
    parts = [
        joined(axis(total, HIGH)),
        *(joined(cut_marks(cut, total, hottest, state)) for cut in edge.cuts),
        *quench_marks(edge.cuts, total),
    ]
    if peak:
        y = CURVE[0] + CURVE[1] * (1 - peak / hottest)
        parts.append(element("line", x1=0, x2="100%", y1=y, y2=y, class_="peak"))
        parts.append(element("text", f"{peak} K", x="100%", y=max(10.0, y - 3), text_anchor="end", class_="size"))
    says = f"edge {edge.name} over {duration(total)}: {hot}; {'; '.join(quenches) or 'no quench'}"
    svg = picture(says, *parts, class_="time heat", width="100%", height=HIGH + (FOOT if has_clock else 0))
    return HeatPicture(edge.name, svg, quenches, missing, edge.left_out)


def quench_words(cut: Cut) -> str:
    """A quench in words."""
    when = f"fluid comes at {duration(cut.came_s)}"
    if cut.stress is None:
        return f"{when}; stress not known"
    left = f" onto an edge {number(cut.quench_k, 3)} K above room" if cut.quench_k is not None else ""
    return f"{when}{left}: thermal stress {number(cut.stress, 2)} of its strength"


def cut_marks(cut: Cut, total: float, hottest: int, state: dict[int, str]) -> Iterator[Markup]:
    """The curve of a passage, and its fluid as texture."""
    x, width = percent(cut.start_s / total), percent(max((cut.end_s - cut.start_s) / total, 0.0015))
    curve = pairs(cut)
    if curve and hottest:
        long = max(1, curve[-1][0])
        line = " ".join(f"{time},{hottest - rise}" for time, rise in curve)
        yield element(
            "svg",
            element("polygon", points=f"0,{hottest} {line} {long},{hottest}", class_="glow"),
            element("polyline", points=f"0,{hottest} {line}", class_="warm"),
            x=x, y=CURVE[0], width=percent(long / 100 / total), height=CURVE[1],
            viewBox=f"0 0 {long} {hottest}", preserveAspectRatio="none",
        )  # fmt: skip
    elif cut.wet != "yes":
        yield element("rect", x=x, y=CURVE[0], width=width, height=CURVE[1], class_="gap")
    fill = "shut" if cut.wet == "no" and state.get(cut.operation) == "shut" else FILL[cut.wet]
    title = element("title", f"operation {cut.operation}: {STATES[fill].word}")
    yield element("rect", title, x=x, y=BAND[0], width=width, height=BAND[1], class_=f"band fill-{fill}")


def quench_marks(cuts: Sequence[Cut], total: float) -> Iterator[Markup]:
    """An arrow down where fluid comes, with the stress."""
    taken = -1.0
    for cut in cuts:
        if cut.came_s is None:
            continue
        share = min(1.0, cut.came_s / total)
        x = percent(share)
        says = "quench ?" if cut.stress is None else f"quench {number(cut.stress, 2)}"
        turned = share * WIDTH + len(says) * LETTER + 8 > WIDTH
        yield element("line", x1=x, x2=x, y1=8, y2=BAND[0] + BAND[1], class_="quench")
        arrow = element("path", d="M-5 0h10l-5 8z", class_="quench-head")
        yield element("svg", arrow, x=x, y=4, width=1, height=1, class_="anchor")
        crowded = share * WIDTH < taken
        label = element("text", says, x="-8" if turned else "8", y=9, text_anchor="end" if turned else "start",
                        class_="label crowded" if crowded else "label")  # fmt: skip
        yield element("svg", label, x=x, y=2, width=1, height=1, class_="anchor")
        taken = max(taken, share * WIDTH + len(says) * LETTER + 16)
