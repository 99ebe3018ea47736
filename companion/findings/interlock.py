"""Parts whose notes, none of them continuous alone, together make one even stream (hocket).

Counting one's own rests here is the mistake: what a player must hear is the stream, and
which of its notes are theirs. Plain after-beats (one part has the beat, the other what
follows) are the same thing in its tamest form and are marked as such.

What counts, all of it measured in pulses of the stream (the numbers stand below):

- the strikes of the set, taken together, are evenly spaced, and the pulse divides a beat
  and falls on every barline inside (unmeasured bars have no beat and are left out);
- no part strikes six pulses in a row, and each part is alone on a pulse at least once in
  any eight, so that a part which adds nothing is never in the set;
- the tolerance: two pulses in a row are never struck by several, nor more than one in eight;
- a stretch begins and ends with a change from one part alone to another alone, a closing
  note on a barline being where the stream arrives and no longer part of it;
- it holds at least six pulses and one bar, and everybody takes at least two turns; if most
  notes are held into the next part's (complementary rhythm rather than hocket) twice six.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, groupby, pairwise
from operator import sub
from typing import NamedTuple

from companion.rhythm.meter import Meter
from companion.score.texture import BarSpan, PartStream, Texture

LARGEST_SET = 4
"""Parts of the largest set looked for; among more than eight parts, sets of three and four
are looked for among neighbours on the page only."""

GridPlaces = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class InterlockSide:
    """What one side gives to the stream."""

    parts: tuple[str, ...]
    """Ids of the parts that have these notes; more than one if they double each other."""
    strikes: tuple[int, ...]
    value: Fraction
    """The pulse as written in this side's meter, in quarters."""


@dataclass(frozen=True, slots=True)
class PulsePattern:
    """Who has which pulses of the bar."""

    bars: tuple[int, ...]
    covered: tuple[int, int]
    """The pulses, from and up to, that belong to the stream: the whole bar but at its ends."""
    places: tuple[GridPlaces, ...]
    """For each side, its pulses counted from 0 at the barline."""


@dataclass(frozen=True, slots=True)
class Interlock:
    """A stretch in which parts make one even stream together."""

    first: int
    last: int
    start: int
    end: int
    """Grain one pulse after its last."""
    pulse: int
    sides: tuple[InterlockSide, ...]
    patterns: tuple[PulsePattern, ...]
    on_the_beat: int | None
    """Which of two sides has one note on each beat (or each second, third, fourth) and leaves
    what is between to the other: plain after-beats. None for a true interlock."""

    @property
    def parts(self) -> tuple[str, ...]:
        """Ids of everybody in it."""
        return tuple(part for side in self.sides for part in side.parts)


def interlocks(texture: Texture) -> tuple[Interlock, ...]:
    """Every maximal stretch of every minimal set of parts, in order of time."""
    found: list[Interlock] = []
    for together in _sets([stream for stream in texture.streams if stream.sounds]):
        for bars in texture.movements:
            first, last = bars[0].start, bars[-1].end
            for run in even_runs([stream.strikes_between(first, last) for stream in together]):
                found += _in_run(texture, together, run)
    return tuple(_doubled(found))


def _sets(streams: Sequence[PartStream]) -> Iterator[tuple[PartStream, ...]]:
    yield from combinations(streams, 2)
    for size in range(3, LARGEST_SET + 1):
        for chosen in combinations(range(len(streams)), size):
            if len(streams) <= 8 or chosen[-1] - chosen[0] < size + 1:
                yield tuple(streams[index] for index in chosen)


def _in_run(texture: Texture, together: Sequence[PartStream], run: EvenRun) -> Iterator[Interlock]:
    for low, high in alternating_stretches(run.struck_by, len(together)):
        arrival = run.at + (high - 1) * run.pulse
        end = high - 1 if texture.bar_at(arrival).start == arrival else high
        if is_fairly_shared(run.struck_by[low:end], len(together)):
            start = run.at + low * run.pulse
            yield from _made(texture, together, start, run.at + end * run.pulse, run.pulse)


def _made(
    texture: Texture, together: Sequence[PartStream], start: int, end: int, pulse: int
) -> Iterator[Interlock]:
    """The finding, if the stretch fills a bar and its pulse belongs to the meter."""
    first, last = texture.bar_at(start), texture.bar_at(end - 1)
    bars = texture.bars[first.number - 1 : last.number]
    if end - start < first.full:
        return
    if (start - first.start) % pulse or any((bar.start - start) % pulse for bar in bars[1:]):
        return
    # `written` has for each part the pulse in its own note values, and how many make its beat;
    # the pulse must divide the beat of at least one of them.
    meters = [stream.meters[first.number - 1] for stream in together]
    written = [_written(meter, first, pulse) for meter in meters if meter]
    if len(written) < len(together) or not any(beat.denominator == 1 for _, beat in written):
        return
    if end - start < 2 * _FEWEST_PULSES * pulse and not _is_detached(together, start, end, pulse):
        return
    sides = tuple(
        InterlockSide((stream.part,), stream.strikes_between(start, end - pulse + 1), value)
        for stream, (value, _) in zip(together, written, strict=True)
    )
    # Whoever strikes only beats leads; the other has plain after-beats.
    leading = [
        index
        for index, (side, (_, beat)) in enumerate(zip(sides, written, strict=True))
        if len(sides) == 2 and _has_the_beat(side, first, pulse, beat)
    ]
    patterns = _patterns(bars, sides, (start, end, pulse))
    on_the_beat = leading[0] if leading else None
    yield Interlock(first.number, last.number, start, end, pulse, sides, patterns, on_the_beat)


def _is_detached(together: Sequence[PartStream], start: int, end: int, pulse: int) -> bool:
    """Whether at most half of the notes before a change of part are held into the next pulse."""
    # `handed`: notes followed by another part's; `held`: those of them that last into it.
    handed = held = 0
    for stream in together:
        low, high = bisect_left(stream.strikes, start), bisect_left(stream.strikes, end)
        for note, after in pairwise([*stream.melody[low:high], None]):
            if note and note.at + pulse < end and (after is None or after.at > note.at + pulse):
                handed += 1
                held += note.end > note.at + pulse
    return 2 * held <= handed


def _written(meter: Meter, bar: BarSpan, pulse: int) -> tuple[Fraction, Fraction]:
    """The pulse in a meter's own quarters, and how many make its beat."""
    value = pulse * meter.length / bar.full
    return value, meter.beat / value


def _has_the_beat(side: InterlockSide, bar: BarSpan, pulse: int, beat: Fraction) -> bool:
    """Whether a side strikes every second, third or fourth pulse, and only on beats."""
    apart = set(map(sub, side.strikes[1:], side.strikes))
    evenly = len(apart) == 1 and apart <= {2 * pulse, 3 * pulse, 4 * pulse}
    return evenly and all((at - bar.start + bar.lead) % (pulse * beat) == 0 for at in side.strikes)


def _patterns(
    bars: Sequence[BarSpan], sides: Sequence[InterlockSide], stream: tuple[int, int, int]
) -> tuple[PulsePattern, ...]:
    start, end, pulse = stream
    # Bars with the same pulses belong together, those the stream covers only in part by
    # themselves: what is missing there says nothing about the pattern.
    of_bars: dict[tuple[tuple[int, int], tuple[GridPlaces, ...]], list[int]] = {}
    for bar in bars:
        left = bar.start - bar.lead  # a pickup's pulses count from where its bar would begin
        covered = (max(start, bar.start) - left) // pulse, (min(end, bar.end) - left) // pulse
        places = tuple(
            tuple([(at - left) // pulse for at in _within(side.strikes, bar.start, bar.end)])
            for side in sides
        )
        of_bars.setdefault((covered, places), []).append(bar.number)
    return tuple(PulsePattern(tuple(numbers), *pattern) for pattern, numbers in of_bars.items())


def _within(strikes: GridPlaces, start: int, end: int) -> GridPlaces:
    return strikes[bisect_left(strikes, start) : bisect_left(strikes, end)]


def _doubled(found: list[Interlock]) -> Iterator[Interlock]:
    """Findings whose sides have the same notes made one, in order of time."""
    found.sort(key=lambda one: (one.start, one.end, one.pulse))
    for _, same in groupby(found, key=lambda one: (one.start, one.end, one.pulse)):
        kept: dict[frozenset[GridPlaces], Interlock] = {}
        for one in same:
            notes = frozenset(side.strikes for side in one.sides)
            kept[notes] = _joined(kept[notes], one) if notes in kept else one
        yield from kept.values()


def _joined(one: Interlock, other: Interlock) -> Interlock:
    """One finding, its sides holding the parts of both."""
    theirs = {side.strikes: side.parts for side in other.sides}
    sides = tuple(
        replace(side, parts=tuple(dict.fromkeys(side.parts + theirs[side.strikes])))
        for side in one.sides
    )
    return replace(one, sides=sides)


# Evenly spaced strikes that several parts make together, and who strikes which.


CONTINUOUS = 6
"""Pulses in a row after which a part is a stream of its own."""
_LONGEST_ABSENCE = 8
"""Pulses within which every part must have one to itself."""
_FEWEST_PULSES = 6
"""Pulses of the shortest stretch."""

GridStrikes = Sequence[Sequence[int]]
"""For each part of a set, the grains of its strikes in order."""


class EvenRun(NamedTuple):
    """Strikes of a set that are equally far apart, as long as that lasts."""

    at: int
    pulse: int
    struck_by: tuple[int, ...]
    """Who strikes each pulse: bit 0 for the first part of the set, bit 1 for the second …"""


def even_runs(struck: GridStrikes) -> Iterator[EvenRun]:
    """Every run of at least `_FEWEST_PULSES` pulses to which every part gives at least two."""
    merged = sorted(set().union(*struck))
    at = 0
    for pulse, same in groupby(map(sub, merged[1:], merged)):
        count = sum(1 for _ in same)
        if count + 1 >= _FEWEST_PULSES:
            pulses = merged[at : at + count + 1]
            struck_by = _struck_by(struck, pulses)
            if struck_by:
                yield EvenRun(pulses[0], pulse, struck_by)
        at += count


def _struck_by(struck: GridStrikes, pulses: Sequence[int]) -> tuple[int, ...]:
    struck_by = dict.fromkeys(pulses, 0)
    for index, strikes in enumerate(struck):
        low, high = bisect_left(strikes, pulses[0]), bisect_right(strikes, pulses[-1])
        if high - low < 2:
            return ()
        for at in strikes[low:high]:
            struck_by[at] |= 1 << index
    return tuple(struck_by.values())


def is_struck_by_one(who: int) -> bool:
    """Whether a single part strikes the pulse."""
    return not who & (who - 1)


def alternating_stretches(struck_by: Sequence[int], size: int) -> Iterator[tuple[int, int]]:
    """Stretches (first pulse, one past the last) in which the parts really take turns.

    Cut away first: pulses of a part that strikes `CONTINUOUS` in a row, pulses between two
    sole strikes of a part more than `_LONGEST_ABSENCE` apart, and two or more joint strikes
    in a row. What is left is trimmed to the turn before the first change of part and the one
    after the last.
    """
    cut = bytearray(len(struck_by))  # 1 for each pulse that cannot be part of a stretch
    for index in range(size):
        _cut_where_uneven(struck_by, 1 << index, cut)
    for place, (a, b) in enumerate(pairwise(struck_by)):
        if not is_struck_by_one(a) and not is_struck_by_one(b):
            cut[place] = cut[place + 1] = 1
    at = 0
    for is_cut, same in groupby(cut):
        length = sum(1 for _ in same)
        if not is_cut and length >= _FEWEST_PULSES:
            yield from _from_turn_to_turn(struck_by, at, at + length)
        at += length


def _cut_where_uneven(struck_by: Sequence[int], part: int, cut: bytearray) -> None:
    places = [place for place, who in enumerate(struck_by) if who & part]
    for a, b in zip(places, places[CONTINUOUS - 1 :], strict=False):
        if b - a == CONTINUOUS - 1:
            cut[a : b + 1] = b"\1" * CONTINUOUS
    # Where the part is alone, and one pulse beyond either end: a long absence there counts too.
    sole = [place for place in places if struck_by[place] == part]
    for a, b in pairwise([-1, *sole, len(struck_by)]):
        if b - a > _LONGEST_ABSENCE:
            cut[a + 1 : b] = b"\1" * (b - a - 1)


def _from_turn_to_turn(
    struck_by: Sequence[int], first: int, last: int
) -> Iterator[tuple[int, int]]:
    handed = [
        place
        for place in range(first, last - 1)
        if struck_by[place] != struck_by[place + 1]
        and is_struck_by_one(struck_by[place])
        and is_struck_by_one(struck_by[place + 1])
    ]
    if not handed:
        return
    low, high = handed[0], handed[-1] + 1
    while low > first and struck_by[low - 1] == struck_by[low]:
        low -= 1
    while high + 1 < last and struck_by[high + 1] == struck_by[high]:
        high += 1
    yield low, high + 1


def is_fairly_shared(struck_by: Sequence[int], size: int) -> bool:
    """Whether it is long enough, at most one pulse in eight is struck by several parts, and
    everybody takes at least two turns."""
    shared = sum(1 for who in struck_by if not is_struck_by_one(who))
    turns = [who for who, _ in groupby(struck_by)]
    return (
        len(struck_by) >= _FEWEST_PULSES
        and 8 * shared <= len(struck_by)
        and all(turns.count(1 << index) >= 2 for index in range(size))
    )
