"""Two processes at one log, and a process struck down while it writes."""

from __future__ import annotations

import random
import subprocess
from pathlib import Path

import pytest

from companion.journal.log import Log

TIMES = 200


def start(player: list[str], folder: Path, environment: dict[str, str]) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [*player, str(folder), str(TIMES), "0"], env=environment, stdout=subprocess.PIPE, text=True
    )


def test_two_players_at_once_lose_nothing(
    tmp_path: Path, player: list[str], child_environment: dict[str, str]
) -> None:
    pair = [start(player, tmp_path / "log", child_environment) for _ in range(2)]
    said = [one.communicate(timeout=120)[0].split() for one in pair]
    assert [one.returncode for one in pair] == [0, 0]
    assert [words.pop(0) for words in said] == ["ready", "ready"]
    with Log.read_only(tmp_path / "log") as log:
        kept = [attempt.id for attempt in log.attempts()]
        assert log.check() == []
    assert len(kept) == 2 * TIMES
    assert sorted(kept) == sorted(said[0] + said[1])


def strike_down(one: subprocess.Popen[str], after: int) -> list[str]:
    """Kills the player once it has said `after` words; every word it got out."""
    assert one.stdout is not None
    with one:
        words = [one.stdout.readline().strip() for _ in range(after)]
        one.kill()
        words += one.stdout.read().split()
    assert one.returncode != 0, "the player finished before it was struck down"
    return words


@pytest.mark.parametrize("seed", [2])
def test_what_was_said_to_be_noted_survives_the_program_being_killed(
    tmp_path: Path, player: list[str], child_environment: dict[str, str], seed: int
) -> None:
    draw = random.Random(seed)
    # The first is killed while it lays out a new log, the others somewhere along the way.
    moments = [1, *(draw.randint(1, TIMES // 2) for _ in range(9))]
    said: list[str] = []
    for count, moment in enumerate(moments, 1):
        words = strike_down(start(player, tmp_path, child_environment), moment)
        assert words[0] == "ready"
        said += words[1:]
        with Log.read_only(tmp_path) as log:
            kept = [attempt.id for attempt in log.attempts()]
            assert log.check() == []
        assert set(said) <= set(kept)
        assert len(kept) == len(set(kept))
        # At most the one being noted when the blow fell is there without having been said.
        assert len(kept) - len(said) <= count
