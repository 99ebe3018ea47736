"""A click as a WAV file, for a music stand without this program.

Written a block at a time, so that an hour takes no more memory than a minute. The layout
is the oldest one, which every player reads: `fmt `, a `LIST` of words, `data` (Multimedia
Programming Interface and Data Specifications 1.0, 1991, chapter 3; from memory).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from companion.click.export.tags import Tags
from companion.click.plan.plan import ClickPlan
from companion.click.synth.layer_sounds import RATE, LayerSamples
from companion.click.synth.render import blocks, length
from companion.errors import RequestError
from companion.files.whole_file import whole_file

_CHANNELS = 2
_MOST = 2**32 - 1
"""Bytes that a length in such a file can count."""


def write(
    plan: ClickPlan,
    path: Path,
    rate: int = RATE,
    *,
    bits: int = 16,
    tags: Tags | None = None,
    sound: Iterator[LayerSamples] | None = None,
) -> None:
    """Write the whole plan as stereo PCM of 16 or 24 bits at `rate` samples a second.

    Frame 0 is clock time 0 of the plan: without a count-in the first stroke lies on it.
    `sound` takes the place of the click alone: the same plan, block by block, with the others.
    Raises NotWritten if the file cannot be written, RequestError for an odd rate, for
    other bits, or for more than four gigabytes.
    """
    made = blocks(plan, rate, bits) if sound is None else sound
    first = next(made, None)
    head = _head(length(plan, rate), rate, bits, _words(tags) if tags else b"")
    with whole_file(path) as out:
        out.write(head)
        if first is not None:
            out.write(_bytes(first, bits))
        for block in made:
            out.write(_bytes(block, bits))


def _head(frames: int, rate: int, bits: int, words: bytes) -> bytes:
    frame = _CHANNELS * bits // 8
    form = struct.pack("<HHIIHH", 1, _CHANNELS, rate, rate * frame, frame, bits)
    size = frames * frame
    whole = 4 + len(_chunk(b"fmt ", form)) + len(words) + 8 + size
    if whole > _MOST:
        raise RequestError(
            f"{size / 1e9:.1f} gigabytes do not fit into a WAV file",
            next="End the name in .flac, or ask for fewer times through.",
        )
    head = b"RIFF" + struct.pack("<I", whole) + b"WAVE" + _chunk(b"fmt ", form)
    return head + words + b"data" + struct.pack("<I", size)


def _words(tags: Tags) -> bytes:
    """A `LIST` of type `INFO`: title, product, comment and software, in UTF-8."""
    told = {
        b"INAM": tags.title,
        b"IPRD": tags.album,
        b"ICMT": tags.comment,
        b"ISFT": tags.software,
    }
    chunks = (_chunk(name, text.encode() + b"\0") for name, text in told.items())
    return _chunk(b"LIST", b"INFO" + b"".join(chunks))


def _chunk(name: bytes, content: bytes) -> bytes:
    """A chunk, filled up to an even length."""
    return name + struct.pack("<I", len(content)) + content + b"\0" * (len(content) % 2)


def _bytes(block: LayerSamples, bits: int) -> bytes | memoryview:
    """Little-endian samples, left and right by turns."""
    if bits == 16:
        return block.astype("<i2", copy=False).data
    quarters = np.ascontiguousarray(block, "<i4").view(np.uint8).reshape(-1, 4)
    return quarters[:, :3].tobytes()
