"""Writes a first job folder from what a program and its comments tell; everything else is left to fill in."""

import glob
import os
import re
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

from coolcheck.errors import InputError, Problem
from coolcheck.known import Missing
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.records.job import SUFFIX
from coolcheck.records.program_tools import ProgramTalk, ProgramTool, Said, tools_of
from coolcheck.records.template import MARK, Filled, commented, quoted, template

MOST_TOOLS = 500
MACHINE, MATERIAL = "machines/this-machine.yaml", "materials/this-material.yaml"
FLUID, HOLDER = "fluids/this-fluid.yaml", "holders/first-holder.yaml"
First = Mapping[str, Collection[str]]  # names of fields by the file they belong in
_CHECK = "Check every value against the thing itself; what is left out is unknown."
_FILL = "Take away the `#` of a line and fill it in."


def start(program: Program, folder: Path | None = None, first: First | None = None) -> dict[str, str]:
    """The files of a first job folder by their name in it: the job, its tools, and records to fill in.

    `folder` is where they will lie (without it, beside the program); it decides how the job names the program.
    `first` names the fields to mark as those to fill in first, by file.
    """
    talk = tools_of(program)
    name = Path(program.source.name).name or "program"
    stem = _safe(Path(name).stem)
    marks = first or {}
    file = f"{stem}{SUFFIX}"
    files = {file: _job(program, talk, name, stem, folder, marks.get(file, ()))}
    for tool in talk.tools[:MOST_TOOLS]:
        file = f"tools/T{tool.number}.yaml"
        files[file] = _tool(tool, talk, name, marks.get(file, ()))
    files[MACHINE] = _machine(talk, name, marks.get(MACHINE, ()))
    files[MATERIAL] = _material(talk, name, marks.get(MATERIAL, ()))
    wanted = marks.get(FLUID, ())
    head = _head("the fluid in the tank", name, wanted)
    files[FLUID] = template("fluid", head, _named("fluid", "this fluid"), first=wanted)
    wanted = marks.get(HOLDER, ())
    head = (*_head("one tool holder", name, wanted), "Copy this file for each holder; name it in the job or in the tool.")
    files[HOLDER] = template("holder", head, _named("holder", "first holder"), first=wanted)
    return files


def marks_of(missing: Iterable[Missing], folder: Path) -> First:
    """The fields that these ask for, by the file of `folder` that they belong in; a field of a list is marked at the list."""
    marks: dict[str, set[str]] = {}
    for one in missing:
        if one.place is None or not one.place.file:
            continue
        path = Path(one.place.file).resolve()
        if path.is_relative_to(folder.resolve()):
            name = path.relative_to(folder.resolve()).as_posix()
            marks.setdefault(name, set()).update((one.field, one.field.partition(".")[0]))
    return marks


def write_again(files: Mapping[str, str], folder: Path, written: Iterable[Path]) -> None:
    """Writes those of the files that were written just now once more, with what was found out since."""
    for name, text in files.items():
        if folder / name in written:
            (folder / name).write_text(text, encoding="utf-8", newline="\n")


def write(files: Mapping[str, str], folder: Path) -> tuple[list[Path], list[Path]]:
    """Writes the files into `folder`; gives the paths written and those kept because they were there. Overwrites nothing."""
    written, kept = [], []
    for name, text in files.items():
        path = folder / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
            written.append(path)
        except FileExistsError:
            kept.append(path)
        except OSError as error:
            says = f"this file cannot be written: {(error.strerror or str(error)).lower()}"
            raise InputError(Problem(Place(str(path)), says, "name another folder")) from error
    return written, kept


def _head(what: str, program: str, first: Collection[str] = ()) -> tuple[str, ...]:
    begin = (f"Begin with what is marked {MARK}: it decides most in a review of {program}.",) if first else ()
    return (f"A first record of {what}, made from {program} by `coolcheck records start`.", _CHECK, _FILL, *begin)


def _named(kind: str, name: str) -> dict[str, Filled]:
    return {kind: Filled(name, "a name to begin with: call it as your shop does, here and in the job")}


def _from(said: Said) -> str:
    return f'from the comment in line {said.line}: "({said.text})"'


def _job(program: Program, talk: ProgramTalk, name: str, stem: str, folder: Path | None, first: Collection[str]) -> str:
    path = Path(program.source.name)
    seen = name if folder is None else os.path.relpath(os.path.abspath(path), os.path.abspath(folder)).replace(os.sep, "/")
    entries = [_job_tool(tool) for tool in talk.tools[:MOST_TOOLS]]
    values = {
        "job": Filled(quoted(stem), f"from the name of the file {name}"),
        "programs": Filled(f"[{quoted(glob.escape(seen))}]", "the program this job was made from"),
        "machine": Filled("this machine", "machines/this-machine.yaml"),
        "material": Filled("this material", "materials/this-material.yaml"),
        "fluid": Filled("this fluid", "fluids/this-fluid.yaml"),
    }
    if entries:
        values["tools"] = Filled("", f"the T words of {name}")
    is_cut = len(talk.tools) > MOST_TOOLS
    notes = [f"The program names {len(talk.tools)} tools; the first {MOST_TOOLS} are here."] if is_cut else []
    text = template("job", _head("a job", name, first), values, notes=notes, first=first)
    marker = "\ntools:"
    if not entries:
        return text
    before, _, after = text.partition(marker)
    line, _, rest = after.partition("\n")
    return f"{before}{marker}{line}\n" + "\n".join(entries) + f"\n{rest}"


def _job_tool(tool: ProgramTool) -> str:
    said = f'; line {tool.about.line}: "({tool.about.text})"' if tool.about else ""
    return f"  - {{T: {tool.number}, tool: T{tool.number}}}  # " + commented(f"first in line {tool.line}{said}")


def _tool(tool: ProgramTool, talk: ProgramTalk, name: str, first: Collection[str]) -> str:
    values = {"tool": Filled(f"T{tool.number}", f"T word in line {tool.line}")}
    if tool.about:
        values["description"] = Filled(quoted(tool.about.text or "no text"), f"the comment in line {tool.about.line}")
    for field, doubts in tool.doubts.items():
        values[field] = Filled("unknown", "in doubt: " + "; ".join(f"{each.value} {_from(each)}" for each in doubts))
    for field, said in tool.said.items():
        if field in tool.doubts:
            continue
        if field in ("DC", "RE") and " " not in said.value:
            values[field] = Filled(
                "unknown", f"{said.value} in mm or inch? The program states neither G20 nor G21; {_from(said)}"
            )
            continue
        unit = f"; G{20 if talk.unit == 'in' else 21} in line {talk.unit_line}" if said.by_units and field in ("DC", "RE") else ""
        values[field] = Filled(quoted(said.value) if field == "TDZ" else said.value, _from(said) + unit)
    kind = tool.said["kind"].value if "kind" in tool.said else ""
    return template("tool", _head(f"tool T{tool.number}", name, first), values, kind, first=first)


def _machine(talk: ProgramTalk, name: str, first: Collection[str]) -> str:
    notes = []
    if talk.codes:
        notes.append("Builder-assigned codes of this program; the builder's manual says what they do. List them in `codes`:")
        notes += [f"  - {{code: {code}, says: }}   first in line {line}" for code, line in talk.codes[:100]]
    return template("machine", _head("the machine", name, first), _named("machine", "this machine"), notes=notes, first=first)


def _material(talk: ProgramTalk, name: str, first: Collection[str]) -> str:
    values = _named("material", "this material")
    if talk.material is not None and talk.material.value:
        values["note"] = Filled(quoted(talk.material.value), _from(talk.material))
    return template("material", _head("the work material", name, first), values, first=first)


def _safe(stem: str) -> str:
    """A name for a file that no system objects to."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", stem).strip("-")[:80] or "program"
