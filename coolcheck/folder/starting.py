"""Makes the starting line of a folder: what its programs show today, so that only what is new fails from now on."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from coolcheck.errors import InputError, LimitReached, Problem
from coolcheck.folder.bounds import bounded
from coolcheck.folder.one import Settings, judgement_of, name_beside, program_bytes, timeline_of
from coolcheck.judge.evaluate import Judgement
from coolcheck.judge.starting_line import starting_line
from coolcheck.place import Place
from coolcheck.report.options import shown_path

FILE_NAME = "coolcheck-starting-line.json"


@dataclass(frozen=True)
class Made:
    """A starting-line file: its bytes, how many programs and verdicts it holds, and what kept programs out of it."""

    data: bytes
    programs: int
    accepted: int
    problems: tuple[Problem, ...]


def made(programs: Iterable[Path], file: Path, settings: Settings) -> Made:
    """The starting line of these programs, named as seen from `file`. One that cannot be reviewed is left out, and told."""
    judged: list[tuple[str, Judgement]] = []
    problems: list[Problem] = []
    for path in programs:
        name = shown_path(str(path), settings.base)
        try:
            with bounded(settings.limits):
                timeline = timeline_of(program_bytes(path, name), name, settings)
                judgement = judgement_of(timeline, replace(settings, starting_line=None))[0]
            judged.append((name_beside(name, file), judgement))
        except InputError as wrong:
            problems += wrong.problems
        except LimitReached as reached:
            problems.append(Problem(Place(name), str(reached)))
    accepted = sum(verdict.count for _, judgement in judged for verdict in judgement.verdicts)
    return Made(starting_line(judged), len(judged), accepted, tuple(problems))
