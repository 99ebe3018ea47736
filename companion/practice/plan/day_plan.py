"""A day's plan: what to practise, in which order, for how long, and why.

Plain and complete in itself, so that it can be kept overnight: what was planned and not
played is known tomorrow, and an accepted plan stays as it was accepted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from companion.errors import RequestError
from companion.practice.attempt import Bars
from companion.practice.goal import OccasionKind
from companion.practice.pace import WrittenPace


class ItemKind(StrEnum):
    """What an item of a plan is."""

    WARM_UP = "warm-up"
    RUN_THROUGH = "run-through"
    RETURN = "return"
    NEXT_TEMPO = "next tempo"
    NEW = "new"
    BREAK = "break"
    EXERCISE = "exercise"
    MUSIC = "music"

    @classmethod
    def _missing_(cls, value: object) -> ItemKind | None:
        return cls.NEXT_TEMPO if value == "next rung" else None  # as plans were kept before


class Cause(StrEnum):
    """Why an item stands in a plan."""

    EASY_FIRST = "easy first"
    CONCERT = "concert"
    AFTER_PLAYING = "after playing"
    NOT_TRIED = "not tried"
    SLIPPED = "slipped"
    FAILED_ALONE = "failed without the click"
    NOTHING_HELD = "nothing held"
    HELD = "held"
    DUE = "due"
    TIME_LEFT = "time left"
    """Not due yet, but there is time."""
    SECOND_VISIT = "second visit"
    """It stands earlier in the same plan."""
    ASSIGNED = "assigned"
    ROOM = "room"
    """Minutes are left."""


class Reason(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Why an item stands in a plan, in facts; which of them are given depends on the cause."""

    cause: Cause
    day: date | None = None
    """When it slipped, held or is due."""
    pace: WrittenPace | None = None
    """The goal of a passage not tried; what held."""
    minutes: int = 0
    """Of playing before a rest."""
    hardness: int = 0
    """Of what is found in the bars, 0 to 100; 0 if nothing is, or it is not known."""
    to_concert: int | None = None
    """Days from the plan's day to the concert or what else is to come; 0 on its day."""
    occasion: OccasionKind = OccasionKind.CONCERT
    """What is to come."""


class Item(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One item of a plan."""

    kind: ItemKind
    minutes: int
    why: Reason | str
    """A sentence in plans kept by an earlier version."""
    bars: Bars | None = None
    """None for warm-up, break and music."""
    title: str = ""
    part_name: str = ""
    label: str = ""
    """The bars as printed."""
    path: str = ""
    """Where the score lay last."""
    tempo: str = ""
    """Felt beats a minute, an exact fraction as text; empty if there is none."""
    top: str = ""
    """Where the ladder from that tempo ends today; empty without a ladder."""
    step: str = ""
    """Beats a minute from one step of the ladder to the next."""
    beat: str = ""
    """The note value of the beat."""
    planned_on: str = ""
    """The day it was first planned for (ISO 8601), if it was carried over."""
    exercise: str = ""
    """The id of the exercise that assigns it."""
    drill: int = 0
    """Which drill of that exercise, from 1."""

    @property
    def is_passage(self) -> bool:
        """Whether it is about bars of a score."""
        return self.bars is not None

    @property
    def is_second(self) -> bool:
        """Whether its passage stands earlier in the same plan."""
        return isinstance(self.why, Reason) and self.why.cause is Cause.SECOND_VISIT


class DueLater(Struct, frozen=True, tag="due later"):
    """Passages that are due and do not fit."""

    count: int


class Unplanned(Struct, frozen=True, tag="unplanned"):
    """Minutes without anything in them."""

    minutes: int


class GrowingLoad(Struct, frozen=True, tag="growing load"):
    """The week outgrows those before it, in minutes."""

    minutes: float
    """The seven days ending with the plan's, as planned."""
    before: float
    """In a usual week before."""
    most_growth: int
    """Percent that pass without a word."""


PlanWarning = DueLater | Unplanned | GrowingLoad


class DayPlan(Struct, frozen=True, kw_only=True):
    """What one practice day is for."""

    day: str
    """The practice day (ISO 8601)."""
    minutes: int
    """How long it was made for."""
    items: tuple[Item, ...]
    spare: tuple[Item, ...] = ()
    """What would have come next: for replacing."""
    warnings: tuple[PlanWarning | str, ...] = ()
    """What the player should know before beginning; a sentence in plans kept by an earlier
    version."""
    is_accepted: bool = False
    """Whether the player took it as it is; only then is what was not played carried over."""
    skipped: tuple[Item, ...] = ()
    """What the player left out; it stays out that day, also of a plan for other minutes. Of two
    visits to a passage the second, whichever was left out."""


# What a player may do with a plan: take it, put it in another order, leave out, exchange.


def accepted(plan: DayPlan) -> DayPlan:
    """The plan as the player takes it; from now on what is not played is carried over."""
    return replace(plan, is_accepted=True)


def moved_item(plan: DayPlan, number: int, to: int) -> DayPlan:
    """The plan with one item at another place. Raises RequestError if there is no such item."""
    items = list(plan.items)
    item = items.pop(_index(plan, number))
    items.insert(_index(plan, to), item)
    return replace(plan, items=tuple(items))


def skipped(plan: DayPlan, number: int) -> DayPlan:
    """The plan without an item; another visit to its passage stays, as the first.

    What is skipped is not carried over. It is planned again when it is due.
    """
    items = list(plan.items)
    gone = items.pop(_index(plan, number))
    for at, item in enumerate(items):
        if item.is_second and item.kind is gone.kind and _is_same(item, gone):
            items[at], gone = replace(item, why=gone.why), replace(gone, why=item.why)
    skipped_today = plan.skipped if gone.kind is ItemKind.BREAK else (*plan.skipped, gone)
    return replace(plan, items=tuple(_rested(items)), skipped=skipped_today)


def _rested(items: Iterable[Item]) -> Iterator[Item]:
    """The items without breaks that follow no playing or have none after them; each break says
    how many minutes were played before it."""
    played = 0
    rest: Item | None = None
    for item in items:
        if item.kind is ItemKind.BREAK:
            rest = item if played else None
            continue
        if rest is not None:
            yield replace(rest, why=Reason(cause=Cause.AFTER_PLAYING, minutes=played))
            rest, played = None, 0
        yield item
        played += item.minutes


def replaced(plan: DayPlan, number: int) -> DayPlan:
    """The plan with what would have come next instead of an item and its later visits.

    Raises RequestError if nothing else is left to offer.
    """
    gone = plan.items[_index(plan, number)]
    if not gone.is_passage or not plan.spare:
        raise RequestError(
            f"there is nothing to put in the place of {number}",
            next="Skip it, or set a goal for another passage.",
        )
    offered, *rest = plan.spare
    items = tuple(
        _in_place_of(item, offered) if _is_same(item, gone) else item for item in plan.items
    )
    return replace(plan, items=items, spare=tuple(rest))


def _in_place_of(item: Item, offered: Item) -> Item:
    why = item.why if item.is_second else offered.why
    return replace(offered, minutes=item.minutes, why=why)


def _is_same(item: Item, gone: Item) -> bool:
    """Whether two items are visits to the same passage, or the very same item."""
    return item is gone or (gone.bars is not None and item.bars == gone.bars)


def _index(plan: DayPlan, number: int) -> int:
    if not 1 <= number <= len(plan.items):
        raise RequestError(f"the plan has no item {number}", next=f"It has 1 to {len(plan.items)}.")
    return number - 1


# What was planned and not played: worked out from plan and log, never kept by hand.


CARRIED_FOR = 14
"""Days for which what was not played is carried over; it is planned when it is due in any
case (common practice, no source)."""


_NOT_CARRIED = (ItemKind.RUN_THROUGH, ItemKind.EXERCISE)
"""An exercise is planned until it is done in any case."""


def not_played(plan: DayPlan, played: Iterable[Bars]) -> tuple[Item, ...]:
    """The passages of an accepted plan that were not played, each once.

    `played` are the passages attempted on the plan's day or later. A passage counts as
    played when at least half of its bars were; one that was skipped is not in the plan.
    """
    if not plan.is_accepted:
        return ()
    tried = list(played)
    left: dict[Bars, Item] = {}
    for item in plan.items:
        bars = item.bars
        if bars is None or item.kind in _NOT_CARRIED or bars in left:
            continue
        if not any(is_covered(bars, by) for by in tried):
            left[bars] = replace(item, planned_on=item.planned_on or plan.day)
    return tuple(left.values())


def is_covered(bars: Bars, by: Bars) -> bool:
    """Whether at least half of the bars were played with the others."""
    if (bars.score_digest, bars.part_id) != (by.score_digest, by.part_id):
        return False
    common = min(bars.last, by.last) - max(bars.first, by.first) + 1
    return 2 * common >= bars.last - bars.first + 1


def carried_over(
    plans: Iterable[DayPlan], played: Iterable[tuple[Bars, date]], today: date
) -> list[Item]:
    """What was not played of earlier accepted plans, the oldest first, each passage once.

    `played` are the passages with the last practice day on which each was attempted.
    """
    last = list(played)
    left: dict[Bars, Item] = {}
    for plan in sorted(plans, key=lambda one: one.day):
        day = date.fromisoformat(plan.day)
        if not day < today or (today - day).days > CARRIED_FOR:
            continue
        for item in not_played(plan, (bars for bars, on in last if on >= day)):
            if item.bars is not None:
                left.setdefault(item.bars, item)
    return list(left.values())
