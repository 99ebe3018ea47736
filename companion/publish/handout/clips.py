"""The click of a passage as sounds that play inside a page, without a file or a network.

A browser plays WAV wherever it plays anything, so that is what the sounds are: one channel,
since a telephone has one speaker, at a rate that holds every stroke's colour. Nine of them
have to fit into a page that can still be mailed; where a passage is too long for that, all
nine end at the same earlier bar.
"""

from __future__ import annotations

import base64
import io
import wave
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan, plan
from companion.click.synth.render import render
from companion.publish.handout.lesson import Lesson
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import FASTEST, SLOWEST
from companion.score.passage import Passage, passage

_RATE = 22050
"""Samples a second: half of what a disc has, and far above the strokes' own pitches."""
MOST_SECONDS = 220
"""Seconds of sound of one page: 220 s · 22,050 · 2 bytes are 12.9 MB in base 64."""
_TEMPOS = ((Fraction(3, 5), "slow"), (Fraction(4, 5), "on the way"), (Fraction(1), "at tempo"))
"""Shares of the tempo to arrive at (common practice, no source)."""
_KINDS = (
    ("your side alone", (Layer.BAR, Layer.MINE)),
    ("the other side alone", (Layer.BAR, Layer.THEIRS)),
    ("both sides", (Layer.BEAT, Layer.MINE, Layer.THEIRS)),
)
_PLAIN = (("the beat", (Layer.BEAT, Layer.DIVISION)),)
"""Where nothing pulls."""
_LISTENED = (
    ("what you listen to", (Layer.BAR, Layer.THEIRS)),
    ("the same with your beat", (Layer.BEAT, Layer.THEIRS)),
)
"""Where others pull and I am on neither side."""


@dataclass(frozen=True, slots=True)
class Clip:
    """One sound."""

    label: str
    """`both sides`."""
    seconds: float
    """How long it lasts."""
    wav: bytes
    """A whole WAV file."""

    @property
    def uri(self) -> str:
        """The sound written into the page itself."""
        return "data:audio/wav;base64," + base64.b64encode(self.wav).decode("ascii")


@dataclass(frozen=True, slots=True)
class TempoClips:
    """The sounds at one tempo."""

    name: str
    """`slow`."""
    told: str
    """`dotted quarter = 40`."""
    clips: tuple[Clip, ...]
    """In the order to listen in."""


@dataclass(frozen=True, slots=True)
class HandoutClips:
    """All there is to listen to of one passage."""

    tempos: tuple[TempoClips, ...]
    """Slowest first."""
    last: int
    """Ordinal position of the last bar that is heard."""


def listening(lesson: Lesson, passages: int = 1) -> HandoutClips:
    """The passage once through after a bar of count-in, at three tempos.

    `passages` share the page's room for sound.
    """
    heard, last = lesson.passage, lesson.passage.last
    while last > heard.first and _seconds(lesson, heard) * passages > MOST_SECONDS:
        last -= 1
        heard = passage(heard.clock, heard.part, heard.first, last)
    kinds = _kinds(lesson, heard)
    return HandoutClips(
        tuple(_at(lesson, heard, share, name, kinds) for share, name in _TEMPOS), last
    )


def _kinds(lesson: Lesson, heard: Passage) -> tuple[tuple[str, tuple[Layer, ...]], ...]:
    """What there is to tell apart in the bars that are heard."""
    struck = {stroke.layer for stroke in _plan(lesson, heard, Fraction(1), _KINDS[2][1]).once}
    if Layer.MINE in struck:
        return _KINDS
    return _LISTENED if Layer.THEIRS in struck else _PLAIN


def _seconds(lesson: Lesson, heard: Passage) -> Fraction:
    kinds = _kinds(lesson, heard)
    each = (_plan(lesson, heard, share, kinds[0][1]).seconds for share, _ in _TEMPOS)
    return sum(each, Fraction(0)) * len(kinds)


def _at(
    lesson: Lesson,
    heard: Passage,
    share: Fraction,
    name: str,
    kinds: tuple[tuple[str, tuple[Layer, ...]], ...],
) -> TempoClips:
    return TempoClips(
        name,
        f"{note_name(heard.beat)} = {clip_bpm(lesson.tempo, share)}",
        tuple(_clips(lesson, heard, share, kinds)),
    )


def _clips(
    lesson: Lesson,
    heard: Passage,
    share: Fraction,
    kinds: tuple[tuple[str, tuple[Layer, ...]], ...],
) -> Iterator[Clip]:
    for label, layers in kinds:
        made = _plan(lesson, heard, share, layers)
        yield Clip(label, float(made.seconds), wav_of(made))


def _plan(lesson: Lesson, heard: Passage, share: Fraction, layers: tuple[Layer, ...]) -> ClickPlan:
    bpm = Fraction(clip_bpm(lesson.tempo, share))
    return plan(heard, lesson.open_score.conflicts, tempo_bpm=bpm, layers=layers, count_in=1)


def clip_bpm(tempo: Fraction, share: Fraction) -> int:
    """A share of a tempo in whole beats a minute, as a metronome has them."""
    return min(max(round(tempo * share), SLOWEST), FASTEST)


def wav_of(made: ClickPlan) -> bytes:
    """A plan as a WAV file of one channel: the mean of left and right."""
    both = render(made, _RATE).astype(np.int32)
    one = ((both[:, 0] + both[:, 1]) // 2).astype("<i2")
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(_RATE)
        file.writeframes(one.tobytes())
    return out.getvalue()
