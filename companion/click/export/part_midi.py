"""A part as a standard MIDI file: what one player plays, at sounding pitch.

Positions are the part's own written quarters, so that its bars come out as bars; the
tempo events make them last as long as they do on the shared clock. Cues and grace notes
are left out, repeats are not unfolded, tied notes are one.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from itertools import accumulate

from mido import Message, MetaMessage, MidiFile, MidiTrack

from companion.click.export.conductor_track import CLOCKS, TICKS, Signature, signature, ticks
from companion.errors import RequestError
from companion.files.whole_file import MARK
from companion.part.written_pitch import parse_pitch
from companion.score.abbreviations import sounding_bar_notes
from companion.score.clock import BarPlace, Clock
from companion.score.model import TIE_STARTS, TIE_STOPS
from companion.score.tempo_map import tempo_map

_VELOCITY = 80
_C0 = 12
"""The key number of C0, where C4 is 60."""
_SLOWEST = 0xFFFFFF
"""Microseconds a quarter that three bytes can hold."""
_PERCUSSION, _UNPITCHED = 9, 37
"""Channel 10 counted from 0; side stick (General MIDI percussion map)."""
_KEYS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
"""Major keys from seven flats to seven sharps."""

MidiEvent = tuple[int, int, Message | MetaMessage]
"""Tick, rank among events of one tick, message."""


def midi_of(clock: Clock, part: int) -> bytes:
    """One part of a laid score as a MIDI file of format 1.

    Raises RequestError if a tempo is too slow for one (over 16.7 seconds a quarter).
    """
    places = clock.places[part]
    lengths = [place.length / place.pace for place in places]
    starts = list(accumulate(lengths, initial=Fraction(0)))
    file = MidiFile(type=1, ticks_per_beat=TICKS, charset="utf-8")
    end = ticks(starts[-1])
    file.tracks.append(_track(_conductor(clock, part, starts), end))
    file.tracks.append(_track(_notes(clock, part, starts), end))
    out = BytesIO()
    file.save(file=out)
    return out.getvalue()


def _track(events: Iterable[MidiEvent], end: int) -> MidiTrack:
    track = MidiTrack()
    now = 0
    for at, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=at - now))
        now = at
    track.append(MetaMessage("end_of_track", time=max(0, end - now)))
    return track


def _conductor(clock: Clock, part: int, starts: list[Fraction]) -> Iterator[MidiEvent]:
    """Title, meters, keys and tempos of the part."""
    own = clock.score.parts[part]
    yield 0, 0, MetaMessage("track_name", name=clock.score.title)
    yield 0, 0, MetaMessage("text", text=f"Meters, barlines and tempos are those of {own.name}.")
    yield 0, 0, MetaMessage("text", text=MARK)
    stated: tuple[Signature, Fraction] | None = None
    key: str | None = None
    for bar, place, start in zip(own.bars, clock.places[part], starts, strict=False):
        written = _lasting(signature(place.meter), place.length / place.pace)
        if stated is None or stated[0] != written or (start - stated[1]) % written.length:
            stated = written, start
            yield (
                ticks(start),
                1,
                MetaMessage(
                    "time_signature",
                    numerator=written.numerator,
                    denominator=written.denominator,
                    clocks_per_click=written.clocks,
                    notated_32nd_notes_per_beat=8,
                ),
            )
        if key != (key := _key(bar.fifths, own.semitones)):
            yield ticks(start), 2, MetaMessage("key_signature", key=key)
    yield from _tempos(clock, clock.places[part], starts)


def _lasting(written: Signature, length: Fraction) -> Signature:
    """The meter of a bar as long as it is: an eighth before 6/8 is a bar of 1/8.

    A meter stated again before its bar is over is legal, but music21 for one loses that bar.
    A length that no meter names keeps the written one.
    """
    for denominator in (2**power for power in range(7)):
        numerator = length * denominator / 4
        if denominator >= written.denominator and numerator.denominator == 1 <= numerator <= 255:
            clocks = min(written.clocks, max(1, int(length * CLOCKS)))
            return replace(
                written, numerator=int(numerator), denominator=denominator, clocks=clocks
            )
    return written


def _key(fifths: int, semitones: int) -> str:
    """The key as it sounds."""
    sounding = fifths
    if semitones % 12:
        sounding = (fifths + 7 * semitones + 5) % 12 - 5
    return _KEYS[min(max(sounding, -7), 7) + 7]


def _tempos(
    clock: Clock, places: tuple[BarPlace, ...], starts: list[Fraction]
) -> Iterator[MidiEvent]:
    """A tempo wherever the clock's rate or the part's own pace changes."""
    steps = tempo_map(clock).steps
    begins = [step.start for step in steps]
    rate = steps[0].rate
    micros: int | None = None
    for place, start in zip(places, starts, strict=False):
        inside = steps[bisect_left(begins, place.start) : bisect_left(begins, place.end)]
        changes = [(place.start, rate)] if not inside or inside[0].start > place.start else []
        for at, rate in [*changes, *((step.start, step.rate) for step in inside)]:
            now = round(60_000_000 * place.pace / rate)
            if now == micros:
                continue
            if not 0 < now <= _SLOWEST:
                raise RequestError(
                    f"a quarter of {now / 1_000_000:.3g} seconds does not fit into a MIDI file",
                    next="Write the part as .musicxml.",
                )
            micros = now
            quarters = start + (at - place.start) / place.pace
            yield ticks(quarters), 3, MetaMessage("set_tempo", tempo=now)


def _notes(clock: Clock, part: int, starts: list[Fraction]) -> Iterator[MidiEvent]:
    own = clock.score.parts[part]
    yield 0, 0, MetaMessage("track_name", name=own.name)
    if own.program:
        yield 0, 1, Message("program_change", channel=0, program=own.program - 1)
    for pitch, start, end in _sounding(clock, part, starts):
        channel = _PERCUSSION if pitch == "x" else 0
        key = _UNPITCHED if pitch == "x" else _key_number(pitch, own.semitones)
        on = Message("note_on", channel=channel, note=key, velocity=_VELOCITY)
        off = Message("note_off", channel=channel, note=key, velocity=0)
        yield ticks(start), 5, on
        yield max(ticks(end), ticks(start) + 1), 4, off


def _sounding(
    clock: Clock, part: int, starts: list[Fraction]
) -> list[tuple[str, Fraction, Fraction]]:
    """Pitches from start to end in the part's quarters, tied notes joined."""
    sounding: list[tuple[str, Fraction, Fraction]] = []
    open_ties: dict[tuple[str, Fraction], int] = {}
    unit = clock.score.ticks
    for bar, start in zip(clock.score.parts[part].bars, starts, strict=False):
        for note in sounding_bar_notes(bar, clock.score.ticks):
            if note.is_rest or note.is_cue or note.is_grace or not note.length:
                continue
            at = start + Fraction(note.onset, unit)
            end = at + Fraction(note.length, unit)
            before = open_ties.pop((note.pitch, at), None) if note.tie & TIE_STOPS else None
            if before is None:
                before = len(sounding)
                sounding.append((note.pitch, at, end))
            else:
                sounding[before] = (note.pitch, sounding[before][1], end)
            if note.tie & TIE_STARTS:
                open_ties[note.pitch, end] = before
    return sounding


def _key_number(pitch: str, semitones: int) -> int:
    """The key of a written pitch as it sounds; a quarter tone goes to the key below."""
    key = parse_pitch(pitch).semitones.__floor__() + semitones + _C0
    return min(max(key, 0), 127)
