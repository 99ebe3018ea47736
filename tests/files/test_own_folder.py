"""What the program keeps is this user's alone."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from companion.files.whole_file import keep_json, make_own_folder
from companion.journal.log import Log

pytestmark = pytest.mark.skipif(os.name != "posix", reason="modes are POSIX")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_folders_that_are_made_are_for_this_user_and_others_stay(tmp_path: Path) -> None:
    there = tmp_path / "shared"
    there.mkdir(mode=0o755)
    there.chmod(0o755)
    make_own_folder(there / "data" / "players")
    assert [mode(there / "data" / "players"), mode(there / "data"), mode(there)] == [
        0o700,
        0o700,
        0o755,
    ]


def test_the_log_and_choices_lie_in_a_folder_of_their_own(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with Log.open(data):
        pass
    keep_json(data / "scores" / "x.json", {"part": "P1"})
    assert mode(data) == mode(data / "scores") == 0o700
