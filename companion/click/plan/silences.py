"""Silences that teach: where the click leaves, so that the player has to keep time alone.

Bars and beats are counted on through the times through a passage, so that a passage of
two bars can lose every fourth one. Chance is drawn from the seed and the count alone: the
same seed gives the same gaps, from whichever place one starts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from hashlib import blake2b

from companion.click.plan.layers import AnyLayer, Layer, PartRhythm
from companion.errors import RequestError

_MOST = 99
"""The most of anything that can be asked for."""
SOUNDING = 2
"""Bars that sound between growing gaps (common practice, no source)."""


class Unit(StrEnum):
    """What is counted."""

    BARS = "bars"
    """Bars of the score."""
    BEATS = "beats"
    """Felt beats of my part."""
    TIMES = "times"
    """Times through the passage."""


class SilentSide(StrEnum):
    """A side of a conflict, as heard by the player."""

    MINE = "mine"
    """My own."""
    THEIRS = "theirs"
    """The other."""


@dataclass(frozen=True, slots=True)
class SilentSpot:
    """Where a stroke falls."""

    counts: tuple[int, int, int]
    """How many bars, beats and times through came before it, from the first time on."""
    is_contested: bool
    """Whether two sides pull in its beat."""
    layer: AnyLayer


@dataclass(frozen=True, slots=True)
class Every:
    """The click leaves every so many bars, beats or times."""

    number: int
    """4: three sound and one is silent."""
    unit: Unit = Unit.BARS

    def __post_init__(self) -> None:
        if not 2 <= self.number <= _MOST:
            raise RequestError(
                f"a silence every {self.number} {self.unit} is not possible",
                next=f"Choose 2–{_MOST}.",
            )

    def takes(self, spot: SilentSpot) -> bool:
        """Whether a stroke is left out."""
        return _count(spot, self.unit) % self.number == self.number - 1


@dataclass(frozen=True, slots=True)
class Growing:
    """The click leaves for one, then for two, then for three …; between, a few sound."""

    most: int = 8
    """The longest gap; it then comes again and again."""
    unit: Unit = Unit.BARS

    def __post_init__(self) -> None:
        if not 1 <= self.most <= _MOST:
            raise RequestError(
                f"a gap growing to {self.most} is not possible", next=f"Choose 1–{_MOST}."
            )

    def takes(self, spot: SilentSpot) -> bool:
        """Whether a stroke is left out."""
        count = _count(spot, self.unit)
        for gap in range(1, self.most):
            if count < SOUNDING + gap:
                return count >= SOUNDING
            count -= SOUNDING + gap
        return count % (SOUNDING + self.most) >= SOUNDING


@dataclass(frozen=True, slots=True)
class RandomSilence:
    """The click leaves by chance."""

    share: Fraction
    """How many of all are left out, over a long time."""
    seed: int = 0
    """Another one gives other gaps, the same one always the same."""
    unit: Unit = Unit.BARS

    def __post_init__(self) -> None:
        if not 0 < self.share < 1:
            raise RequestError(
                f"a chance of {float(self.share):g} is not possible",
                next="Choose more than 0 and less than 1, such as 0.3.",
            )

    def takes(self, spot: SilentSpot) -> bool:
        """Whether a stroke is left out."""
        told = f"{self.seed}:{self.unit}:{_count(spot, self.unit)}".encode()
        drawn = int.from_bytes(blake2b(told, digest_size=8).digest(), "big")
        return Fraction(drawn, 2**64) < self.share


@dataclass(frozen=True, slots=True)
class Only:
    """Where two sides pull, one of them sounds and everything else leaves."""

    side: SilentSide
    """Which one stays."""

    def takes(self, spot: SilentSpot) -> bool:
        """Whether a stroke is left out."""
        return spot.is_contested and not self._keeps(spot.layer)

    def _keeps(self, layer: AnyLayer) -> bool:
        if isinstance(layer, PartRhythm):
            return self.side is SilentSide.THEIRS
        return layer in _OF_SIDE[self.side]


_OF_SIDE = {SilentSide.MINE: {Layer.MINE, Layer.RHYTHM}, SilentSide.THEIRS: {Layer.THEIRS}}

Silence = Every | Growing | RandomSilence | Only


@dataclass(frozen=True, slots=True)
class Fade:
    """A layer that comes or goes over the times through."""

    layer: AnyLayer
    over: int
    """Times through until it is there, or gone."""
    comes: bool = False
    """Whether it fades in."""

    def __post_init__(self) -> None:
        if not 1 <= self.over <= _MOST:
            raise RequestError(
                f"a fade over {self.over} times is not possible", next=f"Choose 1–{_MOST}."
            )

    def share(self, number: int) -> Fraction:
        """The share of its level in a time through, numbered from 0.

        Going over 4: full, then 3/4, 1/2, 1/4 and silence from the fifth on; coming, the same
        from silence.
        """
        gone = min(Fraction(1), Fraction(max(0, number), self.over))
        return gone if self.comes else 1 - gone


def is_click_silent(silences: Sequence[Silence], spot: SilentSpot) -> bool:
    """Whether any of them leaves a stroke out."""
    return any(silence.takes(spot) for silence in silences)


def faded(fades: Sequence[Fade], layer: AnyLayer, number: int) -> Fraction:
    """What the fades leave of a layer's level in a time through."""
    share = Fraction(1)
    for fade in fades:
        if fade.layer == layer:
            share *= fade.share(number)
    return share


def _count(spot: SilentSpot, unit: Unit) -> int:
    return spot.counts[_PLACES[unit]]


_PLACES = {unit: place for place, unit in enumerate(Unit)}
