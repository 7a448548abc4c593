"""Takes SI floats (arrays where moves are columns), gives SI floats: times, forces, torques, lives, depths, flows, heat.

Every function names its units, its range of validity and its source; outside the range it raises `OutOfRange`, which
callers turn into *unknown* with the reason. Must not import anything else of coolcheck.
"""

from coolcheck.physics.valid import OutOfRange, within

__all__ = ["OutOfRange", "within"]
