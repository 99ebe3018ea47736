"""What `companion exercise new` asks, on the command line and on the terminal: one table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Question:
    """One thing an exercise can say."""

    key: str
    """The option, and the key of the file; `goal-` before those of the goal."""
    metavar: str
    """What stands for the answer in the help."""
    does: str
    """The help."""
    asks: str = ""
    """How it is asked on the terminal; empty where it is not."""
    is_number: bool = False
    """Whether the file has a number there."""
    is_many: bool = False
    """Whether it may be given several times, a line each."""
    unless: str = ""
    """The key that makes the question idle."""

    @property
    def is_of_goal(self) -> bool:
        """Whether it belongs to the goal."""
        return self.key.startswith("goal-")

    def is_asked(self, given: Mapping[str, Any]) -> bool:
        """Whether it is asked on the terminal, given what is known so far."""
        return bool(self.asks) and not (self.unless and given.get(self.unless))

    def value(self, answer: str | list[str]) -> object:
        """The answer as the file would have it; a number where it reads as one."""
        text = "\n".join(answer) if isinstance(answer, list) else answer
        if self.is_number:
            try:
                return float(text) if "." in text else int(text)
            except ValueError:
                return text
        return text


QUESTIONS = (
    Question("title", "TEXT", "what the student reads first", "Title?"),
    Question("for", "NAME", "whom it is for", "For whom?"),
    Question("due", "DAY", "by when, such as 2026-05-03", "Due, such as 2026-05-03?"),
    Question("score", "FILE", "a score to practise in", "Score file?", unless="pattern"),
    Question(
        "pattern",
        "NOTES",
        "notes in the short notation, instead of a score; once for each line",
        "Or notes, such as 2/4 q e e | h?",
        is_many=True,
        unless="score",
    ),
    Question("key", "KEY", "the key of the notes, such as D"),
    Question("part", "PART", "the student's part", "Part?", unless="pattern"),
    Question("bars", "A-B", "which bars", "Bars, such as 9-16?", unless="pattern"),
    Question(
        "tempo",
        "PLAN",
        "60, or a plan such as “60 to 96 by 4, twice each”",
        "Tempo, such as 60, or 60 to 96 by 4?",
        is_number=True,
    ),
    Question("layers", "LIST", "what the click sounds, with commas"),
    Question("count-in", "N", "bars counted in", is_number=True),
    Question("repeat", "N", "times through", is_number=True),
    Question("silences", "LIST", "where the click leaves, such as “every 4”"),
    Question("goal-tempo", "BPM", "the tempo to reach", is_number=True),
    Question("goal-outcome", "WORD", "how it must go: fell apart, shaky, held, secure"),
    Question("goal-times", "N", "times through on one day", is_number=True),
    Question("goal-days", "N", "on so many days", "On how many days must it hold?", True),
    Question("listen", "TEXT", "what to listen for", "What should they listen for?"),
    Question("shows", "LIST", "what it is there to show, such as “3:2 in the beat”"),
    Question("level", "N", "how hard it is, 1 to 9", is_number=True),
    Question("instructions", "TEXT", "what to do, which may be Markdown", "Anything to say?"),
)
"""In the order in which they are asked."""
