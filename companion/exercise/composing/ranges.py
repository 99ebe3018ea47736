"""How high and how low the instruments read: from the lowest open string to the end of first
position on the highest (common practice, no source)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from companion.errors import RequestError


@dataclass(frozen=True, slots=True)
class Range:
    """What a player can be asked to read at sight."""

    low: int
    """Lowest sounding pitch; middle C is 60."""
    high: int
    """Highest sounding pitch."""


RANGES: Mapping[str, Range] = MappingProxyType(
    {
        "violin": Range(55, 83),  # G3, the open string, to B5, the fourth finger on E
        "viola": Range(48, 76),  # C3 to E5
        "cello": Range(36, 64),  # C2 to E4, a stretch above the fourth finger on A
    }
)
"""By the name of the instrument."""


def range_of(instrument: str) -> Range:
    """The range of an instrument. Raises RequestError naming those there are."""
    found = RANGES.get(instrument.strip().casefold())
    if found is None:
        known = ", ".join(RANGES)
        raise RequestError(f"“{instrument}” has no range here", next=f"Choose from {known}.")
    return found
