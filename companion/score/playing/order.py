"""Repeats, endings and jumps unfolded into the order in which bars are played.

Practice follows the page, so nothing is unfolded unless it is asked for. Where it is,
the result is again a score, and every other room can lay, map and click it like any.
"""

from __future__ import annotations

from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

from companion.score.clock import Assumption
from companion.score.model import Part, PartBar, Score
from companion.score.playing.beginnings import open_repeats
from companion.score.playing.endings import Endings, endings
from companion.score.playing.jumps import Jump, jumps
from companion.score.playing.repeats import played_out
from companion.score.playing.road import SIGNS, Doubt, Road, road_of

MOST_BARS = 100_000
"""Beyond this the signs contradict each other and lead nowhere."""


class PlayingOrder(Struct, frozen=True):
    """Bars in the order they are played."""

    bars: tuple[int, ...]
    """Ordinal positions of the page."""
    assumptions: tuple[Assumption, ...] = ()
    """What the signs leave open, by ordinal positions of the page."""

    def in_it(self) -> tuple[Assumption, ...]:
        """The assumptions by position in the order instead, where the bar is first played;
        those about bars that are never played are about the whole."""
        first: dict[int, int] = {}
        for position, bar in enumerate(self.bars, 1):
            first.setdefault(bar, position)
        return tuple(replace(told, bar=first.get(told.bar, 0)) for told in self.assumptions)


def playing_order(score: Score) -> PlayingOrder:
    """The order in which the bars are played.

    A sign counts whichever part carries it. Signs that would make more than MOST_BARS bars
    are left out, and the written order is given instead.
    """
    road = road_of(score)
    count = len(road.stones)
    if not any(_leads_somewhere(road, at) for at in range(count)):
        return PlayingOrder(tuple(range(1, count + 1)))
    doubts: list[Doubt] = []
    groups = endings(road, doubts)
    back = jumps(road, doubts)
    open_repeats(road, groups, back, doubts)
    order = _walked(road, groups, back)
    if order is None:
        doubts = [Doubt(0, "the repeats lead nowhere, so each bar is played once")]
        order = list(range(count))
    doubts.extend(_missed(order, count))
    told = sorted(doubts, key=lambda doubt: doubt.bar)
    return PlayingOrder(
        tuple(at + 1 for at in order),
        tuple(Assumption(it.bar + 1, "playing order", it.sentence, "custom") for it in told),
    )


def _leads_somewhere(road: Road, at: int) -> bool:
    stone = road.stones[at]
    return bool(stone.times or stone.ending or stone.signs)


def _walked(road: Road, groups: dict[int, Endings], back: list[Jump]) -> list[int] | None:
    """The indices of bars as played; None where there are more than anyone could play."""
    order: list[int] = []
    for first, after in road.movements:
        plain = list(islice(played_out(road, groups, first, after), MOST_BARS + 1))
        lasts = {bar: position for position, bar in enumerate(plain)}
        done = 0
        for jump in back:
            leaves = lasts.get(jump.leaves, -1)
            if not first <= jump.leaves < after or leaves < done:
                continue
            order += plain[done : leaves + 1]
            order += _again(road, groups, jump)
            done = leaves + 1
            if jump.coda is not None and jump.coda in lasts:
                done = plain.index(jump.coda, done)
            if len(order) > MOST_BARS:
                return None
        order += plain[done:]
    return order if len(order) <= MOST_BARS else None


def _again(road: Road, groups: dict[int, Endings], jump: Jump) -> list[int]:
    """What a jump back has played again."""
    bars = list(played_out(road, groups, jump.back, jump.leaves + 1, has_jumped=True))
    if jump.ends in bars:
        return bars[: len(bars) - bars[::-1].index(jump.ends)]
    return [bar for bar in bars if bar <= jump.leaves]


def _missed(order: list[int], count: int) -> list[Doubt]:
    """Stretches that the order never reaches."""
    played = set(order)
    left = [at for at in range(count) if at not in played]
    begins = [at for at in left if at == 0 or at - 1 in played]
    return [Doubt(at, "no sign leads to here, so it is not played") for at in begins]


def spans(order: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
    """An order of bars as runs: (1, 2, 3, 1, 2, 4) gives (1, 3), (1, 2), (4, 4)."""
    runs: list[tuple[int, int]] = []
    for bar in order:
        if runs and runs[-1][1] == bar - 1:
            runs[-1] = (runs[-1][0], bar)
        else:
            runs.append((bar, bar))
    return tuple(runs)


def unfolded(score: Score, order: PlayingOrder) -> Score:
    """The score as it is played. A bar played again carries its number in brackets."""
    parts = tuple(replace(part, bars=_in_order(part, order.bars)) for part in score.parts)
    return replace(score, parts=parts)


def _in_order(part: Part, order: tuple[int, ...]) -> tuple[PartBar, ...]:
    """Without the signs, which have been followed."""
    seen: set[int] = set()
    played: list[PartBar] = []
    for number in order:
        if number > len(part.bars):
            continue
        bar = part.bars[number - 1]
        label = f"({bar.label})" if number in seen else bar.label
        seen.add(number)
        marks = tuple(mark for mark in bar.marks if mark.kind not in SIGNS)
        played.append(replace(bar, label=label, signs=None, marks=marks))
    return tuple(played)
