"""A pattern on other pitches: the same text, every bar and sign in its place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from companion.errors import RequestError
from companion.exercise.pattern.notation import NOTE, PITCH
from companion.exercise.pattern.pattern import LINE_NAME
from companion.exercise.pattern.tonality import Tonality, tonality

_BY_FIFTHS = "FCGDAEB"
_OCTAVE, _FIFTH = 12, 7


@dataclass(frozen=True, slots=True)
class Interval:
    """How far notes are moved: so many fifths and octaves up, or down if negative."""

    fifths: int = 0
    """One fifth up turns D major into A major."""
    octaves: int = 0

    @property
    def semitones(self) -> int:
        """The same in semitones: a fifth up and an octave down are −5."""
        return _FIFTH * self.fifths + _OCTAVE * self.octaves


def moved(pitch: str, by: Interval) -> str:
    """A pitch moved. Raises RequestError if it would need three sharps or flats."""
    name, octave = pitch[:-1], int(pitch[-1])
    place = _BY_FIFTHS.index(name[0]) + 7 * (name.count("#") - name.count("b")) + by.fifths
    signs, letter = divmod(place, 7)
    # every fifth up is four letters up; the octave changes between B and C
    steps = "CDEFGAB".index(name[0]) + 4 * by.fifths
    octave += steps // 7 + by.octaves
    if abs(signs) > 2 or not 0 <= octave <= 9:
        raise RequestError(f"{pitch} cannot be moved so far")
    return f"{_BY_FIFTHS[letter]}{'#' * signs}{'b' * -signs}{octave}"


def key_moved(key: str, by: Interval) -> str:
    """A key by its name, moved. Raises RequestError if it would need over seven signs."""
    if not by.fifths:
        return key
    old = tonality(key or "C")
    tonic = moved(f"{old.tonic}4", Interval(by.fifths))[:-1]
    return tonality(Tonality(tonic, old.is_minor).name).name


@dataclass(frozen=True, slots=True)
class LineChange:
    """What becomes of one line."""

    pitches: Mapping[str, str]
    """Every pitch in it, and what it becomes."""
    name: str = ""
    """What the line is called; empty to leave its name."""


def rewritten(pattern: str, changes: Mapping[int, LineChange]) -> str:
    """The text of a pattern with some of its lines, from 0, changed."""
    rows: list[str] = []
    at = 0
    for row in pattern.split("\n"):
        change = changes.get(at) if row.strip() else None
        at += bool(row.strip())
        rows.append(_changed(row, change) if change else row)
    return "\n".join(rows)


def _changed(row: str, change: LineChange) -> str:
    named = LINE_NAME.match(row)
    start = named.end() if named else 0
    head = f"{change.name}:" if change.name else row[:start]

    def word(match: re.Match[str]) -> str:
        note = NOTE.fullmatch(match[0])
        if note is None or not note["pitch"]:
            return match[0]
        new = re.sub(PITCH, lambda pitch: change.pitches[pitch[0]], note["pitch"])
        first, last = note.span("pitch")
        return match[0][:first] + new + match[0][last:]

    return head + re.sub(r"[^\s|]+", word, row[start:] if named else f" {row}")
