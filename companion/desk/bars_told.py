"""Bars in words, the same everywhere: as they are typed, and as the page prints them.

A player reads printed numbers and types ordinal positions; where a pickup or a second
movement makes them differ, both are said, so that neither is taken for the other.
"""

from __future__ import annotations


def bars_told(first: int, last: int, printed: str) -> str:
    """`bars 14–21 (printed 13–20)`, `bar 14`; `printed` is the span as the page has it, in
    brackets where a repeat written out plays it again."""
    ordinal = f"{first}–{last}" if last > first else str(first)
    told = f"bars {ordinal}" if last > first else f"bar {ordinal}"
    if printed.startswith("(") and printed.endswith(")"):
        printed = printed.replace("(", "").replace(")", "") + ", again"
    return told if printed in (ordinal, "") else f"{told} (printed {printed})"
