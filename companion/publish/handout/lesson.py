"""What one handout is about: a passage of a score, or the drills of an exercise."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.tempo_plan import Fixed
from companion.errors import RequestError
from companion.exercise.drill_goal import Target
from companion.findings.all_findings import find_all
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage, passage
from companion.session.open_score import OpenScore
from companion.session.score_chart import chart
from companion.session.starting_tempo import TempoSource, marked_tempo
from companion.wording.advice import Topic, advise
from companion.wording.score_sentences import bar_span_told

MOST_CHOSEN = 8
"""Bars that are chosen where nobody named any: as many as fit on a page and in the ear."""
_MOST = 64
"""Bars that a handout has at most; beyond that it is a part."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """One passage to be handed out."""

    open_score: OpenScore
    """The score it belongs to."""
    passage: Passage
    """The player's part and bars."""
    tempo: Fraction
    """The tempo to arrive at, in felt beats a minute of the passage's first bar."""
    goal_source: TempoSource
    click_settings: ClickSettings
    """How it is practised: layers, silences, tempo plan, times through."""
    chosen: str = ""
    """Why the program chose these bars; empty if somebody named them."""
    title: str = ""
    """What the drill is called; empty if the score is the title."""
    goal: str = ""
    """When the drill is reached, in words; empty if there is no drill."""
    listen: str = ""
    """What the teacher wants listened for."""
    fades: str = ""
    """What comes or goes, in the words of the exercise."""
    target: Target | None = None
    """The goal by value; None if there is no drill."""

    @property
    def part_name(self) -> str:
        """The part as printed."""
        return self.passage.part_name

    @property
    def bars(self) -> str:
        """`bars 13–20`."""
        return bar_span_told(self.open_score, self.passage.first, self.passage.last)


@dataclass(frozen=True, slots=True)
class HandedExercise:
    """The exercise of a page, as a report speaks of it."""

    id: str
    """The same on every machine."""
    title: str
    due: str | None
    """By when, ISO 8601."""
    drills: tuple[tuple[str, Target], ...]
    """Title and goal of each."""


@dataclass(frozen=True, slots=True)
class Handout:
    """One page."""

    title: str
    """The score's or the exercise's."""
    for_whom: str
    """`Viola, bars 13–20`, or whom the teacher named."""
    lessons: tuple[Lesson, ...]
    """At least one."""
    instructions: str = ""
    """The teacher's words, in Markdown; empty if there are none."""
    due: str = ""
    """By when, in words."""
    exercise: HandedExercise | None = None
    """What a student's list would know of it; None if the page is of a score."""


def lesson_of(
    open_score: OpenScore,
    part: int,
    span: tuple[int, int] | None = None,
    tempo: Fraction | None = None,
) -> Lesson:
    """The passage to hand out to one part; the hardest few bars where none are named.

    Raises RequestError if the part has no bars, or for more bars than a page bears.
    """
    (first, last), why = (span, "") if span else hardest_bars(open_score, part)
    chosen = passage(open_score.clock, part, first, last)
    if last - first + 1 > _MOST:
        name = span_name(open_score.clock, first, first + MOST_CHOSEN - 1)
        raise RequestError(
            f"{last - first + 1} bars are too many for a handout",
            next=f"Name {_MOST} at most, such as --bars {name.replace('–', '-')}.",
        )
    marked = marked_tempo(chosen)
    goal, source = (tempo, TempoSource.ASKED) if tempo else (marked.bpm, marked.source)
    click_settings = ClickSettings(Fixed(goal), count_in=1)
    return Lesson(open_score, chosen, goal, source, click_settings, chosen=why)


def hardest_bars(open_score: OpenScore, part: int) -> tuple[tuple[int, int], str]:
    """Where the part has most to pull against, and why these bars; the first bars it plays
    where nothing pulls."""
    pulls = [
        advice
        for advice in advise(open_score, find_all(open_score.clock, open_score.conflicts), part)
        if advice.topic is Topic.CONFLICT
    ]
    if not pulls:
        plays = [cell.plays for cell in chart(open_score).cells[part]]
        first = plays.index(True) + 1 if any(plays) else 1
        return (first, min(first + MOST_CHOSEN - 1, len(plays))), (
            "No bars were named, and this part has no conflicts: these are its first bars."
        )
    hardest = max(pulls, key=lambda advice: (advice.weight, -advice.first))
    return (hardest.first, min(hardest.last, hardest.first + MOST_CHOSEN - 1)), (
        "No bars were named: these have the hardest conflict."
    )


def handout_of(lesson: Lesson) -> Handout:
    """A page with this passage alone."""
    return Handout(
        lesson.open_score.score.title, f"{lesson.part_name}, {lesson.bars}", lessons=(lesson,)
    )
