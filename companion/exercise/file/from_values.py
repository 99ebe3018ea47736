"""From the plain values of a file whose form is good to an exercise; nothing can fail here."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

from companion.click.plan.layers import DEFAULT
from companion.click.plan.tempo_plan import Fixed, TempoPlan
from companion.click.words.layer_words import parse_layers
from companion.click.words.tempo_words import parse_tempo
from companion.exercise.file.exercise import Aim, Exercise, ExerciseDrill
from companion.practice.attempt import Outcome

Plain = dict[str, Any]


def exercise_from(plain: Plain) -> Exercise:
    """An exercise from values that `faults_of_form` has nothing against."""
    return Exercise(
        title=plain["title"].strip(),
        drills=tuple(_drill(drill) for drill in plain["drill"]),
        whom=plain.get("for", "").strip(),
        due=date.fromisoformat(plain["due"]) if "due" in plain else None,
        level=int(plain["level"]) if "level" in plain else None,
        instructions=plain.get("instructions", "").strip(),
    )


def _drill(plain: Plain) -> ExerciseDrill:
    return ExerciseDrill(
        title=plain.get("title", "").strip(),
        pattern=plain.get("pattern", ""),
        score=plain.get("score", ""),
        abc=plain.get("abc", ""),
        key=plain.get("key", ""),
        part=_named(plain.get("part", 1)),
        bars=_named(plain.get("bars", "")),
        tempo=_tempo(plain.get("tempo")),
        layers=parse_layers(plain["layers"]) if "layers" in plain else tuple(DEFAULT),
        count_in=int(plain.get("count-in", 1)),
        repeat=int(plain["repeat"]) if "repeat" in plain else None,
        silences=values_listed(plain.get("silences", "")),
        fades=values_listed(plain.get("fades", "")),
        seed=int(plain.get("seed", 0)),
        aim=_aim(plain.get("goal", {})),
        listen=plain.get("listen", "").strip(),
        shows=values_listed(plain.get("shows", "")),
    )


def _named(value: float | str) -> str:
    return value.strip() if isinstance(value, str) else str(int(value))


def exact(value: float) -> Fraction:
    """A number as it is written: 72.1 is 721/10, whatever the machine makes of it."""
    return Fraction(repr(value))


def _tempo(value: float | str | None) -> TempoPlan | None:
    if value is None:
        return None
    return parse_tempo(value) if isinstance(value, str) else Fixed(exact(value))


def values_listed(text: str) -> tuple[str, ...]:
    """The words of a text that joins them by commas."""
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _aim(plain: Plain) -> Aim:
    return Aim(
        exact(plain["tempo"]) if "tempo" in plain else None,
        Outcome(plain.get("outcome", Outcome.HELD)),
        int(plain.get("times", 1)),
        int(plain.get("days", 1)),
    )
