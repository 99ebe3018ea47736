"""Reports said in a line a passage, for tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from companion.practice.attempt import Attempt, Outcome, new_id
from companion.publish.report.report_file import (
    Report,
    ReportedDrill,
    ReportedExercise,
    ReportedGoal,
    ReportedPassage,
    ReportedTempo,
)

DIGEST = "5e" * 16
WORDS = {"f": "fell apart", "s": "shaky", "h": "held", "k": "secure"}


def passage(first: int, last: int, outcomes: str, part: str = "Viola") -> ReportedPassage:
    """`outcomes` has a letter an attempt: f, s, h or k."""
    one = Attempt(
        score_title="Study in two meters",
        score_digest=DIGEST,
        score_path="",
        part_id=part[:2],
        part_name=part,
        first_bar=first,
        last_bar=last,
        bars_label=f"{first}–{last}",
        at=datetime.fromisoformat("2026-03-02T18:00:00+01:00"),
        tempo=Fraction(60),
        beat="quarter",
        outcome=Outcome.HELD,
        repetitions=2,
        seconds=90.0,
        layers=("beat", "mine"),
    )
    return ReportedPassage(
        score=DIGEST,
        title=one.score_title,
        part=one.part_id,
        part_name=part,
        first=first,
        last=last,
        label=one.bars_label,
        state="taking shape",
        held="quarter = 60",
        attempts=[replace(one, id=new_id(), outcome=Outcome(WORDS[how])) for how in outcomes],
    )


def drill(
    state: str,
    *,
    goal: int = 72,
    reached: int = 0,
    last_day: str | None = None,
    title: str = "a drill",
) -> ReportedDrill:
    """A drill of an exercise, in felt beats of a quarter; 0 if nothing was reached."""
    return ReportedDrill(
        title=title,
        score="d1" * 16,
        part="P1",
        first=1,
        last=4,
        goal="",
        state=state,
        tries=0 if state == "assigned" else 3,
        good_days=int(state == "done"),
        aims=ReportedGoal(
            outcome=Outcome.HELD,
            tempo=ReportedTempo(bpm=str(goal), beat="quarter"),
            times=1,
            days=1,
        ),
        score_title=title,
        part_name="Clap",
        label="1–4",
        reached=ReportedTempo(bpm=str(reached), beat="quarter") if reached else None,
        last_day=last_day,
        outcome=Outcome.HELD if last_day else None,
    )


def exercise(
    title: str, *drills: ReportedDrill, due: str | None = None, revision: int = 1
) -> ReportedExercise:
    """An exercise, its state told from its drills; its id from its title and revision."""
    states = {one.state for one in drills}
    state = (
        "done" if states == {"done"} else "assigned" if states == {"assigned"} else "in progress"
    )
    return ReportedExercise(
        id=f"{title}{revision}",
        title=title,
        due=due,
        state=state,
        drills=list(drills),
        first=f"{title}1",
        revision=revision,
    )


def report(
    name: str,
    *passages: ReportedPassage,
    made: str = "2026-03-08T20:00:00+01:00",
    note: str = "",
    exercises: tuple[ReportedExercise, ...] = (),
    player: str = "",
    minutes: dict[str, float] | None = None,
) -> Report:
    return Report(
        made=made,
        name=name,
        note=note,
        since=None,
        only_exercises=False,
        minutes={"2026-03-02": 12.5} if minutes is None else minutes,
        passages=list(passages),
        exercises=list(exercises),
        player=player,
    )
