"""What a conductor track says: meters, tempos and words, in written quarters."""

from fractions import Fraction

import mido

from companion.click.export.conductor_track import TICKS
from companion.click.export.midi import midi_file
from companion.click.plan.plan import ClickPlan
from companion.score.passage import Passage


def conductor(planned: ClickPlan, chosen: Passage, kind: str) -> list[tuple[int, mido.MetaMessage]]:
    """(tick, message) of one kind in the first track."""
    now, found = 0, []
    for message in midi_file(planned, chosen).tracks[0]:
        now += message.time
        if message.type == kind:
            found.append((now, message))
    return found


def meters(planned: ClickPlan, chosen: Passage) -> list[tuple[Fraction, str]]:
    """(written quarters, meter) of every meter event."""
    return [
        (Fraction(at, TICKS), f"{message.numerator}/{message.denominator}")
        for at, message in conductor(planned, chosen, "time_signature")
    ]


def tempos(planned: ClickPlan, chosen: Passage) -> list[tuple[Fraction, int]]:
    """(written quarters, microseconds a quarter) of every tempo event."""
    return [
        (Fraction(at, TICKS), message.tempo)
        for at, message in conductor(planned, chosen, "set_tempo")
    ]


def texts(planned: ClickPlan, chosen: Passage) -> list[str]:
    """Every text event."""
    return [message.text for _, message in conductor(planned, chosen, "text")]
