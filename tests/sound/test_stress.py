"""Ten minutes of practice on a busy computer: not one block too late, not one sample wrong.

On demand only, because it takes as long as it says:

    COMPANION_STRESS=600 pytest tests/sound/test_stress.py -s      (seconds; 1 means 120)
"""

from __future__ import annotations

import fcntl
import json
import os
import pty
import struct
import subprocess
import sys
import termios
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from companion.sound.card import SilentCard
from companion.sound.player import CardPlayer
from tests.sound.conftest import ROOT, missing, paced
from tests.sound.music import RATE, noise

ASKED = os.environ.get("COMPANION_STRESS", "")
SECONDS = 120.0 if ASKED == "1" else float(ASKED or 0)
CHANGES = 50
pytestmark = pytest.mark.skipif(not ASKED, reason="COMPANION_STRESS is not set")


def practised(folder: Path) -> dict[str, Any]:
    """What was seen of a session in a terminal of 200 columns and 48 lines."""
    paced(folder)
    kept = {key: value for key, value in os.environ.items() if not key.startswith("ALSA_")}
    kept.pop("COMPANION_SOUND", None)
    home = {"HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "XDG_RUNTIME_DIR": str(folder)}
    elsewhere = {"PULSE_SERVER": f"unix:{folder}/nowhere", "JACK_NO_START_SERVER": "1"}
    here = {"PYTHONPATH": str(ROOT), "TERM": "xterm-256color", "COLORTERM": "truecolor"}
    near, far = pty.openpty()
    fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", 48, 200, 0, 0))
    words = ["-m", "tests.sound.live.stage", str(folder), str(SECONDS), str(CHANGES)]
    with (folder / "told.txt").open("wb") as told:
        session = subprocess.Popen(
            [sys.executable, *words],
            stdin=far,
            stdout=far,
            stderr=told,
            env=kept | home | elsewhere | here,
            start_new_session=True,
        )
        os.close(far)
        reader = threading.Thread(target=_drain, args=(near,), daemon=True)
        reader.start()
        session.wait(SECONDS + 120)
    os.close(near)
    assert session.returncode == 0, (folder / "told.txt").read_text()
    seen: dict[str, Any] = json.loads((folder / "seen.json").read_text())
    return seen


def _drain(terminal: int) -> None:
    while True:
        try:
            if not os.read(terminal, 65536):
                return
        except OSError:
            return


def test_practice_under_stress_is_heard_without_a_hole_and_sample_for_sample(
    tmp_path: Path,
) -> None:
    if reason := missing("miniaudio"):
        pytest.skip(reason)
    seen = practised(tmp_path)
    sys.stderr.write(f"\n{json.dumps(seen, indent=1)}\n")
    assert seen["missed"] == []
    assert seen["faults"] == []
    assert seen["heard_seconds"] > 0.95 * SECONDS
    assert seen["tempo_changes"] == CHANGES
    assert seen["frames_wrong"] == 0
    assert seen["frames_compared"] > 0.9 * seen["heard_seconds"] * RATE
    assert seen["share_of_block_at_p99"] < 0.2
    assert seen["threads_left"] == ["MainThread"]


def test_silence_keeps_time_within_two_milliseconds_and_costs_next_to_nothing() -> None:
    player = CardPlayer(SilentCard(RATE))
    player.start(noise(RATE, seed=1, loop_from=0))
    begun, used = time.monotonic(), time.process_time()
    most = 0.0
    while (before := time.monotonic() - begun) < SECONDS:
        heard = player.heard() / RATE
        # The clock is read before and after, so that being interrupted counts for nobody.
        after = time.monotonic() - begun
        most = max(most, before - heard, heard - after)
        time.sleep(1 / 30)
    share = (time.process_time() - used) / SECONDS
    sys.stderr.write(
        f"\nsilence: {1000 * most:.3f} ms off at most, {100 * share:.2f} % of a core\n"
    )
    assert most < 0.002
    assert share < 0.05
