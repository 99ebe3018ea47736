"""What a drill can be asked for in words: the field's title, what is set, examples, the reader."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from companion.click.tempo_plan import told
from companion.desk import wishes
from companion.desk.company_words import company_in_words
from companion.desk.drill import Drill
from companion.desk.setting import Setting

ASKED = ("p", "w", "x", "O")
"""The keys that ask: tempo plan, layers, silences, company."""


@dataclass(frozen=True, slots=True)
class Question:
    """One field."""

    title: str
    """What is asked."""
    words: str
    """What is set now."""
    examples: tuple[tuple[str, str], ...]
    """(words, what they mean)."""
    read: Callable[[str], Setting]
    """From an answer to a setting. Raises RequestError."""


def question(key: str, drill: Drill) -> Question:
    """The question of a key out of ASKED."""
    return _QUESTIONS[key](drill)


def _plan(drill: Drill) -> Question:
    setting = drill.setting
    return Question(
        "Tempo plan, in felt beats a minute",
        told(setting.ladder or setting.tempo),
        (
            ("60", "one tempo"),
            ("60 to 90 by 4", "a ladder: a step up for each attempt that held"),
            ("…, twice each", "two attempts that held for each step"),
            ("…, else back one", "a step back after one that failed (or: from the start)"),
            ("60 to 90 over 8 times", "a ramp without steps"),
            ("60 and 90, twice each", "two tempos by turns"),
            ("as marked    80%", "the score's own tempos, or a share of them"),
        ),
        lambda words: wishes.with_plan(drill.setting, words),
    )


def _layers(drill: Drill) -> Question:
    names = ", ".join(part.name for part in drill.stand.score.parts)
    return Question(
        "What sounds",
        wishes.layers_in_words(drill.setting.layers),
        (
            ("beat, division", "beats and pulses of my meter"),
            ("mine, theirs", "in a conflict, the two sides (both)"),
            ("resultant", "in a conflict, both sides as one rhythm"),
            ("coincidence", "in a conflict, where both sides meet"),
            ("bar", "the first of each bar"),
            ("rhythm", "what is written in my part"),
            ("rhythm:PART", f"what is written in another ({names})"),
        ),
        lambda words: wishes.with_layers_named(drill.setting, drill.stand, drill.passage, words),
    )


def _silences(drill: Drill) -> Question:
    return Question(
        "Silences: where the click leaves",
        wishes.silences_in_words(drill.setting.silences),
        (
            ("none", "it never leaves"),
            ("every 4", "every fourth bar is silent (or: 4 beats, 4 times)"),
            ("growing to 4", "for one bar, then two, three, four"),
            ("random 0.3", "three bars of ten, by chance"),
            ("mine only", "in a conflict, my side alone"),
            ("theirs only", "in a conflict, the other side alone"),
            ("every 4, mine only", "both"),
        ),
        lambda words: wishes.with_silences(drill.setting, words),
    )


def _company(drill: Drill) -> Question:
    score, mine = drill.stand.score, drill.passage.part
    names = ", ".join(part.name for index, part in enumerate(score.parts) if index != mine)
    return Question(
        "Who plays along",
        company_in_words(drill.setting.company, score, mine),
        (
            ("all", f"everybody but me ({names})"),
            ("viola, cello", "these two"),
            ("all, plucked", "how they sound: bowed, plucked or plain"),
            ("all, font my.sf2", "through a SoundFont of yours"),
            ("all, A=415", "the tuning, 415 to 445"),
            ("drone A3", "a note held all the while"),
            ("nobody", "the click alone"),
        ),
        lambda words: wishes.with_company(drill.setting, drill.stand, drill.passage, words),
    )


_QUESTIONS = {"p": _plan, "w": _layers, "x": _silences, "O": _company}
