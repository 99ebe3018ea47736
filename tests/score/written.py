"""Small written scores for tests, said in a line a part.

    score(V="6/8 q. q. | q. q.", C="2/4 q q | h")

A bar may begin with a meter; then come note values: w h q e s, dotted `q.`, triplet
`e3` (three in the time of two), rest `rq`. An empty bar is `-`, one full of its meter's pulses
`*`.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from companion.rhythm.meter import parse
from companion.score.model import Note, Part, PartBar, Score, TempoMark

TICKS = 2520
Tempos = Mapping[int, tuple[TempoMark, ...]]
_VALUES = {name: Fraction(4, 2**power) for power, name in enumerate("whqest")}


def score(
    tempos: Tempos | None = None,
    labels: list[str] | None = None,
    free: frozenset[str] = frozenset(),
    **parts: str,
) -> Score:
    """A score with the named parts; `tempos` by ordinal bar stand in the top part."""
    return score_of(parts, tempos, labels, free)


def score_of(
    parts: Mapping[str, str],
    tempos: Tempos | None = None,
    labels: list[str] | None = None,
    free: frozenset[str] = frozenset(),
) -> Score:
    """The same for names that are not words of the language."""
    made = tuple(
        Part(
            f"P{number}",
            name,
            _bars(text, (tempos or {}) if number == 1 else {}, labels, name in free),
        )
        for number, (name, text) in enumerate(parts.items(), 1)
    )
    return Score("A study", "", TICKS, made)


def _bars(
    text: str, tempos: Tempos, labels: list[str] | None, is_free: bool
) -> tuple[PartBar, ...]:
    meter: str | None = None
    bars: list[PartBar] = []
    for number, words in enumerate((bar.split() for bar in text.split("|")), 1):
        if "/" in words[0]:
            meter = words.pop(0)
            parse(meter)
        elif words[0] == "free":
            meter = None
            words.pop(0)
        at = Fraction(0)
        notes: list[Note] = []
        if words == ["*"] and meter is not None:
            words = []
            for pulse in pulses(meter):
                notes.append(Note(int(at * TICKS), int(pulse * TICKS), "A4"))
                at += pulse
        for word in [word for word in words if word != "-"]:
            length = value(word)
            pitch = "" if word.startswith("r") else "A4"
            notes.append(Note(int(at * TICKS), int(length * TICKS), pitch))
            at += length
        bars.append(
            PartBar(
                labels[number - 1] if labels else str(number),
                meter,
                int(at * TICKS),
                tuple(notes),
                (),
                tempos.get(number, ()),
                is_free=is_free,
            )
        )
    return tuple(bars)


def pulses(meter: str) -> list[Fraction]:
    """Quarters of each pulse of a bar: six eighths for 6/8, four for 2/4."""
    parsed = parse(meter)
    pairs = zip(parsed.beats, parsed.divisions, strict=True)
    return [length / count for length, count in pairs for _ in range(count)]


def value(word: str) -> Fraction:
    """Quarters a note value lasts: `q.` is 3/2, `e3` is 1/3."""
    bare = word.removeprefix("r")
    length = _VALUES[bare[0]]
    if bare.endswith("."):
        length *= Fraction(3, 2)
    if bare.endswith("3"):
        length *= Fraction(2, 3)
    return length
