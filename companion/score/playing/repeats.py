"""Repeated stretches played out, between two bars of one movement.

Common practice, no source: a repeat without a beginning goes back to the end of the last
repeated stretch; after a jump back repeats are not taken again unless a sign says so, and
of several endings the last one is played.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from companion.score.playing.endings import Ending, Endings
from companion.score.playing.road import Road


def played_out(
    road: Road, endings: Mapping[int, Endings], first: int, after: int, *, has_jumped: bool = False
) -> Iterator[int]:
    """Indices of bars from `first` to before `after` in the order they are played."""
    at = back = first
    while at < after:
        here = road.stones[at]
        if here.starts:
            back = at
        group = endings.get(at)
        if group is not None:
            is_short = has_jumped and not group.after_jump
            yield from _ended_differently(group, back, at, is_short=is_short)
            at = group.last + 1
            back = _begun_within(road, group.ways[-1]) or at
            continue
        yield at
        at += 1
        if here.times:
            again = 1 if has_jumped and not here.after_jump else here.times
            for _ in range(1, again):
                yield from range(back, at)
            back = at


def _ended_differently(group: Endings, back: int, at: int, *, is_short: bool) -> Iterator[int]:
    """Every way the stretch ends, with the stretch between; its body was played once."""
    if is_short and group.times > 1:
        yield from _bars(group.way(group.times))
        return
    if group.times == 1:
        yield from _bars(group.ways[-1]) if is_short else range(group.first, group.last + 1)
        return
    for time in range(1, group.times + 1):
        if time > 1:
            yield from range(back, at)
        yield from _bars(group.way(time))


def _bars(way: Ending | None) -> range:
    return range(way.first, way.last + 1) if way else range(0)


def _begun_within(road: Road, way: Ending) -> int | None:
    """Where a new stretch begins under the bracket: its repeat goes back to there."""
    found = (at for at in range(way.first, way.last + 1) if road.stones[at].starts)
    return next(found, None)
