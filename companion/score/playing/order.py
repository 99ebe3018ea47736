"""Repeats, endings and jumps unfolded into the order in which bars are played.

Practice follows the page, so nothing is unfolded unless it is asked for. If it is,
the result is again a score that can be laid, mapped and clicked like any.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

from companion.score.clock import Assumption
from companion.score.direction_words import begins_with_tempo
from companion.score.laying import counted_part, has_free_barlines
from companion.score.model import Part, PartBar, Score
from companion.score.playing.endings import Ending, Endings, endings
from companion.score.playing.jumps import Jump, jumps
from companion.score.playing.signs import SIGNS, BarSigns, GuessedSign, PlayingSigns, playing_signs

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
    are left out, and the written order is given instead; so it is where parts have barlines of
    their own, for a bar of one is no bar of another.
    """
    if has_free_barlines(score):
        return PlayingOrder(tuple(range(1, len(score.parts[counted_part(score)].bars) + 1)))
    marked = playing_signs(score)
    count = len(marked.bars)
    if not any(_leads_somewhere(marked, at) for at in range(count)):
        return PlayingOrder(tuple(range(1, count + 1)))
    guesses: list[GuessedSign] = []
    groups = endings(marked, guesses)
    back = jumps(marked, guesses)
    open_repeats(marked, groups, back, guesses)
    order = _walked(marked, groups, back)
    if order is None:
        guesses = [GuessedSign(0, "the repeats lead nowhere, so each bar is played once")]
        order = list(range(count))
    guesses.extend(_missed(order, count))
    told = sorted(guesses, key=lambda guess: guess.bar)
    return PlayingOrder(
        tuple(at + 1 for at in order),
        tuple(Assumption(it.bar + 1, "playing order", it.sentence, "custom") for it in told),
    )


def _leads_somewhere(marked: PlayingSigns, at: int) -> bool:
    bar_signs = marked.bars[at]
    return bool(bar_signs.times or bar_signs.ending or bar_signs.signs)


def _walked(marked: PlayingSigns, groups: dict[int, Endings], back: list[Jump]) -> list[int] | None:
    """The indices of bars as played; None if there are more than anyone could play."""
    order: list[int] = []
    for first, after in marked.movements:
        plain = list(islice(played_out(marked, groups, first, after), MOST_BARS + 1))
        lasts = {bar: position for position, bar in enumerate(plain)}
        done = 0
        for jump in back:
            leaves = lasts.get(jump.leaves, -1)
            if not first <= jump.leaves < after or leaves < done:
                continue
            order += plain[done : leaves + 1]
            order += _again(marked, groups, jump)
            done = leaves + 1
            if jump.coda is not None and lasts.get(jump.coda, -1) >= done:
                done = plain.index(jump.coda, done)
            if len(order) > MOST_BARS:
                return None
        order += plain[done:]
    return order if len(order) <= MOST_BARS else None


def _again(marked: PlayingSigns, groups: dict[int, Endings], jump: Jump) -> list[int]:
    """What a jump back has played again."""
    bars = list(played_out(marked, groups, jump.back, jump.leaves + 1, has_jumped=True))
    if jump.ends in bars:
        return bars[: len(bars) - bars[::-1].index(jump.ends)]
    return [bar for bar in bars if bar <= jump.leaves]


def _missed(order: list[int], count: int) -> list[GuessedSign]:
    """Stretches that the order never reaches."""
    played = set(order)
    left = [at for at in range(count) if at not in played]
    begins = [at for at in left if at == 0 or at - 1 in played]
    return [GuessedSign(at, "no sign leads to here, so it is not played") for at in begins]


def order_spans(order: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
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


# Repeated stretches played out, between two bars of one movement.


def played_out(
    marked: PlayingSigns,
    endings: Mapping[int, Endings],
    first: int,
    after: int,
    *,
    has_jumped: bool = False,
) -> Iterator[int]:
    """Indices of bars from `first` to before `after` in the order they are played."""
    at = back = first
    while at < after:
        here = marked.bars[at]
        if here.starts:
            back = at
        group = endings.get(at)
        if group is not None:
            is_short = has_jumped and not group.after_jump
            yield from _ended_differently(group, back, at, is_short=is_short)
            at = group.last + 1
            back = _begun_within(marked, group.ways[-1]) or at
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


def _begun_within(marked: PlayingSigns, way: Ending) -> int | None:
    """Where a new stretch begins under the bracket: its repeat goes back to there."""
    found = (at for at in range(way.first, way.last + 1) if marked.bars[at].starts)
    return next(found, None)


# Where a repeated stretch begins that no sign opens: at the beginning of the movement, or after
# the last repeat that was closed. A new section after a double barline begins one of its own, and
# so does what follows a To Coda that a jump obeys: the first part ends where it is left.


_FEWEST_REPEATED = 4
"""Fewer bars than this before the sign are no section without a Fine or a heading."""


def open_repeats(
    marked: PlayingSigns,
    groups: Mapping[int, Endings],
    back: Iterable[Jump],
    guesses: list[GuessedSign],
) -> None:
    """Set the missing signs. Adds what had to be guessed to `guesses`."""
    left = {jump.leaves for jump in back}
    to_coda = {jump.ends for jump in back if jump.coda is not None and jump.ends is not None}
    for first, after in marked.movements:
        _open_in(marked, groups, range(first, after), left, to_coda, guesses)


def _open_in(
    marked: PlayingSigns,
    groups: Mapping[int, Endings],
    movement: range,
    left: set[int],
    to_coda: set[int],
    guesses: list[GuessedSign],
) -> None:
    """`left` and `to_coda` are the bars after which a jump goes back, and goes to the coda."""
    every_bar = marked.bars
    last_ended = movement.start
    opening = movement.start
    is_open = False
    at = movement.start
    while at < movement.stop:
        group = groups.get(at)
        end = group.last if group else at
        if every_bar[at].starts and group is None:
            is_open = True
        if (group.times > 1) if group else every_bar[at].times:
            if not is_open:
                _open(marked, opening, last_ended, at, guesses)
            last_ended = opening = end + 1
            is_open = group is not None and any(
                bar_signs.starts for bar_signs in every_bar[group.first : end + 1]
            )
        elif end in left:
            last_ended = opening = end + 1
            is_open = False
        elif end + 1 < movement.stop:
            is_anew = every_bar[end].closes and _begins_anew(every_bar[end], every_bar[end + 1])
            if is_anew or end in to_coda:
                opening = end + 1
        at = end + 1


def _begins_anew(before: BarSigns, here: BarSigns) -> bool:
    if "fine" in before.signs or here.section or here.has_tempo or here.meter != before.meter:
        return True
    return any(begins_with_tempo(text) for text in here.headings)


def _open(
    marked: PlayingSigns, opening: int, ended: int, at: int, guesses: list[GuessedSign]
) -> None:
    """Open the stretch that ends in the bar `at`, the last one having ended before `ended`."""
    every_bar = marked.bars
    begin = min(opening, at)
    is_named = not begin or "fine" in every_bar[begin - 1].signs or bool(every_bar[begin].section)
    if begin != ended and not is_named and at + 1 - begin < _FEWEST_REPEATED:
        begin = ended
    every_bar[begin].starts = True
    crosses_meters = any(
        bar_signs.meter != every_bar[at].meter for bar_signs in every_bar[begin:at]
    )
    if begin > ended or crosses_meters:
        guesses.append(GuessedSign(begin, "no sign begins the next repeat: it goes back to here"))
