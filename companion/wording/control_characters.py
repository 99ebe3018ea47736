"""Characters that order a terminal about instead of showing something.

Titles, names and notes come from strangers; written out as they are, one of them could
change the window's title, the clipboard, or the direction in which the line is read.
The codes are those of ECMA-48 and of Unicode's UAX #9 (directional formatting), from memory.
"""

from __future__ import annotations

import re

_DIRECTIONS = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
CONTROL = re.compile(f"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029{_DIRECTIONS}]")
"""Each of them, but not the tab and the end of a line."""


def without_control(text: str) -> str:
    """Text as it can be shown."""
    return text if text.isprintable() else CONTROL.sub("", text)
