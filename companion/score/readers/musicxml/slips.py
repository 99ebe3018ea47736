"""What the reader had to mend or leave, said once each.

A slip repeated in every bar would bury the others, so the same sentence is kept
once, with the first bar it happened in and how often it came back.
"""

from __future__ import annotations

MOST = 200
"""Different sentences worth telling; a file with more is beyond mending."""


class Slips:
    """The sentences collected while one score is read."""

    __slots__ = ("_seen",)

    def __init__(self) -> None:
        self._seen: dict[str, list[int]] = {}

    def add(self, bar: int, sentence: str) -> None:
        """Note a slip in the bar with this ordinal position; 0 for the whole score."""
        if len(self._seen) >= MOST and sentence not in self._seen:
            bar, sentence = 0, "the file holds more faults than are told here"
        found = self._seen.setdefault(sentence, [bar, 0])
        found[1] += 1

    def told(self) -> tuple[tuple[int, str], ...]:
        """(ordinal bar, sentence) in order of bars."""
        rows = [
            (bar, sentence if count == 1 else f"{sentence} ({count} times)")
            for sentence, (bar, count) in self._seen.items()
        ]
        return tuple(sorted(rows, key=lambda row: row[0]))
