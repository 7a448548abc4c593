"""Reviews many programs on all cores, from the cache where it can. The work goes through an executor: local processes by
default, any `concurrent.futures.Executor` besides."""

import os
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from pathlib import Path

import coolcheck
from coolcheck.errors import InputError, Problem
from coolcheck.folder.cache import Cache, Entry, digest_of, file_digest, listing_digest
from coolcheck.folder.codec import Packed
from coolcheck.folder.one import Settings, program_bytes, review_bytes, unreadable
from coolcheck.judge.rules import rule_files
from coolcheck.place import Place
from coolcheck.records.binding import folder_of
from coolcheck.records.job import Jobs, read_job
from coolcheck.records.load import record_files
from coolcheck.records.record import Record
from coolcheck.report.options import shown_path
from coolcheck.report.review import Review
from coolcheck.shipped import shipped

FEW = 6  # programs that one process reviews before another has started
CHUNK = 8  # programs handed to a process at once
KEEP_EVERY = 50


@dataclass(frozen=True)
class Done:
    """A reviewed program; `was_remembered` says it came out of the cache."""

    path: Path
    review: Review
    was_remembered: bool


@dataclass(frozen=True)
class Work:
    """One program to review, small enough to send to another process. `job` is the file of its job, None when it has none."""

    path: Path
    data: bytes
    key: bytes
    job: Path | None


def review_many(
    paths: Sequence[Path],
    settings: Settings,
    cache: Cache,
    workers: int = 0,
    executor: Executor | None = None,
) -> Iterator[Done]:
    """A `Done` for every path, in the order they are finished. One that cannot be reviewed gives a review that says why.

    workers : processes, 0 for one a core; executor : in place of local processes. Closing the iterator stops the work; what is
    done is in the cache.
    """
    run = cache.next_run()
    keys = _Keys(settings)
    left: list[Work] = []
    for path in paths:
        work = _work(path, settings, keys)
        if isinstance(work, Review):
            yield Done(path, work, was_remembered=False)
            continue
        remembered = cache.get(work.key, keys.is_same)
        if remembered is not None:
            yield Done(path, remembered, was_remembered=True)
        else:
            left.append(work)
    try:
        for count, (work, entry) in enumerate(_worked(left, settings, workers or os.cpu_count() or 1, executor), 1):
            review = entry.review.unpacked()
            if review.is_reviewed:
                cache.put(work.key, entry, run)
            if count % KEEP_EVERY == 0:
                cache.keep()
            yield Done(work.path, review, was_remembered=False)
    finally:
        cache.keep()


def review_work(work: Work, settings: Settings) -> Entry:
    """The review of one program and the files it rests on besides its records. Runs in a worker; never raises."""
    name = shown_path(str(work.path), settings.base)
    try:
        review = review_bytes(work.data, name, replace(settings, job=work.job))
    except Exception as fault:  # a fault of ours in one program must not stop the others
        says = f"coolcheck itself failed on this program ({type(fault).__name__}: {fault})"
        problem = Problem(Place(name), says, "review it alone with COOLCHECK_DEBUG=1 and report what is printed")
        return Entry(Packed.of(Review(name, problems=(problem,))), ())
    return Entry(Packed.of(review), _others(review))


def _others(review: Review) -> tuple[tuple[str, str], ...]:
    """The subprogram files it was made from; where one was missing, what the folders that were searched hold."""
    if review.timeline is None:
        return ()
    execution = review.timeline.execution
    files = {program.source.name: program.source.sha256 for program in execution.subprograms}
    if any(note.id == "missing-subprogram" for note in execution.notes):
        folders = (*review.timeline.binding.search_folders, Path(review.program).parent)
        files |= {f"{folder}{os.sep}": listing_digest(Path(folder)) for folder in folders}
    return tuple(sorted(files.items()))


def _work(path: Path, settings: Settings, keys: "_Keys") -> Work | Review:
    name = shown_path(str(path), settings.base)
    try:
        data = program_bytes(path, name)
        job = keys.job(path)
        return Work(path, data, keys.key(path, data, job), Path(job.file) if job is not None else None)
    except InputError as wrong:
        return Review(name, problems=wrong.problems)
    except OSError as fault:
        return Review(name, problems=(unreadable(fault, name),))


class _Keys:
    """The cache key of a program: everything its review depends on."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        shared = [
            coolcheck.__version__.encode(),
            str(settings.today).encode(),
            settings.dialect.encode(),
            repr(settings.limits).encode(),
        ]
        for folder in (shipped("rules"), shipped("grammars")):
            shared += _contents(path for path in sorted(folder.rglob("*")) if path.is_file())
        for folder in settings.rules:
            shared += _contents(path for path in rule_files(folder, []) if path.is_file())
        if settings.starting_line is not None:
            shared.append(file_digest(settings.starting_line).encode())
        self._shared = digest_of(shared)
        self._jobs = Jobs()
        self._records: dict[str, bytes] = {}
        self._digests: dict[str, str] = {}

    def job(self, path: Path) -> Record | None:
        """The job of a program. Raises InputError."""
        return read_job(self._settings.job) if self._settings.job else self._jobs.of(path)

    def key(self, path: Path, data: bytes, job: Record | None) -> bytes:
        name = shown_path(str(path), self._settings.base)
        return digest_of((self._shared, self._job_digest(job), name.encode("utf-8", "surrogateescape"), data))

    def _job_digest(self, job: Record | None) -> bytes:
        if job is None:
            return b""
        if job.file not in self._records:
            self._records[job.file] = digest_of(_contents(_files_of(job)))
        return self._records[job.file]

    def is_same(self, name: str, digest: str) -> bool:
        """Is that file, or the listing of that folder, as it was?"""
        if name not in self._digests:
            self._digests[name] = listing_digest(Path(name)) if name.endswith(os.sep) else file_digest(Path(name))
        return self._digests[name] == digest


def _files_of(job: Record) -> Iterator[Path]:
    """The job file, every record that it could use, and the shop's own rules."""
    yield Path(job.file)
    for folder in job.field("records").or_else(("",)):
        yield from (path for path in record_files(folder_of(job, folder)) if path.is_file())
    for folder in job.field("rules").or_else(()):
        yield from (path for path in rule_files(folder_of(job, folder), []) if path.is_file())


def _contents(files: Iterable[Path]) -> list[bytes]:
    parts: list[bytes] = []
    for file in files:
        parts += [str(file).encode("utf-8", "surrogateescape"), file_digest(file).encode()]
    return parts


def _worked(left: list[Work], settings: Settings, workers: int, executor: Executor | None) -> Iterator[tuple[Work, Entry]]:
    if executor is None and (len(left) <= FEW or workers == 1):
        for work in left:
            yield work, review_work(work, settings)
        return
    if executor is not None:
        yield from _sent(left, settings, executor)
        return
    finished: set[bytes] = set()
    try:
        with ProcessPoolExecutor(workers) as pool:
            for work, entry in _sent(left, settings, pool):
                finished.add(work.key)
                yield work, entry
    except BrokenProcessPool:
        # a worker was killed (out of memory, say): what is left goes one by one, so that only the culprit is lost
        for work in left:
            if work.key not in finished:
                yield work, _alone(work, settings)


def _alone(work: Work, settings: Settings) -> Entry:
    """The review of one program in a process of its own, which may die without harm."""
    with ProcessPoolExecutor(1) as pool:
        try:
            return pool.submit(review_work, work, settings).result()
        except BrokenProcessPool:
            name = shown_path(str(work.path), settings.base)
            says = "the process that reviewed this program was ended by the system, perhaps for lack of memory"
            problem = Problem(Place(name), says, "review it alone, or cut it into parts")
            return Entry(Packed.of(Review(name, problems=(problem,))), ())


def _sent(left: list[Work], settings: Settings, executor: Executor) -> Iterator[tuple[Work, Entry]]:
    chunks = [left[at : at + CHUNK] for at in range(0, len(left), CHUNK)]
    waiting: list[tuple[list[Work], Future[list[Entry]]]] = [
        (chunk, executor.submit(_review_chunk, chunk, settings)) for chunk in chunks
    ]
    try:
        for chunk, future in waiting:
            yield from zip(chunk, future.result(), strict=True)
    finally:
        for _, future in waiting:
            future.cancel()


def _review_chunk(chunk: list[Work], settings: Settings) -> list[Entry]:
    return [review_work(work, settings) for work in chunk]


def sorted_by_name(done: Iterable[Done]) -> list[Review]:
    """The reviews by name, so that the output is the same however many worked."""
    return sorted((one.review for one in done), key=lambda review: review.program)
