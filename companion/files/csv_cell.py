"""A cell of a CSV file that a spreadsheet shows, and does not reckon with."""

from __future__ import annotations

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet reckon instead of showing (OWASP, CSV injection; from memory)."""


def cell(text: str) -> str:
    """The text, with a mark before what would be a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text
