"""Where every passage stands, without judging ten years of attempts again each time.

The log draws a new stamp for a passage whenever its attempts change. What was worked out
under a stamp is kept in the cache folder and used for as long as the stamp, the goal and
the end of the practice day are the same; deleting the cache only costs the time to work
it out again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path

import msgspec

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import keep_file, kept_file
from companion.journal.editions import Editions, attempt_now, editions, goal_now, where_now
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Bars
from companion.practice.goal import Goal, OccasionKind
from companion.practice.mastery.passage_day import DayOf
from companion.practice.mastery.standing import Aims, Standing, aims_of, standing, untried
from companion.practice.practice_day import practice_day

_FORM = 4
"""Raise whenever a standing is worked out otherwise or looks otherwise."""


class _Worked(msgspec.Struct, frozen=True, gc=False, array_like=True):
    """A standing and what it was worked out under."""

    stamps: str
    stands: Standing


class _Kept(msgspec.Struct, frozen=True, array_like=True):
    """The whole cache."""

    form: int
    day_ends: str
    worked: list[_Worked]


@dataclass(frozen=True, slots=True)
class _Source:
    """The passages of the log that are one passage in the latest edition."""

    bars: list[Bars]
    stamps: str


def all_standings(folders: Folders) -> list[Standing]:
    """Every passage that was tried or has a goal, score by score in order of its bars.

    Passages of an earlier edition stand in the latest one that has them. Raises
    CompanionError if the log cannot be read.
    """
    known = editions(folders)
    place = folders.cache / "standings.msgpack"
    with Log.read_only(folders.data) as log:
        ends, goals = log.day_ends, goals_now(log, known)
        before = _before(place, ends)
        after: list[_Worked] = []
        changed = 0
        for bars, source in _sources(log, known).items():
            worked, aims = before.get(bars), goals[bars].aims if bars in goals else None
            if worked is None or worked.stamps != source.stamps or _differ(worked, aims):
                attempts = attempts_of(log, source.bars, known)
                if not attempts:
                    continue  # none of them can be read
                worked = _Worked(source.stamps, standing(attempts, aims, day_of(ends)))
                changed += 1
            after.append(worked)
    if changed or len(after) != len(before):
        _keep(place, _Kept(_FORM, str(ends), after))
    found = {one.stands.bars: one.stands for one in after}
    for bars, goal in goals.items():
        found.setdefault(bars, untried(goal.goal, goal.aims))
    return [found[bars] for bars in sorted(found, key=_in_order)]


def standings_against(folders: Folders, aims: Mapping[Bars, Aims]) -> list[Standing]:
    """Tried passages held against other aims than the log's. Raises as `all_standings`."""
    known = editions(folders)
    with Log.read_only(folders.data) as log:
        days = day_of(log.day_ends)
        return [
            standing(attempts, aims[bars], days)
            for bars, source in _sources(log, known).items()
            if bars in aims and (attempts := attempts_of(log, source.bars, known))
        ]


@dataclass(frozen=True, slots=True)
class DatedGoal:
    """A goal that holds, in the latest edition."""

    goal: Goal
    """The goal."""
    by: date | None
    """The concert, rehearsal or lesson it is for."""
    occasion: OccasionKind = OccasionKind.CONCERT
    """What that day is."""

    @property
    def aims(self) -> Aims:
        """What a passage is held against."""
        return aims_of(self.goal, self.by, self.occasion)


def goals_now(log: Log, known: Editions) -> dict[Bars, DatedGoal]:
    """The goals that hold, by their passage in the latest edition."""
    days = {occasion.id: occasion for occasion in log.occasions.current()}
    found: dict[Bars, DatedGoal] = {}
    for kept in log.goals.current():
        goal = goal_now(kept, known) if known else kept
        day = days.get(goal.occasion or "")
        found[goal.bars] = DatedGoal(goal, day.day, day.kind) if day else DatedGoal(goal, None)
    return found


def attempts_of(log: Log, bars: Iterable[Bars], known: Editions) -> list[Attempt]:
    """The attempts at passages that are one in the latest edition, in order of time."""
    found = [attempt for one in bars for attempt in reversed(log.attempts_at(one))]
    if known:
        found = sorted((attempt_now(attempt, known) for attempt in found), key=lambda a: a.at)
    return found


def day_of(ends: time) -> DayOf:
    """Which practice day a moment belongs to, where the day ends at an hour."""
    return lambda at: practice_day(at, ends)


def _sources(log: Log, known: Editions) -> dict[Bars, _Source]:
    if not known:
        return {bars: _Source([bars], stamp) for bars, stamp in log.stamps().items()}
    found: dict[Bars, _Source] = {}
    for tried, stamp in log.stamps().items():
        bars = where_now(tried, known)
        before = found.get(bars, _Source([], ""))
        found[bars] = _Source([*before.bars, tried], before.stamps + stamp)
    return found


def _differ(worked: _Worked, aims: Aims | None) -> bool:
    """Whether the goal is not the one a standing was worked out with."""
    before = worked.stands.aims
    return before != aims if aims is not None else before.is_set


def _before(place: Path, ends: time) -> dict[Bars, _Worked]:
    content = kept_file(place)
    try:
        whole = msgspec.msgpack.decode(content or b"", type=_Kept)
    except msgspec.MsgspecError:
        return {}
    if (whole.form, whole.day_ends) != (_FORM, str(ends)):
        return {}
    return {one.stands.bars: one for one in whole.worked}


def _keep(place: Path, whole: _Kept) -> None:
    """A cache that cannot be written is no reason to fail."""
    with suppress(CompanionError):
        keep_file(place, msgspec.msgpack.encode(whole))


def _in_order(bars: Bars) -> tuple[str, str, int, int]:
    return bars.score_digest, bars.part_id, bars.first, bars.last
