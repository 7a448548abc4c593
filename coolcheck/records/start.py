"""Writes a first job folder from what a program and its comments tell; everything else is left to fill in."""

import glob
import os
import re
from collections.abc import Mapping
from pathlib import Path

from coolcheck.errors import InputError, Problem
from coolcheck.nc.program import Program
from coolcheck.place import Place
from coolcheck.records.job import SUFFIX
from coolcheck.records.program_tools import ProgramTalk, ProgramTool, Said, tools_of
from coolcheck.records.template import Filled, commented, quoted, template

MOST_TOOLS = 500
_CHECK = "Check every value against the thing itself; what is left out is unknown."
_FILL = "Take away the `#` of a line and fill it in."


def start(program: Program, folder: Path | None = None) -> dict[str, str]:
    """The files of a first job folder by their name in it: the job, its tools, and records to fill in.

    `folder` is where they will lie (without it, beside the program); it decides how the job names the program.
    """
    talk = tools_of(program)
    name = Path(program.source.name).name or "program"
    stem = _safe(Path(name).stem)
    files = {f"{stem}{SUFFIX}": _job(program, talk, name, stem, folder)}
    for tool in talk.tools[:MOST_TOOLS]:
        files[f"tools/T{tool.number}.yaml"] = _tool(tool, talk, name)
    files["machines/this-machine.yaml"] = _machine(talk, name)
    files["materials/this-material.yaml"] = _material(talk, name)
    files["fluids/this-fluid.yaml"] = template("fluid", _head("the fluid in the tank", name), _named("fluid", "this fluid"))
    head = (*_head("one tool holder", name), "Copy this file for each holder; name it in the job or in the tool.")
    files["holders/first-holder.yaml"] = template("holder", head, _named("holder", "first holder"))
    return files


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


def _head(what: str, program: str) -> tuple[str, ...]:
    return (f"A first record of {what}, made from {program} by `coolcheck records start`.", _CHECK, _FILL)


def _named(kind: str, name: str) -> dict[str, Filled]:
    return {kind: Filled(name, "a name to begin with: call it as your shop does, here and in the job")}


def _from(said: Said) -> str:
    return f'from the comment in line {said.line}: "({said.text})"'


def _job(program: Program, talk: ProgramTalk, name: str, stem: str, folder: Path | None) -> str:
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
    text = template("job", _head("a job", name), values, notes=notes)
    marker = "\ntools:"
    if not entries:
        return text
    before, _, after = text.partition(marker)
    line, _, rest = after.partition("\n")
    return f"{before}{marker}{line}\n" + "\n".join(entries) + f"\n{rest}"


def _job_tool(tool: ProgramTool) -> str:
    said = f'; line {tool.about.line}: "({tool.about.text})"' if tool.about else ""
    return f"  - {{T: {tool.number}, tool: T{tool.number}}}  # " + commented(f"first in line {tool.line}{said}")


def _tool(tool: ProgramTool, talk: ProgramTalk, name: str) -> str:
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
    return template("tool", _head(f"tool T{tool.number}", name), values, kind)


def _machine(talk: ProgramTalk, name: str) -> str:
    notes = []
    if talk.codes:
        notes.append("Builder-assigned codes of this program; the builder's manual says what they do. List them in `codes`:")
        notes += [f"  - {{code: {code}, says: }}   first in line {line}" for code, line in talk.codes[:100]]
    return template("machine", _head("the machine", name), _named("machine", "this machine"), notes=notes)


def _material(talk: ProgramTalk, name: str) -> str:
    values = _named("material", "this material")
    if talk.material is not None and talk.material.value:
        values["note"] = Filled(quoted(talk.material.value), _from(talk.material))
    return template("material", _head("the work material", name), values)


def _safe(stem: str) -> str:
    """A name for a file that no system objects to."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", stem).strip("-")[:80] or "program"
