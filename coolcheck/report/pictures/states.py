"""What fluid does at an edge: each state has a word, a texture and a mark, so that colour is never needed to read it."""

from dataclasses import dataclass

from markupsafe import Markup

from coolcheck.process.kinds import WITHOUT_CUT
from coolcheck.process.model import STREAMS
from coolcheck.report.doubts import leaves_much_open, told_chains, told_modes
from coolcheck.report.pictures.svg import element, joined
from coolcheck.report.rows import ChainRow, OperationRow, words

AIR = ("air", "through_air")


@dataclass(frozen=True, slots=True)
class State:
    """One state: its class and texture, the word for it, what it means, and the mark that stands for it in a row of text."""

    name: str
    word: str
    says: str
    mark: str


STATES = {
    state.name: state
    for state in (
        State("wet", "wet", "liquid reaches the edge", "✓"),
        State("partly", "in part", "some of it reaches the edge, or for some of the time", "≈"),
        State("mist", "mist or air", "mist, a minimum quantity or air reaches the edge", "✓"),
        State("shut", "shut out", "commanded, and does not reach the edge", "✕"),
        State("unknown", "not known", "nobody has told whether it reaches the edge", "?"),
        State("dry", "dry", "no fluid is commanded", "–"),
        State("idle", "no cut", "nothing is cut", "·"),
    )
}


def state_of(row: OperationRow) -> State:
    """What fluid does at the edge of an operation."""
    return STATES[state_name(row)]


def state_name(row: OperationRow) -> str:
    """The name of that state."""
    if row.kind in WITHOUT_CUT:
        return "idle"
    if not row.fluid:
        return "dry"
    arriving = [chain.mode for chain in row.chains if chain.delivers == "yes"]
    if row.delivered == "no":
        return "partly" if arriving else "shut"
    if row.delivered != "yes":
        return "unknown"
    if any(mode in STREAMS for mode in arriving):
        return "wet"
    return "mist" if arriving else "partly"


def chain_state(chain: ChainRow) -> State:
    """The state one delivery chain ends in."""
    if chain.delivers == "yes":
        return STATES["wet" if chain.mode in STREAMS else "mist"]
    if chain.result in ("partial_leak", "shank_spray", "holder_jets"):
        return STATES["partly"]
    return STATES["shut" if chain.delivers == "no" else "unknown"]


def fluid_words(row: OperationRow) -> str:
    """The fluid of an operation in a few words: "flood ✕ reach"."""
    chains = commanded(row)
    if not chains:
        return ", ".join(told_modes(row)) or STATES[state_name(row)].word
    parts = [
        f"{words(chain.mode)} {chain_state(chain).mark}{' ' + words(chain.weakest) if chain.weakest else ''}"
        for chain in chains
        if chain in told_chains(row)
    ]
    return ", ".join([*parts, told_modes(row)[-1]] if leaves_much_open(row.fluid) else parts)


def commanded(row: OperationRow) -> tuple[ChainRow, ...]:
    """The chains of an operation but those that are known to be off."""
    return tuple(chain for chain in row.chains if not (chain.links and chain.links[0].passes == "no"))


def textures() -> Markup:
    """The textures, once a page; every picture and swatch refers to them."""
    return element("svg", element("defs", *(pattern(name, size, body) for name, size, body in TEXTURES)), class_="textures",
                   width=0, height=0, aria_hidden="true")  # fmt: skip


def pattern(name: str, size: int, body: Markup) -> Markup:
    """One texture, a square that repeats."""
    ground = element("rect", width=size, height=size, class_=f"ground-{name}")
    return element("pattern", ground, body, id=f"texture-{name}", width=size, height=size, patternUnits="userSpaceOnUse")


def line(d: str, name: str) -> Markup:
    """A stroke of a texture."""
    return element("path", d=d, class_=f"ink-{name}")


def dot(x: float, y: float, name: str) -> Markup:
    """A dot of a texture."""
    return element("circle", cx=x, cy=y, r=1, class_=f"dot-{name}")


TEXTURES = (
    ("wet", 12, joined([line("M0 4q3 -3.5 6 0t6 0", "wet"), line("M0 10q3 -3.5 6 0t6 0", "wet")])),
    ("partly", 12, joined([line("M0 4q3 -3.5 6 0", "partly"), line("M6 10q3 -3.5 6 0", "partly")])),
    ("mist", 8, joined([dot(2, 2, "mist"), dot(6, 6, "mist")])),
    ("shut", 8, joined([line("M-1 1l2 -2M0 8l8 -8M7 9l2 -2", "shut"), line("M-1 7l2 2M0 0l8 8M7 -1l2 2", "shut")])),
    ("unknown", 8, line("M-1 1l2 -2M0 8l8 -8M7 9l2 -2", "unknown")),
    ("dry", 8, dot(4, 4, "dry")),
    ("idle", 8, Markup("")),
)


def swatch(state: State) -> Markup:
    """A sample of a texture for legends and tables; the word stands beside it."""
    box = element("rect", x=0.5, y=0.5, width=25, height=13, rx=2, class_=f"fill-{state.name}")
    return element("svg", box, class_="swatch", width=26, height=14, viewBox="0 0 26 14", aria_hidden="true")
