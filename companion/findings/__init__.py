"""What a score holds for one player: conflicts, periods, interlock, entrances, form; ranked.

Returns facts and never sentences; reads the laid score and never a file.
Begin with `all_findings`, then `conflicts`.

In every finding `first` and `last` are ordinal bars, `start`, `end` and `at` grains of the
texture (`score.texture`), `part` and `parts` ids of parts, from the top of the page.
"""
