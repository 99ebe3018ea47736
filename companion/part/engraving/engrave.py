"""A part as engraved pages, by a general engraving library in a child process.

A child, because the library holds up every thread of its process while it works, and
with it the sound. Without the library
everything but pages works.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

from companion.errors import CompanionError
from companion.files import child_process


class Paper(Enum):
    """Paper a part is laid out for, upright."""

    A4 = "a4"
    LETTER = "letter"


SIZES = {Paper.A4: (2100, 2970), Paper.LETTER: (2159, 2794)}
"""Width and height in tenths of a millimetre: ISO 216, and 8.5 by 11 inches (ANSI Y14.1)."""


COLUMN = "column"
"""What the child is asked for instead of paper: one page as narrow as a telephone."""
COLUMN_SIZE = (1100, 20000)
"""Width and most height of a column, in the same units."""
_LIMIT = 120.0
"""Seconds a part may take."""
NOT_DRAWN = 3
"""The child's exit status where the pages hold something that cannot be printed."""

_CHILD = "companion.part.engraving.engraving_child"
_ENGRAVER = "verovio"
_PRINTER = "reportlab"


def engrave(musicxml: bytes, paper: Paper = Paper.A4, limit: float = _LIMIT) -> list[str]:
    """The pages of a part as SVG, in order.

    Raises CompanionError if the engraver is not installed, cannot read the part, or
    takes over `limit` seconds.
    """
    pages: list[str] = json.loads(_made(musicxml, limit, paper.value, needs=(_ENGRAVER,)))
    return pages


@dataclass(frozen=True, slots=True)
class EngravedNote:
    """One note of a page and when it sounds, in written quarters."""

    id: str
    """Of its element in the page."""
    bar: int
    """Index of the bar it begins in, from 0."""
    begins: Fraction
    """Quarters after that bar begins."""
    end_bar: int
    """Index of the bar it ends in: the next one if it lasts to the barline."""
    ends: Fraction
    """Quarters after that bar begins."""


def engrave_column(
    musicxml: bytes, limit: float = _LIMIT
) -> tuple[list[str], tuple[EngravedNote, ...]]:
    """A part, or some, in a narrow column of SVG pages, and when its notes sound.

    Raises CompanionError as `engrave`.
    """
    made = json.loads(_made(musicxml, limit, COLUMN, needs=(_ENGRAVER,)))
    notes = (
        EngravedNote(id_, bar, Fraction(begins), end_bar, Fraction(ends))
        for id_, bar, begins, end_bar, ends in made["notes"]
    )
    return made["pages"], tuple(notes)


def print_out(
    musicxml: bytes, fonts: Path, paper: Paper = Paper.A4, limit: float = _LIMIT
) -> bytes:
    """The pages of a part as one PDF, its text set in the fonts of a folder.

    Raises CompanionError as `engrave` does, and where a page cannot be printed whole.
    """
    needs = (_ENGRAVER, _PRINTER)
    return _made(musicxml, limit, paper.value, str(fonts.resolve()), needs=needs)


def _made(musicxml: bytes, limit: float, *arguments: str, needs: tuple[str, ...]) -> bytes:
    """What the child gives out."""
    for library in needs:
        if find_spec(library) is None:
            raise CompanionError(
                f"engraving needs the library {library}, which is not installed",
                next=f"Install it with: pip install {library}, or write .musicxml.",
            )
    try:
        return child_process.run(_CHILD, *arguments, limit=limit, given=musicxml)
    except child_process.TookTooLong:
        raise _refusal(f"engraving this part took over {limit:g} seconds") from None
    except child_process.ChildFailed as fault:
        if fault.status == NOT_DRAWN:
            raise CompanionError(
                "the engraved part holds something that cannot be put into a PDF",
                next="Write it as .svg and print that from a browser.",
            ) from fault
        raise _refusal("the engraver could not read this part") from fault


def _refusal(what: str) -> CompanionError:
    return CompanionError(what, next="Write it as .musicxml and engrave it elsewhere.")
