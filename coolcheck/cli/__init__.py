"""Takes what a person types, calls one function, prints, and sets the exit code. Commands are thin, one module each.

Exit codes: 0 nothing that counts, 1 findings that count, 2 could not run. Reports go to stdout, the rest to stderr.
"""

from coolcheck.cli.start import main

__all__ = ["main"]
