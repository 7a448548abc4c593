"""Takes YAML records of a shop, gives checked facts in SI, each with its file and line; and binds a program to them.

Knows no program, no rule and no physics; a field that is left out is unknown, never a default.
Must not import physics, process, judge or anything above; of nc only what reads comments (records/start.py).
"""

from coolcheck.records.binding import Binding, bind, unbound
from coolcheck.records.load import load_records, read_records
from coolcheck.records.record import Record, Section, Shelf

__all__ = ["Binding", "Record", "Section", "Shelf", "bind", "load_records", "read_records", "unbound"]
