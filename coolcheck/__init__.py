"""Review NC programs for cutting-fluid delivery: what each edge really gets, and what must change.

The packages are stages, one direction: nc → process → judge → report, rewrite, folder → cli; records and physics beside nc.
"""

__version__ = "0.1.0"
