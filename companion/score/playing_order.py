"""Repeats, endings and jumps unfolded into the order in which bars are played.

Practice follows the page, so nothing is unfolded unless it is asked for. Where it is,
the result is again a score, and every other room can lay, map and click it like any.

Common practice, no source: after a jump back (da capo, dal segno) repeats are not taken
again unless a sign says so, and of several endings the last one is played.
"""

from __future__ import annotations

import msgspec
from msgspec import Struct, field

from companion.score.model import PartBar, Score, Signs
from companion.score.movements import movements

MOST_BARS = 100_000
"""Beyond this the signs contradict each other and lead nowhere."""


class _Road(Struct):
    """The signs of a score by index of bar, and where the walk along them stands."""

    signs: list[Signs]
    marks: list[set[str]]
    first_of_movement: list[int]
    section: int = 0
    time: int = 1
    has_jumped: bool = False
    jumps_taken: set[int] = field(default_factory=set)

    def is_skipped(self, at: int) -> bool:
        """Whether the bar belongs to an ending for another time through."""
        ending = self.signs[at].ending
        if not ending:
            return False
        if self.has_jumped and not self.signs[at].after_jump:
            return self._last_time(at) not in ending
        return self.time not in ending

    def _last_time(self, at: int) -> int:
        first = last = at
        while first and self.signs[first - 1].ending:
            first -= 1
        while last + 1 < len(self.signs) and self.signs[last + 1].ending:
            last += 1
        return max(number for bar in self.signs[first : last + 1] for number in bar.ending)

    def enter(self, at: int) -> None:
        """Notice what the left barline begins."""
        leaves_ending = at > 0 and self.signs[at - 1].ending and not self.signs[at].ending
        begins = self.signs[at].repeat_starts or self.first_of_movement[at] == at
        if (begins or leaves_ending) and self.section != at:
            self.section, self.time = at, 1

    def after(self, at: int) -> int | None:
        """Where the right barline leads; None where the piece is over."""
        marks = self.marks[at]
        if self.has_jumped and "fine" in marks:
            return None
        if self.has_jumped and "tocoda" in marks:
            coda = self._find("coda", at + 1)
            if coda is not None:
                return coda
        times = self._times(at)
        if times and (not self.has_jumped or self.signs[at].after_jump):
            if self.time < times:
                self.time += 1
                return self.section
            if not self.signs[at].ending:
                self.section, self.time = at + 1, 1
        return self._jump(at) if marks & {"dacapo", "dalsegno"} else at + 1

    def _times(self, at: int) -> int:
        """How often the stretch that ends here is played; 0 where none ends."""
        sign = self.signs[at]
        if not sign.repeat_ends:
            return 0
        if not sign.ending:
            return sign.repeat_ends
        this, last = max(sign.ending), self._last_time(at)
        return max(sign.repeat_ends, this + 1) if last > this else this

    def _jump(self, at: int) -> int:
        if at in self.jumps_taken:
            return at + 1
        self.jumps_taken.add(at)
        movement = self.first_of_movement[at]
        target: int | None = movement
        if "dalsegno" in self.marks[at]:
            target = self._find("segno", movement)
        if target is None or target > at:
            return at + 1
        self.has_jumped = True
        self.section, self.time = target, 1
        return target

    def _find(self, kind: str, start: int) -> int | None:
        return next((i for i in range(start, len(self.marks)) if kind in self.marks[i]), None)


def playing_order(score: Score) -> tuple[int, ...]:
    """Ordinal positions of the bars in the order they are played.

    A sign counts whichever part carries it. Contradictory signs end the walk after
    MOST_BARS bars with the written order instead.
    """
    longest = max((part.bars for part in score.parts), key=len, default=())
    road = _road(score, longest)
    order: list[int] = []
    at = movement = 0
    while at < len(longest) and len(order) < MOST_BARS:
        if road.first_of_movement[at] != movement:
            movement = road.first_of_movement[at]
            road.has_jumped = False
        road.enter(at)
        if road.is_skipped(at):
            at += 1
            continue
        order.append(at + 1)
        following = road.after(at)
        if following is None:
            following = _next_movement(road.first_of_movement, at)
        at = following
    return tuple(order) if at >= len(longest) else tuple(range(1, len(longest) + 1))


def _road(score: Score, longest: tuple[PartBar, ...]) -> _Road:
    signs = [Signs()] * len(longest)
    marks: list[set[str]] = [set() for _ in longest]
    for part in reversed(score.parts):
        for index, bar in enumerate(part.bars):
            if bar.signs is not None:
                signs[index] = bar.signs
            marks[index].update(mark.kind for mark in bar.marks)
    firsts: list[int] = []
    numbers = movements([bar.label for bar in longest])
    for index, number in enumerate(numbers):
        opens = index == 0 or numbers[index - 1] != number
        firsts.append(index if opens else firsts[-1])
    return _Road(signs, marks, firsts)


def _next_movement(firsts: list[int], at: int) -> int:
    return next((i for i in range(at + 1, len(firsts)) if firsts[i] == i), len(firsts))


def spans(order: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
    """An order of bars as runs: (1, 2, 3, 1, 2, 4) gives (1, 3), (1, 2), (4, 4)."""
    runs: list[tuple[int, int]] = []
    for bar in order:
        if runs and runs[-1][1] == bar - 1:
            runs[-1] = (runs[-1][0], bar)
        else:
            runs.append((bar, bar))
    return tuple(runs)


def unfolded(score: Score) -> Score:
    """The score as it is played. A bar played again carries its number in brackets."""
    order = playing_order(score)
    return msgspec.structs.replace(
        score,
        parts=tuple(
            msgspec.structs.replace(part, bars=_in_order(part.bars, order)) for part in score.parts
        ),
    )


def _in_order(bars: tuple[PartBar, ...], order: tuple[int, ...]) -> tuple[PartBar, ...]:
    seen: set[int] = set()
    played: list[PartBar] = []
    for number in order:
        if number > len(bars):
            continue
        bar = bars[number - 1]
        label = f"({bar.label})" if number in seen else bar.label
        seen.add(number)
        played.append(msgspec.structs.replace(bar, label=label, signs=None))
    return tuple(played)
