"""Takes a program with its records, gives byte edits with a proof: both programs are interpreted and compared.

Nothing is written that is not proved; what is not known is never rewritten.
Must not import report, folder or cli.
"""
