"""What the other parts play while the player rests, as lines a cue could show.

A line is one voice on one staff of one part, told in the *player's* quarters after the
player's own barlines: scaled exactly where the two write different meters.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from companion.part.player_entrances import RestStretch
from companion.score.clock import BarPlace, Clock
from companion.score.model import TIE_STARTS, TIE_STOPS, Note


@dataclass(frozen=True, slots=True)
class CueNote:
    """A note, chord or rest of a line."""

    at: Fraction
    """The player's quarters after the player's barline."""
    length: Fraction
    """The player's quarters it lasts."""
    pitches: tuple[str, ...] = ()
    """As written in the line's own part; empty for a rest."""
    scale: Fraction = Fraction(1)
    """The player's quarters to one of the line's."""
    shrink: Fraction = Fraction(1)
    """By how much its own tuplet shortens it: 2/3 in a triplet."""
    is_tied_on: bool = False
    """Whether it is tied to what follows."""
    is_tied_back: bool = False
    """Whether it is tied to what went before."""

    @property
    def end(self) -> Fraction:
        """Where it ends."""
        return self.at + self.length


@dataclass(frozen=True, slots=True)
class CueLine:
    """One voice of another part over the stretches before an entry."""

    part: int
    """Index of the part."""
    staff: int
    """Its staff, from 1."""
    voice: str
    """The source's name of the voice."""
    bars: tuple[tuple[CueNote, ...], ...]
    """For each stretch what sounds in it, gaps left as gaps."""


def cue_lines(clock: Clock, own: int, stretches: tuple[RestStretch, ...]) -> Iterator[CueLine]:
    """Every line of every other part that plays at least one pitched note in the stretches."""
    for part in range(len(clock.score.parts)):
        if part == own:
            continue
        per_stretch = [_voices(clock, own, part, stretch) for stretch in stretches]
        for staff, voice in sorted({key for voices in per_stretch for key in voices}):
            bars = tuple(tuple(voices.get((staff, voice), ())) for voices in per_stretch)
            pitched = [sound for bar in bars for sound in bar if sound.pitches]
            if pitched and not any("x" in sound.pitches for sound in pitched):
                yield CueLine(part, staff, voice, bars)


def _voices(
    clock: Clock, own: int, part: int, stretch: RestStretch
) -> dict[tuple[int, str], list[CueNote]]:
    """The sounds of every voice of a part within one stretch."""
    home = clock.places[own][stretch.bar]
    voices: dict[tuple[int, str], list[CueNote]] = {}
    for index in _overlapping(clock, own, part, stretch):
        place = clock.places[part][index]
        for note in clock.score.parts[part].bars[index].notes:
            if note.is_grace or note.is_cue or note.fills_bar or not note.length:
                continue
            sounds = voices.setdefault((note.staff, note.voice), [])
            if note.in_chord and sounds:
                sounds[-1] = replace(sounds[-1], pitches=(*sounds[-1].pitches, note.pitch))
            else:
                sounds.append(_sound(note, clock.score.ticks, place, home))
    return {
        key: [cut for sound in sounds if (cut := _cut(sound, stretch.until)) is not None]
        for key, sounds in voices.items()
    }


def _overlapping(clock: Clock, own: int, part: int, stretch: RestStretch) -> Iterator[int]:
    places = clock.places[part]
    if clock.barlines_coincide:
        if stretch.bar < len(places):
            yield stretch.bar
        return
    home = clock.places[own][stretch.bar]
    end = home.start + stretch.until * home.pace
    for index in range(clock.own_bar_at(part, home.start), len(places)):
        if places[index].start >= end:
            return
        yield index


def _sound(note: Note, ticks: int, place: BarPlace, home: BarPlace) -> CueNote:
    scale = place.pace / home.pace
    start = (place.start - home.start) / home.pace
    actual, normal = note.tuplet or (1, 1)
    return CueNote(
        start + Fraction(note.onset, ticks) * scale,
        Fraction(note.length, ticks) * scale,
        () if note.is_rest else (note.pitch,),
        scale,
        Fraction(normal, actual),
        bool(note.tie & TIE_STARTS),
        bool(note.tie & TIE_STOPS),
    )


def _cut(sound: CueNote, until: Fraction) -> CueNote | None:
    """As much of it as lies between the barline and the end of the stretch."""
    start, end = max(sound.at, Fraction(0)), min(sound.end, until)
    if end <= start:
        return None
    return replace(
        sound,
        at=start,
        length=end - start,
        is_tied_back=sound.is_tied_back or start > sound.at,
        is_tied_on=(sound.is_tied_on and end == sound.end) or end < sound.end,
    )
