"""What a check of records says: all that is wrong, then what each record leaves unknown."""

from collections.abc import Iterator
from typing import TextIO

from coolcheck.records.check import Checkup, Unknowns, total_unknown
from coolcheck.report.cells import escaped, wrapped
from coolcheck.report.options import Options
from coolcheck.report.shown import plural

FEW_NAMES = 4


def as_text(checkup: Checkup, out: TextIO, options: Options) -> None:
    """Writes the problems, the records, and how many fields are still to be filled in."""
    for problem in checkup.problems:
        out.writelines(line + "\n" for line in map(escaped, str(problem).split("\n")))
    if checkup.problems:
        out.write("\n")
    open_ones = sorted((one for one in checkup.records if one.fields), key=lambda one: one.record.file)
    for unknowns in open_ones:
        out.writelines(line + "\n" for line in record_lines(unknowns, options))
    wrong = plural(len(checkup.problems), "mistake") if checkup.problems else "no mistake"
    still = total_unknown(checkup.records)
    complete = len(checkup.records) - len(open_ones)
    gap = "\n" if open_ones else ""
    out.write(f"{gap}{plural(len(checkup.records), 'record')}, {complete} complete; {wrong}; {plural(still, 'field')} unknown\n")


def record_lines(unknowns: Unknowns, options: Options) -> Iterator[str]:
    """A record with what it leaves unknown: a few names, or every question with full evidence."""
    record, fields = unknowns.record, unknowns.fields
    head = escaped(f"{options.file(record.file)}: {record.kind} {record.name}: ")
    if options.is_full:
        yield head + plural(len(fields), "unknown field")
        for name, question in fields:
            yield from wrapped(escaped(f"`{name}`: {question}"), options.width, "    ", "        ")
    else:
        names = [f"`{name}`" for name, _ in fields[:FEW_NAMES]]
        more = [f"{len(fields) - FEW_NAMES} more"] if len(fields) > FEW_NAMES else []
        yield from wrapped(head + escaped("unknown " + ", ".join(names + more)), options.width, "", "    ")
