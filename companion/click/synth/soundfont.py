"""The others through a SoundFont that the player has (SoundFont 2.04, Creative Labs, 2006).

Every note of an instrument is made once, as long as it is wanted, and kept. A synthesiser
that plays on could not give the same samples when a passage is entered in its middle, or
when another thread reads ahead.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import lru_cache
from math import log2
from pathlib import Path
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.timbres import ToneName
from companion.click.synth.ensemble import Instruments, Voice
from companion.click.synth.others_notes import OthersNote
from companion.click.synth.tones import Wave, ramp
from companion.click.synth.tuning import A
from companion.errors import RequestError
from companion.files import child_process
from companion.files.file_kind import plain_file
from companion.files.score_paths import whole_path

STRINGS, PIZZICATO = 49, 46
"""Programs of General MIDI 1, from 1: string ensemble, for parts that name none, and pizzicato."""
LONGEST_SECONDS = 20.0
"""What is held longer dies away there."""
_SPARE = 1.5
"""How much longer than asked for a note is made, so that the next tempo finds it there."""
_VELOCITY = 100
_FAINT = 1e-6
"""A peak below which an instrument is silent at a pitch, and is not made louder."""
_RELEASE = 0.06
"""Seconds in which a note falls, the last ones of its length."""


class Font:
    """The instruments of one SoundFont at one rate and tuning. Ask it in any thread."""

    def __init__(self, path: Path, rate: int, a: float = A) -> None:
        """`a` is the tuning in hertz. Raises RequestError if the font cannot be had."""
        self.rate = rate
        self._synth = _synth(path, rate)
        self._synth.set_tuning(0, 12 * log2(a / A))
        self._notes: dict[tuple[int, int], NDArray[np.float32]] = {}
        self._lock = Lock()

    def voice(self, program: int, pitch: int, seconds: float) -> Voice:
        """A note of an instrument (General MIDI, from 1; 0 for strings), to last so long.

        A font without the instrument plays its first one. Made here, not when it is heard.
        """
        wanted = round(min(LONGEST_SECONDS, seconds) * self.rate)
        with self._lock:
            kept = self._notes.get((program, pitch))
            if kept is None or len(kept) < wanted:
                spared = round(min(LONGEST_SECONDS, seconds * _SPARE) * self.rate)
                kept = self._notes[program, pitch] = self._made(program or STRINGS, pitch, spared)
        fall = max(1, round(_RELEASE * self.rate))
        return lambda length, first, count: _heard(kept, fall, length, first, count)

    def _made(self, program: int, pitch: int, count: int) -> NDArray[np.float32]:
        self._choose(program - 1)
        self._synth.sounds_off(0)
        self._synth.noteon(0, pitch, _VELOCITY)
        both = np.frombuffer(self._synth.generate(count), np.float32).reshape(-1, 2)
        self._synth.sounds_off(0)
        note: NDArray[np.float32] = both.mean(axis=1, dtype=np.float32)
        note /= max(float(np.abs(note).max(initial=0.0)), _FAINT)
        return note

    def _choose(self, preset: int) -> None:
        names = (self._synth.sfpreset_name(0, 0, number) for number in range(128))
        there = [number for number, name in enumerate(names) if name is not None]
        self._synth.program_select(0, 0, 0, preset if preset in there else there[0])


@lru_cache(maxsize=2)
def font(path: Path, rate: int, a: float) -> Font:
    """A font that is kept while it is used. Raises as Font."""
    return Font(path, rate, a)


def instruments(font: Font, programs: Sequence[int]) -> Instruments:
    """Each part on the instrument it names (General MIDI, from 1), plucked where it says so."""

    def voice(note: OthersNote, seconds: float) -> Voice:
        is_plucked = note.tone is ToneName.PLUCKED
        return font.voice(PIZZICATO if is_plucked else programs[note.part], note.pitch, seconds)

    return voice


def _heard(note: NDArray[np.float32], fall: int, length: int, first: int, count: int) -> Wave:
    last = min(length, len(note))
    wave = np.zeros(count)
    begin, end = max(0, -first), min(count, last - first)
    if begin < end:
        here = np.arange(first + begin, first + end)
        wave[begin:end] = note[here] * ramp(fall)[np.minimum(last - here, fall)]
    return wave


def _synth(path: Path, rate: int) -> Any:  # noqa: ANN401  the library has no types
    plain_file(path, "a SoundFont", RequestError)
    try:
        import tinysoundfont
    except (ImportError, OSError):
        raise RequestError(
            "SoundFonts need the library tinysoundfont",
            next="Install it with 'pip install --no-deps tinysoundfont', or choose a tone.",
        ) from None
    _try_in_a_child(whole_path(path), path.stat().st_mtime_ns)
    synth = tinysoundfont.Synth(samplerate=rate)
    synth.sfload(str(path))
    if all(synth.sfpreset_name(0, 0, number) is None for number in range(128)):
        raise RequestError(
            "this SoundFont has no melodic instruments", where=str(path), next="Name another one."
        )
    return synth


# The library believes what a font says of itself, and a wrong length in one ends the process
# that reads it. So another process reads and plays it first.


_LIMIT = 30.0
"""Seconds for a large font on a slow disk."""
_WIDER = 4
"""Bytes in memory for each in the file: 16 bits become 32, and both are there for a moment."""
_TRIED = 256
"""Samples that are made of each note tried: one every half octave of each instrument."""


@lru_cache(maxsize=8)
def _try_in_a_child(path: Path, changed: int) -> None:
    """Raises RequestError for a font that cannot be read or played. Once for each `changed`."""
    try:
        child_process.run("companion.click.synth.soundfont", str(path), limit=_LIMIT)
    except (child_process.ChildFailed, child_process.TookTooLong):
        raise RequestError(
            "this is not a SoundFont that can be read", where=str(path), next="Name an .sf2 file."
        ) from None


def _try(path: str) -> None:
    """Every instrument of a font, high and low, in this process."""
    import tinysoundfont

    child_process.limit_child(_WIDER * Path(path).stat().st_size)
    synth = tinysoundfont.Synth(samplerate=44_100)
    synth.sfload(path)
    for preset in range(128):
        if synth.sfpreset_name(0, 0, preset) is not None:
            synth.program_select(0, 0, 0, preset)
            for pitch in range(0, 128, 6):
                synth.noteon(0, pitch, _VELOCITY)
                synth.generate(_TRIED)
                synth.sounds_off(0)


if __name__ == "__main__":
    _try(sys.argv[1])
