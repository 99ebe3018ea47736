"""The microphone: an ALSA device that reads a file stands for it (content only, no time)."""

from __future__ import annotations

import wave
from collections.abc import Generator
from pathlib import Path

import numpy as np
import pytest

from companion.errors import CompanionError
from companion.sound import recording
from companion.sound.recording import RATE, Recording, samples_of, write_take
from tests.sound.conftest import at_home, missing

MICROPHONE = """
pcm.!default {{ type file, slave.pcm "null", file "/dev/null", infile "{sound}", format "raw" }}
"""
LISTEN = """
import sys, time
from pathlib import Path
from companion.sound.recording import Recording
one = Recording()
until = time.monotonic() + 10
while sum(map(len, one._blocks)) < 44100 and time.monotonic() < until:
    time.sleep(0.001)
Path(sys.argv[1]).write_bytes(one.stop()[:44100])
"""


class Paper:
    """A microphone that hands over what a test wrote."""

    def __init__(self, *blocks: bytes) -> None:
        self.blocks = blocks
        self.is_open = True

    def start(self, blocks: Generator[None, bytes, None]) -> None:
        for block in self.blocks:
            blocks.send(block)

    def close(self) -> None:
        self.is_open = False


@pytest.mark.skipif(bool(missing("miniaudio")), reason=missing("miniaudio"))
def test_what_comes_in_is_what_the_device_gave(tmp_path: Path) -> None:
    chance = np.random.default_rng(1)
    sound = chance.integers(-9000, 9000, 4 * RATE).astype("<i2").tobytes()
    (tmp_path / "in.raw").write_bytes(sound)
    (tmp_path / ".asoundrc").write_text(MICROPHONE.format(sound=tmp_path / "in.raw"))
    done = at_home(tmp_path, "-c", LISTEN, str(tmp_path / "out.raw"))
    assert done.returncode == 0, done.stderr
    heard = (tmp_path / "out.raw").read_bytes()
    assert len(heard) == 44100
    # Before the file's first period the device gives silence.
    assert heard.lstrip(b"\0")[:8000] in sound


def test_the_microphone_is_closed_and_the_blocks_are_joined() -> None:
    paper = Paper(b"\x00\x40", b"\x00\xc0\x00\x00")
    one = Recording(lambda: paper)
    assert paper.is_open
    assert samples_of(one.stop()).tolist() == [0.5, -0.5, 0.0]
    assert not paper.is_open


def test_a_take_ends_by_itself_before_it_fills_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recording, "LONGEST", 1)
    one = Recording(lambda: Paper(*[bytes(RATE)] * 5))
    assert len(one.stop()) == 2 * RATE


def test_a_kept_take_is_a_wav(tmp_path: Path) -> None:
    path = tmp_path / "takes" / "one.wav"
    write_take(b"\x01\x00\x02\x00", path)
    with wave.open(str(path)) as sound:
        assert (sound.getframerate(), sound.getnchannels(), sound.getnframes()) == (RATE, 1, 2)


def test_nothing_is_recorded_in_silence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "silent")
    with pytest.raises(CompanionError, match="Nothing is recorded while"):
        Recording()
