"""How much a player is heard alone in a conflict: who is with them, how soft, how fast."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.findings.conflicts import Conflict
from companion.findings.heard_conflicts import Span
from companion.score.clock import Clock
from companion.score.texture import Texture

FAST = Fraction(1, 5)
"""Seconds between neighbouring strokes of both sides from which on it is fast: below 200–250 ms
subdividing costs more than it helps (Repp, J. Mot. Behav. 35, 2003, 355–370, abstract)."""
_BARS_BACK = 32
"""A dynamic from further back is not taken to be still in force."""
_LEVEL = re.compile(r"(?:s?f+z?)?(p+)|m[pf]|f+|(?:sfz?|fz|rfz?)")
_LOUDER = re.compile(r"\bcresc|\brinf", re.I)


@dataclass(frozen=True, slots=True)
class Exposure:
    """How a player stands in a conflict."""

    with_me: tuple[str, ...]
    """Other parts of the player's side that play in it."""
    against: tuple[str, ...]
    same_rhythm: tuple[str, ...]
    """Parts that strike exactly what the player strikes."""
    soft: str
    """The soft dynamic in force, such as `pp`; empty if there is none."""
    is_fast: bool

    @property
    def is_alone(self) -> bool:
        """Whether nobody else is on the player's side, and two or more are on the other."""
        return not self.with_me and len(self.against) > 1

    @property
    def rank(self) -> int:
        """0 to 5, for putting passages in order: alone counts most (convention, no source)."""
        return 2 * (not self.with_me) + self.is_alone + bool(self.soft) + self.is_fast


def exposure_of(
    conflict: Conflict,
    spans: Sequence[Span],
    texture: Texture,
    part: str,
    soft: str,
    gap: Fraction | None,
) -> Exposure:
    """How one part of a conflict stands in its spans; `gap` is the seconds between the closest
    strokes of both sides, None if no tempo is known."""
    struck = {
        stream.part: [stream.strikes_between(at, at + length) for at, length in spans]
        for stream in texture.streams
    }
    mine = next(side for side in conflict.sides if part in side.parts)
    theirs = next(side for side in conflict.sides if side != mine)
    return Exposure(
        tuple(one for one in mine.parts if one != part and any(struck[one])),
        tuple(one for one in theirs.parts if one not in mine.parts and any(struck[one])),
        tuple(one for one in struck if one != part and struck[one] == struck[part]),
        soft,
        gap is not None and gap < FAST,
    )


def soft_dynamic(clock: Clock, part: int, bar: int, until: Fraction) -> str:
    """The soft dynamic in force in a part at a clock time in a bar (ordinal), such as `pp`.

    Empty if a louder one is, none stands in the bars before, or it grows since.
    """
    movement = clock.bars[bar - 1].movement
    for index in range(bar - 1, max(-1, bar - 1 - _BARS_BACK), -1):
        if clock.bars[index].movement != movement:
            break
        place = clock.places[part][index]
        marks = clock.score.parts[part].bars[index].marks
        for mark in sorted(marks, key=lambda mark: mark.onset, reverse=True):
            if place.start + Fraction(mark.onset, clock.score.ticks) * place.pace > until:
                continue
            grows = mark.kind == "wedge" and mark.text == "crescendo"
            if grows or (mark.kind == "words" and _LOUDER.search(mark.text)):
                return ""
            if mark.kind == "dynamic" and (level := _LEVEL.fullmatch(mark.text)):
                if level[1] or mark.text in ("mp", "mf") or set(mark.text) == {"f"}:
                    return level[1] or ""
    return ""
