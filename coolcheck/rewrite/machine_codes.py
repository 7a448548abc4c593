"""Which codes of a machine turn a fluid mode on or off, and nothing else: chosen from its record, never from a number alone."""

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING

from coolcheck.known import Known, Missing, known, unknown
from coolcheck.place import Place
from coolcheck.process.fluids import code_name
from coolcheck.rewrite.differences import Said

if TYPE_CHECKING:
    from coolcheck.records.record import Record, Section


def code_that(machine: "Record", way: str, modes: Collection[str], allowed: Collection[str] = ()) -> Known[Said]:
    """A code that turns all of `modes` "on" or "off", and besides them at most those in `allowed`; the one that does least."""
    other = "off" if way == "on" else "on"
    best: tuple[int, bool, int, Section] | None = None
    for number, entry in enumerate(machine.entries("codes")):
        does = entry.field(way)
        if not does.is_known or entry.field(other).is_known or not set(modes) <= set(does.value):
            continue
        if set(does.value) - set(modes) - set(allowed) or not is_pure(entry):
            continue
        rank = (len(does.value), entry.field("with").is_known, number, entry)
        best = rank if best is None or rank[:3] < best[:3] else best
    if best is None:
        return unknown(_question(machine, way, modes))
    return known(said(best[3]), *best[3].field("code").evidence)


def codes_that_turn_off(machine: "Record", running: Iterable[str], harmless: Collection[str]) -> Known[tuple[Said, ...]]:
    """One code for all the running modes, else one for each; what is `harmless` to turn off may go with them."""
    modes = list(dict.fromkeys(running))
    together = code_that(machine, "off", modes, harmless)
    if together.is_known:
        return together.map(lambda code: (code,))
    each = [code_that(machine, "off", [mode], {*harmless, *modes}) for mode in modes]
    if not all(code.is_known for code in each):
        return unknown(*(m for code in each for m in code.missing))
    return known(tuple(dict.fromkeys(code.value for code in each)), *(e for code in each for e in code.evidence))


def is_pure(entry: "Section") -> bool:
    """Does the code do nothing besides."""
    means = entry.field("means")
    return not entry.field("spindle").is_known and (not means.is_known or means.value == "nothing")


def said(entry: "Section") -> Said:
    """The code as it is written, with the word that must stand beside it."""
    beside = entry.field("with")
    words = ((beside.value[:1].upper(), float(beside.value[1:])),) if beside.is_known else ()
    return Said(code_name(str(entry.field("code").value)), words)


def _question(machine: "Record", way: str, modes: Collection[str]) -> Missing:
    what = " and ".join(mode.replace("_", " ") for mode in modes)
    place = Place(machine.file) if machine.is_present else None
    question = f"which code turns {way} {what}, and nothing else, on this machine?"
    return Missing(f"machine {machine.name}".strip(), "codes", question, place)
