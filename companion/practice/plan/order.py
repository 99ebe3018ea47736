"""The order of a day: passages interleaved, rests between, as far as the minutes reach."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from companion.practice.dates_told import count_told
from companion.practice.plan.choosing import Choice
from companion.practice.plan.habits import Habits
from companion.practice.plan.item import Item, Kind

MOST_VISITS = 3
"""Visits to one passage on one day; what is left of the minutes is left to the player. Long
repetition of one thing wears out hands and attention (common practice, no source)."""


def interleaved(choices: Sequence[Choice], visits: int) -> list[Item]:
    """Every passage once, then those again that want it, then all, while visits last."""
    sequence = [one.item for one in choices]
    sequence += [_come_back(one.item) for one in choices if one.visits > 1]
    for turn in range(1, MOST_VISITS):
        sequence += [_come_back(one.item) for one in choices if one.visits <= turn]
    return sequence[:visits]


def _come_back(item: Item) -> Item:
    return replace(item, why="come back to it: does it still hold?")


def breaks(minutes: int, habits: Habits) -> int:
    """Rests that so many minutes need, none of them at the end."""
    return -(-max(0, minutes - habits.break_every) // (habits.break_every + habits.break_minutes))


def laid_out(sequence: Sequence[Item], minutes: int, habits: Habits) -> Iterator[Item]:
    """The items one after another with rests between, as far as the minutes reach."""
    total = played = 0
    for item in sequence:
        if played + item.minutes > habits.break_every and played:
            if total + habits.break_minutes + 1 > minutes:
                return
            why = f"a rest after {count_told(played, 'minute')} of playing"
            yield Item(kind=Kind.BREAK, minutes=habits.break_minutes, why=why)
            total, played = total + habits.break_minutes, 0
        length = min(item.minutes, minutes - total)
        if length < 1:
            return
        yield replace(item, minutes=length)
        total, played = total + length, played + length
