"""What a score holds for one player: conflicts, periods, interlock, entrances, form; ranked.

Returns facts and never sentences; reads the laid score and never a file.
Begin with `all_findings`, then `conflicts`.
"""
