"""What a player can want of a click, and what nobody can play to."""

from __future__ import annotations

from dataclasses import dataclass

from companion.click.plan.layers import DEFAULT, AnyLayer, Mix
from companion.click.plan.silences import Fade, Silence
from companion.click.plan.tempo_plan import MOST_TIMES, TempoPlan, natural_times
from companion.errors import RequestError

_MOST_COUNT_IN = 16
"""Bars of count-in at most."""
MOST_REPEATS = MOST_TIMES
"""Times through at most."""
LONGEST = 12 * 3600
"""Seconds a click lasts at most: longer than anybody should practise."""


@dataclass(frozen=True, slots=True)
class ClickSettings:
    """What a player wants of a click."""

    tempo: TempoPlan
    layers: tuple[AnyLayer, ...] = DEFAULT
    count_in: int = 0
    """Bars counted in, in beats, whatever the layers are."""
    counted_by: int | None = None
    """Index of the part whose meter is counted in; None for the player's own."""
    repeat: int | None = None
    """Times through; None for as many as the tempo plan takes."""
    silences: tuple[Silence, ...] = ()
    fades: tuple[Fade, ...] = ()
    """Layers that come or go over the times through."""
    mix: Mix = Mix()

    @property
    def times(self) -> int:
        """How many times through that makes."""
        return natural_times(self.tempo) if self.repeat is None else self.repeat


def check_settings(click_settings: ClickSettings) -> None:
    """Raises RequestError for no layers, or a count-in or a number of repeats out of range."""
    if not click_settings.layers:
        raise RequestError("a click needs at least one layer", next="Choose one, such as beat.")
    if not 0 <= click_settings.count_in <= _MOST_COUNT_IN:
        raise RequestError(
            f"a count-in of {click_settings.count_in} bars is not possible",
            next=f"Choose 0–{_MOST_COUNT_IN}.",
        )
    if not 1 <= click_settings.times <= MOST_REPEATS:
        raise RequestError(
            f"{click_settings.times} times through is not possible",
            next=f"Choose 1–{MOST_REPEATS}.",
        )
