"""Clicks of small scores, said in one line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import DEFAULT, AnyLayer, Layer
from companion.click.plan.plan import ClickPlan, plan, planned, seconds_at
from companion.click.plan.tempo_plan import Fixed, TempoPlan
from companion.findings.conflicts import conflicts_of
from companion.rhythm.meter import parse
from companion.score.laying import lay
from companion.score.model import Note, Part, PartBar, Score
from companion.score.passage import Passage, passage

ALL = tuple(Layer)


TICKS = 2520


def held(*columns: Sequence[str]) -> Score:
    """One part for each column of meters, with one note held through every bar."""

    def bar(number: int, meter: str) -> PartBar:
        length = int(parse(meter).length * TICKS)
        return PartBar(str(number), meter, length, (Note(0, length, "A4"),))

    return Score(
        "A study",
        "",
        TICKS,
        tuple(
            Part(f"P{part}", f"Part {part}", tuple(bar(n, m) for n, m in enumerate(meters, 1)))
            for part, meters in enumerate(columns, 1)
        ),
    )


def take(score: Score, part: int = 0, first: int = 1, last: int = 0) -> Passage:
    """A passage of a score laid on the clock; up to the end where `last` is 0."""
    clock = lay(score)
    return passage(clock, part, first, last or len(clock.bars))


def click(
    chosen: Passage | Score,
    bpm: Fraction | int = 60,
    layers: Iterable[AnyLayer] = DEFAULT,
    count_in: int = 0,
    repeat: int = 1,
) -> ClickPlan:
    """Its click with the score's own conflicts; of the top part where a score is given."""
    one = take(chosen) if isinstance(chosen, Score) else chosen
    return plan(
        one,
        conflicts_of(one.clock),
        tempo_bpm=Fraction(bpm),
        layers=layers,
        count_in=count_in,
        repeat=repeat,
    )


def wished(chosen: Passage | Score, tempo: TempoPlan | int = 60, **wishes: Any) -> ClickPlan:  # noqa: ANN401
    """Its click as a player wants it; `tempo` may be a number of beats a minute."""
    one = take(chosen) if isinstance(chosen, Score) else chosen
    going = Fixed(Fraction(tempo)) if isinstance(tempo, int) else tempo
    return planned(one, conflicts_of(one.clock), ClickSettings(going, **wishes))


def times(planned: ClickPlan, layer: Layer = Layer.BEAT) -> list[str]:
    """Clock times of one layer's strokes, an accent marked with `>`."""
    return [
        f"{stroke.at}{'>' if stroke.is_accented else ''}"
        for stroke in planned.strokes
        if stroke.layer is layer
    ]


def seconds(planned: ClickPlan, layer: Layer = Layer.BEAT) -> list[Fraction]:
    """When one layer strikes, in seconds from the start."""
    return [seconds_at(planned, s.at) for s in planned.strokes if s.layer is layer]


def frame(planned: ClickPlan, at: Fraction, rate: int) -> int:
    """The sample nearest to a clock time of the plan, rounded once, a half to the even one."""
    return round(seconds_at(planned, at) * rate)
