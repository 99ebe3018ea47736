"""How a time through a passage went, in the player's own judgement.

Four words, worst to best. They are ranked here and not left to the alphabet,
which would call "shaky" better than "held" wherever words were compared.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from companion.errors import RequestError


class Outcome(StrEnum):
    """One of four words, worst first; compared and sorted by rank, not by spelling."""

    FELL_APART = "fell apart"
    SHAKY = "shaky"
    HELD = "held"
    SECURE = "secure"

    @property
    def rank(self) -> int:
        """1 for the worst to 4 for the best."""
        return tuple(Outcome).index(self) + 1

    def __lt__(self, other: str) -> bool:
        return self.rank < Outcome(other).rank

    def __le__(self, other: str) -> bool:
        return self.rank <= Outcome(other).rank

    def __gt__(self, other: str) -> bool:
        return self.rank > Outcome(other).rank

    def __ge__(self, other: str) -> bool:
        return self.rank >= Outcome(other).rank


KEYS: Mapping[str, Outcome] = {str(outcome.rank): outcome for outcome in Outcome}
"""The key that says each outcome: "1" for the worst to "4" for the best."""


def outcome_named(text: str) -> Outcome:
    """An outcome by its word, the beginning of it, or its key. Raises RequestError."""
    wanted = text.strip().casefold()
    found = [one for one in Outcome if wanted and one.value.startswith(wanted)]
    if wanted in KEYS:
        return KEYS[wanted]
    if len(found) != 1:
        raise RequestError(f"“{text}” is no outcome", next=f"Choose one of: {', '.join(Outcome)}.")
    return found[0]


MEANINGS: Mapping[Outcome, str] = {
    Outcome.FELL_APART: "It stopped, or the rhythm was lost and not found again.",
    Outcome.SHAKY: "It reached the end, but with stumbles or by luck.",
    Outcome.HELD: "The rhythm held from the first bar to the last, with effort.",
    Outcome.SECURE: "It held by itself, and would hold beside other players.",
}
"""What each outcome means to a player, in one sentence."""
