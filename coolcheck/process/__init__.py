"""Takes an execution and the records bound to it, gives operations, holes, edges, delivery chains and named facts of them.

SI units throughout (m, s, Pa, m³/s, 1/s, W); facts name the unit in which they are shown.
Must not import judge, report, rewrite, folder or cli.
"""

from coolcheck.process.timeline import build

__all__ = ["build"]
