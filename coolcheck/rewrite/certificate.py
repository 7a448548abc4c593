"""The certificate of a rewrite as plain data: what was changed, why it was allowed, what was proved, and what a person must do.

Same rewrite, same data: no clock, no path of the machine it ran on. A date stands in it when one is given. Its form is
published in `certificate.schema.json`.
"""

import hashlib
import json
import math
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

import coolcheck
from coolcheck.known import Evidence, Missing
from coolcheck.place import Place
from coolcheck.records.binding import Binding
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.changes import changes
from coolcheck.rewrite.edit import Edit
from coolcheck.rewrite.origin import Origin
from coolcheck.rewrite.preconditions import Preconditions
from coolcheck.rewrite.prove import Proof
from coolcheck.rewrite.refusal import Refusal
from coolcheck.rewrite.rewrite import Rewrite, Stage

FORM, VERSION = "coolcheck rewrite certificate", 1
# To be done by a qualified person before the first run; generic trade practice in our own words.
CAUTIONS = (
    "A qualified person has read this page and both programs. What the builder of the machine and the maker of the tool say "
    "goes before anything that stands here; so do the rules of the place where the machine stands.",
    "Work offset, tool numbers, length and radius offsets are checked; each tool and holder in the machine is the one of the "
    "records: shank form, pull stud, seal, fluid holes.",
    "The old and the new program were compared block by block, and every assumption on this page holds for this control: "
    "dialect, codes, pressure level, plane, feed mode.",
    "The program was run dry above the part or in a graphic simulation, then block by block, with reduced rapids, a low feed "
    "override and a hand at feed hold.",
    "Each change of speed or feed on this page was looked at by somebody who knows why the old value stood there; a lower one "
    "may have had a reason that no record holds: a weak setup, a long overhang, a thin wall.",
    "The first hole was drilled in scrap or in a safe place; chips, spindle load, jet and sound were watched, and the first "
    "article was measured before going on.",
    "Fluid was seen to come out of every exit of each tool before it cut; its level, concentration and filter are in order.",
    "Doors are shut and their interlocks work. No jet was ever tried with the guard open or bypassed: through-tool pressure can "
    "drive fluid through the skin, and such a wound is an emergency even when it looks small.",
    "It does not run unattended, in an alloy that burns or is not in the records, or with a tool whose maker forbids drilling in "
    "one pass, until it was proven with a person beside it.",
    "Where anything differs from the records, the machine was stopped, the record mended, and the review run again.",
    "The original program is kept, and the new one carries a name of its own.",
)


@dataclass(frozen=True)
class Files:
    """Where things lie. `home` is the folder of the certificate: every path in it is relative to that."""

    home: Path
    original: Path
    rewritten: Path
    job: Path | None

    def shown(self, path: str | Path) -> str:
        """A path as the certificate has it."""
        return os.path.relpath(Path(path).resolve(), self.home.resolve()).replace(os.sep, "/")


def certificate(done: Rewrite, bench: Bench, files: Files, day: date | None = None) -> dict[str, Any]:
    """The certificate of a rewrite that changed something."""
    return {
        "form": FORM,
        "version": VERSION,
        "coolcheck": coolcheck.__version__,
        "date": day.isoformat() if day else None,
        "original": _program(done.original, files.shown(files.original)),
        "rewritten": _program(done.result, files.shown(files.rewritten)),
        "job": files.shown(files.job) if files.job else None,
        "dialect": {"name": bench.dialect.name, "of": "records" if bench.binding.dialect_name.is_known else "default"},
        "block_skip": sorted(bench.block_skip),
        "speed_and_feed": "kept" if done.keeps else "record",
        "records": list(_records(bench.binding, files)),
        "subprograms": [_subprogram(p.source.name, p.source.data, files) for p in done.before.execution.subprograms],
        "stages": [_stage(stage, files) for stage in done.stages],
        "changes": [asdict(change) for change in changes(done)],
        "preconditions": [_preconditions(found, stage.origin, files) for stage in done.stages for found in stage.conditions],
        "left": [_refusal(refusal, files) for refusal in done.refusals],
        "time": _time(done),
        "cautions": [{"says": says, "done": False} for says in CAUTIONS],
    }


def written(data: dict[str, Any]) -> bytes:
    """The certificate as a file."""
    return (json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")


def schema() -> dict[str, Any]:
    """The published form of a certificate, as a JSON Schema."""
    found: dict[str, Any] = json.loads((Path(__file__).parent / "certificate.schema.json").read_text(encoding="utf-8"))
    return found


def digest(data: bytes) -> str:
    """The hash that stands in a certificate."""
    return hashlib.sha256(data).hexdigest()


def _program(data: bytes, file: str) -> dict[str, Any]:
    return {"file": file, "sha256": digest(data), "bytes": len(data)}


def _subprogram(name: str, data: bytes, files: Files) -> dict[str, Any]:
    return {"file": files.shown(name), "sha256": digest(data)}


def _records(binding: Binding, files: Files) -> Iterator[dict[str, Any]]:
    for record in binding.all_records():
        content = Path(record.file).read_bytes()
        yield {"kind": record.kind, "name": record.name, "file": files.shown(record.file), "sha256": digest(content)}


def _stage(stage: Stage, files: Files) -> dict[str, Any]:
    runs = [
        {"block_skip": sorted(skip), "differences": declared.as_data(), "proof": _proof(proof)}
        for (skip, declared), proof in zip(stage.differences, stage.proofs, strict=True)
    ]
    return {
        "mend": stage.mend,
        "before": stage.before,
        "after": stage.after,
        "edits": [_edit(edit) for edit in stage.edits],
        "runs": runs,
    }


def _edit(edit: Edit) -> dict[str, Any]:
    """One edit; its text has one character a byte (ISO 8859-1), so that no byte is lost."""
    made = {"start": edit.start, "end": edit.end, "text": edit.text.decode("latin-1"), "reason": edit.reason}
    return made | ({"tool": edit.tool} if edit.tool is not None else {})


def _proof(proof: Proof) -> dict[str, Any]:
    return {key: value for key, value in asdict(proof).items() if key != "block_skip"}


def _preconditions(found: Preconditions, origin: Origin, files: Files) -> dict[str, Any]:
    """What had to be known, with its evidence; lines are those of the original."""
    return {
        "tool": found.operation.tool,
        "operation": found.operation.number,
        "place": _place(origin.place(found.operation.place), files),
        "conditions": [
            {"name": one.name, "says": one.says, "evidence": [_evidence(origin.evidence(e), files) for e in one.truth.evidence]}
            for one in found.conditions
        ],
    }


def _refusal(refusal: Refusal, files: Files) -> dict[str, Any]:
    return {
        "place": _place(refusal.where, files),
        "mend": refusal.mend or None,
        "tool": refusal.tool,
        "says": refusal.says,
        "missing": [_missing(one, files) for one in refusal.missing],
        "do": refusal.do,
    }


def _missing(one: Missing, files: Files) -> dict[str, Any]:
    place = _place(one.place, files) if one.place is not None and one.place.file else None
    return {"record": one.record, "field": one.field, "question": one.question, "place": place}


def _evidence(one: Evidence, files: Files) -> dict[str, Any]:
    value = one.value if isinstance(one.value, bool | int | float | str) else str(one.value)
    place = _place(one.place, files) if one.place is not None else None
    return {"name": one.name, "value": value, "unit": one.unit, "source": one.source, "note": one.note, "place": place}


def _place(place: Place, files: Files) -> str:
    return str(Place(files.shown(place.file), place.line, place.column))


# ------------------------------------------------------------------------ time


def _time(done: Rewrite) -> dict[str, Any]:
    """Machine time before and after, for the program and for each converted hole; null where it is not known."""
    times = [one for stage in done.stages for one in stage.holes]
    holes = [
        {"tool": one.tool, "hole": one.hole, "place": f"line {one.place.line}", **_seconds(one.before, one.after, one.by_feed)}
        for one in times
    ]
    before, after = done.before.seconds.or_else(math.nan), done.after.seconds.or_else(math.nan)
    return {"program": _seconds(before, after, sum(one.by_feed for one in times)), "holes": holes}


def _seconds(old: float, new: float, by_feed: float) -> dict[str, Any]:
    """Times, and the saved one in two parts: what another speed and feed save, and the rest."""
    if math.isnan(old) or math.isnan(new) or math.isnan(by_feed):
        return dict.fromkeys(("before", "after", "saved", "by_feed", "by_pecks"))
    saved = round(old, 3) - round(new, 3)
    return {
        "before": round(old, 3),
        "after": round(new, 3),
        "saved": round(saved, 3),
        "by_feed": round(by_feed, 3),
        "by_pecks": round(saved - round(by_feed, 3), 3),
    }


def names(rewritten: Path) -> tuple[Path, Path]:
    """The certificate and the page beside a rewritten program.

    >>> [path.name for path in names(Path("O1203-one-pass.nc"))]
    ['O1203-one-pass.nc.certificate.json', 'O1203-one-pass.nc.certificate.md']
    """
    return rewritten.with_name(rewritten.name + ".certificate.json"), rewritten.with_name(rewritten.name + ".certificate.md")
