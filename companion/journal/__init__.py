"""The practice log: SQLite, on disk before the screen says so; exchange with other machines.

Never forgets and never overwrites. Begin with `log`.
"""
