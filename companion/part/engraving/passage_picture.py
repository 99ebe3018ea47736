"""A passage engraved as pictures for a terminal that shows them, with the place of every moment.

My part stands above the one it is compared with, lined up on the shared clock.
"""

from __future__ import annotations

import base64
import json
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from companion.errors import CompanionError
from companion.files import child_process
from companion.score.passage import Passage

_CHILD = "companion.part.engraving.passage_child"
_LIMIT = 20.0
"""Seconds a passage may take."""
_FINEST = 5040
"""Denominator in which the engraver's decimal quarters are read back."""


@dataclass(frozen=True, slots=True)
class EngravedSystem:
    """One line of the page."""

    picture: bytes
    """A PNG."""
    bars: tuple[tuple[int, float], ...]
    """Index of each bar in the passage, and where it begins as a share of the width."""
    moments: tuple[tuple[Fraction, float], ...]
    """Clock time of what is struck, and where it stands as a share of the width; in order."""


@dataclass(frozen=True, slots=True)
class PictureStyle:
    """What a picture is drawn with."""

    width: int
    """Pixels."""
    ink: str
    """`#rrggbb`."""
    paper: str
    fonts: Path
    """The folder with the fonts of its words."""


def engrave_passage(
    musicxml: bytes, passage: Passage, facing: int, style: PictureStyle, limit: float = _LIMIT
) -> list[EngravedSystem]:
    """The systems of a passage, the part with index `facing` under it if it is another.

    Raises CompanionError if the engraver cannot read it, or takes over `limit` seconds.
    """
    from companion.part.extraction import excerpt  # brings lxml

    clock = passage.clock
    parts = [passage.part] + ([facing] if facing != passage.part else [])
    if not clock.barlines_coincide:
        parts = parts[:1]
    order = {
        "parts": [
            excerpt(musicxml, clock, [part], passage.first, passage.last).decode() for part in parts
        ],
        "stretches": _stretches(passage, parts),
        "width": style.width,
        "ink": style.ink,
        "paper": style.paper,
        "fonts": str(style.fonts.resolve()),
    }
    try:
        made = child_process.run(_CHILD, limit=limit, given=json.dumps(order).encode())
    except child_process.TookTooLong:
        raise CompanionError(f"engraving these bars took over {limit:g} seconds") from None
    except child_process.ChildFailed as fault:
        raise CompanionError("the engraver could not read these bars") from fault
    return [_system(passage, told) for told in json.loads(made)]


def _stretches(passage: Passage, parts: list[int]) -> list[list[int]]:
    """For each bar how long a quarter of the lower part lasts, in quarters of mine (over the
    second number), and the lower part's staves; none if they last alike throughout."""
    if len(parts) < 2:
        return []
    clock, (mine, other) = passage.clock, parts
    upper = clock.score.parts[mine].staves
    staves = [upper + 1 + staff for staff in range(clock.score.parts[other].staves)]
    found = []
    for bar in passage.bars:
        places = [clock.places[part][bar.number - 1 : bar.number] for part in parts]
        pace = places[1][0].pace / places[0][0].pace if all(places) else Fraction(1)
        found.append([pace.numerator, pace.denominator, *staves])
    return found if any(times != quarters for times, quarters, *_ in found) else []


def _system(passage: Passage, told: dict[str, object]) -> EngravedSystem:
    picture, bars, notes = told["picture"], told["bars"], told["notes"]
    if not (isinstance(picture, str) and isinstance(bars, list) and isinstance(notes, list)):
        raise CompanionError("the engraver gave no picture")
    moments: dict[Fraction, float] = {}
    for index, quarters, x in notes:
        if index < len(passage.bars):
            bar = passage.bars[index]
            after = Fraction(quarters).limit_denominator(_FINEST) * passage.place(bar).pace
            moments[bar.start + after] = min(x, moments.get(bar.start + after, 1.0))
    return EngravedSystem(
        base64.b64decode(picture),
        tuple((index, x) for index, x in bars if index < len(passage.bars)),
        tuple(sorted(moments.items())),
    )
