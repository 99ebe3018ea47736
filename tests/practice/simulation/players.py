"""Ten kinds of players after twelve weeks: python -m tests.practice.simulation.players

Each practises one passage towards quarter = 72 in a way of their own; the log's words are
judged by the program itself, and what a teacher would say of such a player stands beside it.
The players are made up; nothing here was measured.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from companion.practice.mastery.states import MasteryState
from companion.wording.mastery_sentences import Mastery, mastery
from tests.practice.noted import on, stands

DAYS = 84
Lines = Iterator[str]
"""The log, a line a time through: `0 60 held click`."""


@dataclass(frozen=True)
class Player:
    """One way of practising, and what a teacher would say of it."""

    name: str
    log: Callable[[], Lines]
    stands: MasteryState
    teacher: str

    @property
    def judged(self) -> Mastery:
        """What the program says at the end of the twelve weeks."""
        return mastery(stands("\n".join(self.log())), on(DAYS))


def _days(first: int, last: int, each: int = 2) -> range:
    return range(first, last, each)


def _climb(until: int) -> Lines:
    """Four beats a week up to the goal, with the click, then once alone."""
    for day in _days(0, until):
        tempo = min(72, 44 + 4 * (day // 7))
        yield f"{day} {tempo} held click"
        yield f"{day} {tempo} held alone"


def _secure(first: int, last: int) -> Lines:
    for day in _days(first, last, 3):
        yield f"{day} 72 secure alone"
        yield f"{day} 72 secure click"


def steady() -> Lines:
    yield from _climb(49)
    yield from _secure(49, DAYS)


def always_with_the_click() -> Lines:
    for day in _days(0, DAYS):
        yield f"{day} {min(72, 44 + 4 * (day // 7))} secure click"


def good_when_warm() -> Lines:
    for day in _days(0, DAYS):
        yield f"{day} 72 shaky alone"
        yield f"{day} 72 held click"
        yield f"{day} 72 held alone"


def lost_it() -> Lines:
    yield from _climb(35)
    yield from _secure(35, 70)
    for day in range(78, 83):
        yield f"{day} 72 {'shaky' if day % 2 else 'apart'} alone"
        yield f"{day} 72 shaky click"


def lucky_once_a_day() -> Lines:
    for day in _days(0, DAYS, 3):
        yield from (f"{day} 72 shaky click" for _ in range(4))
        yield f"{day} 72 held click"


def crammed() -> Lines:
    yield from (f"{DAYS - 1} 72 held click" for _ in range(25))
    yield from (f"{DAYS - 1} 72 secure alone" for _ in range(5))


def let_it_lie() -> Lines:
    yield from _climb(28)
    yield from _secure(28, 42)


def never_up_to_tempo() -> Lines:
    yield from (f"{day} 60 secure alone" for day in _days(0, DAYS))


def hid_behind_the_click() -> Lines:
    yield from _climb(35)
    yield from _secure(35, 75)
    for day in (77, 80, 82):
        yield f"{day} 72 shaky alone"
        yield f"{day} 72 held click"
        yield f"{day} 72 secure click"


def fell_and_came_back() -> Lines:
    yield from _climb(28)
    yield from _secure(28, 40)
    yield from (f"{day} 72 apart alone" for day in (42, 44))
    yield from (f"{day} 64 held click" for day in (46, 48, 50))
    yield from _secure(52, DAYS)


PLAYERS = (
    Player("steady", steady, MasteryState.READY, "Ready: it holds by itself, first thing."),
    Player(
        "always with the click",
        always_with_the_click,
        MasteryState.WITH_CLICK,
        "Safe with the click; now without.",
    ),
    Player(
        "good when warm",
        good_when_warm,
        MasteryState.WITH_CLICK,
        "The first time is the one that counts in a concert.",
    ),
    Player("lost it", lost_it, MasteryState.TAKING_SHAPE, "Five bad days: build it up again."),
    Player(
        "lucky once a day",
        lucky_once_a_day,
        MasteryState.TAKING_SHAPE,
        "Four of five fail: slower.",
    ),
    Player("crammed", crammed, MasteryState.TAKING_SHAPE, "Show me again tomorrow."),
    Player("let it lie", let_it_lie, MasteryState.RETURN, "It was good; play it again first."),
    Player(
        "never up to tempo",
        never_up_to_tempo,
        MasteryState.TAKING_SHAPE,
        "Sure at 60; the goal is 72.",
    ),
    Player(
        "hid behind the click",
        hid_behind_the_click,
        MasteryState.WITH_CLICK,
        "It no longer holds alone, whatever the click says.",
    ),
    Player(
        "fell and came back",
        fell_and_came_back,
        MasteryState.READY,
        "It was built again, and it holds again.",
    ),
)


def table() -> Iterator[str]:
    """The table, a line a player."""
    yield "| player | stands | a teacher would say | the program's reasons |"
    yield "|---|---|---|---|"
    for player in PLAYERS:
        judged = player.judged
        why = " ".join(judged.reasons)
        yield f"| {player.name} | {judged.state} | {player.teacher} | {why} {judged.next} |"


if __name__ == "__main__":
    sys.stdout.write("\n".join(table()) + "\n")
