"""Small textures for tests, said in a line a part.

    texture("3/4", V="h62 q+q64 h66", C="h.48 h.50")

A sound is a note value (w h q e s t, dotted `q.`, triplet `e3`, tied `q+q`), then the pitch
in semitones (60 where none is said) and `>` for an accent; `rq` is a rest. Bar signs `|` are
for the eye only, since a sound may be held over any barline. `(` begins a slur, `[` a beam.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction

from msgspec.structs import replace

from companion.findings.conflicts import Conflict
from companion.findings.heard_conflicts import HeardConflict, heard_conflicts
from companion.rhythm.meter import parse
from companion.score.texture import BEAM_BEGINS, SLUR_BEGINS, BarSpan, PartStream, Sound, Texture
from tests.score.written import value

GRAINS = 240
"""Grains of a written quarter; every sound of these tests falls on one."""
_WORD = re.compile(r"(r?)((?:[whqest][.3]?\+?)+?)(\d\d+)?(>?)([([]?)")

Played = tuple[Fraction, int | None, bool] | tuple[Fraction, int | None, bool, int]
"""How long in quarters, which pitch (None for a rest), whether accented, what group begins."""
_BEGINS = {"": 0, "(": SLUR_BEGINS, "[": BEAM_BEGINS}


def texture(meters: str, **parts: str) -> Texture:
    """`meters` is one for the whole texture, or several with their bars: `6/8 x 4, 2/4 x 2`."""
    return texture_of_notes(meters, {name: notes(text) for name, text in parts.items()})


def notes(text: str) -> list[Played]:
    """The notes of one line."""
    played: list[Played] = []
    for word in text.replace("|", " ").split():
        found = _WORD.fullmatch(word)
        assert found, word
        length = sum((value(one) for one in found[2].split("+")), Fraction(0))
        pitch = None if found[1] else int(found[3] or 60)
        played.append((length, pitch, bool(found[4]), _BEGINS[found[5]]))
    return played


def texture_of_notes(meters: str, parts: Mapping[str, Iterable[Played]]) -> Texture:
    """The same from notes made by a program; all parts share the meters."""
    sounds = {name: _sounds(played) for name, played in parts.items()}
    end = max((found[-1].end for found in sounds.values() if found), default=0)
    bars: list[BarSpan] = []
    in_force = []
    for text, count in _runs(meters):
        length = int(parse(text).length * GRAINS)
        while count is None or count:
            start = bars[-1].end if bars else 0
            if count is None and start >= end:
                break
            bars.append(BarSpan(len(bars) + 1, start, length, 0))
            in_force.append(parse(text))
            count = count - 1 if count else None
    spans, known = tuple(bars), tuple(in_force)
    streams = []
    for name, found in sounds.items():
        told = [replace(sound, bar=_bar(spans, sound.at)) for sound in found]
        streams.append(PartStream(name, tuple(told), known, spans, known))
    return Texture(tuple(streams), spans, Fraction(1, GRAINS))


def _sounds(played: Iterable[Played]) -> list[Sound]:
    at = 0
    found: list[Sound] = []
    for quarters, pitch, *signs in played:
        length = int(quarters * GRAINS)
        assert length == quarters * GRAINS
        if pitch is not None:
            found.append(Sound(at, length, pitch, 1, *signs))
        at += length
    return found


def _runs(meters: str) -> list[tuple[str, int | None]]:
    """The last run goes on to the end of the longest part."""
    runs: list[tuple[str, int | None]] = []
    for run in meters.split(","):
        text, _, count = run.partition(" x ")
        runs.append((text.strip(), int(count) if count else None))
    return runs


def _bar(bars: tuple[BarSpan, ...], at: int) -> int:
    return next((bar.number for bar in bars if bar.start <= at < bar.end), len(bars))


def heard_conflict(conflict: Conflict, music: Texture) -> HeardConflict:
    """One conflict as it sounds."""
    return next(heard_conflicts((conflict,), music))
