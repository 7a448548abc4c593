"""Remembers reviews by content: the program, its records, the rules and the version. Unchanged programs cost nothing."""

import hashlib
import json
import os
import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

from coolcheck.folder.codec import NotAReview, Packed
from coolcheck.report.review import Review

MOST_ENTRIES = 200_000
FORGET_AT_ONCE = 20_000
FORM = 9  # of the tables; a file of another form is begun anew

_TABLES = (
    "CREATE TABLE IF NOT EXISTS review (key BLOB PRIMARY KEY, used INTEGER, others TEXT, rules BLOB, entry TEXT, holes BLOB, "
    "sum INTEGER) WITHOUT ROWID",
    "CREATE TABLE IF NOT EXISTS rules (key BLOB PRIMARY KEY, entry TEXT) WITHOUT ROWID",
)


@dataclass(frozen=True)
class Entry:
    """A remembered review, and the other files it was made from with the hash each had then ("" for one that was not there)."""

    review: Packed
    others: tuple[tuple[str, str], ...]


class Cache:
    """Reviews by key. Every fault of the file makes it empty, never wrong: `say` is told, and the run goes on."""

    def __init__(self, file: Path | None, say: Callable[[str], None]) -> None:
        self._say = say
        self._file = file
        self._rules: dict[bytes, str] = {}
        self._base = self._opened()

    def _opened(self) -> sqlite3.Connection | None:
        if self._file is None:
            return None
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            base = sqlite3.connect(self._file, timeout=10)
            base.execute("PRAGMA synchronous = NORMAL")
            _prepare(base)
        except (OSError, sqlite3.OperationalError) as fault:
            self._say(f"the cache {self._file} cannot be used ({fault}); this run goes without")
            return None
        except sqlite3.DatabaseError as fault:
            self._say(f"the cache {self._file} was damaged ({fault}) and is begun anew")
            self._file.unlink(missing_ok=True)
            return self._begun_anew()
        return base

    def _begun_anew(self) -> sqlite3.Connection | None:
        assert self._file is not None
        try:
            base = sqlite3.connect(self._file, timeout=10)
            _prepare(base)
        except (OSError, sqlite3.DatabaseError):
            return None
        return base

    def get(self, key: bytes, same: Callable[[str, str], bool]) -> Review | None:
        """The review under `key`, if the other files it rests on are still the `same`."""
        if self._base is None:
            return None
        try:
            row = self._base.execute("SELECT others, rules, entry, holes, sum FROM review WHERE key = ?", (key,)).fetchone()
            if row is None:
                return None
            others, rules, entry, holes, total = row
            if crc32(holes, crc32(entry.encode())) == total and all(same(name, digest) for name, digest in json.loads(others)):
                return Packed(entry, self._rules_of(rules), holes).unpacked()
        except (sqlite3.DatabaseError, NotAReview, ValueError, KeyError, TypeError):
            return None
        return None

    def _rules_of(self, key: bytes) -> str:
        assert self._base is not None
        if key not in self._rules:
            (self._rules[key],) = self._base.execute("SELECT entry FROM rules WHERE key = ?", (key,)).fetchone()
        return self._rules[key]

    def put(self, key: bytes, entry: Entry, run: int) -> None:
        """Remembers a review; `run` numbers the runs, for forgetting the oldest."""
        if self._base is None:
            return
        review = entry.review
        total = crc32(review.holes, crc32(review.text.encode()))
        rules_key = hashlib.sha256(review.rules.encode()).digest()
        row = (key, run, json.dumps(entry.others), rules_key, review.text, review.holes, total)
        try:
            self._base.execute("INSERT OR REPLACE INTO review VALUES (?, ?, ?, ?, ?, ?, ?)", row)
            self._base.execute("INSERT OR IGNORE INTO rules VALUES (?, ?)", (rules_key, review.rules))
        except sqlite3.DatabaseError as fault:
            self._say(f"the cache {self._file} takes no more ({fault}); this run goes on without")
            self._base = None

    def keep(self) -> None:
        """Writes what was put so far, so that an interrupted run loses little."""
        if self._base is not None:
            try:
                self._base.commit()
            except sqlite3.DatabaseError as fault:
                self._say(f"the cache {self._file} takes no more ({fault}); this run goes on without")
                self._base = None

    def next_run(self) -> int:
        """The number of this run."""
        if self._base is None:
            return 0
        (last,) = self._base.execute("SELECT max(used) FROM review").fetchone()
        return (last or 0) + 1

    def close(self) -> None:
        """Forgets the oldest when there are too many, and closes the file."""
        if self._base is None:
            return
        self.keep()
        if self._base is not None:
            (count,) = self._base.execute("SELECT count(*) FROM review").fetchone()
            if count > MOST_ENTRIES:
                self._base.execute(
                    "DELETE FROM review WHERE key IN (SELECT key FROM review ORDER BY used LIMIT ?)", (FORGET_AT_ONCE,)
                )
                self._base.execute("DELETE FROM rules WHERE key NOT IN (SELECT rules FROM review)")
                self._base.commit()
            self._base.close()


def _prepare(base: sqlite3.Connection) -> None:
    """Makes the tables where they are not there, or are those of another version. Raises sqlite3.DatabaseError."""
    (form,) = base.execute("PRAGMA user_version").fetchone()
    if form != FORM:
        base.execute("DROP TABLE IF EXISTS review")
        base.execute("DROP TABLE IF EXISTS rules")
        base.execute(f"PRAGMA user_version = {FORM}")
    for table in _TABLES:
        base.execute(table)
    base.execute("SELECT count(*) FROM review").fetchone()


def cache_file() -> Path:
    """Where the cache lies: COOLCHECK_CACHE_DIR, or the system's place for caches."""
    named = os.environ.get("COOLCHECK_CACHE_DIR")
    if named:
        return Path(named) / "reviews.sqlite"
    import platformdirs  # knows every system's place; asked only when nobody names one

    return platformdirs.user_cache_path("coolcheck", appauthor=False) / "reviews.sqlite"


def digest_of(parts: Iterable[bytes]) -> bytes:
    """One hash over several parts, each told apart from the next."""
    total = hashlib.sha256()
    for part in parts:
        total.update(len(part).to_bytes(8, "big"))
        total.update(part)
    return total.digest()


def file_digest(path: Path) -> str:
    """Hash of a file's bytes, "" when it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def listing_digest(folder: Path) -> str:
    """Hash of the names in a folder, "" when it cannot be read."""
    try:
        return digest_of(name.encode("utf-8", "surrogateescape") for name in sorted(os.listdir(folder))).hex()
    except OSError:
        return ""
