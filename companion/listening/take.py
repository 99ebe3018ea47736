"""A recorded take: samples out of a sound file, or the reason why they cannot be had."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from companion.click.plan.plan import ClickPlan
from companion.click.synth.layer_sounds import RATES
from companion.click.synth.render import render
from companion.errors import CompanionError
from companion.files.file_kind import plain_file
from companion.listening.onset_strength import Array, Wave, slower

LONGEST = 10 * 60
"""Seconds of a take at most: what is compared at once has to fit in memory."""
LOWEST_RATE = 8000
SHORTEST = 0.1
"""Seconds of a take at least: what is looked for takes longer."""
_SILENT = 1e-4
"""Loudest sample of a take in which nothing was recorded (80 dB under full scale)."""
_CLIPPED = 0.02
"""Share of samples at the very top from which a take is too distorted to be heard."""


class TakeError(CompanionError):
    """A sound file that cannot serve as a take."""


@dataclass(frozen=True, slots=True, eq=False)
class Take:
    """A recording, its channels mixed to one."""

    samples: Wave
    """Mono, -1 to 1."""
    rate: int
    """Samples a second."""


def read_take(path: Path) -> Take:
    """Read a WAV or FLAC file, and whatever else the library reads.

    Raises TakeError for what is not sound, too short, too long, too coarse, damaged, silent or
    clipped.
    """
    soundfile = _library()
    where = str(plain_file(path, "a recording", TakeError))
    try:
        with soundfile.SoundFile(where) as file:
            _check_header(file.frames / file.samplerate, file.samplerate, where)
            samples = file.read(dtype="float32", always_2d=True)
            rate = int(file.samplerate)
    except (RuntimeError, OSError, ValueError) as refusal:  # the last: of some old codecs
        raise TakeError(
            "this is not sound that can be read", where=where, next="Record it as WAV or FLAC."
        ) from refusal
    return checked_take(_mixed(samples), rate, where)


def checked_take(samples: Wave, rate: int, where: str = "") -> Take:
    """A take out of mono samples. Raises TakeError if it is silent, clipped, damaged, too short
    or too long."""
    _check_header(len(samples) / rate, rate, where)
    size = np.abs(samples)
    loudest = float(size.max(initial=0.0))
    if loudest < _SILENT:
        raise TakeError("this take is silent", where=where, next="Check the microphone.")
    if len(samples) < SHORTEST * rate:
        raise TakeError(
            "this take ends as soon as it begins", where=where, next="Check the recording."
        )
    if not np.isfinite(samples).all():
        raise TakeError(
            "this take is damaged: some of its samples are no numbers",
            where=where,
            next="Save it again as 16-bit WAV or FLAC.",
        )
    if float((size > 0.999 * loudest).mean()) > _CLIPPED:
        raise TakeError(
            "this take is clipped", where=where, next="Turn the microphone down and play again."
        )
    return Take(samples, rate)


def _mixed(channels: Array) -> Array:
    """(frames, channels) to one; the loudest alone if the others cancel it."""
    if channels.shape[1] == 1:
        return channels[:, 0]
    mean: Array = channels.mean(axis=1)
    energy = (channels**2).sum(axis=0, dtype=float)
    if (mean**2).sum(dtype=float) < 0.02 * energy.max(initial=0.0):
        return channels[:, int(energy.argmax())]
    return mean


def click_in(click: ClickPlan, rate: int) -> Array:
    """The click as it sounds, mono, at the rate to which a take of this rate is brought down."""
    times = 1
    while rate * times < RATES[0]:
        times += 1
    left, right = render(click, rate * times).T
    wave = (left.astype(np.float32) + right) / np.float32(2 * 32768)
    return slower(wave, rate * times, rate)[0]


def _check_header(seconds: float, rate: int, where: str) -> None:
    if seconds > LONGEST:
        raise TakeError(
            f"this take lasts {seconds / 60:.0f} minutes",
            where=where,
            next=f"The most is {LONGEST // 60}: cut it to the bars that were played.",
        )
    if rate < LOWEST_RATE:
        raise TakeError(
            f"{rate} samples a second are too few to hear when notes begin",
            where=where,
            next=f"Record with {LOWEST_RATE} or more.",
        )


def _library() -> Any:  # noqa: ANN401 – it brings no types
    try:
        return import_module("soundfile")
    except (ImportError, OSError):
        raise CompanionError(
            "takes need the library soundfile, which is missing here",
            next="Install it: pip install soundfile.",
        ) from None
