"""On a sound card that keeps time: leaving it at any moment, and having it pulled out."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.sound.conftest import at_home, missing, paced


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home with such a card."""
    if reason := missing("miniaudio"):
        pytest.skip(reason)
    paced(tmp_path)
    return tmp_path


def test_the_app_says_that_the_device_went_away_and_goes_on_in_silence(home: Path) -> None:
    told = at_home(home, "-m", "tests.sound.live.unplugged", str(home))
    assert told.returncode == 0, told.stderr
    seen = json.loads(told.stdout)
    assert seen["notice"] == (
        "The sound device went away. Connect it again and start again. "
        "The beat goes on here, in silence."
    )
    assert seen["state"] == "playing"
    assert seen["told"].startswith("▶ playing")
    # From where it was, not from the beginning: less than a beat later.
    assert 0 <= seen["moved"] < 1


def test_a_player_closed_at_any_moment_leaves_no_thread_and_no_open_device(home: Path) -> None:
    told = at_home(home, "-m", "tests.sound.live.stopping", str(home))
    assert told.returncode == 0, told.stderr
    left = json.loads(told.stdout)
    assert len(left) == 8
    assert left == dict.fromkeys(left, [0, True])
