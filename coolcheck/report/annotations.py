"""Annotations: workflow commands in a CI log that put findings on the lines of a change.

A step may set ten errors, ten warnings and ten notices; more are dropped without a word. So the worst come first, the
last notice says how many are not shown, and the plain list follows.
"""

from collections.abc import Sequence
from typing import TextIO

from coolcheck.judge.finding import Finding
from coolcheck.place import Place
from coolcheck.report.options import Options
from coolcheck.report.review import Review, harm
from coolcheck.report.sarif import message
from coolcheck.report.text import plain_line

NAME = "annotations"
MOST = 10  # of each command, in one step
COMMAND = {"error": "error", "warning": "warning", "note": "notice"}


def render(reviews: Sequence[Review], out: TextIO, options: Options) -> None:
    """Writes the commands, worst first, then every finding as a plain line."""
    told = [review.for_people(review.units(options)) for review in reviews]
    found = sorted((finding for review in told for finding in review.findings), key=harm)
    problems = [problem for review in reviews for problem in review.problems]
    commands = [
        command("error", problem.place, "not reviewed", ". ".join(filter(None, (problem.says, problem.do))), options)
        for problem in problems
    ] + [finding_command(finding, options) for finding in found]
    shown, left = capped(commands)
    out.writelines(line + "\n" for line in shown)
    if left:
        out.write(f"::notice title=coolcheck::{left} more findings are not shown as annotations; the list below has all\n")
    lines = [f"{options.place(problem.place)}: error: {problem.says}" for problem in problems]
    lines += [plain_line(finding, options) for finding in found]
    out.writelines(harmless(line) + "\n" for line in lines)


def finding_command(finding: Finding, options: Options) -> str:
    """The command of one finding; what cannot be decided is never more than a warning here."""
    level = finding.level if finding.verdict == "holds" or finding.level == "note" else "warning"
    title = finding.rule if finding.verdict == "holds" else f"{finding.rule} (cannot be decided)"
    return command(COMMAND[level], finding.where, title, message(finding), options)


def command(name: str, place: Place, title: str, text: str, options: Options) -> str:
    """A workflow command; columns are allowed only where it starts and ends on one line."""
    end = place.end_line or place.line
    properties = {"file": options.file(place.file), "line": place.line, "endLine": end if end != place.line else 0}
    if end == place.line:
        properties |= {"col": place.column, "endColumn": place.end_column}
    properties["title"] = title
    written = ",".join(f"{key}={property_text(str(value))}" for key, value in properties.items() if value)
    return f"::{name} {written}::{message_text(text)}"


def capped(commands: Sequence[str]) -> tuple[list[str], int]:
    """The commands that will be shown, and how many will not; one notice is kept for saying so."""
    shown: list[str] = []
    used = {"error": 0, "warning": 0, "notice": 1}
    for line in commands:
        name = line[2:].split(" ", 1)[0]
        if used[name] < MOST:
            used[name] += 1
            shown.append(line)
    return shown, len(commands) - len(shown)


def message_text(text: str) -> str:
    """Escaped as the runner reads it."""
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def property_text(text: str) -> str:
    """Escaped as the runner reads a property."""
    return message_text(text).replace(":", "%3A").replace(",", "%2C")


def harmless(line: str) -> str:
    """A line that the runner cannot take for a command: text of a program must never start one."""
    line = line.replace("\r", "\\r").replace("\n", "\\n")
    return "." + line if line.lstrip().startswith(("::", "##[")) else line
