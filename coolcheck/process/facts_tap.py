"""Facts of taps: which way the cycle turns them, whether they are turned out of the hole, the minor diameter of the thread."""

import numpy as np

from coolcheck.known import Evidence, Known, Truth, known
from coolcheck.nc.moves import Kind
from coolcheck.physics import threads
from coolcheck.process.fact import by_formula, fact, meaningless, said
from coolcheck.process.facts_operation import pitch, unlike_steps
from coolcheck.process.model import HoleStep, Operation, Timeline
from coolcheck.process.moments import tool_name

TAPS = ("tap", "form_tap")
PULLING = (73, 76, 81, 82, 83, 86, 87, 88)  # cycles that leave the hole at rapid, with the spindle as it was or stopped
HAND_OF = {74: "left", 84: "right"}
STILL = 1e-6  # mm


@fact("operation")
def tap_pulled_out(operation: Operation, timeline: Timeline) -> Truth:
    """It is a tap, and leaves its hole at rapid."""
    kind = operation.tool_record.field("kind")
    if operation.kind != "tap" and not (kind.is_known and kind.value in TAPS):
        return said(False, "tap", "neither record nor comment nor cycle says that it is one")
    for step in unlike_steps(operation, timeline):
        if step.cycle >= 0:
            cycle = timeline.execution.cycles[step.cycle]
            pulled = cycle.code in PULLING
            name = f"G{cycle.code}"
        else:
            pulled, name = _rapid_out(step, timeline), "rapid out of the hole"
        if pulled:
            taps = operation.kind_known.evidence if operation.kind == "tap" else kind.evidence
            return known(True, Evidence(name, "not reversed", place=step.place, source="program"), *taps)
    return said(False, "way out", "it is fed out of its holes")


def _rapid_out(step: HoleStep, timeline: Timeline) -> bool:
    """Does a plain rapid rise from below the top of the hole."""
    hole, moves = timeline.holes[step.hole - 1], timeline.execution.moves
    if hole.axis != "z":
        return False
    rows = np.arange(step.rows[0], min(step.rows[1] + 2, len(moves)))  # the way home is no move of the step
    rising = (moves.kind[rows] == Kind.RAPID) & ~(moves.z[rows] <= moves.z0[rows] + STILL)  # to home: where that is is not told
    return bool((rising & (moves.z0[rows] < hole.z * 1e3 - STILL)).any())


@fact("operation")
def tapping_hand(operation: Operation, timeline: Timeline) -> Known[str]:
    """The hand of the thread that its tapping cycle cuts."""
    for step in unlike_steps(operation, timeline):
        code = timeline.execution.cycles[step.cycle].code if step.cycle >= 0 else 0
        if code in HAND_OF:
            return known(HAND_OF[code], Evidence("cycle", f"G{code}", place=step.place, source="program"))
    return known("none", Evidence("tapping cycle", "none", place=operation.place, source="program"))


@fact("operation")
def left_hand_stated(operation: Operation, timeline: Timeline) -> Truth:
    """The tool record says that it is a left-hand tool."""
    hand = operation.tool_record.field("hand")
    if not hand.is_known:
        return said(False, "hand", "the tool record does not state the hand", "record")
    return hand.map(lambda word: word == "left")


@fact("step")
def minor_diameter(step: HoleStep, timeline: Timeline) -> Known[float]:
    """Basic minor diameter of the thread."""
    if step.operation.kind_known.is_known and step.operation.kind != "tap":
        return meaningless(f"{tool_name(step.operation.tool)} does not tap here")
    values = (step.diameter, pitch(step.operation, timeline))
    note = "D1 = D - 1.0825 P: physics.threads.thread"
    return by_formula("minor diameter", "mm", 1e3, note, lambda wide, p: threads.thread(wide, p).minor, *values)
