"""What moves a passage up and down: one table of numbers, read by `standing` and the wording.

The numbers are common practice without a source, except where one is named; how a time
through went is what was heard of it, and the player's own word if nothing listened.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import inf

from companion.errors import RequestError
from companion.practice.attempt import Attempt, Outcome


class MasteryState(StrEnum):
    """How a passage stands, in the player's words; lowest first, then the one that waits."""

    NEW = "new"
    TAKING_SHAPE = "taking shape"
    WITH_CLICK = "holds with the click"
    HOLDS = "holds"
    READY = "ready"
    RETURN = "needs a return"

    @property
    def is_holding(self) -> bool:
        """Whether it holds at its goal tempo, with or without the click."""
        return self in (MasteryState.WITH_CLICK, MasteryState.HOLDS, MasteryState.READY)


@dataclass(frozen=True, slots=True)
class Rise:
    """What lifts a passage into a state: so many good days at the goal tempo."""

    to: MasteryState
    outcome: Outcome
    """What a time through has to be at least, at the goal tempo or above."""
    is_alone: bool
    """Whether only times through without the click count."""
    is_first: bool
    """Whether only the first such time through of a day counts: what was kept overnight. Then
    the newest of them must have been as good; otherwise days with a slip do not count."""
    days: int
    """Separate practice days on which it happened."""
    span: int
    """Days from the first of them to the last, at least."""


@dataclass(frozen=True, slots=True)
class Fall:
    """What brings a passage that holds down."""

    to: MasteryState
    slips: int
    """Practice days in a row on which it slipped: it failed at the goal tempo or slower, and
    did not hold at the goal tempo that day, or failed more often than it held. 0 if time alone
    decides."""


RISES = (
    Rise(MasteryState.READY, Outcome.SECURE, True, True, 3, 7),
    Rise(MasteryState.HOLDS, Outcome.HELD, True, True, 2, 1),
    Rise(MasteryState.WITH_CLICK, Outcome.HELD, False, False, 2, 1),
)
"""The highest first; the first one that is met counts. Standings are cached by these rules: after
a change raise `_FORM` in `journal/mastery_cache.py`."""

FALLS = (
    Fall(MasteryState.TAKING_SHAPE, 2),
    Fall(MasteryState.RETURN, 1),
    Fall(MasteryState.RETURN, 0),
)
"""Looked at in this order; the first one that is met counts."""

_THE_OTHERS = frozenset({"theirs", "coincidence"})
"""Layers that do not carry the player: the other side, and where both meet."""

_ANOTHER_PART = "rhythm:"
"""A layer that begins so is what another part plays: what a chamber player plays against."""


def is_alone(attempt: Attempt) -> bool:
    """Whether a passage was played without the click carrying it.

    The click carries as soon as a layer of the player's own sounds; a layer nobody knows
    counts as one. Where it falls silent for some bars or beats it still steadies the rest,
    so that is with the click, unless a whole time through was silent. Who plays along does
    not matter: the other parts keep time as colleagues do, which is what the passage is
    practised for, and a drone keeps none.
    """
    carried = any(
        not (name in _THE_OTHERS or name.startswith(_ANOTHER_PART)) for name in attempt.layers
    )
    return not carried or attempt.repetitions >= _times_with_a_silent_one(attempt.silences)


@lru_cache(maxsize=64)
def _times_with_a_silent_one(silences: str) -> float:
    """In how many times through in a row one is silent from end to end; infinity for never.

    What is left to chance may never come.
    """
    from companion.click.plan.silences import SOUNDING, Every, Growing, Unit
    from companion.click.words.layer_words import parse_silence

    fewest = inf
    for words in filter(None, silences.split(", ")):
        try:
            silence = parse_silence(words)
        except RequestError:  # in the words of an earlier form
            continue
        if isinstance(silence, Every) and silence.unit is Unit.TIMES:
            fewest = min(fewest, silence.number)
        elif isinstance(silence, Growing) and silence.unit is Unit.TIMES:
            fewest = min(fewest, SOUNDING + 1)
    return fewest
