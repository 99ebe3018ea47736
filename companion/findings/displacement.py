"""Displacement: a part that goes on as steadily as the meter, but beside it.

Its notes, its accents or its ties come back after just a beat, half a bar or a bar, each time
away from where the meter puts its weight, so that the heard downbeat is not the written one.
One off-beat note is syncopation and no finding; neither is a row of suspensions that nobody
contradicts. A part shows it in one of these ways:

- `held`: equal notes that all begin beside the beat (or the half bar, or the barline) and are
  held over it: four with accents or over two barlines, or six against a part that marks it;
- `after-beats`: six short notes or more, one after each beat, against a part that marks it;
- `accent`: accents at one place of every bar, half bar or beat, and nowhere else;
- `tied`: three barlines or more each tied over from the same place close before it, with
  accents, or against a part that marks them.

In unequal beats nothing is looked for.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from companion.rhythm.meter import Meter, levels
from companion.score.texture import MeterRun, PartStream, Sound, Texture


class Displacement(Struct, frozen=True, tag=True):
    """A stretch in which some parts go beside the meter."""

    first: int
    last: int
    parts: tuple[str, ...]
    against: tuple[str, ...]
    """Parts that mark the meter meanwhile."""
    meter: Meter
    level: str
    """What is displaced: `beat`, `half bar` or `bar`."""
    length: Fraction
    """Quarters from one head to the next: one of that level."""
    late: Fraction
    """Quarters from the written place to the heads, less than `length`."""
    start: int
    """Grain of the first head."""
    evidence: tuple[str, ...]
    """`accent`, `after-beats`, `held`, `tied`."""


class _Shift(Struct, frozen=True):
    """Regular heads of one part beside one level of the meter."""

    run: MeterRun
    length: int
    start: int
    """Grain of the first head."""
    end: int
    signs: frozenset[str]
    is_sure: bool
    """Whether the part shows it even if no other one marks the meter."""

    @property
    def late(self) -> int:
        """Grains from the written place to each head."""
        return (self.start - self.run.origin) % self.length


def displacements(texture: Texture) -> tuple[Displacement, ...]:
    """Every such stretch, in order of bars."""
    together: dict[tuple[int, int, Fraction, Fraction, Meter], list[tuple[str, _Shift]]] = {}
    for stream in texture.streams:
        for shift in _shifts(stream):
            first, last = texture.bar_at(shift.start).number, texture.bar_at(shift.end - 1).number
            length, late = shift.length / shift.run.quarter, shift.late / shift.run.quarter
            key = (first, last, length, late, shift.run.meter)
            together.setdefault(key, []).append((stream.part, shift))
    found: list[Displacement] = []
    for (first, last, length, late, meter), alike in together.items():
        parts = tuple(dict.fromkeys(part for part, _ in alike))
        marking = _marking(texture, parts, alike[0][1])
        if marking or any(shift.is_sure for _, shift in alike):
            signs = tuple(sorted(frozenset().union(*(shift.signs for _, shift in alike))))
            level = levels(meter)[length]
            start = min(shift.start for _, shift in alike)
            facts = (first, last, parts, marking, meter, level, length, late, start, signs)
            found.append(Displacement(*facts))
    return tuple(sorted(found, key=lambda d: (d.first, d.last, d.parts)))


def _marking(texture: Texture, parts: Sequence[str], shift: _Shift) -> tuple[str, ...]:
    """The other parts that strike most of the written places the heads go beside."""
    ahead = shift.length - shift.late
    places = range(shift.start + ahead, shift.end, shift.length)
    return tuple(
        stream.part
        for stream in texture.streams
        if stream.part not in parts
        and 4 * sum(bool(stream.strikes_between(at, at + 1)) for at in places) >= 3 * len(places)
    )


# How one part shows it.


def _shifts(stream: PartStream) -> Iterator[_Shift]:
    """Where a part goes beside its own meter; one for each stretch and length."""
    melody = stream.melody
    at = [sound.at for sound in melody]
    for run in chain.from_iterable(map(_whole_bars, stream.runs)):
        sounds = melody[bisect_left(at, run.start) : bisect_left(at, run.end)]
        if run.meter.is_even and len(sounds) > 2:
            yield from _joined([*_beside(run, sounds), *_accented(run, sounds)])


def _whole_bars(run: MeterRun) -> Iterator[MeterRun]:
    """A run cut before each bar that is not full: from there on places are counted anew."""
    first = 0
    for index, bar in enumerate(run.bars[1:], 1):
        if run.bars[index - 1].lacks or bar.lead:
            yield replace(run, bars=run.bars[first:index])
            first = index
    yield replace(run, bars=run.bars[first:])


def _joined(shifts: Sequence[_Shift]) -> list[_Shift]:
    """One for what goes on, or shows in two ways; none that only says of every bar what another
    says of every beat."""
    found: list[_Shift] = []
    for shift in sorted(shifts, key=lambda one: (one.length, one.late, one.start)):
        old = found[-1] if found else None
        if any(_is_said_by(other, shift) for other in found):
            continue
        if (
            old
            and (old.length, old.late) == (shift.length, shift.late)
            and (shift.start <= old.end + shift.length)
        ):
            found[-1] = replace(
                old,
                end=max(old.end, shift.end),
                signs=old.signs | shift.signs,
                is_sure=old.is_sure or shift.is_sure,
            )
        else:
            found.append(shift)
    return sorted(found, key=lambda one: one.start)


def _is_said_by(other: _Shift, shift: _Shift) -> bool:
    """Whether the heads are among those of a finer displacement for most of the time."""
    shared = min(other.end, shift.end) - max(other.start, shift.start)
    return (
        other.length < shift.length
        and (shift.late - other.late) % other.length == 0
        and 2 * shared > shift.end - shift.start
    )


def _lengths(run: MeterRun) -> set[int]:
    """Grains of a beat, half a bar and a bar."""
    own = (length * run.quarter for length, level in levels(run.meter).items() if level != "pulse")
    return {int(length) for length in own if length.denominator == 1}


_MANY = 6
"""A row shorter than this, with neither accents nor barlines to hold over, is a syncopation or a
chain of suspensions as any inner part has them."""


def _beside(run: MeterRun, sounds: Sequence[Sound]) -> Iterator[_Shift]:
    """Four notes or more in a row, always one level of the meter apart, all beside it."""
    lengths = _lengths(run)
    for row in _rows(sounds):
        length = row[1].at - row[0].at
        late = (row[0].at - run.origin) % length if length in lengths else 0
        if not late:
            continue
        ahead = length - late
        held = [sound.end > sound.at + ahead for sound in row]
        accents = sum(sound.is_accented for sound in row)
        over = sum(_is_over_barline(run, sound) for sound in row)
        is_sure = over > 1 or 2 * accents >= len(row)
        if all(held[:-1]) and (is_sure or len(row) >= _MANY):
            sign = "held"
        elif not any(held) and length == run.meter.beat * run.quarter and len(row) >= _MANY:
            sign, is_sure = "after-beats", False
        else:
            continue
        signs = frozenset({sign, "accent"} if 2 * accents >= len(row) else {sign})
        # The place it goes beside counts if the last note is held over it.
        end = row[-1].at + ahead + (sign == "held")
        yield _Shift(run, length, row[0].at, end, signs, is_sure)


def _rows(sounds: Sequence[Sound], least: int = 4) -> Iterator[Sequence[Sound]]:
    """Maximal stretches of so many sounds or more that begin equally far apart."""
    first = 0
    for index in range(2, len(sounds) + 1):
        gap = sounds[first + 1].at - sounds[first].at
        if index == len(sounds) or sounds[index].at - sounds[index - 1].at != gap:
            if index - first >= least:
                yield sounds[first:index]
            first = index - 1


def _is_over_barline(run: MeterRun, sound: Sound) -> bool:
    to_barline = run.full - (sound.at - run.origin) % run.full
    return to_barline < run.full and sound.length > to_barline


def _accented(run: MeterRun, sounds: Sequence[Sound]) -> Iterator[_Shift]:
    """Accents at one place of the bar, the half bar or the beat; tied barlines alike."""
    lengths = _lengths(run)
    accents = [sound for sound in sounds if sound.is_accented]
    for row in _rows(accents, 3):
        length = row[1].at - row[0].at
        if length in lengths and (row[0].at - run.origin) % length:
            if length == run.full or len(row) > 3:
                yield _Shift(
                    run, length, row[0].at, row[-1].end, frozenset({"accent"}), is_sure=True
                )
    # Only what is longer than the way to the barline can be over it.
    origin, full = run.origin, run.full
    tied = [s for s in sounds if s.length > full - (s.at - origin) % full < full]
    beat = run.meter.beat * run.quarter
    for row in _rows(tied, 3):
        before = run.full - (row[0].at - run.origin) % run.full
        accented = sum(sound.is_accented for sound in row)
        if row[1].at - row[0].at == run.full and (before < beat or accented == len(row)):
            is_sure = accented == len(row)
            yield _Shift(
                run, run.full, row[0].at, row[-1].end, frozenset({"tied"}), is_sure=is_sure
            )
