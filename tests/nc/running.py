"""What the tests of the interpreter share: running a text, and looking at what came of it."""

from typing import Any

from coolcheck.nc.dialect import load_dialect
from coolcheck.nc.interpret import interpret
from coolcheck.nc.moves import Event, Execution, Kind
from coolcheck.nc.program import Program

WA, LEAST, NIST, OPEN = "word-address-mill", "word-address-mill-least-increment", "rs274-ngc", "rs274-open"
SAFE = "G21 G17 G90 G94 G98\n"
KINDS = {Kind.RAPID: "r", Kind.FEED: "f", Kind.ARC_CW: "cw", Kind.ARC_CCW: "ccw"}


def read(text: str, dialect: str = WA) -> Program:
    return Program.read(text.encode(), "p.nc", load_dialect(dialect))


def run(text: str, dialect: str = WA, **options: Any) -> Execution:
    return interpret(read(text, dialect), **options)


def ends(execution: Execution) -> list[tuple[Any, ...]]:
    """Kind and end of every move, None for a coordinate that is not known."""
    m = execution.moves
    return [
        (KINDS[Kind(kind)], *(None if v != v else round(v, 6) + 0.0 for v in xyz))
        for kind, *xyz in zip(m.kind.tolist(), m.x.tolist(), m.y.tolist(), m.z.tolist(), strict=True)
    ]


def events(execution: Execution, kind: str) -> list[Event]:
    return [event for event in execution.events if event.kind == kind]


def note_ids(execution: Execution) -> set[str]:
    return {note.id for note in execution.notes}
