"""A drill of an opened exercise on the stand, ready to be played."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.click.plan import Plan, planned
from companion.click.wish import Wish
from companion.desk.folders import Folders
from companion.desk.stand import Stand, put_on_stand
from companion.errors import RequestError
from companion.exercise.assignment import Assignment
from companion.exercise.laid import lay_drill
from companion.exercise.wish import wish_of
from companion.score.opening import Opened
from companion.score.passage import Passage


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
