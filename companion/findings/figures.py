"""Figures that repeat at a length of their own, across the beats or the bars they stand in.

Every note may lie on the common grid and still a coach says "you are in threes there":
a figure of three eighths over four. Comparing divisions cannot see it, because the
division is the same; what repeats has to be looked at.

What a repetition is, the second half says; the first holds it against the meter. A figure
longer than a bar but shorter than two counts where more than its rhythm repeats. A stretch
ends at a change of the part's own meter.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from operator import eq
from typing import NamedTuple

from companion.rhythm.meter import crossed
from companion.score.texture import MeterRun, PartStream, Sound, Texture, meter_runs


@dataclass(frozen=True, slots=True)
class Figure:
    """A stretch of one part that repeats a figure which does not fit its meter."""

    part: str
    run: MeterRun
    start: int
    end: int
    """Grain at which the repetition is over; the last repeat may be broken off."""
    length: int
    evidence: tuple[str, ...]
    """What repeats: `accent`, `pitch`, `rhythm`, in this order."""

    @property
    def repeats(self) -> int:
        """How many whole times the figure is played."""
        return (self.end - self.start) // self.length

    @property
    def quarters(self) -> Fraction:
        """Written length of the figure once, in quarters."""
        return self.length / self.run.quarter


def figures(texture: Texture) -> tuple[Figure, ...]:
    """All such figures, part by part, in order of time."""
    return tuple(figure for stream in texture.streams for figure in figures_of(stream))


def figures_of(stream: PartStream) -> tuple[Figure, ...]:
    """All such figures of one part, in order of time."""
    found: list[Figure] = []
    for notes in notes_of(stream):
        repeated = [
            _figure(stream.part, notes, period, sign) for period, sign in repetitions(notes)
        ]
        found += _without_multiples(_joined(figure for figure in repeated if _crosses(figure)))
    return tuple(found)


def _figure(part: str, notes: Notes, period: Period, what: str) -> Figure:
    """The last repeat ends as long after its last note as the one before it."""
    last, before = period.end - 1, period.end - 1 - period.size
    length = notes.at[last] - notes.at[before]
    end = notes.at[before + 1] + length
    return Figure(part, notes.run, notes.at[period.start], end, length, (what,))


def _crosses(figure: Figure) -> bool:
    if crossed(figure.quarters, figure.run.meter) is None:
        return False
    return figure.length < figure.run.full or (
        figure.evidence != ("rhythm",) and figure.length < 2 * figure.run.full
    )


def _joined(figures: Iterable[Figure]) -> list[Figure]:
    """One figure where the same length shows in several ways at overlapping places."""
    found: list[Figure] = []
    for figure in sorted(figures, key=lambda f: (f.length, f.start, f.end)):
        before = found[-1] if found else None
        if before and before.length == figure.length and figure.start < before.end:
            evidence = tuple(sorted({*before.evidence, *figure.evidence}))
            end = max(before.end, figure.end)
            found[-1] = replace(before, end=end, evidence=evidence)
        else:
            found.append(figure)
    return found


def _without_multiples(figures: list[Figure]) -> list[Figure]:
    """Without those that only say again, in multiples, what a shorter figure says."""
    kept = [
        figure
        for figure in figures
        if not any(
            figure.length > other.length
            and figure.length % other.length == 0
            and other.start <= figure.start
            and figure.end <= other.end
            for other in figures
        )
    ]
    return sorted(kept, key=lambda figure: (figure.start, figure.end))


# How one part shows that it repeats a figure: by rhythm, by pitch, by accents.


_MOST_NOTES = 16
"""A longer figure is a phrase, not a group one feels."""
_STEPS = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)
_SPREAD = 1024


@dataclass(frozen=True, slots=True)
class Notes:
    """The highest notes of a part in one meter; where a lower voice moves alone, its notes."""

    run: MeterRun
    at: Sequence[int]
    gaps: Sequence[int]
    """Grains to the next note; the part's last note has its own length."""
    sounds: Sequence[Sound]


def notes_of(stream: PartStream) -> Iterator[Notes]:
    """A part's notes meter by meter, where there are enough of them to repeat anything."""
    melody = stream.melody
    at = [sound.at for sound in melody]
    for run in meter_runs(stream):
        first, last = bisect_left(at, run.start), bisect_left(at, run.end)
        if last - first < 3:
            continue
        ends = at[first + 1 : last + 1] + [melody[-1].end] * (last == len(at))
        gaps = [b - a for a, b in zip(at[first:last], ends, strict=True)]
        yield Notes(run, at[first:last], gaps, melody[first:last])


def repetitions(notes: Notes) -> Iterator[tuple[Period, str]]:
    """Every stretch that repeats a figure, whether it fits the meter or not, and its sign."""
    yield from _in_rhythm(notes)
    yield from _in_pitch(notes)
    yield from _in_repeated_notes(notes)
    if any(sound.is_accented for sound in notes.sounds):
        yield from _in_accents(notes)


def _in_rhythm(notes: Notes) -> Iterator[tuple[Period, str]]:
    for period in periods(notes.gaps, _MOST_NOTES):
        if period.size == 1:
            if period.extent >= 4 and notes.run.full % notes.gaps[period.start]:
                yield period, "rhythm"
        elif is_bounded(notes.gaps, period) and (
            period.extent >= 4 * period.size
            or _regroups_bars(notes, period)
            or _has_one_contour(notes, period)
        ):
            yield period, "rhythm"


def _regroups_bars(notes: Notes, period: Period) -> bool:
    """Whether three repeats make two whole bars, or one: a hemiola needs no fourth."""
    length = notes.at[period.start + period.size] - notes.at[period.start]
    return 3 * length in (notes.run.full, 2 * notes.run.full)


def _has_one_contour(notes: Notes, period: Period) -> bool:
    """Whether three notes or more rise and fall alike each time."""
    if period.size < 3:
        return False
    ways = [
        (b.pitch or 0) - (a.pitch or 0)
        for a, b in pairwise(notes.sounds[period.start : period.end])
    ]
    signs = [(way > 0) - (way < 0) for way in ways]
    return len(set(signs)) > 1 and signs[period.size :] == signs[: -period.size]


def _in_pitch(notes: Notes) -> Iterator[tuple[Period, str]]:
    """Works on steps from note to note: one fewer than there are notes."""
    steps = [_step(a.pitch, b.pitch) for a, b in zip(notes.sounds, notes.sounds[1:], strict=False)]
    row = [gap * _SPREAD + step for gap, step in zip(notes.gaps, steps, strict=False)]
    for steady in periods(row, _MOST_NOTES, open_end=True):
        if steady.size == 1 or not is_bounded(row, steady):
            continue
        if not _has_corners(steps[steady.start : steady.end]):
            continue
        period = _whole(notes, Period(steady.start, steady.extent + 1, steady.size))
        if period.extent >= (4 if period.size == 2 else 3) * period.size:
            if period.size > 2 or _is_no_trill(notes, period):
                yield period, "pitch"


def _whole(notes: Notes, period: Period) -> Period:
    """Without its last note where that is cut shorter than in the repeat before."""
    last = period.end - 1
    is_cut = notes.gaps[last] < notes.gaps[last - period.size]
    return period._replace(extent=period.extent - is_cut)


def _has_corners(steps: Sequence[int]) -> bool:
    """Whether the line does not only rise, or fall, or stand still."""
    return len({(step > 0) - (step < 0) for step in steps}) > 1


def _is_no_trill(notes: Notes, period: Period) -> bool:
    meter = notes.run.meter
    length = notes.at[period.start + 2] - notes.at[period.start]
    return length / notes.run.quarter >= 2 * meter.beat / meter.divisions[0]


def _in_repeated_notes(notes: Notes) -> Iterator[tuple[Period, str]]:
    """Equal groups of a repeated note: the changes of pitch are the figure's beginnings."""
    pitches = [sound.pitch for sound in notes.sounds]
    changes = [0, *(i for i in range(1, len(pitches)) if pitches[i] != pitches[i - 1])]
    ends = [*changes[1:], len(pitches)]
    sizes = [b - a for a, b in zip(changes, ends, strict=True)]
    row = [size * _SPREAD * _SPREAD + notes.gaps[a] for a, size in zip(changes, sizes, strict=True)]
    for period in periods(row, 1):
        size, first = sizes[period.start], changes[period.start]
        found = Period(first, period.extent * size, size)
        gaps = notes.gaps[first : found.end]
        if size == 1 or period.extent < (4 if size == 2 else 3):
            continue
        if all(a == b for a, b in zip(gaps, gaps[size:], strict=False)):
            yield found, "pitch"


def _in_accents(notes: Notes) -> Iterator[tuple[Period, str]]:
    accents = [sound.is_accented for sound in notes.sounds]
    row = [gap * 2 + accent for gap, accent in zip(notes.gaps, accents, strict=True)]
    for period in periods(row, _MOST_NOTES):
        if period.size > 1 and any(accents[period.start : period.end]):
            yield period, "accent"


def _step(a: int | None, b: int | None) -> int:
    """The melodic step in letters of the scale, spelling unknown: both thirds are 2."""
    if a is None or b is None:
        return 0
    octaves, rest = divmod(abs(b - a), 12)
    size = octaves * 7 + _STEPS[rest]
    return size if b >= a else -size


def is_bounded(row: Sequence[int], period: Period, times: int = 3) -> bool:
    """Whether the repeats stand apart where all their elements but one are alike.

    A long scale, four notes, another long scale: the leaps between them show one group of
    four, not three, though the row repeats itself for three times four elements.
    """
    once = row[period.start : period.start + period.size]
    plain = max(set(once), key=once.count)
    if period.size < 3 or once.count(plain) < period.size - 1:
        return True
    odd = [i for i in range(period.start, period.end) if row[i] != plain]
    before, after = odd[0] - period.start, period.end - 1 - odd[-1]
    groups = (odd[-1] - odd[0]) // period.size
    if before == period.size - 1 and (not period.start or row[period.start - 1] != plain):
        groups += 1
    if after == period.size - 1 and (period.end == len(row) or row[period.end] != plain):
        groups += 1
    return groups >= times


# Where a row of things repeats itself: the arithmetic under every repeated figure.


class Period(NamedTuple):
    """A stretch of a row that repeats itself, as far as it goes."""

    start: int
    extent: int
    """How many elements it has, a broken last repeat included."""
    size: int
    """After how many elements it repeats."""

    @property
    def end(self) -> int:
        """Index after its last element."""
        return self.start + self.extent


def periods(
    row: Sequence[int], largest: int, times: int = 3, *, open_end: bool = False
) -> Iterator[Period]:
    """Maximal stretches of at least `times` whole repeats, shortest periods first.

    With `open_end` the elements are steps from one note to the next, so that the last
    repeat is whole without its last step: it may lead anywhere. Stretches of one period
    never share as much as a whole repeat; those of different periods may.
    """
    same: dict[int, bytes] = {}
    for size in range(1, min(largest, len(row)) + 1):
        same[size] = bytes(map(eq, row, row[size:]))
        least = (times - 1) * size - open_end
        if least < 1:
            continue
        for run in re.finditer(b"\x01{%d,}" % least, same[size]):
            found = Period(run.start(), run.end() - run.start() + size, size)
            if not _repeats_sooner(found, same):
                yield found


def _repeats_sooner(found: Period, same: dict[int, bytes]) -> bool:
    """Whether a shorter period, which must divide this one, goes through the whole stretch."""
    return any(
        found.size % size == 0 and same[size].find(0, found.start, found.end - size) < 0
        for size in range(1, found.size // 2 + 1)
    )
