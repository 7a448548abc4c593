"""An execution that runs exactly as declared differences would have it: the worst that a wrong plan could come with."""

from dataclasses import replace

import numpy as np

from coolcheck.nc.moves import Execution
from coolcheck.rewrite.expect import Expectation


def as_declared(before: Execution, expectation: Expectation) -> Execution:
    """`before` with the rows, modal state and events that are expected; what no proof of a difference reads stays as it was."""
    old = before.moves
    columns = {name: getattr(old, name)[expectation.take] for name in ("block", "cycle", "arc", "seconds")}
    columns["cycle"] = np.where(expectation.in_cycle, columns["cycle"], -1)
    moves = replace(old, kind=expectation.kind, **expectation.columns, **columns)
    return replace(before, moves=moves, spans=expectation.spans, events=expectation.events)
