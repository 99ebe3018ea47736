"""What the other players play in a passage, as a list of notes on the shared clock.

A player practises against colleagues, not against printed notes: ties are one note,
transposing parts sound at concert pitch, a note begun before the passage is already
held when it starts, and nobody plays on after it ends. Grace notes and cues are left
out: they have no time of their own, so whatever place they got would be a guess.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from companion.click.plan.timbres import ToneName
from companion.errors import RequestError
from companion.score.clock import Clock
from companion.score.passage import Passage
from companion.score.texture import PartStream, Sound, sounding_notes, texture_of

SHORTER = {"staccatissimo": Fraction(1, 4), "spiccato": Fraction(1, 2), "staccato": Fraction(1, 2)}
"""The share of its written length that a note with such a mark sounds (common practice, no
source); the first that is found counts."""
WITHOUT_PITCH = 45
"""Where a stroke without pitch is plucked: A2, low and short."""
_ACCENT = 1.25
"""How much stronger an accented note is."""


@dataclass(frozen=True, slots=True)
class OthersNote:
    """One note of another part."""

    into: Fraction
    """Clock time after the passage begins."""
    length: Fraction
    """Clock time it sounds."""
    pitch: int
    """Sounding pitch in semitones, middle C = 60."""
    part: int
    """Index of its part, from 0."""
    strength: float
    """1 for a plain note alone; a note of a chord less, an accented one more."""
    tone: ToneName | None
    """A tone the page asks for (plucked where it says so); None for the player's choice."""


def others_notes(passage: Passage, parts: Sequence[int]) -> tuple[OthersNote, ...]:
    """The notes of the chosen parts (indices from 0) in a passage, in order of time.

    Raises RequestError for the player's own part or one that is not there.
    """
    clock = passage.clock
    for part in parts:
        if not 0 <= part < len(clock.score.parts):
            raise RequestError(f"there is no part {part + 1}")
        if part == passage.part:
            raise RequestError(
                f"{passage.part_name} is your own part", next="Choose among the others."
            )
    return notes_of_parts(passage, parts)


def notes_of_parts(passage: Passage, parts: Sequence[int]) -> tuple[OthersNote, ...]:
    """The same of any parts, the player's own among them."""
    texture = texture_of(passage.clock)
    found = [
        note
        for part in sorted(set(parts))
        for note in _of_part(passage, part, texture.streams[part], texture.grain)
    ]
    return tuple(sorted(found, key=lambda note: (note.into, note.part, note.pitch)))


def _of_part(
    passage: Passage, part: int, stream: PartStream, grain: Fraction
) -> Iterator[OthersNote]:
    clock = passage.clock
    shorter = dict(_shortened(clock, part))
    plucked = tuple(_plucked(clock, part))
    for at, chord in groupby(stream.sounds, key=lambda sound: sound.at):
        begin = at * grain
        if begin >= passage.end:
            return
        notes = list(chord)
        for sound in notes:
            end = begin + sound.length * grain * shorter.get((begin, sound.pitch), Fraction(1))
            first, last = max(begin, passage.start), min(end, passage.end)
            if first < last:
                yield OthersNote(
                    first - passage.start,
                    last - first,
                    WITHOUT_PITCH if sound.pitch is None else sound.pitch,
                    part,
                    _strength(sound, len(notes)),
                    _tone(sound, begin, plucked),
                )


def _strength(sound: Sound, together: int) -> float:
    return (_ACCENT if sound.is_accented else 1.0) / together


def _tone(
    sound: Sound, at: Fraction, plucked: tuple[tuple[Fraction, bool], ...]
) -> ToneName | None:
    if sound.pitch is None:
        return ToneName.PLUCKED
    is_plucked = False
    for since, says_so in plucked:
        if since > at:
            break
        is_plucked = says_so
    return ToneName.PLUCKED if is_plucked else None


def _shortened(clock: Clock, part: int) -> Iterator[tuple[tuple[Fraction, int | None], Fraction]]:
    """((clock time, sounding pitch), share) of every note the page shortens."""
    written = clock.score.parts[part]
    for number, bar in enumerate(written.bars):
        for note in bar.notes:
            share = next((SHORTER[mark] for mark in SHORTER if mark in note.marks), None)
            if share is not None and not note.is_rest:
                at = clock.onset(part, number, note)
                yield (at, sounding_notes(note.pitch, written.semitones)), share


def _plucked(clock: Clock, part: int) -> Iterator[tuple[Fraction, bool]]:
    """(clock time, whether notes are plucked from there on), in order."""
    ticks = clock.score.ticks
    for place, bar in zip(clock.places[part], clock.score.parts[part].bars, strict=True):
        for mark in bar.marks:
            if mark.kind == "pluck":
                at = place.start + Fraction(mark.onset, ticks) * place.pace
                yield at, mark.text == "pizz"
