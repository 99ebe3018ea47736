"""What the parts of one bar play against each other, on plain whole ticks.

Each part brings its own meter, its own number of ticks in the bar and the ticks at which its
notes begin. A pull is the conflict of one bar; `conflicts.py` joins bars to stretches.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, combinations
from math import gcd, lcm

from msgspec import Struct
from msgspec.structs import replace

from companion.rhythm.division import (
    compared_beats,
    division_of,
    felt_division,
    fit,
    groups_pull,
    is_evenly_struck,
    meters_pull,
)
from companion.rhythm.meter import Meter

LARGEST_DIVISION = 16
"""Beyond this a cut is an ornament or an encoding quirk, not something a player counts."""
_TRIPLET = (4, 4, 4)
_DOTTED: dict[tuple[int, ...], tuple[int, ...]] = {(3,): (9, 3), (1,): (3, 9)}
"""The fourths of a span on which a dotted rhythm strikes inside it (the first of it may be a rest
or tied), and how long its two notes last in twelfths: long-short and short-long."""


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
    """How long each of those lasts, in pulses that both sides share, if some beats of either
    side are longer than others: (3, 2, 3) against (2, 2, 2, 2). Empty if all are equal."""

    @property
    def cuts(self) -> tuple[Fraction, ...]:
        """Where the span is cut, as shares of it, from 0."""
        return _shares(self.groups or (1,) * self.division)

    @property
    def with_triplet(self) -> Side:
        """A dotted rhythm with its second note where the nearest triplet falls."""
        return replace(self, groups=tuple({9: 8, 3: 4}[length] for length in self.groups))

    @property
    def name(self) -> str:
        """`4`, or its groups if they are unequal: `3+2+3`."""
        is_even = len(set(self.groups)) < 2
        return str(self.division) if is_even else "+".join(map(str, self.groups))


Pull = tuple[tuple[int, int], str, str, tuple[Side, Side]]
"""(ratio, level, basis, sides) in one bar."""
Located = tuple[Pull, tuple[int, ...]]
"""A pull and the felt beats it sits in, from 1; none for all of them."""


def pulls_in(lines: Sequence[BarOnsets]) -> list[Located]:
    """Every conflict in one bar and where it sits, those written as meter first."""
    by_meter: dict[Meter, list[BarOnsets]] = {}
    for line in lines:
        if line.meter is not None:
            by_meter.setdefault(line.meter, []).append(line)
    found: list[Located] = []
    between = _pulls_between_meters(by_meter) if len(by_meter) > 1 else []
    for meter, together in by_meter.items():
        if len(together) > 1:
            within = _pulls_of_notes(meter, together, "rhythm")
            found += (one for one in within if not any(_covers(wider, one) for wider in between))
    return between + found


def _covers(wider: Located, one: Located) -> bool:
    """Whether a pull between meters says all that a pull under one of them says."""
    (ratio, level, basis, sides), beats = wider
    (own_ratio, own_level, _, own_sides), own_beats = one
    return (
        basis != "notated"
        and (ratio, level) == (own_ratio, own_level)
        and all(
            (side.division, side.groups) == (own.division, own.groups)
            and {*own.parts} <= {*side.parts}
            for side, own in zip(sides, own_sides, strict=True)
        )
        and (not beats or {*own_beats} <= {*beats} and bool(own_beats))
    )


def _pulls_between_meters(by_meter: dict[Meter, list[BarOnsets]]) -> list[Located]:
    """What parts in different meters play against each other; if that is nothing, what is
    written. Meters that fit, such as 4/4 and 2/2, are compared by their notes alone."""
    found: list[Located] = []
    for a, b in combinations(by_meter, 2):
        if meters_pull(a, b) is None and groups_pull(a, b) is None:
            pulls = _heard_between([*by_meter[a], *by_meter[b]], "rhythm")
            beats = compared_beats((a, b))
            if len(a.beats) != len(b.beats) and beats.is_even:
                pulls = [_in_the_bar(one, len(beats.beats)) for one in pulls]
            found += pulls
    for pull in _pulls_of_meters(by_meter):
        heard = _heard_in_beats if pull[1] == "beat" else _heard_in_bar
        ratio, level, _, sides = pull
        found += heard(by_meter, sides, ratio) or [((ratio, level, "notated", sides), ())]
    return found


def _in_the_bar(one: Located, beats: int) -> Located:
    """The same told of the bar, if parts count other beats: they have no beat in common."""
    (ratio, level, basis, (more, fewer)), where = one
    if level == "bar":
        return one
    sides = tuple(
        replace(side, division=side.division * beats, groups=side.groups * beats)
        for side in (more, fewer)
    )
    return (ratio, "bar", basis, (sides[0], sides[1])), where


def _heard_in_beats(
    by_meter: dict[Meter, list[BarOnsets]], sides: tuple[Side, Side], _: tuple[int, int]
) -> list[Located]:
    """Beats that coincide, cut by the notes of parts in different meters."""
    named = {*sides[0].parts, *sides[1].parts}
    lines = [one for each in by_meter.values() for one in each if one.part in named]
    return _heard_between(lines, "meter")


def _heard_between(lines: Sequence[BarOnsets], basis: str) -> list[Located]:
    """What notes of parts in different meters make of the beats that all of them have."""
    meter_of = {line.part: line.meter for line in lines}
    ticks = lcm(*(line.ticks for line in lines))
    common = [
        replace(line, ticks=ticks, onsets=tuple(at * ticks // line.ticks for at in line.onsets))
        for line in lines
    ]
    meter = compared_beats(meter for meter in meter_of.values() if meter)
    return [
        (pull, beats)
        for pull, beats in _pulls_of_notes(meter, common, basis)
        if len({meter_of[part] for side in pull[3] for part in side.parts}) > 1
    ]


def _heard_in_bar(
    by_meter: dict[Meter, list[BarOnsets]], sides: tuple[Side, Side], ratio: tuple[int, int]
) -> list[Located]:
    """Beats that fall at different places in the bar: heard if notes of both sides mark beats
    that the other side does not have."""
    more, fewer = (set(side.cuts) for side in sides)
    struck: dict[str, set[Fraction]] = {}
    for lines in by_meter.values():
        for line in lines:
            places = {Fraction(at, line.ticks) for at in line.onsets}
            struck.setdefault(line.part, set()).update(places)
    playing = [
        tuple(part for part in side.parts if struck[part] & own)
        for side, own in zip(sides, (more - fewer, fewer - more), strict=True)
    ]
    if not all(playing):
        return []
    heard = tuple(replace(side, parts=parts) for side, parts in zip(sides, playing, strict=True))
    return [((ratio, "bar", "meter", (heard[0], heard[1])), ())]


def _pulls_of_meters(by_meter: dict[Meter, list[BarOnsets]]) -> list[Pull]:
    # Three meters may make the same pull twice (6/8 against 2/4 and against 2/2): one pull for
    # each (level, m, n) and number of beats, with all parts of a side. Unequal beats are never
    # the same, so each pair of such meters is a pull by itself.
    groups: dict[tuple[str, int, int, int], tuple[list[str], list[str]]] = {}
    unequal: list[Pull] = []
    for a, b in combinations(by_meter, 2):
        pull = meters_pull(a, b)
        if pull is None:
            unequal += _pull_of_groups(by_meter, a, b)
            continue
        level, m, n = pull
        more, fewer = (a, b) if m > n else (b, a)
        beats = len(a.beats) if level == "beat" else 1
        sides = groups.setdefault((level, max(m, n), min(m, n), beats), ([], []))
        for side, meter in zip(sides, (more, fewer), strict=True):
            side += [line.part for line in by_meter[meter] if line.part not in side]
    order = [line.part for lines in by_meter.values() for line in lines]
    return [
        _pull(m, n, level, "meter", more, fewer, order)
        for (level, m, n, _), (more, fewer) in groups.items()
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


def _pulls_of_notes(meter: Meter, lines: Sequence[BarOnsets], basis: str) -> list[Located]:
    """What the notes of a bar make of its beats; `meter` has its beats where all the lines have."""
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
    if meter.is_even and not found:
        found = _pulls_across_beats(sounding, meter)
    elif meter.is_even and any(pull[0] == (3, 2) and pull[2] == "rhythm" for pull, _ in found):
        found = _without_quarter_triplets(found, _pulls_across_beats(sounding, meter))
    gathered = _gathered(found, [line.part for line in lines])
    return [
        (
            (ratio, level, found_as if found_as == "dotted" else basis, sides),
            () if len(beats) == len(meter.beats) else beats,
        )
        for (ratio, level, found_as, sides), beats in gathered
    ]


def _without_quarter_triplets(found: list[Located], across: list[Located]) -> list[Located]:
    """Dotted quarter and eighth beside a triplet of quarters is told over its two beats; what it
    makes of each beat alone (3:2 on the second) says the same in a worse way."""
    dotted = [one for one in across if one[0][2] == "dotted"]
    kept = [one for one in found if not any(_is_in(one, wider) for wider in dotted)]
    return dotted + kept


def _is_in(one: Located, wider: Located) -> bool:
    (_, _, _, sides), beats = one
    parts = {part for side in wider[0][3] for part in side.parts}
    return {*beats} <= {*wider[1]} and all({*side.parts} <= parts for side in sides)


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
    """One pull a bar if its beats agree on who is on which side; apart if they do not."""
    gathered: list[Located] = []
    for (ratio, level, basis, (more, fewer)), beats in pulls:
        for index, ((other, _, _, (more_too, fewer_too)), before) in enumerate(gathered):
            m = {*more.parts, *more_too.parts}
            n = {*fewer.parts, *fewer_too.parts}
            same = (more.division, fewer.division) == (more_too.division, fewer_too.division)
            same = same and more.groups == more_too.groups
            # Not joined if a part has three in one beat and two in the other, for it would stand
            # on both sides. Both hands of a piano do so truly: then only equal sides are joined;
            # so too for a dotted rhythm, whose short note is marked where it is played.
            is_equal = (more, fewer) == (more_too, fewer_too)
            if same and other == ratio and (is_equal or (basis != "dotted" and not m & n)):
                a, b = sorted(m, key=order.index), sorted(n, key=order.index)
                sides = (
                    Side(more.division, tuple(a), more.groups),
                    Side(fewer.division, tuple(b), fewer.groups),
                )
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
    pulling = [
        (a, b)
        for a, b in combinations(sorted(divided, reverse=True), 2)
        if not fit(a, b) and (level == "beat" or a in foreign or b in foreign)
    ]
    found: list[Pull] = []
    for a, b in pulling:
        dotted = _dotted(lines, start, span) if (a, b) == (4, 3) else {}
        for lengths, parts in dotted.items():
            more = Side(3 * spans, tuple(divided[3]), _TRIPLET * spans)
            fewer = Side(2 * spans, tuple(parts), lengths * spans)
            found.append(((3, 2), level, "dotted", (more, fewer)))
        if not dotted:
            m, n = a * spans, b * spans
            found.append(_pull(m, n, level, "rhythm", divided[a], divided[b], order))
    return found


def _dotted(lines: Sequence[BarOnsets], start: int, span: int) -> dict[tuple[int, ...], list[str]]:
    """Who divides a span into four by a dotted rhythm only, by the lengths of its notes; nobody
    as soon as one part plays real fours, for then these say where the short note falls."""
    found: dict[tuple[int, ...], list[str]] = {}
    for line in lines:
        inside = [onset - start for onset in line.onsets if start < onset < start + span]
        if division_of(inside, span) == 4:
            lengths = _DOTTED.get(tuple(offset * 4 // span for offset in inside))
            if lengths is None:
                return {}
            parts = found.setdefault(lengths, [])
            if line.part not in parts:
                parts.append(line.part)
    return found


def _pull(
    m: int, n: int, level: str, basis: str, more: list[str], fewer: list[str], order: list[str]
) -> Pull:
    common = gcd(m, n)
    sides = (
        Side(m, tuple(sorted(more, key=order.index))),
        Side(n, tuple(sorted(fewer, key=order.index))),
    )
    return (m // common, n // common), level, basis, sides
