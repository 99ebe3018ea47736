"""A drill of an opened exercise on the stand, ready to be played."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.click.plan.click_settings import Wish
from companion.click.plan.plan import Plan, planned
from companion.click.plan.tempo_plan import Climb, Fixed, Ladder, told
from companion.errors import RequestError
from companion.exercise.assignment import Assignment
from companion.exercise.drill_scores import lay_drill
from companion.exercise.drill_settings import wish_of
from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.score.readers.opening import Opened
from companion.session.drill import Drill, open_drill
from companion.session.open_score import Stand, put_on_stand
from companion.session.settings import Setting
from companion.wording.phrases import count_told


@dataclass(frozen=True, slots=True)
class OnStand:
    """A drill as a screen needs it."""

    stand: Stand
    """Its score, laid by the student's choices."""
    passage: Passage
    """The student's part and bars."""
    wish: Wish
    """The click the teacher asked for."""

    def plan(self) -> Plan:
        """That click. Raises RequestError where nobody can play to it."""
        return planned(self.passage, self.stand.conflicts, self.wish)


def put_drill_on_stand(assignment: Assignment, number: int, folders: Folders) -> OnStand:
    """Drill `number`, from 1. Raises CompanionError where its score cannot be read any more."""
    drills = assignment.exercise.drills
    if not 1 <= number <= len(drills):
        raise RequestError(
            f"there is no drill {number}",
            where=assignment.exercise.title,
            next=f"It has {len(drills)}.",
        )
    stand = put_on_stand(assignment.score_of(number), folders)
    laid = lay_drill(drills[number - 1], number, Opened(stand.score, stand.digest, stand.path))
    passage = replace(laid.passage, clock=stand.clock)
    return OnStand(stand, passage, wish_of(laid))


# The drill of an exercise, set as the teacher asked: tempo plan, layers, count-in, silences.


def drill_as_asked(on_stand: OnStand, folders: Folders) -> Drill:
    """A drill that begins as the exercise has it. May be called in any thread."""
    drill = open_drill(on_stand.stand, on_stand.passage, folders)
    drill.want(setting_asked(drill.setting, on_stand.wish))
    return drill


def setting_asked(setting: Setting, wish: Wish) -> Setting:
    """A setting with what the exercise says of tempo, layers, count-in and silences."""
    asked = replace(
        setting, layers=wish.layers, count_in=wish.count_in, silences=wish.silences, climb=Climb()
    )
    if isinstance(wish.tempo, Ladder):
        return replace(asked, tempo=Fixed(wish.tempo.start), ladder=wish.tempo)
    return replace(asked, tempo=wish.tempo, ladder=None)


def drill_told(assignment: Assignment, number: int, wish: Wish) -> str:
    """One drill, from 1, in a line or two: what to do, what is reached, what to hear for.

    `Exercise The ferry 2: quarter = 60 to 72 by 4. Goal: held at quarter = 72, 2 times.`
    """
    drill, target = assignment.exercise.drills[number - 1], assignment.targets[number - 1]
    pieces = [
        f"Exercise {assignment.exercise.named(number)}: {target.beat} = {told(wish.tempo)}.",
        f"Goal: {target.told()}.",
        f"Listen for: {' '.join(drill.listen.split())}" if drill.listen else "",
        f"Let the click go by yourself: {'; '.join(drill.fades)}." if drill.fades else "",
        f"Asked for: {count_told(drill.repeat, 'time', 'times')} through." if drill.repeat else "",
    ]
    return " ".join(filter(None, pieces))
