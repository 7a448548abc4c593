"""What kind of work an operation is, and what says so: its cycle, the tool record, comments, the toolpath."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from coolcheck.known import Evidence, Known, Missing, known, unknown
from coolcheck.process.comments import Remark, diameter_in

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.records.record import Record

DRILL_CYCLES = {83: "peck_drill", 73: "chip_break_drill", 81: "drill"}
# What a tool of this kind does; what a stage in a comment (rough, finish) may sharpen stands in STAGED.
BY_TOOL = {
    "drill": "drill", "indexable_drill": "drill", "step_drill": "drill", "gun_drill": "gun_drill",
    "spot_drill": "spot", "centre_drill": "spot", "reamer": "ream", "boring_bar": "bore", "tap": "tap", "form_tap": "tap",
    "thread_mill": "thread_mill", "end_mill": "mill", "ball_mill": "mill", "bull_mill": "mill", "shell_mill": "mill",
    "slitting_saw": "mill", "face_mill": "face", "chamfer_mill": "chamfer", "engraver": "engrave", "probe": "probe",
}  # fmt: skip
PLUNGING = ("drill", "gun_drill", "spot", "ream", "bore", "tap")  # work done by feeding along the axis alone
STAGED = ("mill", "face")
WITHOUT_CUT = ("probe", "wash", "idle")
MADE_BY_DRILLING = ("drill", "peck_drill", "chip_break_drill", "gun_drill")
# A drilling cycle says "drill" of any tool; these kinds of work use drilling cycles too, and only tool or words tell.
WITH_DRILL_CYCLE = ("spot", "ream", "bore", "chamfer", "tap", "gun_drill")


@dataclass(frozen=True, slots=True)
class Clues:
    """What is known of one section before its kind is decided.

    family : cycle family, 0 for none; cuts : has cutting moves; sideways : some cutting move leaves its place in X or Y
    strokes : most strokes into one hole; retract : what lies between them
    blind : a cycle drills at a height that nobody knows, so that no cutting move of it is known either
    """

    tool: int | None
    record: "Record"
    remarks: Sequence[Remark]
    family: int
    cuts: bool
    sideways: bool
    probes: bool
    washes: bool
    strokes: int = 1
    retract: str = "none"
    cycle_evidence: tuple[Evidence, ...] = ()
    blind: bool = False


def kind_of(execution: "Execution", clues: Clues) -> Known[str]:
    """The kind of work, with what says so; unknown where nothing tells."""
    if clues.probes and not clues.family:
        return known("probe", Evidence("kind", "probe", source="program", note="a probing move or probing cycle"))
    if not clues.cuts and clues.blind:
        asked = f"at which height does the cycle of {_name(clues.tool)} cut? The program does not tell"
        return unknown(Missing("program", "", asked))
    if not clues.cuts:
        washes = clues.washes or any(remark.kind == "wash" for remark in clues.remarks)
        note = "no feed move, and a wash is commanded" if washes else "no feed move"
        return known("wash" if washes else "idle", Evidence("kind", "wash" if washes else "idle", source="program", note=note))
    said = _said(execution, clues)
    if clues.family:
        return _by_cycle(clues, said)
    if said.is_known:
        return _staged(execution, clues, _with_strokes(clues, said))
    if clues.sideways:
        cut = known("mill", Evidence("kind", "mill", source="computed", note="feed moves run sideways"))
        return _staged(execution, clues, cut)
    return said


def _said(execution: "Execution", clues: Clues) -> Known[str]:
    """What tool record or comments say the tool does: the record first."""
    kind = clues.record.field("kind")
    if kind.is_known and kind.value in BY_TOOL and (kind.value == "probe" or not _says(clues, "probe")):
        return known(BY_TOOL[kind.value], *kind.evidence)
    for remark in clues.remarks:
        if remark.kind:
            return known(remark.kind, _comment(execution, remark))
    if kind.is_known:
        return unknown(Missing("program", "", f"what does the {kind.value} {_name(clues.tool)} do here?"), evidence=kind.evidence)
    return unknown(*kind.missing)


def _says(clues: Clues, kind: str) -> bool:
    return any(remark.kind == kind and remark.is_ == "operation" for remark in clues.remarks)


def _comment(execution: "Execution", remark: Remark) -> Evidence:
    return Evidence("comment", remark.text, place=execution.place(remark.block), source="comment")


def _by_cycle(clues: Clues, said: Known[str]) -> Known[str]:
    if clues.family == 84:
        return known("tap", *clues.cycle_evidence)
    if clues.family == 85:
        return (
            said.because(*clues.cycle_evidence)
            if said.is_known and said.value == "ream"
            else known("bore", *clues.cycle_evidence)
        )
    if said.is_known and said.value in WITH_DRILL_CYCLE and (said.value != "gun_drill" or clues.strokes <= 1):
        return said.because(*clues.cycle_evidence)
    drilled = DRILL_CYCLES.get(clues.family)
    if drilled is None:
        return unknown(Missing("program", "", "what does this cycle do?"), evidence=clues.cycle_evidence)
    if clues.strokes <= 1:
        drilled = "drill"  # a peck cycle whose first peck reaches the bottom
    return known(drilled, *clues.cycle_evidence, *(said.evidence if said.is_known else ()))


def _with_strokes(clues: Clues, said: Known[str]) -> Known[str]:
    """A drill driven by plain feed moves pecks when it comes back for another stroke."""
    if said.value not in ("drill", "gun_drill") or clues.strokes <= 1:
        return said
    kind = "peck_drill" if clues.retract == "full" else "chip_break_drill"
    note = f"{clues.strokes} feed strokes into one hole"
    return known(kind, *said.evidence, Evidence("strokes", clues.strokes, source="program", note=note))


def _staged(execution: "Execution", clues: Clues, kind: Known[str]) -> Known[str]:
    """Roughing or finishing, where a comment says which and the work is milling."""
    if kind.value not in STAGED:
        return kind
    for remark in clues.remarks:
        if remark.stage and remark.is_ == "operation":
            return known(remark.stage, _comment(execution, remark), *kind.evidence)
    for remark in clues.remarks:
        if remark.stage:
            return known(remark.stage, _comment(execution, remark), *kind.evidence)
    return kind


def diameter_of(
    execution: "Execution", record: "Record", remarks: Sequence[Remark], units: int | None, tool: int | None
) -> Known[float]:
    """The cutting diameter: from the tool record, else from what a comment states."""
    recorded: Known[float] = record.field("DC")
    if recorded.is_known:
        return recorded
    for remark in remarks:
        if remark.is_ == "tool" and remark.tool is not None and remark.tool != tool:
            continue
        stated = diameter_in(remark.text, units, tool)
        if stated is not None:
            place = execution.place(remark.block)
            note = f"read from the comment ({remark.text})"
            return known(stated, Evidence(f"DC of {_name(tool)}", round(stated * 1e3, 4), "mm", place, "comment", note))
    return recorded


def _name(tool: int | None) -> str:
    return "the tool" if tool is None else f"T{tool}"
