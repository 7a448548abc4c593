"""Verifies a certificate: every hash again, every edit made again, every proof run again, from the files as they are now."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coolcheck.errors import CoolcheckError, InputError, Problem
from coolcheck.place import Place
from coolcheck.records.binding import Binding, bind, unbound
from coolcheck.rewrite.bench import Bench, skip_settings
from coolcheck.rewrite.certificate import FORM, VERSION, digest
from coolcheck.rewrite.differences import Differences
from coolcheck.rewrite.edit import Edit, apply
from coolcheck.rewrite.plan import Run, demands_of
from coolcheck.rewrite.prove import first_fault

MOST_BYTES = 200_000_000


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was verified: what, and whether it is as certified."""

    says: str
    holds: bool


def verify(path: Path) -> tuple[Check, ...]:
    """All checks of a certificate. Raises InputError when it cannot be read as one."""
    data = read_certificate(path)
    try:
        return tuple(_Verification(path, data).checks())
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as fault:
        raise InputError(Problem(Place(str(path)), f"this certificate is not whole: {fault!r}", "write it anew")) from fault


def read_certificate(path: Path) -> dict[str, Any]:
    """The data of a certificate. Raises InputError."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError(Problem(Place(str(path)), "this file is too large to be a certificate"))
        data = json.loads(path.read_bytes())
    except OSError as fault:
        raise InputError(Problem(Place(str(path)), f"this file cannot be read: {fault.strerror or fault}")) from fault
    except (ValueError, RecursionError) as fault:
        raise InputError(Problem(Place(str(path)), "this is no JSON file", "name the .certificate.json of a rewrite")) from fault
    if not isinstance(data, dict) or data.get("form") != FORM:
        raise InputError(Problem(Place(str(path)), "this is no certificate of a rewrite", "name the .certificate.json"))
    if data.get("version") != VERSION:
        says = f"this certificate is of version {data.get('version')!r}; this coolcheck reads version {VERSION}"
        raise InputError(Problem(Place(str(path)), says))
    return data


class _Verification:
    def __init__(self, path: Path, data: dict[str, Any]) -> None:
        self.path, self.home, self.data = path, path.parent, data

    def checks(self) -> Iterator[Check]:
        """Hashes first; the proof only of programs that are those of the certificate."""
        programs = {}
        for name in ("original", "rewritten"):
            one = self.data[name]
            content = self._content(one["file"])
            programs[name] = content
            yield self._hash(f"the {name} program {one['file']}", content, one["sha256"])
        for one in (*self.data["records"], *self.data["subprograms"]):
            yield self._hash(f"{one.get('kind', 'subprogram')} {one['file']}", self._content(one["file"]), one["sha256"])
        original, rewritten = programs["original"], programs["rewritten"]
        if original is None or rewritten is None:
            yield Check("the proof cannot be run: a program is missing", False)
            return
        try:
            yield from self._proof(original, rewritten)
        except CoolcheckError as fault:
            yield Check(f"the proof cannot be run: {fault}", False)

    def _content(self, file: str) -> bytes | None:
        try:
            return (self.home / file).read_bytes()
        except OSError:
            return None

    def _hash(self, what: str, content: bytes | None, wanted: str) -> Check:
        if content is None:
            return Check(f"{what} cannot be read", False)
        holds = digest(content) == wanted
        return Check(f"{what} is {'as certified' if holds else 'not the one that was certified'}", holds)

    def _bench(self) -> Bench:
        rewritten = self.home / self.data["rewritten"]["file"]
        binding: Binding = bind(rewritten, self.home / self.data["job"]) if self.data["job"] else unbound(rewritten)
        name = self.data["dialect"]["name"]
        return Bench.of(binding, "" if binding.dialect_name.is_known else name)

    def _proof(self, original: bytes, rewritten: bytes) -> Iterator[Check]:
        bench = self._bench()
        if bench.dialect.name != self.data["dialect"]["name"] or sorted(bench.block_skip) != self.data["block_skip"]:
            yield Check("the records choose another dialect, or other block-skip switches, than the certificate has", False)
            return
        data = original
        for number, stage in enumerate(self.data["stages"], 1):
            edits = [
                Edit(one["start"], one["end"], one["text"].encode("latin-1"), one["reason"], stage["mend"], one.get("tool"))
                for one in stage["edits"]
            ]
            new = apply(data, edits)
            holds = digest(data) == stage["before"] and digest(new) == stage["after"]
            yield Check(f"step {number}, {stage['mend'].replace('_', ' ')}: the edits lead to the certified bytes", holds)
            yield from self._runs(bench, number, stage, data, new)
            data = new
        yield Check("the edits lead from the original to the rewritten program, byte for byte", data == rewritten)

    def _runs(self, bench: Bench, number: int, stage: dict[str, Any], old: bytes, new: bytes) -> Iterator[Check]:
        name = str(self.home / self.data["rewritten"]["file"])
        program = bench.program(old, name)
        wanted = {frozenset(run["block_skip"]) for run in stage["runs"]}
        if wanted != set(skip_settings(program, bench.block_skip)):
            yield Check(f"step {number}: the proofs are not those of every setting of the block-skip switches", False)
        for run in stage["runs"]:
            skip = frozenset(run["block_skip"])
            before = Run.of(bench.timeline(bench.run(program, skip)))
            after = bench.run(bench.program(new, name), skip)
            fault = first_fault(
                before.execution,
                after,
                Differences.of_data(run["differences"]),
                demands_of(before, self.data["speed_and_feed"] == "kept"),
            )
            told = f"step {number}, block-skip switches on: {', '.join(map(str, sorted(skip))) or 'none'}"
            yield Check(f"{told}: {fault or 'proved again'}", not fault)
