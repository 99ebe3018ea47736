"""Rhythms of a reading exercise that go against the bar: hemiolas, and pulses beside the beat."""

from __future__ import annotations

from fractions import Fraction

from companion.errors import RequestError
from companion.exercise.sight_reading_line import RhythmBar, SeededChance, Value, held, held_bar
from companion.rhythm.meter import Meter


def hemiola_rhythm(meter: Meter, bars: int, chance: SeededChance) -> list[RhythmBar]:
    """Bars of three beats in twos across two bars, or compound ones of two beats in threes,
    between bars that keep the beat; the last bar is held, a hemiola before it.

    Raises RequestError for a meter that has none.
    """
    beat, is_across = meter.beat, len(meter.beats) == 3
    if not meter.is_even or not (is_across or (len(meter.beats) == 2 and meter.is_compound)):
        raise RequestError(
            f"a bar of {meter} has no hemiola", next="Choose 3/4, 3/2 or 9/8, or 6/8."
        )
    plain = [Value(held(length)[0], True) for length in meter.beats]
    group = _across(beat) if is_across else [_in_threes(meter)]
    made: list[RhythmBar] = []
    room = bars - 1 - len(group)
    while room > 0:
        wants = chance.one_of({"hemiola": 2.0, "plain": 1.0})
        made += group if wants == "hemiola" and room >= len(group) else [plain]
        room = bars - 1 - len(group) - len(made)
    return [*made, *group, held_bar(meter)]


def _across(beat: Fraction) -> list[RhythmBar]:
    one, two = held(beat)[0], held(2 * beat)[0]
    return [
        [Value(two, True), Value(one, True, is_tied=True)],
        [Value(one, True), Value(two, True)],
    ]


def _in_threes(meter: Meter) -> RhythmBar:
    return [Value(held(meter.length / 3)[0], place == 0) for place in range(3)]


def displaced_rhythm(meter: Meter, bars: int, chance: SeededChance) -> list[RhythmBar]:
    """Pulses half a beat late, tied over the barlines, three bars or more at a time, between
    bars that keep the beat; the last bar is held.

    Raises RequestError in compound or unequal beats, or for fewer than four bars.
    """
    if not meter.is_even or meter.is_compound or len(meter.beats) < 2:
        raise RequestError(
            f"the beats of {meter} have no even half to come late by",
            next="Choose 2/4, 3/4, 4/4 or 2/2.",
        )
    if bars < _LEAST_LATE + 1:
        raise RequestError(f"{bars} bars are too few for it", next="Choose 4 or more.")
    one, half = held(meter.beat)[0], held(meter.beat / 2)[0]
    made: list[RhythmBar] = []
    room = bars - 1
    while room:
        late = int(chance.one_of({count: 1.0 for count in range(_LEAST_LATE, _MOST_LATE + 1)}))
        if room < 2 * _LEAST_LATE + 1:
            late = min(room, _MOST_LATE)
        if room < _LEAST_LATE:
            late = 0
        made += [_late_bar(meter, one, half, number, late) for number in range(late)]
        room -= late
        if room:
            made.append([Value(one, True) for _ in meter.beats])
            room -= 1
    return [*made, held_bar(meter)]


_LEAST_LATE, _MOST_LATE = 3, 4
"""Bars in a row with pulses beside the beat."""


def _late_bar(meter: Meter, one: str, half: str, number: int, late: int) -> RhythmBar:
    begins = Value(f"r{half}", True) if not number else Value(half, True)
    between = [Value(one, False) for _ in meter.beats[1:]]
    return [begins, *between, Value(half, False, is_tied=number < late - 1)]
