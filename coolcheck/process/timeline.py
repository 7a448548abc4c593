"""The whole process of a program: builds the timeline from an execution and the records bound to it."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from coolcheck.known import Known, combined, known, merged, unknown
from coolcheck.process.air import without_air
from coolcheck.process.clock import FEED_GAP, clock
from coolcheck.process.comments import remarks
from coolcheck.process.drafts import Draft, Ground, drafts
from coolcheck.process.edges import edges
from coolcheck.process.engaged import engaged_rows, section_tops
from coolcheck.process.fluids import fluid_table
from coolcheck.process.holes import Grouped, grouped, holes
from coolcheck.process.kinds import PLUNGING, WITHOUT_CUT
from coolcheck.process.model import Operation, Timeline
from coolcheck.process.operations import operations
from coolcheck.process.regimes import borders
from coolcheck.process.sections import Rows, cutting_rows, parted, sections
from coolcheck.process.visits import circle_visits, cycle_visits, joined, plunge_visits

if TYPE_CHECKING:
    from coolcheck.nc.moves import Execution
    from coolcheck.records.binding import Binding


def build(execution: "Execution", binding: "Binding") -> Timeline:
    """The process of a program with its records: operations, holes, edges, fluid states and times."""
    with np.errstate(invalid="ignore"):  # NaN stands for unknown in columns, and is meant to spread
        return _build(execution, binding)


def _build(execution: "Execution", binding: "Binding") -> Timeline:
    said = remarks(execution)
    cutting = without_air(execution, cutting_rows(execution), said, binding.job)
    parts = sections(execution, cutting, said)
    ground = Ground(
        execution,
        binding,
        clock(execution, binding.machine),
        fluid_table(execution, binding.machine, binding.job),
        said,
        cutting,
        parts,
    )
    made = drafts(ground)
    group = _holes_of(ground, made)
    others = borders(execution, ground.fluids, group.visits, _in_holes_alone(made))
    if len(others):
        ground = replace(ground, sections=parted(execution, cutting, parts, others))
        made = drafts(ground)
        group = _holes_of(ground, made)
    tops = section_tops(ground, made, group)
    engaged = engaged_rows(ground, made, group, tops)
    done = operations(ground, made, group, engaged, tops)
    all_holes = holes(execution, group, done, {index: index for index in range(len(done))}, ground.clock, ground.fluids)
    return Timeline(
        execution=execution,
        binding=binding,
        fluids=ground.fluids.spans,
        operations=done,
        holes=all_holes,
        edges=edges(execution, binding, done, engaged, ground.clock, ground.fluids),
        seconds=ground.clock.total(),
        cutting_seconds=_cutting(done),
        pecking_seconds=_sum(operation.peck_seconds for operation in done),
        changes=tuple(event for event in execution.events if event.kind == "tool_change"),
        clock=ground.clock,
        engaged=engaged,
    )


def _in_holes_alone(made: list[Draft]) -> Rows:
    """The sections all of whose cuts are made in holes: by a cycle, or plunging."""
    return np.array([index for index, draft in enumerate(made) if draft.section.family or draft.plunges], dtype=np.int64)


def _holes_of(ground: Ground, made: list[Draft]) -> Grouped:
    """Every visit to a hole, clustered: by cycles, by plunges, by circles."""
    execution, parts, cutting = ground.execution, ground.sections, ground.cutting
    plunging = [index for index, draft in enumerate(made) if draft.plunges]
    threading = [index for index, draft in enumerate(made) if draft.said == "thread_mill" and not draft.section.family]
    radii = {
        index: draft.diameter.value * 500.0 if draft.diameter.is_known else float("nan")
        for index, draft in enumerate(made)
        if draft.cuts and not draft.section.family and draft.said not in PLUNGING
    }
    visits = joined(
        [
            cycle_visits(execution, parts, cutting),
            plunge_visits(execution, parts, cutting, plunging),
            circle_visits(execution, parts, cutting, radii, threading),
        ]
    )
    return grouped(execution, visits, ground.binding.job)


def _cutting(made: Iterable[Operation]) -> Known[float]:
    """Feed time of the operations that cut."""
    times = [operation.feed_seconds for operation in made if operation.kind not in WITHOUT_CUT]
    if any(not time.is_known for time in times):
        return unknown(FEED_GAP)
    return known(float(np.sum([time.value for time in times])), *merged(e for time in times for e in time.evidence))


def _sum(times: Iterable[Known[float]]) -> Known[float]:
    return combined(lambda *values: float(sum(values)), *times)
