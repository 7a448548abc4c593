"""`coolcheck verify`: is a certificate still true of the files it names, and does the proof still hold?"""

from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.start import say, show
from coolcheck.rewrite.verify import verify


@click.command("verify")
@click.argument("certificate", type=choices.FILE)
def command(certificate: Path) -> int:
    """Check every hash of a rewrite certificate again, and run its proof again, with the files as they are now.

    \b
    Example:
      coolcheck verify programs/O1203-one-pass.nc.certificate.json

    Exit codes: 0 everything is as certified, 1 something is not, 2 could not run.
    """
    checks = verify(certificate)
    for check in checks:
        show(f"{'yes' if check.holds else 'NO ':3} {check.says}")
    failed = sum(not check.holds for check in checks)
    told = f"{failed} of {len(checks)} checks failed" if failed else "everything is as certified"
    say(f"{certificate}: {told}")
    return int(failed > 0)
