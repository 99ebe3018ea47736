"""The string instruments exercises are played on: open strings, and how high one reads.

Pitches are as written, middle C is 60; a double bass sounds an octave lower. Open strings as
in the handbooks of orchestration (W. Piston, Orchestration, 1955; S. Adler, The Study of
Orchestration; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from companion.errors import RequestError

_FIFTH = 7
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class Instrument:
    """A bowed string instrument."""

    name: str
    strings: tuple[int, ...]
    """Its open strings, from the lowest."""

    @property
    def low(self) -> int:
        """The lowest note: the lowest open string."""
        return self.strings[0]

    @property
    def high(self) -> int:
        """The highest an exercise asks for: a fifth above the highest open string.

        On violin and viola that is the end of the first position, on cello and double bass
        it is reached without the thumb.
        """
        return self.strings[-1] + _FIFTH

    def holds(self, heights: range | tuple[int, ...] | list[int]) -> bool:
        """Whether it has these notes."""
        return self.low <= min(heights) and max(heights) <= self.high


INSTRUMENTS = (
    Instrument("violin", (55, 62, 69, 76)),
    Instrument("viola", (48, 55, 62, 69)),
    Instrument("cello", (36, 43, 50, 57)),
    Instrument("double bass", (40, 45, 50, 55)),
)
"""From the highest to the lowest."""

_ALSO = {"violoncello": "cello", "bass": "double bass", "contrabass": "double bass"}


def instrument_named(typed: str) -> Instrument:
    """The instrument a person means. Raises RequestError naming those there are."""
    found = instrument_of(typed)
    if found is None:
        known = ", ".join(one.name for one in INSTRUMENTS)
        raise RequestError(f"“{typed}” is not an instrument here", next=f"Choose from {known}.")
    return found


def instrument_of(part_name: str) -> Instrument | None:
    """The instrument a part is written for, by its name: `Violin II` for a violin."""
    words = " ".join(part_name.casefold().split())
    words = _ALSO.get(words, words)
    named = (one for one in INSTRUMENTS if words == one.name or words.startswith(f"{one.name} "))
    return next(named, None)


def height(pitch: str) -> int:
    """A written pitch as a number: `C4` is 60, `F#4` 66."""
    return 12 * (int(pitch[-1]) + 1) + _STEPS[pitch[0]] + pitch.count("#") - pitch.count("b")
