"""The numbers to drill with in one pass, from the records: speed, feed, codes and times of the fluid, the slow entry."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from coolcheck.known import Known, combined
from coolcheck.process.facts import FACTS
from coolcheck.process.model import MODES, HoleStep, Operation, Timeline
from coolcheck.rewrite.differences import Said
from coolcheck.rewrite.machine_codes import code_that
from coolcheck.rewrite.recipe import Recipe, SlowEntry

if TYPE_CHECKING:
    from coolcheck.records.record import Section

SHORT_OF_PILOT = 2.0  # mm above the bottom of the pilot the slow entry ends; common practice, no source


class DrillingNumbers:
    """Speed, feed, codes, times and the slow entry of one operation, as far as they are known."""

    def __init__(self, operation: Operation, steps: tuple[HoleStep, ...], timeline: Timeline) -> None:
        self.operation, self.steps, self.timeline = operation, steps, timeline
        self.tool, self.machine = operation.tool_record, timeline.binding.machine
        self.name = "the tool" if operation.tool is None else f"T{operation.tool}"
        self.cutting = self._cutting()
        self.per_turn = self._per_turn()
        self.rpm = self._rpm()
        supply = self.machine.entry("supplies", "through_tool")
        self.build_up, self.decay = supply.field("build-up time"), supply.field("decay time")
        self.needs_spindle = supply.field("needs spindle")
        self.on = code_that(self.machine, "on", ["through_tool"])
        self.off = code_that(self.machine, "off", ["through_tool"], MODES)
        self.run_up = self.machine.field("spindle.start time")
        self.needs_pilot = self.tool.field("drilling.pilot")

    def recipe(self) -> Recipe:
        """The numbers; only when all of them are known."""
        entry, pilots = None, tuple[tuple[int, float], ...]()
        if self.needs_pilot.is_yes:
            speed, feed = self.tool.field("drilling.entry speed").value * 60.0, self.tool.field("drilling.entry feed").value * 6e4
            entry, pilots = SlowEntry(speed, feed, SHORT_OF_PILOT, self.run_up.value), tuple(self._pilots())
        return Recipe(
            tool=self.operation.tool,
            name=self.name,
            rpm=self.rpm.value,
            per_turn=self.per_turn.value * 1e3,
            on=self.on.value,
            off=self.off.value,
            build_up=self.build_up.value,
            decay=self.decay.value,
            needs_spindle=not self.needs_spindle.is_no,
            entry=entry,
            pilots=pilots,
            speed_basis=self._speed_basis(),
            feed_basis=self._basis(),
        )

    def _basis(self) -> str:
        """The entry of the record that the numbers come from."""
        name, material = str(self.cutting.field("material").value), self.timeline.binding.material.name
        return f"its record for {name if name == material else f'group {name}'}"

    def _speed_basis(self) -> str:
        """The same for the speed; or the limit that is lower."""
        is_limited = self.rpm.value < self._wanted().value * 60.0 * (1 - 1e-9)
        return f"the most its limits allow ({self._basis()} asks for more)" if is_limited else self._basis()

    def pilot_depth(self, step: HoleStep) -> Known[float]:
        """How deep a pilot stands in the hole when the drill comes [m]."""
        return FACTS["step", "pilot_depth"].of(step, self.timeline)

    def _pilots(self) -> Iterator[tuple[int, float]]:
        """Canned-cycle hole and height of the bottom of its pilot [mm]: the top of the hole less the pilot's depth."""
        firsts = {int(first): hole for hole, first in enumerate(self.timeline.execution.cycle_holes.first)}
        for step in self.steps:
            hole = self.timeline.holes[step.hole - 1]
            top = {"x": hole.x, "y": hole.y, "z": hole.z}[hole.axis] * 1e3
            if step.rows[0] in firsts:
                yield firsts[step.rows[0]], round(top - self.pilot_depth(step).value * 1e3, 6)

    def _cutting(self) -> "Section":
        """The cutting conditions of the tool for this material, else for its ISO 513 group."""
        material = self.timeline.binding.material
        own = self.tool.entry("cutting", material.name)
        group = material.field("group")
        if own.is_present or not group.is_known:
            return own
        of_group = self.tool.entry("cutting", group.value)
        return of_group if of_group.is_present else own

    def _per_turn(self) -> Known[float]:
        """Feed per turn [m]."""
        f, fz = self.cutting.field("f"), self.cutting.field("fz")
        if f.is_known or not fz.is_known:
            return f
        return combined(lambda tooth, count: tooth * count, fz, self.tool.field("ZEFP"))

    def _rpm(self) -> Known[float]:
        """Spindle speed [1/min] of the record, no higher than spindle, union, holder and tool allow with fluid."""
        limits = (
            self.machine.field("spindle.top speed"),
            self.machine.field("union.top speed"),
            self.operation.holder_record.field("top speed"),
            self.tool.field("top speed"),
        )
        return combined(lambda *speeds: min(speeds) * 60.0, self._wanted(), *limits)

    def _wanted(self) -> Known[float]:
        """Spindle speed [1/s] that the record asks for."""
        n, vc = self.cutting.field("n"), self.cutting.field("vc")
        return n if n.is_known else combined(lambda v, d: v / (math.pi * d), vc, self.tool.field("DC"))


def shown(said: Said) -> str:
    return " ".join([said.code, *(f"{letter}{value:g}" for letter, value in said.words)])
