"""A drill struck down (SIGKILL) at random moments: nothing that was confirmed is lost, and of what
was not at most ten seconds; the next start asks about the rest, and about nothing twice.

Four blows as it is; COMPANION_KILLS=200 for as many.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.practice_in_progress import left_in_progress, settled
from companion.journal.unsaved_attempts import note_or_keep_unsaved

KILLS = int(os.environ.get("COMPANION_KILLS", "4"))
AT_MOST = 10
"""Seconds of practice that nobody had rated."""
PLAYS_FOR = 3.0
"""Seconds after its start within which it is struck down."""
STRUCK = Path(__file__).with_name("struck_drill.py")


def strike(folder: Path, seed: int, after: float, environment: dict[str, str]) -> list[list[str]]:
    """All it said until it was killed."""
    words = [sys.executable, str(STRUCK), str(folder), str(seed)]
    with subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, text=True) as one:
        assert one.stdout is not None
        assert one.stdout.readline() == "ready\n"
        time.sleep(after)
        one.kill()
        said = one.stdout.read().splitlines(keepends=True)
    # The blow may fall in the middle of a line.
    return [line.split() for line in said if line.endswith("\n")]


def test_a_drill_struck_down_loses_nothing_confirmed_and_ten_seconds_at_most(
    tmp_path: Path, child_environment: dict[str, str]
) -> None:
    draw = random.Random(16)
    worst, ratings, asked = 0.0, 0, 0
    for number in range(KILLS):
        folder = tmp_path / str(number)
        said = strike(folder, number, draw.uniform(0, PLAYS_FOR), child_environment)
        confirmed = {words[1] for words in said if words[0] == "noted"}
        played = max((float(words[1]) for words in said if words[0] == "played"), default=0.0)
        folders = Folders(folder, folder / "cache")
        left = left_in_progress(folders)
        for attempt in left:
            assert note_or_keep_unsaved(folders, attempt) is None
            settled(folders, attempt)
        assert left_in_progress(folders) == []
        with Log.open(folder) as log:
            assert log.check() == []
            kept = log.attempts()
        ids = [attempt.id for attempt in kept]
        assert len(ids) == len(set(ids))
        assert confirmed <= set(ids)
        assert not confirmed & {attempt.id for attempt in left}, "it was rated already"
        lost = played - sum(attempt.seconds for attempt in kept)
        assert lost <= AT_MOST
        worst, ratings, asked = max(worst, lost), ratings + len(confirmed), asked + len(left)
    sys.stdout.write(f"{KILLS} kills: {ratings} confirmed, {asked} asked, {worst:.1f} s lost\n")
