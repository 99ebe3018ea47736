"""The simulation's tables: python -m tests.practice.simulation.table [students]

A simulation. It compares what three ways of spending equal minutes do to made-up students;
it says nothing about a player.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from statistics import mean
from tempfile import TemporaryDirectory

from companion.files.folders import Folders, demo_score
from companion.practice.attempt import Bars
from companion.practice.goal import Goal
from companion.practice.plan.day_plan import DayPlan
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import find_part
from companion.session.open_score import OpenScore, open_for_practice
from companion.session.starting_tempo import marked_tempo
from companion.session.suggested_passages import bars_of_passage, label_of, suggested_passages
from companion.wording.plan_sentences import item_told
from tests.practice.simulation.student import Student, Traces, TwoProcesses
from tests.practice.simulation.ways import WAYS
from tests.practice.simulation.year import BEGIN, CONCERT, Year, live, number_of, year_of

STUDENTS: Mapping[str, Callable[[Mapping[Bars, float]], Student]] = {
    "two processes": TwoProcesses,
    "traces": Traces,
}
LOOKED_AT = tuple(BEGIN + timedelta(days=days) for days in (28, 98, 182, 280, 364))
FIVE_DAYS = tuple(BEGIN + timedelta(days=days) for days in (0, 29, 127, 239, 360))
"""The first day, after a month, after the first holiday, in the spring, before the concert."""


@dataclass
class Outcome:
    """What a year came to."""

    year: Year
    held: list[int]
    """Passages held on the days looked at, the concert the last."""

    @property
    def reaches(self) -> list[float]:
        now = number_of(CONCERT) + 0.8
        return [self.year.student.reach(bars, now) for bars in self.year.goals]


def viola(open_score: OpenScore) -> list[Goal]:
    """Every passage of the part with the score's own tempo for a goal."""
    return [
        Goal(
            bars=bars_of_passage(open_score, chosen),
            score_title=open_score.score.title,
            part_name=chosen.part_name,
            bars_label=label_of(chosen),
            tempo=marked_tempo(chosen).bpm,
            beat=note_name(chosen.beat),
        )
        for chosen in suggested_passages(open_score, find_part(open_score.score, "viola"))
    ]


def eases(open_score: OpenScore, goals: list[Goal], seed: int) -> dict[Bars, float]:
    """How easily each passage is learnt; those in a conflict less easily than others."""
    luck = random.Random(seed)
    pulled = {
        bar
        for conflict in open_score.conflicts
        if any(goals[0].bars.part_id in side.parts for side in conflict.sides)
        for bar in range(conflict.first, conflict.last + 1)
    }
    return {
        goal.bars: luck.uniform(0.5, 0.8) if goal.bars.first in pulled else luck.uniform(0.7, 1.25)
        for goal in goals
    }


def lived(open_score: OpenScore, who: str, way: str, seed: int, minutes: int) -> Outcome:
    goals = viola(open_score)
    year = year_of(STUDENTS[who](eases(open_score, goals, seed)), goals, seed, minutes)
    held: dict[date, int] = {}

    def look(day: date) -> None:
        for wanted in LOOKED_AT:
            if wanted <= day and wanted not in held:
                held[wanted] = year.could_play(day)

    live(year, WAYS[way], look)
    return Outcome(year, [held[day] for day in LOOKED_AT])


def table(open_score: OpenScore, students: int) -> Iterator[str]:
    count = len(viola(open_score))
    days = " | ".join(f"day {number_of(day)}" for day in LOOKED_AT[:-1])
    yield f"| student | minutes | way | {days} | concert | weakest | mean | log says |"
    yield "|---|---|---|" + "---|" * (len(LOOKED_AT) + 3)
    for who in STUDENTS:
        for minutes in (20, 30, 45):
            for way in WAYS:
                outcomes = [lived(open_score, who, way, seed, minutes) for seed in range(students)]
                held = (mean(column) for column in zip(*(o.held for o in outcomes), strict=True))
                weakest = mean(min(one.reaches) for one in outcomes)
                middle = mean(mean(one.reaches) for one in outcomes)
                says = mean(one.year.log_says(CONCERT) for one in outcomes)
                cells = " | ".join(f"{number:.1f}" for number in held)
                yield (
                    f"| {who} | {minutes} | {way} | {cells} of {count} | {weakest:.2f} | "
                    f"{middle:.2f} | {says:.1f} |"
                )


def plan_told(plan: DayPlan) -> Iterator[str]:
    yield f"day {number_of(date.fromisoformat(plan.day))} ({plan.day})"
    yield from (
        f"  {item.minutes} min  {item_told(item, date.fromisoformat(plan.day))}"
        for item in plan.items
    )
    yield from (f"  Note: {warning}" for warning in plan.warnings)


def demo_score_open(folder: Path) -> OpenScore:
    return open_for_practice(demo_score(), Folders(folder, folder / "cache"))


def main(students: int) -> None:
    with TemporaryDirectory() as folder:
        open_score = demo_score_open(Path(folder))
        lines = list(table(open_score, students))
        plans = lived(open_score, "traces", "the plan", 0, 30).year.plans
        for day in FIVE_DAYS:
            lines += ["", *plan_told(plans[day])]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
