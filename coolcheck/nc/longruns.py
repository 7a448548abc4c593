"""Hands long runs of plain motion to `bulk`, which works on them in columns, and takes over the state behind them."""

import math

import numpy as np

from coolcheck.nc import motion
from coolcheck.nc.bulk import SHORTEST_RUN, Setting
from coolcheck.nc.calls import Unit
from coolcheck.nc.control import Control
from coolcheck.nc.moves import Kind
from coolcheck.nc.words import MOTION_CODES

NAN = math.nan
_LONGEST_RUN = 131_072  # blocks worked on at once: bounds the memory of a run


def run_ahead(control: Control, unit: Unit, index: int) -> int:
    """Runs the plain motion from block `index` on, when it is long enough. Gives the block behind; `index` when nothing ran."""
    end = unit.plain.run_end(index) if len(unit.program) > SHORTEST_RUN else index
    high = min(end, unit.end, index + _LONGEST_RUN)
    setting = _setting(control) if high - index >= SHORTEST_RUN else None
    if setting is None:
        unit.bulk_from = max(end, index + 1)
        return index
    run = unit.plain.run(index, high, setting)
    if run.high == index:
        unit.bulk_from = index + 1
        return index
    feed = np.where(run.feed > 0, run.feed, NAN)
    if control.meaning.helix_feed == "plane" and len(run.arc_rows):
        with np.errstate(invalid="ignore", divide="ignore"):
            feed[run.arc_rows] *= run.arc_length / (run.arc_radius * run.arc_sweep)
    if len(run.arc_rows):
        control.block = unit.first + int(run.block[run.arc_rows[0]])
        control.assume("plane")
    lacking = np.flatnonzero((run.kind != Kind.RAPID) & np.isnan(feed))
    for row in lacking[:1].tolist():
        control.block = unit.first + int(run.block[row])
        motion.no_feed(control)
    control.recorder.run(run, unit.first, feed)
    motion.set_motion(control, run.motion * 10)
    control.position = run.position
    control.feed = run.feed_after if run.feed_after > 0 else NAN
    rpm = control.state.modal.rpm
    control.word_feed = control.feed / rpm if control.state.modal.feed_mode == 95 and rpm else control.feed
    unit.visited[index : run.high] = b"\x01" * (run.high - index)
    control.check_moves()
    return run.high


def _setting(control: Control) -> Setting | None:
    """The modal state for a run of plain motion; None when something is on that a run does not know."""
    how, modal, increments = control.meaning, control.state.modal, control.increments
    per_turn = modal.feed_mode == 95
    plain_feed = how.bare_feed[(2 if per_turn else 0) + (1 if control.is_inch else 0)] == 1.0
    letters_differ = increments is not None and not increments.letters.issuperset("XYZIJK")
    if not plain_feed or letters_differ or (per_turn and not modal.rpm) or control.state.arc_centre != "incremental":
        return None
    worth = 1.0 if increments is None else increments.inch if control.is_inch else increments.millimetre
    return Setting(
        position=control.position,
        motion=control.motion // 10 if control.motion in MOTION_CODES else -1,
        feed=control.feed,
        scale=control.scale,
        increment=control.scale * worth,
        feed_scale=control.scale * (modal.rpm or 1.0) if per_turn else control.scale,
        incremental=not control.absolute,
        plane=control.plane,
        arc_tolerance=how.arc_tolerance_inch * 25.4 if control.is_inch else how.arc_tolerance_mm,
    )
