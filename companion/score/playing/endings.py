"""First and second endings, gathered and mended.

Files say less than a page shows: a bracket left open to the right stops a bar after it
began, the first of two has no number or the second's, or is not drawn at all. What a
player would take for granted is taken here, and told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from companion.score.playing.signs import JUMPS_BACK, BarSigns, GuessedSign, PlayingSigns


class Ending(Struct, frozen=True):
    """Bars under one bracket, played certain times through only."""

    first: int
    last: int
    numbers: tuple[int, ...]
    """The times through it is for, from 1."""


class Endings(Struct, frozen=True):
    """Brackets side by side: the ways one repeated stretch may end."""

    ways: tuple[Ending, ...]
    """In order of the page."""
    times: int
    """How often the stretch is played; 1 if nothing leads back."""
    after_jump: bool = False
    """Whether all of them are also taken after a jump back."""

    @property
    def first(self) -> int:
        """Index of the first bar under a bracket."""
        return self.ways[0].first

    @property
    def last(self) -> int:
        """Index of the last bar under a bracket."""
        return self.ways[-1].last

    def way(self, time: int) -> Ending | None:
        """The ending of one time through; None if no bracket is for it."""
        return next((way for way in self.ways if time in way.numbers), None)


def endings(marked: PlayingSigns, guesses: list[GuessedSign]) -> dict[int, Endings]:
    """All endings by the index of their first bar. Adds what had to be guessed to `guesses`."""
    found: dict[int, Endings] = {}
    for first, after in marked.movements:
        brackets = list(_drawn(marked.bars, first, after))
        for group in _side_by_side(_lengthened(marked, brackets, after, guesses)):
            whole = _with_first(marked.bars, group, first, guesses)
            made = _made(marked.bars, _numbered(whole, guesses), guesses)
            found[made.first] = made
    return found


def _drawn(every_bar: Sequence[BarSigns], first: int, after: int) -> Iterator[Ending]:
    """Brackets as the file has them; one is over where the music goes back."""
    begun: int | None = None
    for at in range(first, after):
        here = every_bar[at]
        if not here.ending:
            begun = None
            continue
        begun = at if begun is None else begun
        is_over = here.times or at + 1 == after or every_bar[at + 1].ending != here.ending
        if is_over:
            yield Ending(begun, at, here.ending)
            begun = None


def _lengthened(
    marked: PlayingSigns, brackets: list[Ending], after: int, guesses: list[GuessedSign]
) -> list[Ending]:
    """A bracket that stops before the repeat sign of its stretch reaches to that sign."""
    mended: list[Ending] = []
    for index, bracket in enumerate(brackets):
        following = brackets[index + 1] if index + 1 < len(brackets) else None
        stop = following.first if following else after
        sign = _sign_after(marked.bars, bracket, stop)
        leads_on = following is not None and following.first - 1 == sign
        if sign is not None and (1 in bracket.numbers or leads_on):
            guesses.append(GuessedSign(bracket.first, "its ending lasts until the repeat sign"))
            bracket = replace(bracket, last=sign)
        mended.append(bracket)
    return mended


def _sign_after(every_bar: Sequence[BarSigns], bracket: Ending, stop: int) -> int | None:
    """The repeat sign that a bracket stops short of."""
    if every_bar[bracket.last].times or every_bar[bracket.last].signs & JUMPS_BACK:
        return None
    for at in range(bracket.last + 1, stop):
        here = every_bar[at]
        if here.starts:
            return None
        if here.times:
            return at
        if here.closes or here.signs & JUMPS_BACK:
            return None
    return None


def _side_by_side(brackets: list[Ending]) -> Iterator[list[Ending]]:
    group: list[Ending] = []
    for bracket in brackets:
        starts_again = 1 in bracket.numbers and group and max(group[-1].numbers) > 1
        if group and (bracket.first != group[-1].last + 1 or starts_again):
            yield group
            group = []
        group.append(bracket)
    if group:
        yield group


def _with_first(
    every_bar: Sequence[BarSigns], group: list[Ending], start: int, guesses: list[GuessedSign]
) -> list[Ending]:
    """A second ending after a repeat sign makes the bar with that sign the first."""
    before, lowest = group[0].first - 1, min(group[0].numbers)
    if len(group) > 1 or lowest < 2 or before < start or not every_bar[before].times:
        return group
    guesses.append(GuessedSign(before, "it is the first ending, as the next bar is the second"))
    return [Ending(before, before, tuple(range(1, lowest))), *group]


def _numbered(group: list[Ending], guesses: list[GuessedSign]) -> list[Ending]:
    """Brackets that are not for the times 1, 2, 3 … once each are counted in order."""
    numbers = sorted(number for way in group for number in way.numbers)
    if numbers == list(range(1, len(numbers) + 1)):
        return group
    told = "endings are taken in order of the page" if len(group) > 1 else "ending is the first"
    guesses.append(GuessedSign(group[0].first, f"the {told}"))
    return [replace(way, numbers=(number,)) for number, way in enumerate(group, 1)]


def _made(
    every_bar: Sequence[BarSigns], group: list[Ending], guesses: list[GuessedSign]
) -> Endings:
    last = group[-1]
    lasts = [every_bar[way.last] for way in group]
    most = max(max(way.numbers) for way in group)
    after_jump = any(bar_signs.after_jump for bar_signs in lasts)
    if len(group) == 1:
        return _alone(every_bar, last, most, after_jump, guesses)
    if any(bar_signs.signs & JUMPS_BACK for bar_signs in lasts[:-1]):
        return Endings(tuple(group), 1, after_jump)
    for way, bar_signs in zip(group[:-1], lasts[:-1], strict=True):
        if not bar_signs.times:
            guesses.append(
                GuessedSign(way.last, "the music goes back here, as the next ending follows")
            )
    if every_bar[last.last].times:
        guesses.append(GuessedSign(last.last, "nothing leads back from the last ending"))
    return Endings(tuple(group), most, after_jump)


def _alone(
    every_bar: Sequence[BarSigns],
    way: Ending,
    most: int,
    after_jump: bool,
    guesses: list[GuessedSign],
) -> Endings:
    """One bracket and no other: played, then left out; or only played."""
    if not every_bar[way.last].times:
        return Endings((way,), 1, after_jump)
    guesses.append(GuessedSign(way.first, "no second ending is marked: it begins after the first"))
    return Endings((way,), most + 1, after_jump)
