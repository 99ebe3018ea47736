"""Where a tempo ladder was left, told from the attempts in the log: nothing else is kept.

A ladder that is known (today's plan, an exercise) goes on at the step the attempts lead to. One
that a player made up is found again in the last day that climbed: its usual step, from where
it stopped, to the goal of these bars, and it is only offered.
"""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise

from companion.click.plan.tempo_plan import Fixed, Ladder, is_before
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Bars, Outcome, now
from companion.practice.pace import pace_of, tempo_at
from companion.practice.plan.path_to_date import USUAL_RUNGS
from companion.practice.practice_day import practice_day
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import FASTEST
from companion.score.passage import Passage
from companion.session.goals import goal_at
from companion.session.open_score import OpenScore
from companion.session.setting_changes import at_place, on_ladder, setting_after
from companion.session.settings import Setting
from companion.session.starting_tempo import TempoSource, marked_tempo
from companion.session.suggested_passages import bars_of_passage

_MOST = 200
"""Attempts that are looked through: more than anybody makes on a day."""


@dataclass(frozen=True, slots=True)
class LadderLeft:
    """A ladder found in the attempts of a day, to be gone on with."""

    day: date
    """The practice day on which it was left."""
    ladder: Ladder
    bpm: Fraction
    """Felt beats a minute with which it goes on."""


def ladder_left(open_score: OpenScore, passage: Passage, folders: Folders) -> LadderLeft | None:
    """What the last day at just these bars climbed and did not finish. None if it climbed
    nothing, or the log cannot be read."""
    bars, beat = bars_of_passage(open_score, passage), note_name(passage.beat)
    with suppress(CompanionError):
        played = _played(folders, bars)
        last = [one for day, one in played if day == played[-1][0]]
        tempos = [_bpm(one, beat) for one in last]
        rises = [after - before for before, after in pairwise(tempos) if after > before]
        if not rises or tempos[-1] <= tempos[0]:
            return None
        # Of steps taken equally often the smallest.
        step = max(Counter(rises).items(), key=lambda one: (one[1], -one[0]))[0]
        top = _goal(folders, passage, bars, beat) or tempos[-1] + USUAL_RUNGS * step
        has_held = last[-1].counts_as >= Outcome.HELD and last[-1].repetitions > 0
        bpm = min(tempos[-1] + step * has_held, top, Fraction(FASTEST))
        start = bpm - step * ((bpm - tempos[0]) // step)
        if start < top and tempos[-1] < top:
            return LadderLeft(played[-1][0], Ladder(start, top, step), bpm)
    return None


def as_left(
    setting: Setting,
    ladder: Ladder,
    passage: Passage,
    open_score: OpenScore,
    folders: Folders,
    *,
    is_for_today: bool,
) -> Setting:
    """A ladder at the step that the attempts at just these bars lead to, or only those of today.
    A log that cannot be read leaves it at its beginning."""
    here, beat = on_ladder(setting, ladder), note_name(passage.beat)
    with suppress(CompanionError):
        today = _today(folders) if is_for_today else None
        for day, one in _played(folders, bars_of_passage(open_score, passage)):
            if today not in (None, day):
                continue
            bpm = _bpm(one, beat)
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


def _today(folders: Folders) -> date:
    with Log.read_only(folders.data) as log:
        return practice_day(now(), log.day_ends)


def _bpm(attempt: Attempt, beat: str) -> Fraction:
    return tempo_at(pace_of(attempt.tempo, attempt.beat), beat)


def _goal(folders: Folders, passage: Passage, bars: Bars, beat: str) -> Fraction | None:
    """The player's goal for these bars, else the score's mark; None without either."""
    found = goal_at(folders, bars)
    if found is not None:
        return tempo_at(pace_of(found[0].tempo, found[0].beat), beat)
    mark = marked_tempo(passage)
    return mark.bpm if mark.source is TempoSource.MARK else None
