"""Chance that falls alike on every machine and in every year.

Only `Random.random` is promised to give the same numbers for the same seed in later
versions of Python; `choice` and `shuffle` are not, so everything is drawn from it here.
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import TypeVar

Thing = TypeVar("Thing")


class Chance:
    """A source of choices."""

    def __init__(self, seed: int) -> None:
        self._random = Random(seed)

    def one_of(self, weights: Mapping[Thing, float]) -> Thing:
        """One of the keys, more often the more it weighs; at least one weighs something."""
        drawn = self._random.random() * sum(weights.values())
        for thing, weight in weights.items():
            drawn -= weight
            if drawn < 0:
                return thing
        return next(thing for thing in reversed(list(weights)) if weights[thing])
