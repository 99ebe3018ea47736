"""Two windows on one log at once: one keeps it open, one opens it for each thing it writes.

Two seconds as it is; COMPANION_WRITING=60 for a minute.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from companion.journal.log import Log
from companion.practice.attempt import Outcome

SECONDS = os.environ.get("COMPANION_WRITING", "2")
WRITER = Path(__file__).with_name("writer.py")


def test_two_windows_writing_at_once_lose_nothing(
    tmp_path: Path, child_environment: dict[str, str]
) -> None:
    words = [sys.executable, str(WRITER), str(tmp_path / "log"), SECONDS]
    pair = [
        subprocess.Popen([*words, manner], env=child_environment, stdout=subprocess.PIPE, text=True)
        for manner in ("open", "anew")
    ]
    said = [one.communicate(timeout=float(SECONDS) + 120)[0].splitlines() for one in pair]
    assert [one.returncode for one in pair] == [0, 0], said
    told = [tuple(line.split()) for lines in said for line in lines]
    with Log.read_only(tmp_path / "log") as log:
        kept = {one.id: one.outcome for one in log.attempts()}
        assert sorted(kept) == sorted(one for what, one in told if what == "attempt")
        assert set(kept.values()) == {Outcome.SECURE}
        entries = log.entries.current()
        assert sorted(one.id for one in entries) == sorted(
            one for what, one in told if what == "entry"
        )
        assert {one.note for one in entries} == {"again"}
        assert log.check() == []
    assert os.listdir(tmp_path / "log") == ["practice.db"]
    sys.stdout.write(f"{len(kept)} attempts, {len(entries)} entries\n")
