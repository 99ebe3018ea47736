"""Where parts divide the same span into numbers that do not fit each other.

Works bar by bar on plain whole ticks: each part brings its own meter, its own
number of ticks in the bar and the ticks at which its notes begin. Two things are
kept apart because a player hears them apart: a conflict *written as meter* (there
even while a side rests) and one that *sounds* under a single meter.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, combinations
from math import gcd, lcm

from msgspec import Struct

from companion.rhythm.division import (
    division_of,
    felt_division,
    fit,
    groups_pull,
    is_evenly_struck,
    meters_pull,
)
from companion.rhythm.meter import Meter
from companion.score.abbreviations import sounding_bar_notes
from companion.score.clock import Clock
from companion.score.model import Note

LARGEST_DIVISION = 16
"""Beyond this a cut is an ornament or an encoding quirk, not something a player counts."""


class BarOnsets(Struct, frozen=True):
    """One part in one bar."""

    part: str
    meter: Meter | None
    ticks: int
    onsets: tuple[int, ...]
    """Ticks at which its notes begin, in order; counted from where the full bar would begin."""


@lru_cache(maxsize=256)
def _shares(lengths: tuple[int, ...]) -> tuple[Fraction, ...]:
    """Where each of these lengths begins, as a share of their sum."""
    total = sum(lengths)
    return tuple(Fraction(at, total) for at in accumulate((0, *lengths[:-1])))


class Side(Struct, frozen=True, order=True):
    """The parts that share one division."""

    division: int
    """Into how many they divide the span (the beat, or the bar)."""
    parts: tuple[str, ...]
    groups: tuple[int, ...] = ()
    """How long each of those lasts, in pulses that both sides share, where some beats of either
    side are longer than others: (3, 2, 3) against (2, 2, 2, 2). Empty if all are equal."""

    @property
    def cuts(self) -> tuple[Fraction, ...]:
        """Where the span is cut, as shares of it, from 0."""
        return _shares(self.groups or (1,) * self.division)

    @property
    def name(self) -> str:
        """`4`, or its groups where they are unequal: `3+2+3`."""
        is_even = len(set(self.groups)) < 2
        return str(self.division) if is_even else "+".join(map(str, self.groups))


class Conflict(Struct, frozen=True):
    """A stretch of bars in which two sides pull."""

    first: int
    last: int
    ratio: tuple[int, int]
    """In lowest terms, the larger number first: (3, 2). Where beats are unequal, the beats of
    both sides as they are: (4, 3)."""
    level: str
    """`beat` or `bar`: the span both sides divide."""
    basis: str
    """`meter` as written, `rhythm` as sounding under one meter."""
    sides: tuple[Side, Side]
    """The side with more notes first."""
    beats: tuple[tuple[int, ...], ...] = ()
    """The felt beats it sits in, from 1, for each of its bars; an empty one, or nothing at
    all, means every beat. A triplet on the second beat says nothing about the first."""

    @property
    def numbers(self) -> tuple[str, str]:
        """The ratio as a player writes it: 3 and 2; 4 and 3+2+3 where beats are unequal."""
        more, fewer = self.sides
        if more.groups:
            return more.name, fewer.name
        return str(self.ratio[0]), str(self.ratio[1])

    def beats_in(self, bar: int) -> tuple[int, ...]:
        """The felt beats it sits in, in one of its bars; empty for all of them."""
        return self.beats[bar - self.first] if self.beats else ()


Pull = tuple[tuple[int, int], str, str, tuple[Side, Side]]
"""(ratio, level, basis, sides) in one bar."""
Located = tuple[Pull, tuple[int, ...]]
"""A pull and the felt beats it sits in, from 1; none for all of them."""


def conflicts(bars: Iterable[tuple[int, Sequence[BarOnsets]]]) -> tuple[Conflict, ...]:
    """Maximal stretches of unchanged conflict in (ordinal, lines) bars given in order."""
    # Pulls still going on: the bar each began in, and the beats it sits in, bar by bar.
    since: dict[Pull, tuple[int, list[tuple[int, ...]]]] = {}
    found: list[Conflict] = []
    for number, lines in bars:
        pulls = dict(pulls_in(lines))
        for pull in [pull for pull in since if pull not in pulls]:
            found.append(_stretch(pull, *since.pop(pull)))
        for pull, beats in pulls.items():
            since.setdefault(pull, (number, []))[1].append(beats)
    found += [_stretch(pull, first, beats) for pull, (first, beats) in since.items()]
    return tuple(sorted(found, key=lambda c: (c.first, c.last, c.basis, c.level, c.ratio)))


def _stretch(pull: Pull, first: int, beats: list[tuple[int, ...]]) -> Conflict:
    ratio, level, basis, sides = pull
    placed = tuple(beats) if any(beats) else ()
    return Conflict(first, first + len(beats) - 1, ratio, level, basis, sides, placed)


def pulls_in(lines: Sequence[BarOnsets]) -> list[Located]:
    """Every conflict in one bar and where it sits, those written as meter first."""
    by_meter: dict[Meter, list[BarOnsets]] = {}
    for line in lines:
        if line.meter is not None:
            by_meter.setdefault(line.meter, []).append(line)
    found: list[Located] = []
    if len(by_meter) > 1:
        found += ((pull, ()) for pull in _pulls_of_meters(by_meter))
    for meter, together in by_meter.items():
        # Notes are only compared under one meter: between two, the meters' own pull is told.
        if len(together) > 1:
            found += _pulls_of_notes(meter, together)
    return found


def _pulls_of_meters(by_meter: dict[Meter, list[BarOnsets]]) -> list[Pull]:
    # Three meters may make the same pull twice (6/8 against 2/4 and against 2/2): one pull for
    # each (level, m, n), with all parts of a side. Unequal beats are never the same, so each
    # pair of such meters is a pull by itself.
    groups: dict[tuple[str, int, int], tuple[list[str], list[str]]] = {}
    unequal: list[Pull] = []
    for a, b in combinations(by_meter, 2):
        pull = meters_pull(a, b)
        if pull is None:
            unequal += _pull_of_groups(by_meter, a, b)
            continue
        level, m, n = pull
        more, fewer = (a, b) if m > n else (b, a)
        sides = groups.setdefault((level, max(m, n), min(m, n)), ([], []))
        for side, meter in zip(sides, (more, fewer), strict=True):
            side += [line.part for line in by_meter[meter] if line.part not in side]
    order = [line.part for lines in by_meter.values() for line in lines]
    return [
        _pull(m, n, level, "meter", more, fewer, order)
        for (level, m, n), (more, fewer) in groups.items()
    ] + unequal


def _pull_of_groups(by_meter: dict[Meter, list[BarOnsets]], a: Meter, b: Meter) -> list[Pull]:
    """The pull of two meters whose beats fall differently, as at most one."""
    lengths = groups_pull(a, b)
    if lengths is None:
        return []
    one, other = (
        Side(len(groups), tuple(line.part for line in by_meter[meter]), groups)
        for meter, groups in zip((a, b), lengths, strict=True)
    )
    more, fewer = (other, one) if other.division > one.division else (one, other)
    return [((more.division, fewer.division), "bar", "meter", (more, fewer))]


def _pulls_of_notes(meter: Meter, lines: Sequence[BarOnsets]) -> list[Located]:
    sounding = [line for line in lines if line.onsets]
    if len(sounding) < 2:
        return []
    if _is_plain({division_of(line.onsets, line.ticks) for line in sounding}, len(meter.beats)):
        return []
    # Beat by beat first; spans of several beats are only looked at if no beat pulls.
    found: list[Located] = []
    at = 0
    for number, length in enumerate(meter.beats, 1):
        span = round(length * sounding[0].ticks / meter.length)
        found += ((pull, (number,)) for pull in _pulls_in_span(sounding, at, span, "beat", 1))
        at += span
    if not found and meter.is_even:
        found = _pulls_across_beats(sounding, meter)
    gathered = _gathered(found, [line.part for line in lines])
    return [(pull, () if len(beats) == len(meter.beats) else beats) for pull, beats in gathered]


def _is_plain(cuts: set[int], beats: int) -> bool:
    """Whether bars cut like this cannot pull anywhere, told without looking at their beats.

    The cuts of the bar fit each other, and those of its beats can only be halves of halves
    (or, in up to three beats, thirds), so that no beat or half bar can hide a pull.
    """
    if beats > 4 or not all(fit(a, b) for a, b in combinations(cuts, 2)):
        return False
    finest = lcm(*cuts, beats) // beats  # cells to a beat on the grid all notes lie on
    return finest & (finest - 1) == 0 or (finest == 3 and beats <= 3)


def _gathered(pulls: list[Located], order: list[str]) -> list[Located]:
    """One pull a bar where its beats agree on who is on which side; apart where they do not."""
    gathered: list[Located] = []
    for (ratio, level, basis, (more, fewer)), beats in pulls:
        for index, ((other, _, _, (more_too, fewer_too)), before) in enumerate(gathered):
            m = {*more.parts, *more_too.parts}
            n = {*fewer.parts, *fewer_too.parts}
            same = (more.division, fewer.division) == (more_too.division, fewer_too.division)
            # Not joined if a part has three in one beat and two in the other, for it would stand
            # on both sides. Both hands of a piano do so truly: then only equal sides are joined.
            is_equal = (more, fewer) == (more_too, fewer_too)
            if same and other == ratio and (is_equal or not m & n):
                a, b = sorted(m, key=order.index), sorted(n, key=order.index)
                sides = (Side(more.division, tuple(a)), Side(fewer.division, tuple(b)))
                together = tuple(sorted({*before, *beats}))
                gathered[index] = ((ratio, level, basis, sides), together)
                break
        else:
            gathered.append(((ratio, level, basis, (more, fewer)), beats))
    return gathered


def _pulls_across_beats(lines: Sequence[BarOnsets], meter: Meter) -> list[Located]:
    """Equal notes laid across the beats: a triplet over half a bar, a hemiola in the bar."""
    # In four beats or six the half bars come first: a triplet over half a bar sits there and
    # not in the whole. `held` is how many felt beats such a span holds.
    beats = len(meter.beats)
    shares = [1] if beats % 2 or beats == 2 else [2, 1]
    for share in shares:
        span, held = lines[0].ticks // share, beats // share
        found = [
            (pull, tuple(range(number * held + 1, number * held + held + 1)))
            for number in range(share)
            for pull in _pulls_in_span(lines, span * number, span, "bar", held)
        ]
        if found:
            return found
    return []


def _pulls_in_span(
    lines: Sequence[BarOnsets], start: int, span: int, level: str, beats: int
) -> list[Pull]:
    """Pulls of the notes in one span that holds a whole number of felt beats."""
    # Who divides the span into how many. `foreign` are divisions of equal notes that do not fit
    # the beats of the span. Beyond one beat a pull needs such a side: a dotted rhythm
    # over several beats lies on a finer grid too, but nobody feels that grid as a division.
    divided: dict[int, list[str]] = {}
    foreign: set[int] = set()
    for line in lines:
        offsets = [onset - start for onset in line.onsets if start <= onset < start + span]
        count = felt_division(offsets, span)
        if 1 < count <= LARGEST_DIVISION:
            parts = divided.setdefault(count, [])
            if line.part not in parts:
                parts.append(line.part)
            if is_evenly_struck(offsets, span) and not fit(count, beats):
                foreign.add(count)
    order = [line.part for line in lines]
    spans = 1 if level == "beat" else lines[0].ticks // span
    return [
        _pull(a * spans, b * spans, level, "rhythm", divided[a], divided[b], order)
        for a, b in combinations(sorted(divided, reverse=True), 2)
        if not fit(a, b) and (level == "beat" or a in foreign or b in foreign)
    ]


def _pull(
    m: int, n: int, level: str, basis: str, more: list[str], fewer: list[str], order: list[str]
) -> Pull:
    common = gcd(m, n)
    sides = (
        Side(m, tuple(sorted(more, key=order.index))),
        Side(n, tuple(sorted(fewer, key=order.index))),
    )
    return (m // common, n // common), level, basis, sides


# From the laid score to the plain lines compared above.


def conflicts_of(clock: Clock) -> tuple[Conflict, ...]:
    """Every conflict of a score whose barlines coincide; none where they travel apart."""
    if not clock.barlines_coincide:
        return ()
    return conflicts(_bars(clock))


def _bars(clock: Clock) -> Iterator[tuple[int, list[BarOnsets]]]:
    meters = {place.meter for column in clock.places for place in column if place.meter}
    unit = _fine_ticks(clock.score.ticks, meters)
    full = {meter: int(meter.length * unit) for meter in meters}
    parts = clock.score.parts
    fineness = unit // clock.score.ticks
    for index in range(len(clock.bars)):
        lines: list[BarOnsets] = []
        for part, places in zip(parts, clock.places, strict=True):
            if index < len(places) and (meter := places[index].meter):
                place = places[index]
                lead = round(place.lead / place.pace * unit) if place.lead else 0
                notes = sounding_bar_notes(part.bars[index], clock.score.ticks)
                struck = _struck(notes, part.staves, lead, fineness)
                lines += [BarOnsets(part.id, meter, full[meter], onsets) for onsets in struck]
        yield index + 1, lines


def _fine_ticks(ticks: int, meters: Iterable[Meter]) -> int:
    """So many ticks to the quarter that every felt beat is a whole number of them."""
    for meter in meters:
        for beat in meter.beats:
            ticks *= (beat * ticks).denominator
    return ticks


def _struck(notes: Sequence[Note], staves: int, lead: int, fineness: int) -> list[tuple[int, ...]]:
    """When notes begin, staff by staff, so that two hands at one instrument can pull against
    each other; one empty tuple for a bar of rest."""
    struck = [note for note in notes if note.is_struck]
    used = sorted({note.staff for note in struck}) if staves > 1 else ()
    by_staff = [[note for note in struck if note.staff == staff] for staff in used] or [struck]
    return [tuple(sorted({lead + note.onset * fineness for note in notes})) for notes in by_staff]


def onsets(clock: Clock, part: int, first: Fraction, last: Fraction) -> tuple[Fraction, ...]:
    """Clock times from `first` up to but not including `last` at which a part strikes a note."""
    found: set[Fraction] = set()
    places = clock.places[part]
    if not places:
        return ()
    for index in range(clock.own_bar_at(part, first), len(places)):
        if places[index].start >= last:
            break
        bar = clock.score.parts[part].bars[index]
        for note in sounding_bar_notes(bar, clock.score.ticks):
            if note.is_struck:
                found.add(clock.onset(part, index, note))
    return tuple(sorted(onset for onset in found if first <= onset < last))
