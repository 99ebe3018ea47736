"""Words out of somebody else's file, made harmless where they are shown.

A name can hold letters that move a terminal's cursor, turn the direction of writing, or
begin a formula in a spreadsheet. None of it is a name.
"""

from __future__ import annotations

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet reckon instead of showing (OWASP, CSV injection; from memory)."""


def shown(text: str, most: int = 200) -> str:
    """One line without control or direction signs, cut where it is too long."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    line = " ".join(plain.split())
    return line if len(line) <= most else line[: most - 1] + "…"


def cell(text: str) -> str:
    """The same for a cell of a spreadsheet: what would be a formula gets a mark before it."""
    line = shown(text, 2000)
    return f"'{line}" if line.startswith(_FORMULA) else line
