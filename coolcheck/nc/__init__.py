"""Takes the bytes of NC programs, gives blocks, moves and events.

Lengths are millimetres, feeds mm/min, speeds rpm, times seconds: the trade's units, as programs and traces state them.
Must not import records, physics, process or anything above; knows no rule.
"""
