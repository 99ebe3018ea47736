"""A small SoundFont made by us: sines, each preset its own number of semitones higher.

Chunks, records and generator numbers as in the SoundFont Technical Specification 2.04
(Creative Technology, 2006), sections 4 to 8.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Mapping
from pathlib import Path

RATE = 44000
PERIOD = 100
"""Samples of one wave: the A above middle C at 440 hertz."""
PERIODS = 40
COARSE_TUNE, INSTRUMENT, SAMPLE_ID, SAMPLE_MODES = 51, 41, 53, 54


def soundfont(place: Path, presets: Mapping[int, int]) -> Path:
    """Write one with presets (from 0) that sound so many semitones higher than asked for."""
    wave = [round(20000 * math.sin(2 * math.pi * at / PERIOD)) for at in range(PERIOD * PERIODS)]
    samples = struct.pack(f"<{len(wave)}h", *wave) + bytes(2 * 46)
    chunks = [
        _list(b"INFO", _chunk(b"ifil", struct.pack("<HH", 2, 1)), _chunk(b"INAM", b"sines\0")),
        _list(b"sdta", _chunk(b"smpl", samples)),
        _list(b"pdta", *_records(presets, len(wave))),
    ]
    place.write_bytes(_chunk(b"RIFF", b"sfbk" + b"".join(chunks)))
    return place


def _records(presets: Mapping[int, int], count: int) -> list[bytes]:
    heads = [
        struct.pack("<20sHHHIII", b"sine", number, 0, index, 0, 0, 0)
        for index, number in enumerate(sorted(presets))
    ]
    heads.append(struct.pack("<20sHHHIII", b"EOP", 0, 0, len(presets), 0, 0, 0))
    bags = [struct.pack("<HH", 2 * index, 0) for index in range(len(presets) + 1)]
    generators = [
        struct.pack("<HhHH", COARSE_TUNE, presets[number], INSTRUMENT, 0)
        for number in sorted(presets)
    ]
    nothing = struct.pack("<HH", 0, 0)
    sample = struct.pack(
        "<20sIIIIIBbHH", b"sine", 0, count, PERIOD, count - PERIOD, RATE, 69, 0, 0, 1
    )
    return [
        _chunk(b"phdr", b"".join(heads)),
        _chunk(b"pbag", b"".join(bags)),
        _chunk(b"pmod", bytes(10)),
        _chunk(b"pgen", b"".join(generators) + nothing),
        _chunk(b"inst", struct.pack("<20sH20sH", b"sine", 0, b"EOI", 1)),
        _chunk(b"ibag", struct.pack("<HHHH", 0, 0, 2, 0)),
        _chunk(b"imod", bytes(10)),
        _chunk(b"igen", struct.pack("<HHHH", SAMPLE_MODES, 1, SAMPLE_ID, 0) + nothing),
        _chunk(b"shdr", sample + struct.pack("<20sIIIIIBbHH", b"EOS", *[0] * 9)),
    ]


def _list(kind: bytes, *chunks: bytes) -> bytes:
    return _chunk(b"LIST", kind + b"".join(chunks))


def _chunk(kind: bytes, content: bytes) -> bytes:
    return kind + struct.pack("<I", len(content)) + content + bytes(len(content) % 2)
