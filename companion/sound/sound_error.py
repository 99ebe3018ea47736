"""What can go wrong between the program and the ear, as one sentence.

Sound fails in a thread nobody watches. Everything caught there is turned into a
sentence by one function, so that a screen never has to show an exception's name
to a player, and nothing is lost on the way.
"""

from __future__ import annotations

from companion.errors import CompanionError


class SoundError(CompanionError):
    """The sound card, its library, or the sound itself cannot serve."""


def sentence_of(fault: Exception) -> str:
    """One sentence for whatever stopped the sound."""
    if isinstance(fault, CompanionError):
        return fault.sentence()
    words = str(fault).strip().rstrip(".")
    kind = type(fault).__name__
    return f"The sound stopped: {words} ({kind})." if words else f"The sound stopped: {kind}."
