from __future__ import annotations

import subprocess
import sys

HEAVY = ("numpy", "textual", "rich", "music21", "lxml", "miniaudio", "mido", "platformdirs")


def test_the_log_opens_without_loading_sound_scores_or_screens(
    child_environment: dict[str, str],
) -> None:
    ask = (
        "import sys, companion.journal.log, companion.files.folders;"
        f"sys.exit(', '.join(set({HEAVY!r}) & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask],
        env=child_environment,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stderr.strip() == ""


def test_a_player_who_judges_an_attempt_does_not_need_a_database(
    child_environment: dict[str, str],
) -> None:
    ask = "import sys, companion.practice.attempt; sys.exit('sqlite3' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", ask], env=child_environment, timeout=60)
    assert done.returncode == 0
