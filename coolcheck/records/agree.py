"""Finds where records contradict themselves or name records that are not there."""

import os
from collections.abc import Callable, Iterator
from datetime import date
from itertools import pairwise

from coolcheck.errors import Problem
from coolcheck.records.quantity import nearest
from coolcheck.records.record import Record, Section, Shelf
from coolcheck.records.schema import FOLDERS

_AT_MOST = {  # the first may not be greater than the second
    "tool": (
        ("LU", "OAL"),
        ("LCF", "OAL"),
        ("drilling.one pass", "LU"),
        ("drilling.one pass outside", "LU"),
        ("unsupported speed", "top speed"),
        ("fluid.least pressure", "fluid.most pressure"),
    ),
    "fluid": (("concentration from", "concentration to"),),
    "material": (("h range.from", "h range.to"),),
    "supplies": (("rated flow", "open flow"),),
}
_DISJOINT = {"tool": ("fluid.required", "fluid.forbidden"), "fluid": ("allowed", "forbidden")}
_GROUPS = ("P", "M", "K", "N", "S", "H")  # ISO 513
_NEAT, _WATER_MIXED = "MH", "MA"  # first letters of the classes of ISO 6743-7


def problems_within(record: Record) -> Iterator[Problem]:
    """Where one record contradicts itself."""
    yield from _too_great(record, record.kind)
    yield from _both(record)
    yield from _from_tomorrow(record)
    yield from _OWN.get(record.kind, _nothing)(record)


def problems_between(shelf: Shelf) -> Iterator[Problem]:
    """Where records of a shop name others that are not there."""
    for tool in shelf.records["tool"].values():
        yield from named(tool, "holder", "holder", shelf)
        for cutting in tool.entries("cutting"):
            value = cutting.value_of("material")
            if value is not None and value.si not in _GROUPS:
                yield from named(cutting, "material", "material", shelf)


def problems_of_job(job: Record, shelf: Shelf) -> Iterator[Problem]:
    """Where a job names records that are not there."""
    for kind in ("machine", "material", "fluid"):
        yield from named(job, kind, kind, shelf, _own_folder(job, kind))
    for place in job.entries("tools"):
        yield from named(place, "tool", "tool", shelf, _own_folder(job, "tool"))
        yield from named(place, "holder", "holder", shelf, _own_folder(job, "holder"))


def _own_folder(job: Record, kind: str) -> str:
    """What to do where a job names folders, and not its own, which holds such records; "" elsewhere."""
    own = os.path.dirname(job.file)
    named_folders = [os.path.normpath(os.path.join(own, name)) for name in job.field("records").or_else(())]
    is_left_out = job.has("records") and os.path.normpath(own or ".") not in named_folders
    has_some = os.path.isdir(os.path.join(own, FOLDERS[kind]))
    return "; add `.` to `records` of the job if its own folder is meant too" if is_left_out and has_some else ""


def named(section: Section, field: str, kind: str, shelf: Shelf, hint: str = "") -> Iterator[Problem]:
    """A problem when `field` names a record of `kind` that is not on the shelf; `hint` is what else may be done."""
    value = section.value_of(field)
    if value is None or shelf.get(kind, value.si) is not None:
        return
    if (kind, value.si) in shelf.broken:
        file = shelf.broken[kind, value.si]
        yield Problem(value.place, f"the {kind} record `{value.si}` has mistakes", f"mend what is told of {file}")
        return
    near = nearest(value.si, shelf.names(kind))
    known = sorted(shelf.names(kind))
    if near:
        do = f"did you mean `{near}` ({shelf.records[kind][near].file})?"
    elif known:
        do = f"there is {', '.join(f'`{name}`' for name in known[:8])}{' and more' if len(known) > 8 else ''}"
    else:
        do = f"no {kind} record was found; write one, or name its folder in `records:` of the job"
    yield Problem(value.place, f"there is no {kind} record `{value.si}`", do.removesuffix("?" if hint else "") + hint)


def _nothing(_record: Record) -> Iterator[Problem]:
    return iter(())


def _too_great(section: Section, kind: str) -> Iterator[Problem]:
    for small, great in _AT_MOST.get(kind, ()):
        low, high = section.value_of(small), section.value_of(great)
        if low is not None and high is not None and low.si > high.si:
            unit = section.fields[small].pretty_unit
            says = f"`{small}` ({low.shown} {unit}) is greater than `{great}` ({high.shown} {unit}, line {high.place.line})"
            yield Problem(low.place, says.replace(" )", ")"), "correct one of the two")


def _from_tomorrow(record: Record) -> Iterator[Problem]:
    """A record cannot have been reviewed on a day that is still to come."""
    value = record.value_of("reviewed")
    if value is not None and value.si > date.today():
        yield Problem(
            value.place, f"`reviewed: {value.shown}` is a day that is still to come", "write the day of the last review"
        )


def _both(record: Record) -> Iterator[Problem]:
    if record.kind not in _DISJOINT:
        return
    one, other = (record.value_of(name) for name in _DISJOINT[record.kind])
    if one is not None and other is not None:
        for word in one.si:
            if word in other.si:
                first, second = _DISJOINT[record.kind]
                says = f"`{word}` stands in `{first}` and in `{second}` (line {other.place.line})"
                yield Problem(one.place, says, "keep one of the two")


def _tool(tool: Record) -> Iterator[Problem]:
    through = tool.value_of("fluid.through")
    if through is None:
        return
    for name in ("CNSC", "CXSC", "fluid.exits"):
        other = tool.value_of(name)
        if other is not None and (other.si not in ("0", 0)) != through.si:
            says = f"`{name}: {other.shown}` contradicts `fluid.through: {through.shown}` (line {through.place.line})"
            yield Problem(other.place, says, "look at the tool: has it passages for fluid or not?")


def _machine(machine: Record) -> Iterator[Problem]:
    levels: dict[str, None] = {}
    for supply in machine.entries("supplies"):
        yield from _too_great(supply, "supplies")
        yield from _curve(supply)
        levels |= dict.fromkeys(value.si for level in supply.entries("levels") if (value := level.value_of("level")))
    for code in machine.entries("codes"):
        value = code.value_of("level")
        if value is not None and value.si not in levels:
            near = nearest(value.si, levels)
            do = f"did you mean `{near}`?" if near else "list it under `levels` of the supply, with its pressure"
            yield Problem(value.place, f"no supply has a pressure level `{value.si}`", do)


def _curve(supply: Section) -> Iterator[Problem]:
    for before, after in pairwise(supply.entries("curve")):
        p1, q1, p2, q2 = (s.value_of(name) for s in (before, after) for name in ("pressure", "flow"))
        if p1 and q1 and p2 and q2 and (p2.si <= p1.si or q2.si > q1.si):
            says = "a pump curve rises in pressure and falls in flow from point to point; this point does not"
            yield Problem(after.place, says, "put the points in order, lowest pressure first")


def _fluid(fluid: Record) -> Iterator[Problem]:
    iso, base = fluid.value_of("class"), fluid.value_of("base")
    if iso is None or base is None:
        return
    wanted = {"neat_oil": _NEAT, "water_mix": _WATER_MIXED, "air": "air", "aerosol": _NEAT}[base.si]
    if not iso.si.startswith(wanted):
        says = f"`class: {iso.si}` contradicts `base: {base.si}` (line {base.place.line})"
        yield Problem(iso.place, says, "in ISO 6743-7 classes MH.. are neat oils, MA.. are mixed with water")


_OWN: dict[str, Callable[[Record], Iterator[Problem]]] = {"tool": _tool, "machine": _machine, "fluid": _fluid}
