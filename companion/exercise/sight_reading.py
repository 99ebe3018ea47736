"""Composes a reading exercise: a ratio, a meter, a key, a range, and a seed.

The same order always gives the same exercise, so that a teacher can send the order instead
of the file; another seed gives fresh music, so that a student never runs out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.click.plan.tempo_plan import AfterFailing, Ladder
from companion.errors import RequestError
from companion.exercise.drill_features import has_feature
from companion.exercise.drill_on_score import drill_on_score, made_score
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.exercise.pattern.tonality import tonality
from companion.exercise.sight_reading_line import (
    RhythmBar,
    SeededChance,
    melody,
    range_of,
    rhythm,
    steady_line,
)
from companion.rhythm.division import fit
from companion.rhythm.meter import parse
from companion.score.cache import digest
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import Opened

_MOST_BARS = 64
"""Bars at most."""


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for."""

    mine: int
    """Notes of my side."""
    theirs: int
    """Notes of the other side in the same time."""
    meter: str
    bars: int = 8
    seed: int = 1
    instrument: str = "violin"
    """`violin`, `viola` or `cello`."""
    key: str = "D"
    """`D`, `Bb`, `F# minor`."""
    level: str = "beat"
    """`beat` or `bar`: what is divided."""


def compose(order: Order) -> Exercise:
    """The exercise. Raises RequestError for an order that cannot be filled."""
    from pathlib import Path

    _check(order)
    drill = _drill(order)
    made = Exercise(
        title=f"Reading: {order.mine} against {order.theirs} in {order.meter}",
        drills=(drill,),
        instructions=_INSTRUCTIONS,
    )
    content = made_score(drill, made.named(1))
    opened = Opened(read_musicxml(content, made.title), digest(content), Path(made.title))
    on_score = drill_on_score(drill, 1, opened)
    if not has_feature(drill.shows[0], on_score.passage, on_score.conflicts, False):
        raise RequestError(
            f"{order.mine} against {order.theirs} in the {order.level} does not come out "
            f"clearly in {order.meter}",
            next="Choose another meter, or --level beat.",
        )
    return made


_INSTRUCTIONS = """\
Read it once with your eyes, hearing the other line inside. Then play it with the click of
both sides, slowly; when it holds, take your own side out of the click.

Stop when it hurts, and ask your teacher or a doctor."""


def _check(order: Order) -> None:
    if not (2 <= order.mine <= 9 and 2 <= order.theirs <= 9):
        raise RequestError(
            f"{order.mine}:{order.theirs} is not a ratio to read", next="Use numbers from 2 to 9."
        )
    if fit(order.mine, order.theirs):
        raise RequestError(
            f"{order.mine} and {order.theirs} fit each other, so there is no conflict",
            next="Choose two numbers of which neither divides the other, such as 3:2.",
        )
    if not 3 <= order.bars <= _MOST_BARS:
        raise RequestError(f"{order.bars} bars cannot be made", next=f"Choose 3–{_MOST_BARS}.")
    if order.level not in ("beat", "bar"):
        raise RequestError(f"“{order.level}” is not a level", next="Choose beat or bar.")
    if not parse(order.meter).is_even:
        raise RequestError(
            f"the beats of {order.meter} are unequal, so they are not divided alike",
            next="Choose a meter with equal beats.",
        )


def _drill(order: Order) -> ExerciseDrill:
    meter, key, chance = parse(order.meter), tonality(order.key), SeededChance(order.seed)
    mine = rhythm(meter, order.bars, order.mine, order.level, chance)
    theirs = steady_line(meter, order.bars, order.theirs, order.level)
    pitches = melody(mine, key, range_of(order.instrument), chance)
    name = order.instrument.strip().casefold()
    slow = _first_tempo(order.mine if order.level == "beat" else order.mine / len(meter.beats))
    return ExerciseDrill(
        pattern=f"{_line(name, order.meter, mine, pitches)}\n"
        f"{_line('clap', order.meter, theirs, None)}\n",
        key=key.name if key.fifths else "",
        tempo=Ladder(slow, slow * 3 / 2, Fraction(4), 2, AfterFailing.BACK_ONE),
        goal=DrillGoal(times=2, days=2),
        listen=f"The click has {order.theirs} where you have {order.mine}: meet it where both "
        f"begin, and let neither bend the other.",
        shows=(f"{order.mine}:{order.theirs} in the {order.level}",),
    )


def _first_tempo(notes_a_beat: float) -> Fraction:
    """Slow enough for about 160 notes a minute (common practice, no source)."""
    return Fraction(2 * max(15, min(30, int(80 / notes_a_beat))))


def _line(
    name: str, meter: str, bars: Sequence[RhythmBar], pitches: Sequence[Sequence[str]] | None
) -> str:
    written = [
        " ".join(
            f"{pitches[number][at] if pitches else ''}{value.word}{'~' if value.is_tied else ''}"
            for at, value in enumerate(bar)
        )
        for number, bar in enumerate(bars)
    ]
    return f"{name}: {meter} {' | '.join(written)}"
