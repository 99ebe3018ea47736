"""Which line a cue shows: the one a player would listen for.

The rule, in order: a line that still sounds or strikes in the last beat before the
entry; the one with more strikes, up to three, for fewer are easily missed; one in the
player's own meter; the nearest in register to what the player comes in with; the nearest
on the page.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from companion.part.cue_lines import CueLine, CueNote, cue_lines
from companion.part.note_spelling import Spelled, spell
from companion.part.player_entrances import PlayerEntrance, RestStretch, length_in_quarters
from companion.part.written_pitch import parse_pitch
from companion.score.clock import BarPlace, Clock

_ENOUGH_STRIKES = 3


@dataclass(frozen=True, slots=True)
class CueBar:
    """A cue within one bar of the player's."""

    stretch: RestStretch
    """Where it stands."""
    notes: tuple[Spelled, ...]
    """What is written; empty if the line rests throughout."""


@dataclass(frozen=True, slots=True)
class Cue:
    """A cue before one entry."""

    part: int
    """Index of the part it is taken from."""
    bars: tuple[CueBar, ...]
    """Its bars in order."""


def choose(clock: Clock, own: int, entry: PlayerEntrance) -> Iterator[Cue]:
    """Cues that could stand before an entry, the best first."""
    register = _register(clock, own, entry.pitches)
    found = list(cue_lines(clock, own, entry.stretches))
    for line in sorted(found, key=lambda line: _rank(clock, own, entry, line, register)):
        cue = _spelled(clock, own, entry, line)
        if cue is not None:
            yield cue


def _rank(
    clock: Clock, own: int, entry: PlayerEntrance, line: CueLine, register: Fraction | None
) -> tuple[bool, int, bool, int, int, int, int, str]:
    sounds = [sound for bar in line.bars for sound in bar if sound.pitches]
    strikes = sum(not sound.is_tied_back for sound in sounds)
    last = entry.stretches[-1]
    meter = clock.places[own][last.bar].meter
    beat = meter.beat if meter else Fraction(1)
    leads_in = any(sound.pitches and sound.end > last.until - beat for sound in line.bars[-1])
    away = 0
    if register is not None:
        theirs = _register(clock, line.part, tuple(p for sound in sounds for p in sound.pitches))
        away = round(abs((theirs or register) - register) / 12)
    return (
        not leads_in,
        -min(strikes, _ENOUGH_STRIKES),
        any(sound.scale != 1 for sound in sounds),
        away,
        abs(line.part - own),
        line.part,
        line.staff,
        line.voice,
    )


def _register(clock: Clock, part: int, pitches: tuple[str, ...]) -> Fraction | None:
    """The middle of some pitches as they sound, in semitones; None without any."""
    heard = [parse_pitch(name).semitones for name in pitches if name != "x"]
    if not heard:
        return None
    return sum(heard, Fraction(0)) / len(heard) + clock.score.parts[part].semitones


def _spelled(clock: Clock, own: int, entry: PlayerEntrance, line: CueLine) -> Cue | None:
    """The line written out in the player's bars; None if it cannot be, exactly."""
    bars: list[CueBar] = []
    for number, (stretch, sounds) in enumerate(zip(entry.stretches, line.bars, strict=True)):
        if not any(sound.pitches for sound in sounds):
            bars.append(CueBar(stretch, ()))
            continue
        place = clock.places[own][stretch.bar]
        trimmed = _trimmed(sounds, is_first=number == 0, is_last=number == len(entry.stretches) - 1)
        notes = spell(trimmed, stretch.until, cue_beat_starts(place), sounds[0].scale)
        if notes is None:
            return None
        bars.append(CueBar(stretch, notes))
    return Cue(line.part, tuple(bars))


def _trimmed(sounds: tuple[CueNote, ...], *, is_first: bool, is_last: bool) -> tuple[CueNote, ...]:
    """Without ties that lead out of the cue."""
    found = list(sounds)
    if is_first and found:
        found[0] = replace(found[0], is_tied_back=False)
    if is_last and found:
        found[-1] = replace(found[-1], is_tied_on=False)
    return tuple(found)


def cue_beat_starts(place: BarPlace) -> frozenset[Fraction]:
    """Quarters after the barline at which the felt beats of a bar begin, and its end."""
    length = length_in_quarters(place)
    beats = list(place.meter.beats) if place.meter else [Fraction(1)]
    at = -place.lead / place.pace
    found = {Fraction(0), length}
    index = 0
    while at < length:
        found.add(max(at, Fraction(0)))
        at += beats[index % len(beats)]
        index += 1
    return frozenset(found)
