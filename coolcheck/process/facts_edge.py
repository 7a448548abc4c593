"""Facts of passages: was the edge wet, what does the work do to it."""

from coolcheck.known import Truth
from coolcheck.process.fact import fact
from coolcheck.process.model import Passage, Timeline

HEATING = ("face", "rough", "mill")  # work that heats the edge as roughing does


@fact("passage")
def wet(passage: Passage, timeline: Timeline) -> Truth:
    """Liquid reaches the edge during it."""
    return passage.wet


@fact("passage")
def wet_commanded(passage: Passage, timeline: Timeline) -> Truth:
    """Liquid is commanded during it."""
    return passage.commanded_wet


@fact("passage")
def heats(passage: Passage, timeline: Timeline) -> Truth:
    """It heats the edge as roughing does."""
    return passage.operation.kind_known.map(lambda word: word in HEATING)


@fact("passage")
def finishes(passage: Passage, timeline: Timeline) -> Truth:
    """It is a finish cut."""
    return passage.operation.kind_known.map(lambda word: word == "finish")
