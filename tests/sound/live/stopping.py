"""A player closed at every kind of moment: is the device let go, and is every thread gone?

Run as `python -m tests.sound.live.stopping FOLDER` in a home whose sound card is a paced
ear; the ear leaves a file when its device is closed. What was left is printed as JSON.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

from companion.sound.miniaudio_card import MiniaudioCard
from companion.sound.player import CardPlayer
from tests.sound.music import RATE, noise
from tests.sound.stage import threads

LOOP = noise(9600, seed=5, loop_from=2400)
OTHER = noise(4800, seed=7, loop_from=0)


def until(condition: Callable[[], bool]) -> bool:
    """Let time pass until something is so; whether it came to be."""
    patience = time.monotonic() + 10
    while not condition() and time.monotonic() < patience:
        time.sleep(0.001)
    return condition()


def heard(player: CardPlayer, frame: int) -> None:
    """Listen up to a frame."""
    assert until(lambda: player.heard() >= frame)


def nothing(_: CardPlayer) -> None:
    """It was opened and never used."""


def starting(player: CardPlayer) -> None:
    """It has only just begun."""
    player.start(LOOP)


def playing(player: CardPlayer) -> None:
    """Sound is in the card's queue and in the ear."""
    player.start(LOOP)
    heard(player, 4000)


def swapping(player: CardPlayer) -> None:
    """Other music was just put on."""
    playing(player)
    player.swap(OTHER, lambda frame: frame)


def pausing(player: CardPlayer) -> None:
    """It was just held."""
    playing(player)
    player.pause()


def resuming(player: CardPlayer) -> None:
    """It was held and let go again."""
    pausing(player)
    player.resume()


def stopping(player: CardPlayer) -> None:
    """It was just stopped."""
    playing(player)
    player.stop()


def failing(player: CardPlayer) -> None:
    """The music could not go on."""
    playing(player)
    player.swap(OTHER, lambda frame: frame // 0)
    assert until(lambda: player.state == "failed")


MOMENTS = (nothing, starting, playing, swapping, pausing, resuming, stopping, failing)


def main(folder: Path) -> dict[str, list[object]]:
    """Close a player at each moment: [threads left, whether the device is closed]."""
    left: dict[str, list[object]] = {}
    for moment in MOMENTS:
        before = threads()
        (folder / "ear.json").unlink(missing_ok=True)
        player = CardPlayer(MiniaudioCard(RATE))
        moment(player)
        player.close()
        is_closed = until((folder / "ear.json").exists)
        patience = time.monotonic() + 10
        while threads() > before and time.monotonic() < patience:
            time.sleep(0.001)
        left[moment.__name__] = [threads() - before, is_closed]
    return left


if __name__ == "__main__":
    json.dump(main(Path(sys.argv[1])), sys.stdout)
