"""How a player counts two divisions at once: `1 2& 3` for 3 against 2.

The side with more notes is counted in numbers; an & stands where the other side falls
between two of them, wherever between that is. (Common practice, no source.)
"""

from __future__ import annotations

from fractions import Fraction

from companion.rhythm.resultant import even


def count_aloud(more: int, fewer: int) -> str:
    """The count of `more` against `fewer` equal notes in one span: `1 2& 3`, `1 2& 3& 4`."""
    return " ".join(
        f"{number}&" if number in between(more, fewer) else str(number)
        for number in range(1, more + 1)
    )


def between(more: int, fewer: int) -> tuple[int, ...]:
    """The counts of `more` that are followed by a stroke of `fewer` before the next count."""
    return tuple(int(at * more) + 1 for at in even(fewer) if (at * more).denominator > 1)


def where_it_falls(more: int, fewer: int) -> str:
    """Where the side with fewer notes plays, in the counts of the other: `1 and the & of 2`."""
    words = [_word(at * more) for at in even(fewer)]
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _word(place: Fraction) -> str:
    number = int(place) + 1
    return str(number) if place.denominator == 1 else f"the & of {number}"
