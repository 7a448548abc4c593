"""Mends of fluid codes, by name: each function plans the edits for one target, and what they change. They raise CannotPlan."""

from collections.abc import Callable, Mapping

from coolcheck.rewrite.fluid_machine_code import codes_of_this_machine
from coolcheck.rewrite.fluid_off import off_before_pause
from coolcheck.rewrite.fluid_on import on_before_cut, time_to_build_up
from coolcheck.rewrite.fluid_regime import off_where_unneeded, one_regime
from coolcheck.rewrite.mender import Mender
from coolcheck.rewrite.targets import Target

FLUID_MENDS: Mapping[str, Callable[[Mender, Target], None]] = {
    "machine_code": codes_of_this_machine,
    "fluid_off_unneeded": off_where_unneeded,
    "edge_regime": one_regime,
    "fluid_before_cut": on_before_cut,
    "build_up_dwell": time_to_build_up,
    "fluid_off_before_change": off_before_pause,
}
