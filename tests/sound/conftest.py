"""Sound cards made of files, and what was played on them."""

from __future__ import annotations

import ctypes
import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from companion.sound.sound_libraries import refusal
from tests.sound.music import Samples
from tests.sound.stage import Seen

ROOT = Path(__file__).parents[2]
RECORDING = """
pcm.!default {{ type file, slave.pcm "null", file "{take}", format "raw", truncate false }}
"""
"""ALSA's own file plugin writes what it is given as raw samples, signed, 16 bits, low byte
first (alsa-lib documentation, "PCM (digital audio) plugins", section "Plugin: File")."""
PACED = """
pcm.!default {{ type file, slave.pcm "null", file "|{python} {ear} {folder}", format "raw" }}
"""
"""The same plugin piping into a program that takes sound at its own pace (`live/ear.py`)."""
NO_CARD = """
pcm.!default { type hw, card 31 }
ctl.!default { type hw, card 31 }
"""


@dataclass(frozen=True, slots=True)
class Performance:
    """What was seen and heard of one scene."""

    seen: Seen
    """What the scene returned, as JSON leaves it: tuples are lists."""
    takes: list[Samples]
    """What the sound card was given, one recording for each time it was opened."""

    def music(self) -> Samples:
        """Everything that was not silence; the tests' music has no silent frame."""
        whole = np.concatenate([np.zeros((0, 2), np.int16), *self.takes])
        return whole[whole.any(axis=1)]


Play = Callable[[str, str], Performance]


def paced(home: Path) -> None:
    """Make the default sound card of a home one that keeps time."""
    ear = ROOT / "tests/sound/live/ear.py"
    written = PACED.format(python=sys.executable, ear=ear, folder=home)
    (home / ".asoundrc").write_text(written)


def at_home(home: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run Python in a home of its own, out of reach of this computer's sound servers."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("ALSA_")}
    kept.pop("COMPANION_SOUND", None)
    elsewhere = {
        "HOME": str(home),
        "XDG_CONFIG_HOME": str(home),
        "XDG_RUNTIME_DIR": str(home),
        "PULSE_SERVER": f"unix:{home}/nowhere",
        "JACK_NO_START_SERVER": "1",
        "PYTHONPATH": str(ROOT),
    }
    return subprocess.run(
        [sys.executable, *arguments],
        env=kept | elsewhere,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@cache
def missing(backend: str) -> str:
    """Why a backend cannot be tried on this computer; empty when it can."""
    if backend == "silent":
        return ""
    if sys.platform != "linux":
        return "a sound card made of a file needs ALSA"
    try:
        ctypes.CDLL("libasound.so.2")
    except OSError:
        return "libasound is not installed"
    refused = refusal(sys.version_info[:2]) if backend == "simpleaudio" else None
    if refused is not None:
        return refused.sentence()
    try:
        __import__(backend)
    except ImportError:
        return f"{backend} is not installed"
    return ""


@pytest.fixture(scope="session")
def play(tmp_path_factory: pytest.TempPathFactory) -> Play:
    """Plays all scenes once a backend; gives what was seen and heard of one of them."""

    @cache
    def played(backend: str) -> tuple[Path, dict[str, Seen]]:
        folder = tmp_path_factory.mktemp(backend)
        (folder / ".asoundrc").write_text(RECORDING.format(take=folder / "take.raw"))
        told = at_home(folder, "-m", "tests.sound.stage", backend, str(folder))
        assert told.returncode == 0, told.stderr
        seen: dict[str, Seen] = json.loads(told.stdout)
        return folder, seen

    def performance(backend: str, scene: str) -> Performance:
        if reason := missing(backend):
            pytest.skip(reason)
        folder, seen = played(backend)
        assert "fault" not in seen[scene], seen[scene]["fault"]
        files = sorted((folder / scene).glob("*.raw"))
        return Performance(seen[scene], [np.fromfile(file, "<i2").reshape(-1, 2) for file in files])

    return performance


@pytest.fixture
def no_card(tmp_path: Path) -> Path:
    """A home whose default sound card does not exist."""
    if reason := missing("miniaudio"):
        pytest.skip(reason)
    (tmp_path / ".asoundrc").write_text(NO_CARD)
    return tmp_path
