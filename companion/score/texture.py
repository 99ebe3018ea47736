"""From the laid score to plain sounds on one grid, ties counted in and pitches as heard."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import chain, groupby, repeat
from math import lcm
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from companion.rhythm.meter import Meter
from companion.score.abbreviations import sounding_bar_notes
from companion.score.clock import BarPlace, Clock
from companion.score.model import TIE_STARTS, TIE_STOPS

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCENTS = {"accent", "strong-accent", "stress"}
SLUR_BEGINS = 1
BEAM_BEGINS = 2
_STRESSES = {"sf", "sfz", "sffz", "fz", "rf", "rfz", "sfp", "sfpp"}
"""Dynamics that stress one note, as MusicXML names them."""


def texture_of(clock: Clock) -> Texture:
    """Every sound of a score on the common grid."""
    grains = _grains_per_beat(clock)
    bars = tuple(
        BarSpan(
            bar.number,
            _on_grid(bar.start, grains),
            _on_grid(bar.length, grains),
            _on_grid(lead, grains),
            bar.movement,
            _on_grid(lacks, grains),
        )
        for bar, (lead, lacks) in zip(clock.bars, _missing(clock), strict=True)
    )
    streams = tuple(_stream(clock, part, grains, bars) for part in range(len(clock.places)))
    return Texture(streams, bars, Fraction(1, grains))


def _missing(clock: Clock) -> Iterator[tuple[Fraction, Fraction]]:
    """What each bar of the score lacks before its start and at its end. If barlines coincide, the
    full bars of all parts are equally long; if they travel apart, nothing is known of it."""
    columns = clock.places if clock.barlines_coincide else ()
    for index in range(len(clock.bars)):
        here = (column[index] for column in columns if index < len(column))
        place = next((place for place in here if place.meter), None)
        yield (place.lead, _lacks(place)) if place else (Fraction(0), Fraction(0))


def _lacks(place: BarPlace) -> Fraction:
    full = place.meter.length * place.pace if place.meter else place.length
    return full - place.lead - place.length


def _grains_per_beat(clock: Clock) -> int:
    """The fewest grains a beat on which every barline and every tick of every part falls."""
    # Parts share most of these, and one is quicker told from another by its identity.
    paces = {id(place.pace): place.pace for column in clock.places for place in column}
    times = {id(time): time for bar in clock.bars for time in (bar.start, bar.length)}
    for column in clock.places:
        times |= {id(place.start): place.start for place in column}
        times |= {id(place.lead): place.lead for place in column}
    denominators = {time.denominator for time in times.values()}
    denominators |= {(pace / clock.score.ticks).denominator for pace in paces.values()}
    fulls = {
        (id(place.meter), id(place.pace)): place for column in clock.places for place in column
    }
    denominators |= {_lacks(place).denominator for place in fulls.values()}
    return lcm(*denominators)


def _on_grid(time: Fraction, grains: int) -> int:
    """A clock time in grains; all of them lie on the grid, so whole numbers are enough."""
    return time.numerator * grains // time.denominator


def _stream(clock: Clock, part: int, grains: int, bars: tuple[BarSpan, ...]) -> PartStream:
    places = clock.places[part]
    own_meters = tuple(place.meter for place in places)
    if clock.barlines_coincide:
        own_bars = bars[: len(places)]
        meters = own_meters + (None,) * (len(bars) - len(places))
    else:
        own_bars = tuple(_own_bars(clock, part, grains))
        meters = tuple(clock.meter_at(part, bar) for bar in clock.bars)
    sounds = tuple(_sounds(clock, part, grains, own_bars, [bar.start for bar in bars]))
    return PartStream(clock.score.parts[part].id, sounds, meters, own_bars, own_meters)


def _sounds(
    clock: Clock, part: int, grains: int, own_bars: Sequence[BarSpan], starts: Sequence[int]
) -> list[Sound]:
    """A part's sounds in order of time; `starts` are the grains of the score's barlines."""
    written, ticks = clock.score.parts[part], clock.score.ticks
    made: list[Sound] = []
    held: dict[tuple[int | None, int], int] = {}
    # Beams that go from staff to staff follow the hands, not the groups.
    beam_begins = BEAM_BEGINS if written.staves == 1 else 0
    for bar, place, span in zip(written.bars, clock.places[part], own_bars, strict=True):
        stressed = {m.onset for m in bar.marks if m.kind == "dynamic" and m.text in _STRESSES}
        start, grain = span.start, _on_grid(place.pace, grains) // ticks
        for note in sounding_bar_notes(bar, ticks):
            if not note.pitch or note.is_grace or note.is_cue:
                continue
            pitch = sounding_notes(note.pitch, written.semitones)
            at, length, tie = start + note.onset * grain, note.length * grain, note.tie
            before = held.pop((pitch, at), None) if tie & TIE_STOPS else None
            if before is None:
                before = len(made)
                accent, begins = note.onset in stressed, 0
                if note.marks:
                    accent = accent or not _ACCENTS.isdisjoint(note.marks)
                    begins = SLUR_BEGINS if "slur-start" in note.marks else 0
                if note.begins_beam:
                    begins |= beam_begins
                made.append(Sound(at, length, pitch, bisect_right(starts, at), accent, begins))
            else:
                made[before] = replace(made[before], length=made[before].length + length)
            if tie & TIE_STARTS:
                held[(pitch, at + length)] = before
    made.sort(key=_by_time_and_pitch)
    return made


def _by_time_and_pitch(sound: Sound) -> tuple[int, int]:
    return sound.at, sound.pitch or 0


def _own_bars(clock: Clock, part: int, grains: int) -> Iterator[BarSpan]:
    # Where barlines travel apart a part may have more bars than the score has movements for.
    movements = chain((bar.movement for bar in clock.bars), repeat(clock.bars[-1].movement))
    for number, (place, movement) in enumerate(zip(clock.places[part], movements, strict=False), 1):
        times = (place.start, place.length, place.lead, _lacks(place))
        start, length, lead, lacks = (_on_grid(time, grains) for time in times)
        yield BarSpan(number, start, length, lead, movement, lacks)


@lru_cache(maxsize=4096)
def sounding_notes(pitch: str, semitones: int) -> int | None:
    """The sounding pitch of a written one such as `F#4`, given its part's transposition.

    Middle C is 60; quarter tones count as the semitone below; None if unpitched.
    """
    if pitch == "x":
        return None
    step, rest = pitch[0], pitch[1:]
    alter = rest.count("#") - rest.count("b") - rest.count("~")
    octave = int(rest.lstrip("#b~^"))
    return 12 * (octave + 1) + _STEPS[step] + alter + semitones


# What each part really sounds, on one common grid: the plain input of every analysis.


class Sound(Struct, frozen=True, gc=False):
    """One note as heard, its ties counted in."""

    at: int
    """Grains from the beginning of the score."""
    length: int
    """Grains it is held."""
    pitch: int | None
    """Sounding pitch in semitones, middle C = 60 (MIDI's numbering); None if unpitched."""
    bar: int
    is_accented: bool
    begins: int = 0
    """SLUR_BEGINS, BEAM_BEGINS, their sum, or 0."""

    @property
    def end(self) -> int:
        """Grain at which it stops."""
        return self.at + self.length


class BarSpan(NamedTuple):
    """A bar on the grid."""

    number: int
    start: int
    """Grain of its left barline."""
    length: int
    """Grains to its right barline."""
    lead: int
    """Grains missing before its start where it is a pickup, else 0."""
    movement: int = 1
    lacks: int = 0
    """Grains missing at its end where it is short; below 0 where it is longer than its meter."""

    @property
    def end(self) -> int:
        """Grain of its right barline."""
        return self.start + self.length

    @property
    def full(self) -> int:
        """Grains of a full bar of its meter."""
        return self.lead + self.length + self.lacks


class PartStream(Struct, frozen=True, dict=True):
    """One part's sounds in order of time, chords from low to high."""

    part: str
    sounds: tuple[Sound, ...]
    meters: tuple[Meter | None, ...]
    """Its meter in each bar of the score."""
    own_bars: tuple[BarSpan, ...]
    """Its own bars; the score's where barlines coincide."""
    own_meters: tuple[Meter | None, ...]
    """Its meter in each of its own bars."""

    @cached_property
    def strikes(self) -> tuple[int, ...]:
        """Grains at which something begins, each once."""
        return tuple(dict.fromkeys([sound.at for sound in self.sounds]))

    @cached_property
    def melody(self) -> tuple[Sound, ...]:
        """The highest sound at each strike."""
        if len(self.strikes) == len(self.sounds):
            return self.sounds
        return tuple({sound.at: sound for sound in self.sounds}.values())

    @cached_property
    def depths(self) -> tuple[int, ...]:
        """The lowest pitch at each strike, 0 if unpitched."""
        if len(self.strikes) == len(self.sounds):
            return tuple(sound.pitch or 0 for sound in self.sounds)
        lowest = {sound.at: sound.pitch or 0 for sound in reversed(self.sounds)}
        return tuple(lowest[at] for at in self.strikes)

    @cached_property
    def runs(self) -> tuple[MeterRun, ...]:
        """Its measured stretches in order, meter by meter; what is unmeasured is left out."""
        found: list[MeterRun] = []
        together = groupby(
            zip(self.own_meters, self.own_bars, strict=True),
            lambda pair: (pair[0], pair[1].movement, pair[1].full),
        )
        for (meter, _, full), pairs in together:
            if meter is not None:
                found.append(MeterRun(meter, tuple(bar for _, bar in pairs), full))
        return tuple(found)

    def strikes_between(self, first: int, last: int) -> tuple[int, ...]:
        """Strikes from `first` up to but not including `last`."""
        return self.strikes[bisect_left(self.strikes, first) : bisect_left(self.strikes, last)]


class Texture(Struct, frozen=True):
    """All parts of a score on the grid."""

    streams: tuple[PartStream, ...]
    """From the top of the page."""
    bars: tuple[BarSpan, ...]
    grain: Fraction
    """Clock time (felt beats at the tempo of the first bar) that one grain lasts."""

    @property
    def movements(self) -> tuple[tuple[BarSpan, ...], ...]:
        """Its bars, movement by movement."""
        return tuple(tuple(bars) for _, bars in groupby(self.bars, lambda bar: bar.movement))

    def bar_at(self, at: int) -> BarSpan:
        """The bar in which a grain lies (the last one after the end)."""
        return self.bars[max(0, bisect_right(self.bars, at, key=lambda bar: bar.start) - 1)]

    def of(self, part: str) -> PartStream:
        """The stream of a part's id. Raises KeyError if there is none."""
        for stream in self.streams:
            if stream.part == part:
                return stream
        raise KeyError(part)


# Stretches of a part's own bars under one meter, and how long a written quarter lasts there.


class MeterRun(Struct, frozen=True):
    """Successive own bars of one part in one meter and movement."""

    meter: Meter
    bars: tuple[BarSpan, ...]
    full: int
    """Grains of a full bar."""

    @property
    def start(self) -> int:
        """Grain of the first barline."""
        return self.bars[0].start

    @property
    def end(self) -> int:
        """Grain of the last barline."""
        return self.bars[-1].end

    @property
    def origin(self) -> int:
        """Grain of a full bar's barline, from which beats and bars are counted."""
        return self.bars[0].start - self.bars[0].lead

    @property
    def quarter(self) -> Fraction:
        """Grains of a written quarter."""
        return self.full / self.meter.length


# Beats counted along a part's own bars, whatever the others count.


def beats_between(stream: PartStream, first: int, last: int) -> Fraction:
    """Felt beats of the part from one grain to another; unmeasured bars have none."""
    return sum(
        (
            _reached(meter, bar, min(last, bar.end)) - _reached(meter, bar, max(first, bar.start))
            for bar, meter in bars_between(stream, first, last)
            if meter
        ),
        Fraction(0),
    )


def bars_between(
    stream: PartStream, first: int, last: int
) -> Iterator[tuple[BarSpan, Meter | None]]:
    """The part's own bars that lie, wholly or not, between two grains, with their meters."""
    at = max(0, bisect_right(stream.own_bars, first, key=lambda bar: bar.start) - 1)
    while at < len(stream.own_bars) and stream.own_bars[at].start < last:
        yield stream.own_bars[at], stream.own_meters[at]
        at += 1


def place_in_bar(stream: PartStream, at: int) -> tuple[int, Fraction] | None:
    """The part's own bar (as ordinal) and the beat in it, 1 on the barline; None outside all
    bars and in unmeasured ones."""
    for bar, meter in bars_between(stream, at, at + 1):
        if meter and bar.start <= at < bar.end:
            return bar.number, _reached(meter, bar, at) + 1
    return None


def _reached(meter: Meter, bar: BarSpan, at: int) -> Fraction:
    """Beats from where the full bar would begin up to a grain in it."""
    quarters = (at - bar.start + bar.lead) * meter.length / bar.full
    bars, quarters = divmod(quarters, meter.length)
    beats = Fraction(bars * len(meter.beats))
    for beat in meter.beats:
        if quarters < beat:
            return beats + quarters / beat
        quarters -= beat
        beats += 1
    return beats
