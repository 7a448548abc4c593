"""The command itself, and what becomes of an error: one place where exit codes of failures are set."""

import gc
import os
import sys
import traceback
from collections.abc import Sequence
from typing import NoReturn

import click

import coolcheck
from coolcheck.cli.lazy import lazy_group
from coolcheck.errors import CoolcheckError

COULD_NOT_RUN = 2
INTERRUPTED = 130  # as a shell reports SIGINT
PIPE_CLOSED = 141  # as a shell reports SIGPIPE
OBJECTS_BETWEEN = 500_000  # reviews leave hardly a circle: looking for one can be rare
COMPLETION = "_COOLCHECK_COMPLETE"  # set by a shell that asks for completions

COMMANDS = {
    "review": ("coolcheck.cli.review", "Review programs: what each edge really gets, and what to change."),
    "folder": ("coolcheck.cli.folder", "Review every program in a folder, worst first."),
    "timeline": ("coolcheck.cli.timeline", "Show the operations of a program over time."),
    "holes": ("coolcheck.cli.holes", "Show what each tool does to each hole."),
    "demand": ("coolcheck.cli.demand", "Show the fluid each operation needs beside what arrives."),
    "trace": ("coolcheck.cli.trace", "Write every interpreted move and event as JSON lines."),
    "rewrite": ("coolcheck.cli.rewrite", "Convert peck cycles to one pass and mend fluid codes, with a proof."),
    "verify": ("coolcheck.cli.verify", "Check a rewrite certificate: its hashes, its edits, its proof."),
    "explain": ("coolcheck.cli.explain", "Explain a rule: what it finds, why, and what to do."),
    "records": ("coolcheck.cli.records", "Check records, start new ones, print their schemas."),
    "schema": ("coolcheck.cli.schema", "Print the JSON Schema of a report."),
    "starting-line": ("coolcheck.cli.starting_line", "Accept today's findings, so that only new ones fail."),
}


@click.group(cls=lazy_group(COMMANDS), context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(coolcheck.__version__, prog_name="coolcheck")
def cli() -> None:
    """Review NC programs for cutting-fluid delivery: what every edge really gets, from pump to tip.

    \b
    Example:
      coolcheck review O1203.nc --job plate.job.yaml

    Exit codes: 0 nothing that counts, 1 findings that count, 2 could not run.
    """


def main(args: Sequence[str] | None = None) -> NoReturn:
    """Runs the command line and exits; a user never sees a traceback."""
    gc.set_threshold(OBJECTS_BETWEEN, 20, 20)
    sys.exit(run(args))


def run(args: Sequence[str] | None = None) -> int:
    """Runs the command line and gives the exit code."""
    try:
        code = cli.main(args, prog_name="coolcheck", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as fault:
        fault.show()
        return fault.exit_code
    except (click.Abort, KeyboardInterrupt):
        say("interrupted")
        return INTERRUPTED
    except CoolcheckError as fault:
        say(str(fault))
        return COULD_NOT_RUN
    except BrokenPipeError:
        # Nobody reads on; what is still buffered goes nowhere, or the interpreter would complain at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    except SystemExit as left:
        # Nothing of ours leaves in this way: it is click at the end of a completion, or when nobody reads on.
        return int(left.code or 0) if COMPLETION in os.environ else PIPE_CLOSED
    except OSError as fault:
        say(f"error: {fault.strerror or fault}{f': {fault.filename}' if fault.filename else ''}")
        return COULD_NOT_RUN
    except Exception as fault:
        return unexpected(fault)
    return code if isinstance(code, int) else 0


def unexpected(fault: Exception) -> int:
    """A fault of ours: says so, and how to see more."""
    if os.environ.get("COOLCHECK_DEBUG") == "1":
        traceback.print_exception(fault)
    else:
        say(f"error: coolcheck itself failed ({type(fault).__name__}: {fault}); nothing was decided")
        say("    do       run again with COOLCHECK_DEBUG=1 and report what it prints, with the program if you may")
    return COULD_NOT_RUN


def say(text: str) -> None:
    """A message for people, on stderr."""
    click.echo(harmless(text), err=True)


def show(text: str) -> None:
    """A line or a page for people, on stdout."""
    click.echo(harmless(text).removesuffix("\n"))


def harmless(text: str) -> str:
    """Text that may quote a program, a record or a file name: nothing in it reaches a terminal as a command."""
    if text.isprintable():
        return text
    from coolcheck.report.cells import escaped  # reports are no part of what `--version` has to load

    return "\n".join(map(escaped, text.split("\n")))
