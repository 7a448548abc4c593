"""Takes programs, one or a folder of them, gives reviews: finds them, binds each to its job, works on all cores, remembers.

Must not import cli.
"""
