"""The drill of an exercise, set as the teacher asked: tempo plan, layers, count-in, silences.

What a drill on the screen cannot be set to is told in words, so that nothing the teacher
wrote goes by unseen.
"""

from __future__ import annotations

from dataclasses import replace

from companion.click.climbing import Climb
from companion.click.tempo_plan import Fixed, Ladder, told
from companion.click.wish import Wish
from companion.desk.drill import Drill, open_drill
from companion.desk.exercises.drilling import OnStand
from companion.desk.folders import Folders
from companion.desk.setting import Setting
from companion.exercise.assignment import Assignment
from companion.practice.dates_told import count_told


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
