"""What a sheet is made of, as a template takes it: texts that are worded, pictures that are made."""

from dataclasses import dataclass

from markupsafe import Markup

from coolcheck.judge.finding import Finding
from coolcheck.report.pictures.states import State
from coolcheck.report.rows import OperationRow


@dataclass(frozen=True)
class Cell:
    """A field of the head of the sheet."""

    label: str
    value: str
    below: str = ""


@dataclass(frozen=True)
class Todo:
    """One thing to do first, or one question: what, where, the line it links to, and what is wrong without it."""

    says: str
    where: str
    link: str = ""
    wrong: str = ""


@dataclass(frozen=True)
class FindingView:
    """A finding as the sheet shows it."""

    finding: Finding
    word: str
    where: str
    link: str
    quote: str
    because: tuple[str, ...]
    left_out: int
    also: str
    missing: tuple[tuple[str, bool], ...]


@dataclass(frozen=True)
class LinkView:
    """One link of a delivery chain: `place` tells whether it lies before the first weak one, is it, or lies beyond."""

    name: str
    icon: Markup
    flag: Markup
    passes: str
    says: str
    place: str


@dataclass(frozen=True)
class ChainView:
    """A delivery chain as a picture; `says` is what becomes of its fluid."""

    mode: str
    says: str
    state: State
    result: str
    links: tuple[LinkView, ...]


@dataclass(frozen=True)
class BarView:
    """Needed against there, for one quantity."""

    name: str
    svg: Markup
    words: str
    margin: str
    note: str


@dataclass(frozen=True)
class OperationView:
    """An operation with everything about it; `rest` says that more fluids than are drawn may be commanded."""

    row: OperationRow
    state: State
    fluid: str
    figures: tuple[tuple[str, str], ...]
    chains: tuple[ChainView, ...]
    bars: tuple[BarView, ...]
    reasons: tuple[str, ...]
    marks: int
    link: str
    is_chosen: bool
    rest: str


@dataclass(frozen=True)
class StepView:
    """One step of a history as cells."""

    tool: str
    kind: str
    size: str
    depth: str
    ratio: str
    strokes: str
    time: str
    state: State
    fluid: str


@dataclass(frozen=True)
class HistoryView:
    """Holes with one history: letter, which, steps, and the section of the slenderest ones."""

    letter: str
    which: str
    steps: tuple[StepView, ...]
    section: Markup | None


@dataclass(frozen=True)
class Line:
    """A line of a program with what was found in it; `as_in` names lines where the same was told before; `gap` lines before it
    are left out.
    """

    number: int
    anchor: str
    text: str
    marks: tuple[FindingView, ...]
    as_in: tuple[str, ...]
    gap: int


@dataclass(frozen=True)
class Listing:
    """A file with the lines that are shown; `gap` lines behind them are left out."""

    name: str
    lines: tuple[Line, ...]
    gap: int


@dataclass(frozen=True)
class Questions:
    """The questions that one record would answer."""

    record: str
    file: str
    items: tuple[tuple[str, str, str], ...]
