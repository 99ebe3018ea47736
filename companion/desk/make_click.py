"""A click for a passage, written to a file: the whole way from words to strokes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from companion.click.layers import DEFAULT, Layer
from companion.click.plan import Plan, plan
from companion.desk.stand import Stand
from companion.errors import RequestError
from companion.score.address import find_bars, find_part
from companion.score.passage import Passage, passage

RATES = (22050, 32000, 44100, 48000, 88200, 96000)
"""Samples a second that a WAV file may have here."""


@dataclass(frozen=True, slots=True)
class ClickOrder:
    """What a player asks for, in the words she used."""

    part: str
    """Name, beginning of a name, or number from 1."""
    bars: str
    """`97-100`, `II:225-230`, `C-C+3`."""
    bpm: Fraction
    """Felt beats a minute of that part in the first bar."""
    layers: tuple[Layer, ...] = DEFAULT
    """What sounds."""
    count_in: int = 0
    """Bars counted in."""
    repeat: int = 1
    """Times through."""
    rate: int = 48000
    """Samples a second of a WAV file."""


@dataclass(frozen=True, slots=True)
class Click:
    """A planned click and the passage it is for."""

    plan: Plan
    """Its strokes."""
    passage: Passage
    """Where in the score it belongs."""


def plan_click(stand: Stand, order: ClickOrder) -> Click:
    """Plan what was ordered. Raises RequestError for what cannot be meant."""
    part = find_part(stand.score, order.part)
    first, last = find_bars(stand.clock, order.bars)
    chosen = passage(stand.clock, part, first, last)
    planned = plan(
        chosen,
        stand.conflicts,
        tempo_bpm=order.bpm,
        layers=order.layers,
        count_in=order.count_in,
        repeat=order.repeat,
    )
    return Click(planned, chosen)


def write_click(stand: Stand, order: ClickOrder, path: Path) -> Click:
    """Write a click as the file's ending says, `.wav` or `.mid`.

    Raises RequestError for another ending, CompanionError where the file cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in {".wav", ".mid", ".midi"}:
        raise RequestError(
            f"a click cannot be written as “{ending or path.name}”", next="End it in .wav or .mid."
        )
    if order.rate not in RATES:
        raise RequestError(
            f"{order.rate} samples a second is not a rate for a click",
            next=f"Choose one of {', '.join(map(str, RATES))}.",
        )
    click = plan_click(stand, order)
    if ending == ".wav":
        from companion.click import wav

        wav.write(click.plan, path, order.rate)
    else:
        from companion.click import midi

        midi.write(click.plan, click.passage, path)
    return click
