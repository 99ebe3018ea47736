"""Which layer strikes when: the beats of the part and the sides of its conflicts, in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from companion.click.beats import Beat, beats
from companion.click.count_in import CountIn
from companion.click.layers import Layer
from companion.click.own_bars import own_bars
from companion.click.sides import sides
from companion.rhythm.conflicts import Conflict
from companion.score.passage import Passage

Struck = tuple[Fraction, Layer, bool]
"""(clock time, layer, whether it is accented)."""

_ORDER = {layer: index for index, layer in enumerate(Layer)}


def counting(lead_in: CountIn, layers: Sequence[Layer]) -> list[Struck]:
    """The strokes of a count-in, from its own start: beats always, pulses where wanted."""
    wanted = [layer for layer in Layer if layer is Layer.BEAT or layer in layers]
    struck = _of_beats(lead_in.beats, wanted)
    return sorted((one for one in struck if one[0] < lead_in.length), key=_in_time)


def through(
    passage: Passage, conflicts: Sequence[Conflict], layers: Sequence[Layer]
) -> list[Struck]:
    """The strokes of one time through, at the score's own clock times."""
    found: list[Struck] = []
    for place in own_bars(passage):
        first, last = max(place.start, passage.start), min(place.end, passage.end)
        found += (one for one in _of_beats(beats(place), layers) if first <= one[0] < last)
    found += _of_sides(passage, conflicts, layers)
    return sorted(found, key=_in_time)


def _of_beats(counted: Iterable[Beat], layers: Sequence[Layer]) -> Iterator[Struck]:
    for beat in counted:
        if Layer.BEAT in layers:
            yield beat.at, Layer.BEAT, beat.is_first
        if Layer.DIVISION in layers:
            for at in beat.cuts(beat.division):
                yield at, Layer.DIVISION, beat.is_first and at == beat.at


def _of_sides(
    passage: Passage, conflicts: Sequence[Conflict], layers: Sequence[Layer]
) -> Iterator[Struck]:
    if not {Layer.MINE, Layer.THEIRS, Layer.RESULTANT} & set(layers):
        return
    pulling = sides(passage, conflicts)
    for layer, struck in (
        (Layer.MINE, pulling.mine),
        (Layer.THEIRS, pulling.theirs),
        (Layer.RESULTANT, pulling.resultant),
    ):
        if layer in layers:
            yield from ((at, layer, at in pulling.together) for at in struck)


def _in_time(struck: Struck) -> tuple[Fraction, int]:
    return struck[0], _ORDER[struck[1]]
