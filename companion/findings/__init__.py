"""What a score holds for one player: conflicts, periods, interlock, entrances, form; ranked.

Returns facts and never sentences; reads the laid score and never a file.
In every finding, first and last are ordinal bars; start, end and at are grains of the texture;
part and parts are ids of parts, from the top of the page.
Begin with `all_findings`, then `conflicts`.
"""
