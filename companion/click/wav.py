"""A click as a WAV file, for a music stand without this program."""

from __future__ import annotations

import wave
from pathlib import Path

from companion.click.plan import Plan
from companion.click.samples import RATE, render
from companion.click.whole_file import whole_file


def write(plan: Plan, path: Path, rate: int = RATE) -> None:
    """Write the whole plan as 16-bit stereo PCM at `rate` samples a second.

    Frame 0 is clock time 0 of the plan: without a count-in the first stroke lies on it.
    Raises NotWritten where the file cannot be written, RequestError for an odd rate.
    """
    samples = render(plan, rate)
    with whole_file(path) as file, wave.open(file, "wb") as out:
        out.setnchannels(2)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.setnframes(len(samples))
        out.writeframes(samples.data)
