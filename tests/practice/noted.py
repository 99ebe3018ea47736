"""A player's notes on one passage, said in a line a time through."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.goal import Goal
from companion.practice.mastery.standing import Standing, aims_of, standing, untried

BEGIN = date(2026, 3, 2)
"""A Monday; days in these tests are counted from it."""
CLICK = ("beat", "mine", "theirs")
ALONE = ("theirs",)
DIGEST = "5e" * 16
WORDS = {"secure": Outcome.SECURE, "held": Outcome.HELD, "shaky": Outcome.SHAKY}


def bars_at(first: int) -> Bars:
    return Bars(DIGEST, "P3", first, first + 3)


def goal_at(first: int = 13, tempo: int = 72) -> Goal:
    return Goal(
        bars=bars_at(first),
        score_title="Study in two meters",
        part_name="Viola",
        bars_label=f"{first}–{first + 3}",
        tempo=Fraction(tempo),
        beat="quarter",
    )


def on(number: int) -> date:
    return BEGIN + timedelta(days=number)


def noted(words: str, first: int = 13) -> list[Attempt]:
    """`0 60 held click` a line: day, tempo, outcome, and `click` or `alone`."""
    attempts = []
    for count, line in enumerate(words.strip().splitlines()):
        day, tempo, how, help_ = line.split()
        at = datetime.combine(on(int(day)), time(18), UTC) + timedelta(minutes=count)
        attempts.append(
            Attempt(
                score_title="Study in two meters",
                score_digest=DIGEST,
                score_path="/scores/study.musicxml",
                part_id="P3",
                part_name="Viola",
                first_bar=first,
                last_bar=first + 3,
                bars_label=f"{first}–{first + 3}",
                tempo=Fraction(tempo),
                beat="quarter",
                outcome=WORDS.get(how, Outcome.FELL_APART),
                layers=CLICK if help_ == "click" else ALONE,
                seconds=60.0,
                at=at,
            )
        )
    return attempts


def stands(words: str, goal: Goal | None = None, by: date | None = None) -> Standing:
    """Where bars 13–16 stand, with 72 for a goal."""
    aims = aims_of(goal or goal_at(), by)
    return standing(noted(words), aims, datetime.date)


def stands_without_goal(words: str) -> Standing:
    return standing(noted(words), None, datetime.date)


def new_ones(firsts: Sequence[int], by: date | None = None) -> list[Standing]:
    return [untried(goal_at(first), aims_of(goal_at(first), by)) for first in firsts]


def at_bars(first: int, words: str, by: date | None = None) -> Standing:
    """Another passage with the same goal tempo."""
    return standing(noted(words, first), aims_of(goal_at(first), by), datetime.date)
