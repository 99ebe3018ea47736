"""Three weeks of the demo's viola in a real log, and the evening on which one looks at them."""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction

from companion.files.folders import Folders
from companion.practice.attempt import Outcome
from companion.session.goals import set_goal_by
from companion.session.open_score import OpenScore, choose_part
from tests.session.practised import VIOLA, evening, note, opened_for_practice, tried

CONCERT = date(2026, 4, 25)
LOOKED_AT = 20
"""The evening, counted from the first."""


def clock() -> datetime:
    """The twentieth evening after the first, at eight."""
    return evening(LOOKED_AT)


def viola(folders: Folders) -> OpenScore:
    """The demo on the stand, its viola mine."""
    return choose_part(opened_for_practice(folders), folders, VIOLA).open_score


def practised_viola(folders: Folders) -> OpenScore:
    """One passage that climbs and slips once, one that was let lie, one that waits to begin."""
    open_score = viola(folders)
    for bars in ("13-16", "17-20", "29-32"):
        set_goal_by(folders, open_score, "viola", bars, Fraction(69), CONCERT)
    climb = [(0, 48), (2, 52), (5, 56), (7, 60), (9, 64), (12, 64), (15, 66), (18, 69), (19, 69)]
    note(
        folders,
        [
            tried(
                open_score, day, (14, 17), tempo, Outcome.FELL_APART if day == 12 else Outcome.HELD
            )
            for day, tempo in climb
        ],
    )
    note(folders, [tried(open_score, day, (18, 21), 60 + day) for day in (1, 3, 8)])
    return open_score
