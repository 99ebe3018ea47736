"""What a page plays, as numbers: strokes, notes and tempos for the browser's own audio clock.

No sound is written into the page but one stroke of each voice. The page adds them up at the
moments that the click's plan gives, so that it plays every layer, every part, any tempo and a
ladder of half an hour out of a few kilobytes. Measured with eight bars at three tempos, three
choices of layers (185 s): 10.9 MB as WAV, 1.2 MB as MP3, 0.4 MB as Opus, which not every
browser plays; 0.1 MB this way, with all layers and parts. Decoded in a browser, strokes were
within 0.04 ms of the plan in each.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from companion.click.plan.count_in import count_in_for
from companion.click.plan.layers import CEILING, AnyLayer, Layer, Mix, in_order, layer_sound_in
from companion.click.plan.plan import ClickPlan, planned, shares_in
from companion.click.plan.strokes import Stroke, counting
from companion.click.plan.timbres import TONES, ToneName
from companion.click.plan.timetable import Pace
from companion.click.synth.ensemble import note_levels, seats
from companion.click.synth.layer_sounds import headroom
from companion.click.synth.others_notes import notes_of_parts
from companion.click.synth.struck_sounds import struck
from companion.click.synth.tones import reach
from companion.click.synth.tuning import hertz
from companion.publish.handout.lesson import Lesson
from companion.rhythm.tempo import FASTEST, SLOWEST
from companion.session.accompaniment import OTHERS_REACH

VOICE_RATE = 48000
"""Samples a second of a written stroke."""
_OFFERED = (Layer.BEAT, Layer.DIVISION, Layer.MINE, Layer.THEIRS)
"""What can be heard in every page, besides what the exercise wants."""
_KEPT_TIMES = 64
"""Times through whose silences a page knows at least; then they come again from the first."""
_SHARES = ((Fraction(3, 5), "slow"), (Fraction(4, 5), "on the way"), (Fraction(1), "at tempo"))
"""Shares of the tempo to arrive at (common practice, no source)."""
_DIGITS = 9
"""Decimals of a clock time or a second: far finer than a sample."""

Numbers = list[float]


@dataclass(frozen=True, slots=True)
class HandoutSound:
    """All there is to hear of one passage."""

    plan: ClickPlan
    """With every layer that can be heard."""
    on: tuple[AnyLayer, ...]
    """Those that sound at first."""
    tempos: tuple[tuple[str, int], ...]
    """(`slow`, felt beats a minute) to choose from, slowest first."""
    parts: tuple[int, ...]
    """Indices of the parts that have notes here; the player's own first."""

    @property
    def layers(self) -> tuple[AnyLayer, ...]:
        """What can be heard, in order."""
        return self.plan.click_settings.layers


def handout_sound(lesson: Lesson) -> HandoutSound:
    """What can be heard of a passage, and what is at first. Raises RequestError as `planned`."""
    settings, conflicts = lesson.click_settings, lesson.open_score.conflicts
    mix = Mix(ceiling=CEILING - OTHERS_REACH)
    whole = replace(settings, layers=in_order({*settings.layers, *_OFFERED}), mix=mix)
    heard = {stroke.layer for stroke in planned(lesson.passage, conflicts, whole).once}
    on = tuple(layer for layer in settings.layers if layer in heard)
    if not lesson.goal and heard.isdisjoint({Layer.MINE, Layer.THEIRS}):
        on = (Layer.BEAT, Layer.DIVISION)
    made = planned(
        lesson.passage, conflicts, replace(whole, layers=in_order(heard or whole.layers))
    )
    return HandoutSound(made, on, tuple(tempos_to_choose(lesson.tempo)), tuple(_playing(lesson)))


def _playing(lesson: Lesson) -> Iterable[int]:
    """The player's own part, then the others that have notes here."""
    mine, every = lesson.passage.part, range(len(lesson.open_score.score.parts))
    others = {note.part for note in notes_of_parts(lesson.passage, every)} - {mine}
    return (mine, *sorted(others))


def tempos_to_choose(goal: Fraction) -> Iterable[tuple[str, int]]:
    """Shares of a tempo in whole beats a minute, as a metronome has them."""
    for share, name in _SHARES:
        yield name, min(max(round(goal * share), SLOWEST), FASTEST)


# The same as lists of numbers, which the page's script reads.


def sound_record(lesson: Lesson, sound: HandoutSound) -> dict[str, object]:
    """Times in clock time after the passage begins; paces in seconds for a unit of it."""
    made, passage = sound.plan, lesson.passage
    layers, sounds = list(sound.layers), _Sounds(made)
    times = max(made.repeat, _KEPT_TIMES)
    table, places = made.timetable, seats(len(lesson.open_score.score.parts))
    return {
        "length": _number(made.pass_length),
        "bars": [
            {"name": bar.name or f"@{bar.number}", "at": _number(bar.start - passage.start)}
            for bar in passage.bars
        ],
        "layers": [layer.value for layer in layers],
        "strokes": [sounds.row(stroke, layers) for stroke in made.once],
        "counted": _counted(lesson, made, sounds, layers),
        "sounds": sounds.rows,
        "paces": [_pace(pace) for pace in (*table.opening, *table.round)],
        "opening": len(table.opening),
        "times": made.repeat,
        "beat": _number(passage.beat_on_clock),
        "shares": _shares(made, times),
        "notes": list(_notes(lesson, sound)),
        "seats": [_ears(places[part]) for part in sound.parts],
    }


def _number(value: Fraction | float) -> float:
    return round(float(value), _DIGITS)


def _ears(place: float) -> Numbers:
    """What each ear hears of a sound between them, −1 left to 1 right."""
    return [min(1.0, 1 - place), min(1.0, 1 + place)]


class _Sounds:
    """Every sound that is struck, each once: [voice, left, right]."""

    def __init__(self, made: ClickPlan) -> None:
        self._mix = made.click_settings.mix
        self._room = headroom(self._mix, {*made.click_settings.layers, Layer.BEAT}, VOICE_RATE)
        self.rows: list[tuple[str, float, float]] = []

    def row(self, stroke: Stroke, layers: Sequence[AnyLayer]) -> Numbers:
        """[clock time, layer, sound]; a count-in's beat may be no layer: −1."""
        sound = layer_sound_in(self._mix, stroke.layer)
        voice, level = sound.sounds(stroke.weight)
        left, right = _ears(sound.place)
        row = voice, round(level * self._room * left, 4), round(level * self._room * right, 4)
        if row not in self.rows:
            self.rows.append(row)
        layer = layers.index(stroke.layer) if stroke.layer in layers else -1
        return [_number(stroke.at), layer, self.rows.index(row)]


def _counted(
    lesson: Lesson, made: ClickPlan, sounds: _Sounds, layers: Sequence[AnyLayer]
) -> list[dict[str, object]]:
    """The count-in into each bar of the passage."""
    settings, rows = made.click_settings, []
    for bar in lesson.passage.bars:
        entered = replace(lesson.passage, first=bar.number)
        into = count_in_for(entered, settings.count_in, settings.counted_by)
        strokes = counting(into, settings.layers)
        rows.append(
            {
                "length": _number(into.length),
                "strokes": [sounds.row(stroke, layers) for stroke in strokes],
            }
        )
    return rows


def _pace(pace: Pace) -> list[Numbers]:
    return [
        [_number(one.into), _number(one.seconds), float(one.pace), float(one.change)]
        for one in pace.stretches
    ]


def _shares(made: ClickPlan, times: int) -> dict[str, object] | None:
    """What silences and fades leave of each stroke: rows, and which one a time through has."""
    if not made.click_settings.silences and not made.click_settings.fades:
        return None
    rows: dict[tuple[Fraction, ...], int] = {}
    of = [rows.setdefault(shares_in(made, number), len(rows)) for number in range(times)]
    return {"rows": [[round(float(share), 4) for share in row] for row in rows], "of": of}


def _notes(lesson: Lesson, sound: HandoutSound) -> Iterable[list[float | str]]:
    """[clock time, length, hertz, level, part, tone] of every note."""
    notes = notes_of_parts(lesson.passage, sound.parts)
    tones = [note.tone or ToneName.BOWED for note in notes]
    for note, tone, level in zip(notes, tones, note_levels(notes, tones), strict=True):
        yield [
            _number(note.into),
            _number(note.length),
            round(hertz(note.pitch), 3),
            round(level, 4),
            sound.parts.index(note.part),
            tone.value,
        ]


def voices_record(names: Iterable[str]) -> dict[str, str]:
    """One stroke of each voice: 16-bit samples, little end first, in base 64."""
    return {
        name: base64.b64encode(
            np.rint(struck(name, VOICE_RATE) * 32767).astype("<i2").tobytes()
        ).decode("ascii")
        for name in sorted(set(names))
    }


def tones_record() -> dict[str, object]:
    """What the tones of the notes are made of: partials of at most 1 together."""
    return {
        name.value: {
            "attack": tone.attack,
            "release": tone.release,
            "bands": [
                {
                    "partials": [round(one / reach(name), 6) for one in band.partials],
                    "decay": band.decay,
                }
                for band in tone.bands
            ],
        }
        for name, tone in TONES.items()
    }
