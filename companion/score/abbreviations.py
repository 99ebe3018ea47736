"""Slashes and tremolos written out: the notes that sound where the page abbreviates them.

One or two slashes abbreviate repeated notes that are measured; three beams in all, the
flags of the note counted, make an unmeasured tremolo, one shimmering sound (common practice,
no source). Between two notes the same holds: one or two beams alternate the notes in time,
three shimmer for the length of both. The page keeps its abbreviations; only what sounds is
written out here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec.structs import replace

from companion.score.model import Note, PartBar

_MOST_BEAMS = 2
"""Beams, flags counted, up to which the strokes are measured."""
_SIGN = "tremolo"
_BETWEEN = "tremolo-start-"
_ENDS = "tremolo-stop-"


def sounding_bar_notes(bar: PartBar, ticks: int) -> tuple[Note, ...]:
    """The notes of a bar as they sound, `ticks` to the quarter; the written ones where nothing
    is abbreviated."""
    return written_out(bar.notes, ticks) if bar.is_abbreviated else bar.notes


def written_out(notes: Sequence[Note], ticks: int) -> tuple[Note, ...]:
    """Notes with every slash and tremolo written out, in order of onset."""
    found: list[Note] = []
    begun: dict[str, list[Note]] = {}
    for chord in _chords(notes):
        sign = _sign(chord)
        voice = chord[0].voice
        if sign.startswith(_BETWEEN):
            begun[voice] = chord
        elif sign.startswith(_ENDS) and voice in begun:
            found += _between(begun.pop(voice), chord, sign, ticks)
        elif sign:
            found += _repeated(chord, sign, ticks)
        else:
            found += chord
    for chord in begun.values():
        found += chord
    return tuple(sorted(found, key=lambda note: note.onset))


def _chords(notes: Sequence[Note]) -> Iterator[list[Note]]:
    """Each note with those that sound together with it."""
    chord: list[Note] = []
    for note in notes:
        if chord and not note.in_chord:
            yield chord
            chord = []
        chord.append(note)
    if chord:
        yield chord


def _sign(chord: Sequence[Note]) -> str:
    """The tremolo on a chord, wherever in it the file has it; empty for none."""
    signs = (mark for note in chord for mark in note.marks if mark.startswith(_SIGN))
    return "" if chord[0].is_rest or chord[0].is_grace or chord[0].is_cue else next(signs, "")


def stroke_of(note: Note, sign: str, ticks: int) -> Fraction | None:
    """Quarters that one stroke of an abbreviated note lasts; None if strokes are unmeasured.

    `sign` is its tremolo sign, such as `tremolo-2`. Flags of the note count as beams; a tuplet's
    strokes are as many to the tuplet note as to a plain one.
    """
    is_between = sign.startswith((_BETWEEN, _ENDS))
    actual, normal = (1, 1) if is_between else note.tuplet or (1, 1)
    written = Fraction(note.length * actual, ticks * normal)
    beams = _beams(sign)
    while not is_between and written < 1 and beams <= _MOST_BEAMS:
        written, beams = written * 2, beams + 1
    return Fraction(normal, actual * 2**beams) if beams <= _MOST_BEAMS else None


def _beams(sign: str) -> int:
    """Slashes of a sign; an unmeasured one, or one without a number, has three."""
    number = sign.rpartition("-")[2]
    return int(number) if number.isdecimal() and number != "0" else _MOST_BEAMS + 1


def _stroke_ticks(note: Note, sign: str, length: int, ticks: int) -> int:
    """Ticks of one stroke; 0 if strokes are unmeasured or do not fill the length."""
    stroke = stroke_of(note, sign, ticks)
    exact = stroke * ticks if stroke else Fraction(0)
    return int(exact) if length and exact.denominator == 1 and exact and not length % exact else 0


def _repeated(chord: list[Note], sign: str, ticks: int) -> Iterator[Note]:
    first = chord[0]
    stroke = _stroke_ticks(first, sign, first.length, ticks)
    if not stroke:
        yield from chord
        return
    for onset in range(first.onset, first.onset + first.length, stroke):
        for note in chord:
            is_first = onset == first.onset
            yield replace(
                note,
                onset=onset,
                length=stroke,
                tie=0,
                marks=note.marks if is_first else _without_slurs(note.marks),
                begins_beam=note.begins_beam and is_first,
            )


def _without_slurs(marks: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(mark for mark in marks if not mark.startswith("slur-"))


def _between(one: list[Note], other: list[Note], sign: str, ticks: int) -> Iterator[Note]:
    """Two chords in alternation from the beginning of the first to the end of the second."""
    begin, end = one[0].onset, other[0].onset + other[0].length
    stroke = _stroke_ticks(one[0], sign, end - begin, ticks)
    if not stroke:
        for note in one:
            yield replace(note, length=end - begin, tuplet=None)
        return
    for index, onset in enumerate(range(begin, end, stroke)):
        for note in (one, other)[index % 2]:
            yield replace(note, onset=onset, length=stroke, tie=0, tuplet=None, begins_beam=False)
