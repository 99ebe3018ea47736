"""A click as a FLAC file: the same samples as in a WAV file, in a tenth of the room."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from companion.click.export.tags import Tags
from companion.click.plan.plan import ClickPlan
from companion.click.synth.layer_sounds import RATE, LayerSamples
from companion.click.synth.render import blocks
from companion.errors import CompanionError
from companion.files.whole_file import whole_file


def write(
    plan: ClickPlan,
    path: Path,
    rate: int = RATE,
    *,
    bits: int = 16,
    tags: Tags | None = None,
    sound: Iterator[LayerSamples] | None = None,
) -> None:
    """Write the whole plan, 16 or 24 bits a sample, without any loss.

    `sound` takes the place of the click alone: the same plan, block by block, with the others.
    Raises NotWritten if the file cannot be written, RequestError for an odd rate or other
    bits, CompanionError where the library that packs it is missing.
    """
    soundfile = _library()
    made = blocks(plan, rate, bits) if sound is None else sound
    form = {"samplerate": rate, "channels": 2, "format": "FLAC", "subtype": f"PCM_{bits}"}
    with whole_file(path) as out:
        try:
            # By its name: what goes wrong in a file of ours the library would only print.
            with soundfile.SoundFile(out.name, "w", **form) as file:
                _tell(file, tags)
                for block in made:
                    # It takes the highest bits of a 32-bit number.
                    file.write(block if bits == 16 else np.left_shift(block, 32 - bits))
        except (RuntimeError, AssertionError) as refusal:
            raise OSError(str(refusal).rstrip(".")) from refusal


def _tell(file: Any, tags: Tags | None) -> None:  # noqa: ANN401 – the library brings no types
    if tags:
        file.title, file.album = tags.title, tags.album
        file.comment, file.software = tags.comment, tags.software


def _library() -> Any:  # noqa: ANN401 – it brings no types
    try:
        return import_module("soundfile")
    except (ImportError, OSError):
        raise CompanionError(
            "FLAC files need the library soundfile, which is missing here",
            next="Install it (pip install soundfile), or end the name in .wav.",
        ) from None
