"""Takes as files: what can be read, and one plain sentence for each that cannot."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.listening.due_notes import DueNote
from companion.listening.hearing import ListeningError, hear
from companion.listening.take import LONGEST, Take, TakeError, read_take
from tests.listening.performing import corpus_passage, due_of

RATE = 8000


def written(path: Path, samples: object, rate: int = RATE) -> Path:
    soundfile.write(str(path), samples, rate)
    return path


def tone(seconds: float) -> object:
    return 0.3 * np.sin(2 * np.pi * 440 * np.arange(round(seconds * RATE)) / RATE)


@pytest.mark.parametrize("ending", ["wav", "flac"])
def test_both_channels_are_mixed_to_one(tmp_path: Path, ending: str) -> None:
    left = np.linspace(-0.5, 0.5, 800)
    path = written(tmp_path / f"take.{ending}", np.stack([left, np.zeros(800)], axis=1))
    take = read_take(path)
    assert take.rate == RATE
    assert take.samples == pytest.approx(left / 2, abs=1e-4)


def test_silence_is_one_plain_sentence(tmp_path: Path) -> None:
    with pytest.raises(TakeError, match="this take is silent"):
        read_take(written(tmp_path / "take.wav", np.zeros(RATE)))


def test_no_samples_at_all_are_silence(tmp_path: Path) -> None:
    with pytest.raises(TakeError, match="this take is silent"):
        read_take(written(tmp_path / "take.wav", np.zeros(0)))


def test_a_clipped_take_says_what_to_turn_down(tmp_path: Path) -> None:
    loud = np.clip(np.asarray(tone(2)) * 6, -1, 1)
    with pytest.raises(TakeError, match="clipped.* Turn the microphone down"):
        read_take(written(tmp_path / "take.wav", loud))


def test_a_long_take_is_refused_by_its_header(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path / "take.flac", np.zeros((LONGEST + 60) * RATE, np.int16))

    def read(*_: object, **__: object) -> None:
        raise AssertionError("it was read")

    monkeypatch.setattr(soundfile.SoundFile, "read", read)
    with pytest.raises(TakeError, match="lasts 11 minutes.*The most is 10"):
        read_take(path)


def test_too_few_samples_a_second_are_refused(tmp_path: Path) -> None:
    with pytest.raises(TakeError, match="4000 samples a second are too few"):
        read_take(written(tmp_path / "take.wav", tone(1), 4000))


def test_what_is_not_sound_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    path.write_text("not sound", "utf-8")
    with pytest.raises(TakeError, match="not sound that can be read"):
        read_take(path)


def test_a_codec_whose_length_is_only_guessed_is_refused(tmp_path: Path) -> None:
    """Found by fuzzing: format 0x0040 (G.721 ADPCM) in a WAV header (RFC 2361, from memory)."""
    form = struct.pack("<4sIHHIIHH", b"fmt ", 16, 0x40, 1, RATE, 2 * RATE, 16, 2)
    data = struct.pack("<4sI", b"data", 4000) + bytes(range(250)) * 16
    path = tmp_path / "take.wav"
    path.write_bytes(struct.pack("<4sI4s", b"RIFF", 4 + len(form + data), b"WAVE") + form + data)
    with pytest.raises(TakeError, match="not sound that can be read"):
        read_take(path)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(TakeError, match="no such file"):
        read_take(tmp_path / "none.wav")


def test_a_folder_is_no_take(tmp_path: Path) -> None:
    with pytest.raises(TakeError):
        read_take(tmp_path)


def test_noise_alone_is_not_the_piece() -> None:
    noise = np.random.default_rng(1).normal(0, 0.1, 20 * RATE)
    with pytest.raises(ListeningError, match="does not sound like"):
        hear(Take(noise, RATE), due())


def test_bars_without_a_note_are_refused() -> None:
    with pytest.raises(ListeningError, match="no note begins"):
        hear(Take(np.ones(RATE), RATE), ())


def due() -> tuple[DueNote, ...]:
    return due_of(corpus_passage("mozart/k458/movement1.mxl", 0, 60, 66), 92)
