"""What every part plays in every bar, reduced to numbers that can be compared at once.

Two bars hold the same music when every part plays the same notes in them, held over
barlines alike. A part's bar is kept as a *shape* (rhythm, and pitches from the first one)
and a *height* (that first pitch), so that a transposed bar has the same shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from companion.rhythm.stream import Stream, Texture

SILENT = 0
"""The shape of a part's bar in which it rests."""
_UNPITCHED = -1

Note = tuple[int, int, int, bool]
"""Offset in the full bar, length in the bar, pitch, and whether it is struck here."""


@dataclass(frozen=True, slots=True)
class Content:
    """The bars of a score, part by part; bars are counted from 0 here."""

    shapes: tuple[tuple[int, ...], ...]
    """For each part and bar a number for what it plays, however high; SILENT where it rests."""
    heights: tuple[tuple[int | None, ...], ...]
    """For each part and bar its first pitch; None where it rests or has no pitch."""

    @property
    def count(self) -> int:
        """How many bars there are."""
        return len(self.shapes[0]) if self.shapes else 0

    def rises(self, a: int, b: int) -> list[int | None]:
        """For each part sounding in either bar: semitones from bar `a` up to `b` where it plays
        the same there, None where it does not. A part without pitch says 0."""
        found: list[int | None] = []
        for shape, height in zip(self.shapes, self.heights, strict=True):
            one, other = shape[a], shape[b]
            if one == other and one != SILENT:
                low, high = height[a], height[b]
                found.append(high - low if low is not None and high is not None else 0)
            elif one != other:
                found.append(None)
        return found

    def differs(self, part: int, a: int, b: int, rise: int) -> bool:
        """Whether a part does not play in bar `b` what it plays in bar `a`, that much higher."""
        if self.shapes[part][a] != self.shapes[part][b]:
            return True
        low, high = self.heights[part][a], self.heights[part][b]
        return low is not None and high is not None and high - low != rise

    def is_silent(self, bar: int) -> bool:
        """Whether nobody plays."""
        return all(shape[bar] == SILENT for shape in self.shapes)


def content(texture: Texture) -> Content:
    """The content of every bar, lengths reckoned in the note values that are written."""
    known: dict[tuple[Note, ...], int] = {}
    shapes: list[tuple[int, ...]] = []
    heights: list[tuple[int | None, ...]] = []
    for stream, factors in zip(texture.streams, _factors(texture), strict=True):
        shape: list[int] = []
        height: list[int | None] = []
        for notes in _notes(texture, stream, factors):
            notes.sort()
            first = notes[0][2] if notes else _UNPITCHED
            risen = tuple([(at, length, pitch - first, new) for at, length, pitch, new in notes])
            shape.append(known.setdefault(risen, len(known) + 1) if notes else SILENT)
            height.append(None if first == _UNPITCHED else first)
        shapes.append(tuple(shape))
        heights.append(tuple(height))
    return Content(tuple(shapes), tuple(heights))


def _factors(texture: Texture) -> list[list[int]]:
    """For each part and bar, what grains are multiplied by to compare with any other bar.

    A quarter may last differently after a change of meter, and the same music with it; it
    is measured where meters change, for a later bar may be short and would mislead.
    """
    paces: list[list[Fraction]] = [[] for _ in texture.streams]
    before: tuple[object, ...] = ()
    for index, bar in enumerate(texture.bars):
        meters = tuple(stream.meters[index] for stream in texture.streams)
        for column, meter in zip(paces, meters, strict=True):
            if meters == before and column:
                column.append(column[-1])
            elif meter is None:
                column.append(column[-1] if column else Fraction(1))
            else:
                column.append((bar.length + bar.lead) / meter.length or Fraction(1))
        before = meters
    whole = lcm(*{pace.numerator for column in paces for pace in set(column)})
    return [[whole * pace.denominator // pace.numerator for pace in column] for column in paces]


def _notes(texture: Texture, stream: Stream, factors: Sequence[int]) -> list[list[Note]]:
    """The part's notes bar by bar, cut at the barlines they are held over."""
    bars = texture.bars
    held: list[list[Note]] = [[] for _ in bars]
    for at, length, pitch, number, _ in stream.sounds:
        index, end, new = number - 1, at + length, True
        height = _UNPITCHED if pitch is None else pitch
        while index < len(bars) and (new or at < end):
            _, start, span, lead = bars[index]
            upto = min(end, start + span)
            factor = factors[index]
            held[index].append(((at - start + lead) * factor, (upto - at) * factor, height, new))
            at, new, index = start + span, False, index + 1
    return held
