"""What a passage shows: the ratio, the hemiola, the interlock that a drill is there for."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from companion.findings.conflicts import Conflict, onsets
from companion.findings.displacement import displacements
from companion.findings.hemiola import hemiolas
from companion.findings.interlock import Interlock, interlocks
from companion.findings.polymeter import polymeters
from companion.rhythm.meter import Meter
from companion.score.passage import Passage
from companion.score.texture import texture_of

_LEAST_ENTRIES = 2
"""Entries after a beat of rest or more that make a drill one for entries."""


def has_feature(
    feature: str, passage: Passage, conflicts: Sequence[Conflict], has_silences: bool
) -> bool:
    """Whether a passage shows a feature, in the words of an exercise file."""
    if feature == "silences":
        return has_silences
    if ":" in feature:
        ratio, _, level = feature.partition(" in the ")
        mine, theirs = (int(number) for number in ratio.split(":"))
        return any(_is_ratio(one, passage, mine, theirs, level) for one in conflicts)
    return feature in _FEATURES and _FEATURES[feature](passage)


def _is_ratio(conflict: Conflict, passage: Passage, mine: int, theirs: int, level: str) -> bool:
    sides = {part: side.division for side in conflict.sides for part in side.parts}
    others = {side.division for side in conflict.sides if passage.part_id not in side.parts}
    is_even = not conflict.sides[0].groups
    here = (
        is_even
        and not conflict.is_notated
        and conflict.first <= passage.last
        and passage.first <= conflict.last
    )
    return (
        here
        and conflict.level == level
        and sides.get(passage.part_id) is not None
        and any(
            Fraction(sides[passage.part_id], other) == Fraction(mine, theirs) for other in others
        )
    )


def _has_hemiola(passage: Passage) -> bool:
    found = hemiolas(texture_of(passage.clock))
    return any(_is_here(passage, one.first, one.last, one.parts) for one in found)


def _interlocks(passage: Passage) -> list[Interlock]:
    found = interlocks(texture_of(passage.clock))
    return [one for one in found if _is_here(passage, one.first, one.last, one.parts)]


def _has_polymeter(passage: Passage) -> bool:
    found = polymeters(texture_of(passage.clock))
    return any(_is_here(passage, one.first, one.last, one.sides[0] + one.sides[1]) for one in found)


def _has_displacement(passage: Passage) -> bool:
    found = displacements(texture_of(passage.clock))
    return any(_is_here(passage, one.first, one.last, one.parts) for one in found)


def _is_here(passage: Passage, first: int, last: int, parts: Sequence[str]) -> bool:
    return passage.part_id in parts and first <= passage.last and passage.first <= last


def _has_entries(passage: Passage) -> bool:
    """Whether the part comes in again and again after a beat of silence or more."""
    struck = onsets(passage.clock, passage.part, passage.start, passage.end)
    sounding = _sounding_until(passage)
    gaps = [at - sounding[before] for before, at in zip(struck, struck[1:], strict=False)]
    first = [struck[0] - passage.start] if struck else []
    return sum(gap >= passage.beat_on_clock for gap in [*first, *gaps]) >= _LEAST_ENTRIES


def _sounding_until(passage: Passage) -> dict[Fraction, Fraction]:
    """Clock time at which what is struck at a clock time stops, ties counted in."""
    texture = texture_of(passage.clock)
    stream = texture.of(passage.part_id)
    return {sound.at * texture.grain: sound.end * texture.grain for sound in stream.sounds}


def _has_relation(relation: str) -> Callable[[Passage], bool]:
    def is_there(passage: Passage) -> bool:
        return any(
            told.what == "tempo relation"
            and told.value == relation
            and passage.first < told.bar <= passage.last
            for told in passage.clock.assumptions
        )

    return is_there


def _has_additive_meter(passage: Passage) -> bool:
    return any(meter is not None and not meter.is_even for meter in _meters(passage))


def _has_mixed_meter(passage: Passage) -> bool:
    clock = passage.clock
    return clock.barlines_coincide and any(
        len({clock.meter_at(part, bar) for part in range(len(clock.places))}) > 1
        for bar in passage.bars
    )


def _meters(passage: Passage) -> list[Meter | None]:
    return [passage.clock.meter_at(passage.part, bar) for bar in passage.bars]


_FEATURES: Mapping[str, Callable[[Passage], bool]] = {
    "hemiola": _has_hemiola,
    "displacement": _has_displacement,
    "beat = beat": _has_relation("beat = beat"),
    "note = note": _has_relation("note = note"),
    "interlock": lambda passage: any(one.on_the_beat is None for one in _interlocks(passage)),
    "after-beats": lambda passage: any(one.on_the_beat is not None for one in _interlocks(passage)),
    "entries from rests": _has_entries,
    "additive meter": _has_additive_meter,
    "mixed meter": _has_mixed_meter,
    "travelling barlines": _has_polymeter,
}
