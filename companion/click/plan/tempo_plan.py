"""How the tempo goes over the times through a passage: what a teacher would prescribe.

Every number counts felt beats of the player's own part in the passage's first bar; what a
later change of meter makes of them the shared clock says. Nothing here is rounded.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import ceil

from companion.errors import RequestError
from companion.rhythm.tempo import checked_tempo

MOST_TIMES = 999
"""Times through at most, of a whole plan."""
LEAST_SHARE, MOST_SHARE = Fraction(1, 10), Fraction(4)
"""Between which a share of the score's own tempo must lie."""


class AfterFailing(StrEnum):
    """What a ladder does after an attempt that failed."""

    SAME = "same"
    """The tempo stays, and its times through are counted again."""
    BACK_ONE = "back one"
    """One step back."""
    FROM_START = "from the start"
    """Back to where the ladder began."""


@dataclass(frozen=True, slots=True)
class Fixed:
    """One tempo."""

    bpm: Fraction
    """Felt beats a minute."""

    def __post_init__(self) -> None:
        checked_tempo(self.bpm)


@dataclass(frozen=True, slots=True)
class Ladder:
    """From one tempo to another in steps, so many times through on each."""

    start: Fraction
    """Felt beats a minute to begin with."""
    goal: Fraction
    """Felt beats a minute to end with, below the start where one slows down."""
    step: Fraction
    """Beats a minute from one step to the next; the last one may be smaller."""
    each: int = 1
    """Times through on each step."""
    after_failing: AfterFailing = AfterFailing.SAME
    """What to do after an attempt that failed; a file takes none for failed."""

    def __post_init__(self) -> None:
        checked_tempo(self.start)
        checked_tempo(self.goal)
        _check_each(self.each)
        if self.step <= 0 or self.start == self.goal:
            raise RequestError(
                "a ladder needs steps from one tempo to another", next="Write 60 to 90 by 4."
            )
        _check_times((self._steps + 1) * self.each)

    @property
    def tempos(self) -> tuple[Fraction, ...]:
        """Its tempos in order; the last one is the goal."""
        step = self.step if self.goal > self.start else -self.step
        return (*(self.start + step * k for k in range(self._steps)), self.goal)

    @property
    def _steps(self) -> int:
        return ceil(abs(self.goal - self.start) / self.step)


@dataclass(frozen=True, slots=True)
class Ramp:
    """From one tempo to another without steps: every beat shorter, or longer, than the last by
    the same amount."""

    start: Fraction
    """Felt beats a minute at the beginning."""
    goal: Fraction
    """Felt beats a minute at the end, and after it."""
    over: int | None = None
    """Times through that it takes; None for as many as there are."""

    def __post_init__(self) -> None:
        checked_tempo(self.start)
        checked_tempo(self.goal)
        if self.over is not None:
            _check_times(self.over)


@dataclass(frozen=True, slots=True)
class Turns:
    """Two tempos by turns, to mix a slow one among fast ones."""

    first: Fraction
    """Felt beats a minute."""
    second: Fraction
    """Felt beats a minute."""
    each: int = 1
    """Times through at one before the other."""

    def __post_init__(self) -> None:
        checked_tempo(self.first)
        checked_tempo(self.second)
        _check_each(self.each)


@dataclass(frozen=True, slots=True)
class Marked:
    """The tempos that the score itself states, all slower or faster by the same share."""

    share: Fraction = Fraction(1)
    """Of what is marked."""
    rit: Fraction | None = None
    """The share of the tempo that a *rit.* without a number reaches, and an *accel.* the other
    way round; None if such words change nothing."""
    hold: Fraction = Fraction(0)
    """Beats by which a fermata lasts longer than written."""

    def __post_init__(self) -> None:
        if not LEAST_SHARE <= self.share <= MOST_SHARE:
            raise RequestError(
                f"{float(self.share * 100):g}% of the marked tempo is not possible",
                next=f"Choose {LEAST_SHARE * 100}–{MOST_SHARE * 100}%.",
            )
        if self.rit is not None and not LEAST_SHARE <= self.rit <= 1:
            raise RequestError(
                f"a rit. to {float(self.rit):g} of the tempo is not possible",
                next=f"Choose {float(LEAST_SHARE):g} to 1.",
            )
        if not 0 <= self.hold <= 16:
            raise RequestError(
                f"a fermata of {float(self.hold):g} more beats is not possible", next="Choose 0–16."
            )


TempoPlan = Fixed | Ladder | Ramp | Turns | Marked


def natural_times(tempo: TempoPlan) -> int:
    """Times through that a plan takes by itself."""
    if isinstance(tempo, Ladder):
        return len(tempo.tempos) * tempo.each
    if isinstance(tempo, Turns):
        return 2 * tempo.each
    return tempo.over or 1 if isinstance(tempo, Ramp) else 1


def _check_each(each: int) -> None:
    if not 1 <= each <= 99:
        raise RequestError(f"{each} times each is not possible", next="Choose 1–99.")


def _check_times(times: int) -> None:
    if not 1 <= times <= MOST_TIMES:
        raise RequestError(
            f"that would be {times} times through", next=f"Choose a plan of 1–{MOST_TIMES}."
        )


# Where a player stands on a tempo ladder, after each attempt.


@dataclass(frozen=True, slots=True)
class LadderPlace:
    """A place on a ladder."""

    index: int = 0
    """Which of its tempos, from 0."""
    held: int = 0
    """Times through that held there, since it was reached or since one failed."""


def place_after(
    ladder: Ladder, climb: LadderPlace, *, has_held: bool, times: int = 1
) -> LadderPlace:
    """The place after so many more times through; on the last step one only goes on counting."""
    if has_held:
        on_top = climb.index == len(ladder.tempos) - 1
        if climb.held + times >= ladder.each and not on_top:
            return LadderPlace(climb.index + 1)
        return replace(climb, held=climb.held + times)
    if ladder.after_failing is AfterFailing.FROM_START:
        return LadderPlace()
    if ladder.after_failing is AfterFailing.BACK_ONE:
        return LadderPlace(max(0, climb.index - 1))
    return LadderPlace(climb.index)


def tempo_on(ladder: Ladder, climb: LadderPlace) -> Fraction:
    """Felt beats a minute there."""
    return ladder.tempos[climb.index]


def place_at(ladder: Ladder, bpm: Fraction) -> LadderPlace:
    """The last step that a tempo reaches; the first one for a tempo before it."""
    reached = [one for one in ladder.tempos if not is_before(ladder, bpm, one)]
    return LadderPlace(max(0, len(reached) - 1))


def is_before(ladder: Ladder, bpm: Fraction, step: Fraction) -> bool:
    """Whether a ladder comes to a step only after a tempo."""
    return bpm < step if ladder.goal > ladder.start else bpm > step
