"""Several parts on one grid for tests, their notes given outright or as words.

    ensemble("4/4", V=line("q60 e62 e64 rh"), C=[(0, 12, 48)])

A word is a note value (w h q e s, dotted `q.`), then the pitch in semitones; `rq` is a rest.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from companion.rhythm.meter import parse
from companion.score.texture import BarSpan, PartStream, Sound, Texture

QUARTER = 12
"""Grains of a quarter."""
EIGHTH = 6
"""Grains of an eighth."""
Given = tuple[int, int, int]
"""Grain, length in grains, pitch."""

_VALUES = {"w": 48, "h": 24, "q": 12, "e": 6, "s": 3}
_WORD = re.compile(r"(r?)([whqes])(\.?)(\d*)")


def line(text: str, start: int = 0) -> list[Given]:
    """Notes one after another; bar signs are for the eye only."""
    found: list[Given] = []
    at = start
    for word in text.replace("|", " ").split():
        read = _WORD.fullmatch(word)
        assert read, word
        length = _VALUES[read[2]] * 3 // 2 if read[3] else _VALUES[read[2]]
        if not read[1]:
            found.append((at, length, int(read[4] or 60)))
        at += length
    return found


def ensemble(meter: str, **parts: Iterable[Given]) -> Texture:
    """All parts in one meter, with as many bars as the notes need."""
    return mixed(dict.fromkeys(parts, meter), parts)


def mixed(meters: Mapping[str, str], parts: Mapping[str, Iterable[Given]]) -> Texture:
    """Each part in its own meter, the first part's bars being the score's; barlines coincide."""
    given = {name: sorted(notes) for name, notes in parts.items()}
    first = parse(next(iter(meters.values())))
    full = int(first.length * QUARTER)
    end = max((at + length for notes in given.values() for at, length, _ in notes), default=0)
    count = max(1, -(-end // full))
    spans = tuple(BarSpan(number + 1, number * full, full, 0) for number in range(count))
    streams = tuple(
        PartStream(
            name,
            tuple(
                Sound(at, length, pitch, min(at // full, count - 1) + 1, False)
                for at, length, pitch in notes
            ),
            (parse(meters[name]),) * count,
            spans,
            (parse(meters[name]),) * count,
        )
        for name, notes in given.items()
    )
    return Texture(streams, spans, Fraction(1, QUARTER))


def shifted(notes: Sequence[Given], grains: int, semitones: int = 0) -> list[Given]:
    """The same notes later, and higher."""
    return [(at + grains, length, pitch + semitones) for at, length, pitch in notes]


def bar_name(first: int, last: int) -> str:
    """Bars as a page would have them whose printed numbers are the ordinals."""
    return f"bar {first}" if first == last else f"bars {first}–{last}"
