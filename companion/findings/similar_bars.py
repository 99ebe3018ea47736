"""Runs of bars similar to earlier ones, found without comparing every bar with every other.

What four bars of a part look like is kept in a table; where the same is met again, the two
places are compared bar by bar in both directions as far as they are similar. The work
grows with the bars: of a passage met often only the first and last few places are tried,
of one met all the time (`OFTEN`) only the last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from companion.score.texture import PartStream, Texture

SHORTEST = 4
"""Bars of the shortest run."""
_PLACES_TRIED = 4
"""How many first and how many last places of a passage are tried."""

OFTEN = 16
"""How many places make a passage one that turns round and round, like an accompaniment."""

Column = Sequence[tuple[int, int | None]]
"""A shape and a height for every bar."""


class Similarity(NamedTuple):
    """What makes a bar similar to its model."""

    keeps: Callable[[list[int | None], int], bool]
    """Given the rise of each sounding part, whether the bar counts at this rise of the whole."""
    slack: int
    """How many bars in a row may fail inside a run."""
    is_strict: bool
    """Whether parts may not be octaves off."""


def _all_rise(rises: list[int | None], rise: int) -> bool:
    return all(found == rise for found in rises)


def _half_rise(rises: list[int | None], rise: int) -> bool:
    agreeing = sum(1 for found in rises if found is not None and (found - rise) % 12 == 0)
    return 2 * agreeing >= len(rises)


SAME = Similarity(_all_rise, 0, True)
"""Every part plays the same, all shifted alike or not at all."""
MOSTLY_SAME = Similarity(_half_rise, 1, False)
"""At least half of the sounding parts play the same, octaves apart allowed; one bar may not."""


class SimilarRun(NamedTuple):
    """Bars `first` to `last` (from 0, both included) beside those `back` bars earlier."""

    first: int
    last: int
    back: int
    rise: int
    """Semitones up from the model; 0 to 11 if octaves do not count."""
    kept: int
    """How many of its sounding bars are like their model."""


def similar_runs(bars: BarContents, similarity: Similarity) -> list[SimilarRun]:
    """Every maximal run; of one that runs into its own model, the last time round only."""
    found: list[SimilarRun] = []
    reached: dict[tuple[int, int], int] = {}
    for at, back, rise in _meetings(bars, similarity):
        rise = rise if similarity.is_strict else rise % 12
        if reached.get((back, rise), -1) >= at:
            continue
        here = [
            bar for bar in range(at, at + SHORTEST) if is_similar(bars, similarity, bar, back, rise)
        ]
        if not here:
            continue
        first = _reach(bars, similarity, here[0], -1, (back, rise))
        last = _reach(bars, similarity, here[0], 1, (back, rise))
        reached[back, rise] = last
        run = trimmed(
            bars, similarity, SimilarRun(max(first, last - back + 1), last, back, rise, 0)
        )
        if run and run.kept >= SHORTEST:
            found.append(run)
    return found


def is_similar(bars: BarContents, similarity: Similarity, bar: int, back: int, rise: int) -> bool:
    """Whether a bar is like the one so many bars earlier; bars before the first are not."""
    return back <= bar < bars.count and similarity.keeps(bars.rises(bar - back, bar), rise)


def trimmed(bars: BarContents, similarity: Similarity, run: SimilarRun) -> SimilarRun | None:
    """The run without bars at its ends that are silent or unlike, its kept bars counted."""
    kept = [
        bar
        for bar in range(run.first, run.last + 1)
        if not bars.is_silent(bar) and is_similar(bars, similarity, bar, run.back, run.rise)
    ]
    return run._replace(first=kept[0], last=kept[-1], kept=len(kept)) if kept else None


def _reach(
    bars: BarContents, similarity: Similarity, at: int, step: int, on: tuple[int, int]
) -> int:
    """The last bar of a run from `at` in one direction."""
    while True:
        for ahead in range(1, similarity.slack + 2):
            if is_similar(bars, similarity, at + ahead * step, *on):
                at += ahead * step
                break
        else:
            return at


def _meetings(bars: BarContents, similarity: Similarity) -> list[tuple[int, int, int]]:
    """(bar, bars back, rise) wherever four bars look as before in the whole or in one part."""
    whole: dict[tuple[int, ...], int] = {}
    columns: list[Column] = [
        [
            (whole.setdefault(shapes, len(whole) + 1) if any(shapes) else SILENT, _first(heights))
            for shapes, heights in zip(
                zip(*bars.shapes, strict=True), zip(*bars.heights, strict=True), strict=True
            )
        ]
    ]
    if not similarity.is_strict:
        columns += [
            list(zip(shapes, heights, strict=True))
            for shapes, heights in zip(bars.shapes, bars.heights, strict=True)
        ]
    return sorted({meeting for column in columns for meeting in _meetings_in(column)})


def _first(heights: Sequence[int | None]) -> int | None:
    return next((height for height in heights if height is not None), None)


def _meetings_in(column: Column) -> Iterator[tuple[int, int, int]]:
    """Only if at least three of the four bars differ: a turning accompaniment says nothing."""
    places: dict[tuple[tuple[int, int], ...], list[tuple[int, int]]] = {}
    for at in range(len(column) - SHORTEST + 1):
        window = column[at : at + SHORTEST]
        if len({bar for bar in window if bar[0] != SILENT}) < SHORTEST - 1:
            continue
        ground = _first([height for _, height in window]) or 0
        key = tuple([(shape, (height or ground) - ground) for shape, height in window])
        met = places.setdefault(key, [])
        first = met[:_PLACES_TRIED] if len(met) < OFTEN else []
        for place, low in first + met[max(len(first), len(met) - _PLACES_TRIED) :]:
            if at - place >= SHORTEST:
                yield at, at - place, ground - low
        met.append((at, ground))


# What every part plays in every bar, reduced to numbers that can be compared at once.


SILENT = 0
"""The shape of a part's bar in which it rests."""
_UNPITCHED = -1

BarNote = tuple[int, int, int, bool]
"""Offset in the full bar, length in the bar, pitch, and whether it is struck here."""


@dataclass(frozen=True, slots=True)
class BarContents:
    """The bars of a score, part by part; bars are counted from 0 here."""

    shapes: tuple[tuple[int, ...], ...]
    """For each part and bar a number for what it plays, however high; SILENT if it rests."""
    heights: tuple[tuple[int | None, ...], ...]
    """For each part and bar its first pitch; None if it rests or has no pitch."""

    @property
    def count(self) -> int:
        """How many bars there are."""
        return len(self.shapes[0]) if self.shapes else 0

    def rises(self, a: int, b: int) -> list[int | None]:
        """For each part sounding in either bar: semitones from bar `a` up to `b` where it plays
        the same there, None if it does not. A part without pitch says 0."""
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


def bar_contents(texture: Texture) -> BarContents:
    """The content of every bar, lengths reckoned in the note values that are written."""
    known: dict[tuple[BarNote, ...], int] = {}
    shapes: list[tuple[int, ...]] = []
    heights: list[tuple[int | None, ...]] = []
    for stream, factors in zip(texture.streams, _factors(texture), strict=True):
        shape: list[int] = []
        height: list[int | None] = []
        for notes in _notes(texture, stream, factors):
            notes.sort()
            first = notes[0][2] if notes else _UNPITCHED
            # Bars without pitch keep −1, so that strokes are not the same as repeated notes.
            low = max(first, 0)
            risen = tuple([(at, length, pitch - low, new) for at, length, pitch, new in notes])
            shape.append(known.setdefault(risen, len(known) + 1) if notes else SILENT)
            height.append(None if first == _UNPITCHED else first)
        shapes.append(tuple(shape))
        heights.append(tuple(height))
    return BarContents(tuple(shapes), tuple(heights))


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
                column.append(bar.full / meter.length or Fraction(1))
        before = meters
    whole = lcm(*{pace.numerator for column in paces for pace in set(column)})
    return [[whole * pace.denominator // pace.numerator for pace in column] for column in paces]


def _notes(texture: Texture, stream: PartStream, factors: Sequence[int]) -> list[list[BarNote]]:
    """The part's notes bar by bar, cut at the barlines they are held over."""
    bars = texture.bars
    held: list[list[BarNote]] = [[] for _ in bars]
    for sound in stream.sounds:
        index, at, end, new = sound.bar - 1, sound.at, sound.end, True
        height = _UNPITCHED if sound.pitch is None else sound.pitch
        while index < len(bars) and (new or at < end):
            _, start, span, lead, *_ = bars[index]
            upto = min(end, start + span)
            factor = factors[index]
            held[index].append(((at - start + lead) * factor, (upto - at) * factor, height, new))
            at, new, index = start + span, False, index + 1
    return held
