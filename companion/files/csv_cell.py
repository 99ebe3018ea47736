"""A cell of a CSV file that a spreadsheet shows, and does not reckon with."""

from __future__ import annotations

import re

_FORMULA = re.compile(r"(^|[;\t])(\s*)(?=[=+\-@\t\r])")
"""What makes a spreadsheet reckon instead of showing (OWASP, CSV injection; from memory), at
the beginning of a cell or of what a spreadsheet that separates by semicolons takes for one."""


def cell(text: str) -> str:
    """The text, with a mark before what would be a formula."""
    return _FORMULA.sub(r"\1\2'", text)
