"""Where a tempo ladder was left: the ladder is kept, the step is told from the attempts in the log.

So the step is right whatever was corrected, deleted or practised away from the screen since.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path

from companion.click.plan.tempo_plan import AfterFailing, Fixed, Ladder, is_before
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Bars
from companion.practice.pace import pace_of, tempo_at
from companion.practice.practice_day import practice_day
from companion.session.setting_changes import at_place, on_ladder, setting_after
from companion.session.settings import Setting

_MOST = 200
"""Attempts that are looked through, and ladders that are kept."""


@dataclass(frozen=True, slots=True)
class LadderLeft:
    """A ladder that is not finished."""

    day: date
    """The practice day on which it was left."""
    ladder: Ladder
    setting: Setting
    """At the step with which it goes on."""


def ladder_left(setting: Setting, bars: Bars, beat: str, folders: Folders) -> LadderLeft | None:
    """What a setting would be on the ladder last climbed at just these bars. None if there is
    none, if its goal held, or if the log cannot be read."""
    with suppress(CompanionError, ValueError):
        kept = _kept(folders).of.get(_name(bars))
        if kept is None:
            return None
        ladder = kept.ladder()
        played = [(day, one) for day, one in _played(folders, bars) if one.at >= kept.since]
        here = _climbed(setting, ladder, [one for _, one in played], beat)
        has_ended = here.tempo == Fixed(ladder.goal) and here.climb.held >= ladder.each
        if played and not has_ended:
            return LadderLeft(played[-1][0], ladder, here)
    return None


def as_left(
    setting: Setting,
    ladder: Ladder,
    bars: Bars,
    beat: str,
    folders: Folders,
    today: datetime | None = None,
) -> Setting:
    """A ladder at the step that the attempts at just these bars lead to; with `today` only those
    of the practice day of that moment. A log that cannot be read leaves it at its beginning."""
    with suppress(CompanionError):
        found = _played(folders, bars)
        if today is not None:
            with Log.read_only(folders.data) as log:
                only = practice_day(today, log.day_ends)
            found = [(day, one) for day, one in found if day == only]
        return _climbed(setting, ladder, [one for _, one in found], beat)
    return on_ladder(setting, ladder)


def keep_ladder(folders: Folders, bars: Bars, ladder: Ladder, began: datetime) -> None:
    """Keep the ladder that is climbed; `began` is when the attempt at it began. What the disk
    refuses is not offered again."""
    with suppress(CompanionError, OSError):
        kept = _kept(folders).of
        before = kept.pop(_name(bars), None)
        since = before.since if before is not None and before.ladder() == ladder else began
        kept[_name(bars)] = _Kept(
            str(ladder.start),
            str(ladder.goal),
            str(ladder.step),
            ladder.each,
            ladder.after_failing,
            since,
        )
        keep_json(_place(folders), _Ladders(dict(list(kept.items())[-_MOST:])))


def _climbed(setting: Setting, ladder: Ladder, played: list[Attempt], beat: str) -> Setting:
    here = on_ladder(setting, ladder)
    for one in played:
        bpm = tempo_at(pace_of(one.tempo, one.beat), beat)
        if is_before(ladder, ladder.goal, bpm):
            bpm = ladder.goal
        if here.tempo != Fixed(bpm):
            here = at_place(here, ladder, bpm)
        here = setting_after(here, one.counts_as, one.repetitions)
    return here


def _played(folders: Folders, bars: Bars) -> list[tuple[date, Attempt]]:
    """The attempts on the instrument with their practice days, the earliest first."""
    with Log.read_only(folders.data) as log:
        ends = log.day_ends
        newest_first = log.attempts_at(bars, limit=_MOST)
    return [(practice_day(one.at, ends), one) for one in reversed(newest_first) if one.is_played]


@dataclass(frozen=True, slots=True)
class _Kept:
    """A ladder with its tempos as exact fractions in text."""

    start: str
    goal: str
    step: str
    each: int
    after_failing: AfterFailing
    since: datetime

    def ladder(self) -> Ladder:
        """Raises ValueError or RequestError if the file was damaged."""
        start, goal, step = (Fraction(words) for words in (self.start, self.goal, self.step))
        return Ladder(start, goal, step, self.each, self.after_failing)


@dataclass(frozen=True, slots=True)
class _Ladders:
    """Those that are kept, by the bars they are for."""

    of: dict[str, _Kept] = field(default_factory=dict)


def _kept(folders: Folders) -> _Ladders:
    return kept_json(_place(folders), _Ladders) or _Ladders()


def _place(folders: Folders) -> Path:
    return folders.data / "ladders.json"


def _name(bars: Bars) -> str:
    return f"{bars.score_digest} {bars.part_id} {bars.first}-{bars.last}"
