"""Beams for a spelled line: flagged notes of one beat hang together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from companion.score.extraction.spelling import Spelled

_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}
Beams = tuple[str, ...]


def beams(spelled: Sequence[Spelled], boundaries: frozenset[Fraction]) -> list[Beams]:
    """For each note what MusicXML's `beam` elements say, from the first level down.

    Common practice, no source: a beam never crosses a felt beat or a rest; beats shorter
    than a quarter share one.
    """
    found: list[Beams] = [()] * len(spelled)
    for group in _groups(spelled, _wide(boundaries)):
        flags = [_FLAGS[spelled[index].name] for index in group]
        for number, index in enumerate(group):
            found[index] = tuple(
                _level(flags, number, level) for level in range(1, flags[number] + 1)
            )
    return found


def _wide(boundaries: frozenset[Fraction]) -> list[Fraction]:
    """Beginnings of beats at least a quarter apart."""
    kept: list[Fraction] = []
    for place in sorted(boundaries):
        if not kept or place - kept[-1] >= 1:
            kept.append(place)
    return kept


def _groups(spelled: Sequence[Spelled], beats: list[Fraction]) -> Iterator[list[int]]:
    group: list[int] = []
    beat = -1
    for index, note in enumerate(spelled):
        its = sum(place <= note.sound.at for place in beats)
        can = note.name in _FLAGS and bool(note.sound.pitches)
        if group and (not can or its != beat):
            if len(group) > 1:
                yield group
            group = []
        if can:
            group.append(index)
            beat = its
    if len(group) > 1:
        yield group


def _level(flags: list[int], number: int, level: int) -> str:
    before = number > 0 and flags[number - 1] >= level
    after = number + 1 < len(flags) and flags[number + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if number > 0 else "forward hook"
