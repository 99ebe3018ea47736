"""Composes a reading exercise: a ratio, hemiolas or pulses beside the beat, in a meter, a key
and a range, for a level, from a seed.

The same order always gives the same exercise, so that a teacher can send the order instead
of the file; another seed gives fresh music, so that a student never runs out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import groupby

from companion.click.plan.tempo_plan import AfterFailing, Ladder
from companion.errors import RequestError
from companion.exercise.against_the_bar import displaced_rhythm, hemiola_rhythm
from companion.exercise.drill_features import has_feature
from companion.exercise.drill_on_score import drill_on_score, made_score
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.exercise.pattern.tonality import tonality
from companion.exercise.sight_reading_line import (
    RhythmBar,
    SeededChance,
    events_of,
    melody,
    range_of,
    rhythm,
    steady_line,
)
from companion.rhythm.division import fit
from companion.rhythm.meter import Meter, parse
from companion.score.cache import digest
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import Opened

_MOST_BARS = 64
"""Bars at most."""


class Reading(StrEnum):
    """What a reading exercise is for."""

    RATIO = "ratio"
    HEMIOLA = "hemiola"
    DISPLACEMENT = "displacement"


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for."""

    mine: int
    """Notes of my side, for a ratio."""
    theirs: int
    """Notes of the other side in the same time."""
    meter: str
    bars: int = 8
    seed: int = 1
    instrument: str = "violin"
    key: str = "D"
    """`D`, `Bb`, `F# minor`."""
    span: str = "beat"
    """`beat` or `bar`: what is divided."""
    level: int | None = None
    """How hard, 1–9, as exercises are graded; None for the easiest it can be."""
    reading: Reading = Reading.RATIO


def compose(order: Order) -> Exercise:
    """The exercise. Raises RequestError for an order that cannot be filled."""
    from pathlib import Path

    _check(order)
    drill = _drill(order)
    made = Exercise(
        title=_title(order), drills=(drill,), instructions=_INSTRUCTIONS, level=_level(order)
    )
    content = made_score(drill, made.named(1))
    opened = Opened(read_musicxml(content, made.title), digest(content), Path(made.title))
    on_score = drill_on_score(drill, 1, opened)
    if not has_feature(drill.shows[0], on_score.passage, on_score.conflicts, False):
        raise RequestError(
            f"{drill.shows[0]} does not come out clearly in {order.meter}",
            next="Choose another meter, or --span beat.",
        )
    return made


def _title(order: Order) -> str:
    what = {
        Reading.RATIO: f"{order.mine} against {order.theirs}",
        Reading.HEMIOLA: "hemiolas",
        Reading.DISPLACEMENT: "pulses beside the beat",
    }
    return f"Reading: {what[order.reading]} in {order.meter}"


_INSTRUCTIONS = """\
Read it once with your eyes, hearing the other line inside. Then play it with the click of
both sides, slowly; when it holds, take your own side out of the click.

Stop when it hurts, and ask your teacher or a doctor."""


def _check(order: Order) -> None:
    if order.reading is Reading.RATIO:
        _check_ratio(order)
    if not 3 <= order.bars <= _MOST_BARS:
        raise RequestError(f"{order.bars} bars cannot be made", next=f"Choose 3–{_MOST_BARS}.")
    if order.span not in ("beat", "bar"):
        raise RequestError(f"“{order.span}” is not divided here", next="Choose beat or bar.")
    if not parse(order.meter).is_even:
        raise RequestError(
            f"the beats of {order.meter} are unequal, so they are not divided alike",
            next="Choose a meter with equal beats.",
        )
    if order.level is not None and not _least_level(order) <= order.level <= HARDEST:
        raise RequestError(
            f"{_title(order).removeprefix('Reading: ')} is not for level {order.level}",
            next=f"Choose level {_least_level(order)} to {HARDEST}.",
        )


def _check_ratio(order: Order) -> None:
    if not (2 <= order.mine <= 9 and 2 <= order.theirs <= 9):
        raise RequestError(
            f"{order.mine}:{order.theirs} is not a ratio to read", next="Use numbers from 2 to 9."
        )
    if fit(order.mine, order.theirs):
        raise RequestError(
            f"{order.mine} and {order.theirs} fit each other, so there is no conflict",
            next="Choose two numbers of which neither divides the other, such as 3:2.",
        )


def _drill(order: Order) -> ExerciseDrill:
    meter, key, chance = parse(order.meter), tonality(order.key), SeededChance(order.seed)
    mine, theirs = _rhythms(order, meter, chance)
    pitches = melody(mine, key, range_of(order.instrument), chance)
    name = order.instrument.strip().casefold()
    slow, fast = _tempos(order, meter, mine)
    lines = [_words(mine, pitches), _words(theirs, None)]
    return ExerciseDrill(
        pattern=aligned_lines([name, "clap"], order.meter, lines),
        key=key.name if key.fifths else "",
        tempo=Ladder(slow, fast, Fraction(4), 2, AfterFailing.BACK_ONE),
        goal=DrillGoal(times=2, days=2),
        listen=_listen(order),
        shows=(
            f"{order.mine}:{order.theirs} in the {order.span}"
            if order.reading is Reading.RATIO
            else order.reading.value,
        ),
    )


def _rhythms(
    order: Order, meter: Meter, chance: SeededChance
) -> tuple[list[RhythmBar], list[RhythmBar]]:
    """My side and the other, which keeps the beat unless the ratio says otherwise."""
    bars = order.bars
    if order.reading is Reading.RATIO:
        mine = rhythm(meter, bars, order.mine, order.span, chance)
        return mine, steady_line(meter, bars, order.theirs, order.span)
    beats = steady_line(meter, bars, 1, "beat")
    if order.reading is Reading.HEMIOLA:
        return hemiola_rhythm(meter, bars, chance), beats
    return displaced_rhythm(meter, bars, chance), beats


def _listen(order: Order) -> str:
    match order.reading:
        case Reading.RATIO:
            return (
                f"The click has {order.theirs} where you have {order.mine}: meet it where both "
                "begin, and let neither bend the other."
            )
        case Reading.HEMIOLA:
            return "Hear your groups against the bar, and meet the click where both begin."
        case Reading.DISPLACEMENT:
            return "Each of your notes begins between two of theirs, exactly in the middle."


# How hard it is, and how fast it is played at each level.


HARDEST = 9
_EASIEST_OF = {3: 2, 4: 4, 5: 5, 6: 6, 7: 7, 8: 8, 9: 9}
"""The level of a ratio by its larger number, as the built-in exercises are graded."""
_SLOWEST, _FASTEST = 30, 120
"""Felt beats a minute between which a ladder lies (common practice, no source)."""


def _least_level(order: Order) -> int:
    """The easiest a reading can be."""
    if order.reading is not Reading.RATIO:
        return 3
    return _EASIEST_OF[max(order.mine, order.theirs)]


def _level(order: Order) -> int:
    return _least_level(order) if order.level is None else order.level


def notes_a_second(level: int) -> Fraction:
    """The notes a hand plays at its fastest at a level: 3 at 1, 7 at 9, as the built-in
    exercises are graded (common practice, no source)."""
    return Fraction(5 + level, 2)


_ON_THE_DOUBLE_BASS = Fraction(3, 4)
"""Of what is played on the others: a hand spans a tone there, and shifts for the next (common
practice, no source)."""


def _tempos(order: Order, meter: Meter, mine: Sequence[RhythmBar]) -> tuple[Fraction, Fraction]:
    """From where to where the ladder goes: at its end the shortest notes of my line are as fast
    as the level allows. Raises RequestError if the beat would be too slow to be felt."""
    shortest = min(event.length for bar in mine for value in bar for event in events_of(value.word))
    allowed = 60 * notes_a_second(_level(order)) * shortest / meter.beat
    if order.instrument.strip().casefold() == "double bass":
        allowed *= _ON_THE_DOUBLE_BASS
    fast = min(_FASTEST, int(allowed))
    slow = max(_SLOWEST, int(Fraction(fast * 2, 3)))
    if fast < _SLOWEST + 4:
        raise RequestError(
            f"no hand plays {order.mine} in a {order.span} of {order.meter} at level "
            f"{_level(order)}",
            next="Choose a shorter beat or a smaller ratio.",
        )
    return Fraction(slow), Fraction(slow + (fast - slow) // 4 * 4)


# A pattern as a person reads it: bars below each other, what comes again written once.


def _words(bars: Sequence[RhythmBar], pitches: Sequence[Sequence[str]] | None) -> list[str]:
    return [
        " ".join(
            _repeated(
                f"{pitches[number][at] if pitches and value.word[0] != 'r' else ''}{value.word}"
                f"{'~' if value.is_tied else ''}"
                for at, value in enumerate(bar)
            )
        )
        for number, bar in enumerate(bars)
    ]


def _repeated(words: Iterable[str]) -> Iterator[str]:
    """`e. e. e. e.` as `e.*4`."""
    for word, same in groupby(words):
        count = len(list(same))
        yield (
            f"{word}*{count}" if count > 1 and not word.endswith("~") else " ".join([word] * count)
        )


def aligned_lines(names: Sequence[str], meter: str, lines: Sequence[Sequence[str]]) -> str:
    """A pattern with its barlines below each other; `%` for a bar that comes again."""
    told = [[_again(line, at) for at in range(len(line))] for line in lines]
    widths = [max(map(len, column)) for column in zip(*told, strict=True)]
    width = max(map(len, names)) + 1
    return "".join(
        f"{f'{name}:'.ljust(width)} {meter} {_barred(bars, widths)}\n"
        for name, bars in zip(names, told, strict=True)
    )


def _again(line: Sequence[str], at: int) -> str:
    is_again = at > 0 and line[at] == line[at - 1] and "~" not in line[at]
    return "%" if is_again else line[at]


def _barred(bars: Sequence[str], widths: Sequence[int]) -> str:
    return " | ".join(bar.ljust(width) for bar, width in zip(bars, widths, strict=True)).rstrip()
