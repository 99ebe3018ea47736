"""How one part shows that something repeats: in rhythm, pitch, accents, or in how it begins groups.

Two ways. A row of things (lengths, steps, accents) repeats itself: `repetitions`. Or one sign
(an accent, a slur or beam that begins, a low note) returns after the same time again and
again, whatever else is played: `returning_signs`. Both say where and after how long; whether
that fits the meter is asked elsewhere (`figures.py`, `displacement.py`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import compress, count, pairwise
from operator import ne
from typing import NamedTuple

from msgspec import Struct

from companion.score.texture import (
    BEAM_BEGINS,
    SLUR_BEGINS,
    MeterRun,
    PartStream,
    Sound,
)

# How one part shows that it repeats a figure: by rhythm, by pitch, by accents.


_MOST_NOTES = 12
"""A longer figure is a phrase, not a group one feels."""
_STEPS = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)
_SPREAD = 1024


class Notes(Struct, frozen=True):
    """The highest notes of a part in one meter; if a lower voice moves alone, its notes."""

    run: MeterRun
    at: Sequence[int]
    gaps: Sequence[int]
    """Grains to the next note; the part's last note has its own length."""
    sounds: Sequence[Sound]
    depths: Sequence[int]
    """The lowest pitch at each note's beginning; 0 if unpitched."""


def notes_of(stream: PartStream) -> Iterator[Notes]:
    """A part's notes meter by meter, if there are enough of them to repeat anything."""
    melody = stream.melody
    at = [sound.at for sound in melody]
    for run in stream.runs:
        first, last = bisect_left(at, run.start), bisect_left(at, run.end)
        if last - first < 3:
            continue
        ends = at[first + 1 : last + 1] + [melody[-1].end] * (last == len(at))
        gaps = [b - a for a, b in zip(at[first:last], ends, strict=True)]
        depths = stream.depths[first:last]
        yield Notes(run, at[first:last], gaps, melody[first:last], depths)


Wanted = Callable[[int], bool]
"""Whether a figure so many grains long is looked for: most that music repeats fits its meter."""


def repetitions(notes: Notes, wanted: Wanted) -> Iterator[tuple[Repetition, str]]:
    """Every stretch that repeats a figure of a wanted length, and its sign."""
    yield from _in_rhythm(notes, wanted)
    yield from _in_pitch(notes, wanted)
    yield from _in_repeated_notes(notes, wanted)
    if sum(sound.is_accented for sound in notes.sounds) > 2:
        yield from _in_accents(notes, wanted)


def _where(notes: Notes, wanted: Wanted) -> Callable[[int, int], bool]:
    """The same for a figure that begins at an index and has so many notes."""
    at = notes.at
    return lambda start, size: wanted(at[start + size] - at[start])


def _in_rhythm(notes: Notes, wanted: Wanted) -> Iterator[tuple[Repetition, str]]:
    fitting: dict[int, bool] = {}
    for repetition in repeating(notes.gaps, _MOST_NOTES, is_wanted=_where(notes, wanted)):
        if repetition.size == 1:
            gap = notes.gaps[repetition.start]
            if gap not in fitting:
                fitting[gap] = fits_beat(notes.run, gap)
            if repetition.extent >= 4 and not fitting[gap]:
                yield repetition, "rhythm"
        elif is_bounded(notes.gaps, repetition) and (
            repetition.extent >= 4 * repetition.size
            or _regroups_bars(notes, repetition)
            or _has_one_contour(notes, repetition)
        ):
            yield repetition, "rhythm"


def fits_beat(run: MeterRun, length: int) -> bool:
    """Whether a length is so many whole beats of a bar, or cuts each beat into equal parts."""
    whole, beats = run.meter.length, run.meter.beats
    if all((run.full * beat / whole) % length == 0 for beat in set(beats)):
        return True
    return run.meter.is_even and run.full % length == 0 and length * len(beats) % run.full == 0


def _regroups_bars(notes: Notes, repetition: Repetition) -> bool:
    """Whether three repeats make two whole bars, or one: a hemiola needs no fourth."""
    length = notes.at[repetition.start + repetition.size] - notes.at[repetition.start]
    return 3 * length in (notes.run.full, 2 * notes.run.full)


def _has_one_contour(notes: Notes, repetition: Repetition) -> bool:
    """Whether three notes or more rise and fall alike each time."""
    if repetition.size < 3:
        return False
    ways = [
        (b.pitch or 0) - (a.pitch or 0)
        for a, b in pairwise(notes.sounds[repetition.start : repetition.end])
    ]
    signs = [(way > 0) - (way < 0) for way in ways]
    return len(set(signs)) > 1 and signs[repetition.size :] == signs[: -repetition.size]


def _in_pitch(notes: Notes, wanted: Wanted) -> Iterator[tuple[Repetition, str]]:
    """Works on steps from note to note: one fewer than there are notes."""
    pitches = [sound.pitch for sound in notes.sounds]
    steps = [
        0 if a is None or b is None else _step(b - a)
        for a, b in zip(pitches, pitches[1:], strict=False)
    ]
    row = [gap * _SPREAD + step for gap, step in zip(notes.gaps, steps, strict=False)]
    is_wanted = _where(notes, wanted)
    for steady in repeating(row, _MOST_NOTES, open_end=True, is_wanted=is_wanted):
        if steady.size == 1 or not is_bounded(row, steady):
            continue
        if not _has_corners(steps[steady.start : steady.end]):
            continue
        repetition = _whole(notes, Repetition(steady.start, steady.extent + 1, steady.size))
        # Two notes are soon alike by chance.
        if repetition.extent >= (4 if repetition.size == 2 else 3) * repetition.size:
            if repetition.size > 2 or _is_no_trill(notes, repetition):
                yield repetition, "pitch"


def _whole(notes: Notes, repetition: Repetition) -> Repetition:
    """Without its last note if that is cut shorter than in the repeat before."""
    last = repetition.end - 1
    is_cut = notes.gaps[last] < notes.gaps[last - repetition.size]
    return repetition._replace(extent=repetition.extent - is_cut)


def _has_corners(steps: Sequence[int]) -> bool:
    """Whether the line does not only rise, or fall, or stand still."""
    return len({(step > 0) - (step < 0) for step in steps}) > 1


def _is_no_trill(notes: Notes, repetition: Repetition) -> bool:
    meter = notes.run.meter
    length = notes.at[repetition.start + 2] - notes.at[repetition.start]
    return length / notes.run.quarter >= 2 * meter.beat / meter.divisions[0]


def _in_repeated_notes(notes: Notes, wanted: Wanted) -> Iterator[tuple[Repetition, str]]:
    """Equal groups of a repeated note: the changes of pitch are the figure's beginnings."""
    pitches = [sound.pitch for sound in notes.sounds]
    changes = [0, *compress(count(1), map(ne, pitches[1:], pitches))]
    ends = [*changes[1:], len(pitches)]
    sizes = [b - a for a, b in zip(changes, ends, strict=True)]
    row = [size * _SPREAD * _SPREAD + notes.gaps[a] for a, size in zip(changes, sizes, strict=True)]
    for repetition in repeating(row, 1):
        size, first = sizes[repetition.start], changes[repetition.start]
        found = Repetition(first, repetition.extent * size, size)
        gaps = notes.gaps[first : found.end]
        if size == 1 or repetition.extent < (4 if size == 2 else 3):
            continue
        if not wanted(notes.at[first + size] - notes.at[first]):
            continue
        if all(a == b for a, b in zip(gaps, gaps[size:], strict=False)):
            yield found, "pitch"


def _in_accents(notes: Notes, wanted: Wanted) -> Iterator[tuple[Repetition, str]]:
    accents = [sound.is_accented for sound in notes.sounds]
    row = [gap * 2 + accent for gap, accent in zip(notes.gaps, accents, strict=True)]
    for repetition in repeating(row, _MOST_NOTES, is_wanted=_where(notes, wanted)):
        if repetition.size > 1 and any(accents[repetition.start : repetition.end]):
            yield repetition, "accent"


# How one sign returns after the same time, whatever is played in between.


class Returning(NamedTuple):
    """A sign that returns, always after the same number of grains."""

    start: int
    end: int
    """Grain at which the last whole group is over."""
    length: int
    sign: str


def returning_signs(notes: Notes) -> Iterator[Returning]:
    """Every stretch of three groups or more that begin alike: with an accent among any notes;
    with a slur, a beam or a low note in an even stream."""
    accents = [i for i, sound in enumerate(notes.sounds) if sound.is_accented]
    if len(accents) > 2:
        end = notes.at[-1] + notes.gaps[-1]
        yield from _regular([notes.at[i] for i in accents], end, "accent")
    for first, last in _even_streams(notes.gaps):
        stream = range(first, last + 1)
        end = notes.at[last] + notes.gaps[first]
        for sign, bit in (("slur", SLUR_BEGINS), ("beam", BEAM_BEGINS)):
            begin = [notes.at[i] for i in stream if notes.sounds[i].begins & bit]
            if len(begin) > 2:
                # The last note, if held longer, may stand after the last group.
                yield from _regular(begin, end, sign, notes.at[last])
        low = [notes.at[i] for i in stream if _is_low(notes.depths, i, first, last)]
        if len(low) > 2:
            for one in _regular(low, end, "low"):
                if _is_lowest_of_each(notes, one):
                    yield one


_LEAP = 5
"""Semitones: a fourth down to a bass note, as from a chord or another register."""


def _is_low(depths: Sequence[int], index: int, first: int, last: int) -> bool:
    """Whether a note of an even stream lies a leap below its neighbours."""
    here = depths[index]
    return (
        here > 0
        and (index == first or depths[index - 1] - here >= _LEAP)
        and (index == last or depths[index + 1] - here >= _LEAP)
    )


def _even_streams(gaps: Sequence[int]) -> Iterator[tuple[int, int]]:
    """First and last index of six equal notes or more; the last may be held longer."""
    first = 0
    for index in range(1, len(gaps) + 1):
        if index == len(gaps) or gaps[index] != gaps[first]:
            last = min(index, len(gaps) - 1)
            if last - first >= 5:
                yield first, last
            first = index


def _is_lowest_of_each(notes: Notes, groups: Returning) -> bool:
    """Whether all other notes of every group lie clearly above the one it begins with."""
    first, last = bisect_left(notes.at, groups.start), bisect_left(notes.at, groups.end)
    head = 0
    for index in range(first, last):
        if (notes.at[index] - groups.start) % groups.length == 0:
            head = notes.depths[index]
        elif notes.depths[index] - head < 3:
            return False
    return True


def _regular(
    heads: Sequence[int], end: int, sign: str, sooner: int | None = None
) -> Iterator[Returning]:
    """Groups of one length from head to head, the last one up to `end`, or `sooner`, if nothing
    follows."""
    first = 0
    while first < len(heads) - 1:
        length = heads[first + 1] - heads[first]
        upto = first + 1
        while upto < len(heads) - 1 and heads[upto + 1] - heads[upto] == length:
            upto += 1
        # The last group is whole if the notes go on so long and nothing else begins in it; of a
        # slur or beam nothing says where it ends, unless the notes end with it.
        is_last = upto + 1 == len(heads)
        rest = (end if is_last else heads[upto + 1]) - heads[upto] - length
        is_whole = (
            rest > 0 if sign in ("accent", "low") else is_last and heads[upto] + length == sooner
        )
        is_whole |= rest == 0
        whole = heads[upto] + length * is_whole
        if whole - heads[first] >= 3 * length:
            yield Returning(heads[first], whole, length, sign)
        first = upto


@lru_cache(maxsize=512)
def _step(semitones: int) -> int:
    """A melodic interval in letters of the scale, spelling unknown: both thirds are 2."""
    octaves, rest = divmod(abs(semitones), 12)
    size = octaves * 7 + _STEPS[rest]
    return size if semitones >= 0 else -size


def is_bounded(row: Sequence[int], repetition: Repetition, times: int = 3) -> bool:
    """Whether the repeats stand apart if all their elements but one are alike.

    A long scale, four notes, another long scale: the leaps between them show one group of
    four, not three, though the row repeats itself for three times four elements.
    """
    once = row[repetition.start : repetition.start + repetition.size]
    plain = max(set(once), key=once.count)
    if repetition.size < 3 or once.count(plain) < repetition.size - 1:
        return True
    odd = [i for i in range(repetition.start, repetition.end) if row[i] != plain]
    before, after = odd[0] - repetition.start, repetition.end - 1 - odd[-1]
    groups = (odd[-1] - odd[0]) // repetition.size
    if before == repetition.size - 1 and (
        not repetition.start or row[repetition.start - 1] != plain
    ):
        groups += 1
    if after == repetition.size - 1 and (
        repetition.end == len(row) or row[repetition.end] != plain
    ):
        groups += 1
    return groups >= times


# Where a row of things repeats itself: the arithmetic under every repeated figure.


class Repetition(NamedTuple):
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


def repeating(
    row: Sequence[int],
    largest: int,
    times: int = 3,
    *,
    open_end: bool = False,
    is_wanted: Callable[[int, int], bool] = lambda start, size: True,
) -> Iterator[Repetition]:
    """Maximal stretches of at least `times` whole repeats, shortest periods first; of those
    that begin at an index and have a size as wanted.

    With `open_end` the elements are steps from one note to the next, so that the last
    repeat is whole without its last step: it may lead anywhere. Stretches of one period
    never share as much as a whole repeat; those of different periods may.
    """
    same: dict[int, bytes] = {}
    compare = _comparison(row)
    for size in range(1, min(largest, len(row)) + 1):
        same[size] = compare(size)
        least = (times - 1) * size - open_end
        if least < 1:
            continue
        for start, end in _runs_of_zeros(same[size], least):
            if is_wanted(start, size):
                found = Repetition(start, end - start + size, size)
                if not _repeats_sooner(found, same):
                    yield found


def _runs_of_zeros(row: bytes, least: int) -> Iterator[tuple[int, int]]:
    zeros, ended = bytes(least), row + b"\1"
    start = row.find(zeros)
    while start >= 0:
        end = ended.index(1, start + least)
        yield start, end
        start = row.find(zeros, end)


_ZERO_OR_ONE = bytes([0] + [1] * 255)


def _comparison(row: Sequence[int]) -> Callable[[int], bytes]:
    """For a distance, a byte for each element that has another so far behind it: 0 if the two
    are alike, 1 if not. A dozen distances are compared for every row of a score, so all elements
    of a row are compared in one operation on long numbers, if a byte can tell them apart."""
    names = {element: name for name, element in enumerate(set(row))}
    if len(names) > 256:
        return lambda size: bytes(map(ne, row, row[size:]))
    word, count = int.from_bytes(bytes(map(names.__getitem__, row)), "little"), len(row)

    def compare(size: int) -> bytes:
        differing = (word ^ (word >> (8 * size))).to_bytes(count, "little")
        return differing[: count - size].translate(_ZERO_OR_ONE)

    return compare


def _repeats_sooner(found: Repetition, same: dict[int, bytes]) -> bool:
    """Whether a shorter period, which must divide this one, goes through the whole stretch."""
    return any(
        found.size % size == 0 and same[size].find(1, found.start, found.end - size) < 0
        for size in range(1, found.size // 2 + 1)
    )
