"""Takes the process and the rules, gives findings: what holds, what cannot be decided and which record field would decide it.

Must not import report, rewrite, folder or cli.
"""
