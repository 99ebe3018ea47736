"""Who keeps the pulse in a conflict and who fits: read from what each part strikes.

A part is *even* if it strikes equal notes from the beginning of every span of the conflict and
nothing else. If the parts of one side only are even, they can keep the pulse. If both are, the
side can whose notes are the beats of its meter, or else the one that had its division already in
the two spans before. If neither is throughout, those who are in three quarters of the spans can,
if nobody of the other side is in half of them; otherwise the notes do not say. Common practice
in ensembles, no source; the facts are exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import partial

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.findings.heard_conflicts import Span
from companion.score.texture import PartStream, Texture

_MOST, _HALF = Fraction(3, 4), Fraction(1, 2)
_SPANS_BEFORE = 2
"""So many spans of the same division before a conflict are a rhythm that goes on."""


class Reason(StrEnum):
    """Why parts can keep the pulse."""

    EVEN = "only they are even"
    MOSTLY = "only they are even in most spans"
    BEATS = "both sides are even, and their notes are the beats"
    GOES_ON = "both sides are even, they were so before"
    BOTH = "both sides are even, so nobody in particular"
    UNCLEAR = "no part is even"


@dataclass(frozen=True, slots=True)
class Lead:
    """Who keeps the pulse."""

    reason: Reason
    parts: tuple[str, ...] = ()
    """Of one side; none if the notes do not say."""
    on_the_beat: tuple[str, ...] = ()
    """Parts on neither side that strike the beginning of every span and nothing else."""
    has_every_beat: bool = False
    """Whether the first of `parts` strikes at the beginning of every span."""


def lead_of(conflict: Conflict, spans: Sequence[Span], texture: Texture) -> Lead:
    """Who keeps the pulse in the spans of a conflict."""
    reason, parts = _who(conflict, spans, texture)
    on_the_beat = tuple(
        stream.part
        for stream in texture.streams
        if spans
        and not any(stream.part in side.parts for side in conflict.sides)
        and all(stream.strikes_between(at, at + length) == (at,) for at, length in spans)
    )
    has_every_beat = bool(parts) and meets_on_the_beat(texture, parts[0], spans) is True
    return Lead(reason, parts, on_the_beat, has_every_beat=has_every_beat)


def _who(
    conflict: Conflict, spans: Sequence[Span], texture: Texture
) -> tuple[Reason, tuple[str, ...]]:
    more, fewer = conflict.sides
    shares = [
        _even_shares(one, other, spans, texture) for one, other in ((more, fewer), (fewer, more))
    ]
    even = [tuple(part for part, share in one.items() if share == 1) for one in shares]
    if bool(even[0]) != bool(even[1]):
        return Reason.EVEN, even[0] or even[1]
    if not even[0]:
        return _mostly(shares)
    beating = [
        parts if _is_beats(conflict, side, texture) else ()
        for parts, side in zip(even, conflict.sides, strict=True)
    ]
    if bool(beating[0]) != bool(beating[1]):
        return Reason.BEATS, beating[0] or beating[1]
    before = [
        tuple(part for part in parts if _went_before(texture, part, spans[0])) for parts in even
    ]
    if bool(before[0]) != bool(before[1]):
        return Reason.GOES_ON, before[0] or before[1]
    return Reason.BOTH, ()


def meets_on_the_beat(texture: Texture, part: str, spans: Sequence[Span]) -> bool | None:
    """Whether a part strikes at the beginning of the spans: of all (True), or of none although it
    plays in each (False); None if neither."""
    strikes = [texture.of(part).strikes_between(start, start + length) for start, length in spans]
    if not all(strikes):
        return None
    first = [one[0] == start for one, (start, _) in zip(strikes, spans, strict=True)]
    return first[0] if len(set(first)) == 1 else None


def _is_beats(conflict: Conflict, side: Side, texture: Texture) -> bool:
    """Whether the strokes of a side in the bar are the beats of its meter."""
    meter = texture.of(side.parts[0]).meters[conflict.first - 1]
    is_bar = conflict.level == "bar" and meter is not None
    return is_bar and meter is not None and len(meter.beats) == side.division


def _mostly(shares: Sequence[dict[str, Fraction]]) -> tuple[Reason, tuple[str, ...]]:
    for one, other in (shares, shares[::-1]):
        parts = tuple(part for part, share in one.items() if share >= _MOST)
        if parts and all(share < _HALF for share in other.values()):
            return Reason.MOSTLY, parts
    return Reason.UNCLEAR, ()


def _even_shares(
    side: Side, other: Side, spans: Sequence[Span], texture: Texture
) -> dict[str, Fraction]:
    """In how many of the spans each part of a side, and of this side only, is even."""
    found = {}
    for part in side.parts:
        if part not in other.parts and spans:
            if _is_even_throughout(spans, texture.of(part)):
                found[part] = Fraction(1)
                continue
            struck = (texture.of(part).strikes_between(at, at + length) for at, length in spans)
            even = sum(map(partial(_is_even, side, other), struck, spans))
            found[part] = Fraction(even, len(spans))
    return found


def _is_even_throughout(spans: Sequence[Span], stream: PartStream) -> bool:
    """Whether equal notes run across all of the spans, as quarter triplets do over two beats."""
    start, end = spans[0][0], sum(spans[-1])
    struck = stream.strikes_between(start, end)
    is_one_stretch = end - start == sum(length for _, length in spans)
    return (
        is_one_stretch
        and len(struck) > len(spans)
        and len(struck) % len(spans) > 0
        and all((at - start) * len(struck) == (end - start) * n for n, at in enumerate(struck))
    )


def _is_even(side: Side, other: Side, struck: Sequence[int], span: Span) -> bool:
    """Whether equal notes that do not fit the other side fill a span; for unequal beats, the
    beats of the side."""
    start, length = span
    count = len(struck)
    if side.groups:
        return [Fraction(at - start, length) for at in struck] == list(side.cuts)
    if count < 2 or other.division % count == 0:
        return False
    return [(at - start) * count for at in struck] == [length * number for number in range(count)]


def _went_before(texture: Texture, part: str, first: Span) -> bool:
    """Whether a part has in the spans before the first what it has in the first."""
    start, length = first
    stream = texture.of(part)
    here = [at - start for at in stream.strikes_between(start, start + length)]
    return start >= _SPANS_BEFORE * length and all(
        [at - before for at in stream.strikes_between(before, before + length)] == here
        for before in (start - number * length for number in range(1, _SPANS_BEFORE + 1))
    )
