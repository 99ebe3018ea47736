"""How one part shows that it repeats a figure: by rhythm, by pitch, by accents.

Three repeats of anything short come about by chance; a good half of what a naive search
finds in four-part chorales is an eighth that happens to stand between quarters. What the
signs ask for, tuned by looking up what was found in quartets and chorales (no source):

- `rhythm`: the distances between notes repeat exactly, the last one too, four whole times.
  Three are enough where they fill two bars, or one, as a hemiola does, or where three notes
  or more rise and fall alike each time. Equal notes count only where they do not divide the
  bar (a plain triplet is no figure);
- `pitch`: distances and melodic steps repeat three whole times, steps as a sequence counts
  them (a third is a third, major or minor). A straight line up or down has no corners and is
  no figure. A figure of two notes needs four repeats and notes no quicker than the pulse, or
  every trill in triplets would be one. Groups of one repeated note count too;
- `accent`: distances and accents repeat three whole times.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.rhythm.meter_runs import MeterRun, meter_runs
from companion.rhythm.periods import Period, periods
from companion.rhythm.stream import Sound, Stream

MOST_NOTES = 16
"""A longer figure is a phrase, not a group one feels."""
_STEPS = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)
_SPREAD = 1024


@dataclass(frozen=True, slots=True)
class Notes:
    """The highest notes of a part in one meter; where a lower voice moves alone, its notes."""

    run: MeterRun
    """The bars they lie in."""
    at: Sequence[int]
    """Grains at which they begin."""
    gaps: Sequence[int]
    """Grains to the next note; the part's last note has its own length."""
    sounds: Sequence[Sound]
    """The notes."""


def notes_of(stream: Stream) -> Iterator[Notes]:
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
    for period in periods(notes.gaps, MOST_NOTES):
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
    for steady in periods(row, MOST_NOTES, open_end=True):
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
    for period in periods(row, MOST_NOTES):
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
