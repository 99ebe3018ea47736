"""How a player likes to practise: every number a plan is made with, and where it is from.

All of them can be edited. None is medical advice: rests and loads are common practice, and
with pain, ask a teacher or a doctor.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from companion.errors import RequestError

BOUNDS = {
    "minutes": (5, 600),
    "warm_up": (0, 60),
    "visit": (1, 60),
    "break_every": (5, 180),
    "break_minutes": (1, 60),
    "new_a_day": (0, 20),
    "step": (1, 60),
    "begin": (10, 100),
    "last_days": (0, 60),
    "most_growth": (1, 500),
}
"""The least and the most of each."""


class Habits(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The numbers of a plan, in minutes, days and beats. Raises RequestError for nonsense."""

    minutes: int = 45
    """Minutes of a plan where the player says nothing."""
    warm_up: int = 5
    """Easy minutes first (common practice, no source); at most a sixth of the whole."""
    visit: int = 3
    """Minutes with one passage before the next. Ten clarinettists who changed every three
    minutes were mostly rated better a day later than after twelve in a block (Carter &
    Grahn, Front. Psychol. 7, 2016, 1251); others found no main effect. Offered, not promised."""
    break_every: int = 30
    """Minutes of playing after which a rest is offered (common practice, no source)."""
    break_minutes: int = 5
    """How long that rest is (common practice, no source)."""
    new_a_day: int = 2
    """Passages begun on one day beside others (common practice, no source)."""
    step: int = 4
    """Beats a minute from one step of a tempo ladder to the next (common practice)."""
    begin: int = 60
    """Percent of the goal tempo at which a ladder begins (common practice)."""
    last_days: int = 5
    """Days before a concert that belong to running through (common practice, no source)."""
    most_growth: int = 20
    """Percent by which a week may grow before it is said (common practice: 10–20). Injuries
    are laid to sudden increases of playing (Chan & Ackermann, Front. Psychol. 5, 2014, 706)."""

    def __post_init__(self) -> None:
        for name, (least, most) in BOUNDS.items():
            if not least <= getattr(self, name) <= most:
                raise RequestError(
                    f"{name} = {getattr(self, name)} is not possible",
                    next=f"Choose {least} to {most}.",
                )

    @property
    def begin_share(self) -> Fraction:
        """Share of the goal tempo at which a ladder begins."""
        return Fraction(self.begin, 100)
