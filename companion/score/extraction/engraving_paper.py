"""The paper an engraved part is laid out for, known without the engraver at hand."""

from __future__ import annotations

from enum import Enum


class Paper(Enum):
    """Paper a part is laid out for, upright."""

    A4 = "a4"
    LETTER = "letter"


SIZES = {Paper.A4: (2100, 2970), Paper.LETTER: (2159, 2794)}
"""Width and height in tenths of a millimetre: ISO 216, and 8.5 by 11 inches (ANSI Y14.1)."""
