"""Small hand-made reviews for the report tests: an invented shop, no file is read."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from coolcheck.errors import Problem
from coolcheck.judge.finding import Finding
from coolcheck.judge.readiness import CANNOT_TELL, NOT_READY, READY, Change, Readiness
from coolcheck.known import Evidence, Missing
from coolcheck.nc.moves import Note
from coolcheck.place import Place
from coolcheck.report.options import Options
from coolcheck.report.review import Bound, Judged, Review, Waived
from coolcheck.report.rows import ChainRow, HoleRow, LinkRow, OperationRow, StepRow, Totals

PROGRAM = "programs/O1203.nc"
OPTIONS = Options(base=Path.cwd())

SEALED = Missing("holder collet-a", "sealed", "is the collet sealed around the shank?", Place("holders/collet-a.yaml"))

DEEP_PECK = Finding(
    rule="deep-peck-with-capable-drill",
    level="error",
    verdict="holds",
    where=Place(PROGRAM, 214, 1, 214, 12),
    says="T12 pecks 14 times where its record allows one pass",
    why="Every retract lets chips fall back and cools the edge in shocks.",
    do="drill in one stroke",
    basis="common practice",
    evidence=(
        Evidence("G83", "Z-80. Q6.", place=Place(PROGRAM, 214, 1), source="program"),
        Evidence("LU of T12", 85.0, "mm", Place("tools/T12.yaml", 3, 5)),
        Evidence("pressure at the tip", 32.04, "bar", None, "computed", "p = p0 - losses; invented for this test"),
    ),
    also=(Place(PROGRAM, 215, 1), Place(PROGRAM, 216, 1)),
    subject=(("tool", "T12"), ("operation", "3")),
    mends="single-pass",
    group="drilling",
    fingerprint="a" * 16,
)
ONE_PASS = Finding(
    rule="one-pass-not-proved",
    level="error",
    verdict="undecided",
    where=Place(PROGRAM, 230, 1),
    says="may T14 drill 60 mm in one pass?",
    why="A drill that packs its flutes breaks.",
    do="write `sealed` in holders/collet-a.yaml",
    basis="common practice",
    missing=(SEALED,),
    subject=(("tool", "T14"),),
    group="capability",
    rules=("one-pass-not-proved", "tap-after-flooded-peck"),
    fingerprint="b" * 16,
)
LEFT_ON = Finding(
    rule="fluid-on-at-tool-change",
    level="note",
    verdict="holds",
    where=Place(PROGRAM, 88, 5, 88, 8),
    says="flood is on at the tool change",
    why="It soaks the changer.",
    do="write M9 before M6",
    basis="common practice",
    group="housekeeping",
    fingerprint="c" * 16,
)
WAIVED = Waived("speed-too-high", Place(PROGRAM, 12, 1), "T3 runs fast", "tried and proved here", "the shop", date(2030, 12, 31))
NOTE_PLACE = Place(PROGRAM, 90, 18, 90, 19)
NOTE = Note("unreadable-block", NOTE_PLACE, "a part of this block cannot be read", "mend the number", ("y",), 2)

RULES = (
    Judged("deep-peck-with-capable-drill", "error", DEEP_PECK.why, DEEP_PECK.do, "common practice", "drilling"),
    Judged("one-pass-not-proved", "error", ONE_PASS.why, ONE_PASS.do, "common practice", "capability"),
    Judged("fluid-on-at-tool-change", "note", LEFT_ON.why, LEFT_ON.do, "common practice", "housekeeping"),
    Judged("tap-after-flooded-peck", "warning", "Work-hardened walls break taps.", "drill wet", "common practice", "tapping"),
)
CHAIN = ChainRow(
    "through_tool", "unknown", "unknown", "holder",
    (LinkRow("commanded", "yes", "M57 in line 200"), LinkRow("holder", "unknown", "the record does not say")),
)  # fmt: skip
OPERATION = OperationRow(
    number=3, tool=12, kind="peck_drill", title="DRILL 8.5", where=Place(PROGRAM, 210), start_s=425.3, seconds=61.5,
    rapid_s=20.0, feed_s=38.0, dwell_s=0.0, change_s=3.5, peck_s=19.25, depth_mm=80.0, diameter_mm=8.5, feed_mm_min=400.0,
    rpm=2600.0, fluid=("through_tool",), delivered="unknown", chains=(CHAIN,), holes=(1, 2),
)  # fmt: skip
STEP = StepRow(
    operation=3, tool=12, kind="peck_drill", where=Place(PROGRAM, 214), depth_mm=80.0, diameter_mm=8.5, strokes=14,
    retract="full", dwell_s=0.0, seconds=30.7, single_pass_s=12.0, fluid=("through_tool",),
)  # fmt: skip
HOLES = (
    HoleRow(1, 10.0, 20.0, 0.0, "z", "G54", (STEP,)),
    HoleRow(2, 30.0, 20.0, 0.0, "z", "G54", (replace(STEP, where=Place(PROGRAM, 215)),)),
)
REVIEW = Review(
    program=PROGRAM,
    sha256="0" * 64,
    findings=(DEEP_PECK, ONE_PASS, LEFT_ON),
    notes=(NOTE,),
    totals=Totals(872.0, 550.0, 161.0, 9, 812, 14, 62),
    operations=(OPERATION,),
    holes=HOLES,
    bound=(Bound("job", "plate", "plate.job.yaml"), Bound("machine", "mill-2", "machines/mill-2.yaml"),
           Bound("material", "", ""), Bound("fluid", "", "")),
    rules=RULES,
    readiness=Readiness(NOT_READY, (
        Change("Drill in one stroke.", "program", DEEP_PECK.where, DEEP_PECK.rule, wrong=DEEP_PECK.says, more=2),
        Change(SEALED.question, "record", ONE_PASS.where, ONE_PASS.rule, (SEALED,)),
    )),
    waived=(WAIVED,),
    quotes={(PROGRAM, 90): "N40 G1 X12.5 Y-3..2 F600", (PROGRAM, 88): "N39 M8 T5 M6"},
)  # fmt: skip
CLEAN = Review(program="programs/clean.nc", sha256="1" * 64, totals=REVIEW.totals, operations=(OPERATION,), rules=RULES,
               readiness=Readiness(READY))  # fmt: skip
OPEN = replace(REVIEW, findings=(ONE_PASS,), readiness=Readiness(CANNOT_TELL, REVIEW.readiness.changes[1:]))
BROKEN = Review("programs/gone.nc", problems=(Problem(Place("programs/gone.nc"), "there is no such file", "check the name"),))
