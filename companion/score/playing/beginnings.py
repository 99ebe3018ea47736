"""Where a repeated stretch begins that no sign opens.

Common practice, no source: it begins where the last one ended, or after the nearest double
barline with which the music begins anew (a tempo, a meter, a heading, or a Fine before it);
a double barline for a new key alone is none of these. Music that a da capo has closed off is
not gone back into.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from companion.score.playing.endings import Endings
from companion.score.playing.jumps import Jump
from companion.score.playing.road import Doubt, Road, Stone


def open_repeats(
    road: Road, groups: Mapping[int, Endings], back: Iterable[Jump], doubts: list[Doubt]
) -> None:
    """Set the missing signs on the road. Adds what had to be guessed to `doubts`."""
    left = {jump.leaves for jump in back}
    for first, after in road.movements:
        _open_in(road, groups, range(first, after), left, doubts)


def _open_in(
    road: Road,
    groups: Mapping[int, Endings],
    movement: range,
    left: set[int],
    doubts: list[Doubt],
) -> None:
    stones = road.stones
    last_ended = movement.start
    opening = movement.start
    is_open = False
    at = movement.start
    while at < movement.stop:
        group = groups.get(at)
        end = group.last if group else at
        if stones[at].starts and group is None:
            is_open = True
        if (group.times > 1) if group else stones[at].times:
            if not is_open:
                _open(road, opening, last_ended, at, doubts)
            last_ended = opening = end + 1
            is_open = group is not None and any(
                stone.starts for stone in stones[group.first : end + 1]
            )
        elif end in left:
            last_ended = opening = end + 1
            is_open = False
        elif stones[end].closes and end + 1 < movement.stop:
            if _begins_anew(stones[end], stones[end + 1]):
                opening = end + 1
        at = end + 1


def _begins_anew(before: Stone, here: Stone) -> bool:
    if "fine" in before.signs or here.section or here.has_tempo or here.meter != before.meter:
        return True
    from companion.score.tempo_headings import TEMPO_WORD  # slow to build, and seldom needed

    return any(TEMPO_WORD.search(text) for text in here.headings)


def _open(road: Road, opening: int, ended: int, at: int, doubts: list[Doubt]) -> None:
    """Open the stretch that ends in the bar `at`, the last one having ended before `ended`."""
    stones = road.stones
    begin = min(opening, at)
    stones[begin].starts = True
    crosses_meters = any(stone.meter != stones[at].meter for stone in stones[begin:at])
    if begin > ended or crosses_meters:
        doubts.append(Doubt(begin, "no sign begins the next repeat: it goes back to here"))
