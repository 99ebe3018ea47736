"""`companion doctor` on this machine: each line a fact, nothing private, faults with a way out."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from companion.files.folders import folders
from companion.journal.log import FILE_NAME, Log
from companion.practice.entry import Activity, LogEntry
from companion.session.health_checks import checked_health
from companion.sound.device_choice import SoundChoice, keep_sound_choice


def told(data: Path, *words: str, home: Path) -> subprocess.CompletedProcess[str]:
    surroundings = {**os.environ, "HOME": str(home), "COMPANION_SOUND": "silent"}
    command = [sys.executable, "-m", "companion", "--data-dir", str(data), "doctor", *words]
    return subprocess.run(command, capture_output=True, text=True, env=surroundings, check=False)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    place = tmp_path / "home-of-anna"
    place.mkdir()
    return place


def test_each_line_is_a_fact_and_none_is_private(home: Path) -> None:
    done = told(home / "practice", home=home)
    assert done.returncode in (0, 1) and done.stderr == ""
    assert "not begun yet" in done.stdout
    assert "~/practice" in done.stdout
    assert "anna" not in done.stdout


def test_neither_a_device_nor_a_player_is_named(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.delenv("COMPANION_SOUND", raising=False)
    here = folders(home / "practice", "Berta")
    keep_sound_choice(here, SoundChoice(device="Berta's headphones"))
    found = " ".join(map(str, checked_health(here)))
    assert "plays through" in found and "players" in found
    assert "Berta" not in found


def test_a_damaged_log_is_found_with_what_to_do(home: Path) -> None:
    data = home / "practice"
    with Log.open(data) as log:
        log.entries.add(LogEntry(what=Activity.SCALES, seconds=60))
    content = bytearray((data / FILE_NAME).read_bytes())
    content[4096:8192] = bytes(4096)
    (data / FILE_NAME).write_bytes(content)
    checks = json.loads(told(data, "--json", home=home).stdout)["checks"]
    [log_line] = [one for one in checks if one["what"] == "practice log"]
    assert not log_line["is_well"]
    assert "companion log restore" in log_line["next"]


def test_a_folder_that_cannot_be_written_is_told(home: Path) -> None:
    if os.name != "posix" or os.geteuid() == 0:
        pytest.skip("the superuser may write everywhere")
    (home / "practice").mkdir(mode=0o500)
    assert "Let it be written" in told(home / "practice", home=home).stdout
