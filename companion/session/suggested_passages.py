"""Which passages of a part there are to practise, before the player has chosen any.

A part is cut where something changes for its player: at rehearsal marks, a new meter or a new
movement, where a conflict begins or is over. What is longer than four bars is cut further, as
evenly as it goes. Bars in which the part rests are left out at the ends of a passage. One bar
alone takes its neighbours along.

Which of them is hard for the player is told by what is found in their bars: a conflict as
`findings.hardness` has it, anything else that pulls against the meter as `PERIODS` says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

from companion.findings.periods import OneClock, periods_of
from companion.practice.attempt import Bars
from companion.score.bar_numbers import rehearsal_marks, span_name
from companion.score.passage import Passage, passage
from companion.score.tempo_map import printed_rates
from companion.score.texture import texture_of
from companion.session.open_score import OpenScore

_LONGEST = 4
"""Bars of a passage, as long as one can keep at a stretch (common practice, no source)."""


def suggested_passages(open_score: OpenScore, part: int) -> list[Passage]:
    """The passages of a part, from its first bar to its last, none twice."""
    pickups = _pickups(open_score, part)
    ends = {len(open_score.clock.bars) + 1}
    cuts = sorted({1, *_seams(open_score, part), *(pickup + 1 for pickup in pickups)} | ends)
    found: list[tuple[int, int]] = []
    for begin, end in zip(cuts, cuts[1:], strict=False):
        if begin in pickups and end == begin + 1:
            continue
        for piece, last in _pieces(begin, end - 1):
            # Nobody practises an upbeat alone: it goes with the bar it leads into.
            first = piece - 1 if piece - 1 in pickups else piece
            played = [bar for bar in range(first, last + 1) if plays(open_score, part, bar)]
            if played:
                found.append(_with_approach(open_score, part, played[0], played[-1]))
    return [passage(open_score.clock, part, *span) for span in dict.fromkeys(found)]


def _with_approach(open_score: OpenScore, part: int, first: int, last: int) -> tuple[int, int]:
    """One bar alone with the one before it and the one after, as one would practise it, if the
    part plays there and they belong to the same movement."""
    if first != last:
        return first, last
    bars = open_score.clock.bars
    near = [
        bar
        for bar in (first - 1, last + 1)
        if 1 <= bar <= len(bars)
        and bars[bar - 1].movement == bars[first - 1].movement
        and plays(open_score, part, bar)
    ]
    return min((first, *near)), max((last, *near))


def bars_of_passage(open_score: OpenScore, chosen: Passage) -> Bars:
    """A passage as the log knows it."""
    return Bars(open_score.digest, chosen.part_id, chosen.first, chosen.last)


def label_of(chosen: Passage) -> str:
    """The bars of a passage as printed."""
    return span_name(chosen.clock, chosen.first, chosen.last)


PERIODS = {"hemiola": 40, "grouping": 35, "displacement": 45}
"""How hard a period of the player's own part is, beside conflicts of 0 to 100: a convention."""
_OF_OTHERS = 2
"""If others pull while the player keeps the meter it is this much less."""


def hard_bars(open_score: OpenScore, part: int) -> dict[int, int]:
    """For each bar in which something pulls against the part, how hard that is, 0 to 100.

    Kept for the score asked for last.
    """
    return _hard_bars(OneClock(open_score.clock, open_score.conflicts), part)


def hardest(hard: Mapping[int, int], first: int, last: int) -> int:
    """How hard the hardest of some bars is; 0 if nothing is found in them."""
    return max((hard.get(bar, 0) for bar in range(first, last + 1)), default=0)


@lru_cache(maxsize=2)
def _hard_bars(one: OneClock, part: int) -> dict[int, int]:
    from companion.findings.hardness import hardness, span_of
    from companion.findings.heard_conflicts import heard_conflicts

    clock, me = one.clock, one.clock.score.parts[part].id
    found: dict[int, int] = {}
    mine = [each for each in one.conflicts if any(me in side.parts for side in each.sides)]
    mine = [each for each in mine if not each.is_notated]
    texture, rates = texture_of(clock), printed_rates(clock)
    for conflict, heard in zip(mine, heard_conflicts(mine, texture), strict=True):
        bar = clock.bars[conflict.first - 1]
        rate = rates.at(bar.start)
        span = span_of(clock, conflict)
        score = hardness(conflict, heard, me, span * 60 / rate if rate else None).score
        _note(found, conflict.first, conflict.last, score)
    for period in periods_of(clock, one.conflicts):
        score = PERIODS[period.kind]
        if period.is_of(me):
            _note(found, period.first, period.last, score)
        elif me in period.against:
            _note(found, period.first, period.last, score // _OF_OTHERS)
    return found


def _note(found: dict[int, int], first: int, last: int, score: int) -> None:
    for bar in range(first, last + 1):
        found[bar] = max(score, found.get(bar, 0))


def _seams(open_score: OpenScore, part: int) -> Iterator[int]:
    """Bars at which something begins."""
    yield from rehearsal_marks(open_score.clock)
    name = open_score.score.parts[part].id
    for conflict in open_score.conflicts:
        if any(name in side.parts for side in conflict.sides):
            yield from (conflict.first, conflict.last + 1)
    before = None
    for bar in open_score.clock.bars:
        here = open_score.clock.meter_at(part, bar), bar.movement
        if here != before:
            yield bar.number
        before = here


def _pickups(open_score: OpenScore, part: int) -> set[int]:
    """Bars that are pickups and lead into another."""
    places = open_score.clock.places[part] if open_score.clock.barlines_coincide else ()
    return {number for number, place in enumerate(places[:-1], 1) if place.lead}


def _pieces(first: int, last: int) -> Iterator[tuple[int, int]]:
    """A stretch of bars in as few pieces as there can be, the longer ones in front."""
    count = -(-(last - first + 1) // _LONGEST)
    each, more = divmod(last - first + 1, count)
    for number in range(count):
        length = each + (number < more)
        yield first, first + length - 1
        first += length


def plays(open_score: OpenScore, part: int, number: int) -> bool:
    """Whether the part strikes a note in its bar at the start of a bar of the score."""
    places = open_score.clock.places[part]
    if not places or (open_score.clock.barlines_coincide and number > len(places)):
        return False
    own = open_score.clock.own_bar_at(part, open_score.clock.bars[number - 1].start)
    return any(note.is_struck for note in open_score.score.parts[part].bars[own].notes)
