"""What a player can set in a drill, kept apart from what sounds."""

from __future__ import annotations

from dataclasses import dataclass

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import CEILING, DEFAULT, AnyLayer, Mix
from companion.click.plan.silences import Silence
from companion.click.plan.tempo_plan import Ladder, LadderPlace, TempoPlan
from companion.session.accompaniment import Accompaniment, taken_by


@dataclass(frozen=True, slots=True)
class Setting:
    """What is wanted of a drill."""

    tempo: TempoPlan
    """How fast, and how that changes over the times through."""
    layers: tuple[AnyLayer, ...] = DEFAULT
    """What sounds of the click."""
    count_in: int = 1
    """Bars counted in."""
    silences: tuple[Silence, ...] = ()
    """Where the click is silent."""
    accompaniment: Accompaniment = Accompaniment()
    """Who can play along."""
    are_others_on: bool = False
    """Whether they do."""
    first: int | None = None
    """Ordinal position of the bar at which one enters; None for the passage's first."""
    ladder: Ladder | None = None
    """The ladder that `tempo` is a step of, or lies between two steps of; None without one."""
    climb: LadderPlace = LadderPlace()
    """Which step that is. Attempts move it, and the player's own steps of tempo."""


def click_settings_for(setting: Setting) -> ClickSettings:
    """What that asks of the click. It leaves room for the others, whether they are on or not,
    so that turning them on never makes the click softer."""
    return ClickSettings(
        tempo=setting.tempo,
        layers=setting.layers,
        count_in=setting.count_in,
        silences=setting.silences,
        mix=Mix(ceiling=CEILING - taken_by(setting.accompaniment)),
    )
